"""drytank: the test tank without the water, for people who make fishing lures at home.

For programs and notebooks: `sim.load`, `sim.trial` and each trial, and the studies, as `sim.api` describes them. They
are imported when they are first used.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

__version__ = "0.1.0"


def __getattr__(name: str) -> Any:
    """The functions of `sim.api`."""
    if not name.startswith("_"):
        api = import_module("sim.api")
        if name in api.__all__:
            return getattr(api, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *import_module("sim.api").__all__})
