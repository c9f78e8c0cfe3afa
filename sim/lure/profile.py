"""A body's outside as sections along its own axis.

`s` runs along the axis from the nose to the tail, in the stations' own coordinate (m). A section is the
superellipse |y/b|^n + |z/c|^n = 1 around the centre height z0. An ellipsoid is exact. Between stations the
half sizes follow a monotone cubic (Fritsch & Carlson 1980, SIAM J. Numer. Anal. 17, 238-246, as in scipy's
pchip). Where a half size runs out to zero at an end, its square follows the curve instead, so that an end
comes out round like an ellipse's; stations 0, full, 0 give an exact ellipsoid and stations on a cone an exact
cone. Standing: closed form for ellipsoids, judgement for what lies between a maker's stations.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.message import WordedError
from sim.numerics import gamma

Array = NDArray[np.float64]

BOX = 50.0
"""A section with this exponent or more is taken as a true rectangle with sharp corners."""

GAUSS_X, GAUSS_W = np.polynomial.legendre.leggauss(6)


class BuildError(WordedError):
    """A design that cannot be built; the message names the key, the value and a way out."""


class Sections(NamedTuple):
    """Sections at quadrature points: integral over s of f = sum(weight * f). All arrays (n,)."""

    s: Array  # m
    weight: Array  # m
    b: Array  # half width, m
    c: Array  # half height, m
    z0: Array  # centre height, m
    n: Array  # exponent


class Curve(NamedTuple):
    """A piecewise cubic: values and slopes at both ends of each interval, of the size or of its square."""

    knots: Array  # (n,)
    first: Array  # (n - 1,)
    last: Array
    first_slope: Array
    last_slope: Array
    squared: NDArray[np.bool_]

    def at(self, s: Array) -> tuple[Array, Array, NDArray[np.bool_]]:
        """Value and slope at `s`, and whether they are the square's."""
        value, slope, squared = _cubic(*self, s)
        return value, slope, squared

    def square(self, s: Array) -> tuple[Array, Array]:
        """The size's square at `s`, and half the slope of that."""
        value, slope, squared = _cubic(*self, s)
        return (
            np.where(squared, np.maximum(value, 0.0), value * value),
            np.where(squared, 0.5 * slope, value * slope),
        )


@dataclass(frozen=True)
class Profile:
    """The outside. `knots` are the stations' places; an ellipsoid's are its ends."""

    knots: Array
    width: Curve | float  # half width; an ellipsoid's largest
    height: Curve | float
    centre: Curve | None  # None: on the axis
    exponents: Array
    sideways: float = 1.0  # stretch of width and height alike

    @property
    def start(self) -> float:
        return float(self.knots[0])

    @property
    def end(self) -> float:
        return float(self.knots[-1])

    @property
    def length(self) -> float:
        return self.end - self.start

    def stretched(self, factor: float) -> Profile:
        """The same body, width and height multiplied by `factor`."""
        return replace(self, sideways=self.sideways * factor)

    def squares(self, s: Array) -> tuple[Array, Array, Array, Array]:
        """Squares of half width and half height at `s`, and half their slopes: b^2, c^2, b b', c c'."""
        k2 = self.sideways**2
        if isinstance(self.width, Curve) and isinstance(self.height, Curve):
            qb, hb = self.width.square(s)
            qc, hc = self.height.square(s)
            return k2 * qb, k2 * qc, k2 * hb, k2 * hc
        half = 0.5 * self.length
        u = _between((s - self.start) / half - 1.0, -1.0, 1.0)
        q, slope = (1.0 - u) * (1.0 + u), -u / half
        b2, c2 = float(self.width) ** 2 * k2, float(self.height) ** 2 * k2  # type: ignore[arg-type]
        return b2 * q, c2 * q, b2 * slope, c2 * slope

    def centre_height(self, s: Array) -> Array:
        """Height of the sections' middle above the body's axis."""
        return np.zeros_like(s) if self.centre is None else self.centre.at(s)[0]

    def exponent(self, s: Array) -> Array:
        """Superellipse exponent at `s`, linear between stations."""
        return np.interp(s, self.knots, self.exponents)

    def at(self, s: Array, weight: Array | None = None) -> Sections:
        """Sections at given places."""
        return self.sloped(s, weight)[0]

    def sloped(self, s: Array, weight: Array | None = None) -> tuple[Sections, Array, Array]:
        """Sections at given places, and half the slopes of the squares of their half sizes: b b', c c'."""
        b2, c2, hb, hc = self.squares(s)
        weight = np.zeros_like(s) if weight is None else weight
        cut = Sections(s, weight, np.sqrt(b2), np.sqrt(c2), self.centre_height(s), self.exponent(s))
        return cut, hb, hc

    def nodes(self, edges: Array) -> tuple[Array, Array, NDArray[np.intp]]:
        """Gauss points and weights between `edges` cut further at the stations, and each point's interval.

        The points are spaced in the angle of a circle over the length, in which the square-root shape of a
        round end is smooth.
        """
        cuts = merged(edges, self.knots[1:-1]) if len(self.knots) > 2 else edges
        angle = np.arccos(_between(1.0 - 2.0 * (cuts - self.start) / self.length, -1.0, 1.0))
        half, middle = 0.5 * np.diff(angle), 0.5 * (angle[1:] + angle[:-1])
        theta = (middle[:, None] + half[:, None] * GAUSS_X).ravel()
        s = self.start + 0.5 * self.length * (1.0 - np.cos(theta))
        weight = (half[:, None] * GAUSS_W).ravel() * 0.5 * self.length * np.sin(theta)
        owner = np.minimum(np.maximum(np.searchsorted(edges, s, side="right") - 1, 0), len(edges) - 2)
        return s, weight, owner

    def even(self, pieces: int) -> Array:
        """Places (pieces + 1,) from end to end, spaced in the angle of a circle over the length."""
        return self.start + 0.5 * self.length * circle(pieces)

    @cached_property
    def eighths(self) -> tuple[Array, Array, NDArray[np.intp]]:
        """`nodes` between nine places spaced as in `even`: enough for integrals over the whole body."""
        edges = self.even(8)
        edges[-1] = self.end
        return self.nodes(edges)

    def sections(self) -> Sections:
        """Sections at quadrature points for integrals over the whole body."""
        s, weight, _ = self.eighths
        return self.at(s, weight)

    def inward(self, wall: float, points: int = 200) -> Sections | None:
        """Sections of the hollow inside a wall of even thickness (m), or None if nothing is left.

        The half width and the half height are each moved inward at right angles to their own outline, and
        flat ends by the wall along the axis: exact for spheres, cylinders and blocks.
        """
        turn = np.linspace(0.0, np.pi, points)
        s = self.start + 0.5 * self.length * (1.0 - np.cos(turn))
        b2, c2, hb, hc = self.squares(s)
        grid = self.start + wall + 0.5 * (self.length - 2.0 * wall) * (1.0 - np.cos(turn))
        b = _parallel(s, b2, hb, wall, grid)
        c = _parallel(s, c2, hc, wall, grid)
        open_ = (b > 0.0) & (c > 0.0)
        if self.length <= 2.0 * wall or not open_.any():
            return None
        weight = np.sin(turn)
        weight *= (self.length - 2.0 * wall) / weight.sum()
        b, c = np.where(open_, b, 0.0), np.where(open_, c, 0.0)
        return Sections(grid, weight, b, c, self.centre_height(grid), self.exponent(grid))


@lru_cache(maxsize=32)
def circle(pieces: int) -> Array:
    """Places (pieces + 1,) from 0 to 2, spaced evenly in the angle of the circle over them."""
    places = 1.0 - np.cos(np.linspace(0.0, np.pi, pieces + 1))
    places.flags.writeable = False  # one for all
    return np.asarray(places)


def _between(values: Array, low: float, high: float) -> Array:
    """`np.clip`, for a third of its time on short arrays."""
    return np.asarray(np.minimum(np.maximum(values, low), high))


def _parallel(s: Array, square: Array, slope: Array, wall: float, grid: Array) -> Array:
    """The curve r(s), given as r^2 and r r', moved inward by `wall` at right angles to itself."""
    steep = np.sqrt(square + slope**2)
    safe = np.where(steep > 0.0, steep, 1.0)
    place = s + wall * slope / safe
    half = np.sqrt(square) * (1.0 - np.where(steep > 0.0, wall / safe, 0.0))
    order = np.argsort(place, kind="stable")
    return np.asarray(np.maximum(np.interp(grid, place[order], half[order]), 0.0))


def merged(*values: ArrayLike) -> Array:
    """All values in order, each once. `np.unique` would load what numpy has for masked arrays."""
    out = np.concatenate(values)
    out.sort()
    new = np.empty(len(out), dtype=bool)
    new[:1] = True
    np.greater(out[1:], out[:-1], out=new[1:])
    return out[new]


def _cubic(
    knots: Array,
    first: Array,
    last: Array,
    first_slope: Array,
    last_slope: Array,
    squared: NDArray[np.bool_],
    s: Array,
) -> tuple[Array, Array, NDArray[np.bool_]]:
    """Value, slope and `squared` of the piecewise cubic of a `Curve` at `s` (n,)."""
    i = np.minimum(np.maximum(np.searchsorted(knots, s, side="right") - 1, 0), len(knots) - 2)
    h = knots[i + 1] - knots[i]
    t = (s - knots[i]) / h
    y0, d0, d1 = first[i], first_slope[i] * h, last_slope[i] * h
    rise = last[i] - y0
    bend2, bend3 = 3.0 * rise - 2.0 * d0 - d1, d0 + d1 - 2.0 * rise
    value = y0 + t * (d0 + t * (bend2 + t * bend3))
    slope = (d0 + t * (2.0 * bend2 + 3.0 * t * bend3)) / h
    return value, slope, squared[i]


def monotone(knots: Array, values: Array) -> Curve:
    """The monotone cubic through `values`, two or more."""
    slopes = _slopes(knots, values)
    squared = np.zeros(len(knots) - 1, dtype=bool)
    return Curve(knots, values[:-1].copy(), values[1:].copy(), slopes[:-1].copy(), slopes[1:].copy(), squared)


def _slopes(knots: Array, values: Array) -> Array:
    """Slopes at the knots of the monotone cubic through points (Fritsch & Butland 1984, SIAM J. Sci. Stat.
    Comput. 5, 300-304; at the ends the three-point rule of Moler 2004, Numerical Computing with MATLAB, 3.6)."""
    x, y, n = knots.tolist(), values.tolist(), len(knots)
    steps = [right - left for left, right in pairwise(x)]
    rise = [(high - low) / step for (low, high), step in zip(pairwise(y), steps, strict=True)]
    if n == 2:
        return np.array([rise[0], rise[0]])
    slopes = [0.0] * n
    for k in range(1, n - 1):
        before, after = rise[k - 1], rise[k]
        if (before > 0.0 and after > 0.0) or (before < 0.0 and after < 0.0):
            h0, h1 = steps[k - 1], steps[k]
            w0, w1 = 2.0 * h1 + h0, h1 + 2.0 * h0
            slopes[k] = 1.0 / ((w0 / before + w1 / after) / (w0 + w1))
    slopes[0] = _end_slope(x[1] - x[0], x[2] - x[1], rise[0], rise[1])
    h, before = x[n - 1] - x[n - 2], slopes[n - 2]
    last = _end_slope(h, x[n - 2] - x[n - 3], rise[n - 2], rise[n - 3])
    # read off the end of its cubic, as scipy's `pchip` has it: a last digit here moves a tumbling cast by more
    bend = (before + last - 2.0 * rise[n - 2]) / h
    slopes[n - 1] = before + 2.0 * ((rise[n - 2] - before) / h - bend) * h + 3.0 * (bend / h) * (h * h)
    return np.array(slopes)


def _end_slope(h0: float, h1: float, m0: float, m1: float) -> float:
    d = ((2.0 * h0 + h1) * m0 - h0 * m1) / (h0 + h1)
    if _sign(d) != _sign(m0):
        return 0.0
    if _sign(m0) != _sign(m1) and abs(d) > 3.0 * abs(m0):
        return 3.0 * m0
    return d


def _sign(value: float) -> int:
    return (value > 0.0) - (value < 0.0)


def rounded(knots: Array, half: Array) -> Curve:
    """The curve of a half size; where it runs out to zero at an end, of its square there."""
    curve = monotone(knots, half)
    if half[0] == 0.0 and half[1] > 0.0:
        _square(curve, 0, curve.last, curve.last_slope, curve.first, curve.first_slope)
    if half[-1] == 0.0 and half[-2] > 0.0:
        _square(curve, -1, curve.first, curve.first_slope, curve.last, curve.last_slope)
    return curve


def _square(curve: Curve, at: int, full: Array, full_slope: Array, end: Array, end_slope: Array) -> None:
    """Turn an end interval into the parabola of the square that meets the next station with its slope; never
    past level at the end."""
    run = full[at] ** 2 / (curve.knots[1] - curve.knots[0] if at == 0 else curve.knots[-2] - curve.knots[-1])
    tangent = 2.0 * full[at] * full_slope[at]
    begin = 2.0 * run - tangent
    full[at], full_slope[at] = full[at] ** 2, tangent
    end[at], end_slope[at] = 0.0, begin if begin * run > 0.0 else 0.0
    curve.squared[at] = True


class SectionShape(NamedTuple):
    """Integrals over a superellipse of half sizes 1: times b c, b^3 c and b c^3 they serve any section."""

    area: Array
    second: Array


def section_shape(n: Array) -> SectionShape:
    """Area 4 G(1+1/n)^2 / G(1+2/n) and second moment 4 G(1/n) G(3/n) / (n^2 G(1+4/n)) (closed form)."""
    if n.size and n.min() == n.max():  # most bodies have one exponent from nose to tail
        area, second = _shape_of(float(n.flat[0]))
        return SectionShape(np.full(n.shape, area), np.full(n.shape, second))
    return _shape(n)


@lru_cache(maxsize=256)
def _shape_of(n: float) -> tuple[float, float]:
    one = _shape(np.array([n]))
    return float(one.area[0]), float(one.second[0])


def _shape(n: Array) -> SectionShape:
    e = np.minimum(n, BOX)
    area = 4.0 * gamma(1.0 + 1.0 / e) ** 2 / gamma(1.0 + 2.0 / e)
    second = 4.0 * gamma(1.0 / e) * gamma(3.0 / e) / (e**2 * gamma(1.0 + 4.0 / e))
    box = n >= BOX
    return SectionShape(np.where(box, 4.0, area), np.where(box, 4.0 / 3.0, second))


def perimeter(b: Array, c: Array, n: Array) -> Array:
    """Girth of a section: Ramanujan's ellipse (1914), run linearly in 1/n into a rectangle or a diamond.

    Standing: within 1e-5 for ovals up to 1:3, exact for rectangles and diamonds, judgement in between (2 %).
    """
    s = b + c
    h = np.where(s > 0.0, ((b - c) / np.where(s > 0.0, s, 1.0)) ** 2, 0.0)
    oval = np.pi * s * (1.0 + 3.0 * h / (10.0 + np.sqrt(4.0 - 3.0 * h)))
    box, diamond = 4.0 * s, 4.0 * np.hypot(b, c)
    inverse = np.where(n >= BOX, 0.0, 2.0 / n)
    return np.where(inverse <= 1.0, box + (oval - box) * inverse, oval + (diamond - oval) * (inverse - 1.0))
