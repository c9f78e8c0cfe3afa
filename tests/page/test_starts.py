"""What the page offers where no file is open, and that each of it is a lure that swims."""

import pytest

from sim.disk import write_whole
from sim.page import starts
from sim.page.app import Page
from sim.page.starts import OWN, STARTS
from tests.page.conftest import SCENARIOS, ask, browser


@pytest.fixture
def empty(tmp_path, drafts):
    folder = tmp_path / "empty"
    folder.mkdir()
    page = Page(folder, None, drafts, write_whole)
    yield page
    page.close()


@pytest.mark.parametrize("name", STARTS)
def test_every_start_is_written_opened_and_swims(empty, name):
    client = browser(empty)
    state, status = ask(client, "begin", kind="start", name=name, file="mine.toml")
    assert status == 200
    assert state["problems"] == []
    assert state["drawing"]["handles"]
    assert not state["unsaved"]
    swum, status = ask(client, "swim", kind="pull", tie_on=state["tie_ons"][0], speed=state["speeds"][0])
    assert status == 200
    assert swum["words"]["blocks"]


def test_a_printed_body_comes_from_a_mesh_of_the_folder_where_there_is_one(empty):
    client = browser(empty)
    bodies = SCENARIOS.parent / "docs" / "how-to" / "bodies"
    (empty.folder / "part.stl").write_bytes((bodies / "printed.stl").read_bytes())
    offered = [start for start in ask(client, "state")[0]["starts"] if start.get("mesh")]
    assert [start["does"] for start in offered] == ["a printed body, from part.stl of this folder"]
    state, status = ask(client, "begin", **offered[0], file="part.toml")
    assert status == 200
    assert 'file = "part.stl"' in state["text"]
    assert sorted(path.name for path in empty.folder.iterdir()) == ["part.stl", "part.toml"]


def test_a_start_writes_over_nothing_and_takes_no_mesh_from_elsewhere(empty):
    client = browser(empty)
    (empty.folder / "mine.stl").write_text("my own")
    answer, status = ask(client, "begin", kind="start", name="printed", file="mine.toml")
    assert status == 400
    assert answer["message"] == "mine.stl is there already; give another name."
    assert (empty.folder / "mine.stl").read_text() == "my own"
    given = {"kind": "start", "name": "printed", "file": "x.toml", "mesh": "../part.stl"}
    assert ask(client, "begin", **given)[1] == 404


def test_the_demos_are_offered_and_open_under_a_name_of_your_own(empty):
    client = browser(empty)
    names = [start["name"] for start in ask(client, "state")[0]["starts"] if start["kind"] == "demo"]
    assert names == sorted(path.stem for path in SCENARIOS.glob("*.toml"))
    state, status = ask(client, "begin", kind="demo", name=names[0], file="demo.toml")
    assert (status, state["file"]) == (200, "demo.toml")


def test_an_installed_program_finds_its_demos_where_they_were_installed(tmp_path, monkeypatch):
    at = tmp_path / "share" / "drytank" / "scenarios"
    at.mkdir(parents=True)
    (at / "one.toml").write_text("")
    monkeypatch.setattr(starts, "__file__", str(tmp_path / "lib" / "sim" / "page" / "starts.py"))
    monkeypatch.setattr("sys.prefix", str(tmp_path))
    assert starts.demos(tmp_path / "bench") == {"one": at / "one.toml"}


def test_a_new_file_may_be_named_without_its_ending(empty):
    state, status = ask(browser(empty), "begin", kind="start", name="carved", file=" my pike ")
    assert (status, state["file"]) == (200, "my pike.toml")


def test_the_makers_own_numbers_go_into_a_start_and_no_reading_of_the_example_stands_for_theirs(empty):
    client = browser(empty)
    own = {"length": "90 mm", "width": "33 mm", "height": "20 mm", "weight": "21 g", "cavity": "14 mL"}
    state, status = ask(client, "begin", kind="start", name="found", file="toy.toml", own=own)
    assert status == 200
    assert [row for row in state["text"].splitlines() if row.startswith("displaced")] == []
    assert 'weight = "21 g"' in state["text"]
    assert 'at = { back = "90.0 mm", up = "-2.3 mm" }' in state["text"]  # the hook at its tail
    state, _ = ask(
        client, "begin", kind="start", name="found", file="toy2.toml", own=own | {"length": "45 mm"}
    )
    assert state["rest"]["floats"] == "cannot be told"  # those cannot all be true
    assert "Sinks" not in " ".join(state["rest"]["headline"])


def test_own_numbers_that_cannot_be_are_told_and_no_file_is_written(empty):
    answer, status = ask(
        browser(empty), "begin", kind="start", name="blade", file="x.toml", own={"thickness": "1 mL"}
    )
    assert status == 422
    assert {problem["path"] for problem in answer["problems"]} == {
        "plate.front.thickness",
        "plate.rear.thickness",
    }
    assert list(empty.folder.iterdir()) == []


@pytest.mark.parametrize("name", OWN)
def test_every_number_that_a_start_asks_for_is_a_key_of_its_file(empty, name):
    offered = {start["name"]: start for start in ask(browser(empty), "state")[0]["starts"]}[name]
    assert all(one["example"] and one["help"] for one in offered["asks"])
    own = {one["key"]: one["example"] for one in offered["asks"]}
    state, status = ask(browser(empty), "begin", kind="start", name=name, file=f"{name}.toml", own=own)
    assert (status, state["problems"]) == (200, [])
