"""The wake oscillator: it stands still without a flow, and stays small however a lure is thrown about."""

from pathlib import Path

import numpy as np
import pytest

from sim.design.load import load
from sim.design.paths import replaced
from sim.elements import P_SHED
from sim.forces.state import N_WAKE, WAKE
from sim.lure import build
from sim.motion.equations import rates
from sim.motion.problem import pack
from sim.motion.solve import start_state
from sim.trials import retrieve
from sim.trials.scene import still

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@pytest.mark.parametrize(("height", "speed"), [(1.0, 3.0), (-1.0, 0.0)])
def test_in_air_and_in_still_water_the_wake_stands_still(height, speed):
    design = load(SCENARIOS / "thimble_oar.toml")
    lure = build(design)
    state = start_state(lure.elements, (0, 0, height), (1, 0, 0, 0), velocity=(speed, 0, 0), wake=3.0)
    state[WAKE + 1] = 2.0
    assert np.all(rates(0.0, state, pack(lure.elements, still(design)))[WAKE:] == 0.0)


@pytest.mark.parametrize(
    ("back", "up", "speed"), [(0.030, -0.008, 0.9), (0.040, -0.004, 1.3), (0.055, -0.008, 1.3)]
)
def test_tied_far_back_it_leaps_about_and_the_run_still_has_an_end(back, up, speed):
    # these points once let the wake coast on while the lip was out of the water, and the solver gave up
    design = load(SCENARIOS / "thimble_oar.toml")
    design = replaced(design, {"tie_on.nose.at.back": back, "tie_on.nose.at.up": up})
    lure = build(design)
    run = retrieve.run(design, lure, "nose", speed)
    assert run.ended != "gave up"
    oscillators = int(lure.elements.plates[:, P_SHED].max()) + 1  # the points of the line come after them
    assert np.abs(run.y[:, WAKE : WAKE + N_WAKE * oscillators]).max() < 15.0
