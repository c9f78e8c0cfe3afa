"""Closed meshes, held against a general mesh library."""

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.design.parts import Body
from sim.lure import build
from sim.lure.bodies import _frame
from sim.lure.hull import hull, mesh_moments, mesh_volume
from sim.lure.outside import read
from tests.lure.makers import one, stations

NOTCHED = stations((0, 0, 0), (9, 12, 20), (20, 3, 8), (33, 14, 10), (40, 6, 9), exponent=3.0, angle="7 deg")


def made(body: Body, volume: float, **options: int):
    return hull(read("main", body), _frame(body), volume, **options)


@pytest.mark.parametrize(
    "body",
    [Body.model_validate({"length": "60 mm", "width": "20 mm", "height": "30 mm"}), NOTCHED],
    ids=["ellipsoid", "notched"],
)
def test_a_hull_is_closed_and_agrees_with_trimesh(body: Body) -> None:
    made_hull = made(body, 12e-6, rings=40, around=48)
    other = trimesh.Trimesh(made_hull.vertices, made_hull.faces, process=False)
    assert other.is_watertight
    assert other.is_winding_consistent
    volume, centre, second = mesh_moments(made_hull.vertices, made_hull.faces)
    assert volume == pytest.approx(12e-6, rel=1e-12)
    assert volume == pytest.approx(other.volume, rel=1e-9)
    assert centre == pytest.approx(other.center_mass, abs=1e-12)
    inertia = np.trace(second) * np.eye(3) - second
    assert inertia == pytest.approx(other.moment_inertia, rel=1e-9, abs=1e-9 * float(inertia.max()))


def test_an_ellipsoids_mesh_is_within_a_twentieth_of_a_percent_before_it_is_scaled() -> None:
    body = Body.model_validate({"length": "60 mm", "width": "20 mm", "height": "30 mm"})
    a, b, c = 0.03, 0.01, 0.015
    wanted = 4.0 / 3.0 * np.pi * a * b * c
    mesh = made(body, wanted)
    assert len(mesh.faces) <= 20000
    # the widest point tells the sideways factor: 1 plus the equal-area factor of the ring
    widest = np.abs(mesh.vertices[:, 1]).max() / b
    ring = np.sqrt(np.pi / (0.5 * 96 * np.sin(2 * np.pi / 96)))
    assert (widest / ring) ** 2 == pytest.approx(1.0, abs=5e-4)
    _, _, second = mesh_moments(mesh.vertices, mesh.faces)
    assert np.diag(second) == pytest.approx(wanted / 5.0 * np.array([a, b, c]) ** 2, rel=1e-3)


def test_a_block_is_exact_to_its_corners() -> None:
    body = stations((0, 10, 3), (60, 10, 3), exponent=50)
    mesh = made(body, 60e-3 * 10e-3 * 3e-3)
    assert np.abs(mesh.vertices[:, 1]).max() == pytest.approx(5e-3, rel=1e-12)
    assert np.abs(mesh.vertices[:, 2]).max() == pytest.approx(1.5e-3, rel=1e-12)
    volume, centre, second = mesh_moments(mesh.vertices, mesh.faces)
    assert centre == pytest.approx([-0.03, 0.0, 0.0], abs=1e-12)
    sides = np.array([60e-3, 10e-3, 3e-3])
    assert np.diag(second) == pytest.approx(volume * sides**2 / 12.0, rel=1e-9)


def test_left_and_right_of_a_hull_are_mirror_images_to_the_last_bit() -> None:
    mesh = made(NOTCHED, 9e-6)
    points = {tuple(p) for p in mesh.vertices + 0.0}
    assert points == {(x, 0.0 - y, z) for x, y, z in points}

    def triangles(sign: float) -> set:
        corners = mesh.vertices * [1.0, sign, 1.0] + 0.0
        return {frozenset(tuple(corners[i]) for i in face) for face in mesh.faces}

    assert triangles(1.0) == triangles(-1.0)


def test_a_ring_that_cannot_hold_box_corners_is_refused() -> None:
    with pytest.raises(ValueError, match="around = 50 is not a multiple of 8"):
        made(NOTCHED, 9e-6, around=50)


@settings(max_examples=25)
@given(
    sizes=st.tuples(*[st.floats(2.0, 60.0)] * 3),
    exponent=st.floats(1.0, 50.0),
    volume=st.floats(1.0, 50.0),
    angle=st.floats(-180.0, 180.0),
)
def test_any_hull_encloses_exactly_the_volume_it_stands_for(sizes, exponent, volume, angle) -> None:
    length, width, height = sizes
    lure = build(
        one(
            length=f"{length} mm",
            width=f"{width} mm",
            height=f"{height} mm",
            exponent=exponent,
            angle=f"{angle} deg",
            density="0.5 g/cm3",
            displaced=f"{volume} mL",
        )
    )
    mesh = lure.hulls[0]
    assert mesh_volume(mesh.vertices, mesh.faces) == pytest.approx(volume * 1e-6, rel=1e-10)
    assert mesh_moments(mesh.vertices, mesh.faces)[1] == pytest.approx(
        lure.centre_volume, abs=1e-3 * length * 1e-3
    )
