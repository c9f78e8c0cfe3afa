"""Runs every outside check, and tests what a check is."""

import dataclasses
from pathlib import Path

import pytest

from tests.checks.checks import (
    SAME,
    Check,
    Status,
    Verdict,
    absolute,
    digits,
    outcome,
    percent,
    relative,
    subjects,
)
from tests.checks.misses import CAUSES, MISSES
from tests.checks.page import page

PAGE = Path(__file__).parents[2] / "docs" / "validation.md"
EVERY = [(subject, check) for subject in subjects() for check in subject.checks]
GATING = [pytest.param(check, id=f"{subject.title}: {check.what}") for subject, check in EVERY if check.gates]


@pytest.mark.parametrize("check", GATING)
def test_outside(check):
    found = outcome(check)
    assert found.verdict in (Verdict.INSIDE, Verdict.MISS), found.problem


def test_the_validation_page_is_what_the_checks_say_now():
    assert PAGE.read_text(encoding="utf-8") == page(), "run: python -m tests.checks docs/validation.md"


def test_every_check_has_its_own_name_and_every_mark_a_check():
    names = [check.what for _, check in EVERY]
    assert len(names) == len(set(names))
    assert set(MISSES) <= set(names)
    assert len(MISSES) == sum(len(cause.errors) for cause in CAUSES)


def test_there_are_checks_enough():
    assert len(GATING) >= 60


def test_of_the_checks_that_nobody_measured_nine_in_ten_agree():
    told = [check for _, check in EVERY if check.gates and check.status is not Status.MEASURED]
    assert sum(check.what in MISSES for check in told) <= 0.1 * len(told)


ONE = Check("a length", "a book", Status.EXACT, 10.0, percent(5.0), lambda: 10.2)


def changed(**words):
    return outcome(dataclasses.replace(ONE, **words))


def test_an_error_inside_the_tolerance_passes_and_one_outside_does_not():
    assert changed().verdict is Verdict.INSIDE
    wrong = changed(ours=lambda: 10.6)
    assert (wrong.verdict, wrong.problem) == (
        Verdict.BROKEN, "ours is 10.6, published 10.0: error 0.06 against 0.05"
    )  # fmt: skip
    assert changed(ours=lambda: float("nan")).verdict is Verdict.BROKEN


def test_a_known_miss_holds_until_its_error_moves_either_way_or_goes():
    marked = {"expected_miss": 0.20}
    assert changed(ours=lambda: 12.0, **marked).verdict is Verdict.MISS
    for moved in (12.3, 11.7, 8.0):
        found = changed(ours=lambda value=moved: value, **marked)
        assert found.verdict is Verdict.BROKEN
        assert found.problem.endswith("find out why and move the mark")
    gone = changed(ours=lambda: 10.0, **marked)
    assert (gone.verdict, gone.problem) == (
        Verdict.BROKEN, "marked as a miss of 0.2, now inside with 0: take the mark away"
    )  # fmt: skip
    assert changed(ours=lambda: float("nan"), **marked).verdict is Verdict.BROKEN


def test_a_value_from_memory_gates_nothing_unless_a_library_stands_by_it():
    assert changed(status=Status.MEMORY, ours=lambda: 99.0).verdict is Verdict.SHOWN
    assert changed(status=Status.MEMORY, confirmed=lambda: 10.1).verdict is Verdict.INSIDE
    assert changed(status=Status.MEMORY, confirmed=lambda: 10.1, ours=lambda: 99.0).verdict is Verdict.BROKEN
    unconfirmed = changed(status=Status.MEMORY, confirmed=lambda: 20.0)
    assert (unconfirmed.verdict, unconfirmed.problem) == (
        Verdict.BROKEN, "the remembered value 10.0 is not confirmed: the library gives 20.0"
    )  # fmt: skip
    with pytest.raises(ValueError, match="gates nothing, so it cannot be missed"):
        dataclasses.replace(ONE, status=Status.MEMORY, expected_miss=0.2)


def test_amounts_shares_and_regimes_each_have_their_error():
    assert absolute(0.1).error(-2.0, -2.05) == pytest.approx(-0.05)
    assert relative(0.1).error(-2.0, -2.05) == pytest.approx(0.025)
    assert (SAME.error("flutter", "flutter"), SAME.error("flutter", "tumble"), SAME.error(True, False)) == (
        0,
        1,
        1,
    )


def test_figures_are_written_no_finer_than_asked():
    assert digits(26.565051177, 1e-4) == "26.5651"
    assert digits(0.00161318, 1e-5) == "0.00161"
    assert digits(-3.2e-9, 1e-7) == "0"
    assert digits(1013.25, 50.0) == "1.01e+03"
