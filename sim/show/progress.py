"""A bar for long work with an honest estimate of the time left: on a terminal; as marked lines for another program that
wants them; silent anywhere else."""

from __future__ import annotations

import io
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import TextIO, TypeVar

from sim.show.layout import clean

T = TypeVar("T")

ENOUGH = 5  # things done before the rest can be guessed from them
SETTLED = 2.0  # s of work before that


MARK = "\x1e"  # begins a line of progress
OFTEN = 0.2  # s between two lines


class Marked(io.TextIOBase):
    """A stream to which progress goes as lines that begin with `MARK`, so that a program can tell them apart."""

    def __init__(self, stream: TextIO) -> None:
        self.stream, self._last = stream, 0.0

    def write(self, text: str) -> int:
        """Pass it on."""
        return self.stream.write(text)

    def flush(self) -> None:
        """Pass it on."""
        self.stream.flush()

    def reached(self, text: str) -> None:
        """Say how far the work has come, not too often."""
        now = time.monotonic()
        if now - self._last > OFTEN:
            self._last = now
            self.stream.write(f"{MARK}{clean(text)}\n")
            self.stream.flush()


def time_left(done: int, rest: int, seconds: float) -> str:
    """How long `rest` more will take when `done` took `seconds`, no finer than it can be known.

    >>> time_left(50, 200, 31.0)
    'about 2 min left'
    """
    if rest <= 0:
        return ""
    if done < ENOUGH or seconds < SETTLED:
        return "time left not known yet"
    left = seconds / done * rest
    if left < 10.0:
        return "a few seconds left"
    if left < 50.0:
        return f"about {10 * round(left / 10)} s left"
    if left < 3300.0:
        return f"about {max(round(left / 60), 1)} min left"
    hours = left / 3600
    return f"about {hours:.1f} h left" if hours < 9.5 else f"about {hours:.0f} h left"


@contextmanager
def bar(
    what: str, total: int, stream: TextIO, clock: Callable[[], float] = time.monotonic, before: int = 0
) -> Iterator[Callable[[], None]]:
    """A progress bar; call what it gives once for each thing done.

    Args:
        total: things to do, of which `before` were done at an earlier time and say nothing about the pace.
        clock: seconds. The pace is taken from the first thing done, since starting up takes its own time.
    """
    if isinstance(stream, Marked) and total > before:
        yield _counted(what, total, stream, clock, before)
        return
    if not stream.isatty() or total <= before:
        yield lambda: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    columns = TextColumn("{task.description}", markup=False), BarColumn(24), MofNCompleteColumn()
    shown = Progress(
        *columns,
        TextColumn("{task.fields[left]}", markup=False),
        console=Console(file=stream),
        transient=True,
    )
    task = shown.add_task(clean(what), total=total, completed=before, left=time_left(0, total - before, 0.0))
    done, first = 0, 0.0

    def one_more() -> None:
        nonlocal done, first
        now = clock()
        if done == 0:
            first = now
        done += 1
        shown.update(task, advance=1, left=time_left(done - 1, total - before - done, now - first))

    with shown:
        yield one_more


def _counted(
    what: str, total: int, stream: Marked, clock: Callable[[], float], before: int
) -> Callable[[], None]:
    done, first = before, 0.0

    def one_more() -> None:
        nonlocal done, first
        first = first or clock()
        done += 1
        left = time_left(done - before - 1, total - done, clock() - first)
        stream.reached(f"{what}: {done} of {total}{left and ', '}{left}")

    return one_more


def followed(what: str, things: Iterable[T], total: int, stream: TextIO, before: int = 0) -> Iterator[T]:
    """`things` as they come, with a bar."""
    with bar(what, total, stream, before=before) as one_more:
        for thing in things:
            one_more()
            yield thing


@contextmanager
def counting(
    what: str, stream: TextIO, clock: Callable[[], float] = time.monotonic
) -> Iterator[Callable[[], None]]:
    """A count of things done and of seconds, where nobody knows how many there will be; call what it gives for each."""
    done, start, widest = 0, clock(), 0

    def one_more() -> None:
        nonlocal done, widest
        done += 1
        if isinstance(stream, Marked):
            stream.reached(f"{what}: {done}")
        elif stream.isatty():
            shown = f"{clean(what)}: {done} in {clock() - start:.0f} s"
            widest = max(widest, len(shown))
            stream.write(f"\r{shown}")
            stream.flush()

    yield one_more
    if done and stream.isatty():
        stream.write("\r" + " " * widest + "\r")
