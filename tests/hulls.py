"""Closed meshes and bare lures for tests, made without the code under test."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from sim import elements as e
from sim.elements import Hull
from sim.lure.lure import Lure

Array = NDArray[np.float64]
NO_SMALL = np.zeros((0, e.N_COMMON))


def lattice(
    filled: Sequence[Sequence[Sequence[int]]], x: Sequence[float], y: Sequence[float], z: Sequence[float]
) -> Hull:
    """Outside of the filled cells of a box lattice; cells that touch share whole faces."""
    cells = np.pad(np.array(filled, dtype=bool), 1)
    index: dict[tuple[int, int, int], int] = {}
    faces: list[tuple[int, int, int]] = []
    for i, j, k in np.argwhere(cells):
        for axis in range(3):
            for side in (-1, 1):
                step = [0, 0, 0]
                step[axis] = side
                if cells[i + step[0], j + step[1], k + step[2]]:
                    continue
                b, c = (axis + 1) % 3, (axis + 2) % 3
                loop = []
                for db, dc in ((0, 0), (1, 0), (1, 1), (0, 1))[::side]:
                    corner = [int(i) - 1, int(j) - 1, int(k) - 1]
                    corner[axis] += side > 0
                    corner[b] += db
                    corner[c] += dc
                    loop.append(index.setdefault(tuple(corner), len(index)))
                faces += [(loop[0], loop[1], loop[2]), (loop[0], loop[2], loop[3])]
    vertices = np.array([[x[i], y[j], z[k]] for i, j, k in index])
    return Hull(vertices, np.array(faces, dtype=np.int64))


def block(length: float, width: float, height: float) -> Hull:
    """A box about the origin."""
    return lattice([[[1]]], (-length / 2, length / 2), (-width / 2, width / 2), (-height / 2, height / 2))


def notched() -> Hull:
    """A block with a deep notch cut into its back: not convex, and cut in two by high planes."""
    return lattice(
        [[[1, 1]], [[1, 0]], [[1, 1]]], (-0.03, -0.008, 0.011, 0.03), (-0.01, 0.012), (-0.012, -0.006, 0.014)
    )


def torus(ring: float, tube: float, around: int = 40, across: int = 24) -> Hull:
    """A ring about z."""
    a, b = np.meshgrid(np.arange(around), np.arange(across), indexing="ij")
    u, v = 2 * math.pi * a.ravel() / around, 2 * math.pi * b.ravel() / across
    reach = ring + tube * np.cos(v)
    vertices = np.column_stack([reach * np.cos(u), reach * np.sin(u), tube * np.sin(v)])

    def at(i: Array, j: Array) -> Array:
        return (i % around) * across + j % across

    p, q, r, s = at(a, b), at(a + 1, b), at(a + 1, b + 1), at(a, b + 1)
    faces = np.concatenate([np.stack([p, q, r], -1).reshape(-1, 3), np.stack([p, r, s], -1).reshape(-1, 3)])
    return Hull(vertices, faces.astype(np.int64))


def turned_profile(x: Sequence[float], radius: Sequence[float], sides: int) -> Hull:
    """A body of revolution about x; the first and last radius must be nought. x falls from nose to tail."""
    angle = 2 * math.pi * np.arange(sides) / sides
    rings = [
        np.column_stack([np.full(sides, xi), r * np.sin(angle), r * np.cos(angle)])
        for xi, r in zip(x[1:-1], radius[1:-1], strict=True)
    ]
    vertices = np.concatenate([[[x[0], 0.0, 0.0]], *rings, [[x[-1], 0.0, 0.0]]])
    faces = []
    last = len(vertices) - 1
    for i in range(sides):
        j = (i + 1) % sides
        faces.append((0, 1 + j, 1 + i))
        for ring in range(len(rings) - 1):
            a, b = 1 + ring * sides, 1 + (ring + 1) * sides
            faces += [(a + i, a + j, b + j), (a + i, b + j, b + i)]
        end = 1 + (len(rings) - 1) * sides
        faces.append((last, end + i, end + j))
    return Hull(vertices, np.array(faces, dtype=np.int64))


def cylinder(length: float, radius: float, sides: int) -> Hull:
    """A round rod along x, about the origin."""
    half = length / 2
    return turned_profile((half, half, -half, -half), (0.0, radius, radius, 0.0), sides)


def ellipsoid(a: float, b: float, c: float, rings: int = 60, sides: int = 120) -> Hull:
    """Semi-axes along x, y, z, about the origin; vertices on the surface."""
    angle = np.linspace(0.0, math.pi, rings + 1)
    ball = turned_profile(np.cos(angle).tolist(), [0.0, *np.sin(angle[1:-1]).tolist(), 0.0], sides)
    return Hull(ball.vertices * np.array([a, b, c]), ball.faces)


def moved(hull: Hull, matrix: Array | None = None, by: Sequence[float] = (0.0, 0.0, 0.0)) -> Hull:
    """Turned (or mirrored: then the faces are turned over) and shifted."""
    matrix = np.eye(3) if matrix is None else matrix
    faces = hull.faces if np.linalg.det(matrix) > 0 else hull.faces[:, ::-1]
    return Hull(np.ascontiguousarray(hull.vertices @ matrix.T + np.array(by)), np.ascontiguousarray(faces))


def rotation(axis: Sequence[float], angle: float) -> Array:
    """Rodrigues' matrix."""
    x, y, z = np.array(axis) / np.linalg.norm(axis)
    k = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    return np.eye(3) + math.sin(angle) * k + (1 - math.cos(angle)) * k @ k


def solid(hull: Hull) -> tuple[float, Array]:
    """Volume and centre, by the divergence theorem."""
    a, b, c = (hull.vertices[hull.faces[:, k]] for k in range(3))
    parts = np.einsum("ij,ij->i", a, np.cross(b, c)) / 6.0
    return float(parts.sum()), (parts[:, None] * (a + b + c) / 4.0).sum(0) / parts.sum()


def bare(
    *hulls: Hull,
    mass: float,
    centre: Sequence[float] | Array | None = None,
    small: Array = NO_SMALL,
    plates: Array | None = None,
) -> Lure:
    """A lure of hulls and small parts only; its weight acts at `centre`, or at the middle of its volume."""
    solids = [solid(hull) for hull in hulls] + [(float(row[e.VOLUME]), row[:3]) for row in small]
    volume = sum(part[0] for part in solids)
    middle = sum((part[0] * part[1] for part in solids), np.zeros(3)) / volume
    widths = (e.N_COMMON, e.N_ADDED, e.N_BODY, e.N_STRIP, e.N_PLATE, e.N_WIRE, e.N_BLOB)
    tables = [np.zeros((0, width)) for width in widths]
    if plates is not None:
        tables[4] = plates
    return Lure(
        name="bare",
        parts=(),
        mass=mass,
        centre=middle if centre is None else np.array(centre, dtype=float),
        volume=volume,
        centre_volume=middle,
        elements=e.Elements(*tables, np.zeros((6, 6))),
        hulls=hulls,
        small=small,
        tie_ons={},
        length=0.1,
        nose_to_tail=(0.05, -0.05),
        warnings=(),
    )
