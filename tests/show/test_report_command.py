"""`drytank report`: where it writes, what it refuses. The page itself is made up here."""

import types

import pytest

from sim.cli import main
from sim.design.starter import STARTER
from sim.lure import BuildError

PAGE = '<!DOCTYPE html><meta name="generator" content="drytank 0.1.0"><p>report'


@pytest.fixture
def design(tmp_path):
    path = tmp_path / "lure.toml"
    path.write_text(STARTER, encoding="utf-8")
    return path


@pytest.fixture
def asked(monkeypatch):
    """What was asked for, with a made-up page for an answer."""
    asked = {}

    def gather(design, source, like=None, builds=None, beside=None):
        asked.setdefault("sources", []).append(source)
        result = types.SimpleNamespace(cautions=[])
        return types.SimpleNamespace(design=design, recordings=asked.get("recordings", []), result=result)

    def report(entry, other=None, units=None):
        asked["pair"] = (entry, other)
        asked["units"] = units.name

    monkeypatch.setattr("sim.studies.dossier.gather", gather)
    monkeypatch.setattr("sim.show.pages.report.report", report)
    monkeypatch.setattr("sim.show.writers.html.write", lambda *_: PAGE)
    monkeypatch.setattr("sim.compiled.is_compiled", lambda: True)
    return asked


def test_the_report_stands_where_it_was_asked_for(design, asked, capsys):
    target = design.with_name("out.html")
    assert main(["report", str(design), "-o", str(target)]) == 0
    assert target.read_text(encoding="utf-8") == PAGE
    assert str(target) in capsys.readouterr().out
    assert asked["sources"] == [STARTER]
    assert [path.name for path in design.parent.iterdir() if path.name.startswith(".")] == []


def test_without_a_name_it_takes_the_design_files(design, asked):
    assert main(["report", str(design)]) == 0
    assert design.with_suffix(".html").exists()


def test_a_second_report_takes_the_place_of_the_first(design, asked):
    assert main(["report", str(design)]) == 0
    assert main(["report", str(design)]) == 0


def test_a_page_that_is_no_report_is_left_alone(design, asked, capsys):
    other = design.with_name("mine.html")
    other.write_text("<p>my own page", encoding="utf-8")
    assert main(["report", str(design), "-o", str(other)]) == 2
    assert other.read_text(encoding="utf-8") == "<p>my own page"
    said = capsys.readouterr().err
    assert "is there already" in said
    assert "-o" in said


def test_a_design_file_is_never_written_over(design, asked, capsys):
    assert main(["report", str(design), "-o", str(design)]) == 2
    assert design.read_text(encoding="utf-8") == STARTER
    assert "-o lure.html" in capsys.readouterr().err


def test_a_folder_that_is_not_there_is_told(design, asked, capsys):
    assert main(["report", str(design), "-o", str(design.parent / "none" / "out.html")]) == 2
    assert "there is no folder" in capsys.readouterr().err


def test_two_designs_and_units_are_handed_on(design, asked):
    other = design.with_name("other.toml")
    other.write_text(STARTER.replace('name = "', 'name = "Other '), encoding="utf-8")
    assert main(["report", str(design), "--compare", str(other), "--units", "us"]) == 0
    assert asked["units"] == "us"
    assert asked["pair"][1].design.name.startswith("Other")


def test_a_fault_in_either_file_is_told_with_its_name(design, asked, capsys):
    assert main(["report", str(design), "--compare", str(design.with_name("none.toml"))]) == 2
    assert "none.toml" in capsys.readouterr().err
    assert not design.with_suffix(".html").exists()


def test_a_design_that_cannot_be_built_is_told(design, asked, capsys, monkeypatch):
    def refuse(*_):
        raise BuildError("the fill is heavier than its cavity can hold")

    monkeypatch.setattr("sim.studies.dossier.gather", refuse)
    assert main(["report", str(design)]) == 2
    assert "lure.toml: the fill is heavier" in capsys.readouterr().err


def test_a_run_that_was_given_up_ends_with_status_3(design, asked, capsys):
    asked["recordings"] = [types.SimpleNamespace(gave_up=True)]
    assert main(["report", str(design)]) == 3
    assert design.with_suffix(".html").exists()
    assert "gave up" in capsys.readouterr().err
