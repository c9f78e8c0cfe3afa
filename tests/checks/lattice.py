"""Lift of a flat rectangular plate by a lattice of horseshoe vortices: linear theory, solved here live.

Standing: textbook method (vortex at a quarter of each panel, no flow through it at three quarters). Plain
numpy, nothing of the simulator in it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache

import numpy as np

COARSE, FINE = (8, 16), (16, 32)  # panels along the chord and across the span


@cache
def plate(aspect: float, depth: float = math.inf) -> tuple[float, float]:
    """Slope of the normal force (1/rad) and its centre behind the leading edge, as a share of the chord.

    `depth` is that of the plate below the surface over its chord, at speeds where gravity does not matter:
    the surface then is one of constant pressure, and the plate's image above it lifts the same way.
    """
    coarse, fine = (np.array(_solve(aspect, depth, *mesh)) for mesh in (COARSE, FINE))
    slope, centre = 2.0 * fine - coarse
    return float(slope), float(centre)


@cache
def turning(aspect: float) -> tuple[float, float]:
    """Force across and moment about the middle (leading edge up) of a plate that pitches about its middle, over
    dynamic pressure, area and chord, per unit of (rate x chord / speed)."""
    return _extrapolated(aspect, lambda x, y: x - 0.5)[:2]


@cache
def rolling(aspect: float) -> float:
    """Moment that a rolling plate meets, over dynamic pressure, area and chord, per unit of (rate x chord / speed)."""
    return -_extrapolated(aspect, lambda x, y: y)[2]


def _extrapolated(
    aspect: float, meets: Callable[[np.ndarray, np.ndarray], np.ndarray]
) -> tuple[float, float, float]:
    """Force and moments about the middle, pitch and roll, for a stream that meets each place askew."""

    def solved(along: int, across: int) -> np.ndarray:
        dx, dy = 1.0 / along, aspect / across
        x = np.repeat(dx * np.arange(along), across)
        y = np.tile(-aspect / 2 + dy * (np.arange(across) + 0.5), along)
        own = _downwash(x[:, None] + 0.75 * dx - x - 0.25 * dx, y[:, None] - y, dy, 0.0)
        strength = np.linalg.solve(own, meets(x + 0.75 * dx, y)) * 2.0 * dy / aspect
        return np.array([strength.sum(), (strength * (0.5 - x - 0.25 * dx)).sum(), (strength * y).sum()])

    coarse, fine = (solved(*mesh) for mesh in (COARSE, FINE))
    force, pitch, roll = (float(value) for value in 2.0 * fine - coarse)
    return force, pitch, roll


def _solve(aspect: float, depth: float, along: int, across: int) -> tuple[float, float]:
    dx, dy = 1.0 / along, aspect / across
    x = np.repeat(dx * np.arange(along), across)
    y = np.tile(-aspect / 2 + dy * (np.arange(across) + 0.5), along)
    own = _downwash(x[:, None] + 0.75 * dx - x - 0.25 * dx, y[:, None] - y, dy, 0.0)
    if depth < math.inf:
        own = own + _downwash(x[:, None] + 0.75 * dx - x - 0.25 * dx, y[:, None] - y, dy, 2.0 * depth)
    strength = np.linalg.solve(own, np.ones(along * across))  # for a unit slope of the stream
    lift = 2.0 * strength.sum() * dy / aspect
    return lift, float((strength * (x + 0.25 * dx)).sum() / strength.sum())


def _downwash(x: np.ndarray, y: np.ndarray, span: float, below: float) -> np.ndarray:
    """Downwash at (x, y), `below` underneath, of unit horseshoes at the origin that trail along +x."""
    left, right = y + 0.5 * span, y - 0.5 * span
    h2 = below**2
    total = np.zeros_like(x)
    rho2 = x * x + h2
    for end, sign in ((left, 1.0), (right, -1.0)):
        far = np.sqrt(x * x + end * end + h2)
        total += sign * end / far * x / rho2  # bound vortex
        total += sign * end / (end * end + h2) * (1.0 + x / far)  # trailing vortex
    return total / (4.0 * math.pi)
