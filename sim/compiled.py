"""How code is compiled, and where the result is kept.

Three decorators. `compiled` is for small functions, which become part of whatever calls them. A `kernel` is compiled
once, on its own, for the signature it names; compiled code reaches it by the name of its symbol, so that no caller
swallows it. `entry` is what Python calls, with its signature told beforehand. Kernels and entries can be compiled side
by side in processes (`sim.compiling`).

numba's own cache does not notice when a function called from another file has changed. The cache folder
here is named after a digest of every source file, so changed code is always compiled afresh. numba itself is
imported when something has to run compiled, and not before.
"""

from __future__ import annotations

import hashlib
import os
import stat
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache, cached_property, update_wrapper
from importlib import import_module
from importlib.metadata import version
from pathlib import Path
from typing import Any, TypeVar

F = TypeVar("F", bound=Callable[..., Any])

ROW, TABLE, MESH = "f8[::1]", "f8[:, ::1]", "Array(i8, 2, 'C', readonly=True)"
"""numba's names for what units take: a row of numbers, a table, the faces of a mesh."""

SOURCES = (
    "elements.py", "coefficients.py", "compiled.py", "hydrostatics", "forces", "motion",
    "lure/hull.py", "lure/moments.py", "lure/panels.py", "lure/profile.py",
)  # fmt: skip

PLAIN_CALLS = 5_000  # of a `compiled_in_bulk` function: more than a budget with all its doubts makes

_units: dict[str, Unit] = {}


def sources() -> Iterator[Path]:
    """Every file with compiled code."""
    for name in SOURCES:
        path = Path(__file__).parent / name
        yield from sorted(path.glob("*.py")) if path.is_dir() else [path]


@cache
def cache_folder() -> Path:
    """Folder for the compiled code of exactly these sources, in this place, and this Python."""
    digest = hashlib.sha256(f"{sys.version}{version('numba')}{Path(__file__).resolve()}".encode())
    for source in sources():
        digest.update(source.read_bytes())
    home = os.environ.get("DRYTANK_CACHE") or os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    folder = Path(home) / "drytank" / digest.hexdigest()[:16]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder) as probe:
            probe.write(b"0" * 65536)  # a full disk lets files be made, but not written
        return folder
    except OSError:
        return _spare_folder(folder.name)


def _spare_folder(name: str) -> Path:
    """A folder for this user alone in the temporary directory; of no use to others, who could plant code in it."""
    user = getattr(os, "getuid", lambda: 0)()
    mine = Path(tempfile.gettempdir()) / f"drytank-{user}"
    try:
        mine.mkdir(mode=0o700, exist_ok=True)
        seen = mine.lstat()
        private = stat.S_ISDIR(seen.st_mode) and seen.st_uid == user and not seen.st_mode & 0o077
        if private or os.name == "nt":
            folder = mine / name
            folder.mkdir(exist_ok=True)
            return folder
    except OSError:
        pass
    return Path(tempfile.mkdtemp(prefix="drytank-"))  # for this run only


class Compiled:
    """A small function that becomes part of its compiled callers; from Python, compiled on its first call."""

    def __init__(self, function: Callable[..., Any]) -> None:
        update_wrapper(self, function)
        self.function = function

    @cached_property
    def dispatcher(self) -> Any:
        """numba's own object for it."""
        with _kept() as numba:
            return numba.njit(cache=_keeps(), error_model="numpy", no_cfunc_wrapper=True, nogil=True)(
                self.function
            )

    @cached_property
    def _linked(self) -> Any:
        for one in self.kernels:
            one.link()
        return self.dispatcher

    @cached_property
    def kernels(self) -> list[Kernel]:
        """The kernels that it calls, or that the small functions in it call."""
        named = [self.function.__globals__.get(name) for name in self.function.__code__.co_names]
        found: dict[Kernel, None] = {}
        for one in named:
            if isinstance(one, Kernel):
                found[one] = None
            elif isinstance(one, Compiled):
                found.update(dict.fromkeys(one.kernels))
        return list(found)

    def __call__(self, *args: Any) -> Any:
        return self._linked(*args)


class InBulk(Compiled):
    """A small function that Python itself runs as well, until it is called often enough to be worth compiling, or
    numba is there anyway."""

    _calls = 0

    def __call__(self, *args: Any) -> Any:
        if self._calls < PLAIN_CALLS and "numba" not in sys.modules:
            self._calls += 1
            return self.function(*args)
        return self._linked(*args)


class Unit(Compiled):
    """What is compiled on its own, for one signature."""

    def __init__(self, function: Callable[..., Any], signature: str | Callable[[], Any]) -> None:
        super().__init__(function)
        self._signature = signature
        self.symbol = f"drytank.{function.__module__}.{function.__name__}"
        _units[self.symbol] = self

    @cached_property
    def signature(self) -> Any:
        """As numba's object."""
        from numba.core.sigutils import normalize_signature

        args, returned = normalize_signature(
            self._signature if isinstance(self._signature, str) else self._signature()
        )
        return args if returned is None else returned(*args)

    @property
    def is_kept(self) -> bool:
        """Whether the cache has it, made since the file was written: numba takes no other."""
        name = f"{self.function.__module__.rpartition('.')[2]}.{self.function.__qualname__}-*.nbi"
        written = Path(self.function.__code__.co_filename).stat().st_mtime
        return any(kept.stat().st_mtime >= written for kept in cache_folder().rglob(name))

    def make(self) -> None:
        """Compile it, or read it from the cache."""
        _ = self._made

    @cached_property
    def _made(self) -> Any:
        self.dispatcher.compile(self.signature)
        return self.dispatcher


class Kernel(Unit):
    """A unit that compiled code calls."""

    @cached_property
    def _made(self) -> Any:
        with _kept() as numba:
            counts = isinstance(self.signature.return_type, numba.types.Array)
            return numba.cfunc(self.signature, cache=_keeps(), error_model="numpy", _nrt=counts)(
                self.function
            )

    def link(self) -> None:
        """Make it, and what it calls, and make its address known by name."""
        _ = self._address

    @cached_property
    def _address(self) -> int:
        import llvmlite.binding

        for one in self.kernels:
            one.link()
        llvmlite.binding.add_symbol(self.symbol, self._made.address)
        return int(self._made.address)

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


def compiled(function: F) -> F:
    """Compile `function` on its first call and keep the result on disk (numba, nopython mode).

    IEEE arithmetic is kept as written (no fast-math): mirrored designs must give mirrored numbers.
    """
    made: Any = Compiled(function)
    return made


def compiled_in_bulk(function: F) -> F:
    """As `compiled`, but run by Python itself as long as there are few calls."""
    made: Any = InBulk(function)
    return made


def kernel(signature: str | Callable[[], Any]) -> Callable[[F], F]:
    """Compile a function once, on its own, for `signature`: a numba signature, or a function that makes one.

    One that returns no array is compiled without numba's counted references: it can make none, and calls cost no
    locked instructions.
    """

    def decorate(function: F) -> F:
        made: Any = Kernel(function, signature)
        return made

    return decorate


def entry(signature: str | Callable[[], Any]) -> Callable[[F], F]:
    """What Python calls, told for which arguments so that it can be compiled beforehand."""

    def decorate(function: F) -> F:
        made: Any = Unit(function, signature)
        return made

    return decorate


def is_compiled() -> bool:
    """Whether an earlier run has left all units compiled since these sources were written."""
    try:
        done = (cache_folder() / "complete").stat().st_mtime
    except OSError:
        return False
    return all(source.stat().st_mtime <= done for source in sources())


def units() -> list[Unit]:
    """All kernels and entries of the modules that have been imported."""
    return list(_units.values())


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
def _keeps() -> bool:
    """Whether there is room to keep anything."""
    try:
        with tempfile.TemporaryFile(dir=cache_folder()) as probe:
            probe.write(b"0" * 65536)
        return True
    except OSError:
        return False


def _without_blas() -> None:
    """Import a part of numba that asks at once for scipy's linear algebra, a fifth of a second that no kernel needs."""
    blas, part = "scipy.linalg.cython_blas", "numba.np.arraymath"
    if blas in sys.modules or part in sys.modules:
        return
    missing: Any = None
    sys.modules[blas] = missing
    try:
        arraymath: Any = import_module(part)
    finally:
        del sys.modules[blas]
    arraymath._HAVE_BLAS = True  # it is there for whoever calls for it later


@cache
def _numba() -> Any:
    """numba, told what to make of the objects of this module where compiled code names them."""
    import numba

    _without_blas()
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
