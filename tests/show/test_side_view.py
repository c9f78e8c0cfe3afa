"""The drawing in text: to scale, the right way round, with the water where it belongs."""

import numpy as np
import pytest

from sim.show.side_view import side_view
from tests.show import fakes, shapes

SHAPES = {name: getattr(shapes, name) for name in ("RUNNER", "MINNOW", "SPOON", "FINNED", "BLOCK")}


def upright(pitch_deg, height_mm):
    pitch = np.radians(pitch_deg)
    return fakes.floating(up_in_body=[np.sin(pitch), 0.0, np.cos(pitch)], origin_height_mm=height_mm)


def rows(drawing):
    return drawing.splitlines()[:-1]


def extent(lines, characters):
    columns = [k for line in lines for k, c in enumerate(line) if c in characters]
    return min(columns), max(columns)


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize(("pitch", "height"), [(0, -3.0), (25, 2.0), (-80, -30.0), (90, 40.0), (5, None)])
def test_every_drawing_is_small_and_shows_water_line_tie_on_and_key(name, pitch, height):
    drawing = side_view(SHAPES[name], upright(pitch, height))
    assert max(map(len, drawing.splitlines())) <= 60
    assert len(drawing.splitlines()) <= 26
    assert sum("~" in line for line in rows(drawing)) == 1
    assert any("o" in line for line in rows(drawing))
    assert "o tie-on" in drawing.splitlines()[-1]


def test_a_lure_that_sinks_is_not_drawn():
    assert side_view(shapes.RUNNER, fakes.sunk()) == ""


def test_the_nose_is_on_the_left_and_goes_up_with_the_pitch():
    level, up = (
        rows(side_view(shapes.SPOON, upright(0, -3.0))),
        rows(side_view(shapes.SPOON, upright(20, 5.0))),
    )
    assert extent(level, "o")[0] < extent(level, "j")[0]
    nose = next(k for k, line in enumerate(up) if "o" in line)
    hook = next(k for k, line in enumerate(up) if "j" in line)
    assert nose < hook


def test_the_drawing_is_to_scale():
    """A body 70 by 22 mm: cells are twice as high as wide, so about 70 / 22 x 2 columns for each row."""
    body = shapes.lure([shapes.ellipsoid(70, 18, 22)], tie_ons={"nose": (0, 0, 0)})
    lines = rows(side_view(body, upright(0, -40.0)))
    outline = "'-_/\\|o"
    left, right = extent(lines, outline)
    tall = sum(any(c in outline for c in line) for line in lines)
    assert (right - left + 1) / tall == pytest.approx(70 / 22 * 2, rel=0.15)


@pytest.mark.parametrize(("height", "share"), [(5.5, 0.25), (0.0, 0.5), (-5.5, 0.75)])
def test_the_water_stands_where_it_was_computed(height, share):
    body = shapes.lure([shapes.ellipsoid(70, 18, 22)], tie_ons={"nose": (0, 0, 0)})
    lines = rows(side_view(body, upright(0, height)))
    drawn = [k for k, line in enumerate(lines) if any(c in "'-_/\\|" for c in line)]
    water = next(k for k, line in enumerate(lines) if "~" in line)
    below = (drawn[-1] - water + 0.5) / (drawn[-1] - drawn[0] + 1)
    assert below == pytest.approx(share, abs=0.1)


def test_a_suspended_lure_is_drawn_wholly_under_the_surface():
    lines = rows(side_view(shapes.RUNNER, upright(0, None)))
    water = next(k for k, line in enumerate(lines) if "~" in line)
    assert all(not line.strip("~ ") for line in lines[: water + 1])


def test_an_outline_has_no_gaps():
    """Every row of a block standing in the water has its two sides."""
    lines = rows(side_view(shapes.BLOCK, upright(0, 0.0)))
    drawn = [line for line in lines if line.strip("~ ")]
    for line in drawn[1:-1]:
        assert sum(c not in " ~+" for c in line) >= 2
