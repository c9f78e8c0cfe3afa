"""A study ended at any moment, or whose file was damaged, goes on to the same bytes or says that it cannot."""

import io
import os
from contextlib import redirect_stderr, redirect_stdout

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.cli import main
from tests.properties.sizes import drawn
from tests.properties.test_hostile_arguments import SMALL

VARY = ["--vary", "body.main.length=48mm..52mm", "--steps", "6", "--only", "budget", "--workers", "1"]


@pytest.fixture(scope="module")
def study(tmp_path_factory):
    """A folder with a design and the bytes of a study that nothing interrupted."""
    folder = tmp_path_factory.mktemp("study")
    (folder / "lure.toml").write_text(SMALL)
    assert vary(folder)[0] == 0
    return folder, (folder / "rows.csv").read_bytes()


def vary(folder):
    err = io.StringIO()
    with redirect_stdout(io.StringIO()), redirect_stderr(err):
        status = main(["vary", str(folder / "lure.toml"), *VARY, "-o", str(folder / "rows.csv")])
    return status, err.getvalue()


@drawn(10, 150)
@given(data=st.data())
def test_cut_anywhere_it_goes_on_to_the_same_bytes(study, data):
    folder, whole = study
    begun = whole.index(b"\n1,") + 1
    (folder / "rows.csv").write_bytes(whole[: data.draw(st.integers(begun, len(whole)))])
    assert vary(folder)[0] == 0
    assert (folder / "rows.csv").read_bytes() == whole


@drawn(10, 150)
@given(data=st.data())
def test_with_bytes_changed_anywhere_it_goes_on_or_says_that_it_cannot(study, data):
    folder, whole = study
    at = data.draw(st.integers(0, len(whole) - 1))
    (folder / "rows.csv").write_bytes(whole[:at] + data.draw(st.binary(max_size=4)) + whole[at + 2 :])
    before = (folder / "rows.csv").read_bytes()
    status, err = vary(folder)
    assert status in (0, 2)
    if status == 2:
        assert err.strip()
        assert (folder / "rows.csv").read_bytes() == before


def test_a_study_stopped_by_ctrl_c_keeps_its_rows_and_lets_go_of_its_file(study, monkeypatch):
    folder, whole = study
    (folder / "rows.csv").unlink()
    from sim.studies import record

    add, left = record.StudyFile.add, iter(range(3))

    def stopped(self, cells):
        if next(left, None) is None:
            raise KeyboardInterrupt
        add(self, cells)

    monkeypatch.setattr(record.StudyFile, "add", stopped)
    assert vary(folder)[0] == 130
    monkeypatch.setattr(record.StudyFile, "add", add)
    assert (folder / "rows.csv").read_bytes() != whole
    assert vary(folder)[0] == 0
    assert (folder / "rows.csv").read_bytes() == whole
    assert sorted(os.listdir(folder)) == ["lure.toml", "rows.csv"]
