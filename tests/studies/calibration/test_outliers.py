"""One reading that is far off is named, with how far, and those that agree are not."""

import math

import numpy as np
import pytest

from sim.studies.calibration.outliers import MOST, culprits
from sim.studies.calibration.posterior import LinearModel
from sim.studies.statements import Span

RNG = np.random.default_rng(11)


def lines(values, slopes=None, sd=0.1, signals=0.0):
    """Readings of one unknown with a slope of 1, or of several."""
    count = len(values)
    slopes = np.ones((count, 1)) if slopes is None else np.asarray(slopes, dtype=float)
    aims = [value if isinstance(value, Span) else Span(value, value, sd) for value in values]
    return LinearModel(np.zeros(slopes.shape[1]), np.full(count, signals), slopes, aims, np.full(count, sd))


def named(found):
    return [one.readings for one in found]


def test_readings_that_agree_are_left_alone():
    assert culprits(lines([0.5, 0.6, 0.45, 0.55])) == []


def test_one_that_is_far_off_is_named_and_not_the_two_that_agree():
    (found,) = culprits(lines([0.5, 0.55, 9.0]))
    assert found.readings == (2,)
    assert found.others == pytest.approx(0.52, abs=0.02)
    # of its own 0.1, and of the two others' mean
    assert found.off == pytest.approx((found.others - 9.0) / math.hypot(0.1, 0.1 / math.sqrt(2.0)), rel=0.01)


def test_two_that_only_contradict_each_other_are_told_together():
    (found,) = culprits(lines([-0.8, 0.8]))
    assert sorted(found.readings) == [0, 1]
    assert abs(found.off) > 10.0


def test_of_two_the_one_that_what_is_known_speaks_against_is_the_one():
    assert named(culprits(lines([0.3, 9.0]))) == [(1,)]


def test_two_far_off_are_both_named_the_worse_first():
    assert named(culprits(lines([0.5, 0.55, 0.45, 0.5, 0.52, 6.0, -9.0]))) == [(6,), (5,)]


def test_where_everything_scatters_nothing_is_blamed():
    assert culprits(lines(list(np.linspace(-2.0, 2.0, 12)))) == []


def test_a_reading_alone_is_against_no_other():
    assert culprits(lines([40.0])) == []


def test_one_on_which_an_unknown_hangs_alone_is_not_blamed_for_what_the_others_leave_open():
    """The third is the only one that feels the second unknown, which takes up all of it."""
    assert culprits(lines([0.5, 0.55, 1.5], [[1, 0], [1, 0], [1, 1]])) == []


def test_a_range_that_all_others_break_is_named():
    over = Span(5.0, math.inf, 0.1)
    assert named(culprits(lines([0.5, 0.55, 0.5, over]))) == [(3,)]
    assert culprits(lines([0.5, 0.55, 0.5, Span(0.2, math.inf, 0.1)])) == []


def test_chance_alone_names_hardly_any():
    """Honest readings of planted unknowns: more than three deviations are rare."""
    wrong = 0
    for _ in range(100):
        slopes = RNG.standard_normal((8, 3))
        truth = RNG.standard_normal(3)
        values = slopes @ truth + 0.1 * RNG.standard_normal(8)
        wrong += bool(culprits(lines(list(values), slopes)))
    assert wrong <= 6  # of eight readings one is off by three deviations in 2 of 100


def test_a_planted_slip_is_found_among_readings_of_several_unknowns():
    right = 0
    for _ in range(100):
        slopes = RNG.standard_normal((8, 3))
        values = slopes @ RNG.standard_normal(3) + 0.1 * RNG.standard_normal(8)
        at = int(RNG.integers(8))
        values[at] += RNG.choice((-3.0, 3.0))
        found = named(culprits(lines(list(values), slopes)))
        right += found[:1] == [(at,)]
    assert right >= 90


def test_no_more_are_named_than_a_share_of_all():
    values = [0.5] * 60 + list(range(10, 10 + 2 * MOST))
    assert culprits(lines(values)) == []
