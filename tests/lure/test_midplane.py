"""The middle plane of a flat-sided body: what it is, and that body and plate share the force between them."""

import math

import numpy as np
import pytest

from sim import elements as e
from sim.forces.laws import lift_slope
from sim.lure import build
from sim.lure.midplane import LEAST
from tests.lure.makers import design, one


def oval(width: float, height: float):
    return build(
        one(length="70 mm", width=f"{width} mm", height=f"{height} mm", density="0.8 g/cm3")
    ).elements


def test_a_round_body_has_none() -> None:
    assert len(oval(20, 20).plates) == 0
    assert len(oval(20, 21).plates) == 0  # (1 / 21)^2 is below the least
    assert LEAST < (1.0 - 20 / 26) ** 2
    assert len(oval(20, 26).plates) == 1


@pytest.mark.parametrize(("width", "height"), [(9, 26), (26, 9), (13, 26)])
def test_the_plane_is_the_outline_seen_from_the_flat_side(width: float, height: float) -> None:
    row = oval(width, height).plates[0]
    thin, tall = min(width, height), max(width, height)
    assert row[e.P_SHARE] == pytest.approx((1.0 - thin / tall) ** 2)
    assert row[e.P_AREA] == pytest.approx(math.pi / 4.0 * 70e-3 * tall * 1e-3, rel=0.01)
    assert row[e.P_R : e.P_R + 3] == pytest.approx([-35e-3, 0.0, 0.0], abs=1e-9)
    assert abs(row[e.P_N : e.P_N + 3]) == pytest.approx(
        [0.0, 1.0, 0.0] if height > width else [0.0, 0.0, 1.0]
    )
    assert row[e.P_REACH_C] == pytest.approx(70e-3 / 4.0, rel=0.01)  # of an ellipse, half a half axis
    assert row[e.P_REACH_S] == pytest.approx(tall * 1e-3 / 4.0, rel=0.01)
    assert row[e.P_OPEN] == row[e.P_THICK] == row[e.P_SHELTERS] == 0.0
    assert row[e.P_SHED] == -1.0
    assert (
        row[e.P_KP_WIDE]
        == row[e.P_KP_LONG]
        == pytest.approx(lift_slope(4.0 * tall / (70.0 * math.pi)), rel=0.01)
    )


def test_what_the_plane_has_the_strips_have_not() -> None:
    flat, share = oval(9, 26), oval(9, 26).plates[0, e.P_SHARE]
    side, plan = flat.strips[:, e.S_SIDE], flat.strips[:, e.S_PLAN]
    assert side.sum() == pytest.approx((1.0 - share) * math.pi / 4.0 * 70e-3 * 26e-3, rel=0.01)
    assert plan.sum() == pytest.approx(math.pi / 4.0 * 70e-3 * 9e-3, rel=0.01)


def test_the_plane_displaces_nothing_and_carries_no_water_of_its_own() -> None:
    flat = oval(9, 26)
    row = int(flat.plates[0, e.P_ROW])
    assert flat.common[row, e.VOLUME] == 0.0
    assert np.all(flat.added[row] == 0.0)


def test_the_planes_of_twins_mirror_each_other() -> None:
    flat = {"length": "40 mm", "width": "4 mm", "height": "16 mm", "density": "1 g/cm3"}
    leg = {**flat, "mirrored": True, "at": {"back": "60 mm", "left": "15 mm"}}
    planes = build(design(body={"main": flat, "leg": leg})).elements.plates
    assert len(planes) == 3
    left, right = planes[1], planes[2]
    assert np.array_equal(left[e.P_R : e.P_R + 3] * [1, -1, 1], right[e.P_R : e.P_R + 3])
    assert np.array_equal(np.abs(left[e.P_C : e.P_S + 3]), np.abs(right[e.P_C : e.P_S + 3]))
    assert np.array_equal(left[e.P_LENGTH : e.P_SHED], right[e.P_LENGTH : e.P_SHED])
