"""What the equations must keep: the plane of symmetry, mirror images, and no regard for the compass."""

import math
from pathlib import Path

import numpy as np
import pytest

from sim.design.load import load, read
from sim.forces.line import line_state
from sim.lure import build
from sim.motion import kinematics as reading
from sim.motion.problem import unpack
from sim.motion.solve import integrate
from sim.trials import cast, drop, retrieve
from sim.trials.scene import pulled

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))
SIDEWAYS = [1, 8, 10, 12]  # y, v, roll and yaw rates


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_a_symmetric_lure_started_straight_stays_in_its_plane_to_the_last_bit(path):
    design = load(path)
    lure = build(design)
    name = next(iter(lure.tie_ons))
    pull = retrieve.run(design, lure, name, 0.8, wake=0.0, nudge=0.0)
    assert np.abs(pull.y[:, SIDEWAYS]).max() == 0.0
    assert np.abs(reading.line_points(pull.t, pull.y, pull.flat)[:, :, 1]).max() == 0.0
    assert np.abs(pull.y[:, [3, 5]]).max() == 0.0  # nose toward the rod: half a turn about z
    for run in (drop.run(design, lure, nudge=0.0, wake=0.0), cast.run(design, lure, nudge=0.0)):
        assert np.abs(run.y[:, SIDEWAYS]).max() == 0.0
        assert np.abs(run.y[:, [4, 6]]).max() == 0.0


LOPSIDED = """
name = "Lopsided"
[body.main]
length = "60 mm"
width = "16 mm"
height = "18 mm"
density = "0.7 g/cm3"
[wire.leg]
start = {{ back = "20 mm", left = "{side}4 mm" }}
end = {{ back = "30 mm", left = "{side}24 mm", up = "-6 mm" }}
diameter = "2 mm"
[ballast.keel]
at = {{ back = "25 mm", up = "-6 mm" }}
weight = "4 g"
[tie_on.nose]
at = {{ left = "{side}1 mm" }}
"""


def test_a_mirrored_lure_makes_the_mirrored_track():
    runs = []
    for side in ("", "-"):
        design = read(LOPSIDED.format(side=side), "lopsided.toml")
        runs.append(retrieve.run(design, build(design), "nose", 0.6, nudge=0.0))
    left, right = (run.at(np.linspace(0, 5, 21)) for run in runs)
    assert np.abs(left[:, 1]).max() > 0.05  # it does run off
    mirror = np.array([1, -1, 1])
    assert right[:, :3] == pytest.approx(left[:, :3] * mirror, abs=1e-9)
    assert right[:, 7:10] == pytest.approx(left[:, 7:10] * mirror, abs=1e-9)
    assert right[:, 10:13] == pytest.approx(left[:, 10:13] * -mirror, abs=1e-8)


@pytest.mark.parametrize("turn", [0.4, 2.0, -1.2])
def test_turning_the_whole_world_changes_nothing(turn):
    design = load(SCENARIOS[0].parent / "thimble_oar.toml")
    lure = build(design)
    base = retrieve.run(design, lure, "nose", 0.9, nudge=0.0)
    start = base.y[0].copy()
    c, s = math.cos(turn), math.sin(turn)
    start[:2] = [c * start[0] - s * start[1], s * start[0] + c * start[1]]
    start[3:7] = reading.quaternion(heading=math.pi + turn)
    points = start[line_state(start, unpack(base.flat).line) :].reshape(-1, 3)
    points[:, :2] = points[:, :2] @ np.array([[c, s], [-s, c]])
    tie = tuple(float(x) for x in lure.tie_ons["nose"])
    programme = retrieve.steady(design, base.y[0], lure.tie_ons["nose"], 0.9)
    turned = integrate(lure.elements, pulled(design, tie, programme), start, float(base.t[-1]))
    times = np.linspace(6.0, 10.0, 400)
    figures = [retrieve.figures(run, lure, times, 0.9) for run in (base, turned)]
    for name in ("depth", "pitch", "roll_amplitude", "yaw_amplitude", "wobble", "tension"):
        assert getattr(figures[1], name) == pytest.approx(getattr(figures[0], name), rel=2e-3), name
