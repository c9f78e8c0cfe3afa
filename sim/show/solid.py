"""A hull with few faces, light enough to be drawn sixty times a second and sent to a friend."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.elements import Hull

Array = NDArray[np.float64]

TONES = 8  # shades from belly to back


class DrawnSolid(NamedTuple):
    """A closed surface to be drawn."""

    vertices: Array  # (n, 3) m, lure axes; each is a vertex of the hull it stands for
    faces: NDArray[np.int64]  # (m, 3), counter-clockwise seen from outside
    tones: NDArray[np.int64]  # (m,) 0 belly to TONES - 1 back


def solid(hull: Hull, along: int, across: int) -> DrawnSolid:
    """`hull` with the vertices that share a cell of a grid drawn together into one of them.

    along, across: cells along the longest side and across. Odd, so that the middle plane lies inside cells.

    Clustering takes any mesh, with holes and handles too (Rossignac and Borrel 1993). The vertex kept is the
    one nearest to the middle of its cell's vertices, or the outermost where a cell holds the hull's end.
    """
    vertices = hull.vertices
    low, high = vertices.min(axis=0), vertices.max(axis=0)
    size = np.where(high > low, high - low, 1.0)
    cells = np.where(size >= size.max(), along, across)
    index = np.minimum((vertices - low) / size * cells, cells - 1).astype(np.int64)
    flat = (index[:, 0] * cells[1] + index[:, 1]) * cells[2] + index[:, 2]
    _, home, count = np.unique(flat, return_inverse=True, return_counts=True)
    kept = _middles(vertices, home, count)
    for ends in (vertices.argmin(axis=0), vertices.argmax(axis=0)):
        kept[home[ends]] = ends
    faces = _joined(home[hull.faces])
    lean = _normals(hull)[kept, 2]
    tones = np.floor(0.5 * (1.0 + lean[faces].mean(axis=1)) * TONES).clip(0, TONES - 1)
    return DrawnSolid(vertices[kept], faces, tones.astype(np.int64))


def _middles(vertices: Array, home: NDArray[np.int64], count: NDArray[np.int64]) -> NDArray[np.int64]:
    """For every cell, the vertex nearest to the mean of those in it."""
    mean = np.zeros((len(count), 3))
    np.add.at(mean, home, vertices)
    mean /= count[:, None]
    away = np.linalg.norm(vertices - mean[home], axis=1)
    order = np.lexsort((away, home))
    return np.asarray(order[np.searchsorted(home[order], np.arange(len(count)))])


def _joined(faces: NDArray[np.int64]) -> NDArray[np.int64]:
    """Faces without those that have shrunk to a line, and without pairs that lie back to back."""
    a, b, c = faces.T
    faces = faces[(a != b) & (b != c) & (c != a)]
    first = faces.argmin(axis=1)
    turned = np.stack([np.take_along_axis(faces, ((first + k) % 3)[:, None], 1)[:, 0] for k in range(3)], 1)
    unique = {tuple(face) for face in turned.tolist()}
    return np.array(
        sorted(face for face in unique if (face[0], face[2], face[1]) not in unique), dtype=np.int64
    ).reshape(-1, 3)


def _normals(hull: Hull) -> Array:
    """Unit normals (n, 3) at the vertices: those of the faces around, weighed by area."""
    a, b, c = (hull.vertices[hull.faces[:, k]] for k in range(3))
    flat = np.cross(b - a, c - a)
    normals = np.zeros_like(hull.vertices)
    for k in range(3):
        np.add.at(normals, hull.faces[:, k], flat)
    return np.asarray(normals / np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-30))
