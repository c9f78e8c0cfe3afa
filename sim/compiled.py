"""Where compiled code is kept, and the one decorator that compiles.

numba's own cache does not notice when a function called from another file has changed. The cache folder
here is named after a digest of every source file, so changed code is always compiled afresh, and asking
whether the code is compiled already is asking whether that folder holds anything.
"""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

F = TypeVar("F", bound=Callable[..., Any])

_SOURCES = ("elements.py", "compiled.py", "forces", "motion")


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
    return Path(home) / "drytank" / digest.hexdigest()[:16]


def is_compiled() -> bool:
    """Whether an earlier run has left compiled code for these sources."""
    return any(cache_folder().rglob("*.nbi"))


def compiled(function: F) -> F:
    """Compile `function` on its first call and keep the result on disk (numba, nopython mode).

    IEEE arithmetic is kept as written (no fast-math): mirrored designs must give mirrored numbers.
    """
    import numba

    before = numba.config.CACHE_DIR
    numba.config.CACHE_DIR = str(cache_folder())
    try:
        return numba.njit(cache=True, error_model="numpy")(function)  # type: ignore[no-any-return]
    finally:
        numba.config.CACHE_DIR = before
