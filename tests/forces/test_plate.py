"""Forces on plates: what each one may never do, and how they change with shape, bend and turning."""

import math

import numpy as np
import pytest

from sim.forces.laws import edge_lift, lift_slope, stalled_relief
from sim.lure import build
from sim.motion.equations import rates
from sim.motion.problem import Scene, pack
from sim.motion.solve import start_state
from tests.checks import bench
from tests.lure.makers import design

EACH = ("plate_lift", "plate_drag", "plate_spin", "plate_friction")
SHEETS = {
    "square": {},
    "narrow": {"width": "6 mm"},
    "wide": {"width": "90 mm"},
    "disc": {"outline": "oval"},
    "bent along": {"camber": "3 mm"},
    "bent across, the other way": {"cup": "-4 mm"},
    "dish": {"outline": "oval", "camber": "2 mm", "cup": "2 mm"},
}


def sheet(**more):
    part = {
        "role": "tail", "roll": "0 deg", "length": "20 mm", "width": "20 mm", "thickness": "0.5 mm",
        "density": "1000 kg/m3", **more,
    }  # fmt: skip
    return build(design(plate={"sheet": part}), with_hulls=False)


def force(lure, velocity, spin=(0.0, 0.0, 0.0), only=None):
    """Force and moment about the origin (6,), lure axes, level and deep, at a velocity of the origin."""
    off = dict.fromkeys(set(EACH) - set(only or EACH), 0.0)
    scene = Scene(bench.WATER, bench.AIR, coefficients={**bench.STILL, **off})
    y = start_state(lure.elements, (0.0, 0.0, -5.0), (1.0, 0.0, 0.0, 0.0))
    y[7:10], y[10:13] = velocity, spin
    own = lure.elements.inertia @ rates(0.0, y, pack(lure.elements, scene))[7:13]
    p, h = np.split(lure.elements.inertia @ y[7:13], 2)
    w, v = np.array(spin), np.array(velocity)
    return own + np.concatenate([np.cross(w, p), np.cross(w, h) + np.cross(v, p)])


@pytest.mark.parametrize("shape", SHEETS)
@pytest.mark.parametrize("only", EACH)
def test_no_force_on_a_plate_alone_gives_power_whatever_its_motion(shape, only):
    lure = sheet(**SHEETS[shape])
    random = np.random.default_rng(7)
    for _ in range(60):
        velocity, spin = random.normal(0.0, 0.5, 3), random.normal(0.0, 30.0, 3)
        found = force(lure, velocity, spin, (only,))
        power = found[:3] @ velocity + found[3:] @ spin
        assert power <= 1e-9 * np.abs(found[:3] * velocity).sum() + 1e-12


def test_edge_lift_of_a_slender_plate_is_pi_and_that_of_a_square_is_two():
    assert edge_lift(1e-3, 0.0) == pytest.approx(math.pi, rel=2e-3)
    assert edge_lift(1.0, 0.167) == pytest.approx(2.02, abs=0.01)
    assert edge_lift(50.0, 0.25) < 0.05


def test_a_stalled_endless_plate_has_nothing_taken_off():
    assert stalled_relief(1e9) == pytest.approx(0.0, abs=1e-7)
    assert 1.98 * (1.0 - stalled_relief(1.0)) == pytest.approx(1.17, abs=0.01)


def test_a_plate_bent_to_an_arc_lifts_toward_its_bulge_as_thin_aerofoils_do():
    # 2 f / l of incidence for an endless plate: lift slope times that
    wide = sheet(length="2 mm", width="400 mm", camber="0.02 mm", thickness="0.05 mm")
    own = force(wide, (1.0, 0.0, 0.0), only=("plate_lift",))
    area = 0.002 * 0.4
    slope = lift_slope(0.4**2 / area)
    assert own[2] / (0.5 * bench.WATER.density * area) == pytest.approx(slope * 0.02, rel=0.03)


def test_a_bent_plate_is_the_mirror_image_of_one_bent_the_other_way():
    up, down = sheet(camber="2 mm", cup="1 mm"), sheet(camber="-2 mm", cup="-1 mm")
    above = force(up, (0.7, 0.2, -0.3), (1.0, 2.0, -3.0))
    below = force(down, (0.7, 0.2, 0.3), (-1.0, -2.0, -3.0))
    assert above == pytest.approx(below * np.array([1, 1, -1, -1, -1, 1]), rel=1e-12)


def test_a_plate_that_turns_toward_greater_incidence_stalls_later():
    angle = math.radians(50.0)
    velocity = (math.cos(angle), 0.0, -math.sin(angle))
    middle = np.array([-0.010, 0.0, 0.0])

    def lift(spin):
        turn = np.array([0.0, -spin, 0.0])
        return force(sheet(), velocity - np.cross(turn, middle), turn, ("plate_lift",))[2]

    front = 0.020 * (0.5 - 0.167)
    held, turning = lift(0.0) / math.sin(angle), lift(20.0) / (math.sin(angle) - 20.0 * front)
    assert turning > 5.0 * held


def test_half_a_spheres_shell_has_the_drag_of_the_book_both_ways():
    shell = sheet(outline="oval", camber="10 mm", cup="10 mm")
    area = math.pi / 4.0 * 0.020**2
    into = abs(force(shell, (0.0, 0.0, -1.0), only=("plate_drag",))[2]) / (0.5 * bench.WATER.density * area)
    lee = abs(force(shell, (0.0, 0.0, 1.0), only=("plate_drag",))[2]) / (0.5 * bench.WATER.density * area)
    assert (into, lee) == (pytest.approx(1.33, rel=0.02), pytest.approx(0.34, rel=0.02))


def test_a_sheet_bent_more_than_half_round_is_refused_with_a_way_out():
    with pytest.raises(ValueError, match=r"plate\.sheet\.camber is 11 mm, more than half of the 20 mm"):
        sheet(camber="11 mm")
