"""The commands that write figures and tables to files."""

import json
from pathlib import Path

import pytest

from docs.tools import pictures as documented
from sim.cli import main
from sim.cli.pictures import KINDS, TABLES
from sim.show import tables
from sim.show.picture import picture

FILE = "scenarios/tin_leaf.toml"


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_picture_is_written(kind, tmp_path, capsys):
    target = tmp_path / "out.svg"
    assert main(["picture", FILE, kind, "-o", str(target), "--units", "us"]) == 0
    assert target.read_text().startswith("<svg")
    assert capsys.readouterr().out == f"Wrote {target}.\n"
    assert [path.name for path in tmp_path.iterdir()] == ["out.svg"]


def test_a_picture_is_named_after_its_file_and_kind(tmp_path, monkeypatch):
    source = Path(FILE).resolve()
    monkeypatch.chdir(tmp_path)
    assert main(["picture", str(source), "weights"]) == 0
    assert (tmp_path / "tin_leaf-weights.png").read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(("command", "known"), [("picture", KINDS), ("csv", TABLES)])
def test_without_a_kind_every_kind_is_told_with_what_it_shows(command, known, capsys):
    assert main([command, FILE]) == 2
    rows = [line.split(maxsplit=1) for line in capsys.readouterr().err.splitlines()[1:]]
    assert rows == [[name, what] for name, what in known.items()]


@pytest.mark.parametrize("name", TABLES)
def test_every_table_is_written_and_read_back(name, tmp_path):
    sheet, data = tmp_path / "run.csv", tmp_path / "run.json"
    for target in (sheet, data):
        assert main(["csv", FILE, name, "-o", str(target), "--speed", "0.5 m/s", "--every", "0.1 s"]) == 0
    read = tables.from_csv(sheet.read_text())
    assert read == tables.from_json(data.read_text())
    assert json.loads(data.read_text())["design"]
    assert sheet.read_bytes().isascii()


def test_a_table_without_a_file_goes_to_the_screen(capsys):
    assert main(["csv", FILE, "budget"]) == 0
    assert capsys.readouterr().out.startswith("part,kind,mass_g,displaced_ml")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["picture", FILE, "sits", "-o", "a.gif"], "-o a.gif: end the name in .png or .svg, as in -o a.png"),
        (
            ["picture", FILE, "sitz"],
            "There is no picture 'sitz'. Name one of these after the file, as in: drytank pic",
        ),
        (
            ["picture", FILE],
            "Which picture? Name one after the file, as in: drytank picture scenarios/tin_leaf.toml sit",
        ),
        (["picture"], "as in: drytank picture lure.toml sits"),
        (
            ["csv", FILE],
            "Which table? Name one after the file, as in: drytank csv scenarios/tin_leaf.toml budget",
        ),
        (["csv", FILE, "drop", "-o", "a.xls"], "-o a.xls: end the name in .csv or .json, as in -o a.csv"),
        (["picture", FILE, "depth", "--tie-on", "hat"], "has no tie-on point of that name. It has: hole."),
        (["csv", FILE, "retrieve", "--speed", "5"], "--speed: "),
        (["csv", FILE, "drop", "--every", "0 s"], "--every: "),
        (
            ["csv", FILE, "budget", "-o", "no/such/folder/a.csv"],
            "-o no/such/folder/a.csv: there is no folder no/such/folder; make it first",
        ),
    ],
)
def test_bad_words_get_a_sentence_and_no_file(words, message, capsys, tmp_path, monkeypatch):
    assert main(words) == 2
    assert message in capsys.readouterr().err


def test_the_documentation_shows_every_kind_of_picture():
    shown = [kind for _, kinds in documented.DOCUMENTED for kind in kinds]
    assert sorted(shown) == sorted(KINDS)
    assert {f"{kind}.svg" for kind in KINDS} <= {path.name for path in Path("docs/pictures").iterdir()}


def test_the_screen_in_the_readme_is_what_its_command_prints():
    kept = Path("docs/pictures/trial.svg").read_text(encoding="utf-8")
    assert picture(documented.answered(documented.SCREEN)) == kept


def test_the_pictures_of_the_documentation_are_made_by_one_command(tmp_path, monkeypatch):
    monkeypatch.setattr(documented, "DOCUMENTED", ((FILE, ("weights",)),))
    monkeypatch.setattr(documented, "COMMANDS", {"sits.svg": (f"picture {FILE} sits", "-o")})
    monkeypatch.setattr(documented, "SCREEN", f"budget {FILE}")
    assert documented.main([str(tmp_path / "new")]) == 0
    assert sorted(path.name for path in (tmp_path / "new").iterdir()) == [
        "sits.svg",
        "trial.svg",
        "weights.svg",
    ]
