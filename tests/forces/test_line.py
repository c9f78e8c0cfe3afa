"""The line: bend against the published closed form and against an ODE, tension, spooling."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from sim.forces.inputs import (
    COEFFICIENT_INDEX,
    CURRENT,
    L_CD,
    L_DAMPING,
    L_DENSITY,
    L_DIAMETER,
    L_EA,
    N_ENV,
    N_LINE,
    RHO_W,
)
from sim.forces.line import ROD, bend, line_out, wound_in


def test_bend_gives_back_the_published_weightless_line():
    # Pode 1951, DTMB Report 687, weightless line with normal drag only (closed form): T = 1 N, R = 0.1796 N/m,
    # 80 degrees at the lure, 10 m of wet line: 26.8857 degrees at the top, x = 6.65882 m, z = 6.99201 m.
    height = 0.8
    level = 6.65882 + height / math.tan(math.radians(26.8857))
    cosine, sine = bend(level, 6.99201, height, 1.0, 0.1796)
    assert math.degrees(math.atan2(sine, cosine)) == pytest.approx(80.0, abs=0.001)


def test_a_line_without_drag_is_straight():
    cosine, sine = bend(10.0, 2.0, 1.0, 3.0, 0.0)
    assert sine / cosine == pytest.approx(0.3, rel=1e-12)
    assert cosine**2 + sine**2 == pytest.approx(1.0, rel=1e-12)


def test_a_vanishing_drag_tends_to_the_straight_line():
    cosine, sine = bend(10.0, 2.0, 1.0, 3.0, 1e-9)
    assert sine / cosine == pytest.approx(0.3, rel=1e-6)


@given(
    depth=st.floats(0.01, 5.0),
    height=st.floats(0.1, 3.0),
    level=st.floats(2.0, 30.0),
    pull=st.floats(0.3, 20.0),
    drag=st.floats(0.005, 0.4),
)
def test_integrating_the_line_up_from_the_lure_meets_the_rod_tip(depth, height, level, pull, drag):
    if depth * drag / pull > 3.5:
        return  # past the bound kept in `bend`
    cosine, sine = bend(level, depth, height, pull, drag)

    def slope(s, state):
        return [math.cos(state[2]), math.sin(state[2]), -drag / pull * math.sin(state[2]) ** 2]

    def surface(s, state):
        return state[1] - depth

    surface.terminal = True
    run = solve_ivp(
        slope, (0.0, 500.0), [0.0, 0.0, math.atan2(sine, cosine)], events=surface, rtol=1e-9, atol=1e-9
    )
    x, _, phi = run.y[:, -1]
    assert x + height / math.tan(phi) == pytest.approx(level, rel=1e-5)


def test_a_current_from_behind_bends_the_line_the_other_way():
    straight = bend(10.0, 1.0, 1.0, 1.0, 0.0)[1]
    against = bend(10.0, 1.0, 1.0, 1.0, 0.1)[1]
    along = bend(10.0, 1.0, 1.0, 1.0, -0.1)[1]
    assert along < straight < against


def test_the_programme_is_read_between_and_past_its_rows():
    programme = np.array([[0.0, 10.0, 0.0, 0.0, 1.0], [2.0, 9.0, 0.0, 0.0, 1.0], [3.0, 8.0, 0.0, 0.0, 2.0]])
    assert line_out(programme, 1.0)[:2] == (9.5, -0.5)
    length, rate, _, _, tip, _, _, climb = line_out(programme, 4.0)
    assert (length, rate, tip, climb) == (7.0, -1.0, 3.0, 1.0)


def _setup():
    line = np.zeros(N_LINE)
    line[L_EA], line[L_DAMPING], line[L_DIAMETER], line[L_CD], line[L_DENSITY] = 150.0, 0.1, 3e-4, 1.2, 1140.0
    env = np.zeros(N_ENV)
    env[RHO_W] = 998.2
    programme = np.array([[0.0, 10.0, 0.0, 0.0, 1.0], [100.0, 10.0, 0.0, 0.0, 1.0]])
    return programme, line, env, np.ones(len(COEFFICIENT_INDEX))


def test_a_slack_line_does_not_pull():
    assert wound_in(0.0, *_setup(), 0.02, 5.0, 0.0, -1.0, 0.0, 0.0, 0.0) == (0.0, 0.0, 0.0, 0.0)


def test_a_taut_line_at_rest_pulls_by_its_stretch_along_itself():
    fx, fy, fz, pull = wound_in(0.0, *_setup(), 0.02, 12.0, 0.0, 1.0, 0.0, 0.0, 0.0)
    assert pull == pytest.approx(2.0 / (10.0 / 150.0 + 1.0 / ROD))  # line and rod tip in series
    assert (fx, fy, fz) == pytest.approx((-pull, 0.0, 0.0))


@given(vx=st.floats(-3, 3), vy=st.floats(-3, 3), vz=st.floats(-3, 3))
def test_tension_is_never_negative(vx, vy, vz):
    assert wound_in(0.0, *_setup(), 0.02, 10.05, 0.0, 1.0, vx, vy, vz)[3] >= 0.0


def test_still_water_in_a_moving_frame_is_a_current():
    programme, line, env, coefficients = _setup()
    at_rest = wound_in(0.0, programme, line, env, coefficients, 0.02, 12.0, 0.0, -0.5, -0.7, 0.0, 0.0)
    env[CURRENT] = 0.7
    held = wound_in(0.0, programme, line, env, coefficients, 0.02, 12.0, 0.0, -0.5, 0.0, 0.0, 0.0)
    assert held[2] / held[0] == pytest.approx(at_rest[2] / at_rest[0], rel=0.05)
