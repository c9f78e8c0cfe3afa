"""Plate coefficients by aspect ratio, and the rows of the element tables for plates and blunt end faces."""

from __future__ import annotations

import math

import numpy as np

from sim import elements as e
from sim.forces.laws import edge_lift, lift_slope, stalled_relief
from sim.lure import added_mass as am
from sim.lure.bodies import BuiltBody, end_areas
from sim.lure.moments import Array
from sim.lure.small import PlateShape

CENTRE_AR = (0.02, 0.25, 0.5, 1.0, 2.0, 4.0, 50.0)
CENTRE_AT = (0.0, 0.061, 0.110, 0.167, 0.209, 0.232, 0.25)
"""Attached centre of pressure behind the leading edge, as a share of the chord, against aspect ratio: linear
lifting surface solved on a horseshoe lattice and extrapolated; the ends are the slender and the endless
wing."""

TURN_AR = (0.25, 0.5, 1.0, 2.0, 4.0, 8.0, 200.0)
TURN_AT = (0.0, 0.004, 0.020, 0.048, 0.076, 0.096, 0.125)
"""Place ahead of the middle, as a share of the chord, where the lift of a turning attached plate acts that the lift
of its front point leaves out: the same lattice with a plate that turns; the ends are the slender wing and
Theodorsen's, whose damping about the middle is nought."""

ROLL_AR = (0.1, 0.5, 1.0, 2.0, 4.0, 8.0, 200.0)
ROLL_DAMPING = (0.0312, 0.0318, 0.0336, 0.0384, 0.0466, 0.0566, 0.0833)
"""Roll damping over lift slope and span squared: the same lattice, twisted; 1/32 for a slender wing (Ribner 1947,
NACA TN 1423, from memory), 1/12 for an endless one."""

BROAD_AR = (1.0, 5.0, 10.0)
BROAD_CD = (1.17, 1.20, 1.50)
BROAD_ENDLESS = 1.98
"""Drag of a plate square to the flow against long over short side. 1 and endless: Matthews 2002, p. 95
(published); 5 and 10: DNV-RP-H103 table B-2 (from memory)."""

FACE_INTO, FACE_LEE = 0.7, 0.2
"""A flat end face pushed into the flow, and one in the lee, over 1/2 rho U^2 and its area: together about
the 0.9 of a cylinder end-on (Matthews 2002, p. 95, 0.85 to 0.99). The split between them is judgement."""

FREE = ("spoon", "blade")
"""Plates that swing free: their own vortices rock them. A lip's act on the body behind it."""

SHED_LEAST = 0.04
"""Short side over the lure's length below which a plate's own vortices are too small to move the lure (judgement)."""

SHED_FACE = 0.5  # a nose face wider than this share of the body sheds; judgement


def centre_of_pressure(aspect: float) -> float:
    """Attached centre of pressure behind the leading edge, as a share of the chord."""
    return float(np.interp(math.log(aspect), np.log(CENTRE_AR), CENTRE_AT))


STALL_AR = (1.0, 2.0, 6.0)
STALL_AT = (40.0, 19.5, 12.0)
"""Angle (degrees) where the attached flow lets go, linear in log of the aspect ratio. Judgement: the middle one is
fitted to a plate of aspect 2 at 15, 20 and 25 degrees (Pelletier & Mueller 2000, digits from memory), and those
points check nothing; the ends are common figures for thin plates (from memory)."""

CUP_INTO, CUP_LEE = 1.33 / 1.17, 0.34 / 1.17
"""Drag of a half sphere's shell over a flat plate's, its hollow into the stream and away from it: Matthews 2002, p. 95
(published). A shallower dish lies between it and the flat plate in proportion to its depth (judgement)."""

BENT_MOST = 1.0  # twice the bulge over the width; a half sphere


def stall(aspect: float) -> float:
    """Angle (rad) where the attached flow lets go of a plate held still."""
    return math.radians(float(np.interp(math.log(aspect), np.log(STALL_AR), STALL_AT)))


def broadside(ratio: float) -> float:
    """Drag coefficient square to the flow, by long over short side."""
    if ratio > BROAD_AR[-1]:
        return BROAD_ENDLESS - (BROAD_ENDLESS - BROAD_CD[-1]) * BROAD_AR[-1] / ratio
    return float(np.interp(math.log(ratio), np.log(BROAD_AR), BROAD_CD))


def plate_row(plate: PlateShape, row: int, shed: int) -> Array:
    """Its row of the plate table (N_PLATE,)."""
    lengthwise, widthwise = plate.width**2 / plate.area, plate.length**2 / plate.area
    c90 = broadside(max(plate.length, plate.width) ** 2 / plate.area if plate.area > 0 else 1.0)
    out = np.zeros(e.N_PLATE)
    out[e.P_ROW] = row
    out[e.P_R : e.P_R + 3], out[e.P_C : e.P_C + 3] = plate.r, plate.c
    out[e.P_S : e.P_S + 3], out[e.P_N : e.P_N + 3] = plate.s, plate.n
    out[e.P_LENGTH], out[e.P_WIDTH], out[e.P_AREA] = plate.length, plate.width, plate.area
    out[e.P_KP_LONG], out[e.P_KP_WIDE] = lift_slope(lengthwise), lift_slope(widthwise)
    out[e.P_XA_LONG], out[e.P_XA_WIDE] = centre_of_pressure(lengthwise), centre_of_pressure(widthwise)
    out[e.P_STALL_LONG], out[e.P_STALL_WIDE] = stall(lengthwise), stall(widthwise)
    for aspect, place, roll in (
        (lengthwise, e.P_XS_LONG, e.P_ROLL_LONG),
        (widthwise, e.P_XS_WIDE, e.P_ROLL_WIDE),
    ):
        out[place] = np.interp(math.log(aspect), np.log(TURN_AR), TURN_AT)
        out[roll] = np.interp(math.log(aspect), np.log(ROLL_AR), ROLL_DAMPING)
    out[e.P_KV_LONG] = edge_lift(lengthwise, out[e.P_XA_LONG])
    out[e.P_KV_WIDE] = edge_lift(widthwise, out[e.P_XA_WIDE])
    out[e.P_RELIEF_LONG], out[e.P_RELIEF_WIDE] = stalled_relief(lengthwise), stalled_relief(widthwise)
    out[e.P_REACH_C], out[e.P_REACH_S] = plate.reach_c, plate.reach_s
    bend_c, bend_s = 2.0 * plate.camber / plate.length, 2.0 * plate.cup / plate.width
    out[e.P_BEND_C], out[e.P_BEND_S] = bend_c, bend_s
    # the four leaves of a bent plate stand askew; square on, the whole is to have the dish's own drag
    tilt_c, tilt_s = 4.0 * bend_c * plate.reach_c / plate.length, 4.0 * bend_s * plate.reach_s / plate.width
    leaves = 1.0 + tilt_c**2 + tilt_s**2
    deep = min(max(0.5 * (bend_c + bend_s), -BENT_MOST), BENT_MOST)
    lee, into = (1.0 + abs(deep) * (part - 1.0) for part in (CUP_LEE, CUP_INTO))
    front, back = (lee, into) if deep >= 0.0 else (into, lee)
    out[e.P_C90_FRONT], out[e.P_C90_BACK] = c90 * leaves * front, c90 * leaves * back
    out[e.P_ROCKS] = float(plate.role in FREE)
    out[e.P_SHED] = shed
    out[e.P_SHED_D] = min(plate.length, plate.width) if plate.role in FREE else plate.width
    out[e.P_ROT] = out[e.P_OPEN] = out[e.P_SHARE] = 1.0
    out[e.P_SHELTERS] = float(plate.role == "lip")
    out[e.P_THICK] = plate.thickness
    out[e.P_CARRIED] = carried(plate)[0]
    return out


def plate_place(plate: PlateShape, volume: float) -> Array:
    """Its row of `common` (N_COMMON,).

    Half extents are the true half sizes: a plate standing in the surface is wet from its lower edge to its
    upper.
    """
    q = (
        np.outer(plate.c, plate.c) * (0.5 * plate.length) ** 2
        + np.outer(plate.s, plate.s) * (0.5 * plate.width) ** 2
        + np.outer(plate.n, plate.n) * (0.5 * plate.thickness) ** 2
    )
    return common_row(plate.r, q, volume)


def carried(plate: PlateShape) -> tuple[float, float, float]:
    """Added mass across the plate (m3) and squares of its radii of gyration along length and width (m2)."""
    if plate.oval:
        return am.oval_plate(plate.length, plate.width)
    return am.plate(plate.length, plate.width, plate.area)


def plate_added(plate: PlateShape) -> Array:
    """Its row of `added` (N_ADDED,)."""
    mass, r2_long, r2_wide = carried(plate)
    at = plate.r[None, :]
    added = am.moved(np.array([mass]), plate.n, at)
    added = added + am.turned(np.array([mass * r2_long]), plate.s)
    added = added + am.turned(np.array([mass * r2_wide]), plate.c)
    return np.asarray(added[0])


def common_row(r: Array, q: Array, volume: float) -> Array:
    """A row of `common` from centre (3,), half-extent matrix (3, 3) and volume."""
    row = np.zeros(e.N_COMMON)
    row[: e.VOLUME + 1] = *r, q[0, 0], q[1, 1], q[2, 2], q[0, 1], q[0, 2], q[1, 2], volume
    return row


def faces(body: BuiltBody) -> list[tuple[Array, Array, bool]]:
    """Flat end faces of a body: rows of `common` and of the plate table, and whether the face sheds.

    A face has no volume and no added mass of its own (its body has them) and no attached lift. Its row
    number and oscillator are filled in by the caller.
    """
    out = []
    profile, frame = body.profile, body.frame
    for area, s, forward in zip(end_areas(profile), (profile.start, profile.end), (1.0, -1.0), strict=True):
        if area <= 0.0:
            continue
        cut = profile.at(np.array([s]))
        b, c = float(cut.b[0]), float(cut.c[0])
        r = frame.nose - s * frame.along + float(cut.z0[0]) * frame.up
        normal, long, wide = forward * frame.along, frame.up, -forward * frame.left
        row = np.zeros(e.N_PLATE)
        row[e.P_R : e.P_R + 3], row[e.P_C : e.P_C + 3] = r, long
        row[e.P_S : e.P_S + 3], row[e.P_N : e.P_N + 3] = wide, normal
        row[e.P_LENGTH], row[e.P_WIDTH], row[e.P_AREA] = 2.0 * c, 2.0 * b, area
        row[e.P_REACH_C], row[e.P_REACH_S] = 0.5 * c, 0.5 * b
        row[e.P_XA_LONG] = row[e.P_XA_WIDE] = 0.5
        row[e.P_STALL_LONG] = row[e.P_STALL_WIDE] = (
            0.5  # unused: no attached lift, but never a division by zero
        )
        row[e.P_C90_FRONT], row[e.P_C90_BACK] = FACE_INTO, FACE_LEE
        row[e.P_SHARE] = 1.0
        row[e.P_SHED], row[e.P_SHED_D] = -1, 2.0 * math.sqrt(area / math.pi)
        q = np.outer(long, long) * c**2 + np.outer(wide, wide) * b**2
        widest = profile.at(np.linspace(profile.start, profile.end, 101))
        sheds = forward > 0.0 and math.sqrt(b * c) > SHED_FACE * math.sqrt(float((widest.b * widest.c).max()))
        out.append((common_row(r, q, 0.0), row, sheds))
    return out
