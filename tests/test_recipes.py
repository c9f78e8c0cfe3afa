"""The recipes of DEVELOPERS.md, carried out on toys: what is added in the places named arrives everywhere."""

import json

import pytest

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
