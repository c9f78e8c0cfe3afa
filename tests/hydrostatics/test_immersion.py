"""Immersed volume, waterplane and height of hulls and small parts."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.hydrostatics.flotation import float_height
from sim.hydrostatics.immersion import (
    I_AREA,
    I_AREA_MOMENT,
    I_AREA_SECOND,
    I_MOMENT,
    I_VOLUME,
    N_IMMERSED,
    immersed,
    whole,
)
from sim.hydrostatics.wetting import wetted, wetted_box
from tests.hulls import NO_SMALL, block, cylinder, ellipsoid, lattice, moved, notched, rotation, solid, torus

UP = np.array([0.0, 0.0, 1.0])
NO_VERTICES, NO_FACES = np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64)

SHAPES = {
    "block": block(0.06, 0.02, 0.03),
    "ball": ellipsoid(0.03, 0.012, 0.02, rings=12, sides=20),
    "torus": torus(0.03, 0.011),
    "notched": notched(),
    "frame": lattice(
        [[[1, 1, 1]], [[1, 0, 1]], [[1, 1, 1]]],
        (-0.03, -0.01, 0.02, 0.03),
        (-0.005, 0.005),
        (-0.02, -0.012, 0.01, 0.02),
    ),
}

shapes = st.sampled_from(sorted(SHAPES))
unit = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda v: np.linalg.norm(v) > 0.1).map(
    lambda v: np.array(v) / np.linalg.norm(v)
)  # fmt: skip
heights = st.floats(-0.04, 0.04)


def under(hull, up, height, small=NO_SMALL):
    return immersed(hull.vertices, hull.faces, small, up, height)


def level_rod(height_half=0.004, width_half=0.006, length_half=0.02, at=(0.003, -0.002, 0.001)):
    """A level elliptic rod along x as one small part, Q from its three half extents."""
    q = [length_half**2, width_half**2, height_half**2, 0.0, 0.0, 0.0]
    return np.array([[*at, *q, math.pi * height_half * width_half * 2 * length_half]])


@pytest.mark.parametrize("name", SHAPES)
def test_a_hull_wholly_under_displaces_all_of_itself_and_wholly_out_nothing(name):
    hull = SHAPES[name]
    volume, centre = solid(hull)
    deep = under(hull, UP, -1.0)
    assert deep[I_VOLUME] == pytest.approx(volume, rel=1e-12)
    assert deep[I_MOMENT : I_MOMENT + 3] == pytest.approx(volume * centre, abs=1e-12 * volume)
    assert deep[I_AREA:] == pytest.approx(np.zeros(N_IMMERSED - I_AREA), abs=0.0)
    assert np.all(under(hull, UP, 1.0) == 0.0)
    assert whole(hull.vertices, hull.faces, NO_SMALL) == pytest.approx(volume, rel=1e-12)


@pytest.mark.parametrize("name", SHAPES)
def test_immersed_volume_and_centre_are_those_of_a_capped_slice(name):
    # live oracle: trimesh, slice_plane with cap=True, which builds the lid that the code here does without
    import trimesh

    hull = SHAPES[name]
    mesh = trimesh.Trimesh(hull.vertices, hull.faces, process=False)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    rng = np.random.default_rng(5)
    compared = 0
    for _ in range(40):
        up = rng.normal(size=3)
        up /= np.linalg.norm(up)
        low, high = np.quantile(hull.vertices @ up, [0.0, 1.0])
        height = -rng.uniform(low, high)
        cut = mesh.slice_plane(-height * up, -up, cap=True)
        if not cut.is_watertight:  # its lid failed, which happens at grazing cuts
            continue
        compared += 1
        got = under(hull, up, height)
        assert got[I_VOLUME] == pytest.approx(cut.volume, abs=1e-9 * mesh.volume)
        moment = cut.volume * cut.center_mass
        assert got[I_MOMENT : I_MOMENT + 3] == pytest.approx(moment, abs=1e-9 * mesh.volume * 0.03)
    assert compared >= 35


def test_faces_edges_and_corners_exactly_on_the_surface_are_no_trouble():
    box = block(0.06, 0.02, 0.03)
    assert under(box, UP, 0.015)[I_VOLUME] == 0.0
    assert under(box, UP, -0.015)[I_VOLUME] == pytest.approx(0.06 * 0.02 * 0.03, rel=1e-14)
    corner = np.array([0.0, 1.0, 1.0]) / math.sqrt(2.0)
    cube = block(0.02, 0.02, 0.02)  # two opposite edges lie in the surface
    half = under(cube, corner, 0.0)
    assert half[I_VOLUME] == pytest.approx(4e-6, rel=1e-14)
    assert half[I_AREA] == pytest.approx(0.02 * 0.02 * math.sqrt(2.0), rel=1e-14)
    ball = ellipsoid(0.01, 0.01, 0.01, rings=8, sides=8)
    assert under(ball, UP, 0.0)[I_VOLUME] == pytest.approx(solid(ball)[0] / 2, rel=1e-14)


@given(shapes, unit, heights)
def test_what_is_under_and_what_is_out_make_the_whole(name, up, height):
    hull = SHAPES[name]
    volume, centre = solid(hull)
    both = under(hull, up, height) + under(hull, -up, -height)
    assert both[I_VOLUME] == pytest.approx(volume, rel=1e-12)
    assert both[I_MOMENT : I_MOMENT + 3] == pytest.approx(volume * centre, abs=1e-14 * volume)


@given(shapes, unit, heights, unit, st.floats(-3, 3), st.tuples(*[st.floats(-0.1, 0.1)] * 3))
def test_turning_and_shifting_hull_and_surface_together_changes_nothing(name, up, height, axis, angle, by):
    hull = SHAPES[name]
    turn = rotation(axis, angle)
    before = under(hull, up, height)
    after = under(moved(hull, turn, by), turn @ up, height - float(turn @ up @ np.array(by)))
    assert after[I_VOLUME] == pytest.approx(before[I_VOLUME], abs=1e-12 * solid(hull)[0])
    expected = turn @ before[I_MOMENT : I_MOMENT + 3] + before[I_VOLUME] * np.array(by)
    assert after[I_MOMENT : I_MOMENT + 3] == pytest.approx(expected, abs=1e-13 * solid(hull)[0])


def test_hulls_add_up():
    first, second = block(0.02, 0.02, 0.02), moved(SHAPES["ball"], by=(0.1, 0.0, 0.004))
    together = immersed(
        np.concatenate([first.vertices, second.vertices]),
        np.concatenate([first.faces, second.faces + len(first.vertices)]),
        NO_SMALL,
        UP,
        0.003,
    )
    assert together == pytest.approx(under(first, UP, 0.003) + under(second, UP, 0.003), rel=1e-12, abs=1e-20)


def second_moments(state):
    xx, yy, zz, xy, xz, yz = state[I_AREA_SECOND:]
    return np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]])


@pytest.mark.parametrize("name", [*SHAPES, "small part"])
def test_the_waterplane_is_the_derivative_of_what_is_under(name):
    small = level_rod() if name == "small part" else NO_SMALL
    vertices = NO_VERTICES if name == "small part" else SHAPES[name].vertices
    faces = NO_FACES if name == "small part" else SHAPES[name].faces
    up = np.array([0.21, -0.13, 0.95])
    up /= np.linalg.norm(up)
    height, step = -0.0021, 1e-6

    def state(up, height):
        return immersed(vertices, faces, small, up, height)

    here = state(up, height)
    by_height = (state(up, height + step) - state(up, height - step)) / (2 * step)
    assert -by_height[I_VOLUME] == pytest.approx(here[I_AREA], rel=1e-5)
    assert -by_height[I_MOMENT : I_MOMENT + 3] == pytest.approx(
        here[I_AREA_MOMENT : I_AREA_MOMENT + 3], rel=1e-5, abs=1e-5 * here[I_AREA] * 0.01
    )
    for way in (np.cross(up, [1.0, 0.0, 0.0]), np.cross(up, [0.0, 1.0, 0.0])):
        way = way / np.linalg.norm(way)
        turned = [math.cos(step) * up + sign * math.sin(step) * way for sign in (1, -1)]
        by_turn = (state(turned[0], height) - state(turned[1], height)) / (2 * step)
        expected = second_moments(here) @ way
        got = -by_turn[I_MOMENT : I_MOMENT + 3]
        assert got == pytest.approx(expected, rel=1e-4, abs=1e-5 * np.abs(expected).max())


def test_a_small_part_that_is_a_level_rod_is_exact():
    # closed form: the law of an elliptic section, against a fine hull of the same rod
    rod = level_rod(at=(0.0, 0.0, 0.0))
    hull = moved(cylinder(0.04, 1.0, 2000), np.diag([1.0, 0.006, 0.004]))
    for height in (-0.0039, -0.002, 0.0, 0.001, 0.0035):
        part = immersed(NO_VERTICES, NO_FACES, rod, UP, height)
        expected = under(hull, UP, height)
        assert part[I_VOLUME] == pytest.approx(expected[I_VOLUME], rel=1e-4)
        assert part[I_MOMENT + 2] == pytest.approx(expected[I_MOMENT + 2], rel=1e-4)
        assert part[I_AREA] == pytest.approx(expected[I_AREA], rel=1e-4)
        assert part[I_AREA_SECOND + 1] == pytest.approx(expected[I_AREA_SECOND + 1], rel=1e-4)  # across


def test_the_wetted_centroid_lies_below_the_middle():
    state = immersed(NO_VERTICES, NO_FACES, level_rod(at=(0.0, 0.0, 0.0)), UP, 0.0)
    assert state[I_MOMENT + 2] / state[I_VOLUME] == pytest.approx(-0.004 * 4 / (3 * math.pi), rel=1e-12)


def test_the_wetted_share_runs_from_nought_to_one_without_a_jump():
    assert wetted(-0.011, 0.01) == (0.0, 0.0, 1.0)
    assert wetted(0.011, 0.01) == (1.0, 0.0, 0.0)
    share, growth, shift = wetted(0.0, 0.01)
    assert (share, growth) == pytest.approx((0.5, 2 / (math.pi * 0.01)))
    assert shift == pytest.approx(4 / (3 * math.pi))
    assert wetted(-0.01 * (1 - 1e-14), 0.01)[2] == pytest.approx(1.0)
    # the series for a thin segment meets the closed form where it takes over, theta = 0.01
    before, after = (wetted(-math.cos(theta), 1.0) for theta in (0.01 - 1e-7, 0.01 + 1e-7))
    assert before[0] == pytest.approx(after[0], rel=1e-4)
    assert before[2] == pytest.approx(after[2], rel=1e-7)


def test_a_part_without_height_is_under_or_out_as_a_point():
    assert wetted(0.001, 0.0)[:2] == (1.0, 0.0)
    assert wetted(-0.001, 0.0)[:2] == (0.0, 0.0)


@given(st.floats(-1.2, 1.2), st.floats(1e-6, 1.0))
def test_share_and_shift_follow_from_one_potential(depth, half):
    # d(share * shift) = -(depth / half) d(share): no energy is made by bobbing and rocking
    step = 1e-5
    (a, _, ga), (b, _, gb) = (
        wetted(depth * half - step * half, half),
        wetted(depth * half + step * half, half),
    )
    assert b * gb - a * ga == pytest.approx(-depth * (b - a), abs=2e-8)


@given(shapes, unit, st.floats(0.001, 0.999))
def test_it_floats_where_just_the_asked_volume_is_under(name, up, share):
    hull = SHAPES[name]
    volume = share * solid(hull)[0]
    for guess in (-1.0, 0.0, 0.01, 1.0):
        height, state = float_height(hull.vertices, hull.faces, NO_SMALL, up, volume, guess, 1e-12)
        assert state[I_VOLUME] == pytest.approx(volume, rel=1e-11)
        assert state == pytest.approx(  # summed in another order
            under(hull, up, height), rel=1e-12, abs=1e-20
        )


@given(shapes, unit, st.floats(0.01, 0.98), st.floats(0.001, 0.01))
def test_heavier_never_floats_higher(name, up, share, more):
    hull = SHAPES[name]
    volume = solid(hull)[0]
    light = float_height(hull.vertices, hull.faces, NO_SMALL, up, share * volume, 0.0, 1e-12)[0]
    heavy = float_height(hull.vertices, hull.faces, NO_SMALL, up, (share + more) * volume, 0.0, 1e-12)[0]
    assert heavy < light


def test_more_volume_than_there_is_ends_just_under():
    box = block(0.06, 0.02, 0.03)
    height, state = float_height(box.vertices, box.faces, NO_SMALL, UP, 1.0, 0.0, 1e-12)
    assert height == pytest.approx(-0.015, abs=1e-12)
    assert state[I_VOLUME] == pytest.approx(0.06 * 0.02 * 0.03)


@pytest.mark.parametrize("depth", [-0.9, -0.3, 0.0, 0.4, 1.1])
@pytest.mark.parametrize(
    "edges", [(1.0, 0.6, 0.3), (0.4, 0.4, 0.4), (0.9, 0.02, 0.3), (1.0, 0.0, 0.0), (0.5, 0.5, 0.0)]
)
def test_a_box_is_wet_as_a_closed_mesh_of_it(depth, edges):
    # points of the box spread evenly: a rule of 40 points a side, which knows nothing of the closed form
    steps = (np.arange(40) + 0.5) / 20.0 - 1.0
    i, j, k = np.meshgrid(steps, steps, steps)
    under = depth + edges[0] * i + edges[1] * j + edges[2] * k > 0.0
    share, _, *moments = wetted_box(depth, *edges)
    assert share == pytest.approx(under.mean(), abs=0.03 if edges[1] < 0.1 else 0.01)
    for place, moment, edge in zip((i, j, k), moments, edges, strict=True):
        if edge > 0.1:
            assert moment == pytest.approx((place * under).mean(), abs=0.03 if edges[1] < 0.1 else 0.01)
        elif edge == 0.0:
            assert moment == 0.0


@given(st.floats(-1.5, 1.5), st.floats(0.01, 1.0), st.floats(0.01, 1.0), st.floats(0.01, 1.0))
def test_the_moments_of_a_box_and_its_share_are_slopes_of_one_potential(depth, a, b, c):
    step = 1e-5
    for turn in range(3):
        edges = [a, b, c]
        edges[turn] += step
        more = wetted_box(depth, *edges)
        edges[turn] -= 2 * step
        less = wetted_box(depth, *edges)
        deeper, higher = wetted_box(depth + step, a, b, c), wetted_box(depth - step, a, b, c)
        # d share / d edge = d moment / d depth
        assert more[0] - less[0] == pytest.approx(deeper[2 + turn] - higher[2 + turn], abs=1e-7)
        assert deeper[0] - higher[0] == pytest.approx(2 * step * wetted_box(depth, a, b, c)[1], abs=1e-7)
