"""Compiling all that a trial needs, side by side in processes, into the one cache.

Each worker is a fresh Python that reads names of kernels from its standard input and answers when each is done.
What a worker cannot do (no room, no second process) the caller compiles itself when it needs it.
"""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
import threading
from collections.abc import Callable, Collection
from importlib import import_module
from pathlib import Path
from queue import Empty, Queue

from sim.compiled import Kernel, is_compiled, kernels, mark, sources

SLOW = (
    "chain",
    "stepper",
    "account",
    "breakdown",
    "equations",
    "flotation",
    "plate",
    "added",
    "immersion",
    "body",
)
"""Files whose kernels take longest, which therefore go first."""

BENCH = ("hull", "panels", "immersion", "flotation")
"""Files whose kernels tell how a lure lies in still water."""

GIVES_WAY = 5  # of a worker's priority

_WORK = "from sim.compiling import serve; serve()"
_LOAD = "from sim.compiling import load_all; load_all()"
_loaded = False


def cores() -> int:
    """Cores of this machine that this process may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not on this system
        return os.cpu_count() or 1


def pending() -> list[Kernel]:
    """What is not compiled yet, the slowest first."""
    _load()
    return sorted((one for one in kernels() if not one.is_kept), key=_rank)


def waits_for(files: Collection[str]) -> bool:
    """Whether a kernel of one of these files is not compiled yet."""
    return not is_compiled() and any(_file(one) in files for one in pending())


def prepare(
    workers: int, told: Callable[[int, int], None] | None = None, first: Collection[str] = ()
) -> None:
    """Compile all that is pending in `workers` processes.

    Args:
        workers: processes at a time.
        told: called with how many kernels are done and how many there are.
        first: files whose kernels go before all others.
    """
    if is_compiled():
        return
    todo = sorted(pending(), key=lambda one: _file(one) not in first)
    queue: Queue[str] = Queue()
    for one in todo:
        queue.put(one.symbol)
    lock, done = threading.Lock(), 0

    def tell() -> None:
        nonlocal done
        with lock:
            done += 1
            if told is not None:
                told(done, len(todo))

    threads = [
        threading.Thread(target=_quietly_fed, args=(queue, tell), daemon=True)
        for _ in range(min(workers, len(todo)))
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if not pending():
        _try_alone()


def _try_alone() -> None:
    """See in a process of its own whether all kernels load without numba: LLVM ends one that misses anything."""
    with contextlib.suppress(OSError):
        mark().touch()
        tried = subprocess.run(_python(_LOAD), env=_environment(), capture_output=True, check=False)
        if tried.returncode:
            mark().unlink()


def _quietly_fed(queue: Queue[str], tell: Callable[[], None]) -> None:
    """As `_fed`; where no process can be started, whoever needs a kernel compiles it."""
    with contextlib.suppress(OSError):
        _fed(queue, tell)


def _fed(queue: Queue[str], tell: Callable[[], None]) -> None:
    """Feed one worker until nothing is left."""
    with subprocess.Popen(
        _python(_WORK), stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
        env=_environment(),
    ) as worker:  # fmt: skip
        assert worker.stdin is not None
        assert worker.stdout is not None
        while True:
            try:
                name = queue.get_nowait()
            except Empty:
                worker.stdin.close()
                return
            try:
                worker.stdin.write(name + "\n")
                worker.stdin.flush()
                answer = worker.stdout.readline()
            except OSError:
                return
            if not answer:  # it died: what it had is compiled by whoever needs it
                return
            tell()


def _python(code: str) -> list[str]:
    """A fresh Python that does not look for modules in the folder it is started in, which may have other ones."""
    return [sys.executable, "-P", "-c", code]


def _environment() -> dict[str, str]:
    """In which a fresh Python finds this package."""
    places = [str(Path(__file__).parents[1]), *filter(None, [os.environ.get("PYTHONPATH")])]
    return {**os.environ, "PYTHONPATH": os.pathsep.join(places)}


def load_all() -> None:
    """Bring all kernels into memory."""
    _load()
    for one in kernels():
        _ = one.address


def serve() -> None:
    """A worker's life: compile each kernel that is named on standard input, giving way to whoever answers a maker."""
    import llvmlite.binding

    if hasattr(os, "nice"):
        os.nice(GIVES_WAY)

    _load()
    known = {one.symbol: one for one in kernels()}
    for symbol in known:
        llvmlite.binding.add_symbol(symbol, 1)  # nothing is ever called in here
    for line in sys.stdin:
        one = known.get(line.strip())
        if one is not None:
            one.make()
        print("done", flush=True)


def _rank(one: Kernel) -> int:
    name = _file(one)
    return SLOW.index(name) if name in SLOW else len(SLOW)


def _file(one: Kernel) -> str:
    return one.function.__module__.rpartition(".")[2]


def _load() -> None:
    """Import every module that has compiled code."""
    global _loaded
    if _loaded:
        return
    for source in sources():
        parts = source.relative_to(Path(__file__).parents[1]).with_suffix("").parts
        import_module(".".join(part for part in parts if part != "__init__"))
    _loaded = True
