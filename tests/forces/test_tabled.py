"""The tables of the cylinder's drag beside the law that they are made from."""

import numpy as np
import pytest

from sim.forces.laws import cylinder_cd
from sim.forces.tabled import LEAST, MOST, drag_at, drag_under

RE = np.geomspace(1.5, MOST, 997)


def law(re):
    return np.array([cylinder_cd(value) for value in re])


def test_the_drag_at_a_speed_is_that_of_the_law():
    found = np.array([drag_at(re**2) for re in RE])
    assert found == pytest.approx(law(RE) * RE, rel=2e-5)


def test_the_drag_under_a_load_is_that_at_the_speed_it_gives():
    found = np.array([drag_under((cd * re * re) ** 2) for cd, re in zip(law(RE), RE, strict=True)])
    assert found == pytest.approx(law(RE) * RE, rel=1e-3)


def test_both_go_on_evenly_below_the_range_of_the_law():
    slow = np.geomspace(2.0 * LEAST, 1.5, 200)
    at = np.array([drag_at(re**2) for re in slow])
    assert at == pytest.approx(law(slow) * slow, rel=7e-3)
    assert np.all(np.diff(at) > 0.0)
    under = np.array([drag_under((cd * re * re) ** 2) for cd, re in zip(law(slow), slow, strict=True)])
    assert under == pytest.approx(at, rel=7e-3)


def test_a_still_line_has_some_drag_so_that_its_velocity_can_be_solved_for():
    assert 0.0 < drag_at(0.0) < 0.02
    assert 0.0 < drag_under(0.0) < 0.02
