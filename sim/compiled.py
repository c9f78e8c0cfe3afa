"""Where compiled code is kept, and the one decorator that compiles.

numba's own cache does not notice when a function called from another file has changed. The cache folder
here is named after a digest of every source file, so changed code is always compiled afresh, and asking
whether the code is compiled already is asking whether that folder holds the right-hand side.
"""

from __future__ import annotations

import hashlib
import os
import sys
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

F = TypeVar("F", bound=Callable[..., Any])

_SOURCES = (
    "elements.py", "compiled.py", "hydrostatics", "forces", "motion",
    "lure/hull.py", "lure/moments.py", "lure/profile.py",
)  # fmt: skip


@cache
def cache_folder() -> Path:
    """Folder for the compiled code of exactly these sources and this Python."""
    import numba

    package = Path(__file__).parent
    digest = hashlib.sha256(f"{sys.version}{numba.__version__}".encode())
    for name in _SOURCES:
        path = package / name
        for source in sorted(path.glob("*.py")) if path.is_dir() else [path]:
            digest.update(source.read_bytes())
    home = os.environ.get("DRYTANK_CACHE") or os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    folder = Path(home) / "drytank" / digest.hexdigest()[:16]
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:  # a home that cannot be written to: compile again after the next restart
        folder = Path(tempfile.gettempdir()) / "drytank" / folder.name
    return folder


def is_compiled() -> bool:
    """Whether an earlier run has left the whole right-hand side compiled for these sources.

    `sim.motion.equations.rates` calls all the rest and is written last; hydrostatics alone compiles little.
    """
    return any(cache_folder().rglob("equations.rates-*.nbi"))


def compiled(function: F) -> F:
    """Compile `function` on its first call and keep the result on disk (numba, nopython mode).

    IEEE arithmetic is kept as written (no fast-math): mirrored designs must give mirrored numbers.
    """
    import numba

    settings: Any = numba.config
    before = settings.CACHE_DIR
    settings.CACHE_DIR = str(cache_folder())
    try:
        made: Any = numba.njit(cache=True, error_model="numpy")(function)
        return made
    finally:
        settings.CACHE_DIR = before
