"""The file of a study: CSV with a head that says what it is, written a row at a time, and resumed.

A row is handed to the system whole as its run finishes, so that ending the program at any moment loses no
finished row. Rows come in the order of finishing; reading sorts them, and so does `finish`. Half a row at the
end of the file, or one that something else has damaged, is no row: it is run again.
"""

from __future__ import annotations

import csv
import io
import os
import re
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from pathlib import Path
from types import TracebackType
from typing import Any

from sim import __version__
from sim.disk import held, ordinary, replacing, write_whole

MARK = "# study: "


class RecordError(ValueError):
    """A file that cannot hold this study; the message says why and what to do."""


class StudyFile:
    """The rows of one study on disk. A context manager: closed, the file can be read and resumed."""

    def __init__(
        self, path: Path, file: io.FileIO, headings: Sequence[str], done: set[int], lock: ExitStack
    ) -> None:
        self.path = path
        self.done = done  # numbers of the cases that have a row
        self._file = file
        self._headings = list(headings)
        self._lock = lock

    def add(self, cells: Sequence[Any]) -> None:
        """One row, its case's number first."""
        line = memoryview(_line(cells))
        while line:  # a full disk takes half and then raises; anything else takes all at once
            line = line[self._file.write(line) :]
        self.done.add(int(cells[0]))

    def finish(self) -> None:
        """Close, with the rows in the order of their cases: the same study then gives the same bytes."""
        self._file.close()
        places: dict[int, int] = {}
        headed = False
        with self.path.open("rb") as file, replacing(self.path) as part:
            while line := file.readline():
                number = _number(line, len(self._headings))
                if not headed:
                    part.write(line)
                    headed = not line.startswith(b"#")  # the headings end it
                elif number is not None:
                    places[number] = file.tell() - len(line)
            for number in sorted(places):
                file.seek(places[number])
                part.write(file.readline())
        self._lock.close()

    def close(self) -> None:
        """Leave the file as it is; it can be read and resumed."""
        self._file.close()
        self._lock.close()

    def __enter__(self) -> StudyFile:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def opened(
    path: Path, digest: str, about: Sequence[str], headings: Sequence[str], *, over: bool
) -> StudyFile:
    """The record at `path`, begun or resumed.

    Args:
        digest: names the study; only a file of the same study is resumed.
        about: lines for the head of a new file.
        over: begin anew over whatever is there.

    Raises:
        RecordError: the file holds something else.
        DiskError: it cannot be written, or another study is writing to it.
        OSError: it cannot be read.
    """
    with ExitStack() as lock:
        lock.enter_context(held(path, patience=0.0))
        target = ordinary(path)
        done = _begun(target, digest, about, headings, over)
        return StudyFile(target, io.FileIO(target, "ab"), headings, done, lock.pop_all())
    raise AssertionError


def _begun(path: Path, digest: str, about: Sequence[str], headings: Sequence[str], over: bool) -> set[int]:
    """Numbers of the cases that the file has; none, and a head, in a new one."""
    if path.exists() and path.stat().st_size and not over:
        return _resume(path, digest, headings)
    lines = [f"drytank {__version__}", *about]
    head = "".join(f"# {' '.join(line.split())}\n" for line in lines) + f"{MARK}{digest}\n"
    write_whole(path, head.encode() + _line(headings))
    return set()


def read(path: Path) -> list[dict[str, str]]:
    """The rows of a study's file by heading, sorted by case, as text; damaged rows are left out."""
    rows = {int(next(iter(row.values()))): row for row in each(path)}
    return [rows[number] for number in sorted(rows)]


def each(path: Path) -> Iterator[dict[str, str]]:
    """The same one at a time, as they stand in the file."""
    with path.open("rb") as file:
        body = (line for line in file if not line.startswith(b"#"))
        headings = _cells(next(body, b""))
        for line in body:
            if _number(line, len(headings)) is not None:
                yield dict(zip(headings, map(as_given, _cells(line)), strict=True))


def _resume(path: Path, digest: str, headings: Sequence[str]) -> set[int]:
    """Numbers of the whole rows in the file, from which half a row at the end is cut off."""
    with path.open("rb") as file:
        mark, headed, lines = None, list[str](), _headed(file)
        for line in lines:
            if line.startswith(MARK.encode()):
                mark = line[len(MARK) :].decode(errors="replace").strip()
            elif not line.startswith(b"#"):
                headed = _cells(line)
                break
        if mark is None:
            raise RecordError(f"{path} is there already and is no study of drytank; give another name")
        if mark != digest:
            raise RecordError(
                f"{path} holds another study (another design, other changes, seed or version); give another "
                "name, or --force to write over it"
            )
        if headed != list(headings):
            raise RecordError(
                f"the headings of {path} are damaged; give another name, or --force to write over it"
            )
        end = file.tell()
        done = set()
        for line in file:
            if line.endswith(b"\n"):
                end += len(line)
            number = _number(line, len(headings))
            if number is not None:
                done.add(number)
    os.truncate(path, end)
    return done


def _headed(file: io.BufferedReader) -> Iterator[bytes]:
    """Lines one at a time, so that the file knows where it is."""
    while line := file.readline():
        yield line


def _number(line: bytes, width: int) -> int | None:
    """The case that a line is the row of, or None if it is no whole row."""
    first = line.partition(b",")[0]
    if not line.endswith(b"\n") or not first.isdigit() or len(_cells(line)) != width:
        return None
    return int(first)


def _cells(line: bytes) -> list[str]:
    try:
        return next(csv.reader([line.decode(errors="replace").rstrip("\r\n")]), [])
    except csv.Error:  # an end of a line within it
        return []


def _line(cells: Sequence[Any]) -> bytes:
    text = io.StringIO()
    plain = [
        "" if cell is None else guarded(" ".join(cell.split())) if isinstance(cell, str) else cell
        for cell in cells
    ]
    csv.writer(text, lineterminator="\n").writerow(plain)
    return text.getvalue().encode("utf-8", "replace")


_QUANTITY = re.compile(r"[-+]?[.,\d]+(e[-+]?\d+)?( ?[\w%/\u00b0]+)?", re.IGNORECASE)


def guarded(text: str) -> str:
    """A cell of text as a CSV file has it: behind an apostrophe where a spreadsheet would take it for a formula.

    A number with its unit stays as it is.
    """
    begins = text.lstrip().startswith(("=", "@", "+", "-")) or text.startswith(("'", "\t", "\r", "\n"))
    return f"'{text}" if begins and not _QUANTITY.fullmatch(text) else text


def as_given(cell: str) -> str:
    """The text that `guarded` was given."""
    return cell.removeprefix("'")
