"""Whatever is done on the page, whenever the server dies: the file is a design, and what the page showed as saved."""

import shutil
import tempfile
from contextlib import suppress
from pathlib import Path
from unittest import mock

from hypothesis import given
from hypothesis import strategies as st

from sim.design.load import read
from sim.disk import write_whole
from sim.page.app import Page
from sim.page.refusal import RefusalError
from tests.properties.sizes import drawn

LURE = Path(__file__).parents[2] / "scenarios" / "cellar_door.toml"
PLACES = {
    "plate.lip.angle": "deg",
    "hook.tail.at.up": "mm",
    "body.main.width": "mm",
    "ballast.belly.weight": "g",
}


class KilledError(Exception):
    """The server is no more."""


edits = st.tuples(
    st.just("edit"), st.sampled_from(sorted(PLACES)), st.floats(-5, 60).map(lambda x: f"{x:.1f}")
)
moves = st.tuples(
    st.just("move"), st.sampled_from(["tie_on.lip.at.back", "hook.belly.at.up"]), st.floats(-0.02, 0.03)
)
texts = st.tuples(
    st.just("type"),
    st.sampled_from(["# a word\n", "half a = ", "[water]\n", "\ufeff", 'note = "\u00e9"\r\n', ""]),
)
plain = st.sampled_from([
    "undo", "redo", "save", "save", "reload", "kill", "kill before", "kill after", "editor", "rubbish", "take", "keep",
    "stale",
]).map(lambda name: (name,))  # fmt: skip
steps = st.lists(st.one_of(edits, moves, texts, plain), min_size=5, max_size=30)


class Session:
    """A page in a folder of its own, and what it has shown as saved."""

    def __init__(self, place):
        self.place, self.file = place, Path(shutil.copy(LURE, place / "lure.toml"))
        self.saved = self.outside = self.file.read_bytes().decode()
        self.start()

    def start(self):
        self.page = Page(self.place, self.file, self.place / "drafts", write_whole)

    def ask(self, name, **given):
        """What the page is told, if it is not refused; it may be told that the file holds what it shows."""
        try:
            state = getattr(self.page, name)(given)
        except RefusalError:
            return None
        if not state["unsaved"] and not state["changed_outside"]:
            self.saved = state["text"]
        return state

    def die(self, when):
        """Save, and be killed just before or just after the new file is in its place."""

        def write(path, text):
            if when == "after":
                write_whole(path, text)
                self.saved = text
            raise KilledError

        self.page.write = write
        shown = self.page.open.text
        with suppress(KilledError):
            self.ask("save", revision=self.page.open.revision)
        self.page.close()
        self.start()
        assert self.page.open.text == shown

    def do(self, what, *more):
        revision = self.page.open.revision
        if what == "edit":
            self.ask("edit", changes={more[0]: f"{more[1]} {PLACES[more[0]]}"}, revision=revision)
        elif what == "move":
            moved = {more[0]: {"value": more[1], "dimension": "length"}}
            self.ask("edit", moved=moved, revision=revision)
        elif what == "type":
            self.ask("write_text", text=self.page.open.text + more[0], revision=revision)
        elif what in ("undo", "redo"):
            self.ask("step", forth=what == "redo", revision=revision)
        elif what == "save":
            self.ask("save", revision=revision)
        elif what == "reload":
            shown = self.page.open.text
            assert self.ask("state")["text"] == shown
        elif what == "kill":
            shown = self.page.open.text
            self.start()
            assert self.page.open.text == shown
        elif what.startswith("kill"):
            self.die(what.split()[1])
        elif what == "editor":
            self.saved = self.outside = f"{self.saved}# from an editor\n"
            self.file.write_bytes(self.saved.encode())
        elif what in ("take", "keep"):
            self.ask("settle", take=what == "take", revision=revision)
        elif what == "rubbish":
            self.ask("edit", changes={"body.main.length": "68 pigs"}, revision=revision)
        else:
            before = self.page.open.text
            try:
                self.ask("edit", changes={"plate.lip.angle": "33 deg"}, revision=revision - 1)
            except Exception as stale:
                assert type(stale).__name__ == "StaleError"
            assert self.page.open.text == before


@mock.patch("sim.page.app.drawing", return_value={})  # what is drawn and said of the lure is tried elsewhere
@mock.patch("sim.page.answers.at_rest", return_value={})
@drawn(8, 200)
@given(steps)
def test_the_file_is_always_a_design_and_what_the_page_showed_as_saved(drawn, said, sequence):
    with tempfile.TemporaryDirectory() as place:
        session = Session(Path(place))
        for step in sequence:
            session.do(*step)
            on_disk = session.file.read_bytes().decode()
            read(on_disk, "lure")
            assert on_disk == session.saved, step
            left = {path.name for path in Path(place).iterdir()}
            assert left <= {"lure.toml", "drafts"}, left
        session.page.close()
