"""Added mass of a body of any sections: ideal flow round it, by source panels.

The outside is drawn as a coarse net of flat panels, each an even sheet of sources, so strong that no water passes
through it (Hess & Smith 1967, Prog. Aerosp. Sci. 8, 1-138; the integrals over a polygon as in Wilton and others
1984, IEEE Trans. Antennas Propag. 32, 276-281). The equivalent ellipsoid is drawn alike, and what the net makes of it
too much or too little is taken off the body, so that an ellipsoid has its closed form. Left and right are mirror
images: only the left half is solved, once for the ways in which the flow is its own mirror image, once for the others.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from sim.compiled import BLOCK, REAL, TABLE, kernel
from sim.lure import added_mass as am
from sim.lure.hull import unit_sections
from sim.lure.profile import Array, Profile, circle, merged, section_shape

RINGS = 14  # panels from nose to tail
AROUND = 16  # and round about, a multiple of 8 so that corners of boxes are corners of panels
CAP, WIDE_CAP = (1.0 - (1.0 - np.linspace(0.0, 1.0, n + 1)[:-1]) ** 2.5 for n in (3, 5))
"""Rims of the rings of panels on a flat end, over its half sizes: of a body longer than wide, and of a wider one."""
BLUNT = 1e-3  # an end narrower than this share of the body counts as pointed
THINNEST = (
    0.04  # sources fail where two faces all but meet: what is thinner is drawn so thick, as its ellipsoid is
)
FAR = 3.0  # of its own size away, a panel is a point


class Carried(NamedTuple):
    """What a body sets in motion, over the density."""

    matrix: Array  # (6, 6) about the middle of its volume, axes along, left, up: m3, m4, m5
    places: (
        Array  # (m,) where its rings of panels end, from 0 at the nose to 1 at the tail, flat ends included
    )
    ahead: Array  # (m,) share of the surge added mass up to there


def carried(profile: Profile, semi: Array) -> Carried:
    """Added mass of a body.

    Args:
        semi: (3,) semi-axes of its equivalent ellipsoid, of the same volume (m).
    """
    half = 0.5 * profile.length
    place = circle(RINGS)
    s = profile.start + half * place
    s[-1] = profile.end
    cut = profile.at(s)
    sizes = np.array([1.0, float(cut.b.max()) / half, float(cut.c.max()) / half])
    stretch = np.maximum(THINNEST * sizes.max() / sizes, 1.0)
    body = _solved(
        _key(stretch[0] * place), _key(stretch[1] * cut.b / half), _key(stretch[2] * cut.c / half),
        _key(stretch[2] * cut.z0 / half), tuple(cut.n.tolist()),
    )  # fmt: skip
    oval = np.sqrt(np.maximum(place * (2.0 - place), 0.0))
    axes = semi / half
    own = _solved(
        _key(stretch[0] * axes[0] * place), _key(stretch[1] * axes[1] * oval), _key(stretch[2] * axes[2] * oval),
        _key(0.0 * place), (2.0,) * len(place),
    )  # fmt: skip
    k, turning = am.ellipsoid(*semi)
    a2 = axes**2
    exact = np.concatenate([k, turning / 5.0 * np.array([a2[1] + a2[2], a2[0] + a2[2], a2[0] + a2[1]])])
    factor = np.sqrt(np.concatenate([k / np.diag(own.matrix)[:3], np.ones(3)]))
    matrix = body.matrix * np.outer(factor, factor)
    matrix[3:, 3:] += np.diag(exact - np.diag(own.matrix))[3:, 3:]
    if not (np.diag(matrix)[[0, 1, 2, 4, 5]] > 0.0).all():
        matrix = np.diag(
            exact
        )  # blades and nothing in turn, finer than the net: sources fail, the ellipsoid stands
    units = np.repeat([1.0, half], 3)
    volume = 4.0 / 3.0 * math.pi * float(semi.prod())
    return Carried(volume * np.outer(units, units) * matrix, body.places, body.ahead)


def shares(found: Carried, profile: Profile, edges: Array) -> Array:
    """Shares (n - 1,) of the surge added mass between the places `edges` (n,): where the water is pushed aside.

    Each ring of panels has its own part of the water's kinetic energy, -potential x normal velocity: it sits on nose
    and tail, none on the parallel part between. Within a ring it goes with the change of the section's area. A strip
    that meets the surface then sets in motion what its own shape does.
    """
    rings = profile.start + found.places * profile.length
    cuts = merged(np.clip(rings, profile.start, profile.end), edges)
    s = np.interp(np.arange(8 * len(cuts) - 7) / 8.0, np.arange(len(cuts)), cuts)
    cut = profile.at(s)
    area = section_shape(cut.n).area * cut.b * cut.c
    step = np.abs(np.diff(area)) + 1e-6 * float(area.max()) * np.diff(s) / profile.length
    turned = np.concatenate([[0.0], np.cumsum(step)])
    where = np.interp(rings, s, turned)
    last = np.append(np.diff(where) > 0.0, True)  # of the rings of a flat end only the rim lies on the side
    reached = np.interp(np.interp(edges, s, turned), where[last], found.ahead[last])
    reached[0], reached[-1] = 0.0, 1.0  # a flat end belongs to the strip that it closes
    return np.asarray(np.diff(reached))


def _key(values: Array) -> tuple[float, ...]:
    return tuple(np.round(values, 9).tolist())


@lru_cache(maxsize=256)
def _solved(
    place: tuple[float, ...],
    b: tuple[float, ...],
    c: tuple[float, ...],
    z: tuple[float, ...],
    n: tuple[float, ...],
) -> Carried:
    """The matrix over the volume as drawn."""
    corners = _net(-np.array(place), np.array(b), np.array(c), np.array(z), n)
    at, normal, area = _faces(corners)
    flux = 2.0 * area * np.einsum("ij,ij->i", at, normal) / 3.0
    volume = float(flux.sum())
    # of a cone to each panel, the middle lies at three quarters
    corners = corners - 0.75 * (flux[:, None] * at).sum(axis=0) / volume * np.array([1.0, 0.0, 1.0])
    at, normal, area = _faces(corners)
    motion = np.concatenate([normal, np.cross(at, normal)], axis=1)
    count = len(at)
    direct, image = np.empty((2, count, count)), np.empty((2, count, count))
    _influence(at, normal, corners, 1.0, direct[0], direct[1])
    _influence(at, normal, corners, -1.0, image[0], image[1])
    direct[1][np.diag_indices(count)] += _bulge(corners, normal, at)
    potentials, matrix = np.zeros_like(motion), np.zeros((6, 6))
    for sign, ways in ((1.0, (0, 2, 4)), (-1.0, (1, 3, 5))):
        potential, speed = direct[0] + sign * image[0], direct[1] + sign * image[1]
        flow = np.ascontiguousarray(motion[:, ways])
        _flow(speed, potential, flow, np.empty_like(flow))
        potentials[:, ways] = flow
    weighted = -2.0 * motion * area[:, None]
    for ways in ((0, 2, 4), (1, 3, 5)):
        for i in ways:
            for j in ways:
                matrix[i, j] = math.fsum(weighted[:, i] * potentials[:, j])
    matrix = 0.5 * (matrix + matrix.T)
    ahead = np.maximum(-potentials[:, 0] * motion[:, 0] * area, 0.0)
    so_far = np.cumsum(ahead.reshape(-1, AROUND // 2).sum(axis=1))
    ends = corners[0, 0, 0] - corners[:: AROUND // 2, 1, 0]
    return Carried(
        matrix / volume,
        np.concatenate([[0.0], ends / place[-1]]),
        np.concatenate([[0.0], so_far / so_far[-1]]),
    )


def _net(x: Array, b: Array, c: Array, z: Array, n: tuple[float, ...]) -> Array:
    """Corners (m, 4, 3) of the panels of the left half, ring by ring: x toward the nose, y left, z up."""
    y, up = unit_sections(n, AROUND)
    quarter = AROUND // 4
    turn = np.arange(-quarter, quarter + 1) % AROUND  # from the keel up the left side
    y, up = y[:, turn], up[:, turn]
    y[:, [0, -1]] = 0.0
    rims = [(k, 1.0) for k in range(len(x))]
    least = BLUNT * max(float(b.max()), float(c.max()))
    open_ = np.maximum(b, c) > least
    open_[1:-1] = True
    b, c = (np.where(open_, np.maximum(size, least), 0.0) for size in (b, c))
    cap = CAP if x[0] - x[-1] > b.max() + c.max() else WIDE_CAP
    if open_[0]:
        rims = [(0, share) for share in cap] + rims
    if open_[-1]:
        rims = rims + [(len(x) - 1, share) for share in cap[::-1]]
    points = np.array(
        [
            np.stack([np.full(y.shape[1], x[k]), share * b[k] * y[k], z[k] + share * c[k] * up[k]], axis=1)
            for k, share in rims
        ]
    )
    corners = np.stack([points[:-1, :-1], points[1:, :-1], points[1:, 1:], points[:-1, 1:]], axis=2)
    return np.ascontiguousarray(corners.reshape(-1, 4, 3))


def _faces(corners: Array) -> tuple[Array, Array, Array]:
    """Middles (m, 3), outward unit normals (m, 3) and areas (m,) of the panels."""
    across = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    twice = np.linalg.norm(across, axis=1)
    halves = [
        np.linalg.norm(np.cross(corners[:, k] - corners[:, 0], corners[:, k + 1] - corners[:, 0]), axis=1)
        for k in (1, 2)
    ]
    share = (halves[0] / (halves[0] + halves[1]))[:, None]
    at = (corners[:, 0] + corners[:, 2] + share * corners[:, 1] + (1.0 - share) * corners[:, 3]) / 3.0
    return at, across / twice[:, None], 0.5 * twice


def _bulge(corners: Array, normal: Array, at: Array) -> Array:
    """Normal velocity (m,) that a panel gives its own middle beyond a flat one's half, were it bent as the surface is.

    A patch with the curvatures k and l over half sizes p and q adds (k q asinh(p/q) + l p asinh(q/p)) / 2 pi. Over a
    sharp edge there is no bend: of the two neighbours the one counts toward which the surface turns less.
    """
    shape = (-1, AROUND // 2, 3)
    corners = corners.reshape(-1, AROUND // 2, 4, 3)
    mirror = np.array([1.0, -1.0, 1.0])
    p = 0.25 * np.linalg.norm(
        corners[:, :, 0] + corners[:, :, 3] - corners[:, :, 1] - corners[:, :, 2], axis=2
    )
    q = 0.25 * np.linalg.norm(
        corners[:, :, 0] + corners[:, :, 1] - corners[:, :, 2] - corners[:, :, 3], axis=2
    )
    p, q = np.maximum(p, 1e-12), np.maximum(q, 1e-12)

    def bend(turns: Array, places: Array) -> Array:
        """Of the panels between the first and the last along the first axis."""
        gap = np.diff(places, axis=0)
        bent = np.einsum("abi,abi->ab", np.diff(turns, axis=0), gap) / np.einsum("abi,abi->ab", gap, gap)
        return np.where(np.abs(bent[:-1]) < np.abs(bent[1:]), bent[:-1], bent[1:])

    def ringed(values: Array) -> Array:
        values = values.reshape(shape)
        return np.concatenate([values[:, :1] * mirror, values, values[:, -1:] * mirror], axis=1).swapaxes(
            0, 1
        )

    def ended(values: Array) -> Array:
        """With what lies opposite beyond the nose and beyond the tail."""
        values = values.reshape(shape)
        opposite = values[[0, -1], ::-1] * mirror
        return np.concatenate([opposite[:1], values, opposite[1:]])

    along = bend(ended(normal), ended(at))
    around = bend(ringed(normal), ringed(at)).swapaxes(0, 1)
    bulge = along * q * np.arcsinh(p / q) + around * p * np.arcsinh(q / p)
    return np.asarray(bulge / (2.0 * math.pi)).ravel()


@kernel(TABLE, TABLE, TABLE, TABLE)
def _flow(speed, potential, flow, strength):
    """Turn normal velocities `flow` (m, k) of the panels into their potentials, by Gauss with pivots; `speed` (m, m) is
    used up and `strength` (m, k) is room. A library's solver gives other last digits with other numbers of threads."""
    n, ways = flow.shape
    for k in range(n):
        best = k
        for i in range(k + 1, n):
            if abs(speed[i, k]) > abs(speed[best, k]):
                best = i
        if best != k:
            for j in range(k, n):
                speed[k, j], speed[best, j] = speed[best, j], speed[k, j]
            for w in range(ways):
                flow[k, w], flow[best, w] = flow[best, w], flow[k, w]
        for i in range(k + 1, n):
            factor = speed[i, k] / speed[k, k]
            for j in range(k + 1, n):
                speed[i, j] -= factor * speed[k, j]
            for w in range(ways):
                flow[i, w] -= factor * flow[k, w]
    for k in range(n - 1, -1, -1):
        for w in range(ways):
            rest = flow[k, w]
            for j in range(k + 1, n):
                rest -= speed[k, j] * strength[j, w]
            strength[k, w] = rest / speed[k, k]
    for i in range(n):
        for w in range(ways):
            flow[i, w] = 0.0
        for j in range(n):
            for w in range(ways):
                flow[i, w] += potential[i, j] * strength[j, w]


@kernel(TABLE, TABLE, BLOCK, REAL, TABLE, TABLE)
def _influence(at, normal, corners, side, potential, speed):
    """Fill potential and outward normal velocity (k, m) at points from panels of one square metre's flux 1.

    Args:
        at, normal: (m, 3) middles and unit normals of the panels; their y is taken `side` times, 1 or -1 for the
            mirror images. On its own middle a panel gives half.
        corners: (m, 4, 3) of the panels, counter-clockwise from outside.
    """
    for j in range(corners.shape[0]):
        ax, ay, az = (
            corners[j, 2, 0] - corners[j, 0, 0],
            corners[j, 2, 1] - corners[j, 0, 1],
            corners[j, 2, 2] - corners[j, 0, 2],
        )
        bx, by, bz = (
            corners[j, 3, 0] - corners[j, 1, 0],
            corners[j, 3, 1] - corners[j, 1, 1],
            corners[j, 3, 2] - corners[j, 1, 2],
        )
        ux, uy, uz = ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx
        twice = math.sqrt(ux * ux + uy * uy + uz * uz)
        ux, uy, uz = ux / twice, uy / twice, uz / twice
        area = 0.5 * twice
        far2 = FAR * FAR * (ax * ax + ay * ay + az * az + bx * bx + by * by + bz * bz)
        mx = 0.25 * (corners[j, 0, 0] + corners[j, 1, 0] + corners[j, 2, 0] + corners[j, 3, 0])
        my = 0.25 * (corners[j, 0, 1] + corners[j, 1, 1] + corners[j, 2, 1] + corners[j, 3, 1])
        mz = 0.25 * (corners[j, 0, 2] + corners[j, 1, 2] + corners[j, 2, 2] + corners[j, 3, 2])
        for i in range(at.shape[0]):
            px, py, pz = at[i, 0], side * at[i, 1], at[i, 2]
            nx, ny, nz = normal[i, 0], side * normal[i, 1], normal[i, 2]
            gx, gy, gz = px - mx, py - my, pz - mz
            away2 = gx * gx + gy * gy + gz * gz
            if away2 > far2:
                away = math.sqrt(away2)
                potential[i, j] = -area / (4.0 * math.pi * away)
                speed[i, j] = area * (gx * nx + gy * ny + gz * nz) / (4.0 * math.pi * away2 * away)
                continue
            high = gx * ux + gy * uy + gz * uz
            level = abs(high)
            found, angle, across = 0.0, 0.0, 0.0
            for k in range(4):
                kk = (k + 1) % 4
                sx, sy, sz = corners[j, k, 0] - px, corners[j, k, 1] - py, corners[j, k, 2] - pz
                tx = corners[j, kk, 0] - corners[j, k, 0]
                ty = corners[j, kk, 1] - corners[j, k, 1]
                tz = corners[j, kk, 2] - corners[j, k, 2]
                length = math.sqrt(tx * tx + ty * ty + tz * tz)
                if length < 1e-12:
                    continue
                tx, ty, tz = tx / length, ty / length, tz / length
                ox, oy, oz = ty * uz - tz * uy, tz * ux - tx * uz, tx * uy - ty * ux
                off = sx * ox + sy * oy + sz * oz
                first = sx * tx + sy * ty + sz * tz
                last = first + length
                near2 = off * off + high * high
                r0, r1 = math.sqrt(near2 + first * first), math.sqrt(near2 + last * last)
                log = math.log((r0 + r1 + length) / max(r0 + r1 - length, 1e-300))
                found += off * log
                angle += math.atan2(off * last, near2 + level * r1) - math.atan2(
                    off * first, near2 + level * r0
                )
                across += (ox * nx + oy * ny + oz * nz) * log
            potential[i, j] = -(found - level * angle) / (4.0 * math.pi)
            if i == j and side > 0.0:
                speed[i, j] = 0.5
            else:
                turned = (1.0 if high > 0.0 else -1.0 if high < 0.0 else 0.0) * angle
                speed[i, j] = (across + turned * (nx * ux + ny * uy + nz * uz)) / (4.0 * math.pi)
