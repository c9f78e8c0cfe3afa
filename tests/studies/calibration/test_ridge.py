"""Lines mended by points about them: slopes that are half chance come right, and what is left is told."""

import numpy as np
import pytest

from sim.studies.calibration.ridge import mend

RNG = np.random.default_rng(3)
NONE = np.zeros((0, 5)), np.zeros(0)


def test_a_line_that_is_right_is_left_as_it_is():
    draws = RNG.standard_normal((24, 5))
    found = mend(draws, np.zeros(24), *NONE)
    assert found.slopes == pytest.approx(np.zeros(5), abs=1e-12)
    assert found.off == pytest.approx(0.0, abs=1e-12)


def test_slopes_that_are_off_are_mended():
    wrong = np.array([1.0, -2.0, 0.0, 0.5, 0.0])
    draws, points = RNG.standard_normal((24, 5)), RNG.standard_normal((40, 5))
    found = mend(draws, 0.7 + draws @ wrong, points, 0.3 + points @ wrong)
    assert found.slopes == pytest.approx(wrong, abs=0.03)
    assert found.middle == pytest.approx(0.7, abs=0.03)  # the height where what is known lies, not elsewhere
    assert found.off < 0.05


def test_what_is_left_is_as_large_as_it_is_at_points_never_seen():
    """The stated scatter, of many lines, against fresh points: neither too small nor much too large."""
    stated, true = [], []
    for _ in range(60):
        wrong = 0.5 * RNG.standard_normal(5)
        draws, points, fresh = (RNG.standard_normal((n, 5)) for n in (24, 20, 50))
        scatter = RNG.standard_normal
        found = mend(draws, draws @ wrong + scatter(24), points, points @ wrong + scatter(20))
        stated.append(found.off**2)
        left = fresh @ wrong + scatter(50) - found.middle - fresh @ found.slopes
        true.append(np.mean(left**2))
    assert np.mean(stated) == pytest.approx(np.mean(true), rel=0.15)


def test_scatter_alone_bends_no_line_by_much():
    mended, plain = [], []
    for draws in RNG.standard_normal((40, 24, 20)):
        off = RNG.standard_normal(24)
        mended.append(np.linalg.norm(mend(draws, off, np.zeros((0, 20)), np.zeros(0)).slopes))
        plain.append(np.linalg.norm(np.linalg.lstsq(draws, off)[0]))
    assert np.median(mended) < 0.5 * np.median(plain)
