"""The line: its points where loads balance, its pull, its power, and the programme of what is let out."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.forces.chain import E_LURE, E_MASS, E_SPEED, E_TIP, N_ENDS, ROD, ROOM, chain, place
from sim.forces.inputs import (
    COEFFICIENT_INDEX,
    CURRENT,
    GRAVITY,
    L_CD,
    L_DAMPING,
    L_DENSITY,
    L_DIAMETER,
    L_EA,
    N_ENV,
    N_LINE,
    NU_W,
    RHO_A,
    RHO_W,
)
from sim.forces.line import line_out

LINKS = 8


def test_the_programme_is_read_between_and_past_its_rows():
    programme = np.array([[0.0, 10.0, 0.0, 0.0, 1.0], [2.0, 9.0, 0.0, 0.0, 1.0], [3.0, 8.0, 0.0, 0.0, 2.0]])
    assert line_out(programme, 1.0)[:2] == (9.5, -0.5)
    length, rate, _, _, tip, _, _, climb = line_out(programme, 4.0)
    assert (length, rate, tip, climb) == (7.0, -1.0, 3.0, 1.0)


def held(points, lure, speed=(0.0, 0.0, 0.0), out=10.0, *, current=0.0, gravity=0.0, drag=1.0, rate=0.0):
    """Pull on the lure (3,), tension, and velocities (n, 3) of a line held at a rod tip 1 m above the water."""
    line, env, ends = np.zeros(N_LINE), np.zeros(N_ENV), np.zeros(N_ENDS)
    line[L_EA], line[L_DAMPING], line[L_DIAMETER], line[L_CD], line[L_DENSITY] = 150.0, 0.1, 3e-4, 1.2, 1140.0
    env[RHO_W], env[NU_W], env[RHO_A], env[GRAVITY], env[CURRENT] = 998.2, 1e-6, 1.2, gravity, current
    ends[0], ends[1], ends[E_TIP + 2], ends[E_MASS] = out, rate, 1.0, 0.02
    ends[E_LURE : E_LURE + 3], ends[E_SPEED : E_SPEED + 3] = lure, speed
    coefficients = np.ones(len(COEFFICIENT_INDEX))
    coefficients[COEFFICIENT_INDEX["line_bend"]] = drag
    flat, moved, pull = np.ravel(points).astype(float), np.empty(np.size(points)), np.empty(4)
    chain(ends, flat, moved, np.empty(ROOM), line, env, coefficients, pull)
    return pull[:3], pull[3], moved.reshape(-1, 3)


def straight(lure, wet=0.0):
    shares = np.array([place(i, LINKS, wet) for i in range(1, LINKS)])[:, None]
    return np.array([0.0, 0.0, 1.0]) + shares * (np.array(lure) - np.array([0.0, 0.0, 1.0]))


def test_the_places_of_the_points_run_from_the_rod_tip_to_the_lure():
    for wet in (0.0, 0.3, 1.0):
        shares = [place(i, LINKS, wet) for i in range(LINKS + 1)]
        assert shares[0] == 0.0
        assert shares[-1] == 1.0
        assert np.all(np.diff(shares) > 0.0)


def test_a_slack_line_does_not_pull():
    force, tension, _ = held(straight((5.0, 0.0, 1.0)), (5.0, 0.0, 1.0))
    assert (*force, tension) == (0.0, 0.0, 0.0, 0.0)


def test_a_taut_line_at_rest_pulls_by_its_stretch_along_itself():
    force, tension, moved = held(straight((12.0, 0.0, 1.0)), (12.0, 0.0, 1.0))
    assert tension == pytest.approx(2.0 / (10.0 / 150.0 + 1.0 / ROD))  # line and rod tip in series
    assert force == pytest.approx((-tension, 0.0, 0.0))
    assert moved == pytest.approx(0.0, abs=1e-9)


def test_a_line_coming_taut_starts_to_pull_from_nothing():
    def pulls(lure):
        return held(straight((lure, 0.0, 1.0)), (lure, 0.0, 1.0), (0.5, 0.0, 0.0))[1]

    tensions = np.array([pulls(lure) for lure in np.arange(9.98, 10.0, 1e-5)])
    assert tensions[0] == 0.0
    assert tensions[-1] > 0.0
    assert np.diff(tensions).max() < 1e-3  # N: no blow


@given(vx=st.floats(-3, 3), vy=st.floats(-3, 3), vz=st.floats(-3, 3))
def test_tension_is_never_negative(vx, vy, vz):
    lure = (9.9, 0.5, 0.2)
    assert held(straight(lure), lure, (vx, vy, vz), 9.93)[1] >= 0.0


def bent(lure, bows):
    """A straight line with its points moved by so much (7, 3), m."""
    return straight(lure, 0.6) + np.array(bows).reshape(-1, 3)


BOWS = st.lists(st.floats(-0.3, 0.3), min_size=3 * (LINKS - 1), max_size=3 * (LINKS - 1))
SPEED = st.tuples(*[st.floats(-2.0, 2.0)] * 3)


def _length(points, lure):
    nodes = np.vstack([[0.0, 0.0, 1.0], points, lure])
    return np.linalg.norm(np.diff(nodes, axis=0), axis=1).sum()


@given(bows=BOWS, speed=SPEED, slack=st.floats(-0.05, 0.05), current=st.sampled_from([0.0]))
def test_drag_of_the_line_takes_power_and_never_gives_it(bows, speed, slack, current):
    # what the lure does to the line goes into stretching it or is lost in the water: pull . v + T d(length)/dt <= 0
    lure = np.array([9.0, 0.5, -1.5])
    points = bent(lure, bows)
    step = 1e-6
    force, tension, moved = held(points, lure, speed, _length(points, lure) - slack, current=current)
    grows = (_length(points + step * moved, lure + step * np.array(speed)) - _length(points, lure)) / step
    lost = force @ np.array(speed) + tension * grows
    assert lost <= 1e-7  # W


@given(bows=BOWS, speed=SPEED)
def test_a_mirrored_line_gives_mirrored_numbers_to_the_last_bit(bows, speed):
    lure, mirror = np.array([9.0, 0.5, -1.5]), np.array([1.0, -1.0, 1.0])
    points = bent(lure, bows)
    force, tension, moved = held(points, lure, speed, _length(points, lure) - 0.02, gravity=9.8)
    other, same, turned = held(
        points * mirror, lure * mirror, mirror * speed, _length(points, lure) - 0.02, gravity=9.8
    )
    assert tension == same
    assert np.array_equal(force * mirror, other)
    assert np.array_equal(moved * mirror, turned)


def test_still_water_in_a_moving_frame_is_a_current():
    lure = np.array([8.0, 0.0, -1.5])
    points = bent(lure, np.tile([0.0, 0.05, -0.1], LINKS - 1))
    under = points - [0.0, 0.0, 5.0]
    out = _length(points, lure) - 0.05
    at_rest, _ = held_deep(under, lure - [0.0, 0.0, 5.0], -0.7, 0.0, out)
    streamed, _ = held_deep(under, lure - [0.0, 0.0, 5.0], 0.0, 0.7, out)
    assert np.linalg.norm(streamed - at_rest) < 0.005 * np.linalg.norm(at_rest)


def held_deep(points, lure, tow, current, out):
    """The same with the rod tip 4 m under water, towed at `tow` along x in a stream of `current`."""
    line, env, ends = np.zeros(N_LINE), np.zeros(N_ENV), np.zeros(N_ENDS)
    line[L_EA], line[L_DAMPING], line[L_DIAMETER], line[L_CD], line[L_DENSITY] = 150.0, 0.1, 3e-4, 1.2, 998.2
    env[RHO_W], env[NU_W], env[RHO_A], env[GRAVITY], env[CURRENT] = 998.2, 1e-6, 1.2, 0.0, current
    ends[0], ends[E_TIP + 2], ends[E_MASS] = out, -4.0, 0.02
    ends[E_TIP + 3] = ends[E_SPEED] = tow
    ends[E_LURE : E_LURE + 3] = lure
    moved, pull = np.empty(np.size(points)), np.empty(4)
    room = np.empty(ROOM)
    chain(ends, np.ravel(points).astype(float), moved, room, line, env, np.ones(len(COEFFICIENT_INDEX)), pull)
    return pull[:3], pull[3]


def test_a_slack_line_sinks_as_fast_as_a_cylinder_of_its_weight():
    lure = (5.0, 0.0, -2.0)
    points = straight(lure, 1.0)
    _, tension, moved = held(points, lure, gravity=9.80665)
    per_length = 0.25 * math.pi * 3e-4**2 * (1140.0 - 998.2) * 9.80665
    steep = math.atan2(3.0, 5.0)
    across = math.sqrt(per_length * math.cos(steep) / (0.5 * 998.2 * 1.2 * 3e-4))
    normal = np.array([math.sin(steep), 0.0, math.cos(steep)])
    deep = points[:, 2] < -0.6
    assert tension == 0.0
    assert -(moved @ normal)[deep] == pytest.approx(across, rel=0.02)
