"""The equations of motion against closed forms: torque-free, ideal fluid, projectile."""

import math

import numpy as np
import pytest

from sim.media import Medium
from sim.motion.equations import rates
from sim.motion.problem import Scene, pack
from sim.motion.solve import start_state
from tests.motion.rigs import OFF_BUT_INERTIA, added_masses, bare, ellipsoid, fly, lump

WATER, AIR = Medium(1000.0, 1.0e-3), Medium(1.225, 1.789e-5)
DEEP = (0.0, 0.0, -5.0)


def test_without_forces_it_flies_a_parabola():
    only_weight = {"hook_drag": 0.0, "buoyancy": 0.0}
    run = fly(lump(0.02, 1e-4), Scene(WATER, AIR, coefficients=only_weight), 2.0, velocity=(3.0, 1.0, 4.0))
    assert run.y[-1, :3] == pytest.approx([6.0, 2.0, 8.0 - 0.5 * 9.80665 * 4.0], abs=1e-9)


def test_torque_free_rotation_follows_jacobis_solution():
    # Landau & Lifshitz, Mechanics, section 37 (exact): I = (1, 2, 3) kg mm2, from (2, 0, 8) rad/s
    body = bare([np.zeros(10)], [np.zeros(21)], 1e-6 * np.diag([1e6, 1e6, 1e6, 1, 2, 3]))
    scene = Scene(WATER, AIR, gravity=0.0)
    run = fly(body, scene, 3.0, spin=(2.0, 0.0, 8.0), position=(0, 0, 5))
    exact = {
        0.1: (1.39565430, 1.43253240, 7.95713204),
        0.5: (-1.33484542, -1.48935815, 7.95365351),
        1.0: (-0.20669853, 1.98929026, 7.91712752),
        2.0: (-1.95638641, -0.41539405, 7.99640435),
        3.0: (0.61144057, -1.90424274, 7.92409531),
    }
    for t, spin in exact.items():
        assert run.at([t])[0, 10:13] == pytest.approx(spin, abs=8.0 * 1e-5), t


def _ideal(density=1000.0):
    return ellipsoid(0.05, 0.015, 0.010, density), Scene(WATER, AIR, coefficients=OFF_BUT_INERTIA)


def test_kirchhoffs_invariants_hold_in_ideal_fluid():
    # energy, momentum and their product: exact (Kirchhoff); start values from the closed-form masses
    body, scene = _ideal()
    run = fly(body, scene, 5.0, position=DEEP, velocity=(0.5, 0.02, 0.01), spin=(0.3, 0.2, 0.1))
    masses = np.diag(body.inertia + 1000.0 * added_masses(0.05, 0.015, 0.010))
    assert masses[:3] == pytest.approx([0.03387219, 0.04956927, 0.07160530], rel=1e-6)
    for y in (run.y[0], run.y[-1]):
        motion = y[7:13]
        momentum = masses * motion
        assert 0.5 * motion @ momentum == pytest.approx(4.248381791468752e-3, rel=1e-6)
        assert momentum[:3] @ momentum[:3] == pytest.approx(2.8832689813309317e-4, rel=1e-6)
        assert momentum[:3] @ momentum[3:] == pytest.approx(1.9988921117575293e-8, rel=1e-6)


def test_munk_moment_of_an_ellipsoid_is_the_closed_form():
    # N = 1/2 (Mc - Ma) U^2 sin 2a = 1.613186e-3 N m at 0.5 m/s and 10 degrees (Munk 1924; exact)
    body, scene = _ideal()
    a = math.radians(10.0)
    state = start_state(body, DEEP, (1, 0, 0, 0), velocity=(0.5 * math.cos(a), 0.0, 0.5 * math.sin(a)))
    pitch_rate = rates(0.0, state, pack(body, scene))[11]
    inertia = (body.inertia + 1000.0 * added_masses(0.05, 0.015, 0.010))[4, 4]
    assert abs(pitch_rate * inertia) == pytest.approx(1.613186e-3, rel=1e-6)


def test_munk_moment_turns_the_nose_away_from_the_path():
    body, scene = _ideal()
    nose_above_path = start_state(body, DEEP, (1, 0, 0, 0), velocity=(0.5, 0.0, -0.05))
    assert rates(0.0, nose_above_path, pack(body, scene))[11] < 0.0  # nose-up is negative about +y


@pytest.mark.parametrize(("axis", "rate"), [(4, 11.8088), (5, 10.6599)])
def test_a_body_moving_tip_first_falls_away_at_the_closed_form_rate(axis, rate):
    # linearised Kirchhoff: growth sqrt((Mc - Ma) Ma / (Mc J)) U = 11.8088 /s in pitch, 10.6599 /s in yaw (exact)
    body, scene = _ideal()
    spin = np.zeros(3)
    spin[axis - 3] = 1e-6
    run = fly(body, scene, 0.8, position=DEEP, velocity=(0.5, 0, 0), spin=spin)
    early, late = abs(run.at([0.4, 0.8])[:, 10 + axis - 3])
    assert math.log(late / early) / 0.4 == pytest.approx(rate, rel=0.01)


def test_the_water_set_in_motion_slows_the_first_fall():
    # a0 = (m - rho V) g / (m + k3 rho V) = 1.85513 m/s2 for 30 x 8 x 6 mm at 1500 kg/m3 in 998.2, g = 9.81 (exact)
    body = ellipsoid(0.030, 0.008, 0.006, 1500.0)
    state = start_state(body, DEEP, (1, 0, 0, 0))
    fall = rates(0.0, state, pack(body, Scene(Medium(998.2, 1e-3), AIR, gravity=9.81)))
    assert fall[9] == pytest.approx(-1.85513, rel=1e-5)


def test_a_steady_current_is_still_water_seen_from_a_moving_bank():
    body = ellipsoid(0.03, 0.01, 0.008, 1200.0)
    still = fly(body, Scene(WATER, AIR), 2.0, position=DEEP, velocity=(0.3, 0.1, 0.0), spin=(0.5, 1.0, 2.0))
    drift = Scene(WATER, AIR, current=(0.4, -0.2, 0.0))
    moved = fly(body, drift, 2.0, position=DEEP, velocity=(0.7, -0.1, 0.0), spin=(0.5, 1.0, 2.0))
    t = np.linspace(0, 2, 9)
    carried = still.at(t)[:, :2] + t[:, None] * np.array([0.4, -0.2])
    assert moved.at(t)[:, :2] == pytest.approx(carried, abs=2e-4)
    assert moved.at(t)[:, 3:7] == pytest.approx(still.at(t)[:, 3:7], abs=2e-3)


def test_projectile_with_quadratic_drag_is_the_textbooks():
    # Taylor 2005, Classical Mechanics, ex. 2.5-2.6 (setting from memory), solved to twelve digits by another
    # solver: 30 m/s at 50 degrees, terminal speed 35 m/s, g = 9.8: range 58.51572 m, apex 20.832507 m
    mass, g = 0.02, 9.8
    area = 2.0 * mass * g / (AIR.density * 35.0**2)
    scene = Scene(WATER, AIR, gravity=g)
    angle = math.radians(50.0)
    high = (0.0, 0.0, 100.0)  # level ground at 100 m, away from the water
    run = fly(
        lump(mass, area),
        scene,
        4.114770,
        position=high,
        velocity=(30 * math.cos(angle), 0, 30 * math.sin(angle)),
    )
    assert run.y[-1, 0] == pytest.approx(58.51572, rel=1e-4)
    assert run.y[-1, 2] - 100.0 == pytest.approx(0.0, abs=58.5e-4)
    assert run.at([1.956557])[0, 2] - 100.0 == pytest.approx(20.832507, rel=1e-4)


def test_dropped_from_rest_it_follows_the_hyperbolic_tangent():
    # v = 35 tanh(g t / 35), g = 9.8 (exact): 17.78 m/s and 18.65 m after 2 s, 28.26 and 66.00 after 4
    mass, g = 0.02, 9.8
    area = 2.0 * mass * g / (AIR.density * 35.0**2)
    run = fly(lump(mass, area), Scene(WATER, AIR, gravity=g), 4.0, position=(0, 0, 1000.0))
    for t, speed, fallen in ((2.0, 17.78, 18.65), (4.0, 28.26, 66.00)):
        y = run.at([t])[0]
        assert -y[9] == pytest.approx(speed, abs=0.006)
        assert 1000.0 - y[2] == pytest.approx(fallen, abs=0.006)
