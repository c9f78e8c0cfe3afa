"""`compare`, `map` and `vary` as they are typed: answers, files, and what is refused."""

import json
import subprocess
import sys

import pytest

from sim import __version__
from sim.cli import main
from sim.studies.record import read
from tests.studies.work import RUNNER, SCENARIOS, TEXT

FILE = str(RUNNER)
QUICK = ("--workers", "1")


@pytest.fixture
def short(tmp_path):
    """The runner, pulled for a second."""
    path = tmp_path / "runner.toml"
    path.write_text(TEXT + 'duration = "1.2 s"\n', encoding="utf-8")
    return str(path)


def refused(capsys, *words):
    """The message of a refused command: status 2, nothing on standard output."""
    try:
        status = main([*words])
    except SystemExit as stop:
        status = stop.code
    out, err = capsys.readouterr()
    assert (status, out) == (2, "")
    return err


# ---- answers ------------------------------------------------------------------------------------------


def test_compare_changes_of_one_design(short, tmp_path, capsys):
    picture = tmp_path / "angles.svg"
    asked = [
        "compare",
        short,
        "--set",
        "lip.angle=25deg,75deg",
        "--speed",
        "0.9 m/s",
        "--figure",
        str(picture),
    ]
    assert main([*asked, *QUICK]) == 0
    out, err = capsys.readouterr()
    assert out.startswith("Thimble Oar: lip.angle 25deg / 75deg\n\nWhat differs most: ")
    assert err == f"Wrote {picture}.\n"
    assert picture.read_text().startswith("<svg")


def test_compare_design_files(tmp_path, short, capsys):
    other = tmp_path / "second.toml"
    other.write_text((SCENARIOS / "porch_light.toml").read_text(), encoding="utf-8")
    assert main(["compare", short, str(other), "--tie-on", "nose", "--speed", "0.5 m/s", *QUICK]) == 0
    out, err = capsys.readouterr()
    assert out.startswith("Thimble Oar against Porch Light\n")
    assert "runner" in out
    assert "second" in out
    assert "Look again: the files also differ in " in err


def test_the_json_of_a_comparison_holds_every_row(short, capsys):
    asked = ["compare", short, "--set", "lip.angle=25deg,75deg", "--speed", "0.9 m/s", "--json", *QUICK]
    assert main(asked) == 0
    answer = json.loads(capsys.readouterr().out)
    assert (answer["version"], answer["subject"]) == (__version__, "plate.lip.angle")
    rows = answer["rows"]
    assert [(row["variant"], row["tie_on"], row["speed_m_s"]) for row in rows] == [
        ("25deg", None, None), ("75deg", None, None),
        ("25deg", "nose", 0.9), ("75deg", "nose", 0.9), ("25deg", "lip", 0.9), ("75deg", "lip", 0.9),
    ]  # fmt: skip
    assert rows[0]["budget.verdict"] == "floats"
    assert rows[2]["retrieve.depth_m"] > rows[3]["retrieve.depth_m"]


def test_map_writes_letters_a_picture_and_rows(short, tmp_path, capsys):
    picture, table = tmp_path / "map.png", tmp_path / "map.csv"
    asked = [
        "map",
        short,
        "--grid",
        "3x2",
        "--speed",
        "0.9 m/s",
        "--figure",
        str(picture),
        "-o",
        str(table),
        *QUICK,
    ]
    assert main(asked) == 0
    first = capsys.readouterr()
    assert first.out.startswith("Thimble Oar: where the tie-on point nose is put\n\nAt 0.90 m/s. Across: ")
    assert picture.read_bytes().startswith(b"\x89PNG")
    assert len(read(table)) == 3  # one of six is deep in the wood, two are in open water
    assert "blank: no place for an eye" in " ".join(first.out.split())
    assert main(asked) == 0  # all rows are there: the same map without a run
    again = capsys.readouterr()
    assert again.out == first.out
    assert again.err == f"3 of 3 runs are in {table} already, which is all.\nWrote {picture}.\n"


def test_a_map_tries_only_places_of_an_eye_and_all_of_those_that_are_told(short, tmp_path, capsys):
    """As the page does, and with what is the same in all runs; none left is said before anything runs."""
    table = tmp_path / "map.csv"
    back, up = "--x=tie_on.nose.at.back=0mm..30mm", "--y=tie_on.nose.at.up=0mm..1mm"
    assert main(["map", short, back, up, "--grid", "2x2", "-o", str(table), *QUICK]) == 0
    assert len(read(table)) == 4
    capsys.readouterr()
    higher = ["--set", "body.main.stations.3.height=40mm", "--set", "lip.length=8mm"]
    assert main(["map", short, "--grid", "2x2", *higher, *QUICK]) == 2
    assert "no place of --grid 2x2 is one for an eye; give a finer one" in capsys.readouterr().err


def test_map_over_two_numbers_at_two_speeds_as_json(short, capsys):
    asked = ["map", short, "--x", "lip.angle=30deg..60deg", "--y", "speed=0.4m/s..0.9m/s", "--grid", "2x3"]
    assert main([*asked, "--json", *QUICK]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["x"] == {"path": "plate.lip.angle", "unit": "deg", "values": [30.0, 60.0]}
    assert answer["y"]["values"] == [0.4, 0.65, 0.9]
    (panel,) = answer["panels"]
    assert panel["speed_m_s"] is None
    assert [len(row) for row in panel["behaviours"]] == [2, 2, 2]


def test_vary_writes_rows_and_says_what_they_hold(short, tmp_path, capsys):
    table = tmp_path / "v.csv"
    asked = [
        "vary",
        short,
        "--vary",
        "lip.angle=30deg..60deg",
        "--set",
        "lip.outline=straight,round",
        "--steps",
        "2",
    ]
    assert main([*asked, "--tie-on", "nose", "--speed", "0.9 m/s", "-o", str(table), *QUICK]) == 0
    out, err = capsys.readouterr()
    assert f" 4 runs in {table}." in " ".join(out.split())
    assert err == ""
    assert [(row["plate.lip.angle_deg"], row["plate.lip.outline"]) for row in read(table)] == [
        ("30.0", "straight"), ("30.0", "round"), ("60.0", "straight"), ("60.0", "round")
    ]  # fmt: skip


def test_vary_by_samples_prints_its_seed_and_asks_what_it_is_told(tmp_path, capsys):
    table = tmp_path / "v.csv"
    asked = [
        "vary",
        FILE,
        "--vary",
        "lip.angle=30deg..60deg",
        "--count",
        "5",
        "--only",
        "drop,budget",
        "--seed",
        "9",
    ]
    assert main([*asked, "-o", str(table), *QUICK]) == 0
    assert capsys.readouterr().err == "Seed 9.\n"
    rows = read(table)
    assert len(rows) == 5
    assert all(float(row["drop.sink_rate_m_s"]) < 0 and row["budget.verdict"] == "floats" for row in rows)
    assert "retrieve.behaviour" not in rows[0]
    assert "# samples: 5, sobol, seed 9\n" in table.read_text()


def test_rows_without_an_answer_are_counted(tmp_path, capsys):
    table = tmp_path / "v.csv"
    assert (
        main(
            [
                "vary",
                FILE,
                "--vary",
                "water.temperature=18C,-30C",
                "--only",
                "budget",
                "-o",
                str(table),
                *QUICK,
            ]
        )
        == 0
    )
    out = " ".join(capsys.readouterr().out.split())
    assert " 2 runs in " in out
    assert "1 without an answer; the column `failure` says why." in out
    assert "no answer: 1 run: water.temperature: " in out


def test_what_was_measured_as_a_whole_is_said_to_hide_changes(tmp_path, capsys):
    path = tmp_path / "weighed.toml"
    path.write_text(TEXT + '[measured]\nweight = "9.4 g"\n', encoding="utf-8")
    asked = [
        "vary",
        str(path),
        "--vary",
        "ballast.belly.weight=1g,3g",
        "--only",
        "budget",
        "-o",
        str(tmp_path / "v.csv"),
    ]
    assert main([*asked, *QUICK]) == 0
    assert (
        "Look again: [measured] gives weight of the whole lure, which beats what the parts"
        in capsys.readouterr().err
    )


# ---- as a page ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("compare", "{file}", "--set", "lip.angle=25deg,75deg", "--speed", "0.9 m/s"), "What differs most"),
        (("map", "{file}", "--grid", "2x2", "--speed", "0.9 m/s"), "of the places; it goes deepest"),
        (
            ("vary", "{file}", "--vary", "lip.angle=30deg..60deg", "--count", "2", "--only", "budget", "--seed", "9",
             "-o", "{table}"),
            "drawn by chance from seed 9",
        ),
    ],
)  # fmt: skip
def test_a_study_is_written_as_a_page_too(words, says, short, tmp_path, capsys):
    page = tmp_path / "page.html"
    given = [word.format(file=short, table=tmp_path / "rows.csv") for word in words]
    assert main([*given, *QUICK, "--report", str(page)]) == 0
    out, err = capsys.readouterr()
    assert err.splitlines()[-1] == f"Wrote {page}."
    assert out
    text = page.read_text(encoding="utf-8")
    assert says.lower() in text.lower()
    assert "runner.toml" in text
    assert main([*given, *QUICK, "--report", str(page)]) == 0, "a report may be written over a report"


@pytest.mark.parametrize(
    "words",
    [
        ("compare", FILE, "--set", "lip.angle=25deg,75deg"),
        ("map", FILE),
        ("vary", FILE, "--vary", "lip.angle=25deg,75deg", "-o", "rows.csv"),
        ("windows", FILE),
    ],
)
def test_a_page_never_takes_the_place_of_anything_else(words, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    mine = tmp_path / "mine.html"
    mine.write_text("<p>mine", encoding="utf-8")
    told = refused(capsys, *words, "--report", "mine.html")
    assert told.startswith("mine.html is there already and was not written by drytank")
    assert "--report" in told
    assert mine.read_text(encoding="utf-8") == "<p>mine"
    assert refused(capsys, *words, "--report", "page.txt").startswith(
        "--report page.txt: end the name in .html"
    )
    assert "there is no folder no" in refused(capsys, *words, "--report", "no/page.html")
    assert [path.name for path in tmp_path.iterdir()] == ["mine.html"], "no work was begun"


# ---- refused ------------------------------------------------------------------------------------------

VARY = ("vary", FILE, "-o", "x.csv")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("compare", FILE, "--set", "lip.angle=30..60deg"), "--set lip.angle=30..60deg: plate.lip.angle = 30: a"),
        (("compare", FILE, "--set", "lip.angle=30deg..60deg"), "list the values to compare, as in lip.angle=30deg,45"),
        (("compare", FILE, "--set", "belly.weight=1g"), "can mean hook.belly.weight, ballast.belly.weight; write the"),
        (("compare", FILE, "--set", "speed=1m/s,2m/s"), "speeds are given with --speed, each on its own"),
        (("compare", FILE, "--set", "water.temperature=9C,-30C"), "--set, -30C: water.temperature: fresh water"),
        (("compare", FILE, FILE, "--set", "lip.angle=30deg"), "--set changes one design, but several files are named"),
        (("compare", FILE), "one design alone has nothing to be compared with; name a second file, or changes of this"),
        (("compare", FILE, FILE), "the same file is named twice; name different ones, or change one with --set"),
        (("compare", FILE, "--set", "lip.angle=1deg", "--set", "lip.angle=2deg"), "plate.lip.angle is given twice"),
        (("compare", FILE, "--set", "lip.angle=1deg", "--tie-on", "tail"), "--tie-on tail: "),
        (("compare", FILE, "--figure", "x.pdf"), "--figure x.pdf: end the name in .png or .svg, as in --figure x.png"),
        (("compare", FILE, "--figure", "no/x.png"), "--figure no/x.png: there is no folder no; make it first"),
        (("compare", FILE, "--set", "lip.angle=1deg", "--workers", "0"), "--workers 0: write a whole number from 1"),
        (("compare", FILE, "--speed", "0.9"), "--speed: a speed needs its unit"),
        (("map", FILE, "--grid", "20"), "--grid 20: write columns x rows, each from 2 to 200, as in --grid 16x10"),
        (("map", FILE, "--grid", "1x5"), "--grid 1x5: write columns x rows"),
        (("map", FILE, "--x", "lip.angle=30deg..60deg"), "--x and --y go together"),
        (("map", FILE, "--x", "lip.angle=30deg", "--y", "lip.length=8mm..9mm"), "--x lip.angle=30deg: give a range"),
        (("map", FILE, "--x", "lip.length=7mm..9mm", "--y", "lip.length=8mm..9mm"), "plate.lip.length is given twice"),
        (("map", FILE, "--set", "lip.angle=30deg,40deg"), "one value here; the two that change are --x and --y"),
        (("map", FILE, "--tie-on", "tail"), "has no tie-on point of that name. It has: nose, lip."),
        (("map", FILE, "-o", "x.png"), "-o x.png: end the name in .csv, as in -o x.csv; a picture is asked for with"),
        (("map", FILE, "--figure", "x.doc"), "--figure x.doc: end the name in .png or .svg, as in --figure x.png"),
        (VARY, "there is nothing to vary; say what and between which ends: --vary lip.angle=30deg..60deg"),
        ((*VARY, "--vary", "lip.angle=30deg..60deg", "--steps", "1"), "--steps 1: write a whole number from 2 to 1000"),
        ((*VARY, "--vary", "lip.angle=30deg..60deg", "--count", "many"), "--count many: write a whole number from"),
        ((*VARY, "--vary", "lip.angle=30deg..60deg", "--seed", "-1"), "--seed -1: write a whole number from 0 to"),
        ((*VARY, "--vary", "lip.angle=30deg..60deg", "--only", "fly"), "'fly' is no part of a trial; write any of"),
        (("vary", FILE, "-o", "x.png", "--vary", "lip.angle=3deg,6deg"), "-o x.png: end the name in .csv, as in"),
        (("vary", FILE, "--vary", "lip.angle=3deg,6deg"), "-o/--output is missing; write, for example, drytank vary"),
        (
            (*VARY, "--vary", "lip.angle=3deg..6deg", "--vary", "lip.length=8mm..9mm", "--steps", "1000"),
            "these are 6000000 runs and 1000000 the most; give fewer values, or --count",
        ),
        ((*VARY, "--vary", "speed=1m/s..2m/s", "--speed", "1 m/s"), "--speed and --vary speed=... exclude each other"),
        (("vary", "nowhere.toml", "-o", "x.csv", "--vary", "lip.angle=3deg,6deg"), "nowhere.toml: there is no such"),
    ],
)  # fmt: skip
def test_input_that_cannot_be_used_is_refused_with_a_way_out(words, message, capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    told = refused(capsys, *words)
    assert message in told
    assert "Traceback" not in told
    assert list(tmp_path.iterdir()) == []  # nothing was begun


def test_a_file_of_another_study_is_left_alone(tmp_path, capsys):
    table = tmp_path / "v.csv"
    table.write_text("a,b\n1,2\n")
    told = refused(capsys, "vary", FILE, "--vary", "lip.angle=3deg,6deg", "-o", str(table))
    assert told == f"-o {table} is there already and is no study of drytank; give another name.\n"
    assert table.read_text() == "a,b\n1,2\n"


def test_a_study_on_the_screen_loads_nothing_that_draws():
    code = (
        "import sys; from sim.cli import main\n"
        f"assert main(['tolerance', {FILE!r}, '--only', 'budget', '--count', '16']) == 0\n"
        "assert 'matplotlib' not in sys.modules"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr


def test_help_and_refusals_load_nothing_heavy():
    code = (
        "import sys; from sim.cli import main\n"
        f"assert main(['vary', {FILE!r}, '-o', 'x.csv', '--vary', 'lip.angle=3g,6g']) == 2\n"
        "heavy = {'numpy', 'scipy', 'numba', 'matplotlib', 'rich', 'distributed'} & set(sys.modules)\n"
        "assert not heavy, heavy"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr
    assert "plate.lip.angle = 3g: " in done.stderr
