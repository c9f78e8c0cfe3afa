"""Moments of solids: volume, first and second moments about the lure's origin, as arrays of ten numbers.

Order: 1, x, y, z, xx, yy, zz, xy, xz, yz, each integrated over the volume (or the mass). Moments of separate
things add, holes subtract, density multiplies. Sums are exactly rounded, so that twins cancel to a true zero.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.lure.profile import Sections, section_shape

Array = NDArray[np.float64]

MIRROR = np.array([1.0, 1.0, -1.0, 1.0, 1.0, 1.0, 1.0, -1.0, 1.0, -1.0])
"""Factors that turn the moments of a thing into those of its mirror image (left for right)."""

MIRROR_VECTOR = np.array([1.0, -1.0, 1.0])
MIRROR_MATRIX = np.outer(MIRROR_VECTOR, MIRROR_VECTOR)

NOTHING = np.zeros((3, 3))


class Frame(NamedTuple):
    """A body's own axes in the lure's: `nose` is its station zero; along points to its nose."""

    nose: Array  # (3,)
    along: Array  # (3,)
    left: Array  # (3,)
    up: Array  # (3,)


def total(parts: Iterable[Array]) -> Array:
    """Sum of moments, each component exactly rounded."""
    rows = list(parts)
    if not rows:
        return np.zeros(10)
    return np.array([math.fsum(column) for column in np.array(rows).T.tolist()])


def from_local(volume: float, first: Array, second: Array, frame: Frame) -> Array:
    """Moments from those in a frame: `first` (3,), `second` (3, 3) about the frame's origin."""
    axes = np.stack([frame.along, frame.left, frame.up])
    m1, m2 = first @ axes, axes.T @ second @ axes
    o = frame.nose
    second_out = m2 + np.outer(o, m1) + np.outer(m1, o) + volume * np.outer(o, o)
    return pack(volume, m1 + volume * o, second_out)


def pack(volume: float, first: Array, second: Array) -> Array:
    """The ten numbers from volume, first moments (3,) and symmetric second moments (3, 3)."""
    return np.array(
        [
            volume,
            *first,
            second[0, 0],
            second[1, 1],
            second[2, 2],
            second[0, 1],
            second[0, 2],
            second[1, 2],
        ]
    )


def second_matrix(m: Array) -> Array:
    """Second moments about the origin (3, 3)."""
    return np.array([[m[4], m[7], m[8]], [m[7], m[5], m[9]], [m[8], m[9], m[6]]])


def centre(m: Array) -> Array:
    """First moment over the volume (3,); the origin if there is nothing."""
    return m[1:4] / m[0] if m[0] != 0.0 else np.zeros(3)


def spread(m: Array) -> Array:
    """Second moments about the thing's own centre (3, 3)."""
    return second_matrix(m) - np.outer(m[1:4], centre(m))


def inertia(m: Array) -> Array:
    """Moments and products of inertia about the thing's own centre (3, 3), from mass moments."""
    whole, x, y, z, xx, yy, zz, xy, xz, yz = m.tolist()  # plain numbers: numpy is slow at one at a time
    at, bt, ct = (x / whole, y / whole, z / whole) if whole != 0.0 else (0.0, 0.0, 0.0)
    about = (
        (xx - x * at, xy - x * bt, xz - x * ct),
        (xy - y * at, yy - y * bt, yz - y * ct),
        (xz - z * at, yz - z * bt, zz - z * ct),
    )
    trace = about[0][0] + about[1][1] + about[2][2]
    return np.array([[trace * (1.0 if i == j else 0.0) - about[i][j] for j in range(3)] for i in range(3)])


def of_sections(cut: Sections, frame: Frame) -> Array:
    """Moments of the solid a run of sections encloses."""
    return from_local(*_local(cut), frame)


def _local(cut: Sections) -> tuple[float, Array, Array]:
    shape = section_shape(cut.n)
    dv = cut.weight * shape.area * cut.b * cut.c
    x, z = -cut.s, cut.z0
    yy = float(np.dot(cut.weight, shape.second * cut.b**3 * cut.c))
    zz = float(np.dot(cut.weight, shape.second * cut.b * cut.c**3) + np.dot(dv, z * z))
    xz, xx = float(np.dot(dv, x * z)), float(np.dot(dv, x * x))
    first = np.array([np.dot(dv, x), 0.0, np.dot(dv, z)])
    return float(dv.sum()), first, np.array([[xx, 0.0, xz], [0.0, yy, 0.0], [xz, 0.0, zz]])


def of_skin(cut: Sections, area: Array, frame: Frame) -> Array:
    """Moments of an even skin; `area` (n,) is each section's share. Rings count as ellipses."""
    x, z = -cut.s, cut.z0
    second = np.zeros((3, 3))
    second[0, 0] = np.dot(area, x * x)
    second[1, 1] = np.dot(area, 0.5 * cut.b**2)
    second[2, 2] = np.dot(area, 0.5 * cut.c**2 + z * z)
    second[0, 2] = second[2, 0] = np.dot(area, x * z)
    return from_local(float(area.sum()), np.array([np.dot(area, x), 0.0, np.dot(area, z)]), second, frame)


def cross(a: Array, b: Array) -> Array:
    """Vector product of two vectors (3,); numpy's own spends most of its time on other shapes."""
    ax, ay, az = a.tolist()
    bx, by, bz = b.tolist()
    return np.array([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx])


def of_sphere(at: Array, volume: float) -> Array:
    """Moments of a ball: second moment V R^2 / 5 along each axis."""
    radius = (0.75 * volume / math.pi) ** (1.0 / 3.0)
    return about_point(at, volume, np.eye(3) * volume * radius**2 / 5.0)


def about_point(at: Array, volume: float, second: Array) -> Array:
    """Moments of a thing with its centre at `at` and second moments `second` about it."""
    x, y, z = at.tolist()
    (xx, xy, xz), (_, yy, yz), (_, _, zz) = second.tolist()
    volume = float(volume)
    return np.array(
        [
            volume, volume * x, volume * y, volume * z,
            xx + volume * (x * x), yy + volume * (y * y), zz + volume * (z * z),
            xy + volume * (x * y), xz + volume * (x * z), yz + volume * (y * z),
        ]
    )  # fmt: skip


def of_point(at: Array, mass: float) -> Array:
    """Moments of a point."""
    return about_point(at, mass, NOTHING)


def of_rod(start: Array, end: Array, mass: float, diameter: float) -> Array:
    """Moments of a straight round rod."""
    run = end - start
    length = math.sqrt(float(run @ run))
    t = run / length
    second = mass * (np.outer(t, t) * length**2 / 12.0 + (np.eye(3) - np.outer(t, t)) * diameter**2 / 16.0)
    return about_point(0.5 * (start + end), mass, second)


def scaled_about_centre(m: Array, factor: float) -> Array:
    """The same solid grown evenly about its centre until its volume is `factor` times as large."""
    return about_point(centre(m), m[0] * factor, spread(m) * factor ** (5.0 / 3.0))


def mirrored(m: Array) -> Array:
    """Moments of the mirror image."""
    return m * MIRROR
