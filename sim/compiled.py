"""How code is compiled and where the result is kept.

Two decorators: `compiled` for small functions, which become part of whatever calls them, and `kernel` for a piece
that is compiled once, on its own, and reached through its address. A change of one kernel leaves the others'
size and compile time alone, and kernels are compiled side by side in processes.

numba's own cache does not notice when a function called from another file has changed. The cache folder
here is named after a digest of every source file, so changed code is always compiled afresh.
"""

from __future__ import annotations

import hashlib
import os
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache, cached_property, update_wrapper
from pathlib import Path
from typing import Any, TypeVar

F = TypeVar("F", bound=Callable[..., Any])

_SOURCES = (
    "elements.py", "coefficients.py", "compiled.py", "hydrostatics", "forces", "motion",
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
    return any(cache_folder().rglob("stepper.advance-*.nbi"))


class Compiled:
    """A small function that becomes part of the compiled code that calls it; from Python, compiled on its first call.

    numba is not even imported before that.
    """

    def __init__(self, function: Callable[..., Any]) -> None:
        update_wrapper(self, function)
        self.function = function

    @cached_property
    def dispatcher(self) -> Any:
        """numba's own object for it."""
        with _kept() as numba:
            return numba.njit(cache=True, error_model="numpy", no_cfunc_wrapper=True)(self.function)

    @cached_property
    def _linked(self) -> Any:
        for one in _kernels:
            one.link()
        return self.dispatcher

    def __call__(self, *args: Any) -> Any:
        return self._linked(*args)


class Kernel(Compiled):
    """A function compiled on its own for one signature; compiled code calls it by the name of its symbol."""

    def __init__(self, function: Callable[..., Any], signature: str | Callable[[], Any]) -> None:
        super().__init__(function)
        self._signature = signature
        self.symbol = f"drytank.{function.__module__}.{function.__name__}"
        self._made: Any = None
        _kernels.append(self)

    @cached_property
    def signature(self) -> Any:
        """As numba's object."""
        from numba.core.sigutils import normalize_signature

        args, returned = normalize_signature(
            self._signature if isinstance(self._signature, str) else self._signature()
        )
        return returned(*args)

    def link(self) -> None:
        """Compile it, or read it from the cache, and make its address known by name."""
        if self._made is None:
            import llvmlite.binding

            with _kept() as numba:
                self._made = numba.cfunc(self.signature, cache=True, error_model="numpy")(self.function)
            llvmlite.binding.add_symbol(self.symbol, self._made.address)

    @cached_property
    def by_symbol(self) -> Any:
        """What a call in compiled code becomes: numba's C wrapper, not yet there when the caller is compiled."""
        from llvmlite import ir
        from numba.core import cgutils
        from numba.extending import intrinsic

        signature, symbol = self.signature, self.symbol

        def generate(context: Any, builder: Any, sig: Any, args: Any) -> Any:
            kind = ir.FunctionType(
                context.get_value_type(sig.return_type), [context.get_value_type(arg) for arg in sig.args]
            )
            return builder.call(cgutils.get_or_insert_function(builder.module, kind, symbol), args)

        names = [f"a{k}" for k in range(len(signature.args))]
        scope: dict[str, Any] = {"made": (signature, generate)}
        exec(f"def call(context, {', '.join(names)}): return made", scope)  # numba wants the names
        return intrinsic(scope["call"])


_kernels: list[Kernel] = []


def compiled(function: F) -> F:
    """Compile `function` on its first call and keep the result on disk (numba, nopython mode).

    IEEE arithmetic is kept as written (no fast-math): mirrored designs must give mirrored numbers.
    """
    made: Any = Compiled(function)
    return made


def kernel(signature: str | Callable[[], Any]) -> Callable[[F], F]:
    """Compile a function once, on its own, for `signature`: a numba signature, or a function that makes one."""

    def decorate(function: F) -> F:
        made: Any = Kernel(function, signature)
        return made

    return decorate


@contextmanager
def _kept() -> Iterator[Any]:
    """numba, which keeps what is decorated in here in the cache folder."""
    numba = _numba()
    settings: Any = numba.config
    before = settings.CACHE_DIR
    settings.CACHE_DIR = str(cache_folder())
    try:
        yield numba
    finally:
        settings.CACHE_DIR = before


@cache
def _numba() -> Any:
    """numba, told what to make of the objects of this module where compiled code names them."""
    import numba
    from numba.core.registry import cpu_target
    from numba.extending import typeof_impl

    @typeof_impl.register(Compiled)
    def _(value: Compiled, context: Any) -> Any:
        return numba.typeof(value.dispatcher)

    @typeof_impl.register(Kernel)
    def _(value: Kernel, context: Any) -> Any:
        typing = cpu_target.typing_context
        by_symbol = value.by_symbol
        typing.refresh()  # numba learns of it only then
        return typing.resolve_value_type(by_symbol)

    return numba
