"""Long work beside the server: one process for speed bars, one for each study; stopped as soon as nobody wants it."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import tempfile
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from concurrent.futures import BrokenExecutor, Future, ProcessPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import Any

MOST_STUDIES = 4  # running at once
LONGEST_OUTPUT = 400_000  # characters of a study's page
AHEAD = 6  # pulls under way: what is lost when something changes
MOST_FOUND = 3000  # pulls that are remembered


class Pulls:
    """Single pulls in a process of their own: what is asked for first comes first, what nobody asks for is let go.

    Few are under way at a time, and what is asked for next goes in when the page looks again: a page that is closed
    or asks for something else stops its work by not asking.
    """

    def __init__(self) -> None:
        self._pool: ProcessPoolExecutor | None = None
        self._lock = threading.Lock()
        self._running: dict[Hashable, Future[Any]] = {}
        self._found: OrderedDict[Hashable, Any] = OrderedDict()

    def ask(
        self, cases: Mapping[Hashable, tuple[Callable[..., Any], tuple[Any, ...]]]
    ) -> dict[Hashable, Any]:
        """What is known of the cases by now (None: it failed); the next of the others are started, in order."""
        with self._lock:
            self._gather()
            for key in [key for key, future in self._running.items() if key not in cases and future.cancel()]:
                del self._running[key]
            known = {key: self._found[key] for key in cases if key in self._found}
            for key in known:
                self._found.move_to_end(key)
            waiting = (key for key in cases if key not in known and key not in self._running)
            for key in islice(waiting, max(0, AHEAD - len(self._running))):
                if self._pool is None:
                    self._pool = ProcessPoolExecutor(1, multiprocessing.get_context("spawn"))
                call, given = cases[key]
                self._running[key] = self._pool.submit(call, *given)
            return known

    def _gather(self) -> None:
        for key in [key for key, future in self._running.items() if future.done()]:
            future = self._running.pop(key)
            if isinstance(future.exception(), BrokenExecutor):
                self._pool = None
            self._found[key] = None if future.exception() else future.result()
        while len(self._found) > MOST_FOUND:
            self._found.popitem(last=False)

    def stop(self) -> None:
        """Let everything go."""
        with self._lock:
            self._running.clear()
            if self._pool is not None:
                for process in list((self._pool._processes or {}).values()):
                    process.terminate()
                self._pool.shutdown(wait=False, cancel_futures=True)
                self._pool = None


@dataclass
class Study:
    """One command of drytank run on the present text: what it has said so far, and how it ended."""

    number: int
    words: list[str]
    revision: int
    process: subprocess.Popen[str] | None = None
    said: str = ""
    progress: str = ""
    status: int | None = None
    folder: Any = field(default=None, repr=False)

    @property
    def running(self) -> bool:
        """Whether it is still at work."""
        return self.status is None


class Studies:
    """The studies of one server."""

    def __init__(self) -> None:
        self._all: dict[int, Study] = {}
        self._lock = threading.Lock()

    def start(self, words: list[str], text: str, path: Path, revision: int) -> Study:
        """Run `drytank WORDS` with FILE standing for the present text.

        The text is written beside the original under another name, so that meshes and logs are found.

        Raises:
            RuntimeError: too many run already.
        """
        with self._lock:
            if sum(study.running for study in self._all.values()) >= MOST_STUDIES:
                raise RuntimeError("too many studies run at once; stop one first")
            number = len(self._all) + 1
            folder = tempfile.TemporaryDirectory(prefix="drytank-page-")
            copy = Path(folder.name) / path.name
            copy.write_text(text, encoding="utf-8")
            log = path.with_suffix(".log.toml")
            if log.is_file():
                copy.with_suffix(".log.toml").write_bytes(log.read_bytes())
            full = [str(copy) if word == "FILE" else word for word in words]
            process = subprocess.Popen(
                [sys.executable, "-m", "sim", *full],
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                stdin=subprocess.DEVNULL,
                text=True,
                cwd=path.parent,
                start_new_session=True,
                env={**os.environ, "PYTHONPATH": os.pathsep.join(p for p in sys.path if p), "COLUMNS": "80"},
            )
            study = Study(number, words, revision, process, folder=folder)
            self._all[number] = study
        threading.Thread(target=self._read, args=(study,), daemon=True).start()
        return study

    def find(self, number: int) -> Study | None:
        """A study by its number."""
        return self._all.get(number)

    def stop(self, number: int | None = None) -> None:
        """Stop one study, or all."""
        for study in list(self._all.values()):
            if (number is None or study.number == number) and study.running and study.process is not None:
                with suppress(ProcessLookupError, PermissionError):
                    os.killpg(study.process.pid, signal.SIGTERM)

    def _read(self, study: Study) -> None:
        process = study.process
        assert process is not None

        def errors() -> None:
            assert process.stderr is not None
            for line in process.stderr:
                study.progress = (study.progress + line)[-4000:]

        reader = threading.Thread(target=errors, daemon=True)
        reader.start()
        assert process.stdout is not None
        study.said = process.stdout.read(LONGEST_OUTPUT)
        process.stdout.read()
        reader.join()
        study.status = process.wait()
        study.folder.cleanup()
