"""Added mass in closed form: ellipsoids, flat rectangular plates, thin rods. Everything per unit density.

Ellipsoids: Lamb 1932, Hydrodynamics, 6th ed., Art. 114-115; the integrals through Carlson's R_D.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from sim.numerics import carlson_rd

Array = NDArray[np.float64]


def ellipsoid(a: float, b: float, c: float) -> tuple[Array, Array]:
    """Translation factors (3,) on the displaced volume and rotation factors (3,) on its inertia.

    Semi-axes a, b, c in any order; factors in the same order. Volume is 4/3 pi a b c, inertia about a is
    V (b^2 + c^2) / 5. Standing: closed form.

    >>> k, turning = ellipsoid(3.0, 1.0, 0.5)
    >>> [round(float(x), 5) for x in k], [round(float(x), 5) for x in turning]
    ([0.07221, 0.43574, 1.69655], [0.42735, 1.30866, 0.26803])
    """
    axes = np.array([a, b, c], dtype=float)
    axes = axes / axes.max()
    q = axes**2
    shape = 2.0 / 3.0 * axes.prod()
    alpha = shape * np.array(
        [carlson_rd(q[1], q[2], q[0]), carlson_rd(q[2], q[0], q[1]), carlson_rd(q[0], q[1], q[2])]
    )
    k = alpha / (2.0 - alpha)
    turning = np.zeros(3)
    for i in range(3):
        j, m = (i + 1) % 3, (i + 2) % 3
        gap = q[j] - q[m]
        if abs(gap) < 1e-10:  # the result is of the order of gap^2
            continue
        # numerator and denominator of Lamb's expression are both of the order of `gap`: divide it out
        ratio = (alpha[m] - alpha[j]) / gap
        turning[i] = gap**2 * ratio / ((q[j] + q[m]) * (2.0 - (q[j] + q[m]) * ratio))
    return k, turning


def plate_factor(short: float, long: float) -> float:
    """Added mass of a thin rectangle across its plane, over pi/4 short^2 long.

    1 / (1 + 0.727 x^1.13), x = short / long: within 1 % of DNV-RP-H103 (2011) table A-2 for every long/short
    from 1 to 10, itself confirmed to 1 % by a boundary-element solution at 1, 2 and 4.

    >>> round(plate_factor(1.0, 1.0), 3), round(plate_factor(1.0, 4.0), 3)
    (0.579, 0.868)
    """
    return 1.0 / (1.0 + 0.727 * (short / long) ** 1.13)


def plate(length: float, width: float, area: float) -> tuple[float, float, float]:
    """Added mass across a plate (m3) and squares of its radii of gyration along length and width (m2).

    About the long side a long plate has pi/8 half^4 per length (Newman 1977, table 4.3), about the short side a
    uniform strip's (half)^2 / 3; the falls with short/long are fitted to a boundary-element solution (capytaine
    3.0.0, sides 1 to 4, within 1 and 3 %). A rounded outline counts by its area. Standing: table for the mass,
    exact limits and a library fit for the radii.
    """
    short, long = min(length, width), max(length, width)
    x = short / long
    mass = plate_factor(short, long) * 0.25 * math.pi * short**2 * long * area / (length * width)
    r_short = (0.5 * short) ** 2 / 8.0 / (1.0 + 0.193 * x**1.5) / plate_factor(short, long)
    r_long = (0.5 * long) ** 2 * (1.0 / 3.0 - 0.152 * math.sqrt(x))
    return (mass, r_long, r_short) if length >= width else (mass, r_short, r_long)


def oval_plate(length: float, width: float) -> tuple[float, float, float]:
    """The same for a thin oval, a disc among them: the limit of an ellipsoid without thickness. Closed form.

    >>> mass, r2, _ = oval_plate(2.0, 2.0)
    >>> round(mass, 3), round(mass * r2, 3)  # 8/3 and 16/45 of the radius
    (2.667, 0.356)
    """
    a, b = 0.5 * length, 0.5 * width
    c = 1e-5 * min(a, b)
    k, turning = ellipsoid(a, b, c)
    volume = 4.0 / 3.0 * math.pi * a * b * c
    mass = float(k[2]) * volume
    about_width, about_length = float(turning[1]) * a * a / 5.0, float(turning[0]) * b * b / 5.0
    return mass, volume * about_width / mass, volume * about_length / mass


def along(direction: Array, at: Array) -> Array:
    """The 6-vector (d, r x d): momentum of unit mass moving along d at r, or its image on (v, w).
    Broadcasts."""
    return np.concatenate([direction, np.cross(at, direction)], axis=-1)


def moved(mass: Array, direction: Array, at: Array) -> Array:
    """Packed 6x6 matrices (n, 21) of masses (n,) that resist motion along d (3,) at places r (n, 3)."""
    g = along(np.broadcast_to(direction, at.shape), at)
    return packed(mass[:, None, None] * g[:, :, None] * g[:, None, :])


def turned(inertia: Array, axis: Array) -> Array:
    """Packed 6x6 matrices (n, 21) of pure rotational inertias (n,) about a direction (3,)."""
    g = np.concatenate([np.zeros(3), axis])
    return packed(inertia[:, None, None] * np.outer(g, g))


_UPPER = np.triu_indices(6)

MIRROR = np.outer([1.0, -1.0, 1.0, -1.0, 1.0, -1.0], [1.0, -1.0, 1.0, -1.0, 1.0, -1.0])[_UPPER]
"""Factors (21,) that turn a packed matrix into that of the mirror image."""


def packed(matrix: Array) -> Array:
    """Upper triangle, row by row, of (..., 6, 6): (..., 21)."""
    return matrix[..., _UPPER[0], _UPPER[1]]


def unpacked(row: Array) -> Array:
    """The full symmetric (..., 6, 6) of packed (..., 21)."""
    out = np.zeros((*row.shape[:-1], 6, 6))
    out[..., _UPPER[0], _UPPER[1]] = row
    out[..., _UPPER[1], _UPPER[0]] = row
    return out
