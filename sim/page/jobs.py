"""Long work beside the server: one process for speed bars, one for each study; stopped as soon as nobody wants it."""

from __future__ import annotations

import difflib
import json
import multiprocessing
import os
import shutil
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

from sim.design.log import log_file
from sim.design.syntax import TomlError, tables
from sim.page.forms import Form
from sim.show.progress import MARK

MOST_STUDIES = 4  # running at once
MOST_KEPT = 20  # studies whose answers are kept
AHEAD = 6  # pulls that are wanted before the page looks again
MOST_FOUND = 3000  # pulls that are remembered
Job = tuple[Callable[..., Any], tuple[Any, ...]]


def yielding() -> None:
    """Let this process have what others leave: the answer to an edit goes before what is done behind it."""
    with suppress(AttributeError, OSError):  # Windows has other ways
        os.nice(10)


class Pulls:
    """Single pulls in a process of their own: what is asked for first comes first, what nobody asks for is let go.

    Few are wanted at a time, and what is asked for next goes in when the page looks again: a page that is closed or
    asks for something else stops its work by not asking. One is under way; the others wait here and can be forgotten.
    """

    def __init__(self) -> None:
        self._pool: ProcessPoolExecutor | None = None
        self._lock = threading.RLock()
        self._running: Hashable | None = None
        self._waiting: dict[Hashable, Job] = {}
        self._found: OrderedDict[Hashable, Any] = OrderedDict()

    def ask(self, cases: Mapping[Hashable, Job]) -> dict[Hashable, Any]:
        """What is known of the cases by now (None: it failed); the next of the others are started, in order."""
        with self._lock:
            known = {key: self._found[key] for key in cases if key in self._found}
            for key in known:
                self._found.move_to_end(key)
            waiting = ((key, job) for key, job in cases.items() if key not in known and key != self._running)
            self._waiting = dict(islice(waiting, AHEAD))
            self._go_on()
            return known

    def _go_on(self) -> None:
        """Start the next one, if none is under way."""
        if self._running is not None or not self._waiting:
            return
        if self._pool is None:
            self._pool = ProcessPoolExecutor(1, multiprocessing.get_context("spawn"), yielding)
        self._running = key = next(iter(self._waiting))
        call, given = self._waiting.pop(key)
        pool = self._pool
        try:
            future = pool.submit(call, *given)
        except RuntimeError:  # the program ends, or the process has died meanwhile
            self._pool = self._running = None
            return
        future.add_done_callback(lambda future: self._came(pool, key, future))

    def _came(self, pool: ProcessPoolExecutor, key: Hashable, future: Future[Any]) -> None:
        with self._lock:
            if pool is not self._pool:
                return  # stopped meanwhile
            self._running = None
            if isinstance(future.exception(), BrokenExecutor):
                self._pool = None
            self._found[key] = None if future.exception() else future.result()
            while len(self._found) > MOST_FOUND:
                self._found.popitem(last=False)
            self._go_on()

    def stop(self) -> None:
        """Let everything go."""
        with self._lock:
            pool, self._pool, self._running, self._waiting = self._pool, None, None, {}
        if pool is not None:
            processes = list((pool._processes or {}).values())
            pool.shutdown(wait=False)
            for process in processes:
                process.terminate()


@dataclass
class Study:
    """A form asked of the present text: what its command has said so far, and how it ended."""

    number: int
    form: Form
    revision: int
    file: str  # name of the design's
    text: str
    process: subprocess.Popen[str]
    folder: Any = field(repr=False)
    said: list[Any] = field(default_factory=list)  # blocks of its page
    progress: str = ""
    remarks: str = ""
    status: int | None = None
    proposed: list[str] = field(default_factory=list)  # changed designs
    made: bytes | None = None  # a file to be handed out

    @property
    def running(self) -> bool:
        """Whether it is still at work."""
        return self.status is None

    def propose(self, text: str) -> dict[str, Any]:
        """Keep a proposed design, and show it as a block: its number, and its lines as of a patch without a head."""
        self.proposed.append(text)
        lines = difflib.unified_diff(self.text.splitlines(), text.splitlines(), lineterm="", n=1)
        return {"type": "change", "proposal": len(self.proposed) - 1, "lines": list(lines)[2:]}

    def with_proposals(self, blocks: list[dict[str, Any]]) -> list[dict[str, Any]]:
        """Blocks of an answer, with each patch in them as a proposal."""
        return [
            self.propose(block["whole"])
            if block.get("whole")
            else block | {"blocks": self.with_proposals(block["blocks"])}
            if "blocks" in block
            else block
            for block in blocks
        ]


class Studies:
    """The studies of one server."""

    def __init__(self) -> None:
        self._all: OrderedDict[int, Study] = OrderedDict()
        self._lock = threading.Lock()
        self._number = 0

    def start(
        self, form: Form, given: Mapping[str, str], text: str, path: Path, revision: int, units: str
    ) -> Study:
        """Run a form's command on the present text, in a folder of its own; only the log is the design's own.

        Raises:
            FormError: what was filled in cannot be asked.
            RuntimeError: too many run already.
        """
        words = form.words(given, path.name, str(log_file(path.resolve())), units)
        with self._lock:
            if sum(study.running for study in self._all.values()) >= MOST_STUDIES:
                raise RuntimeError("too many studies run at once; stop one first")
            folder = tempfile.TemporaryDirectory(prefix="drytank-page-", ignore_cleanup_errors=True)
            place = Path(folder.name)
            (place / path.name).write_bytes(text.encode())
            _beside(text, path.parent, place)
            process = subprocess.Popen(
                [sys.executable, "-m", "sim.cli.beside", *words],
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                stdin=subprocess.DEVNULL,
                text=True,
                encoding="utf-8",
                cwd=place,
                start_new_session=True,
                env={
                    **os.environ,
                    "PYTHONPATH": os.pathsep.join(str(Path(p).resolve()) for p in sys.path if p),
                    "PYTHONIOENCODING": "utf-8",
                },
            )
            self._number += 1
            study = Study(self._number, form, revision, path.name, text, process, folder)
            self._all[study.number] = study
            for number in [n for n, old in self._all.items() if not old.running][:-MOST_KEPT]:
                del self._all[number]
        threading.Thread(target=self._read, args=(study,), daemon=True).start()
        return study

    def find(self, number: int) -> Study | None:
        """A study by its number."""
        return self._all.get(number)

    def stop(self, number: int | None = None) -> None:
        """Stop one study, or all."""
        for study in list(self._all.values()):
            if (number is None or study.number == number) and study.running:
                with suppress(ProcessLookupError, PermissionError):
                    if hasattr(os, "killpg"):
                        os.killpg(study.process.pid, signal.SIGTERM)
                    else:  # Windows
                        study.process.terminate()

    def _read(self, study: Study) -> None:
        process, form = study.process, study.form

        def remarks() -> None:
            assert process.stderr is not None
            for line in process.stderr:
                if line.startswith(MARK):
                    study.progress = line[len(MARK) :].strip()
                else:
                    study.remarks = (study.remarks + line)[-4000:]

        reader = threading.Thread(target=remarks, daemon=True)
        reader.start()
        assert process.stdout is not None
        with suppress(ValueError):  # stopped half-way through its answer
            study.said = study.with_proposals(json.loads(process.stdout.read())["blocks"])
        reader.join()
        status = process.wait()
        place = Path(study.folder.name)
        with suppress(OSError, UnicodeDecodeError):
            if form.makes:
                study.made = (place / form.makes).read_bytes()
            if form.proposes:
                written = (place / study.file).read_bytes().decode()
                if written != study.text:
                    study.said = [study.propose(written), *study.said]
        study.folder.cleanup()
        study.status = status


def _beside(text: str, old: Path, new: Path) -> None:
    """Put the meshes that a design names, by names within its folder, into another folder."""
    with suppress(TomlError, AttributeError):
        for body in tables(text).get("body", {}).values():
            file = Path(str(body.get("file", "")))
            source, target = old / file, new / file
            if file.is_absolute() or ".." in file.parts or not source.is_file():
                continue
            target.parent.mkdir(parents=True, exist_ok=True)
            with suppress(OSError):
                os.symlink(source.resolve(), target)
            if not target.exists():
                shutil.copy(source, target)
