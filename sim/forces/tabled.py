"""The drag of an endless cylinder read from tables: the points of a line ask for it by the dozen in every call, and
the law itself takes a power, two exponentials and a root or two.

A table is entered by the bits of a floating-point number: equal steps between one power of two and the next.
Between its knots run cubics with the law's own value and slope at both ends.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.compiled import Compiled, compiled
from sim.forces import laws

Array = NDArray[np.float64]

LEAST, MOST = 1e-3, 2.5e5  # Reynolds number; beyond, C_d Re stays what it is there
FINE, COARSE = (
    50,
    51,
)  # bits of a number within one piece: four and two pieces from one power of two to the next


class Law(NamedTuple):
    """C_d Re, its logarithmic slope over Re, and C_d Re^2, at some Reynolds numbers."""

    drag: Array
    steepness: Array
    load: Array


def _law(re: Array) -> Law:
    cylinder: Compiled = laws.cylinder_cd  # type: ignore[assignment]
    low, high = re * (1.0 - 1e-4), re * (1.0 + 1e-4)
    drag, less, more = (r * np.array([cylinder.function(value) for value in r]) for r in (re, low, high))
    return Law(drag, np.log(more / less) / np.log(high / low), drag * re)


def _knots(least: float, most: float, bits: int) -> Array:
    """Numbers from `least` to `most` whose last `bits` bits are nought."""
    first, last = (int(np.float64(end).view(np.int64)) >> bits for end in (least, most))
    return (np.arange(first, last + 2, dtype=np.int64) << bits).view(np.float64)


def _cubics(x: Array, value: Array, slope: Array) -> Array:
    """Coefficients (pieces, 4) of the cubics between knots, in powers of the share of the piece."""
    low, high = value[:-1], value[1:]
    start, end = np.diff(x) * slope[:-1], np.diff(x) * slope[1:]
    return np.stack([low, start, 3.0 * (high - low) - 2.0 * start - end, 2.0 * (low - high) + start + end], 1)


def _at_speed() -> tuple[int, Array]:
    """First knot, and C_d Re over Re^2."""
    x = _knots(LEAST**2, MOST**2, FINE)
    law = _law(np.sqrt(x))
    return int(x.view(np.int64)[0]), _cubics(x, law.drag, 0.5 * law.drag * law.steepness / x)


def _under_load() -> tuple[int, Array]:
    """First knot, and C_d Re over (C_d Re^2)^2."""
    some = np.geomspace(0.5 * LEAST, 2.0 * MOST, 400)
    loads = _law(some).load
    x = _knots(float(loads[0]) ** 2 * 4.0, float(loads[-1]) ** 2 / 8.0, COARSE)
    wanted = 0.5 * np.log(x)
    re = np.exp(np.interp(wanted, np.log(loads), np.log(some)))
    law = _law(re)
    for _ in range(2):  # Newton
        re *= np.exp((wanted - np.log(law.load)) / (1.0 + law.steepness))
        law = _law(re)
    slope = 0.5 * law.drag * law.steepness / (1.0 + law.steepness) / x
    return int(x.view(np.int64)[0]), _cubics(x, law.drag, slope)


FIRST_SPEED, AT_SPEED = _at_speed()
FIRST_LOAD, UNDER_LOAD = _under_load()


@compiled
def drag_at(re2):
    """C_d Re of a cylinder at the square of its Reynolds number.

    Within 2e-5 of the law; 6e-3 at Re = 1, where the law's own range begins with a corner, which is rounded.
    """
    at = (np.float64(re2).view(np.int64) - FIRST_SPEED) * 2.0**-FINE
    at = min(max(at, 0.0), AT_SPEED.shape[0] - 1e-9)
    k = int(at)
    f = at - k
    return AT_SPEED[k, 0] + f * (AT_SPEED[k, 1] + f * (AT_SPEED[k, 2] + f * AT_SPEED[k, 3]))


@compiled
def drag_under(load2):
    """C_d Re of a cylinder at the square of its C_d Re^2, the load on it. Within 1e-3 of the law, 3e-3 at Re = 1."""
    at = (np.float64(load2).view(np.int64) - FIRST_LOAD) * 2.0**-COARSE
    at = min(max(at, 0.0), UNDER_LOAD.shape[0] - 1e-9)
    k = int(at)
    f = at - k
    return UNDER_LOAD[k, 0] + f * (UNDER_LOAD[k, 1] + f * (UNDER_LOAD[k, 2] + f * UNDER_LOAD[k, 3]))
