"""Hooks: they hang at rest, stream out behind at speed, and hold back in between."""

import math

import pytest

from sim.elements import H_ACROSS, H_CDA
from sim.lure import build
from sim.lure.small import TREBLE_BEHIND, TREBLE_SIDE
from tests.checks import bench
from tests.lure.makers import design


@pytest.fixture(scope="module")
def hook():
    small = {"length": "2 mm", "width": "2 mm", "height": "2 mm", "density": "1000 kg/m3"}
    return build(
        design(body={"bead": small}, hook={"belly": {"weight": "1.3 g", "size": "18 mm"}}), with_hulls=False
    )


def area(lure, velocity):
    """Drag area of the hook (m2) at a velocity."""
    found = [bench.force(lure.elements, velocity, coefficients={"hook_drag": on})[:3] for on in (1.0, 0.0)]
    speed = math.hypot(*velocity)
    return float(-((found[0] - found[1]) @ velocity) / (0.5 * bench.WATER.density * speed**3))


def test_a_treble_shows_its_shank_and_bends_from_the_side_and_its_bends_from_behind(hook):
    row = hook.elements.blobs[0]
    assert (row[H_CDA] + row[H_ACROSS]) / row[H_CDA] == pytest.approx(TREBLE_SIDE / TREBLE_BEHIND)
    assert row[H_CDA] + row[H_ACROSS] == pytest.approx(95e-6, rel=0.02)


def test_it_hangs_square_to_a_slow_stream_and_trails_in_a_fast_one(hook):
    row = hook.elements.blobs[0]
    speeds = (0.02, 0.3, 0.6, 0.9, 1.5, 5.0)
    areas = [area(hook, (speed, 0.0, 0.0)) for speed in speeds]
    assert areas == sorted(areas, reverse=True)
    assert areas[0] == pytest.approx(row[H_CDA] + row[H_ACROSS], rel=0.01)
    assert areas[-1] == pytest.approx(row[H_CDA], rel=0.05)


def test_what_hangs_straight_down_has_the_stream_along_it_as_it_sinks(hook):
    assert area(hook, (0.0, 0.0, -0.4)) == pytest.approx(hook.elements.blobs[0, H_CDA], rel=1e-6)


def test_a_hook_feels_a_stream_from_either_side_alike(hook):
    assert area(hook, (0.3, 0.2, 0.0)) == pytest.approx(area(hook, (-0.3, 0.2, 0.0)), rel=1e-12)
