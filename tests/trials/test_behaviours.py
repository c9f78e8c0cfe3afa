"""Rules of behaviours: one by one over made-up figures, then over real runs."""

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.design.load import load, read
from sim.lure import build
from sim.lure.strips import STRIPS
from sim.motion.solve import Settings, Trajectory
from sim.show.pull_sentences import pull
from sim.show.pull_sentences import pulled as pulled_from
from sim.show.units import METRIC
from sim.show.worded import worded
from sim.trials import retrieve
from sim.trials.behaviour import NUMBERS, RULES, headline, numbers
from sim.trials.results import Behaviour, Ended, RetrieveResult
from sim.trials.run_metrics import RunMetrics, figures, keyed
from sim.units import parse

ROOT = Path(__file__).parents[2]
SCENARIOS = ROOT / "scenarios"

QUIET = RunMetrics(
    depth=0.5, heave=0.001, height=0.02, wet=1.0, dry_time=0.0, pitch=-10.0, roll=0.0, upside_down=0.0,
    pitch_amplitude=0.5, roll_amplitude=0.5, yaw_amplitude=0.5, wobble=None, turns=0.0, turns_per_m=0.0,
    turns_one_way=0.0, over=0.0, over_one_way=0.0, circles=0.0, circles_one_way=0.0, radius=0.0, offset=0.0,
    distance=8.0, tension=0.3, tension_max=0.4,
)  # fmt: skip


def does(ended=Ended.TIME, **changes):
    first, also = headline(replace(QUIET, **changes), ended)
    return first, set(also)


def test_a_lure_well_under_that_does_nothing_else_dives_and_drags():
    assert does() == (Behaviour.DIVES, {Behaviour.DRAGS})


def test_it_runs_just_under_less_than_fifteen_centimetres_deep():
    assert does(depth=0.149)[0] is Behaviour.RUNS
    assert does(depth=0.151)[0] is Behaviour.DIVES


def test_it_wakes_when_more_than_a_fiftieth_of_it_shows():
    assert does(wet=0.97, depth=0.0)[0] is Behaviour.WAKES
    assert does(wet=0.99, depth=0.0)[0] is Behaviour.RUNS


def test_it_hops_when_it_shows_and_goes_up_and_down_by_half_its_height():
    assert does(wet=0.9, depth=0.02, heave=0.011) == (Behaviour.HOPS, {Behaviour.WAKES})
    assert does(wet=0.9, depth=0.02, heave=0.009)[0] is Behaviour.WAKES


def test_it_skips_when_it_is_out_of_the_water_for_a_tenth_of_the_time():
    assert does(wet=0.6, depth=0.0, dry_time=0.11)[0] is Behaviour.SKIPS
    assert does(wet=0.6, depth=0.0, dry_time=0.09)[0] is Behaviour.WAKES


def test_it_wobbles_and_rocks_from_three_degrees_on():
    assert Behaviour.WOBBLES in does(yaw_amplitude=3.1)[1]
    assert Behaviour.ROCKS in does(roll_amplitude=3.1)[1]
    assert does(yaw_amplitude=2.9, roll_amplitude=2.9)[1] == {Behaviour.DRAGS}
    assert Behaviour.DRAGS not in does(yaw_amplitude=3.1)[1]


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_it_rolls_over_when_it_lies_on_its_side_on_the_whole(side):
    assert does(roll=side * 46.0)[0] is Behaviour.ROLLS_OVER
    assert does(roll=side * 44.0)[0] is Behaviour.DIVES


def test_it_rolls_over_when_its_back_is_below_its_belly_now_and_again():
    assert does(upside_down=0.03)[0] is Behaviour.ROLLS_OVER
    assert does(upside_down=0.01)[0] is Behaviour.DIVES


def test_it_spins_when_it_turns_about_the_line_the_same_way():
    spinning = {"turns": 5.0, "turns_per_m": 1.2, "turns_one_way": 0.9}
    assert does(**spinning)[0] is Behaviour.SPINS
    assert does(**spinning | {"turns_one_way": 0.5})[0] is Behaviour.DIVES  # to and fro
    assert does(**spinning | {"turns_per_m": 0.1})[0] is Behaviour.DIVES
    assert does(**spinning | {"turns": 0.9})[0] is Behaviour.DIVES


def test_it_spirals_when_it_goes_round_in_circles_and_turns_with_them():
    round_ = {"circles": 3.0, "circles_one_way": 0.9, "radius": 0.012, "turns": 3.0}
    assert does(**round_)[0] is Behaviour.SPIRALS
    assert does(**round_ | {"turns": 1.0})[0] is Behaviour.DIVES  # a wobble
    assert does(**round_ | {"radius": 0.008})[0] is Behaviour.DIVES
    assert does(**round_ | {"circles_one_way": 0.3})[0] is Behaviour.DIVES


def test_it_tumbles_when_it_goes_end_over_end():
    assert does(over=1.1, over_one_way=0.8)[0] is Behaviour.TUMBLES
    assert does(over=1.1, over_one_way=0.2)[0] is Behaviour.DIVES


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_it_tracks_off_when_it_is_fifteen_hundredths_of_its_distance_aside(side):
    assert does(offset=side * 1.21)[0] is Behaviour.OFF_SIDE
    assert does(offset=side * 1.19)[0] is Behaviour.DIVES


def test_reaching_the_bottom_is_the_headline_of_a_lure_that_swims_as_it_should():
    assert does(Ended.BOTTOM)[0] is Behaviour.BOTTOM
    assert does(Ended.BOTTOM, upside_down=0.5)[0] is Behaviour.ROLLS_OVER


share = st.floats(0.0, 1.0)
any_figures = st.builds(
    replace, st.just(QUIET), depth=st.floats(-0.1, 5.0), heave=st.floats(0.0, 0.3), wet=share, dry_time=share,
    roll=st.floats(-180.0, 180.0), upside_down=share, roll_amplitude=st.floats(0.0, 400.0),
    yaw_amplitude=st.floats(0.0, 90.0), turns=st.floats(0.0, 50.0), turns_per_m=st.floats(0.0, 9.0),
    turns_one_way=share, over=st.floats(0.0, 9.0), over_one_way=share, circles=st.floats(0.0, 9.0),
    circles_one_way=share, radius=st.floats(0.0, 0.2), offset=st.floats(-9.0, 9.0),
    wobble=st.none() | st.floats(0.5, 20.0),
)  # fmt: skip


@given(any_figures, st.sampled_from([Ended.TIME, Ended.NEAR, Ended.BOTTOM]))
def test_every_run_has_one_headline_its_numbers_and_a_sentence(found, ended):
    first, also = headline(found, ended)
    assert first not in also
    assert len({first, *also} & {Behaviour.WAKES, Behaviour.RUNS, Behaviour.DIVES}) == 1
    assert all(math.isfinite(v) for b in (first, *also) for v in numbers(b, found).values())
    run = RetrieveResult(
        tie_on="nose", speed_m_s=0.8, behaviour=first, also=also, ended=ended, evaluations=1, **keyed(found)
    )
    assert pull(run, METRIC).endswith(".")


@given(any_figures)
def test_a_mirrored_run_is_called_the_same(found):
    other = replace(found, roll=-found.roll, offset=-found.offset)
    assert headline(found, Ended.TIME) == headline(other, Ended.TIME)


def test_the_documentation_says_the_rules_in_the_words_of_the_code():
    text = " ".join((ROOT / "docs" / "behaviours.md").read_text(encoding="utf-8").split())
    for rule in RULES:
        assert f"| {rule.behaviour.value} | {rule.says} |" in text
    assert {rule.behaviour for rule in RULES} == set(NUMBERS)


# --- figures of motions that are known ------------------------------------------------------------------


def moving(path, attitude, flat, seconds=5.0):
    """A trajectory that is told outright: path(t) (3,), attitude(t) as a quaternion."""
    t = np.linspace(0.0, seconds, int(400 * seconds) + 1)
    y = np.zeros((t.size, 17))
    y[:, :3] = [path(a) for a in t]
    y[:, 3:7] = [attitude(a) for a in t]
    step = t[1] - t[0]
    q = y[:, 3:7]
    dq = np.gradient(q, step, axis=0)
    w, xyz = q[:, :1], q[:, 1:]
    y[:, 10:13] = 2.0 * (w * dq[:, 1:] - dq[:, :1] * xyz - np.cross(xyz, dq[:, 1:]))
    dense = np.zeros((t.size - 1, 4, 17))  # straight lines between the moments
    dense[:, 0] = np.diff(y, axis=0) / step
    return Trajectory(t, y, dense, "time", 0, flat)


@cache
def ready(name):
    design = load(SCENARIOS / f"{name}.toml")
    return design, build(design, with_hulls=False)


@cache
def pulled(name, tie, speed):
    design, lure = ready(name)
    return retrieve.retrieve(design, lure, tie_ons=[tie], speeds=[speed])[0]


@cache
def packed():
    design, lure = ready("cellar_door")
    return retrieve.run(design, lure, "lip", 0.5, settings=Settings(calls_per_second=30)).flat


def figures_of(path, attitude):
    _, lure = ready("cellar_door")
    run = moving(path, attitude, packed())
    return figures(run, lure, np.linspace(0.0, 5.0, 500), 1.0)


def coming(t):
    return (10.0 - t, 0.0, -1.0)


def toward(t):
    return (0.0, 0.0, 0.0, 1.0)  # nose to the rod


def test_a_lure_drawn_straight_through_the_water_has_no_action():
    found = figures_of(coming, toward)
    assert found.depth == pytest.approx(1.0)
    assert max(found.heave, found.yaw_amplitude, found.roll_amplitude, found.turns, found.circles) < 1e-6
    assert found.wobble is None
    assert headline(found, Ended.TIME) == (Behaviour.DIVES, [Behaviour.DRAGS])


def test_a_slow_bend_of_the_path_is_not_heave():
    found = figures_of(lambda t: (10.0 - t, 0.0, -1.0 - 0.1 * (t - 2.0) ** 2 + 0.02 * t**3), toward)
    assert found.heave < 1e-6


def test_turns_about_the_line_are_counted_for_each_metre():
    def rolling(t):
        half = 0.5 * 2.0 * math.pi * 1.5 * t  # 1.5 turns a second at 1 m/s
        return (0.0, 0.0, math.sin(half), math.cos(half))  # heading pi, then roll

    found = figures_of(coming, rolling)
    assert found.turns_per_m == pytest.approx(1.5, rel=0.01)
    assert found.turns_one_way == pytest.approx(1.0)
    assert headline(found, Ended.TIME)[0] is Behaviour.SPINS


def test_a_wobble_is_told_by_its_half_swing_and_rate():
    def wobbling(t):
        half = 0.5 * (math.pi + math.radians(10.0) * math.sin(2.0 * math.pi * 6.0 * t))
        return (math.cos(half), 0.0, 0.0, math.sin(half))

    found = figures_of(coming, wobbling)
    assert found.yaw_amplitude == pytest.approx(10.0, rel=0.02)
    assert found.wobble == pytest.approx(6.0, abs=0.1)


def test_a_corkscrew_path_has_the_radius_of_its_circles():
    def corkscrew(t):
        return (10.0 - t, 0.05 * math.cos(6.0 * t), -1.0 + 0.05 * math.sin(6.0 * t))

    found = figures_of(corkscrew, toward)
    assert found.circles == pytest.approx(5.0 * 6.0 / (2.0 * math.pi), abs=0.3)
    assert found.radius == pytest.approx(0.05, rel=0.1)
    assert found.circles_one_way > 0.95


def test_going_end_over_end_is_counted():
    def tumbling(t):
        half = 0.5 * 2.0 * math.pi * 0.8 * t
        return (0.0, math.sin(half), 0.0, math.cos(half))  # about the lure's side axis, nose to the rod

    found = figures_of(coming, tumbling)
    assert found.over == pytest.approx(4.0, abs=0.05)
    first, also = headline(found, Ended.TIME)
    assert Behaviour.TUMBLES in (first, *also)


# --- real runs ---------------------------------------------------------------------------------------------

STABLE = [
    ("cellar_door", "lip", 0.9),
    ("cellar_door", "nose", 0.7),
    ("last_skittle", "neck", 0.8),
    ("noon_and_midnight", "nose", 0.5),
    ("porch_light", "lip_low", 0.4),
    ("thimble_oar", "nose", 0.9),
    ("thimble_oar", "lip", 0.4),
    ("tin_leaf", "hole", 0.9),
]


def _headline(name, tie, speed, strips=STRIPS, **options):
    design, lure = ready(name)
    lure = lure if strips == STRIPS else build(design, strips=strips, with_hulls=False)
    run = retrieve.run(design, lure, tie, speed, **options)
    return retrieve.describe(run, lure, tie, speed, why=False).behaviour


@pytest.mark.parametrize(("name", "tie", "speed"), STABLE)
def test_no_headline_hangs_on_a_hair_of_speed_or_on_how_finely_it_is_worked_out(name, tie, speed):
    plain = _headline(name, tie, speed)
    assert _headline(name, tie, 1.01 * speed) is plain
    assert _headline(name, tie, speed, settings=Settings().tightened(10.0)) is plain
    assert _headline(name, tie, speed, strips=2 * STRIPS) is plain


@pytest.mark.parametrize(
    ("name", "tie", "speed"),
    [("cellar_door", "lip", 0.9), ("thimble_oar", "nose", 0.9), ("noon_and_midnight", "nose", 0.9)],
)
def test_a_symmetric_lure_tracks_straight(name, tie, speed):
    assert abs(pulled(name, tie, speed).offset_m) < 0.02


def lopsided(side):
    text = (SCENARIOS / "thimble_oar.toml").read_text(encoding="utf-8")
    at = f'at = {{ back = "21 mm", up = "-6 mm", left = "{side} mm" }}'
    text = text.replace('at = { back = "21 mm", up = "-6 mm" }', at)
    design = read(text, "lopsided.toml")
    lure = build(design, with_hulls=False)
    run = retrieve.run(design, lure, "nose", 0.9)
    return retrieve.describe(run, lure, "nose", 0.9)


def test_the_mirrored_lure_tracks_to_the_other_side_by_the_same_amount():
    left, right = lopsided(1.5), lopsided(-1.5)
    assert abs(left.offset_m) > 0.02
    assert right.offset_m == pytest.approx(-left.offset_m, rel=0.03)
    assert right.roll_deg == pytest.approx(-left.roll_deg, rel=0.03)
    assert right.behaviour is left.behaviour


def test_a_lure_with_tail_fins_set_like_a_propeller_turns_round_and_twists_the_line():
    design = read(
        """
name = "Propeller"
[body.main]
length = "50 mm"
width = "14 mm"
height = "14 mm"
density = "1.05 g/cm3"
[plate.left]
role = "fin"
root = { back = "40 mm", left = "5 mm" }
length = "18 mm"
width = "12 mm"
roll = "25 deg"
skew = "60 deg"
material = "aluminium"
[plate.right]
role = "fin"
root = { back = "40 mm", left = "-5 mm" }
length = "18 mm"
width = "12 mm"
roll = "25 deg"
skew = "-60 deg"
material = "aluminium"
[tie_on.nose]
at = { back = "0 mm" }
""",
        "propeller.toml",
    )
    lure = build(design, with_hulls=False)
    found = worded(retrieve.retrieve(design, lure, speeds=[0.9])[0])
    assert found.behaviour in (Behaviour.SPINS, Behaviour.SPIRALS)
    assert found.turns_per_m > 0.5
    spun = next(seen for seen in found.seen if seen.behaviour is Behaviour.SPINS)
    assert "turn it about the line" in spun.cause or "turns it about the line" in spun.cause
    assert "twist" in found.sentence


def test_a_pull_that_is_over_before_it_has_come_up_to_speed_says_what_ended_it():
    text = (SCENARIOS / "thimble_oar.toml").read_text(encoding="utf-8")
    design = read(text, "near.toml")
    near = design.retrieve.model_copy(update={"distance": parse("2.9 m", "length")})
    design = design.model_copy(update={"retrieve": near})
    lure = build(design, with_hulls=False)
    run = retrieve.describe(retrieve.run(design, lure, "nose", 1.3), lure, "nose", 1.3)
    assert (run.behaviour, run.ended) == (Behaviour.UNKNOWN, Ended.NEAR)
    (said,) = pulled_from([run], METRIC)
    assert said == (
        "Tied at nose, it could not be followed at 1.30 m/s. Mind: it came close to the rod tip before it had come up "
        "to speed."
    )
