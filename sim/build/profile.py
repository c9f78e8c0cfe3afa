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
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator
from scipy.special import gamma

Array = NDArray[np.float64]

BOX = 50.0
"""A section with this exponent or more is taken as a true rectangle with sharp corners."""

GAUSS_X, GAUSS_W = np.polynomial.legendre.leggauss(6)


class BuildError(ValueError):
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
        i = np.clip(np.searchsorted(self.knots, s, side="right") - 1, 0, len(self.knots) - 2)
        h = (self.knots[1:] - self.knots[:-1])[i]
        t = (s - self.knots[i]) / h
        y0, y1, d0, d1 = self.first[i], self.last[i], self.first_slope[i] * h, self.last_slope[i] * h
        rise = y1 - y0
        bend2, bend3 = 3.0 * rise - 2.0 * d0 - d1, d0 + d1 - 2.0 * rise
        value = y0 + t * (d0 + t * (bend2 + t * bend3))
        return value, (d0 + t * (2.0 * bend2 + 3.0 * t * bend3)) / h, self.squared[i]

    def square(self, s: Array) -> tuple[Array, Array]:
        """The size's square at `s`, and half the slope of that."""
        value, slope, squared = self.at(s)
        return (
            np.where(squared, np.maximum(value, 0.0), value**2),
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
        u = np.clip((s - self.start) / half - 1.0, -1.0, 1.0)
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
        b2, c2, _, _ = self.squares(s)
        return Sections(
            s,
            np.zeros_like(s) if weight is None else weight,
            np.sqrt(b2),
            np.sqrt(c2),
            self.centre_height(s),
            self.exponent(s),
        )

    def nodes(self, edges: Array) -> tuple[Array, Array, NDArray[np.intp]]:
        """Gauss points and weights between `edges` cut further at the stations, and each point's interval.

        The points are spaced in the angle of a circle over the length, in which the square-root shape of a
        round end is smooth.
        """
        cuts = np.union1d(edges, self.knots[1:-1])
        angle = np.arccos(np.clip(1.0 - 2.0 * (cuts - self.start) / self.length, -1.0, 1.0))
        half, middle = 0.5 * np.diff(angle), 0.5 * (angle[1:] + angle[:-1])
        theta = (middle[:, None] + half[:, None] * GAUSS_X).ravel()
        s = self.start + 0.5 * self.length * (1.0 - np.cos(theta))
        weight = (half[:, None] * GAUSS_W).ravel() * 0.5 * self.length * np.sin(theta)
        owner = np.clip(np.searchsorted(edges, s, side="right") - 1, 0, len(edges) - 2)
        return s, weight, owner

    def sections(self, pieces: int = 8) -> Sections:
        """Sections at quadrature points for integrals over the whole body."""
        turn = np.linspace(0.0, np.pi, pieces + 1)
        edges = self.start + 0.5 * self.length * (1.0 - np.cos(turn))
        edges[-1] = self.end
        s, weight, _ = self.nodes(edges)
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


def _parallel(s: Array, square: Array, slope: Array, wall: float, grid: Array) -> Array:
    """The curve r(s), given as r^2 and r r', moved inward by `wall` at right angles to itself."""
    steep = np.sqrt(square + slope**2)
    safe = np.where(steep > 0.0, steep, 1.0)
    place = s + wall * slope / safe
    half = np.sqrt(square) * (1.0 - np.where(steep > 0.0, wall / safe, 0.0))
    order = np.argsort(place, kind="stable")
    return np.asarray(np.maximum(np.interp(grid, place[order], half[order]), 0.0))


def monotone(knots: Array, values: Array) -> Curve:
    """The monotone cubic through `values`."""
    if len(knots) == 2:
        slopes = np.full(2, (values[1] - values[0]) / (knots[1] - knots[0]))
    else:
        with np.errstate(
            over="ignore"
        ):  # values alike to the last bits: their harmonic mean is zero, rightly
            slopes = np.asarray(PchipInterpolator(knots, values).derivative()(knots))
    squared = np.zeros(len(knots) - 1, dtype=bool)
    return Curve(knots, values[:-1].copy(), values[1:].copy(), slopes[:-1].copy(), slopes[1:].copy(), squared)


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
