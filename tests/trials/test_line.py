"""The line, the leader, the eye: how deep it goes along the way, and to which side."""

from functools import cache
from itertools import pairwise
from math import radians
from pathlib import Path

import pytest

from sim.design.load import load, read
from sim.design.paths import replaced
from sim.lure import build
from sim.trials import retrieve
from sim.trials.scene import line

SCENARIOS = Path(__file__).parents[2] / "scenarios"
LEADER = '\n[line.leader]\nmaterial = "{material}"\ndiameter = "{diameter} mm"\nlength = "{length} m"\n'


def text(name):
    return (SCENARIOS / f"{name}.toml").read_text(encoding="utf-8")


def pulled(design, tie, speed):
    lure = build(design, with_hulls=False)
    return retrieve.retrieve(design, lure, tie_ons=[tie], speeds=[speed])[0]


def set_up(extra=""):
    return line(read(text("thimble_oar") + extra, "lure.toml"), 1, (0, 0, 0), [])


def test_a_leader_like_the_line_is_no_leader():
    plain = set_up()
    same = set_up(LEADER.format(material="nylon", diameter=0.28, length=2))
    assert same.diameter == pytest.approx(plain.diameter)
    assert same.stiffness == pytest.approx(plain.stiffness)


def test_a_leader_counts_by_its_share_of_the_wet_line_and_stretches_in_series():
    # 15 m out, half of it wet: 1.5 m is a fifth of the wet line and a tenth of the whole
    mixed = set_up(LEADER.format(material="nylon", diameter=0.56, length=1.5))
    plain = set_up()
    assert mixed.diameter == pytest.approx(0.28e-3 * 1.2)
    assert 1.0 / mixed.stiffness == pytest.approx((0.9 + 0.1 / 4.0) / plain.stiffness)


def test_a_leader_as_long_as_the_line_is_the_line():
    whole = set_up(LEADER.format(material="nylon", diameter=0.56, length=15))
    assert whole.diameter == pytest.approx(0.56e-3)
    assert whole.stiffness == pytest.approx(4.0 * set_up().stiffness)


def test_a_thick_leader_keeps_it_shallower():
    thick = read(text("thimble_oar") + LEADER.format(material="nylon", diameter=0.8, length=2), "lure.toml")
    assert (
        pulled(thick, "nose", 0.9).depth_m
        < 0.98 * pulled(load(SCENARIOS / "thimble_oar.toml"), "nose", 0.9).depth_m
    )


def test_more_line_out_lets_it_go_deeper():
    design = load(SCENARIOS / "cellar_door.toml")
    deepest = [
        pulled(replaced(design, {"retrieve.distance": far, "retrieve.duration": 30.0}), "lip", 0.9).deepest_m
        for far in (8.0, 15.0, 25.0)
    ]
    assert deepest[0] < 0.8 * deepest[1] < 0.8 * deepest[2]


def test_the_depth_along_the_way_goes_down_and_comes_up_again():
    run = pulled(load(SCENARIOS / "cellar_door.toml"), "lip", 1.3)
    far = [place[0] for place in run.depths_m]
    deep = [place[1] for place in run.depths_m]
    assert far == sorted(far, reverse=True)
    assert far[0] == pytest.approx(15.0, abs=0.1)
    assert all(0.9 < a - b < 1.4 for a, b in pairwise(far[:-1]))
    assert deep[0] < 0.1
    assert 0 < deep.index(max(deep)) < len(deep) - 1
    assert run.deepest_m >= max(deep)
    assert run.deepest_m == pytest.approx(max(deep), rel=0.05)


# --- a bent eye ---------------------------------------------------------------------------------------------


@cache
def bent(name, tie, degrees, speed):
    eye = f'[tie_on.{tie}]\narm = "5 mm"\nbend = "{degrees} deg"\n'
    return pulled(read(text(name).replace(f"[tie_on.{tie}]\n", eye), "lure.toml"), tie, speed)


def own_left(run):
    """How far it is to the lure's own left: it comes toward the angler, whose left is its right."""
    return -run.offset_m


def test_a_bent_eye_pulls_to_the_side_of_its_arm():
    design = read(
        text("thimble_oar").replace("[tie_on.nose]\n", '[tie_on.nose]\narm = "5 mm"\nbend = "30 deg"\n'),
        "lure.toml",
    )
    x, y, z = build(design, with_hulls=False).tie_ons["nose"]
    assert (x, y, z) == pytest.approx((-0.005 * (1 - 0.75**0.5), 0.0025, 0.0))


@pytest.mark.parametrize(
    ("name", "tie", "speed"),
    [("thimble_oar", "nose", 0.9), ("cellar_door", "nose", 0.7), ("last_skittle", "throat", 0.5)],
)
def test_bent_to_the_other_side_it_runs_to_the_other_side_by_the_same_amount(name, tie, speed):
    left, right = bent(name, tie, 10, speed), bent(name, tie, -10, speed)
    assert abs(left.offset_m) > 0.01
    assert right.offset_m == pytest.approx(-left.offset_m, rel=0.05)


def test_the_more_it_is_bent_the_farther_it_runs_off():
    assert abs(bent("cellar_door", "nose", 20, 0.5).offset_m) > 1.5 * abs(
        bent("cellar_door", "nose", 10, 0.5).offset_m
    )


def test_a_deep_runner_tied_out_on_its_lip_runs_to_the_side_its_eye_is_bent_to():
    # common practice, no source: bend the eye toward the side it should run to
    run = bent("cellar_door", "lip", 10, 0.9)
    assert own_left(run) > 0.3
    assert run.roll_deg > 10.0  # the pull rolls its lip toward that side


@pytest.mark.parametrize(
    ("name", "speed"), [("cellar_door", 0.5), ("thimble_oar", 0.9), ("noon_and_midnight", 0.9)]
)
def test_tied_at_the_nose_it_runs_to_the_side_its_eye_is_bent_to(name, speed):
    # common practice, no source
    assert own_left(bent(name, "nose", 10, speed)) > 0.05


@pytest.mark.parametrize("side", [90.0, -90.0])
def test_a_current_carries_it_to_its_side(side):
    design = load(SCENARIOS / "thimble_oar.toml")
    moved = replaced(design, {"water.current": 0.15, "water.current_toward": radians(side)})
    assert pulled(moved, "nose", 0.7).offset_m * side > 0.1 * 90.0
