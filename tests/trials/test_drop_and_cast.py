"""Drop and cast: figures against closed forms, words against figures."""

import math
import re
from pathlib import Path

import numpy as np
import pytest

from sim.design.load import load, read
from sim.lure import build
from sim.motion import kinematics as reading
from sim.show.worded import worded
from sim.trials import cast, drop, retrieve
from sim.trials.results import DropMotion, Ended

BALL = """
name = "ball"
[water]
temperature = "20 C"
depth = "{depth}"
[body.ball]
length = "20 mm"
width = "20 mm"
height = "20 mm"
density = "{density}"
[tie_on.eye]
at = {{ back = "0 mm" }}
[cast]
{cast}
"""


def ball(density="1.3 g/cm3", depth="4 m", throw=""):
    design = read(BALL.format(density=density, depth=depth, cast=throw), "ball.toml")
    return design, build(design)


def test_a_ball_sinks_straight_at_its_terminal_speed():
    fall = drop.drop(*ball())
    # weight less lift = drag with Cd about 0.41 at this Reynolds number
    speed = math.sqrt((1300 / 998.2 - 1) * 9.80665 * 0.02 * 4 / 3 / 0.42)
    assert fall.sink_rate_m_s == pytest.approx(speed, rel=0.05)
    assert fall.motion is DropMotion.STRAIGHT
    assert fall.ended is Ended.BOTTOM


def test_the_rates_agree_with_each_other():
    fall = drop.drop(*ball())
    assert fall.sink_rate_cm_s == pytest.approx(100 * fall.sink_rate_m_s)
    assert fall.sink_rate_ft_s == pytest.approx(fall.sink_rate_m_s / 0.3048)
    assert fall.seconds_per_m == pytest.approx(1 / fall.sink_rate_m_s)
    assert fall.seconds_per_ft == pytest.approx(0.3048 / fall.sink_rate_m_s)


def test_a_light_ball_rises_and_its_rate_is_negative():
    rise = drop.drop(*ball("0.8 g/cm3"))
    assert rise.sink_rate_m_s < 0
    assert rise.ended is Ended.SURFACE
    assert worded(rise).sentence.startswith("Rises")
    assert rise.countdown == []


def test_a_ball_as_heavy_as_water_hangs():
    fall = drop.drop(*ball("998.2 kg/m3"))
    assert fall.motion is DropMotion.HANGS
    assert fall.sink_rate_m_s == 0.0
    assert fall.seconds_per_m is None


def test_the_count_down_deepens_with_time():
    depths = [depth for _, depth in drop.drop(*ball()).countdown]
    assert depths == sorted(depths)
    assert depths[0] > 0


def test_a_deeper_water_does_not_change_the_sink_rate():
    shallow, deep = (drop.drop(*ball(depth=depth)).sink_rate_m_s for depth in ("2 m", "8 m"))
    assert shallow == pytest.approx(deep, rel=0.01)


def test_without_line_and_air_a_cast_is_a_parabola():
    design, lure = ball()
    still = dict.fromkeys(("line_drag", "cross_drag", "axial_drag", "hook_drag", "roll_drag"), 0.0)
    run = cast.run(design, lure, coefficients=still)
    speed, angle, height, g = 28.0, math.radians(40), 2.2, 9.80665
    climb = speed * math.sin(angle)
    seconds = (climb + math.sqrt(climb**2 + 2 * g * height)) / g
    assert float(run.t[-1]) == pytest.approx(seconds, rel=1e-3)
    flown = cast.describe(run, lure)
    assert flown.range_m == pytest.approx(speed * math.cos(angle) * seconds, rel=2e-3)
    assert flown.apex_m == pytest.approx(height + climb**2 / (2 * g), rel=2e-3)


def test_air_and_line_shorten_a_cast():
    design, lure = ball()
    whole = cast.cast(design, lure).range_m
    no_line = cast.describe(cast.run(design, lure, coefficients={"line_drag": 0.0}), lure).range_m
    assert whole < no_line < 82.0  # as far as it goes without air


def test_wind_from_behind_carries_farther_and_in_the_face_less_far():
    ranges = [cast.cast(*ball(throw=f'wind = "{wind} m/s"')).range_m for wind in (-6, 0, 6)]
    assert ranges == sorted(ranges)
    assert ranges[2] - ranges[0] > 2.0


def test_wind_from_the_right_carries_to_the_left():
    flown = cast.cast(*ball(throw='crosswind = "6 m/s"'))
    assert flown.drift_m > 0.5


def test_a_heavier_lure_of_the_same_size_flies_farther():
    assert cast.cast(*ball("1.6 g/cm3")).range_m > cast.cast(*ball("1.1 g/cm3")).range_m


def test_a_cast_of_something_very_light_is_followed_until_it_lands():
    flown = cast.cast(*ball("0.004 g/cm3", throw='angle = "80 deg"\nheight = "15 m"'))
    assert flown.ended is Ended.SPLASH
    assert flown.flight_time_s > 12.0


def test_a_retrieve_from_the_cast_starts_where_and_as_the_lure_came_down():
    design = load(Path(__file__).parents[2] / "scenarios" / "gravel_bell.toml")
    lure = build(design)
    level = design.retrieve.model_copy(update={"from_cast": False})
    thrown = design.model_copy(update={"retrieve": design.retrieve.model_copy(update={"from_cast": True})})
    flown = cast.cast(thrown, lure)
    run = retrieve.run(thrown, lure, "front", 0.9)
    where = reading.points(run.y[:1], reading.axes(run.y[:1]), lure.centre)[0]
    assert float(np.hypot(*where[:2])) == pytest.approx(flown.range_m, abs=2.0)
    assert where[2] < -0.05  # it has sunk while the line was picked up
    (answer,) = retrieve.retrieve(thrown, lure, tie_ons=["front"], speeds=[0.9])
    assert answer.starts_at_m[0] == pytest.approx(flown.range_m, abs=2.0)
    assert re.search(r"Reeling starts \d+ m out, (\d\.\d m|\d+ cm) down\.$", worded(answer).sentence)
    (plain,) = retrieve.retrieve(
        design.model_copy(update={"retrieve": level}), lure, tie_ons=["front"], speeds=[0.9]
    )
    assert plain.starts_at_m is None
    assert "Reeling" not in worded(plain).sentence
