"""Many runs of one kind: cases in, outcomes out, as they finish, on any `concurrent.futures.Executor`.

The texts of the designs go to each worker once; a case is a few changes by path and a question. Few cases are
under way at a time, so memory does not grow with their number, and a case that fails is an outcome too.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    ProcessPoolExecutor,
    wait,
)
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import islice
from multiprocessing.context import SpawnContext, SpawnProcess
from typing import Any, TypeVar

from sim import __version__
from sim.compiling import cores
from sim.design.model import Design

Question = Callable[[Design], Mapping[str, Any]]
"""What is requested of each design. It goes to other processes: a function of a module, or an object of one."""

T = TypeVar("T")

UNDER_WAY = 2  # chunks for each worker: one that runs and one that waits
CHUNK_SECONDS = 0.05  # of work in one chunk: long against the cost of sending it, short to lose
LARGEST_CHUNK = 64
WORTH_A_WORKER = 8  # runs; with fewer, starting another process takes longer than it saves


class StudyError(RuntimeError):
    """The workers cannot go on; the message says what to do. Outcomes handed out before stay good."""


class CaseError(ValueError):
    """A case that cannot be run as it stands; the message is its outcome."""


@dataclass(frozen=True)
class Case:
    """One run of a study."""

    number: int
    ask: Question
    changes: Mapping[str, Any] = field(
        default_factory=dict
    )  # full path -> value, as `paths.replaced` takes it
    design: int = 0  # which of the texts


@dataclass(frozen=True)
class Outcome:
    """What became of one case: what it answered, or why it did not."""

    case: Case
    answer: Mapping[str, Any]
    failure: str = ""


def default_workers(cases: int) -> int:
    """A process for each core, but no more than the work is worth."""
    return max(1, min(cores(), cases // WORTH_A_WORKER))


def run_cases(
    texts: str | Sequence[str],
    cases: Iterable[Case],
    executor: Executor | None = None,
    workers: int | None = None,
) -> Iterator[Outcome]:
    """Run `cases` and yield each outcome as it comes, in no particular order.

    Args:
        texts: a design file's text, or several, of which a case names one.
        cases: may be a generator; it is drawn on as workers come free.
        executor: where to run; left as it is at the end. Left out: processes of this machine's own, or this
            very process if there is one worker only.
        workers: how many run at a time.

    Raises:
        StudyError: a worker died or is of another version.
        sim.design.load.DesignError: a text is no design.
    """
    sources = (texts,) if isinstance(texts, str) else tuple(texts)
    for text in sources:
        _design(text)  # a text that is no design is the caller's error, not a failed case
    workers = workers or cores()
    if executor is not None:
        yield from _streamed(executor, sources, cases, workers)
    elif workers == 1:
        for case in cases:
            yield _outcome(sources, case)
    else:
        with _processes(workers, sources) as pool:
            yield from _streamed(pool, None, cases, workers)


@contextmanager
def processes(workers: int) -> Iterator[Executor | None]:
    """An executor for several rounds of `run_cases`, so that its processes start once; None for one worker."""
    if workers == 1:
        yield None
    else:
        with _processes(workers, ()) as pool:
            yield pool


@contextmanager
def process_beside() -> Iterator[Executor | None]:
    """A process that does something else meanwhile; None where there is no core for it."""
    if cores() == 1:
        yield None
        return
    pool = _started(1, ())
    try:
        yield pool
    finally:
        pool.shutdown(wait=False, cancel_futures=True)  # whoever wants its answer has it by now


def asked_beside(executor: Executor | None, work: Callable[..., T], *args: Any) -> Callable[[], T]:
    """Let another process work something out meanwhile: what this gives waits for it.

    It is worked out here, then, if there is no such process or it dies, perhaps for want of memory.
    """
    future: Future[T] | None = None
    if executor is not None:
        with suppress(BrokenExecutor):
            future = executor.submit(work, *args)

    def answer() -> T:
        if future is not None:
            with suppress(BrokenExecutor):
                return future.result()
        return work(*args)

    return answer


def _streamed(
    executor: Executor, sources: tuple[str, ...] | None, cases: Iterable[Case], workers: int
) -> Iterator[Outcome]:
    rest = iter(cases)
    running: set[Future[_Report]] = set()
    size = 1
    try:
        while True:
            while len(running) < UNDER_WAY * workers and (chunk := list(islice(rest, size))):
                running.add(executor.submit(_report, sources, chunk))
            if not running:
                return
            done, running = wait(running, return_when=FIRST_COMPLETED)
            for future in done:
                report = _received(future)
                each = report.seconds / len(report.outcomes)
                size = max(1, min(LARGEST_CHUNK, int(CHUNK_SECONDS / max(each, 1e-6))))
                yield from report.outcomes
    finally:
        for future in running:
            future.cancel()


def _received(future: Future[_Report]) -> _Report:
    """The report of a worker, if it is one."""
    try:
        report = future.result()
    except BrokenExecutor as error:
        raise StudyError(
            "a worker process died, perhaps for want of memory: try again with fewer --workers"
        ) from error
    except CancelledError as error:  # nobody here calls off what is waited for
        raise StudyError(
            "the workers of the cluster are gone, or its scheduler is: start them again"
        ) from error
    except Exception as error:
        raise StudyError(
            f"a worker could not do its part ({_one_line(f'{type(error).__name__}: {error}')}): "
            "is drytank installed where the workers run?"
        ) from error
    if report.version != __version__:
        raise StudyError(
            f"a worker runs drytank {report.version} and this is {__version__}: "
            "install the same version everywhere"
        )
    return report


@contextmanager
def _processes(workers: int, sources: tuple[str, ...]) -> Iterator[Executor]:
    pool = _started(workers, sources)
    try:
        yield pool
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def _started(workers: int, sources: tuple[str, ...]) -> Executor:
    """A pool of fresh processes. An interrupt is for this process to answer; theirs is to end with it."""
    return ProcessPoolExecutor(workers, _Deaf(), initializer=_begin, initargs=(sources,))


class _DeafProcess(SpawnProcess):
    """A process that does not hear Ctrl-C from its first moment on: a pool starts them one by one, as it goes."""

    def start(self) -> None:
        with _uninterrupted():
            super().start()


class _Deaf(SpawnContext):
    Process = _DeafProcess


@contextmanager
def _uninterrupted() -> Iterator[None]:
    """Processes started in here do not hear Ctrl-C from their first moment on."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


# ---- in the worker ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Report:
    outcomes: list[Outcome]
    seconds: float
    version: str


_sent: tuple[str, ...] = ()


def _begin(sources: tuple[str, ...]) -> None:
    """First thing in a process of the pool: keep the texts, and die when the parent does, however it ends."""
    global _sent
    _sent = sources
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:

        def follow() -> None:
            parent.join()
            os._exit(1)

        threading.Thread(target=follow, daemon=True).start()


def _report(sources: tuple[str, ...] | None, cases: Sequence[Case]) -> _Report:
    start = time.perf_counter()
    outcomes = [_outcome(_sent if sources is None else sources, case) for case in cases]
    return _Report(outcomes, time.perf_counter() - start, __version__)


@lru_cache(maxsize=64)
def _design(text: str) -> Design:
    from sim.design.load import read

    return read(text, "design")


def _outcome(sources: Sequence[str], case: Case) -> Outcome:
    return tried(_design(sources[case.design]), case)


def tried(design: Design, case: Case) -> Outcome:
    """Run one case of a design; whatever goes wrong with it is its answer."""
    from sim.lure import BuildError

    try:
        return Outcome(case, dict(case.ask(changed(design, case.changes))))
    except (BuildError, CaseError) as error:
        return Outcome(case, {}, _one_line(str(error)))
    except Exception as error:
        return Outcome(case, {}, _one_line(f"fault in drytank: {type(error).__name__}: {error}"))


def changed(design: Design, changes: Mapping[str, Any]) -> Design:
    """`design` with `changes`, checked as a file is.

    Raises:
        CaseError: they make it impossible.
    """
    from sim.design.checks import check
    from sim.design.paths import replaced

    if not changes:
        return design
    design = replaced(design, changes)
    for finding in check(design):
        place = ".".join(str(step) for step in finding.path)
        raise CaseError(f"{place}: {finding.message}")
    return design


def _one_line(text: str) -> str:
    return " ".join(text.split())
