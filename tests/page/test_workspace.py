"""The file stays the truth: steps, saving, drafts, and a file that was changed elsewhere."""

import pytest

from sim.cli.open import rewritten
from sim.design.load import DesignError, read
from sim.disk import write_whole
from sim.page.workspace import StaleError, Workspace


@pytest.fixture
def space(lure, drafts):
    return Workspace(lure, drafts)


def test_an_edit_changes_one_line_and_keeps_the_comments(space):
    before = space.text.splitlines()
    space.change({"plate.lip.angle": "25 deg"}, 0)
    apart = [(a, b) for a, b in zip(before, space.text.splitlines(), strict=True) if a != b]
    assert [b for _, b in apart] == ['angle = "25 deg"']
    assert space.text.startswith("# Cellar Door")


def test_a_change_that_cannot_be_is_refused_and_nothing_is_lost(space):
    text = space.text
    with pytest.raises(DesignError):
        space.change({"plate.lip.angle": "25 horses"}, 0)
    assert (space.text, space.revision, space.undo) == (text, 0, [])


def test_steps_go_back_and_forth_without_end(space):
    texts = [space.text]
    for k in range(30):
        space.change({"plate.lip.angle": f"{20 + k + 1} deg"}, space.revision)
        texts.append(space.text)
    for text in reversed(texts[:-1]):
        space.step_back(space.revision)
        assert space.text == text
    for text in texts[1:]:
        space.step_forth(space.revision)
        assert space.text == text


def test_an_edit_of_an_older_revision_is_refused(space):
    space.change({"plate.lip.angle": "25 deg"}, 0)
    with pytest.raises(StaleError):
        space.change({"plate.lip.angle": "26 deg"}, 0)


def test_a_killed_server_loses_nothing(space, lure, drafts):
    space.change({"plate.lip.angle": "25 deg"}, 0)
    space.write(space.text + "\nbroken = ", 1)
    again = Workspace(lure, drafts)
    assert again.text == space.text
    assert again.restored
    again.step_back(0)
    assert read(again.text, "lure").plate["lip"].angle.text == "25 deg"


def test_saving_takes_the_draft_away(space, lure, drafts):
    space.change({"plate.lip.angle": "25 deg"}, 0)
    assert list(drafts.iterdir())
    space.save(1, write_whole)
    assert lure.read_text(encoding="utf-8") == space.text
    assert not list(drafts.iterdir())
    assert not Workspace(lure, drafts).restored


def test_saving_keeps_a_byte_order_mark(lure, drafts):
    lure.write_text(f"\ufeff{lure.read_text(encoding='utf-8')}", encoding="utf-8")
    space = Workspace(lure, drafts)
    space.change({"plate.lip.angle": "25 deg"}, 0)
    space.save(1, rewritten)
    assert lure.read_text(encoding="utf-8") == f"\ufeff{space.text}"


def test_a_file_changed_elsewhere_is_not_written_over(space, lure):
    space.change({"plate.lip.angle": "25 deg"}, 0)
    lure.write_text(lure.read_text(encoding="utf-8") + "# from an editor\n", encoding="utf-8")
    assert space.changed_outside()
    with pytest.raises(FileExistsError):
        space.save(1, write_whole)
    assert "# from an editor" in lure.read_text(encoding="utf-8")
    space.keep_mine(1)
    space.save(1, write_whole)
    assert lure.read_text(encoding="utf-8") == space.text


def test_the_file_of_an_editor_can_be_taken_and_that_undone(space, lure):
    space.change({"plate.lip.angle": "25 deg"}, 0)
    mine = space.text
    lure.write_text(lure.read_text(encoding="utf-8") + "# from an editor\n", encoding="utf-8")
    space.take_file(1)
    assert space.text.endswith("# from an editor\n")
    space.step_back(space.revision)
    assert space.text == mine


def test_a_text_that_is_no_design_is_not_saved(space, lure):
    before = lure.read_text(encoding="utf-8")
    space.write("nonsense = ", 0)
    with pytest.raises(DesignError):
        space.save(1, write_whole)
    assert lure.read_text(encoding="utf-8") == before


def test_a_full_disk_costs_the_draft_only(space, monkeypatch):
    def full(*_, **__):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("sim.page.workspace.tempfile.mkstemp", full)
    space.change({"plate.lip.angle": "25 deg"}, 0)
    assert "25 deg" in space.text
