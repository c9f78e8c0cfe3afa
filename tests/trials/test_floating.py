"""The float trial: attitude, words, and what must hold for any floating body."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.design.load import load
from sim.design.model import Design
from sim.elements import N_PLATE, P_C, P_LENGTH, P_N, P_OPEN, P_R, P_S, P_WIDTH
from sim.hydrostatics.equilibrium import Floater, Turns, equilibria, roll_downhill
from sim.hydrostatics.immersion import I_MOMENT, I_VOLUME, immersed
from sim.hydrostatics.verdict import verdict
from sim.lure import build
from sim.show.sentences import attitude, other_rest
from sim.show.sentences import rest as said
from sim.show.units import METRIC
from sim.trials.floating import rest, settled
from sim.trials.results import FloatResult, Verdict
from tests.hulls import NO_SMALL, bare, block, cylinder, ellipsoid, moved, notched, rotation, solid

WATER = 1000.0
BODY = moved(ellipsoid(0.035, 0.009, 0.011, rings=24, sides=36), by=(-0.035, 0.0, 0.0))  # nose at the origin


def says(result: FloatResult) -> str:
    """How it sits, in words with plain blanks."""
    return said(result, METRIC).replace("\u00a0", " ")


def lure(share=0.8, centre=(-0.035, 0.0, -0.003), hull=BODY, **more):
    return bare(hull, mass=share * WATER * solid(hull)[0], centre=centre, **more)


def test_a_symmetric_lure_sits_without_any_lean_and_always_the_same():
    first, second = settled(lure(), WATER), settled(lure(), WATER)
    assert first == second
    assert first.roll_deg == 0.0
    assert first.up_in_body[1] == 0.0
    assert first.immersed_fraction == pytest.approx(0.8)


@pytest.mark.parametrize(
    ("centre", "pitch", "roll"),
    [
        ((-0.034, 0.0, -0.003), -1, 0),  # weight ahead: nose down
        ((-0.036, 0.0, -0.003), 1, 0),
        ((-0.035, -0.0005, -0.003), 0, 1),  # weight to the right: right side down
        ((-0.035, 0.0005, -0.003), 0, -1),
    ],
)
def test_it_sinks_deeper_where_the_weight_is(centre, pitch, roll):
    result = settled(lure(centre=centre), WATER)
    assert [np.sign(round(a, 6)) for a in (result.pitch_deg, result.roll_deg)] == [pitch, roll]


def test_the_rest_is_the_one_it_rolls_into_from_upright():
    top_heavy = settled(lure(centre=(-0.035, 0.0, 0.003)), WATER)
    assert top_heavy.roll_deg == pytest.approx(180.0, abs=1e-6)
    assert says(top_heavy).startswith("Floats level and belly up, 80 % of it under water; it reaches ")
    assert says(top_heavy).endswith("above. Set down the right way up, it rolls over.")


def test_other_attitudes_in_which_it_can_stay_are_told():
    flat = settled(bare(block(0.06, 0.03, 0.01), mass=0.5 * WATER * 18e-6, centre=(0.0, 0.0, -0.001)), WATER)
    assert flat.pitch_deg == flat.roll_deg == 0.0
    (other,) = flat.other_rests
    assert other_rest(other) == "It can also rest level and belly up; it is less settled there."
    assert settled(lure(), WATER).other_rests == []


def test_it_leans_to_the_right_first_when_both_sides_are_alike():
    prism = bare(block(0.2, 0.02, 0.02), mass=0.25 * WATER * 8e-5)
    rests = equilibria(prism, WATER)
    assert math.degrees(rests[0].roll) == pytest.approx(26.565, abs=1e-3)
    others = [math.degrees(other.roll) for other in rests[1:]]
    assert min(abs(roll + 26.565) for roll in others) < 1e-3
    for roll in others:  # closed form, see tests/checks/test_hydrostatics.py
        assert min(abs(abs(roll) - angle) for angle in (26.565, 63.435, 116.565, 153.435)) < 1e-3


@pytest.mark.parametrize(
    ("up", "words"),
    [
        ((0.0, 0.0, 1.0), "level and upright"),
        ((0.05, 0.0, 1.0), "nose up 3 degrees and upright"),
        ((-0.05, 0.0, 1.0), "nose down 3 degrees and upright"),
        ((0.0, 0.1, 1.0), "level and leaning 6 degrees to its right"),
        ((0.3, 0.0, 1.0), "nose up 17 degrees and upright"),
        ((0.3, -0.5, 1.0), "nose up 15 degrees and leaning 27 degrees to its left"),
        ((0.0, 1.0, 0.0), "level and lying on its right side"),
        ((0.0, -1.0, 0.1), "level and lying on its left side"),
        ((0.0, 0.1, -1.0), "level and belly up"),
        ((-0.1, 0.0, -1.0), "nose down 6 degrees and belly up"),
        ((1.0, 0.0, 0.2), "standing on its tail"),
        ((-1.0, 0.0, 0.0), "standing on its nose"),
    ],
)
def test_the_attitude_is_told_in_words(up, words):
    here = roll_downhill(Floater(lure(), WATER), np.array([0.0, 0.0, 1.0]), 0.1)
    lies = replace(here, up=np.array(up) / np.linalg.norm(up))
    found = attitude(math.degrees(lies.pitch), math.degrees(lies.roll))
    assert found.replace("\u00a0", " ") == words


def test_how_it_sits_is_one_plain_sentence():
    result = settled(lure(share=0.88, centre=(-0.0355, 0.0, -0.003)), WATER)
    assert 0.5 < result.pitch_deg < 10.0
    assert says(result) == (
        f"Floats nose up {result.pitch_deg:.0f} degrees and upright, 88 % of it under water; "
        f"it reaches {result.draught_mm:.1f} mm down and shows {result.freeboard_mm:.1f} mm above."
    )


def test_a_lure_that_sinks_has_no_rest_and_says_so():
    heavy = lure(share=1.1)
    result = settled(heavy, WATER)
    assert result.verdict is Verdict.SINKS
    assert result.pitch_deg is result.immersed_fraction is result.draught_mm is result.up_in_body is None
    assert result.righting_heel == result.righting_trim == result.other_rests == []
    assert says(result) == "Sinks: it has no place of rest at the surface."


def test_a_suspending_lure_hangs_with_its_weight_below_its_lift():
    result = settled(lure(share=1.0, centre=(-0.036, 0.0, -0.003)), WATER)
    assert result.verdict is Verdict.SUSPENDS
    assert result.pitch_deg == pytest.approx(math.degrees(math.atan(1 / 3)), abs=1e-6)
    assert result.immersed_fraction == 1.0
    assert result.draught_mm is result.freeboard_mm is result.origin_height_mm is None
    assert result.trim_gm_mm == pytest.approx(math.hypot(1.0, 3.0))
    assert says(result) == "Hangs in the water nose up 18 degrees and upright, all of it under."


def test_a_suspending_lure_with_weight_and_lift_at_one_point_hangs_anyhow():
    result = settled(lure(share=1.0, centre=None), WATER)
    assert says(result) == "Hangs in the water as it is left: its weight and its lift act at one point."
    assert result.heel_gm_mm == result.trim_gm_mm == pytest.approx(0.0, abs=1e-3)


def test_a_ball_without_ballast_stays_at_any_attitude():
    ball = ellipsoid(0.01, 0.01, 0.01, rings=24, sides=48)
    result = settled(bare(ball, mass=0.6 * WATER * solid(ball)[0]), WATER)
    assert (result.trim_gm_mm, result.heel_gm_mm) == (0.0, 0.0)
    assert result.other_rests == []
    assert says(result).endswith("It stays at any attitude.")


@pytest.mark.parametrize(("sides", "turns"), [(4, Turns.NOT), (6, Turns.NOT), (32, Turns.AXIS)])
def test_only_a_round_rod_turns_freely(sides, turns):
    rod = cylinder(0.08, 0.01, sides)
    assert {here.turns for here in equilibria(bare(rod, mass=0.6 * WATER * solid(rod)[0]), WATER)} == {turns}


def test_a_pencil_weighted_at_the_tail_stands():
    pencil = ellipsoid(0.04, 0.006, 0.006, rings=24, sides=36)
    result = settled(bare(pencil, mass=0.8 * WATER * solid(pencil)[0], centre=(-0.012, 0.0, 0.0)), WATER)
    assert result.pitch_deg == pytest.approx(90.0, abs=1e-3)
    assert result.roll_deg == 0.0
    assert says(result).startswith("Floats standing on its tail, 80 % of it under water")
    assert result.heel_gm_mm == pytest.approx(result.trim_gm_mm, rel=1e-3)
    assert result.heel_gm_mm > 0.0


def test_righting_curves_are_whole_and_start_with_the_metacentric_heights():
    result = settled(lure(centre=(-0.0345, 0.0, -0.003)), WATER)
    heel = {point.angle_deg: point.arm_mm for point in result.righting_heel}
    trim = {point.angle_deg: point.arm_mm for point in result.righting_trim}
    assert (len(heel), min(heel), max(heel)) == (37, -180.0, 180.0)
    assert (len(trim), min(trim), max(trim)) == (37, -90.0, 90.0)
    assert heel[0.0] == trim[0.0] == pytest.approx(0.0, abs=1e-6)
    assert heel[10.0] == pytest.approx(heel[-10.0], rel=1e-6)
    assert heel[10.0] == pytest.approx(result.heel_gm_mm * math.radians(10.0), rel=0.02)
    assert trim[5.0] > 0.0
    assert trim[-5.0] > 0.0


def test_draught_counts_plates_in_the_open_but_not_the_end_faces_of_bodies():
    def plate(open_water):
        row = np.zeros(N_PLATE)
        row[P_R : P_R + 3] = (-0.005, 0.0, -0.02)
        row[P_C : P_C + 3], row[P_S : P_S + 3], row[P_N : P_N + 3] = (0, 0, -1), (0, 1, 0), (1, 0, 0)
        row[P_LENGTH], row[P_WIDTH], row[P_OPEN] = 0.02, 0.016, float(open_water)
        return row[None, :]

    plain, lip, face = (settled(lure(plates=p), WATER) for p in (None, plate(True), plate(False)))
    assert plain.draught_mm + plain.freeboard_mm == pytest.approx(22.0, rel=1e-3)
    assert lip.draught_mm == pytest.approx(30.0 - lip.origin_height_mm, abs=1e-6)
    assert face.draught_mm == plain.draught_mm


def test_a_lure_of_small_parts_alone_floats_too():
    half = (0.02, 0.006, 0.001)
    sheet = np.array([[0.0, 0.0, 0.0, *(h * h for h in half), 0.0, 0.0, 0.0, 8 * math.prod(half)]])
    result = settled(bare(mass=0.5 * WATER * sheet[0, 9], small=sheet), WATER)
    assert result.pitch_deg == result.roll_deg == 0.0
    assert result.origin_height_mm == pytest.approx(0.0, abs=1e-9)


def test_flat_faces_do_not_sink_a_lure_that_just_floats():
    coarse = lure(share=1.0)
    exact = 4 / 3 * math.pi * 0.035 * 0.009 * 0.011
    assert coarse.volume < 0.994 * exact
    result = settled(replace(coarse, volume=exact, mass=0.994 * WATER * exact), WATER)
    assert result.verdict is Verdict.FLOATS
    assert result.freeboard_mm > 0.0


def test_the_water_is_that_of_the_design():
    body = lure(share=0.97)
    fresh, salt = (rest(Design(name="x", water={"kind": kind}), body) for kind in ("fresh", "salt"))
    assert salt.immersed_fraction < fresh.immersed_fraction - 0.02
    assert salt.draught_mm < fresh.draught_mm


def test_it_suspends_within_a_thousandth_of_its_weight():
    assert verdict(1.0, 1.0009e-3, 1000.0) is Verdict.SUSPENDS
    assert verdict(1.0, 0.9991e-3, 1000.0) is Verdict.SUSPENDS
    assert verdict(1.0, 1.0011e-3, 1000.0) is Verdict.FLOATS
    assert verdict(1.0, 0.9989e-3, 1000.0) is Verdict.SINKS


shares = st.floats(0.05, 0.98)
offsets = st.tuples(st.floats(-0.01, 0.01), st.floats(-0.002, 0.002), st.floats(-0.004, 0.004))
hulls = st.sampled_from(
    [ellipsoid(0.035, 0.009, 0.011, rings=10, sides=16), block(0.06, 0.02, 0.015), notched()]
)


def first(hull, share, offset):
    volume, middle = solid(hull)
    body = bare(hull, mass=share * WATER * volume, centre=middle + np.array(offset))
    return body, equilibria(body, WATER)[0]


@settings(max_examples=60)
@given(hulls, shares, offsets)
def test_at_rest_weight_and_lift_are_equal_and_in_one_line(hull, share, offset):
    body, here = first(hull, share, offset)
    wet = immersed(hull.vertices, hull.faces, NO_SMALL, here.up, here.height)
    assert wet[I_VOLUME] * WATER == pytest.approx(body.mass, rel=1e-9)
    lever = body.centre - wet[I_MOMENT : I_MOMENT + 3] / wet[I_VOLUME]
    assert np.linalg.norm(np.cross(here.up, lever)) < 1e-9
    if here.turns is Turns.NOT:
        assert min(here.trim_gm, here.heel_gm) > -1e-9


@settings(max_examples=30)
@given(hulls, shares, offsets)
def test_a_mirrored_lure_rests_as_the_mirror_image(hull, share, offset):
    x, y, z = offset
    mirror = np.diag([1.0, -1.0, 1.0])
    if abs(y) < 1e-5:
        y = 1e-3  # a symmetric lure falls to the right both times
    _, here = first(hull, share, (x, y, z))
    _, there = first(moved(hull, mirror), share, (x, -y, z))
    assert there.height == pytest.approx(here.height, abs=1e-8)
    assert there.up == pytest.approx(mirror @ here.up, abs=1e-6)


@settings(max_examples=30)
@given(hulls, shares, offsets, st.floats(-3.1, 3.1))
def test_turning_the_lure_about_the_vertical_changes_nothing(hull, share, offset, angle):
    turn = rotation([0.0, 0.0, 1.0], angle)
    body = lure(share, solid(hull)[1] + np.array([offset[0], 1e-3 + abs(offset[1]), offset[2]]), hull)
    other = lure(share, turn @ body.centre, moved(hull, turn))
    here, there = (roll_downhill(Floater(b, WATER), np.array([0.0, 0.0, 1.0]), 0.05) for b in (body, other))
    assert there.energy == pytest.approx(here.energy, abs=1e-9)
    assert there.up == pytest.approx(turn @ here.up, abs=1e-5)


@settings(max_examples=30)
@given(hulls, shares, offsets, st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: np.linalg.norm(v) > 0.1))
def test_no_start_ends_higher_than_it_began(hull, share, offset, start):
    volume, middle = solid(hull)
    floater = Floater(bare(hull, mass=share * WATER * volume, centre=middle + np.array(offset)), WATER)
    up = np.array(start) / np.linalg.norm(start)
    begun = floater.held(up, floater.centre)
    assert roll_downhill(floater, up, 0.2).energy <= begun.energy + 1e-12


@pytest.mark.parametrize("name", ["cellar_door", "porch_light", "tin_leaf"])
def test_the_first_rest_alone_is_the_one_that_the_whole_answer_names(name: str) -> None:
    lure = build(load(Path(__file__).parents[2] / "scenarios" / f"{name}.toml"))
    whole, alone = settled(lure, WATER), settled(lure, WATER, alone=True)
    left_out = {"righting_heel": [], "righting_trim": [], "other_rests": []}
    assert alone == whole.model_copy(update=left_out)
