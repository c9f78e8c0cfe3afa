"""A part fill in a tilted cavity: closed forms of a ball and a box, and what the lure makes of it."""

import math

import numpy as np
import pytest

from sim.bench.uncertainty import ReadingError
from sim.design.load import read
from sim.design.model import Design
from sim.lure import pool as pools
from sim.lure.pool import pool
from sim.lure.weigh import weigh
from sim.trials.pour import pour

BALL = {"length": "60 mm", "width": "60 mm", "height": "60 mm", "weight": "10 g", "wall": "1 mm"}
BOX = {
    "shape": "stations",
    "exponent": 50,
    "stations": [{"back": f"{x} mm", "width": "20 mm", "height": "20 mm"} for x in (0, 60)],
    "weight": "10 g",
    "wall": "1 mm",
}


def hollow(body: dict, **more) -> Design:
    return Design.model_validate(
        {"name": "hollow", "body": {"main": {**body, "fill_density": "0.6 g/mL"}}, **more}
    )


def straight_up(raised: float) -> np.ndarray:
    return np.array([math.sin(raised), 0.0, math.cos(raised)])


@pytest.mark.parametrize("degrees", [0, 20, -50, 90])
def test_half_a_ball_lies_three_eighths_of_its_radius_below_the_middle(degrees):
    body = weigh(hollow(BALL)).bodies[0]
    up = straight_up(math.radians(degrees))
    lies = pool(body, 0.5 * float(body.inner[0]), up)
    expected = np.array([-0.03, 0.0, 0.0]) - 3 / 8 * 0.029 * up  # closed form of the half ball
    assert lies.centre == pytest.approx(expected, abs=1e-4)


def test_half_a_box_lies_where_the_wedge_puts_it():
    body = weigh(hollow(BOX)).bodies[0]
    slope, length, height = math.tan(math.radians(10)), 0.058, 0.018
    lies = pool(body, 0.5 * float(body.inner[0]), straight_up(math.radians(10)))
    # a level surface through the middle, both ends wet: centroid of the trapezium
    assert lies.centre[0] + 0.03 == pytest.approx(-(length**2) * slope / 6 / height, abs=1e-4)
    assert lies.centre[2] == pytest.approx(-height / 4 + length**2 * slope**2 / 12 / height, abs=1e-4)


def test_a_full_cavity_lies_at_its_own_middle_whatever_the_tilt():
    body = weigh(hollow(BALL)).bodies[0]
    whole = float(body.inner[0])
    for degrees in (0, 35):
        lies = pool(body, whole, straight_up(math.radians(degrees)))
        assert lies.centre == pytest.approx([-0.03, 0.0, 0.0], abs=1e-6)


def test_a_cavity_is_cut_into_cells_once_for_all_fills_that_are_tried_in_it():
    pools._kept.clear()
    lies = [
        pool(weigh(hollow(BALL, about=str(k))).bodies[0], k * 1e-5, straight_up(0.2)) for k in range(1, 4)
    ]
    assert len(pools._kept) == 1
    pools._kept.clear()
    afresh = pool(weigh(hollow(BALL)).bodies[0], 2e-5, straight_up(0.2))
    assert np.array_equal(lies[1].centre, afresh.centre)
    assert np.array_equal(lies[1].second, afresh.second)
    pool(weigh(hollow(BALL)).bodies[0], 2e-5, straight_up(0.3))
    assert len(pools._kept) == 2


def test_raising_the_nose_moves_the_balance_point_aft_by_the_pours_share():
    level, raised = (pour(hollow(BOX), "main", math.radians(d), share=0.4) for d in (0, 15))
    shift = raised.fill_back_mm - level.fill_back_mm
    assert shift > 3.0
    total = 10.0 + level.fill_g
    assert raised.balance_back_mm - level.balance_back_mm == pytest.approx(
        shift * level.fill_g / total, rel=1e-6
    )
    on_its_back = pour(hollow(BOX), "main", 0.0, share=0.4, belly_up=True)
    assert on_its_back.fill_up_mm == pytest.approx(-level.fill_up_mm, abs=1e-6)


def test_the_offered_lines_put_the_pour_where_it_was_said():
    text = """name = "skin"
[body.main]
length = "60 mm"
width = "40 mm"
height = "40 mm"
weight = "10 g"
cavity = "18 mL"
fill_density = "0.6 g/mL"
[tie_on.nose]
"""
    told = pour(read(text, "lure.toml"), "main", math.radians(20), weight=4e-3)
    assert told.fill_ml == pytest.approx(4 / 0.6)
    again = read(text.replace('fill_density = "0.6 g/mL"', told.as_fill), "lure.toml")
    whole = weigh(again)
    assert -1e3 * whole.centre[0] == pytest.approx(told.balance_back_mm, abs=0.05)
    assert whole.mass == pytest.approx(14e-3)


@pytest.mark.parametrize(
    ("design", "weight", "says"),
    [
        (hollow(BALL), 1.0, "does not go into a cavity of 102 mL"),
        (hollow({**BALL, "wall": None}), 1e-3, 'is solid; write its cavity = "12 mL"'),
    ],
)
def test_pours_that_cannot_be_get_one_sentence(design, weight, says):
    with pytest.raises(ReadingError, match=says):
        pour(design, "main", 0.0, weight=weight)
