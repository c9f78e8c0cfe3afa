"""A request that is refused, in words."""

from __future__ import annotations

from typing import Any


class RefusalError(Exception):
    """A request that cannot be carried out, in words."""

    def __init__(self, message: str, status: int = 400, problems: list[dict[str, Any]] | None = None) -> None:
        super().__init__(message)
        self.status, self.problems = status, problems or []
