"""What physics demands of any lure, whatever its numbers: no energy from drag, and the order of things."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.design.load import load
from sim.design.paths import replaced
from sim.elements import N_ADDED
from sim.lure import build
from sim.lure.added_mass import unpacked
from sim.motion import kinematics as reading
from sim.motion.equations import rates
from sim.motion.problem import pack, unpack
from sim.motion.solve import start_state
from sim.trials import retrieve
from sim.trials.floating import settled
from sim.trials.scene import still

SCENARIOS = Path(__file__).parents[2] / "scenarios"
NAMES = sorted(path.stem for path in SCENARIOS.glob("*.toml"))


@cache
def ready(name):
    design = load(SCENARIOS / f"{name}.toml")
    return design, build(design)


@cache
def problem(name):
    design, lure = ready(name)
    scene = still(design, {"shedding": 0.0})  # shed vortices are the one thing that may push
    return lure, scene, pack(lure.elements, scene)


directions = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: sum(x * x for x in v) > 0.01)


@given(
    name=st.sampled_from(NAMES),
    turn=st.tuples(*[st.floats(-1, 1)] * 4).filter(lambda q: sum(x * x for x in q) > 0.01),
    path=directions,
    speed=st.floats(0.05, 4.0),
    axis=directions,
    spin=st.floats(0.0, 40.0),
)
def test_still_water_never_gives_energy_to_a_lure(name, turn, path, speed, axis, spin):
    lure, scene, flat = problem(name)
    v = speed * np.array(path) / np.linalg.norm(path)
    w = spin * np.array(axis) / np.linalg.norm(axis)
    state = start_state(lure.elements, (0.0, 0.0, -5.0), np.array(turn) / np.linalg.norm(turn), v, w)
    p = unpack(flat)
    inertia = p.inertia + scene.water.density * unpacked(p.whole[:N_ADDED])
    motion = state[7:13]
    r = reading.axes(state[None, :])[0]
    rise = (r @ (v + np.cross(w, lure.centre)))[2]
    lift = (r @ (v + np.cross(w, lure.centre_volume)))[2]
    stored = scene.gravity * (lure.mass * rise - scene.water.density * lure.volume * lift)
    power = motion @ inertia @ rates(0.0, state, flat)[7:13] + stored
    energy = 0.5 * motion @ inertia @ motion
    assert power <= 1e-9 * energy


def _pulled(name, tie, speed, changes=None):
    design, _ = ready(name)
    if changes:
        design = replaced(design, changes)
    lure = build(design)
    return retrieve.describe(retrieve.run(design, lure, tie, speed), lure, tie, speed)


def test_the_shallower_the_lip_to_the_axis_the_deeper_it_dives():
    depths = [
        _pulled("thimble_oar", "nose", 0.9, {"plate.lip.angle": np.radians(angle)}).depth_m
        for angle in (35.0, 45.0, 55.0, 65.0)
    ]
    assert depths == sorted(depths, reverse=True)
    assert depths[0] > depths[-1] + 0.05


@pytest.mark.parametrize(("name", "tie"), [("thimble_oar", "nose"), ("cellar_door", "lip")])
def test_the_thinner_the_line_the_deeper_it_dives(name, tie):
    depths = [
        _pulled(name, tie, 0.9, {"line.diameter": diameter}).depth_m
        for diameter in (0.10e-3, 0.20e-3, 0.30e-3, 0.40e-3)
    ]
    assert depths == sorted(depths, reverse=True)
    assert depths[0] > depths[-1] + 0.05


@pytest.mark.parametrize(
    ("name", "key"), [("thimble_oar", "belly"), ("porch_light", "keel"), ("cellar_door", "belly")]
)
def test_moving_ballast_aft_never_lowers_the_nose_at_rest(name, key):
    design, _ = ready(name)
    here = design.ballast[key].at.back.value
    noses = []
    for aft in (-0.008, -0.004, 0.0, 0.004, 0.008):
        lure = build(replaced(design, {f"ballast.{key}.at.back": here + aft}))
        noses.append(settled(lure, 998.6).pitch_deg)
    assert noses == sorted(noses)


@pytest.mark.parametrize("name", ["thimble_oar", "porch_light", "cellar_door"])
def test_a_heavier_hook_never_lets_it_float_higher(name):
    design, _ = ready(name)
    here = design.hook["belly"].weight.value
    shares = [
        settled(build(replaced(design, {"hook.belly.weight": here * factor})), 998.6).immersed_fraction
        for factor in (0.5, 1.0, 1.5)
    ]
    assert shares == sorted(shares)
