"""Plane sections of a closed mesh across its x axis: areas, moments and sizes from the cut edges alone.

Every face that a plane cuts gives a directed piece of the section's rim; by Green's theorem the integrals over
the section are sums over the pieces, so nothing has to be chained to loops, and holes and several loops come
out right by themselves. Standing: closed form for polyhedra.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.lure.profile import Array


class Cuts(NamedTuple):
    """Sections of a mesh, one for each plane; all (n,). Where a plane misses the mesh all is zero."""

    area: Array  # m2
    y: Array  # first moments, m3
    z: Array
    yy: Array  # second moments, m4
    zz: Array
    yz: Array
    left: Array  # largest and smallest y, m
    right: Array
    high: Array  # largest and smallest z, m
    low: Array


def cuts(vertices: Array, faces: NDArray[np.int64], x: Array) -> Cuts:
    """Sections at the planes `x` (n,), m."""
    rows = np.zeros((len(x), len(Cuts._fields)))
    at = vertices[:, 0][faces]
    low, high = at.min(axis=1), at.max(axis=1)
    for k, plane in enumerate(x):
        start, end = rim(vertices, faces[(low <= plane) & (high > plane)], float(plane))
        if not len(start):
            continue
        (y1, z1), (y2, z2) = start.T, end.T
        w = y1 * z2 - y2 * z1
        rows[k] = (
            0.5 * w.sum(),
            np.dot(w, y1 + y2) / 6.0,
            np.dot(w, z1 + z2) / 6.0,
            np.dot(w, y1 * y1 + y1 * y2 + y2 * y2) / 12.0,
            np.dot(w, z1 * z1 + z1 * z2 + z2 * z2) / 12.0,
            np.dot(w, y1 * z2 + 2.0 * y1 * z1 + 2.0 * y2 * z2 + y2 * z1) / 24.0,
            y1.max(),
            y1.min(),
            z1.max(),
            z1.min(),
        )
    return Cuts(*rows.T)


def rim(vertices: Array, faces: NDArray[np.int64], plane: float) -> tuple[Array, Array]:
    """Pieces of a section's rim: starts and ends (k, 2) as y, z, counter-clockwise seen from ahead.

    `faces` are those with corners on both sides; a corner on the plane counts as behind it.
    """
    corner = vertices[faces]
    ahead = corner[:, :, 0] > plane
    after = np.roll(ahead, -1, axis=1)
    rows = np.arange(len(faces))
    points = []
    for first, last in ((ahead & ~after, True), (~ahead & after, False)):
        edge = np.argmax(first, axis=1)
        p, q = corner[rows, edge], corner[rows, (edge + 1) % 3]
        near, far = (q, p) if last else (p, q)  # always from behind to ahead: neighbours get the same point
        share = (plane - near[:, 0]) / (far[:, 0] - near[:, 0])
        points.append(near[:, 1:] + share[:, None] * (far[:, 1:] - near[:, 1:]))
    return points[0], points[1]


def overlap(
    vertices: Array, faces: NDArray[np.int64], x: Array, lines: int = 9
) -> tuple[float, float, float] | None:
    """A place (x, y, z) that the mesh encloses twice, or inside out; None where none is found.

    Looks along upright lines through the sections at `x`, `lines` to each: from outside, the count of faces
    entered less those left must be 0 and 1 in turn. An overlap small enough to slip between them changes
    little.
    """
    at = vertices[:, 0][faces]
    low, high = at.min(axis=1), at.max(axis=1)
    for plane in x:
        start, end = rim(vertices, faces[(low <= plane) & (high > plane)], float(plane))
        if not len(start):
            continue
        edge, other = float(start[:, 0].min()), float(start[:, 0].max())
        slack = 1e-4 * (float(np.ptp(start[:, 1])) + other - edge)
        for k in range(lines):
            y = edge + (other - edge) * (k + 0.5137) / lines
            crossing = (start[:, 0] > y) != (end[:, 0] > y)
            p, q = start[crossing], end[crossing]
            z = p[:, 1] + (y - p[:, 0]) / (q[:, 0] - p[:, 0]) * (q[:, 1] - p[:, 1])
            order = np.argsort(z, kind="stable")
            count = np.cumsum(np.where(q[:, 0] > p[:, 0], 1, -1)[order])
            wrong = (count[:-1] != 0) & (count[:-1] != 1) & (np.diff(z[order]) > slack)
            if wrong.any():
                return float(plane), y, float(z[order][np.argmax(wrong)])
    return None
