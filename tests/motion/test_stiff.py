"""A run that is stiff for the explicit stepper ends with an answer, not with the budget."""

import numpy as np
import pytest

from sim.motion import solve, stiff
from sim.motion.problem import Scene
from sim.motion.solve import Settings, Stop, integrate, start_state
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
    pieces = [(np.zeros(1), run.y[:1], np.empty((0, 4, run.y.shape[1])))]
    stiff.finished(
        run.flat,
        0.0,
        run.y[0],
        0.5,
        1e-4,
        1e-5,
        0.05,
        1e5,
        run.y.shape[1],
        lambda *steps: not pieces.append(steps),
    )
    times, states, c = (np.concatenate([piece[k] for piece in pieces]) for k in range(3))
    assert times[-1] == pytest.approx(0.5)
    s = np.diff(times)[:, None]
    ends = states[:-1] + s * (c[:, 0] + s * (c[:, 1] + s * (c[:, 2] + s * c[:, 3])))
    assert ends == pytest.approx(states[1:], rel=1e-9, abs=1e-9)


def test_a_rest_that_is_far_too_slow_is_given_up_before_its_calls_are_spent(monkeypatch):
    lump = _light()
    start = start_state(lump, (0.0, 0.0, 1000.0), (1.0, 0.0, 0.0, 0.0), velocity=(5.0, 0.0, 0.0))
    fine = Settings(1e-11, 1e-13, calls_per_second=1000)
    monkeypatch.setattr(stiff, "AT_ONCE", 8)
    whole = integrate(lump, Scene(WATER, AIR), start, 2.0, settings=fine)
    monkeypatch.setattr(solve, "HOPELESS", 1.0)
    cut = integrate(lump, Scene(WATER, AIR), start, 2.0, settings=fine)
    assert (whole.ended, cut.ended) == ("time", "gave up")
    assert cut.evaluations < whole.evaluations


def test_it_ends_at_a_stop_and_makes_no_calls_beyond_it(monkeypatch):
    monkeypatch.setattr(stiff, "AT_ONCE", 4)
    lump = _light()
    start = start_state(lump, (0.0, 0.0, 10.0), (1.0, 0.0, 0.0, 0.0), velocity=(5.0, 0.0, 0.0))
    few = Settings(calls_per_second=300)
    low = Stop("low", lambda t, y: y[:, 2] - 9.97)
    run = integrate(lump, Scene(WATER, AIR), start, 2.0, [low], few)
    assert run.ended == "low"
    assert run.y[-1, 2] == pytest.approx(9.97, abs=1e-6)
    whole = integrate(lump, Scene(WATER, AIR), start, 2.0, settings=few)
    assert run.evaluations < whole.evaluations


def test_a_run_that_is_nearly_through_when_its_budget_is_spent_goes_on_as_it_was():
    lump = _light()
    start = start_state(lump, (0.0, 0.0, 1000.0), (1.0, 0.0, 0.0, 0.0), velocity=(5.0, 0.0, 0.0))
    whole = integrate(lump, Scene(WATER, AIR), start, 0.5)
    near = Settings(calls_per_second=round(whole.evaluations / 0.5 * 0.8))
    run = integrate(lump, Scene(WATER, AIR), start, 0.5, settings=near)
    assert run.ended == "time"
    assert np.array_equal(run.y, whole.y)
