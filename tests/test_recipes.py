"""The recipes of DEVELOPERS.md, carried out on toys: what is added in the places named arrives everywhere."""

import csv
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import sim
from sim import compiled
from sim.cli import main
from sim.design.load import read
from sim.show import values
from sim.show.pages.comparison import comparison
from sim.show.units import METRIC, US
from sim.studies.compare import Comparison, ComparisonRow, _ranked
from sim.studies.engine import run_cases
from sim.studies.parameters import read as parameter
from sim.studies.plan import Plan
from sim.trials.registry import TRIALS, Trial, register
from sim.trials.request import Request, together
from sim.trials.results import METRICS
from tests.show.terminal import terminal
from tests.studies.work import TEXT
from tests.toy_trial import HeavierBudget, ToyResult

DESIGN = read(TEXT, "toy")


@pytest.fixture
def added():
    """Adds a trial for one test."""
    trials, metrics = dict(TRIALS), dict(METRICS)
    yield register
    for table, before in ((TRIALS, trials), (METRICS, metrics)):
        table.clear()
        table.update(before)


def rows_of(part, path="ballast.belly.weight", texts="1 g,9 g"):
    """The rows of a study of one part over some weights of its ballast."""
    plan = Plan("vary", TEXT, (parameter(DESIGN, f"{path}={texts}"),), (part,))
    outcomes = run_cases(TEXT, plan.cases(), workers=1)
    return [dict(zip(plan.headings(), plan.row(outcome), strict=True)) for outcome in outcomes]


def page_of(rows, name):
    """The page of a comparison of two designs that differ in one metric."""
    still = tuple(ComparisonRow(f"lure {k}", {name: row[name]}) for k, row in enumerate(rows))
    return terminal(comparison, "toys", Comparison("design", still, (), _ranked(still, ())))


def test_a_new_quantity_arrives_in_json_text_and_a_study(added):
    added(Trial("budget", HeavierBudget, "tests.toy_budget", moves=False))
    answer = TRIALS["budget"].answer(DESIGN)
    assert json.loads(answer.model_dump_json())["load_n"] == pytest.approx(9.81e-3 * answer.mass_g)
    assert answer.record()["load_n"] == answer.load_n
    rows = rows_of("budget")
    assert rows[0]["budget.load_n"] < rows[1]["budget.load_n"]
    assert values.unit("budget.load_n", US) == "lbf"
    page = page_of(rows, "budget.load_n")
    assert "What differs most: load" in page
    assert "Load" in page


def test_a_new_trial_arrives_in_json_text_and_a_study(added):
    added(Trial("toy", ToyResult, "tests.toy_trial", moves=False))
    answer = TRIALS["toy"].answer(DESIGN)
    assert json.loads(answer.model_dump_json()) == {"coins_g": answer.coins_g, "style": "light"}
    rows = rows_of("toy")
    assert rows[0]["toy.coins_g"] < rows[1]["toy.coins_g"]
    asked = together([Request(("toy",)), Request(("budget",))])
    assert asked.parts == ("budget", "toy")
    assert asked(DESIGN)["toy.style"] == "light"
    assert values.spoken("toy.coins_g", 12.5, METRIC) == "12.50 g"
    assert "weight in coins" in page_of(rows, "toy.coins_g")


# ---- a force ------------------------------------------------------------------------------------------

PACKAGE = Path(sim.__file__).parent
SINKER = str(PACKAGE.parent / "scenarios" / "gravel_bell.toml")

RUN = """
import contextlib, io, json, sys
import sim, sim.forces
sim.__path__.insert(0, "package")
sim.forces.__path__.insert(0, "package/forces")
from sim.cli import main
from sim.design.load import load
from sim.lure import build
from sim.trials import drop
shown = []
for words in json.loads(sys.argv[1]):
    with contextlib.redirect_stdout(io.StringIO()) as out:
        assert main(words) == 0
    shown.append(out.getvalue())
design = load(words[1])
lure = build(design)
off = drop.describe(drop.run(design, lure, coefficients={"balloon": 0.0}), lure)
print(json.dumps([*shown, off.sink_rate_m_s]))
"""
"""Asks the package as it is, but for the files of the recipe: those in `package` are found before its own."""


def with_lines(name, lines, folder):
    """A file of the package with lines added, each before some text that stands there once."""
    text = (PACKAGE / name).read_text(encoding="utf-8")
    for before, line in lines.items():
        assert text.count(before) == 1
        text = text.replace(before, f"{line}\n{before}")
    (folder / name).write_text(text, encoding="utf-8")


@pytest.fixture
def with_a_balloon(tmp_path):
    """Where the recipe is carried out: its files, and a copy of what is compiled, to which only they are new."""
    (tmp_path / "package" / "forces").mkdir(parents=True)
    shutil.copy(Path(__file__).with_name("toy_force.py"), tmp_path / "package" / "forces" / "balloon.py")
    with_lines(
        "coefficients.py",
        {"}\n\nDOUBTED": '    "balloon": Coefficient("pull of a balloon", 0.3),'},
        tmp_path / "package",
    )
    with_lines(
        "forces/account.py",
        {
            "from sim.forces.body": "from sim.forces.balloon import balloon_force",
            "    line_force(t, y": "    balloon_force(kin, c, rows[apart * HOOKS])",
        },
        tmp_path / "package",
    )
    kept = compiled.cache_folder()
    shutil.copytree(kept, tmp_path / "drytank" / kept.name, ignore=shutil.ignore_patterns("*.tmp.*"))
    return tmp_path


def test_a_new_force_arrives_in_json_text_and_a_study(with_a_balloon, capsys):
    asked = (
        ["drop", SINKER, "--json"],
        ["drop", SINKER],
        ["vary", SINKER, "--vary", "calibration.balloon=0.5,1.5", "--only", "drop", "-o", "rows.csv"],
    )
    plain = []
    for words in asked[:2]:
        assert main(words) == 0
        plain.append(capsys.readouterr().out)
    done = subprocess.run(
        [sys.executable, "-c", RUN, json.dumps([*asked[:2], [*asked[2], "--workers", "1"]])],
        cwd=with_a_balloon, capture_output=True, text=True,
        env={**os.environ, "PYTHONPATH": str(PACKAGE.parent), "DRYTANK_CACHE": str(with_a_balloon)},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    *shown, off = json.loads(done.stdout)
    before, after = (json.loads(text)["drop"]["sink_rate_m_s"] for text in (plain[0], shown[0]))
    assert off == before, "switched off, all is as it was"
    assert after < 0.99 * before, "the balloon holds it up"
    assert shown[1] != plain[1]
    with (with_a_balloon / "rows.csv").open(encoding="utf-8") as rows:
        half, more = (
            float(row["drop.sink_rate_m_s"])
            for row in csv.DictReader(line for line in rows if line[0] != "#")
        )
    assert half > after > more
