"""The demo designs do what their comments promise: by behaviour, not by frozen numbers."""

import tomllib
from functools import cache
from pathlib import Path

import pytest

from sim.design.load import load, read
from sim.lure import build
from sim.trials import cast, drop, retrieve
from sim.trials.budget import budget
from sim.trials.results import Behaviour, DropMotion, Ended, Verdict
from sim.trials.trial import trial

SCENARIOS = Path(__file__).parents[2] / "scenarios"
NAMES = sorted(path.stem for path in SCENARIOS.glob("*.toml"))
UNDER = {Behaviour.DIVES, Behaviour.RUNS}


@cache
def ready(name):
    design = load(SCENARIOS / f"{name}.toml")
    return design, build(design)


@cache
def pulled(name, tie, speed):
    design, lure = ready(name)
    return retrieve.retrieve(design, lure, tie_ons=[tie], speeds=[speed])[0]


def test_there_are_at_least_six_demo_designs():
    assert len(NAMES) >= 6


@pytest.mark.parametrize("name", NAMES)
def test_every_demo_design_has_a_paragraph_of_comments_that_says_it_is_invented(name):
    text = (SCENARIOS / f"{name}.toml").read_text()
    comment = "\n".join(line for line in text.split("\n\nname")[0].splitlines() if line.startswith("#"))
    assert len(comment) > 200
    assert "invented demo design" in comment
    assert tomllib.loads(text)["name"]


@pytest.mark.parametrize("name", NAMES)
def test_every_demo_design_gets_all_its_answers(name):
    result = trial(ready(name)[0])
    assert result.drop.ended is not Ended.GAVE_UP
    assert result.cast.ended is Ended.SPLASH
    assert all(run.ended is not Ended.GAVE_UP for run in result.retrieve)
    assert not result.budget.warnings


def test_the_skittle_looks_as_if_it_would_float_and_does_not():
    design, _ = ready("last_skittle")
    result = budget(design)
    assert result.verdict is Verdict.SINKS
    (wall,) = [one for one in result.turning_values if one.wall]
    assert wall.value_si < design.body["skittle"].density.value
    cavity_alone = result.water_density_kg_m3 * design.body["skittle"].cavity.value
    assert cavity_alone < design.body["skittle"].weight.value  # it never carries even its own shell


def test_the_skittle_goes_down_fat_end_first():
    fall = drop.drop(*ready("last_skittle"))
    assert fall.sink_rate_m_s > 0.0
    assert fall.pitch_deg > 20.0


@pytest.mark.parametrize("speed", [0.25, 0.4, 0.7])
def test_the_waker_pushes_a_wake_from_its_low_tie_on_point(speed):
    run = pulled("porch_light", "lip_low", speed)
    assert run.behaviour is Behaviour.WAKES
    assert Behaviour.ROCKS in run.also


def test_the_shallow_runner_goes_down_a_hand_or_two_and_comes_up_again():
    run = pulled("thimble_oar", "nose", 0.9)
    assert run.behaviour in UNDER
    assert 0.1 < run.depth_m < 0.8
    assert Behaviour.WOBBLES in run.also or Behaviour.ROCKS in run.also
    assert drop.drop(*ready("thimble_oar")).sink_rate_m_s < 0.0


def test_the_deep_runner_floats_at_rest_and_digs_deeper_than_a_metre():
    assert budget(ready("cellar_door")[0]).verdict is Verdict.FLOATS
    run = pulled("cellar_door", "lip", 0.9)
    assert run.behaviour is Behaviour.DIVES
    assert run.depth_m > 1.0
    assert run.depth_m > pulled("thimble_oar", "nose", 0.9).depth_m


def test_the_minnow_hangs_at_its_temperature_rises_in_the_cold_and_sinks_in_the_heat():
    text = (SCENARIOS / "noon_and_midnight.toml").read_text()
    verdicts = {
        degrees: budget(read(text.replace("18 C", f"{degrees} C", 2), "minnow.toml")).verdict
        for degrees in (5, 18, 28)
    }
    assert verdicts == {5: Verdict.FLOATS, 18: Verdict.SUSPENDS, 28: Verdict.SINKS}


def test_the_leaf_flutters_on_the_drop():
    fall = drop.drop(*ready("tin_leaf"))
    assert fall.motion is DropMotion.FLUTTER
    assert fall.swing_deg > 20.0


def test_the_body_without_a_lip_sinks_nose_first():
    fall = drop.drop(*ready("gravel_bell"))
    assert fall.sink_rate_m_s > 0.2
    assert fall.pitch_deg < -10.0


def test_the_body_without_a_lip_runs_higher_from_its_front_eye():
    assert pulled("gravel_bell", "front", 1.0).depth_m < pulled("gravel_bell", "rear", 1.0).depth_m


@pytest.mark.parametrize("name", NAMES)
def test_casts_are_of_the_length_that_anglers_know(name):
    throw = cast.cast(*ready(name))
    assert 12.0 < throw.range_m < 45.0  # 28 m/s at 40 degrees goes 81 m without air
    assert throw.flight_time_s < 4.5
