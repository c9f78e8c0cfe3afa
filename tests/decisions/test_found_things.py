"""Found things with a known truth: how often the interval holds, and that no sure answer is wrong but by chance."""

import json
from pathlib import Path

import numpy as np
import pytest

from sim.bench.found import FULLNESS, FULLNESS_SD
from tests.decisions import found_things
from tests.decisions.found_things import COUNT, case, fullness, summary

WRITTEN = Path(found_things.__file__).with_name("found_things.json")


@pytest.fixture(scope="module")
def rows():
    return [case(k) for k in range(COUNT)]


def test_the_interval_holds_nine_times_in_ten_and_a_sure_verdict_is_hardly_ever_wrong(rows):
    found = summary(rows)
    assert 0.85 <= found["interval_holds"] <= 0.95
    assert found["sure"] > COUNT / 4
    assert found["sure_but_wrong"] < 0.02 * found["sure"]


def test_the_one_reading_named_first_takes_doubt_away_and_settles_most(rows):
    found = summary(rows)
    assert found["doubt_falls"] >= 0.95
    assert found["settled_after_one_reading"] >= 0.80
    assert found["wrong_after_one_reading"] < 0.02 * COUNT


def test_the_written_study_is_what_the_code_gives(rows):
    assert json.loads(WRITTEN.read_text(encoding="utf-8"))["summary"] == summary(rows)


def test_the_prior_of_the_fullness_is_what_other_shapes_have():
    logs = np.log(np.concatenate(list(fullness().values())))
    assert np.exp(np.median(logs)) == pytest.approx(FULLNESS, rel=0.03)
    assert logs.std() == pytest.approx(FULLNESS_SD, abs=0.02)
