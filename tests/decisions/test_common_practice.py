"""What makers know of pulled lures: the written study is what the model gives, on a few live cases."""

import json
from pathlib import Path

import pytest

from tests.decisions import common_practice
from tests.decisions.common_practice import CASES, COUNT, case, summary

WRITTEN = json.loads(
    Path(common_practice.__file__).with_name("common_practice.json").read_text(encoding="utf-8")
)
LIVE = (0, 5, 10, 14, 41, 62, 66, 82, 104)


@pytest.mark.parametrize("k", LIVE)
def test_a_live_case_comes_out_as_written(k):
    assert case(k) == WRITTEN["rows"][k]


def test_the_summary_counts_every_case_once():
    assert WRITTEN["summary"] == summary(WRITTEN["rows"])
    assert sum(n["of"] for n in WRITTEN["summary"].values()) == COUNT == len(CASES)


def test_most_lures_run_to_the_side_that_their_eye_is_bent_to():
    bent = next(iter(WRITTEN["summary"].values()))
    assert bent["come"] >= 0.7 * bent["of"]
