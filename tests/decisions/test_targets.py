"""Planted targets: a few live, and the written study held to what is promised."""

import json
from pathlib import Path

import numpy as np
import pytest

from tests.decisions import targets

FILE = Path(targets.__file__).with_suffix(".json")


@pytest.fixture(scope="module")
def written():
    return json.loads(FILE.read_text(encoding="utf-8"))


@pytest.mark.parametrize("k", [2, 6])
def test_a_planted_target_is_met_and_nothing_false_is_claimed(k):
    row = targets.case(k)
    assert row["met"]
    assert row["false_claims"] == 0


def test_the_design_as_it_is_is_judged_not_to_do_what_is_wanted():
    """The judge can say no."""
    for k in (2, 6):
        planted = targets.planted(k)
        text = targets._text(targets.LURES[k % len(targets.LURES)])
        assert not targets.shown(text, planted.objectives, np.random.default_rng(1))


def test_the_planted_change_is_judged_to_do_it():
    from sim.design.edit import edited

    for k in (2, 6):
        planted = targets.planted(k)
        text = edited(targets._text(targets.LURES[k % len(targets.LURES)]), planted.hidden.changes)
        assert targets.shown(text, planted.objectives, np.random.default_rng(1))


def test_the_written_study_met_what_is_promised(written):
    assert written["seed"] == targets.SEED
    assert written["summary"] == targets.summary(written["rows"])
    assert written["summary"]["met_share"] >= targets.PROMISED
    assert written["summary"]["false_claims"] == 0


def test_the_written_study_tries_every_lure_and_every_kind_of_want(written):
    rows = written["rows"]
    assert {row["lure"] for row in rows} == set(targets.LURES)
    assert len({row["case"] for row in rows}) == len(rows)
    kinds = {row["kind"] for row in rows}
    assert kinds == set(targets.KINDS) if len(rows) == targets.COUNT else len(kinds) > 4


def test_its_section_tells_the_counts(written):
    told = targets.section(written)
    assert f"Met: {written['summary']['met']} of {written['summary']['targets']}" in told
    assert "claims that the fresh run does not show: 0" in told
