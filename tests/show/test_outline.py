"""Outlines: the same area as the thing itself, holes left open, cut at the water."""

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from sim.elements import Hull
from sim.show import outline
from tests.show import shapes


def area(loops):
    """Area of loops filled by the non-zero rule, when they do not cross each other."""
    total = 0.0
    for loop in loops:
        x, y = loop.T
        total += 0.5 * float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y))
    return total


def torus(big=20.0, small=5.0, around=48, across=24):
    """Ring round the z axis, mm."""
    a = np.linspace(0, 2 * np.pi, around, endpoint=False)
    b = np.linspace(0, 2 * np.pi, across, endpoint=False)
    u, v = np.meshgrid(a, b, indexing="ij")
    points = np.stack(
        [(big + small * np.cos(v)) * np.cos(u), (big + small * np.cos(v)) * np.sin(u), small * np.sin(v)], -1
    )
    k, j = np.meshgrid(np.arange(around), np.arange(across), indexing="ij")
    here, along = k * across + j, (k + 1) % around * across + j
    up, both = k * across + (j + 1) % across, (k + 1) % around * across + (j + 1) % across
    one = np.stack([here, along, both], -1).reshape(-1, 3)
    two = np.stack([here, both, up], -1).reshape(-1, 3)
    return Hull(points.reshape(-1, 3) / 1000, np.concatenate([one, two]))


def unit(values):
    return np.array(values) / np.linalg.norm(values)


@settings(max_examples=30)
@given(st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda d: np.linalg.norm(d) > 0.1))
def test_an_ellipsoid_covers_the_area_of_its_shadow_from_any_side(direction):
    """Shadow of half axes a, b, c along d: pi sqrt((bc dx)2 + (ac dy)2 + (ab dz)2)."""
    hull = shapes.ellipsoid(70, 18, 22, steps=80)
    d = unit(direction)
    right = unit(np.cross([0.0, 0.0, 1.0] if abs(d[2]) < 0.9 else [1.0, 0.0, 0.0], d))
    view = outline.View(right, np.cross(d, right))
    a, b, c = 0.035, 0.009, 0.011
    shadow = np.pi * np.sqrt((b * c * d[0]) ** 2 + (a * c * d[1]) ** 2 + (a * b * d[2]) ** 2)
    assert area(outline.silhouette(hull, view)) == pytest.approx(shadow, rel=0.02)


def test_a_ring_seen_from_above_keeps_its_hole():
    loops = outline.silhouette(torus(), outline.TOP)
    assert len(loops) == 2
    assert area(loops) == pytest.approx(np.pi * (0.025**2 - 0.015**2), rel=0.02)


def test_a_ring_seen_from_the_side_is_a_bar_with_round_ends():
    """Its loops cross each other; what counts is where they wind round at least once."""
    loops = outline.silhouette(torus(), outline.SIDE)
    x, y = np.meshgrid(np.linspace(-0.026, 0.026, 200), np.linspace(-0.006, 0.006, 60))
    turns = np.zeros_like(x)
    for loop in loops:
        for p, q in zip(loop, np.roll(loop, -1, axis=0), strict=True):
            side = (q[0] - p[0]) * (y - p[1]) - (x - p[0]) * (q[1] - p[1])
            turns += ((p[1] <= y) & (q[1] > y) & (side > 0)).astype(int)
            turns -= ((p[1] > y) & (q[1] <= y) & (side < 0)).astype(int)
    covered = float((turns != 0).mean()) * 0.052 * 0.012
    assert turns.min() == 0
    assert covered == pytest.approx((4 * 20 * 5 + np.pi * 25) * 1e-6, rel=0.03)


def test_views_have_the_nose_on_the_left_and_the_back_on_top():
    nose, tail, back, left = np.eye(3)[0], -np.eye(3)[0], np.eye(3)[2], np.eye(3)[1]
    for view in (outline.SIDE, outline.from_side(np.array([0.0, 0.0, 1.0]))):
        assert view.seen(nose[None])[0][0] < view.seen(tail[None])[0][0]
        assert view.seen(back[None])[0][1] > 0
    for view in (outline.FRONT, outline.from_front(np.array([0.0, 0.0, 1.0]))):
        assert view.seen(left[None])[0][0] > 0
    assert outline.TOP.seen(left[None])[0][1] < 0


def test_a_lure_that_stands_on_its_tail_is_seen_with_its_back_on_the_right():
    view = outline.from_side(np.array([1.0, 0.0, 0.0]))
    assert view.seen(np.array([[1.0, 0.0, 0.0]]))[0] == pytest.approx([0.0, 1.0])
    assert view.seen(np.array([[0.0, 0.0, -1.0]]))[0][0] == pytest.approx(-1.0)


@settings(max_examples=50)
@given(st.floats(-0.99, 0.99))
def test_the_part_under_a_level_of_a_disc_has_the_area_of_the_segment(level):
    turn = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    disc = np.column_stack([np.cos(turn), np.sin(turn)])
    segment = np.pi - (np.arccos(level) - level * np.sqrt(1 - level**2))
    assert area([outline.below(disc, level)]) == pytest.approx(segment, abs=2e-3)


def test_nothing_is_under_a_level_below_the_loop():
    assert outline.below(np.array([[0.0, 1.0], [1.0, 1.0], [0.0, 2.0]])).shape == (0, 2)


@example(3, 0.0078125, 791)
@settings(max_examples=50)
@given(st.integers(3, 200), st.floats(1e-5, 1e-2), st.integers(0, 2**32 - 1))
def test_a_thinned_loop_strays_nowhere_further_than_allowed(corners, fine, number):
    turn = np.sort(np.random.default_rng(number).uniform(0, 2 * np.pi, corners))
    loop = 0.03 * np.column_stack([np.cos(turn), 0.4 * np.sin(turn)])
    kept = outline.thinned(loop, fine)
    for point in loop:
        away = []
        for p, q in zip(kept, np.roll(kept, -1, axis=0), strict=True):
            share = np.clip((point - p) @ (q - p) / max((q - p) @ (q - p), 1e-30), 0, 1)
            away.append(np.linalg.norm(point - p - share * (q - p)))
        assert min(away) <= fine * (1 + 1e-9)


def test_a_rounded_plate_is_drawn_with_the_area_and_the_centre_it_has():
    from sim.design.load import load
    from sim.elements import P_AREA, P_C, P_R, P_S
    from sim.lure import build

    lure = build(load("scenarios/cellar_door.toml"))
    row = lure.elements.plates[0]
    (rim,) = outline.plates(lure)
    flat = np.column_stack([(rim - row[P_R : P_R + 3]) @ row[P_C : P_C + 3], rim @ row[P_S : P_S + 3]])
    assert area([flat]) == pytest.approx(row[P_AREA], rel=0.01)
    x, y = flat.T
    cross = x * np.roll(y, -1) - np.roll(x, -1) * y
    middle = float(np.sum((x + np.roll(x, -1)) * cross) / (3 * np.sum(cross)))
    assert middle == pytest.approx(0.0, abs=2e-4)
