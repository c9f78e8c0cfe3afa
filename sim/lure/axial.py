"""Added mass along the axis of bodies that are no ellipsoids: blunt, flat-ended, tapered.

The body of revolution with the same section areas is solved as a sheet of ring sources, and so is the
spheroid that stands for it; the ratio of the two is what the body's shape adds to the ellipsoid's closed form.
For an ellipsoid it is 1, the errors of the method falling out. What the sections' own shape (flat, square)
does is left to the ellipsoid. Method: source panels, Hess & Smith 1967, Prog. Aerosp. Sci. 8, 1-138; the ring
kernels are the complete elliptic integrals. Standing: the method
is within 1.5 % of the closed form for spheroids of 1:5 to 8:1, and its ratio to a spheroid better.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from sim.lure.profile import Array
from sim.numerics import complete_elliptic

CAP = 12  # panels across each flat end
THINNEST = (
    0.1  # sources fail where the two faces of a disc all but meet; thinner bodies are judged by this one
)
BLUNT = 1e-3  # an end narrower than this share of the body counts as pointed
_X, _W = np.polynomial.legendre.leggauss(6)
_U, _V = np.polynomial.legendre.leggauss(8)
_U, _V = 0.5 * (1.0 + _U), 0.5 * _V


def blunt_ratio(s: Array, area: Array, along: float, across: float) -> float:
    """Axial added mass of a body of revolution over that of the spheroid of the same proportions and volume.

    Args:
        s: places along the axis (n,), rising, closer together toward the ends, m.
        area: section areas there (n,), m2.
        along, across: squares of the body's radii of gyration, along and across its axis, m2.

    >>> x = 0.5 - 0.5 * np.cos(np.linspace(0.0, np.pi, 41))
    >>> round(blunt_ratio(x, np.pi * x * (1.0 - x), 0.05, 0.05), 9)
    1.0
    """
    r = np.sqrt(np.maximum(area, 0.0) / math.pi)
    length = float(s[-1] - s[0])
    volume = float(np.sum(np.diff(s) * (r[:-1] ** 2 + r[:-1] * r[1:] + r[1:] ** 2)) / 3.0)
    if not volume > 0.0:
        return 1.0
    axis, radius = math.sqrt(along), math.sqrt(across)
    # the spheroid is drawn with as many corners as the body, and to its volume as drawn
    place = 0.5 - 0.5 * np.cos(np.linspace(0.0, math.pi, len(s)))
    drawn = 2.0 * np.sqrt(place * (1.0 - place))
    own = float(np.sum(np.diff(place) * (drawn[:-1] ** 2 + drawn[:-1] * drawn[1:] + drawn[1:] ** 2)) / 3.0)
    scale = (volume / (2.0 * axis * radius**2 * own)) ** (1.0 / 3.0)
    thick = max(1.0, THINNEST * radius / axis)  # both alike

    def solved(x: Array, y: Array) -> float:
        return _solved(tuple(np.round(x / length, 9).tolist()), tuple(np.round(y / length, 9).tolist()))

    own_mass = solved(thick * (s - s[0]), r)
    if (
        not own_mass > 0.0
    ):  # a rim that runs to and fro between thin faces: sources fail, and the ellipsoid stands
        return 1.0
    return own_mass / solved(2.0 * thick * axis * scale * place, radius * scale * drawn)


def shares(s: Array, area: Array, edges: Array) -> Array:
    """Shares (n - 1,) of the axial added mass between the places `edges` (n,): where the water is pushed aside.

    Each ring's own part of the water's kinetic energy, -potential x normal velocity: it sits on nose and tail, none on
    the parallel part between. A strip that meets the surface then sets in motion what its own shape does.
    `s`, `area` as for `blunt_ratio`.

    >>> x = 0.5 - 0.5 * np.cos(np.linspace(0.0, np.pi, 41))
    >>> shares(x, np.pi * x * (1.0 - x), np.linspace(0.0, 1.0, 4)).round(2)  # an ellipsoid: as x dS, 13/27 1/27 13/27
    array([0.48, 0.04, 0.48])
    """
    r = np.sqrt(np.maximum(area, 0.0) / math.pi)
    length = float(s[-1] - s[0])
    even = np.diff(edges) / (edges[-1] - edges[0])
    if not float(r.max()) > 0.0 or length < 2.0 * THINNEST * float(r.max()):
        return np.asarray(even)
    where, part = _parts(
        tuple(np.round((s - s[0]) / length, 9).tolist()), tuple(np.round(r / length, 9).tolist())
    )
    so_far = np.concatenate([[0.0], np.cumsum(np.maximum(part, 0.0))])
    reached = np.interp((edges - s[0]) / length, np.concatenate([[0.0], where]), so_far)
    reached[0], reached[-1] = 0.0, so_far[-1]  # a flat end belongs to the strip that it closes
    return np.asarray(np.diff(reached) / so_far[-1]) if so_far[-1] > 0.0 else np.asarray(even)


@lru_cache(maxsize=64)
def _solved(s: tuple[float, ...], r: tuple[float, ...]) -> float:
    return float(_parts(s, r)[1].sum())


@lru_cache(maxsize=64)
def _parts(s: tuple[float, ...], r: tuple[float, ...]) -> tuple[Array, Array]:
    return rings(np.array(s), np.array(r))


def revolution(s: Array, r: Array) -> float:
    """Axial added mass over the density (m3) of a body of revolution with radii `r` at `s`, both (n,)."""
    return float(rings(s, r)[1].sum())


def rings(s: Array, r: Array) -> tuple[Array, Array]:
    """The same by panels from nose to tail: where each ends (m,), and its part (m,), m3."""
    x, y = _meridian(s, r)
    dx, dy = np.diff(x), np.diff(y)
    run = np.hypot(dx, dy)
    keep = (run > 0.0) & (y[:-1] + y[1:] > 0.0)  # where nothing is left but the axis there is no surface
    x0, y0, dx, dy, run = x[:-1][keep], y[:-1][keep], dx[keep], dy[keep], run[keep]
    tx, ty = dx / run, dy / run
    nx, ny = -ty, tx  # outward: the rim is walked from nose to tail, s growing aft
    mx, my = x0 + 0.5 * dx, y0 + 0.5 * dy
    share = 0.5 * (1.0 + _X)
    px, py = x0[:, None] + share * dx[:, None], y0[:, None] + share * dy[:, None]
    weight = 0.5 * _W * run[:, None]
    potential, normal = _rings(mx[None], my[None], nx[None], ny[None], px[None], py[None], weight[None])
    potential, normal = potential[0], normal[0]
    # on its own panel a ring's kernel is singular: points drawn together toward its middle, alike on both
    # sides, so that the odd part falls out
    u = 0.5 * _U**3
    share = np.concatenate([0.5 - u, 0.5 + u])
    w = np.concatenate([1.5 * _U**2 * _V] * 2)
    px, py = x0[:, None] + share * dx[:, None], y0[:, None] + share * dy[:, None]
    own = _rings(
        mx[:, None],
        my[:, None],
        nx[:, None],
        ny[:, None],
        px[:, None],
        py[:, None],
        (w * run[:, None])[:, None],
    )
    np.fill_diagonal(potential, own[0].ravel())
    np.fill_diagonal(normal, own[1].ravel() + 0.5)
    sources = np.linalg.solve(normal, nx)
    return x0 + dx, -2.0 * math.pi * my * run * nx * (potential @ sources)


def _meridian(s: Array, r: Array) -> tuple[Array, Array]:
    """The rim from axis to axis, flat ends included, with panels drawn together toward their edges."""
    radius = r.copy()
    wide = float(radius.max())
    out = 1.0 - (1.0 - np.linspace(0.0, 1.0, CAP + 1)[:-1]) ** 2
    parts = [(s, radius)]
    for end, first in ((0, True), (-1, False)):
        if radius[end] <= BLUNT * wide:
            radius[end] = 0.0
            continue
        cap = radius[end] * out
        flat = np.full(len(cap), s[end])
        parts = [(flat, cap), *parts] if first else [*parts, (flat[::-1], cap[::-1])]
    return np.concatenate([p[0] for p in parts]), np.concatenate([p[1] for p in parts])


def _rings(
    x: Array, y: Array, nx: Array, ny: Array, px: Array, py: Array, weight: Array
) -> tuple[Array, Array]:
    """Potential and normal velocity (rows, m, n) at points (rows, m) from panels of ring sources of unit strength
    (rows, n, g); each row by itself."""
    here, px, py = y[:, :, None, None], px[:, None], py[:, None]
    gap = x[:, :, None, None] - px
    near2 = (here - py) ** 2 + gap**2
    far2 = (here + py) ** 2 + gap**2
    far = np.sqrt(far2)
    K, E = complete_elliptic(near2 / far2)
    strength = -weight[:, None] * py / (4.0 * math.pi)
    along = -4.0 * gap * E / (far * near2)
    outward = 2.0 / (here * far) * ((py**2 - here**2 + gap**2) / near2 * E - K)
    potential = (strength * 4.0 * K / far).sum(axis=3)
    normal = (strength * (nx[:, :, None, None] * along + ny[:, :, None, None] * outward)).sum(axis=3)
    return potential, normal
