"""What all tables of a design file have in common."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict


class Strict(BaseModel):
    """Common settings: nothing unknown is let through, nothing changes after reading."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)
