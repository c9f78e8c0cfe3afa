"""Bodies drawn from the side and from above."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.design.outline import OutlineError, seen_from_side, seen_from_top
from sim.design.parts import Body
from sim.lure import build, moments
from sim.lure.bodies import _frame
from sim.lure.outside import read
from sim.lure.profile import BuildError
from tests.lure.makers import one

A, B, C = 35.0, 8.0, 10.0


def drawn(points: int, **more: object) -> dict[str, object]:
    """An ellipsoid of 70 x 16 x 20 mm drawn by hand: all round from the side, one half from above."""
    turn = np.linspace(0.0, 2.0 * math.pi, 2 * (points - 1), endpoint=False)
    side = [{"back": f"{A - A * math.cos(t)} mm", "up": f"{C * math.sin(t)} mm"} for t in turn]
    half = np.linspace(0.0, math.pi, points)
    top = [{"back": f"{A - A * math.cos(t)} mm", "left": f"{B * math.sin(t)} mm"} for t in half]
    return {"shape": "outline", "side": side, "top": top, "density": "0.5 g/cm3", **more}


@pytest.mark.parametrize(("points", "off"), [(7, 0.01), (9, 0.003), (13, 0.001)])
def test_a_drawn_ellipsoid_comes_close_to_the_real_one(points: int, off: float) -> None:
    made = build(one(**drawn(points)))
    assert made.volume == pytest.approx(4.0 / 3.0 * math.pi * A * B * C * 1e-9, rel=off)
    assert made.centre == pytest.approx([-0.035, 0.0, 0.0], abs=1e-5)
    assert made.length == pytest.approx(0.07, rel=1e-9)


def test_it_does_not_matter_where_the_drawing_starts_or_which_way_it_goes() -> None:
    body = drawn(9)
    other = dict(body)
    side, top = list(body["side"]), list(body["top"])  # type: ignore[call-overload]
    other["side"] = (side[5:] + side[:5])[::-1]
    whole = [*top, *({"back": p["back"], "left": "-" + p["left"]} for p in top[-2:0:-1])]
    other["top"] = whole[3:] + whole[:3]
    assert build(one(**other)).volume == pytest.approx(build(one(**body)).volume, rel=1e-9)
    assert build(one(**other)).elements.strips == pytest.approx(
        build(one(**body)).elements.strips, rel=1e-6, abs=1e-15
    )


def test_flat_ends_and_box_sections_make_an_exact_block() -> None:
    side = [{"back": f"{x} mm", "up": f"{z} mm"} for x, z in ((5, 4), (65, 4), (65, -8), (5, -8))]
    top = [{"back": f"{x} mm", "left": f"{y} mm"} for x, y in ((5, 3), (65, 3))]
    spec = Body.model_validate(
        {"shape": "outline", "side": side, "top": top, "exponent": 50, "density": "1 g/cm3"}
    )
    solid = moments.of_sections(read("main", spec).sections(), _frame(spec))
    assert solid[0] == pytest.approx(60e-3 * 6e-3 * 12e-3, rel=1e-9)
    assert moments.centre(solid) == pytest.approx([-0.035, 0.0, -0.002], abs=1e-12)


def test_the_middle_of_the_sections_follows_the_drawing() -> None:
    side = [{"back": f"{x} mm", "up": f"{z} mm"} for x, z in ((0, 5), (30, 15), (60, 8), (30, 3))]
    top = [{"back": f"{x} mm", "left": f"{y} mm"} for x, y in ((0, 0), (30, 6), (60, 0))]
    profile = read(
        "main", Body.model_validate({"shape": "outline", "side": side, "top": top, "density": "1 g/cm3"})
    )
    cut = profile.at(np.array([0.0, 0.03, 0.06]))
    assert cut.z0 == pytest.approx([0.005, 0.009, 0.008], abs=1e-9)
    assert cut.c == pytest.approx([0.0, 0.006, 0.0], abs=1e-9)
    assert cut.b == pytest.approx([0.0, 0.006, 0.0], abs=1e-9)


def test_a_line_that_turns_back_is_told_at_its_point() -> None:
    ring = [(0.0, 0.0), (0.02, 0.01), (0.015, 0.012), (0.05, 0.0), (0.02, -0.01)]
    with pytest.raises(OutlineError, match=r"turns back here, from 20 mm to 15 mm behind the nose") as caught:
        seen_from_side(ring)
    assert caught.value.at == 2
    with pytest.raises(OutlineError, match="it takes 3 or more"):
        seen_from_side(ring[:2])
    with pytest.raises(OutlineError, match="the outline has no length"):
        seen_from_top([(0.01, 0.0), (0.01, 0.002)])


def test_an_outline_that_encloses_nothing_is_refused_by_the_build() -> None:
    flat = [{"back": "0 mm"}, {"back": "30 mm"}, {"back": "60 mm"}]
    spec = Body.model_validate({"shape": "outline", "side": flat, "top": flat, "density": "1 g/cm3"})
    with pytest.raises(BuildError, match=r"body\.main encloses nothing"):
        read("main", spec)
