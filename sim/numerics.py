"""A few functions of mathematics, without the quarter of a second that importing them elsewhere takes."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def carlson_rd(x: float, y: float, z: float) -> float:
    """Carlson's R_D(x, y, z), x and y not both nought, z > 0: the symmetric elliptic integral of the second kind.

    By duplication to full precision. Source: Carlson 1995, Numer. Algorithms 10, 13-26.

    >>> round(carlson_rd(0.0, 2.0, 1.0), 13)
    1.7972103521034
    """
    start = mean = 0.2 * (x + y + 3.0 * z)
    first, second = start - x, start - y
    far = 400.0 * max(abs(first), abs(second), abs(start - z))
    total, part = 0.0, 1.0
    while part * far >= abs(mean):
        rx, ry, rz = math.sqrt(x), math.sqrt(y), math.sqrt(z)
        step = rx * ry + rx * rz + ry * rz
        total += part / (rz * (z + step))
        part *= 0.25
        x, y, z, mean = 0.25 * (x + step), 0.25 * (y + step), 0.25 * (z + step), 0.25 * (mean + step)
    u, v = first * part / mean, second * part / mean
    w = -(u + v) / 3.0
    e2, e3 = u * v - 6.0 * w * w, (3.0 * u * v - 8.0 * w * w) * w
    e4, e5 = 3.0 * (u * v - w * w) * w * w, u * v * w**3
    series = (
        1.0 - 3.0 * e2 / 14.0 + e3 / 6.0 + 9.0 * e2 * e2 / 88.0 - 3.0 * e4 / 22.0
        - 9.0 * e2 * e3 / 52.0 + 3.0 * e5 / 26.0
    )  # fmt: skip
    return part * series / (mean * math.sqrt(mean)) + 3.0 * total


def gamma(x: Array) -> Array:
    """The gamma function of each of x (any shape)."""
    return np.array([math.gamma(value) for value in np.ravel(x)]).reshape(np.shape(x))


def root(function: Callable[[float], float], a: float, b: float, accuracy: float) -> float:
    """Where `function`, of unlike signs at a and b, is zero: within `accuracy` of it (Ridders' method).

    Source: Ridders 1979, IEEE Trans. Circuits Syst. 26, 979-980.

    Raises:
        ValueError: the signs are alike.
    """
    fa, fb = function(a), function(b)
    if fa == 0.0 or fb == 0.0:
        return a if fa == 0.0 else b
    if fa * fb > 0.0:
        raise ValueError(f"no change of sign between {a} and {b}")
    best = a
    for _ in range(100):
        middle = 0.5 * (a + b)
        fm = function(middle)
        slope = math.sqrt(fm * fm - fa * fb)
        if fm == 0.0 or slope == 0.0:
            return middle
        new = middle + (middle - a) * math.copysign(1.0, fa - fb) * fm / slope
        fn = function(new)
        if fn == 0.0 or abs(new - best) <= 0.5 * accuracy:
            return new
        best = new
        if fm * fn < 0.0:
            a, fa, b, fb = middle, fm, new, fn
        elif fa * fn < 0.0:
            b, fb = new, fn
        else:
            a, fa = new, fn
        if abs(b - a) <= accuracy:
            return 0.5 * (a + b)
    return best
