"""Wishes: a few live, and the written results."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.decisions import wishes

WRITTEN = Path(__file__).with_name("wishes.json")
LIVE = (6, 13, 34)  # a spare lift, a sink rate, and one with things to be kept: quick ones


@pytest.fixture(scope="module")
def written():
    return json.loads(WRITTEN.read_text(encoding="utf-8"))


@pytest.mark.parametrize("k", LIVE)
def test_what_is_shown_is_true_swims_and_keeps_what_is_to_be_kept(k):
    row = wishes.case(k)
    assert row["proposals"]
    for shown in row["proposals"]:
        assert shown["does"]
        assert shown["kept"]
        assert not shown["spoilt"]
        assert wishes.by_chance(shown["says"], shown["independent"]) >= wishes.UNLIKE


def test_a_change_of_what_was_to_be_kept_is_seen():
    """The check can say no: a weight written anew, and a mix that another fill follows from."""
    text = wishes.wish(0).text
    name = next(iter(wishes.read(text, "design").ballast))
    other = wishes.edited(text, {f"ballast.{name}.weight": "7.7 g"})
    assert not wishes._untouched(text, other, (f"ballast.{name}",))
    assert not wishes._untouched(text, other, ("ballast",))
    assert wishes._untouched(text, other, ("hook",))


def test_counts_of_one_share_are_like_and_of_two_are_not():
    assert wishes.by_chance((8, 16), (12, 24)) == pytest.approx(1.0)
    assert wishes.by_chance((16, 16), (0, 24)) < 1e-6
    assert wishes.by_chance((0, 16), (24, 24)) < 1e-6
    assert wishes.by_chance((3, 4), (1, 4)) == pytest.approx(34 / 70)  # Fisher 1935, the lady tasting tea


def test_wishes_are_of_every_kind_and_the_same_each_time():
    assert wishes.wish(4) == wishes.wish(4)
    assert {wishes.wish(k).kind for k in range(len(wishes.KINDS))} == set(wishes.KINDS)


def test_nothing_that_was_shown_rolls_over_spins_or_leaves_the_water(written):
    assert written["seed"] == wishes.SEED
    assert written["summary"] == json.loads(json.dumps(wishes.summary(written["rows"])))
    assert len({row["case"] for row in written["rows"]}) == len(written["rows"]) >= 40
    assert written["summary"]["spoilt"] == 0
    assert written["summary"]["false"] == 0


def test_the_share_of_builds_that_is_shown_is_true_within_chance(written):
    """Of so many proposals one in a hundred is as unlike as that by chance: three times as many once in a thousand."""
    sums = written["summary"]
    assert sums["unlike"] <= 1 + 3 * wishes.UNLIKE * sums["proposals"]
    error = (0.25 / (wishes.BUILDS * sums["proposals"])) ** 0.5 + (0.25 / (16 * sums["proposals"])) ** 0.5
    assert abs(sums["said_share"] - sums["seen_share"]) < 3.0 * error


def test_what_was_to_be_kept_was_kept(written):
    assert written["summary"]["kept"] == written["summary"]["keeps"] > 0


def test_its_section_tells_the_counts(written):
    told = wishes.section(written)
    sums = written["summary"]
    assert f"{sums['answered']} got {sums['proposals']} proposals" in told
    assert f"in {sums['bench_first']} of {sums['answered']}" in told
