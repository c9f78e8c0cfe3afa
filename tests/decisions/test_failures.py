"""Planted failures: a few live, and the written results against what is promised."""

from __future__ import annotations

import json
import random
from pathlib import Path

import pytest

from sim.studies.grammar import criteria
from sim.trials.request import whole
from tests.decisions import failures
from tests.decisions.outing import told

WRITTEN = Path(__file__).with_name("failures.json")
LIVE = ("gravel_bell", 3)
"""The demo lure that is quickest to run, and how many cases of it."""


@pytest.fixture(scope="module")
def rows():
    name, count = LIVE
    mine = [k for k in range(failures.COUNT) if failures.SCENARIOS[k % len(failures.SCENARIOS)] == name]
    return [failures.case(k) for k in mine[:count]]


def test_live_cases_name_the_true_cause_among_the_first_three(rows):
    """With 95 of 100 promised, one miss in three cases comes once in seven tries, two once in 140."""
    hits = [row["group"] is not None and row["group"] < 3 for row in rows]
    assert sum(hits) >= len(hits) - 1


def test_live_cases_say_what_is_written_down(rows):
    """Held against `live`: the hundred `rows` are of the model before its line moved (docs/validation.md)."""
    written = {row["case"]: row for row in json.loads(WRITTEN.read_text())["live"]}
    for row in rows:
        assert row["cause"] == written[row["case"]]["cause"]
        assert row["x"] == pytest.approx(written[row["case"]]["x"])


@pytest.mark.parametrize("name", failures.SCENARIOS)
def test_everything_a_maker_would_tell_is_understood_and_true_of_what_swam(name):
    design = failures._scenario(name)[1]
    row = whole(design)(design)
    for text in told(design, row):
        for statement in criteria(design, text):
            assert statement.holds(row), text
    assert all(criteria(design, text) for text in told(design, row, random.Random(1)))


def test_the_written_results_keep_the_promise():
    found = json.loads(WRITTEN.read_text())
    assert len(found["rows"]) == failures.COUNT
    assert found["seed"] == failures.SEED
    assert found["summary"] == failures.summary(found["rows"])
    assert found["summary"]["first"] >= 0.80
    assert found["summary"]["first_three"] >= 0.95


def test_the_section_says_the_strict_figures_beside_those_with_groups():
    found = json.loads(WRITTEN.read_text())
    text = failures.section(found)
    for name in ("first", "first_three", "first_strict", "first_three_strict", "group_was_used"):
        assert f"{100.0 * found['summary'][name]:.0f} %" in text
