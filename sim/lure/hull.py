"""Closed triangle mesh of a body's outside, and volume, centroid and inertia of any closed mesh.

Rings of points around the axis, spaced in the angle of a circle over the length so that round ends are well
drawn, with a ring at every station. Each ring's polygon is drawn with its section's true area; the whole is
then scaled sideways to carry exactly the volume asked for. Left and right are mirror images to the last bit.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from sim.compiled import FIXED_TABLE, INDICES, MESH, REAL, ROW, TABLE, WHOLE, compiled, kernel
from sim.elements import Hull
from sim.lure.moments import Array, Frame
from sim.lure.profile import BOX, Profile, merged, section_shape

RINGS = 80
AROUND = 96


def hull(profile: Profile, frame: Frame, volume: float, rings: int = RINGS, around: int = AROUND) -> Hull:
    """Mesh of a body in lure axes, enclosing `volume` (m3).

    Args:
        rings: intervals along the body, before the stations are added.
        around: points of a ring, a multiple of 8 so that box corners are points.

    Raises:
        ValueError: `around` is not a multiple of 8.
    """
    if around % 8:
        raise ValueError(f"around = {around} is not a multiple of 8")
    s = merged(profile.even(rings), profile.knots)
    s = s[np.concatenate([[True], np.diff(s) > 1e-9 * profile.length])]
    s[-1] = profile.end
    cut = profile.at(s)
    kinds, kind = cut.n[:1], np.zeros(len(s), dtype=np.intp)
    if cut.n.min() < cut.n.max():
        kinds, kind = np.unique(cut.n, return_inverse=True)
    y, z = unit_sections(tuple(kinds.tolist()), around)
    capped = (bool(cut.b[0] > 0.0 or cut.c[0] > 0.0), bool(cut.b[-1] > 0.0 or cut.c[-1] > 0.0))
    first, last = (0 if capped[0] else 1), (len(s) if capped[1] else len(s) - 1)
    faces = _faces(last - first, around)
    axes = np.stack([frame.along, frame.left, frame.up])
    count = (last - first) * around + 2
    out, local, across = np.empty((count, 3)), np.empty((count, 3)), np.zeros((count, 2))
    _loft(
        cut.s, cut.b, cut.c, cut.z0, kind, y, z, first, last, faces, volume, frame.nose, axes, across, local, out
    )  # fmt: skip
    return Hull(out, faces)


@kernel(
    ROW, ROW, ROW, ROW, INDICES, FIXED_TABLE, FIXED_TABLE, WHOLE, WHOLE, MESH, REAL, ROW, TABLE, TABLE, TABLE, TABLE,
    few=8,
)  # fmt: skip
def _loft(s, b, c, z0, kind, y, z, first, last, faces, volume, nose, axes, across, local, out):
    """Fill `out` with vertices (n, 3) in lure axes: rings `first` to `last` - 1, then the middles of both ends.

    Args:
        s, b, c, z0: (k,) places, half widths, half heights and middles of the sections.
        kind: (k,) which row of `y` and `z` (m, around) a section's ring is.
        volume: to be enclosed (m3).
        nose, axes: of the body's frame, (3,) and (3, 3).
        across, local: (n, 2), noughts, and (n, 3), to work in.
    """
    around = y.shape[1]
    rings = last - first
    for ring in range(rings):
        k = ring + first
        for j in range(around):
            i = ring * around + j
            local[i, 0] = -s[k]
            across[i, 0], across[i, 1] = y[kind[k], j] * b[k], z[kind[k], j] * c[k]
    for end in range(2):
        k = end * (len(s) - 1)
        local[rings * around + end, 0] = -s[k]
    for i in range(rings * around + 2):
        k = first + i // around if i < rings * around else (i - rings * around) * (len(s) - 1)
        local[i, 1], local[i, 2] = across[i, 0], z0[k] + across[i, 1]
    # faces between parallel sections: the volume goes exactly as the square of the sideways size
    factor = math.sqrt(volume / mesh_volume(local, faces))
    for i in range(rings * around + 2):
        k = first + i // around if i < rings * around else (i - rings * around) * (len(s) - 1)
        u, v, w = local[i, 0], factor * across[i, 0], z0[k] + factor * across[i, 1]
        for axis in range(3):
            out[i, axis] = nose[axis] + (u * axes[0, axis] + v * axes[1, axis] + w * axes[2, axis])


@lru_cache(maxsize=32)
def unit_sections(exponents: tuple[float, ...], around: int) -> tuple[Array, Array]:
    """Points (k, around) of unit superellipses with k exponents, their polygons scaled to the true area."""
    n = np.array(exponents)
    quarter = around // 4
    t = 0.5 * math.pi * np.arange(quarter + 1) / quarter
    cos, sin = np.cos(t), np.sin(t)
    cos[-1], sin[0] = 0.0, 0.0
    sin[quarter // 2] = cos[quarter // 2]
    power = 2.0 / n[:, None]
    y, z = cos**power, sin**power
    edge = np.tan(np.minimum(t, 0.5 * math.pi - t))
    box_y, box_z = np.where(t <= 0.25 * math.pi, 1.0, edge), np.where(t >= 0.25 * math.pi, 1.0, edge)
    box_y[quarter // 2] = box_z[quarter // 2] = 1.0
    sharp = n[:, None] >= BOX
    y, z = np.where(sharp, box_y, y), np.where(sharp, box_z, z)
    area = 2.0 * np.sum(y[:, :-1] * z[:, 1:] - y[:, 1:] * z[:, :-1], axis=1)
    grow = np.sqrt(section_shape(n).area / area)[:, None]
    y, z = y * grow, z * grow
    full_y = np.concatenate([y[:, :-1], -y[:, ::-1][:, :-1], -y[:, :-1], y[:, ::-1][:, :-1]], axis=1)
    full_z = np.concatenate([z[:, :-1], z[:, ::-1][:, :-1], -z[:, :-1], -z[:, ::-1][:, :-1]], axis=1)
    full_y.flags.writeable = full_z.flags.writeable = False  # many hulls share them
    return full_y, full_z


@lru_cache(maxsize=32)
def _faces(rings: int, around: int) -> NDArray[np.int64]:
    """Faces of `rings` rings and two end points (the last two vertices), counter-clockwise from outside."""
    k, j = np.meshgrid(np.arange(rings - 1), np.arange(around), indexing="ij")
    a = (k * around + j).ravel()
    b = (k * around + (j + 1) % around).ravel()
    c, d = a + around, b + around
    # one diagonal on the left, its mirror image on the right
    left = ((j < around // 4) | (j >= around - around // 4)).ravel()[:, None]
    one = np.where(left, np.stack([a, d, b], 1), np.stack([a, c, b], 1))
    two = np.where(left, np.stack([a, c, d], 1), np.stack([b, c, d], 1))
    ring = np.arange(around)
    nose, tail = rings * around, rings * around + 1
    at = (rings - 1) * around
    front = np.stack([np.full(around, nose), ring, (ring + 1) % around], 1)
    rear = np.stack([np.full(around, tail), at + (ring + 1) % around, at + ring], 1)
    faces = np.concatenate([one, two, front, rear]).astype(np.int64)
    faces.flags.writeable = False  # many hulls share them
    return faces


@compiled
def mesh_volume(vertices, faces):
    """Volume inside a closed mesh: signed tetrahedra with their tips at the origin."""
    six = 0.0
    for f in range(faces.shape[0]):
        i, j, k = faces[f, 0], faces[f, 1], faces[f, 2]
        ax, ay, az = vertices[i, 0], vertices[i, 1], vertices[i, 2]
        bx, by, bz = vertices[j, 0], vertices[j, 1], vertices[j, 2]
        cx, cy, cz = vertices[k, 0], vertices[k, 1], vertices[k, 2]
        six += ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx)
    return six / 6.0


def mesh_moments(vertices: Array, faces: NDArray[np.int64]) -> tuple[float, Array, Array]:
    """Volume, centroid (3,) and second moments about the centroid (3, 3) of a closed mesh (exact).

    Inertia at density 1 is trace(S) I - S. Source: Tonon 2004, J. Math. Stat. 1, 8-11 (explicit tetrahedron
    formulas; from memory), here as sums over the corners.
    """
    a, b, c = vertices[faces[:, 0]], vertices[faces[:, 1]], vertices[faces[:, 2]]
    six = np.einsum("ij,ij->i", a, np.cross(b, c))
    volume = math.fsum(six) / 6.0
    corners = a + b + c
    first = np.array([math.fsum(six * corners[:, k]) for k in range(3)]) / 24.0
    second = sum((np.einsum("i,ij,ik->jk", six, p, p) for p in (a, b, c, corners)), np.zeros((3, 3))) / 120.0
    at = first / volume
    return volume, at, second - volume * np.outer(at, at)
