"""The planted makers: few of them live, and the written results held to what is promised."""

import json
import math
from pathlib import Path

import numpy as np
import pytest

from sim.design.paths import leaves
from tests.decisions import coverage
from tests.decisions.coverage import case, murphy, reliability, section, summary
from tests.decisions.makers import maker

WRITTEN = Path(coverage.__file__).with_name("coverage.json")
LIVE, BUILDS = 42, 19  # makers; between the ends of 19 builds lies the next nine times in ten


def test_the_truth_lies_between_the_percentiles_as_often_as_they_say():
    rows = [case(k, BUILDS, ("budget",), pulls=0) for k in range(LIVE)]
    found = summary(rows)["by_figure"]
    for name in ("budget.margin_g", "budget.mass_g", "budget.displaced_ml"):
        assert found[name] >= 0.9 - 3.0 * math.sqrt(0.09 / LIVE)


def test_the_file_of_a_maker_does_not_tell_the_truth():
    made = maker(coverage.SEED, 5)
    read, true = leaves(made.design), leaves(made.truth)
    apart = [path for path in true if path not in read or true[path].value != read[path].value]
    assert "ballast.belly.weight" in apart
    assert "body.main.density" in apart  # the file names the wood, no more
    assert "calibration.shedding" in apart
    assert all(read[path].value == 1.0 for path in read if path.startswith("calibration."))
    assert made.design.name in made.text


def test_a_maker_is_the_same_every_time_and_unlike_the_next():
    assert maker(coverage.SEED, 5).text == maker(coverage.SEED, 5).text
    assert maker(coverage.SEED, 5).text != maker(coverage.SEED, 12).text


def test_readings_are_off_by_as_much_as_they_say():
    off = []
    for k in range(5, 5 + 7 * 12, 7):
        made = maker(coverage.SEED, k)
        true = leaves(made.truth)
        off += [
            (true[path].value - told.value) / told.sd
            for path, told in leaves(made.design).items()
            if told.sd > 0.0 and not path.startswith("calibration.")
        ]
    assert len(off) > 80
    assert np.std(off) == pytest.approx(1.0, abs=0.25)
    assert abs(np.mean(off)) < 0.35


# ---- scores -------------------------------------------------------------------------------------------


def test_the_parts_of_the_brier_score_add_up():
    draw = np.random.default_rng(4)
    events = [(float(share), bool(draw.random() < share)) for share in draw.random(500)]
    parts = murphy(events)
    whole = parts["reliability"] - parts["resolution"] + parts["uncertainty"] + parts["within_bins"]
    assert parts["score"] == pytest.approx(whole, abs=1e-4)
    assert parts["reliability"] < 0.01


def test_a_sure_and_right_forecast_scores_nothing_and_a_boastful_one_is_found_out():
    assert murphy([(1.0, True), (0.0, False)])["score"] == 0.0
    boast = murphy([(0.95, k % 2 == 0) for k in range(100)])
    assert boast["reliability"] == pytest.approx(0.45**2, abs=1e-4)
    assert boast["skill"] < 0.0


def test_none_and_all_of_the_builds_stand_apart_in_the_table():
    table = reliability([(0.0, False), (0.05, False), (0.95, True), (1.0, True)])
    assert [row["forecast"] for row in table] == [0.0, 0.05, 0.95, 1.0]


# ---- what is written ----------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def written():
    return json.loads(WRITTEN.read_text(encoding="utf-8"))


def test_the_written_summary_is_that_of_its_rows(written):
    assert written["seed"] == coverage.SEED
    assert written["summary"] == json.loads(json.dumps(summary(written["rows"])))


def test_ninety_in_a_hundred_means_ninety_in_a_hundred(written):
    """85 to 95, as far as so many makers can tell it: two standard errors either way."""
    for name, one in written["summary"]["coverage"].items():
        low, high = one["held"] - 2.0 * one["error"], one["held"] + 2.0 * one["error"]
        assert low <= 0.95, name
        assert high >= 0.85, name
    assert 0.85 <= written["summary"]["coverage"]["all"]["held"] <= 0.95


def test_shares_of_builds_are_honest_forecasts(written):
    for name, one in written["summary"]["brier"].items():
        assert one["reliability"] < 0.03, name
        assert one["skill"] > 0.3, name


def test_the_page_tells_what_was_found(written):
    text = section(written)
    assert f"{written['summary']['makers']} made-up makers" in text
    assert "| budget and float |" in text
