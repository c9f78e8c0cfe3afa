"""The causes are the model's own: what is told to push a lure is what, taken away, lets it go."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from sim.design.load import load
from sim.lure import build
from sim.show.pull_sentences import cause
from sim.show.worded import worded
from sim.trials import retrieve
from sim.trials.causes import SPARE, Sources, causes, sources
from sim.trials.results import Behaviour, SeenBehaviour

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@cache
def acting(name, tie, speed):
    design = load(SCENARIOS / f"{name}.toml")
    lure = build(design, with_hulls=False)
    run = retrieve.run(design, lure, tie, speed)
    return run, lure, sources(run, lure, np.linspace(0.5 * run.t[-1], run.t[-1], 400))


def pulled(name, tie, speed, coefficients=None):
    design = load(SCENARIOS / f"{name}.toml")
    lure = build(design, with_hulls=False)
    run = retrieve.run(design, lure, tie, speed, coefficients=coefficients)
    return worded(retrieve.describe(run, lure, tie, speed))


def seen(run, behaviour):
    return next(s for s in run.seen if s.behaviour is behaviour)


def test_over_a_steady_run_the_pushes_up_and_down_balance():
    _, lure, s = acting("cellar_door", "lip", 0.9)
    assert abs(sum(s.up.values())) < 0.05 * max(map(abs, s.up.values()))
    assert s.up[SPARE] == pytest.approx(9.80665 * (998.6 * lure.volume - lure.mass), rel=0.01)


def test_over_a_steady_swing_what_is_fed_is_taken_out():
    _, _, s = acting("noon_and_midnight", "nose", 0.9)
    fed = sum(v for v in s.feeds.values() if v > 0.0)
    assert fed > 0.0
    assert abs(sum(s.feeds.values())) < 0.1 * fed


def test_the_line_has_no_lever_about_its_own_point():
    _, _, s = acting("thimble_oar", "nose", 0.9)
    assert s.nose["the line"] == pytest.approx(0.0, abs=1e-12)
    assert s.heel["the line"] == pytest.approx(0.0, abs=1e-12)


def test_the_deep_runner_is_told_to_be_pushed_down_by_its_lip_and_so_it_is():
    run = pulled("cellar_door", "lip", 0.9)
    told = seen(run, Behaviour.DIVES).cause
    assert told.startswith("The lip (")
    assert "the line (" in told
    assert "its weight and buoyancy (" in told
    assert "About the tie-on point, the lip" in told
    assert "turn the nose down" in told or "turns the nose down" in told
    weaker = pulled("cellar_door", "lip", 0.9, {"plate_lift": 0.3, "plate_drag": 0.3})
    assert weaker.depth_m < 0.5 * run.depth_m


def test_the_minnow_is_told_to_rock_by_its_vortices_and_so_it_does():
    run = pulled("noon_and_midnight", "nose", 0.9)
    assert "vortices behind the lip" in seen(run, Behaviour.ROCKS).cause.split(" feed")[0]
    without = pulled("noon_and_midnight", "nose", 0.9, {"shedding": 0.0})
    assert without.roll_amplitude_deg < 0.2 * run.roll_amplitude_deg


def test_where_nothing_swings_no_force_is_told_to_feed_it():
    assert seen(pulled("last_skittle", "neck", 0.8), Behaviour.DRAGS).cause == "No force feeds a swing."


def test_every_behaviour_of_a_run_has_its_numbers_and_its_cause():
    for name, tie in (("cellar_door", "lip"), ("porch_light", "lip_low"), ("tin_leaf", "hole")):
        run = pulled(name, tie, 0.7)
        assert [s.behaviour for s in run.seen] == [run.behaviour, *run.also]
        for s in run.seen:
            assert s.numbers
            assert s.cause[0].isupper()
            assert s.cause.endswith(".")


MADE_UP = Sources(
    up={SPARE: 0.03, "the lip": -0.2, "the line": 0.17, "the fins": 0.0001},
    side={"the fins": -0.05, "the line": 0.05},
    nose={},
    heel={"the fins": -0.002, SPARE: 0.002},
    feeds={"the lip": 0.001, "the body": -0.001},
    twist={"the fins": 0.002, "the body": -0.002},
)


@pytest.mark.parametrize(
    ("behaviour", "told"),
    [
        (
            Behaviour.DIVES,
            "The lip (0.200 N) pushes it down; the line (0.170 N) and its weight and buoyancy (0.030 N) "
            "hold it up.",
        ),
        (
            Behaviour.WAKES,
            "The line (0.170 N) and its weight and buoyancy (0.030 N) hold it up; the lip (0.200 N) pushes "
            "it down.",
        ),
        (Behaviour.OFF_SIDE, "The fins (0.050 N) push it to the right; the line (0.050 N) pulls it back."),
        (
            Behaviour.ROLLS_OVER,
            "The fins hold it over; its weight and buoyancy push it upright.",
        ),
        (Behaviour.SPINS, "The fins turn it about the line; the body resists."),
        (Behaviour.WOBBLES, "The lip feeds the swing; the body takes it out."),
    ],
)  # fmt: skip
def test_causes_are_told_as_one_would_say_them(behaviour, told):
    balances = causes(behaviour, MADE_UP, roll=-60.0, offset=-1.0)
    assert cause(SeenBehaviour(behaviour=behaviour, numbers={}, balances=balances)) == told


def test_a_lure_that_hangs_is_told_to_be_alike():
    nothing = Sources({SPARE: 1e-5, "the line": 0.0}, {}, {}, {}, {}, {})
    hangs = SeenBehaviour(behaviour=Behaviour.HANGS, numbers={}, balances=causes(Behaviour.HANGS, nothing))
    assert cause(hangs) == "Nothing pushes it up or down: its weight and buoyancy are alike."


@pytest.mark.parametrize(("lift", "acts"), [(0.0004, 0), (0.0006, 1)])
def test_a_force_that_would_be_written_as_nought_is_left_out(lift, acts):
    assert len(causes(Behaviour.HANGS, Sources({SPARE: lift}, {}, {}, {}, {}, {}))) == acts
