"""The design file that a page edits: its text, every step back and forth, and a draft that outlives the server.

The file stays the truth. An edit changes a text held here; saving writes it whole. Each edit is also written to a draft
beside the compiled code's cache, so that a killed server or a closed tab loses nothing.
"""

from __future__ import annotations

import bisect
import hashlib
import itertools
import json
import os
import tempfile
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from threading import RLock
from typing import Any

from sim.design.edit import edited
from sim.design.load import DesignError, load, read, text_of_file
from sim.design.model import Design
from sim.design.problems import DesignProblem

KEPT = 500  # steps back that a draft holds at most; the running server holds all of them
KEPT_TEXT = 400_000  # characters of all of them together, so that an edit of a long design is soon written


@lru_cache(maxsize=8)
def design_of(text: str, name: str, folder: Path) -> Design:
    """The design of a text, read once for all that is asked of it.

    Raises:
        DesignError: with every problem found.
    """
    return read(text, name, folder)


class StaleError(Exception):
    """An edit of a revision that is no longer the present one: another tab was quicker."""


@dataclass
class Workspace:
    """One design file, open. All methods may be called from several threads.

    Raises:
        DesignError: the file cannot be read at all. A file that is read but has faults opens with its problems.
    """

    path: Path
    drafts: Path  # folder of the drafts
    text: str = ""
    revision: int = 0
    on_disk: str = ""  # text of the file as last read or written here
    undo: list[str] = field(default_factory=list)
    redo: list[str] = field(default_factory=list)
    restored: bool = False  # whether the text came from a draft
    lock: RLock = field(default_factory=RLock, repr=False)

    def __post_init__(self) -> None:
        self.on_disk = self.text = text_of_file(self.path, self.path.name)
        self._take_up_draft()

    @property
    def unsaved(self) -> bool:
        """Whether the page shows something that the file does not hold."""
        return self.text != self.on_disk

    def design(self, text: str | None = None) -> Design:
        """The design of the present text, or of another.

        Raises:
            DesignError: with every problem found.
        """
        return design_of(self.text if text is None else text, self.path.name, self.path.parent)

    def problems(self) -> tuple[DesignProblem, ...]:
        """What is wrong with the present text; nothing if it can be read."""
        try:
            self.design()
        except DesignError as error:
            return error.problems
        return ()

    def change(self, changes: Mapping[str, Any], revision: int) -> None:
        """Change values at their paths, as `sim.design.edit.edited` takes them.

        Raises:
            StaleError: `revision` is not the present one.
            DesignError: the text would no longer be a design, though it is one now; nothing is changed.
            KeyError: a path that cannot be changed.
        """
        with self.lock:
            self._check(revision)
            self._step_to(self.with_changes(changes))

    def with_changes(self, changes: Mapping[str, Any]) -> str:
        """The present text with values changed; nothing is kept.

        Raises:
            DesignError: the present text is not even TOML.
            KeyError: a path that cannot be changed.
        """
        try:
            return edited(self.text, changes)
        except ValueError:
            self.design()  # says what is wrong with it
            raise

    def write(self, text: str, revision: int) -> None:
        """Put a whole text in place of the present one, faults and all: it was typed, and must not be lost."""
        with self.lock:
            self._check(revision)
            self._step_to(text, checked=False)

    def step_back(self, revision: int) -> None:
        """Undo one step, if there is one."""
        self._shift(self.undo, self.redo, revision)

    def step_forth(self, revision: int) -> None:
        """Redo one step, if there is one."""
        self._shift(self.redo, self.undo, revision)

    def changed_outside(self) -> bool:
        """Whether the file on disk is no longer what was last read or written here."""
        try:
            return text_of_file(self.path, self.path.name) != self.on_disk
        except DesignError:
            return True

    def save(self, revision: int, write: Callable[[Path, str], None]) -> None:
        """Write the present text to the file, whole or not at all.

        Raises:
            StaleError: another tab changed it meanwhile.
            FileExistsError: the file was changed elsewhere; nothing was written.
            DesignError: the text is no design.
        """
        with self.lock:
            self._check(revision)
            self.design()
            if self.changed_outside():
                raise FileExistsError(f"{self.path.name} was changed outside this page")
            write(self.path, self.text)
            self.on_disk = self.text
            self.restored = False
            self._keep()

    def take_file(self, revision: int) -> None:
        """Take what is on disk, as one more step that can be undone."""
        with self.lock:
            self._check(revision)
            fresh = text_of_file(self.path, self.path.name)
            self.on_disk = fresh
            self._step_to(fresh, checked=False)

    def keep_mine(self, revision: int) -> None:
        """Let the page's text stand over what is on disk: the next save writes over it."""
        with self.lock:
            self._check(revision)
            self.on_disk = text_of_file(self.path, self.path.name)
            self._keep()

    # ---- steps ------------------------------------------------------------------------------------------

    def _check(self, revision: int) -> None:
        if revision != self.revision:
            raise StaleError

    def _step_to(self, text: str, checked: bool = True) -> None:
        if text == self.text:
            return
        if checked and not self.problems():
            self.design(text)
        self.undo.append(self.text)
        self.redo.clear()
        self.text = text
        self.revision += 1
        self._keep()

    def _shift(self, source: list[str], other: list[str], revision: int) -> None:
        with self.lock:
            self._check(revision)
            if source:
                other.append(self.text)
                self.text = source.pop()
                self.revision += 1
                self._keep()

    # ---- the draft --------------------------------------------------------------------------------------

    @property
    def _draft(self) -> Path:
        name = hashlib.sha256(str(self.path.resolve()).encode()).hexdigest()[:24]
        return self.drafts / f"{name}.json"

    def _keep(self) -> None:
        """Write the draft, or take it away where the file holds everything. A full disk costs the draft only."""
        with suppress(OSError):
            if not self.unsaved:
                self._draft.unlink(missing_ok=True)
                return
            self.drafts.mkdir(parents=True, exist_ok=True, mode=0o700)
            state = {
                "file": str(self.path.resolve()),
                "text": self.text,
                "undo": _last(self.undo),
                "redo": _last(self.redo),
            }
            handle, name = tempfile.mkstemp(dir=self.drafts, prefix=".draft.")
            try:
                with os.fdopen(handle, "w", encoding="utf-8") as file:
                    json.dump(state, file)
                os.replace(name, self._draft)
            except BaseException:
                os.unlink(name)
                raise

    def _take_up_draft(self) -> None:
        with suppress(OSError, ValueError, KeyError, TypeError):
            state = json.loads(self._draft.read_text(encoding="utf-8"))
            text, undo, redo = state["text"], state["undo"], state["redo"]
            if state["file"] == str(self.path.resolve()) and isinstance(text, str) and text != self.text:
                self.text, self.restored = text, True
                self.undo = [step for step in undo if isinstance(step, str)]
                self.redo = [step for step in redo if isinstance(step, str)]


def _last(steps: list[str]) -> list[str]:
    """The last of the steps that a draft has room for; always the very last."""
    total = list(itertools.accumulate(len(step) for step in reversed(steps)))
    room = max(1, bisect.bisect_right(total, KEPT_TEXT))
    return steps[-min(room, KEPT) :]


def opened(path: Path, drafts: Path) -> Workspace:
    """The workspace of a file.

    Raises:
        DesignError: it is not there, not text, or too large.
    """
    if not path.exists():
        load(path)  # says what is wrong
    return Workspace(path, drafts)
