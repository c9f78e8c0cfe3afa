"""A run that is stiff for the explicit stepper ends with an answer, not with the budget."""

import numpy as np
import pytest

from sim.motion import stiff
from sim.motion.problem import Scene
from sim.motion.solve import Settings, integrate, start_state
from tests.checks.bench import AIR, WATER
from tests.motion import rigs


def _light():
    """A milligram with a drag area of a hand, falling."""
    return rigs.lump(1e-6, 0.01)


def test_a_milligram_with_the_drag_of_a_hand_falls_at_its_terminal_speed():
    lump = _light()
    start = start_state(lump, (0.0, 0.0, 1000.0), (1.0, 0.0, 0.0, 0.0), velocity=(5.0, 0.0, 0.0))
    run = integrate(lump, Scene(WATER, AIR), start, 2.0, settings=Settings(calls_per_second=300))
    assert run.ended == "time"
    speed = np.sqrt(2.0 * 1e-6 * 9.80665 / (AIR.density * 0.01))
    assert -run.y[-1, 9] == pytest.approx(speed, rel=0.01)


def test_its_curve_passes_through_its_steps():
    lump = _light()
    start = start_state(lump, (0.0, 0.0, 1000.0), (1.0, 0.0, 0.0, 0.0), velocity=(5.0, 0.0, 0.0))
    run = integrate(lump, Scene(WATER, AIR), start, 0.5)
    rest = stiff.finished(run.flat, 0.0, run.y[0], 0.5, 1e-4, 1e-5, 0.05, 1e5, run.y.shape[1])
    assert rest.t[-1] == pytest.approx(0.5)
    times = np.concatenate([[0.0], rest.t])
    states = np.vstack([run.y[0], rest.y])
    s = np.diff(times)[:, None]
    c = rest.dense
    ends = states[:-1] + s * (c[:, 0] + s * (c[:, 1] + s * (c[:, 2] + s * c[:, 3])))
    assert ends == pytest.approx(states[1:], rel=1e-9, abs=1e-9)
