"""Is a mesh the closed outside of a solid? If not: what is wrong, where, and the way out."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from sim.lure.profile import Array, BuildError
from sim.remark import Amount

WELD = 1e-6  # corners nearer than this share of the body's size are one
MOST_HOLES = 1000  # looked at one by one
Faces = NDArray[np.int64]
Where = Callable[[Array], str]  # a point of the mesh in words


def welded(corners: Array) -> tuple[Array, Faces]:
    """Vertices (n, 3) and faces (m, 3) of a heap of triangles (k, 3, 3); faces without area are left out."""
    points = corners.reshape(-1, 3)
    size = float(np.ptp(points, axis=0).max()) or 1.0
    grid = np.round((points - points.min(axis=0)) / (WELD * size)).astype(np.int64)
    step = np.int64(2 / WELD)
    _, first, home = np.unique(
        (grid[:, 0] * step + grid[:, 1]) * step + grid[:, 2], return_index=True, return_inverse=True
    )
    faces = home.reshape(-1, 3)
    a, b, c = faces.T
    return points[first], faces[(a != b) & (b != c) & (c != a)].astype(np.int64)


def check_closed(key: str, vertices: Array, faces: Faces, where: Where) -> None:
    """See that every edge is met by as many faces one way round as the other.

    That is what it takes for a mesh to have an inside; edges at which four faces meet are no harm.

    Raises:
        BuildError: holes, faces turned over, or edges where an odd number of faces meet.
    """
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    count = np.int64(len(vertices))
    low, high = edges.min(axis=1), edges.max(axis=1)
    _, home, met = np.unique(low * count + high, return_inverse=True, return_counts=True)
    way = np.where(edges[:, 0] == low, 1, -1)
    balance = np.bincount(home, weights=way, minlength=len(met)).astype(np.int64)
    odd = balance[home] != 0
    if not odd.any():
        return
    lone = odd & (met[home] == 1)
    if lone.any():
        holes, at, across = _holes(vertices, edges[lone])
        many = "a hole" if holes == 1 else f"{holes} holes, the largest"
        raise BuildError(
            "{key}: the mesh is not closed: it has {holes} about {across:2g} across, {where}; close it in your mesh "
            "program (it may be called fill holes, make solid or repair) and export it again",
            key=key,
            holes=many,
            across=Amount(across, "length"),
            where=where(at),
        )
    flipped = odd & (met[home] == 2)
    at = vertices[edges[flipped if flipped.any() else odd][0]].mean(axis=0)
    if flipped.any():
        raise BuildError(
            "{key}: some faces of the mesh are turned over, inside out against their neighbours, as {where}; let your "
            "mesh program turn all normals outward (it may be called recalculate or unify normals) and export it again",
            key=key,
            where=where(at),
        )
    raise BuildError(
        "{key}: three or more faces of the mesh meet at one edge and leave no clear inside, as {where}; join the "
        "bodies into one solid (union) or remove doubled faces, and export it again",
        key=key,
        where=where(at),
    )


def _holes(vertices: Array, edges: Faces) -> tuple[int, Array, float]:
    """How many holes the open edges make, the middle of the largest, and how wide that is (m)."""
    ends, local = np.unique(edges, return_inverse=True)
    pairs = local.reshape(-1, 2)
    size = len(ends)
    count, group = _groups(pairs, size)
    at, across = vertices[ends[0]], 0.0
    for k in range(min(count, MOST_HOLES)):
        points = vertices[ends[group == k]]
        wide = float(np.linalg.norm(np.ptp(points, axis=0)))
        if wide > across:
            at, across = points.mean(axis=0), wide
    return count, at, across


def shells(vertices: Array, faces: Faces) -> NDArray[np.intp]:
    """The number of the connected piece that each face (m,) belongs to."""
    size = len(vertices)
    pairs = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]]])
    return _groups(pairs, size)[1][faces[:, 0]]


def _groups(pairs: Faces, size: int) -> tuple[int, NDArray[np.intp]]:
    """How many groups `pairs` (k, 2) join the numbers up to `size` into, and the group of each (size,)."""
    from scipy.sparse import coo_array  # only a mesh needs it
    from scipy.sparse.csgraph import connected_components

    graph = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(size, size))
    count, group = connected_components(graph, directed=False)
    return int(count), np.asarray(group)
