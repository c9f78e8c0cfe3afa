"""Rows of the element tables for one body: strips along its axis, and the flat faces at its ends.

Added mass. The whole body's is that of ideal flow round it (`sim.lure.panels`). Strips share it out: along the axis
as the water is pushed aside there, across it by each section's two-dimensional value (pi c^2 for flow from the side,
pi b^2 from above, pi (b^2 - c^2)^2 / 8 in roll; Newman 1977, table 4.3), scaled to the whole. Their levers are moved
and shortened until the sum turns and couples as the whole body does, so that every strip's matrix stays positive.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from sim import elements as e
from sim.lure import added_mass as am
from sim.lure.bodies import BuiltBody, skin_areas
from sim.lure.midplane import LEAST, flatness, midplane
from sim.lure.moments import Array
from sim.lure.panels import carried, shares
from sim.lure.profile import BOX, Profile, Sections, section_shape
from sim.lure.separation import separation

STRIPS = 21
SMOOTH = 0.1  # of the length: the facets of a mesh make the slope of its sections uneven; judgement

END_RELIEF_LD = (1.0, 2.0, 5.0, 10.0, 40.0)
END_RELIEF_CD = (0.63, 0.68, 0.74, 0.82, 0.98)
END_RELIEF_ENDLESS = 1.20
"""Cd of a circular cylinder across the flow against length over diameter. Source: Matthews 2002, Aeronautical
Engineer's Data Book, p. 95, fig. 5.13(b) (published)."""

LONG_PLATE, SQUARE_SECTION, DIAMOND_SECTION, CYLINDER = 1.98, 2.05, 1.6, 1.2
"""Cd of long bodies across the flow: flat plate and cylinder, Matthews 2002, p. 95 (published); square
section and square turned by 45 degrees, common handbook values (from memory)."""

ROLL_CD = 1.2  # of a section's overhang as it turns; judgement, a plate's value in cross flow
ROLL_FRICTION = 0.005  # skin friction coefficient of the turning surface; judgement


class BodyRows(NamedTuple):
    """One body's rows; `body` holds columns from B_T on, its strip range is filled in later."""

    common: Array  # (n, N_COMMON)
    added: Array  # (n, N_ADDED)
    strips: Array  # (n, N_STRIP)
    body: Array  # (N_BODY,)
    plane: tuple[Array, Array] | None  # rows of `common` and of the plate table for its middle plane


class _Slices(NamedTuple):
    """Integrals over each strip, in the body's own axes. All (n,)."""

    volume: Array
    x: Array  # centroid, m, positive toward the nose
    y: Array  # to the left: nought but for a mesh that is not symmetric
    z: Array
    cov: Array  # (n, 3, 3) variance of position, m2
    side: Array  # area seen from the side
    plan: Array
    skin: Array
    b2: Array  # mean of the squares of the half sizes, over the strip's length
    c2: Array
    roll: Array  # integral of pi (b^2 - c^2)^2 / 8
    roll_drag: Array
    n: Array
    dx: Array


def body_rows(body: BuiltBody, volume: float, count: int = STRIPS) -> BodyRows:
    """Strips of one body that together displace `volume` (m3): its own, its paint's, or as dunked."""
    profile = body.profile.stretched(math.sqrt(volume / float(body.outer[0])))
    edges = np.linspace(profile.start, profile.end, count + 1)
    cut = _slices(profile, edges, volume)
    if body.mesh is not None:
        # the mesh itself tells where the volume is; its sections tell what the water makes of it
        slab = body.mesh.stretched(math.sqrt(volume / body.mesh.solid.volume)).slabs(edges)
        x, y, z = slab.at.T
        cut = cut._replace(
            volume=slab.volume * (volume / math.fsum(slab.volume)), x=x, y=y, z=z, cov=slab.cov
        )
    axes = np.stack([body.frame.along, body.frame.left, body.frame.up])
    r = body.frame.nose + np.stack([cut.x, cut.y, cut.z], axis=1) @ axes
    common = np.zeros((count, e.N_COMMON))
    common[:, :3] = r
    q = 4.0 * np.einsum("ki,nkl,lj->nij", axes, cut.cov, axes)
    for column, (i, j) in zip(
        (e.QXX, e.QYY, e.QZZ, e.QXY, e.QXZ, e.QYZ),
        ((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2)),
        strict=True,
    ):
        common[:, column] = q[:, i, j]
    common[:, e.VOLUME] = cut.volume
    common[:, e.BOXY] = np.clip((section_shape(cut.n).area - math.pi) / (4.0 - math.pi), 0.0, 1.0)
    for column, k in ((e.HX, 0), (e.HY, 1), (e.HZ, 2)):
        common[:, column : column + 3] = np.sqrt(3.0 * cut.cov[:, k, k])[:, None] * axes[k]
    added, shed, twist, across = _added(cut, profile, edges, body, axes)
    strips = np.zeros((count, e.N_STRIP))
    strips[:, e.S_SIDE], strips[:, e.S_PLAN] = cut.side, cut.plan
    b, c = np.sqrt(cut.b2), np.sqrt(cut.c2)
    strips[:, e.S_CD1] = shape_factor(c, b, cut.n)
    strips[:, e.S_CD2] = shape_factor(b, c, cut.n)
    strips[:, e.S_SHARE] = cut.skin / math.fsum(cut.skin)
    even = 0.0 if body.mesh is None else SMOOTH
    fore, aft = _lost(profile, edges, even), _lost(profile, edges, even, tail_first=True)
    strips[:, e.S_SHED1_FORE], strips[:, e.S_SHED2_FORE] = shed[0] * fore[0], shed[1] * fore[1]
    strips[:, e.S_SHED1_AFT], strips[:, e.S_SHED2_AFT] = shed[0] * aft[0], shed[1] * aft[1]
    gain = _gained(profile, edges)
    strips[:, e.S_GAIN1], strips[:, e.S_GAIN2] = shed[0] * gain[0], shed[1] * gain[1]
    strips[:, e.S_ROLL] = cut.roll_drag
    strips[:, e.S_TWIST] = twist
    strips[:, e.S_LEAN1] = np.minimum(b / np.maximum(c, 1e-12), 1.0) ** 2
    strips[:, e.S_LEAN2] = np.minimum(c / np.maximum(b, 1e-12), 1.0) ** 2
    plane = None
    flat = flatness(c, b, cut.side), flatness(b, c, cut.plan)
    k = int(flat[1] > flat[0])
    if flat[k] > LEAST:
        area, half, up = (cut.side, c, body.frame.up) if k == 0 else (cut.plan, b, body.frame.left)
        plane = midplane(
            body.label, flat[k], across[k], r, area, half, (body.frame.along, up), profile.length
        )
        side = (e.S_SIDE, e.S_SHED1_FORE, e.S_SHED1_AFT, e.S_GAIN1)
        above = (e.S_PLAN, e.S_SHED2_FORE, e.S_SHED2_AFT, e.S_GAIN2)
        strips[:, [*(side, above)[k], e.S_TWIST, e.S_ROLL]] *= 1.0 - flat[k]
        strips[:, e.S_TWIST] *= (
            1.0 - flat[k]
        ) ** 2  # flow that leaves an edge keeps the moment (thin aerofoils)
    return BodyRows(common, added, strips, _body(body, profile), plane)


def _slices(profile: Profile, edges: Array, volume: float) -> _Slices:
    count = len(edges) - 1
    s, weight, owner = profile.nodes(edges)
    cut = profile.at(s, weight)
    shape = section_shape(cut.n)

    def per_strip(values: Array) -> Array:
        return np.bincount(owner, weights=values, minlength=count).astype(np.float64)

    dv = weight * shape.area * cut.b * cut.c
    v = per_strip(dv)
    safe = np.where(v > 0.0, v, 1.0)
    x, z = per_strip(-s * dv) / safe, per_strip(cut.z0 * dv) / safe
    dx, dz = -s - x[owner], cut.z0 - z[owner]
    cov = np.zeros((count, 3, 3))
    cov[:, 0, 0] = per_strip(dx * dx * dv) / safe
    cov[:, 1, 1] = per_strip(weight * shape.second * cut.b**3 * cut.c) / safe
    cov[:, 2, 2] = per_strip(weight * shape.second * cut.b * cut.c**3 + dz * dz * dv) / safe
    cov[:, 0, 2] = cov[:, 2, 0] = per_strip(dx * dz * dv) / safe
    length = per_strip(weight)
    _, skin, _ = skin_areas(profile, edges)
    return _Slices(
        v * (volume / math.fsum(v)),
        x,
        np.zeros(count),
        z,
        cov,
        per_strip(2.0 * cut.c * weight),
        per_strip(2.0 * cut.b * weight),
        per_strip(skin),
        per_strip(cut.b**2 * weight) / length,
        per_strip(cut.c**2 * weight) / length,
        per_strip(math.pi / 8.0 * (cut.b**2 - cut.c**2) ** 2 * weight),
        per_strip(_roll_drag(cut) * weight),
        per_strip(cut.n * weight) / length,
        length,
    )


def equivalent_ellipsoid(spread: Array, volume: float) -> Array:
    """Semi-axes (3,) of the ellipsoid of that volume with the same ratios of variance (3,) along its axes."""
    axes = np.sqrt(spread)
    return axes * (volume / (4.0 / 3.0 * math.pi * axes.prod())) ** (1.0 / 3.0)


def _added(
    cut: _Slices, profile: Profile, edges: Array, body: BuiltBody, axes: Array
) -> tuple[Array, tuple[float, float], Array, tuple[float, float]]:
    """Packed matrices (n, 21), the factors of `_lost` for flow from the side and from above, the added mass
    for motion to the left less that for motion up, strip by strip, and those of the whole (m3)."""
    v = cut.volume
    volume = math.fsum(v)
    middle = [math.fsum(v * at) / volume for at in (cut.x, cut.y, cut.z)]
    dx, dy, dz = (at - mean for at, mean in zip((cut.x, cut.y, cut.z), middle, strict=True))
    spread = (
        np.array([math.fsum(v * (cut.cov[:, i, i] + d * d)) for i, d in enumerate((dx, dy, dz))]) / volume
    )
    whole = carried(profile, equivalent_ellipsoid(spread, volume))
    matrix = whole.matrix
    shared = shares(whole, profile, edges)

    along, left, up = axes
    sideways, vertical = math.pi * cut.c2 * cut.dx, math.pi * cut.b2 * cut.dx
    plain = math.fsum(sideways), math.fsum(vertical)
    m1, m2 = sideways * (matrix[1, 1] / plain[0]), vertical * (matrix[2, 2] / plain[1])
    origin = body.frame.nose + np.array(middle) @ axes

    def at(ahead: Array, height: Array) -> Array:
        return np.asarray(origin + np.outer(ahead, along) + np.outer(dy, left) + np.outer(height, up))

    beside = _levers(dz, m1, -matrix[1, 3] / matrix[1, 1])
    rows = am.moved(shared * matrix[0, 0], along, at(dx, _levers(dz, shared, matrix[0, 4] / matrix[0, 0])))
    # flow from the side turns in yaw (about up), flow from above in pitch (about left)
    for mass, direction, axis, k, turn, coupling, height in (
        (m1, left, up, 1, 5, matrix[1, 5], beside),
        (m2, up, left, 2, 4, -matrix[2, 4], dz),
    ):
        centre = coupling / matrix[k, k]
        lever = _levers(dx, mass, centre)
        wanted = matrix[turn, turn] - matrix[k, k] * centre**2
        mean = math.fsum(mass * lever) / math.fsum(mass)
        strip_sum = math.fsum(mass * (lever - mean) ** 2)
        shrink = math.sqrt(min(max(wanted, 0.0) / strip_sum, 1.0)) if strip_sum > 0.0 else 0.0
        rows = rows + am.moved(mass, direction, at(mean + shrink * (lever - mean), height))
        rows = rows + am.turned(v * (max(wanted - shrink**2 * strip_sum, 0.0) / volume), axis)
    rolling = math.fsum(cut.roll)
    share = cut.roll / rolling if rolling > 1e-12 * volume * spread[1] else v / volume
    rows = rows + am.turned(share * max(matrix[3, 3] - math.fsum(m1 * beside**2), 0.0), along)
    # Munk's side force is on the difference of cross and axial values (Hopkins 1951): the same for its relief
    relief = tuple(max(float(matrix[i, i] - matrix[0, 0]), 0.0) / plain[i - 1] for i in (1, 2))
    return rows, (relief[0], relief[1]), m1 - m2, (float(matrix[1, 1]), float(matrix[2, 2]))


def _levers(at: Array, mass: Array, centre: float) -> Array:
    """`at` (n,) moved as a whole, so that the masses (n,) have their centre at `centre`."""
    return np.asarray(at + (centre - math.fsum(mass * at) / math.fsum(mass)))


def _lost(profile: Profile, edges: Array, even: float = 0.0, tail_first: bool = False) -> tuple[Array, Array]:
    """Two-dimensional added mass lost across each strip where the flow has left the body (m2), from the side
    and from above. A flat end drops all at once, in the last strip."""
    leaves = separation(profile, even, tail_first)
    place = edges - profile.start if not tail_first else profile.end - edges
    here = np.maximum(place, leaves)
    s = profile.start + here if not tail_first else profile.end - here
    b2, c2, _, _ = profile.squares(s)
    out = []
    for square in (c2, b2):
        left = math.pi * square
        left[0 if tail_first else -1] = 0.0  # past the end there is no section
        lost = left[:-1] - left[1:]
        out.append(np.maximum(-lost if tail_first else lost, 0.0))
    return out[0], out[1]


def _gained(profile: Profile, edges: Array) -> tuple[Array, Array]:
    """Two-dimensional added mass gained across each strip from nose to tail (m2), from the side and from above.
    Flat ends count in the first and the last strip."""
    b2, c2, _, _ = profile.squares(edges)
    out = []
    for square in (c2, b2):
        carried = math.pi * square
        carried[0] = carried[-1] = 0.0
        out.append(np.diff(carried))
    return out[0], out[1]


def shape_factor(across: Array, deep: Array, n: Array) -> Array:
    """Cross-flow Cd of a section over the circular cylinder's, by its half sizes across and along the flow.

    Ovals 1.65 r / (r + 0.65), r = across / deep: 1 for a circle, 1.65 = 1.98 / 1.2 for a flat plate. Boxes
    1.71 for a square, 1.65 for a plate, 0.9 for one deep along the flow; in between by (1 - 2/n)^2. Diamonds
    rise to 1.33. Standing: the ends are published or handbook values, the rest is judgement.
    """
    r = across / np.maximum(deep, 1e-12)
    top = LONG_PLATE / CYLINDER
    oval = top * r / (r + top - 1.0)
    square = SQUARE_SECTION / CYLINDER
    box = np.where(
        r >= 1.0, top + (square - top) / np.maximum(r, 1.0), 0.9 + (square - 0.9) * np.minimum(r, 1.0)
    )
    boxy = np.where(n >= BOX, 1.0, np.maximum(1.0 - 2.0 / n, 0.0) ** 2)
    pointed = np.maximum(2.0 - n, 0.0) * (DIAMOND_SECTION / CYLINDER - 1.0)
    return np.asarray(oval * (1.0 - boxy) + box * boxy + oval * pointed)


def _roll_drag(cut: Sections) -> Array:
    """Roll drag of a section per length: 1/2 rho w|w| times this (m4). Overhang beyond the largest circle
    inside, as a plate turning about its middle, and skin friction. Standing: judgement."""
    corner = 2.0 ** (-1.0 / np.minimum(cut.n, BOX)) * np.hypot(cut.b, cut.c)
    outer = np.maximum(np.maximum(cut.b, cut.c), corner)
    inner = np.minimum(np.minimum(cut.b, cut.c), corner)
    safe = np.where(outer > 0.0, outer, 1.0)
    mean = 0.5 * (cut.b + cut.c)
    return np.asarray(
        ROLL_CD * 0.5 * outer**4 * (1.0 - (inner / safe) ** 2) + ROLL_FRICTION * 2.0 * math.pi * mean**4
    )


def end_relief(slenderness: float) -> float:
    """Cross-flow drag of a finite cylinder over an endless one's, by length over diameter.

    Linear in log(l/d) between Matthews's points; past 40 the shortfall dies out as d/l, below 1 it is held
    (judgement).
    """
    if slenderness > END_RELIEF_LD[-1]:
        gap = END_RELIEF_ENDLESS - END_RELIEF_CD[-1]
        return (END_RELIEF_ENDLESS - gap * END_RELIEF_LD[-1] / slenderness) / END_RELIEF_ENDLESS
    cd = np.interp(math.log(slenderness), np.log(END_RELIEF_LD), END_RELIEF_CD)
    return float(cd) / END_RELIEF_ENDLESS


def _body(body: BuiltBody, profile: Profile) -> Array:
    cut = profile.at(np.linspace(profile.start, profile.end, 201))
    frontal = float((section_shape(cut.n).area * cut.b * cut.c).max())
    diameter = 2.0 * math.sqrt(frontal / math.pi)
    ratio = profile.length / diameter
    row = np.zeros(e.N_BODY)
    row[e.B_T : e.B_T + 3], row[e.B_N1 : e.B_N1 + 3], row[e.B_N2 : e.B_N2 + 3] = body.frame[1:]
    row[e.B_LENGTH], row[e.B_DIAMETER], row[e.B_FRONTAL] = profile.length, diameter, frontal
    row[e.B_WETTED] = body.skin
    area = section_shape(cut.n).area * cut.b * cut.c
    # 1 for an ellipsoid, whose mean section is 2/3 of its largest
    row[e.B_ROUND] = min(3.0 * (1.0 - float(area.mean()) / frontal), 1.0)
    row[e.B_SPHERE] = row[e.B_ROUND] * (ratio**-2 if ratio >= 1.0 else ratio**2)
    row[e.B_END_RELIEF] = end_relief(ratio)
    row[e.B_TAIL] = 1.0 - float(area[-1]) / frontal
    return row
