"""Programmes: from steps to line and rod tip, and what a lure does at the stops."""

from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sim.design.fishing import Programme, Retrieve
from sim.design.load import read
from sim.design.programmes import length
from sim.lure import BuildError, build
from sim.show.worded import worded
from sim.trials import retrieve
from sim.trials.programme import compiled_rows, mean_speed
from sim.trials.results import Behaviour, Ended
from tests.strategies import designs, to_toml

SCENARIOS = Path(__file__).parents[2] / "scenarios"
PLAN = Retrieve.model_validate({"tip": "1 m", "line_per_turn": "0.7 m"})
WIND = {"do": "wind", "speed": "0.8 m/s", "time": "3 s"}
PAUSE = {"do": "pause", "time": "2 s"}


def compiled(*steps, **rest):
    programme = Programme.model_validate({"steps": steps, **rest})
    return compiled_rows(programme, PLAN, 15.0)


def out_at(rows, t):
    """Length of line out, as the compiled law joins the rows."""
    for a, b in pairwise(rows):
        if a[0] <= t <= b[0]:
            return a[1] + (b[1] - a[1]) * (t - a[0]) / (b[0] - a[0])
    raise AssertionError(t)


def test_winding_brings_in_line_at_its_speed_after_an_even_start():
    rows, phases = compiled(WIND)
    assert rows[0] == (0.0, 15.0, 0.0, 0.0, 1.0)
    assert out_at(rows, 0.5) == pytest.approx(15.0 - 0.5 * 0.8 * 0.5)
    assert out_at(rows, 2.5) - out_at(rows, 1.5) == pytest.approx(-0.8)
    assert [(p.do, p.start, p.end, p.speed) for p in phases] == [("wind", 0.0, 3.0, 0.8)]


def test_the_reel_stops_at_once_and_starts_again_evenly():
    rows, phases = compiled(WIND, PAUSE, repeat=2)
    assert [p.do for p in phases] == ["wind", "pause", "wind", "pause"]
    assert out_at(rows, 3.0) == out_at(rows, 5.0)
    assert out_at(rows, 5.0) - out_at(rows, 5.5) == pytest.approx(0.2)


def test_a_change_of_speed_goes_over_evenly_from_the_one_before():
    rows, _ = compiled(WIND, WIND | {"speed": "1.2 m/s"})
    assert out_at(rows, 3.0) - out_at(rows, 3.5) == pytest.approx(
        0.5
    )  # mean of 0.8 and 1.2 for half a second
    assert out_at(rows, 4.0) - out_at(rows, 5.0) == pytest.approx(1.2)


def test_a_speed_may_be_told_in_turns_of_the_reel():
    rows, phases = compiled({"do": "wind", "turns": 2.0, "time": "3 s"})
    assert phases[0].speed == pytest.approx(1.4)
    assert out_at(rows, 1.0) - out_at(rows, 2.0) == pytest.approx(1.4)


def test_a_twitch_draws_the_tip_back_and_gives_the_line_again():
    rows, phases = compiled({"do": "twitch", "pull": "0.3 m", "time": "0.2 s"})
    assert rows[1] == pytest.approx((0.2, 15.0, -0.3, 0.0, 1.0))
    assert rows[2] == pytest.approx((0.4, 15.0, 0.0, 0.0, 1.0))
    assert phases[0].end == pytest.approx(0.4)


def test_a_sweep_to_the_left_winds_in_what_the_rod_had_drawn():
    rows, _ = compiled({"do": "sweep", "pull": "1 m", "time": "1 s", "toward": "left"})
    assert rows[1] == pytest.approx((1.0, 15.0, -1.0, 1.0, 1.0))
    assert rows[2] == pytest.approx((2.0, 14.0, 0.0, 0.0, 1.0))


def test_the_rod_tip_stays_where_it_was_put():
    rows, _ = compiled({"do": "tip", "height": "0.2 m", "time": "1 s"}, WIND)
    assert [row[4] for row in rows[1:]] == [0.2] * (len(rows) - 1)


def test_the_mean_speed_counts_only_the_winding():
    _, phases = compiled(WIND, PAUSE, WIND | {"speed": "0.4 m/s"})
    assert mean_speed(phases) == pytest.approx(0.6)


@st.composite
def steps(draw):
    """Any step that a file may have."""
    do = draw(st.sampled_from(["wind", "pause", "twitch", "sweep", "tip"]))
    step = {"do": do, "time": f"{draw(st.floats(0.02, 3.0))} s"}
    if do == "wind":
        step["speed"] = f"{draw(st.floats(0.05, 3.0))} m/s"
    elif do == "tip":
        step["height"] = f"{draw(st.floats(0.05, 4.0))} m"
    elif do != "pause":
        step |= {
            "pull": f"{draw(st.floats(0.01, 3.0))} m",
            "toward": draw(st.sampled_from(["back", "left", "right"])),
        }
    return step


@given(st.lists(steps(), min_size=1, max_size=6), st.integers(1, 3))
def test_time_never_stands_still_and_line_is_never_given(several, repeat):
    rows, phases = compiled(*several, repeat=repeat)
    assert all(b[0] > a[0] for a, b in pairwise(rows))
    assert all(b[1] <= a[1] + 1e-9 for a, b in pairwise(rows))
    assert min(row[1] for row in rows) >= 1.0
    programme = Programme.model_validate({"steps": several, "repeat": repeat})
    assert phases[-1].end == pytest.approx(length(programme))


# --- real runs ----------------------------------------------------------------------------------------------

FILE = """
[retrieve.programme.stop_and_go]
repeat = 2
steps = [
    { do = "wind", speed = "0.8 m/s", time = "3 s" },
    { do = "pause", time = "2.5 s" },
]
[retrieve.programme.counted]
count = "2 s"
steps = [{ do = "wind", speed = "0.5 m/s", time = "4 s" }]
[retrieve.programme.straight_off]
steps = [{ do = "wind", speed = "0.5 m/s", time = "4 s" }]
[retrieve.programme.long_count]
count = "60 s"
steps = [{ do = "wind", speed = "0.5 m/s", time = "4 s" }]
[retrieve.programme.tip_high]
steps = [{ do = "tip", height = "3 m", time = "0.5 s" }, { do = "wind", speed = "0.8 m/s", time = "6 s" }]
[retrieve.programme.tip_low]
steps = [{ do = "tip", height = "0.1 m", time = "0.5 s" }, { do = "wind", speed = "0.8 m/s", time = "6 s" }]
"""


@cache
def through(name, tie, programme):
    text = (SCENARIOS / f"{name}.toml").read_text(encoding="utf-8")
    design = read(text + FILE, f"{name}.toml")
    lure = build(design, with_hulls=False)
    return worded(retrieve.retrieve(design, lure, tie_ons=[tie], programmes=[programme])[0])


def test_a_floating_runner_comes_up_when_the_winding_stops():
    run = through("thimble_oar", "nose", "stop_and_go")
    assert run.programme == "stop_and_go"
    assert run.speed_m_s == pytest.approx(0.8)
    assert [stop.behaviour for stop in run.pauses] == [Behaviour.RISES] * 2
    for stop in run.pauses:
        assert stop.sink_rate_m_s < -0.05
        assert stop.sunk_m < -0.05
        assert stop.pitch_deg > 1.0  # nose up, as its lift lies ahead of its weight
        assert "hold it up" in stop.cause or "holds it up" in stop.cause
    assert "it rises at" in run.sentence


def test_a_suspending_minnow_hangs_when_the_winding_stops():
    run = through("noon_and_midnight", "nose", "stop_and_go")
    assert {stop.behaviour for stop in run.pauses} == {Behaviour.HANGS}
    assert "it hangs" in run.sentence


def test_a_sinking_body_sinks_when_the_winding_stops():
    run = through("gravel_bell", "front", "stop_and_go")
    assert {stop.behaviour for stop in run.pauses} == {Behaviour.SINKS}
    assert run.pauses[0].sink_rate_m_s > 0.1


def test_a_lure_that_is_up_before_the_pause_is_over_says_when():
    stop = through("thimble_oar", "nose", "stop_and_go").pauses[0]
    assert stop.surfaced_s is not None
    assert 0.2 < stop.surfaced_s < stop.pause_s


def test_a_sinking_lure_starts_deeper_when_it_is_counted_down():
    counted, plain = (
        through("gravel_bell", "front", "counted"),
        through("gravel_bell", "front", "straight_off"),
    )
    assert counted.depths_m[0][1] > plain.depths_m[0][1] + 0.3


def test_counting_a_floating_lure_down_changes_nothing_much():
    counted, plain = through("thimble_oar", "nose", "counted"), through("thimble_oar", "nose", "straight_off")
    assert counted.depths_m[0][1] == pytest.approx(plain.depths_m[0][1], abs=0.01)


def test_counted_down_too_long_it_lies_on_the_bottom():
    run = through("gravel_bell", "front", "long_count")
    assert run.ended is Ended.BOTTOM
    assert run.behaviour is Behaviour.BOTTOM or Behaviour.BOTTOM in run.also


def test_a_high_rod_tip_keeps_it_shallower():
    high, low = through("cellar_door", "lip", "tip_high"), through("cellar_door", "lip", "tip_low")
    assert high.deepest_m < 0.95 * low.deepest_m


@settings(max_examples=6, suppress_health_check=list(HealthCheck))
@given(designs().filter(lambda design: design.get("retrieve", {}).get("programme")))
def test_any_lure_comes_through_any_programme_with_an_answer(design):
    made = read(to_toml(design), "any.toml")
    try:
        lure = build(made, with_hulls=False)
    except BuildError:
        return
    for name in made.retrieve.programme:
        (run,) = worded(retrieve.retrieve(made, lure, tie_ons=[next(iter(lure.tie_ons))], programmes=[name]))
        assert run.sentence
        assert run.behaviour is Behaviour.UNKNOWN or run.depth_m is not None
