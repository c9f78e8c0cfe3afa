"""One attitude: principal ways, the next turn downhill."""

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from sim.hydrostatics.flotation import ARRIVED, LEVEL, TURN, level_axes, next_turn, principal, turned

unit = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: np.linalg.norm(v) > 0.1).map(
    lambda v: np.array(v) / np.linalg.norm(v)
)  # fmt: skip
numbers = st.floats(-5.0, 5.0).map(lambda x: round(x, 6))


@given(unit, numbers, numbers, numbers)
@example(np.array([np.sqrt(1.0 - 2.5e-13), 0.0, 5e-7]), 0.0, 0.0, 3.0)  # nearly upright: ways were not level
@example(np.array([1.0, 0.0, 6e-8]), 0.0, 0.0, 0.0)
def test_principal_curves_and_ways_are_eigenvalues_and_eigenvectors(up, a, b, c):
    trim, heel = level_axes(up)
    curve = (
        a * np.outer(trim, trim)
        + b * (np.outer(trim, heel) + np.outer(heel, trim))
        + c * np.outer(heel, heel)
    )
    slopes, curves, ways = map(np.array, principal(up, 2.0 * trim - heel, curve))
    assert curves == pytest.approx(np.linalg.eigvalsh([[a, b], [b, c]]), abs=1e-12)
    assert ways @ ways.T == pytest.approx(np.eye(2), abs=1e-12)
    assert ways @ up == pytest.approx(np.zeros(2), abs=1e-12)
    assert curve @ ways.T == pytest.approx(ways.T * curves, abs=1e-11)
    assert slopes == pytest.approx(ways @ (2.0 * trim - heel), abs=1e-12)


@given(unit, st.floats(1e-6, 3.0), st.floats(-3.0, 3.0))
def test_a_turn_is_by_its_length(up, angle, way):
    trim, heel = level_axes(up)
    toward = np.cos(way) * trim + np.sin(way) * heel
    there = turned(up, angle * toward)
    assert there == pytest.approx(np.cos(angle) * up + np.sin(angle) * toward, abs=1e-12)
    assert np.array_equal(turned(up, np.zeros(3)), up)


def test_it_steps_downhill_stops_at_the_bottom_and_knows_a_ridge():
    up, size = np.array([0.0, 0.0, 1.0]), 0.02
    trim, heel = level_axes(up)
    bowl = 0.004 * (np.outer(trim, trim) + np.outer(heel, heel))
    what, step, _ = next_turn(up, 2e-4 * trim, bowl, 0.2, size)
    assert (what, step) == (TURN, pytest.approx(-0.05 * trim))  # Newton: slope over curve
    assert np.linalg.norm(next_turn(up, 2e-4 * trim, bowl, 0.02, size)[1]) == pytest.approx(0.02)
    assert next_turn(up, np.zeros(3), bowl, 0.2, size)[0] == ARRIVED
    ridge = 0.004 * np.outer(trim, trim) - 0.001 * np.outer(heel, heel)
    what, way, lowest = next_turn(up, np.zeros(3), ridge, 0.2, size)
    assert (what, lowest) == (LEVEL, pytest.approx(-0.001))
    assert abs(way @ heel) == pytest.approx(1.0)
