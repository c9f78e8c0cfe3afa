"""Found things with a known truth: how often the interval holds, and that no sure answer is wrong but by chance."""

import json
from pathlib import Path

import numpy as np
import pytest

from sim.bench.found import FULLNESS, FULLNESS_SD
from tests.decisions import found_in_files, found_things
from tests.decisions.found_things import COUNT, case, fullness, summary

LIVE = 30  # of the things that are written into a design file, in every test run
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


def test_a_design_file_with_three_sizes_is_hardly_ever_surely_wrong():
    found = found_in_files.summary([found_in_files.case(k) for k in range(LIVE)])
    assert found["sure"] > LIVE / 4
    assert found["sure_but_wrong"] <= 1  # of the study: 1 of 93
    open_ = found["things"] - found["refused"] - found["cannot_be_told"] - found["sure"]
    assert found["unsure_and_names_next"] == open_
    assert found["interval_holds"] >= 0.7


def test_the_written_study_of_design_files_is_as_promised():
    found = json.loads(Path(found_in_files.__file__).with_name("found_in_files.json").read_text())["summary"]
    assert found["sure_but_wrong"] < 0.02 * found["sure"]


def test_the_prior_of_the_fullness_is_what_other_shapes_have():
    logs = np.log(np.concatenate(list(fullness().values())))
    assert np.exp(np.median(logs)) == pytest.approx(FULLNESS, rel=0.03)
    assert logs.std() == pytest.approx(FULLNESS_SD, abs=0.02)
