"""How code is compiled, where the result is kept, and how it is called.

Two decorators. `compiled` is for small functions, which become part of whatever compiled code calls them; Python
runs them as they stand. A `kernel` is compiled once, on its own, for the arguments it names, and makes no arrays:
compiled code reaches it by the name of its symbol, so that no caller swallows it, and Python by its address. Kernels
can be compiled side by side in processes (`sim.compiling`).

numba compiles, and is imported only then. What it makes of a kernel is kept as a file of plain machine code, which
LLVM alone loads: importing numba takes longer than most questions. The cache folder is named after a digest of every
source file, so changed code is always compiled afresh.
"""

from __future__ import annotations

import ctypes
import hashlib
import os
import stat
import sys
import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from functools import cache, cached_property, update_wrapper
from importlib.metadata import version
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

F = TypeVar("F", bound=Callable[..., Any])

ROW, TABLE, BLOCK = "f8[::1]", "f8[:, ::1]", "f8[:, :, ::1]"
FIXED_TABLE, MESH, INDICES = "Array(f8, 2, 'C', readonly=True)", "Array(i8, 2, 'C', readonly=True)", "i8[::1]"
REAL, WHOLE, FLAG = "f8", "i8", "b1"
"""numba's names for what kernels take: rows of numbers, tables, the faces of a mesh, single numbers."""

_ARRAYS = {
    ROW: (np.float64, 1), TABLE: (np.float64, 2), BLOCK: (np.float64, 3), FIXED_TABLE: (np.float64, 2),
    MESH: (np.int64, 2), INDICES: (np.int64, 1),
}  # fmt: skip

SOURCES = (
    "elements.py", "coefficients.py", "compiled.py", "hydrostatics", "forces", "motion",
    "lure/hull.py", "lure/panels.py",
)  # fmt: skip


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


@dataclass(frozen=True)
class Record:
    """A named tuple as an argument: its class, and what its fields are."""

    kind: type
    fields: tuple[str, ...]


class Compiled:
    """A small function that becomes part of its compiled callers; Python runs it as it stands."""

    def __init__(self, function: Callable[..., Any]) -> None:
        update_wrapper(self, function)
        self.function = function

    @cached_property
    def dispatcher(self) -> Any:
        """numba's own object for it, which it puts in place of a call."""
        return _numba().njit(error_model="numpy", no_cpython_wrapper=True, no_cfunc_wrapper=True)(
            self.function
        )

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
        return self.function(*args)


class Kernel(Compiled):
    """What is compiled on its own, for the arguments it names, and returns nothing or a whole number.

    It is called as numba calls its own functions: where the result goes, where an error would go, then all arguments,
    an array as seven or more of them; what comes back says whether all went well.
    """

    def __init__(
        self, function: Callable[..., Any], takes: tuple[str | Record, ...], returns: str | None, few: int
    ) -> None:
        super().__init__(function)
        self.takes, self.returns, self.few = takes, returns, few
        self.symbol = f"drytank.{function.__module__}.{function.__name__}"
        self._address = 0
        _kernels[self.symbol] = self

    # ---- made ---------------------------------------------------------------------------------------------

    @property
    def file(self) -> Path:
        """Where its machine code is kept: the name numba gave it, an end of line, and an object file."""
        place = f"{_processor()} {self.function.__code__.co_filename}"
        return cache_folder() / f"{self.symbol}.{hashlib.sha256(place.encode()).hexdigest()[:8]}.o"

    @property
    def is_kept(self) -> bool:
        """Whether the cache has it."""
        return self.file.exists()

    def make(self) -> tuple[str, bytes]:
        """Its name and machine code, from the cache or compiled now."""
        try:
            name, _, code = self.file.read_bytes().partition(b"\n")
        except OSError:
            name, code = _compile(self)
            with suppress(OSError):  # no room: the next run compiles it again
                _keep(self.file, name + b"\n" + code)
        return name.decode(), code

    @property
    def address(self) -> int:
        """Where it stands in memory, known to compiled code by the name of its symbol."""
        with _loading:
            if not self._address:
                for one in self.kernels:
                    _ = one.address
                self._address = _load(self.symbol, *self.make())
            return self._address

    # ---- called by Python -----------------------------------------------------------------------------------

    @cached_property
    def _callable(self) -> Any:
        passed: list[Any] = [ctypes.c_void_p, ctypes.c_void_p]
        leaves = [leaf for one in self.takes for leaf in (one.fields if isinstance(one, Record) else (one,))]
        for leaf in leaves:
            if leaf in _ARRAYS:
                sizes = 2 * _ARRAYS[leaf][1]
                passed += [ctypes.c_void_p] * 2 + [ctypes.c_int64] * 2 + [ctypes.c_void_p]
                passed += [ctypes.c_int64] * sizes
            else:
                passed.append(_SINGLE[leaf])
        return ctypes.CFUNCTYPE(ctypes.c_int32, *passed)(self.address)

    def __call__(self, *args: Any) -> Any:
        if self.few and not self._address and not self.is_kept:
            self.few -= 1
            return self.function(*args)
        return self._called(self._passed(args, self.takes))

    def bound(self, *first: Any) -> Callable[..., Any]:
        """The same with its first arguments given for good: an array of each call costs a microsecond."""
        kinds = self._callable.argtypes[2:]  # what a call makes of plain numbers, made once
        plain, rest = self._passed(first, self.takes[: len(first)]), self.takes[len(first) :]
        passed = [kind(value) for kind, value in zip(kinds, plain, strict=False)]

        def call(*last: Any) -> Any:
            _ = first  # keeps the arrays
            return self._called(passed + self._passed(last, rest))

        return call

    def _called(self, passed: list[Any]) -> Any:
        result, error = ctypes.c_int64(), ctypes.c_void_p()
        if self._callable(ctypes.addressof(result), ctypes.addressof(error), *passed):
            raise RuntimeError(f"{self.symbol} failed")
        return result.value if self.returns else None

    def _passed(self, args: tuple[Any, ...], takes: tuple[str | Record, ...]) -> list[Any]:
        """Arguments as they are passed."""
        passed: list[Any] = []
        for one, value in zip(takes, args, strict=True):
            if isinstance(one, Record):
                passed += self._passed(value, one.fields)
            elif one in _ARRAYS:
                kind, sides = _ARRAYS[one]
                if value.dtype != kind or value.ndim != sides or not value.flags.c_contiguous:
                    raise TypeError(f"{self.symbol} takes {one}, not {value.dtype} {value.shape}")
                passed += (None, None, value.size, 8, value.ctypes.data, *value.shape, *value.strides)
            else:
                passed.append(value)
        return passed

    # ---- called by compiled code ----------------------------------------------------------------------------

    @cached_property
    def by_symbol(self) -> Any:
        """What a call in compiled code becomes: one of something that need not be there when the caller is compiled."""
        from numba.core import cgutils
        from numba.extending import intrinsic

        signature, symbol = _signature(self), self.symbol

        def generate(context: Any, builder: Any, sig: Any, args: Any) -> Any:
            call = context.call_conv
            kind = call.get_function_type(sig.return_type, sig.args)
            called = cgutils.get_or_insert_function(builder.module, kind, symbol)
            _, result = call.call_function(builder, called, sig.return_type, sig.args, args)
            return result

        names = [f"a{k}" for k in range(len(signature.args))]
        scope: dict[str, Any] = {"made": (signature, generate)}
        exec(f"def call(context, {', '.join(names)}): return made", scope)  # numba wants the names
        return intrinsic(scope["call"])


_SINGLE = {REAL: ctypes.c_double, WHOLE: ctypes.c_int64, FLAG: ctypes.c_bool}
_kernels: dict[str, Kernel] = {}
_loading = threading.RLock()  # one thread brings a kernel into memory, and those that it calls


def compiled(function: F) -> F:
    """Make `function` part of its compiled callers (numba, nopython mode).

    IEEE arithmetic is kept as written (no fast-math): mirrored designs must give mirrored numbers.
    """
    made: Any = Compiled(function)
    return made


def kernel(
    *takes: str | Record, returns: str | None = None, few: int = 0
) -> Callable[[Callable[..., Any]], Kernel]:
    """Compile a function once, on its own, for arguments `takes`; it returns nothing, or a `WHOLE` number.

    Args:
        few: so many calls Python itself carries out while it is not compiled, to the same last bit, where that is
            the quicker way to a first answer.
    """
    return lambda function: Kernel(function, takes, returns, few)


def kernels() -> list[Kernel]:
    """All of the modules that have been imported."""
    return list(_kernels.values())


def is_compiled() -> bool:
    """Whether an earlier run has left all kernels compiled, and seen that they load without numba."""
    return mark().exists()


def mark() -> Path:
    """The file that says so."""
    return cache_folder() / f"complete.{_processor()}"


# ---- loading ------------------------------------------------------------------------------------------------


@cache
def _processor() -> str:
    """A short name for what machine code must suit."""
    import llvmlite.binding as llvm

    features = llvm.get_host_cpu_features().flatten()
    told = f"{llvm.get_process_triple()} {llvm.get_host_cpu_name()} {features}"
    return hashlib.sha256(told.encode()).hexdigest()[:8]


@cache
def _engine() -> Any:
    """LLVM's loader. Where it has not been seen that all kernels load by themselves, with what numba brings."""
    import llvmlite.binding as llvm

    if not is_compiled():
        _numba().core.registry.cpu_target.target_context.codegen()
    llvm.initialize_native_target()
    llvm.initialize_native_asmprinter()
    machine = llvm.Target.from_default_triple().create_target_machine(codemodel="jitdefault")
    return llvm.create_mcjit_compiler(llvm.parse_assembly(""), machine)


def _load(symbol: str, name: str, code: bytes) -> int:
    """Bring machine code into memory, give its address and make it known by its symbol."""
    import llvmlite.binding as llvm

    engine = _engine()
    engine.add_object_file(llvm.ObjectFileRef.from_data(code))
    engine.finalize_object()
    address = int(engine.get_function_address(name))
    if not address:
        raise RuntimeError(f"{symbol} has not been compiled to {name}")
    llvm.add_symbol(symbol, address)
    return address


# ---- compiling ----------------------------------------------------------------------------------------------


def _signature(one: Kernel) -> Any:
    """What it takes and returns, in numba's types."""
    from numba import types
    from numba.core.sigutils import normalize_signature
    from numba.core.typing import signature

    def type_of(leaf: str) -> Any:
        return normalize_signature(f"({leaf},)")[0][0]

    takes = [
        types.NamedTuple([type_of(leaf) for leaf in each.fields], each.kind)
        if isinstance(each, Record)
        else type_of(each)
        for each in one.takes
    ]
    return signature(type_of(one.returns) if one.returns else types.none, *takes)


def _compile(one: Kernel) -> tuple[bytes, bytes]:
    """Name and machine code of a kernel, without the wrappers for Python and C, or the counted references of arrays."""
    from numba.core import compiler
    from numba.core.compiler_lock import global_compiler_lock
    from numba.core.registry import cpu_target

    _numba()
    told = _signature(one)
    flags: Any = compiler.Flags()
    cpu_target.options.parse_as_flags(flags, {"nopython": True, "error_model": "numpy", "_nrt": False})
    flags.no_cpython_wrapper = flags.no_cfunc_wrapper = flags.no_compile = True
    with global_compiler_lock:
        made = compiler.compile_extra(
            cpu_target.typing_context, cpu_target.target_context, one.function, told.args, told.return_type, flags, {}
        )  # fmt: skip
        name = made.fndesc.mangled_name
        made.library.get_pointer_to_function(name)
        return name.encode(), made.library.serialize_using_object_code()[2][0]


def _keep(file: Path, content: bytes) -> None:
    """Write a file of the cache, whole or not at all: others may be reading, or writing the same."""
    handle, part = tempfile.mkstemp(dir=file.parent)
    try:
        with os.fdopen(handle, "wb") as open_part:
            open_part.write(content)
        os.replace(part, file)
    except OSError:
        with suppress(OSError):
            os.unlink(part)
        raise


@cache
def _numba() -> Any:
    """numba, told what to make of the objects of this module where compiled code names them."""
    os.environ.setdefault(
        "NUMBA_DISABLE_INTEL_SVML", "1"
    )  # other last digits, from a library that need not be there
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
