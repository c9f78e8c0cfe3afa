"""A body's outside: closed-form volumes, and what lies between stations."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from sim.design.parts import Body
from sim.lure import moments
from sim.lure.bodies import skin_areas
from sim.lure.moments import Frame
from sim.lure.outside import read
from sim.lure.profile import BuildError, monotone, perimeter, section_shape
from tests.lure.makers import stations

STRAIGHT = Frame(np.zeros(3), np.eye(3)[0], np.eye(3)[1], np.eye(3)[2])


def solid(body: Body) -> np.ndarray:
    return moments.of_sections(read("main", body).sections(), STRAIGHT)


def volume(body: Body) -> float:
    return float(solid(body)[0])


def test_an_ellipsoid_has_its_closed_form_volume_and_inertia() -> None:
    m = solid(Body.model_validate({"length": "60 mm", "width": "20 mm", "height": "30 mm"}))
    a, b, c = 0.03, 0.01, 0.015
    v = 4.0 / 3.0 * math.pi * a * b * c
    assert m[0] == pytest.approx(v, rel=1e-12)
    assert moments.centre(m) == pytest.approx([-a, 0.0, 0.0], abs=1e-15)
    assert np.diag(moments.inertia(m)) == pytest.approx(
        v / 5.0 * np.array([b**2 + c**2, a**2 + c**2, a**2 + b**2]), rel=1e-10
    )


def test_three_stations_nothing_full_nothing_make_an_exact_ellipsoid() -> None:
    assert volume(stations((0, 0, 0), (20, 10, 14), (40, 0, 0))) == pytest.approx(
        math.pi / 6.0 * 0.04 * 0.01 * 0.014, rel=1e-12
    )


def test_stations_on_a_cone_make_an_exact_cone() -> None:
    assert volume(stations((0, 0, 0), (10, 4, 4), (20, 8, 8), (30, 12, 12))) == pytest.approx(
        math.pi / 3.0 * 0.006**2 * 0.03, rel=1e-12
    )


def test_two_stations_make_an_exact_frustum_or_cylinder() -> None:
    frustum = math.pi / 3.0 * 0.03 * (0.01**2 + 0.01 * 0.005 + 0.005**2)
    assert volume(stations((0, 20, 20), (30, 10, 10))) == pytest.approx(frustum, rel=1e-12)
    assert volume(stations((0, 20, 20), (30, 20, 20))) == pytest.approx(math.pi * 0.01**2 * 0.03, rel=1e-12)


def test_nine_stations_of_an_ellipsoid_come_within_one_percent_of_it() -> None:
    rows = [
        (20 - 20 * u, 10 * math.sqrt(1 - u * u), 14 * math.sqrt(1 - u * u)) for u in np.linspace(1, -1, 9)
    ]
    assert volume(stations(*rows)) == pytest.approx(math.pi / 6.0 * 0.04 * 0.01 * 0.014, rel=0.01)


def test_an_edge_at_the_tail_keeps_its_height() -> None:
    # seen from above the tail is half an ellipse: pi/4 of its box
    v = volume(stations((0, 10, 10), (10, 10, 10), (20, 0, 10), exponent=50))
    assert v == pytest.approx(0.01**3 * (1.0 + math.pi / 4.0), rel=1e-9)


@pytest.mark.parametrize(
    ("n", "area", "second"),
    [(1.0, 2.0, 1.0 / 3.0), (2.0, math.pi, math.pi / 4.0), (50.0, 4.0, 4.0 / 3.0)],
)
def test_sections_have_closed_form_area_and_second_moment(n: float, area: float, second: float) -> None:
    shape = section_shape(np.array([n]))
    assert shape.area[0] == pytest.approx(area, rel=1e-12)
    assert shape.second[0] == pytest.approx(second, rel=1e-12)


def test_girth_is_exact_for_circle_square_and_diamond() -> None:
    one = np.ones(3)
    assert perimeter(one, one, np.array([2.0, 50.0, 1.0])) == pytest.approx(
        [2.0 * math.pi, 8.0, 4.0 * math.sqrt(2.0)], rel=1e-12
    )


def test_skin_of_a_sphere_is_exact_and_of_a_spheroid_close() -> None:
    ball = read("main", Body.model_validate({"length": "20 mm", "width": "20 mm", "height": "20 mm"}))
    assert skin_areas(ball)[1].sum() == pytest.approx(4.0 * math.pi * 0.01**2, rel=1e-6)
    long = read("main", Body.model_validate({"length": "60 mm", "width": "20 mm", "height": "20 mm"}))
    e = math.sqrt(1.0 - 1.0 / 9.0)  # prolate spheroid, closed form
    area = 2.0 * math.pi * 0.01**2 * (1.0 + 3.0 / e * math.asin(e))
    assert skin_areas(long)[1].sum() == pytest.approx(area, rel=1e-4)


@pytest.mark.parametrize("wall", [0.5e-3, 2e-3])
def test_a_wall_of_even_thickness_is_exact_for_spheres_cylinders_and_blocks(wall: float) -> None:
    ball = Body.model_validate({"length": "20 mm", "width": "20 mm", "height": "20 mm"})
    inner = moments.of_sections(read("main", ball).inward(wall), STRAIGHT)
    assert inner[0] == pytest.approx(4.0 / 3.0 * math.pi * (0.01 - wall) ** 3, rel=1e-3)
    assert inner[1] / inner[0] == pytest.approx(-0.01, rel=1e-6)
    tube = moments.of_sections(read("main", stations((0, 20, 20), (30, 20, 20))).inward(wall), STRAIGHT)
    assert tube[0] == pytest.approx(math.pi * (0.01 - wall) ** 2 * (0.03 - 2 * wall), rel=1e-9)
    box = moments.of_sections(
        read("main", stations((0, 20, 10), (30, 20, 10), exponent=50)).inward(wall), STRAIGHT
    )
    assert box[0] == pytest.approx((0.02 - 2 * wall) * (0.01 - 2 * wall) * (0.03 - 2 * wall), rel=1e-9)


@given(
    st.lists(
        st.tuples(st.floats(1e-4, 0.05), st.sampled_from([0.0, 1e-3, 2e-3, 7e-3, 0.011])),
        min_size=2,
        max_size=9,
    )
)
def test_the_line_between_stations_is_that_of_scipy(points: list[tuple[float, float]]) -> None:
    knots = np.cumsum([step for step, _ in points])
    values = np.array([value for _, value in points])
    curve, known = monotone(knots, values), PchipInterpolator(knots, values)
    s = np.linspace(knots[0], knots[-1], 50)
    value, slope, _ = curve.at(s)
    assert value == pytest.approx(known(s), abs=1e-15)
    assert slope == pytest.approx(known.derivative()(s), rel=1e-9, abs=1e-9)
    if len(knots) > 2:  # to the last bit: what swims on may hang on it
        ends = known.derivative()(knots)
        assert np.array_equal(curve.first_slope, ends[:-1])
        assert np.array_equal(curve.last_slope, ends[1:])


def test_a_wall_thicker_than_the_body_leaves_nothing() -> None:
    ball = read("main", Body.model_validate({"length": "20 mm", "width": "20 mm", "height": "20 mm"}))
    assert ball.inward(0.0101) is None


@pytest.mark.parametrize(
    ("body", "says"),
    [
        (
            Body.model_validate({"length": "60 mm"}),
            r"body.main has no width and no height; write for example",
        ),
        (stations((0, 1, 1)), "body.main has 1 stations; give at least two"),
        (
            stations((0, 1, 1), (5, 2, 2), (5, 3, 3)),
            r"body.main.stations\[2\].back = '5 mm' is not behind the station before it",
        ),
        (stations((0, 0, 4), (5, 3, 0)), "body.main encloses nothing: no station has both"),
    ],
)
def test_shapes_that_cannot_be_built_say_why(body: Body, says: str) -> None:
    with pytest.raises(BuildError, match=says):
        read("main", body)
