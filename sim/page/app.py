"""What the page may ask: open, edit, step back, save, swim, and long work beside it.

Every request names the revision that it was made for; an answer for an older one is refused, and the page takes the
present state instead. No request names a file other than by the name of one in the folder that was opened.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from threading import Lock
from time import sleep
from typing import Any

from sim.compiled import is_compiled
from sim.compiling import BENCH, cores, prepare, waits_for
from sim.design.load import DesignError, read
from sim.disk import DiskError
from sim.lure import BuildError
from sim.message import in_units
from sim.page import answers, behind
from sim.page.desk import Desk
from sim.page.drawing import drawing
from sim.page.fields import fields, typed, written
from sim.page.forms import Form
from sim.page.jobs import Pulls
from sim.page.refusal import RefusalError
from sim.page.starts import STARTS, asks, demos, meshes, start_texts
from sim.page.workspace import Workspace, opened
from sim.show.sentences import compiling
from sim.show.units import Units

LOOKS = 0.2  # s between two at what is compiled


class Page:
    """Everything behind one address: the folder, the open file, and the work beside it."""

    def __init__(
        self,
        folder: Path,
        file: Path | None,
        drafts: Path,
        write: Callable[[Path, str], None],
        units: str = "metric",
        forms: Sequence[Form] = (),
    ) -> None:
        self.folder, self.drafts, self.write, self.units = folder.resolve(), drafts, write, units
        self.open: Workspace | None = opened(file, drafts) if file else None
        self.pulls, self.desk = Pulls(), Desk(forms)
        self._compiling, self._compiled, self._lies = Lock(), False, False
        self._parts = (0, 0)

    def compile(self) -> None:
        """Compile what is not compiled yet, side by side, once, what the bench needs first; others wait for it."""
        with self._compiling:
            if not self._compiled:
                try:
                    prepare(cores(), self._come_to, BENCH)
                finally:  # what is missing then is compiled by whoever needs it
                    self._compiled = True

    def _come_to(self, done: int, total: int) -> None:
        self._parts = done, total

    def compiling(self, _: Mapping[str, Any], tell: Callable[[dict[str, Any]], None]) -> None:
        """What is compiled so far, told until all is."""
        told: dict[str, Any] = {"compiled": False}
        while not told["compiled"]:
            now = self._so_far()
            if now == told:
                sleep(LOOKS)
            else:
                tell(now)
                told = now

    def _so_far(self) -> dict[str, Any]:
        return {"compiled": self._compiled, "lies": not self._waits(), "words": compiling(*self._parts)}

    def _waits(self) -> bool:
        """Whether what tells how a lure lies is still to be compiled."""
        self._lies = self._lies or self._compiled or not waits_for(BENCH)
        return not self._lies

    def close(self) -> None:
        """Stop all work."""
        self.pulls.stop()
        self.desk.studies.stop()

    # ---- states -----------------------------------------------------------------------------------------

    def state(self, given: Mapping[str, Any]) -> dict[str, Any]:
        """All that the bench shows of the present text."""
        if self.open is None:
            return {"file": None, "starts": self.starts(), "folder": self.folder.name}
        space = self.open
        units = self._units(given)
        text = space.text
        state: dict[str, Any] = {
            "file": space.path.name,
            "revision": space.revision,
            "text": text,
            "unsaved": space.unsaved,
            "restored": space.restored,
            "changed_outside": space.changed_outside(),
            "can_undo": bool(space.undo),
            "can_redo": bool(space.redo),
            "fields": fields(text),
            "problems": [],
            "compiled": self._compiled or is_compiled(),
        }
        try:
            here = self._here(text)
        except DesignError as error:
            return state | {"problems": _problems(error, units)}
        except BuildError as error:
            return state | {"problems": [{"path": "", "line": None, "message": in_units(error, units.name)}]}
        return state | {
            "name": here.design.name,
            "drawing": drawing(here.design, here.lure, here.sits),
            "rest": answers.headline(here, units),
            "tie_ons": list(here.lure.tie_ons),
            "speeds": here.design.retrieve.paces(),
            "programmes": list(here.design.retrieve.programme),
        }

    def starts(self) -> list[dict[str, Any]]:
        """What can be opened where no file is: the folder's own designs, and texts to start from."""
        own = [
            {"name": path.name, "does": "in this folder", "kind": "file"}
            for path in sorted(self.folder.glob("*.toml"))
            if not path.name.endswith(".log.toml")
        ]
        starts: list[dict[str, Any]] = [
            {"name": name, "does": does, "kind": "start", "asks": asks(name)} for name, does in STARTS.items()
        ]
        starts += [
            {
                "name": "printed",
                "does": f"a printed body, from {mesh} of this folder",
                "kind": "start",
                "mesh": mesh,
            }
            for mesh in meshes(self.folder)
        ]
        invented = [{"name": name, "does": "a demo, invented", "kind": "demo"} for name in demos(self.folder)]
        return own + starts + invented

    def begin(self, given: Mapping[str, Any]) -> dict[str, Any]:
        """Open one of the folder's files, or write a new one from a start."""
        name = str(given.get("name", ""))
        if given.get("kind") in ("start", "demo"):
            known = demos(self.folder)
            if name not in STARTS and name not in known:
                raise RefusalError("There is no such start.", 404)
            file = str(given.get("file") or "mylure").strip().removesuffix(".toml")
            target = self._in_folder(f"{file}.toml")
            mesh = str(given.get("mesh") or "")
            if mesh and mesh not in meshes(self.folder):
                raise RefusalError(f"There is no mesh {mesh} in this folder.", 404)
            own = {str(key): str(value) for key, value in dict(given.get("own") or {}).items()}
            texts = (
                start_texts(name, target.name, mesh, own)
                if name in STARTS
                else {target.name: known[name].read_text(encoding="utf-8")}
            )
            if any(own.values()):
                self._readable(texts[target.name], target, self._units(given))
            for other in texts:
                if (self.folder / other).exists():
                    raise RefusalError(f"{other} is there already; give another name.")
            for other, text in reversed(texts.items()):
                self.write(self.folder / other, text)
        else:
            target = self._in_folder(name)
        try:
            self.open = opened(target, self.drafts)
        except DesignError as error:
            raise RefusalError(str(error), 404) from error
        return self.state(given)

    def _readable(self, text: str, target: Path, units: Units) -> None:
        """Refuse numbers of the maker's own that make no design, before a file is written."""
        try:
            read(text, target.name, self.folder)
        except DesignError as error:
            raise RefusalError("This cannot be.", 422, _problems(error, units)) from error

    def _in_folder(self, name: str) -> Path:
        target = (self.folder / name).resolve()
        if target.parent != self.folder or target.suffix != ".toml" or target.name.startswith("."):
            raise RefusalError("Only a file of the folder that was opened, ending in .toml.", 403)
        return target

    # ---- edits ------------------------------------------------------------------------------------------

    def edit(self, given: Mapping[str, Any]) -> dict[str, Any]:
        """Change values: `changes` as typed in fields, `moved` in metres and radians from handles.

        What can be built must still be so afterwards: else the bench would be gone from under the hand that did it.
        """
        space = self._space()
        changes = self._changes(space.text, given)
        if int(given.get("revision", -1)) == space.revision and self._builds():
            self._attempted(space, changes, self._units(given))
        try:
            space.change(changes, int(given.get("revision", -1)))
        except DesignError as error:
            raise RefusalError("This cannot be.", 422, _problems(error, self._units(given))) from error
        except KeyError as error:
            raise RefusalError(str(error.args[0]), 422) from error
        return self.state(given)

    def attempt(self, given: Mapping[str, Any]) -> dict[str, Any]:
        """What a change would look like, while a handle is dragged: nothing is kept."""
        space = self._space()
        here = self._attempted(space, self._changes(space.text, given), self._units(given))
        return {
            "drawing": drawing(here.design, here.lure, here.sits),
            "rest": answers.headline(here, self._units(given)),
        }

    def _attempted(self, space: Workspace, changes: Mapping[str, Any], units: Units) -> answers.Seen:
        try:
            return self._here(space.with_changes(changes))
        except DesignError as error:
            raise RefusalError("This cannot be.", 422, _problems(error, units)) from error
        except KeyError as error:
            raise RefusalError(str(error.args[0]), 422) from error
        except BuildError as error:
            raise RefusalError(in_units(error, units.name), 422) from error

    def _builds(self) -> bool:
        try:
            self._here(self._space().text)
        except (DesignError, BuildError):
            return False
        return True

    def _here(self, text: str) -> answers.Seen:
        space = self._space()
        made: Callable[..., answers.Seen] = answers.seen if self._waits() else answers.built
        return made(text, space.path.name, space.path.parent)

    def _changes(self, text: str, given: Mapping[str, Any]) -> dict[str, Any]:
        changes: dict[str, Any] = {}
        rows = {row["path"]: row for group in fields(text) for row in group["rows"]}
        for path, typed_text in dict(given.get("changes") or {}).items():
            changes[str(path)] = typed(str(typed_text), rows.get(path, {}).get("choices", []))
        for path, moved in dict(given.get("moved") or {}).items():
            value, dimension = float(moved["value"]), str(moved["dimension"])
            if dimension not in ("length", "angle"):
                raise RefusalError("A handle moves lengths and angles only.")
            present = rows.get(path, {}).get("value") or _deep(text, path)
            changes[str(path)] = written(present, value, dimension)
        return changes

    def write_text(self, given: Mapping[str, Any]) -> dict[str, Any]:
        """Put a whole text in place of the present one."""
        self._space().write(str(given.get("text", "")), int(given.get("revision", -1)))
        return self.state(given)

    def step(self, given: Mapping[str, Any]) -> dict[str, Any]:
        """Undo or redo."""
        space = self._space()
        (space.step_forth if given.get("forth") else space.step_back)(int(given.get("revision", -1)))
        return self.state(given)

    def save(self, given: Mapping[str, Any]) -> dict[str, Any]:
        """Write the file."""
        try:
            self._space().save(int(given.get("revision", -1)), self.write)
        except FileExistsError as error:
            raise RefusalError(f"{error}; take the file's, or keep yours and save again.", 412) from error
        except DesignError as error:
            raise RefusalError(
                "This is not a design yet; mend what is marked first.",
                422,
                _problems(error, self._units(given)),
            ) from error
        except DiskError as error:
            raise RefusalError(str(error), 507) from error
        return self.state(given)

    def settle(self, given: Mapping[str, Any]) -> dict[str, Any]:
        """The file was changed elsewhere: take it, or keep what is on the page."""
        space, revision = self._space(), int(given.get("revision", -1))
        (space.take_file if given.get("take") else space.keep_mine)(revision)
        return self.state(given)

    # ---- answers ----------------------------------------------------------------------------------------

    def rest(self, given: Mapping[str, Any]) -> dict[str, Any]:
        """How it lies in still water and how sure that is, with every part; what follows a `state`."""
        return {
            "revision": self._space().revision,
            "rest": answers.at_rest(self._built(given), self._units(given)),
        }

    def swim(self, given: Mapping[str, Any], tell: Callable[[dict[str, Any]], None]) -> None:
        """A run on the page, told piece by piece as it comes to be."""
        self.compile()
        revision = self._space().revision
        try:
            answers.swim(
                self._built(given),
                str(given.get("kind", "pull")),
                str(given.get("tie_on", "")),
                _speed(given),
                str(given.get("programme") or ""),
                self._units(given),
                lambda piece: tell({"revision": revision, **piece}),
            )
        except KeyError as error:
            raise RefusalError(f"The design has no {error.args[0]!r}.", 404) from error

    def behind(self, given: Mapping[str, Any]) -> dict[str, Any]:
        """Each eye at each speed, and the map of places for the eye, as far as known; asked again until done."""
        space, here = self._space(), self._built(given)
        if given.get("stop"):
            self.pulls.ask({})
            return {"revision": space.revision, "done": True}
        tie_on = str(given.get("tie_on", ""))
        if tie_on not in here.design.tie_on:
            raise RefusalError(f"The design has no {tie_on!r}.", 404)
        asked = behind.Asked(space.text, space.path.name, str(space.path.parent), tie_on, _speed(given))
        return {"revision": space.revision, **behind.known(self.pulls, asked, self._units(given))}

    def offered(self, given: Mapping[str, Any]) -> dict[str, Any]:
        """The short forms of commands."""
        return self.desk.offered()

    def study(self, given: Mapping[str, Any]) -> dict[str, Any]:
        """Start, look at or stop what a form asks."""
        return self.desk.study(given, self._space(), self._units(given))

    def take(self, given: Mapping[str, Any]) -> dict[str, Any]:
        """Put the design that a study proposes in place of the present one, as a step that can be undone."""
        self.desk.take(given, self._space())
        return self.state(given)

    def _units(self, given: Mapping[str, Any]) -> Units:
        return answers.units_named(str(given.get("units", self.units)))

    def _space(self) -> Workspace:
        if self.open is None:
            raise RefusalError("No file is open.", 404)
        return self.open

    def _built(self, given: Mapping[str, Any]) -> answers.Built:
        space = self._space()
        try:
            return answers.built(space.text, space.path.name, space.path.parent)
        except DesignError as error:
            raise RefusalError(
                "Mend what is marked first.", 422, _problems(error, self._units(given))
            ) from error
        except BuildError as error:
            raise RefusalError(in_units(error, self._units(given).name), 422) from error


def _problems(error: DesignError, units: Units) -> list[dict[str, Any]]:
    return [
        {"path": p.key, "line": p.line, "message": in_units(p.message, units.name), "value": p.value}
        for p in error.problems
    ]


def _deep(text: str, path: str) -> str:
    """The text of a value inside a list, which has no field of its own."""
    import tomllib

    try:
        node: Any = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return ""
    for step in path.split("."):
        try:
            node = node[int(step)] if isinstance(node, list) else node[step]
        except (KeyError, IndexError, TypeError, ValueError):
            return ""
    return str(node) if isinstance(node, str | int | float) else ""


def _speed(given: Mapping[str, Any]) -> float:
    speed = float(given.get("speed") or 0.5)
    if not 0.02 <= speed <= 5.0:
        raise RefusalError("A line speed lies between 0.02 and 5 m/s.")
    return speed
