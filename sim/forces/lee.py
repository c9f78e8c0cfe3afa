"""The dead water behind a lip, and how much of what lies behind is in it.

Past its stall a lip leaves water behind it that goes along with the lure: as wide as the lip and as high as the
stream sees it, straight back along the lip's own path, by the share of its flow that has separated. It holds to the
end of the bubble; beyond, the stream comes back as behind a disc, by the power of two thirds. An element counts by
the share of its width and height that is covered. Where it runs along a body's belly or back, the tail is left by the
flow across that side from where it begins to narrow, whether it lies in the dead water or has risen out of it.
Standing: judgement; the length of the bubble and the power are a disc's, Carmody 1964, J. Basic Eng. 86 (from memory).
"""

import math

from sim.compiled import ROW, TABLE, compiled, kernel
from sim.elements import (
    P_AREA,
    P_C,
    P_LENGTH,
    P_N,
    P_R,
    P_ROW,
    P_S,
    P_SHELTERS,
    P_STALL_LONG,
    P_WIDTH,
    QXX,
    QXY,
    QXZ,
    QYY,
    QYZ,
    QZZ,
    RX,
)
from sim.forces.inputs import COEFFICIENT_INDEX, K_SPIN, K_WATER, SHELTER, SPOILED, WET, velocity_at
from sim.forces.plate import held

G_SHELTER = COEFFICIENT_INDEX["shelter"]

LEAST = 1e-4  # share that is not worth the sum (numerical)
BUBBLE = 2.5  # length of the dead water, in widths of a square of the lip's area


@kernel(TABLE, TABLE, TABLE, ROW, ROW)
def shelter(plates, common, wet, kin, coefficients):
    """Fill the column `SHELTER` of `wet`: the share of each element that lies in dead water, 0 to 1."""
    for i in range(common.shape[0]):
        wet[i, SHELTER] = wet[i, SPOILED] = 0.0
    for k in range(plates.shape[0]):
        plate = plates[k]
        if plate[P_SHELTERS] == 0.0 or wet[int(plate[P_ROW]), WET] <= 0.0:
            continue
        rx, ry, rz = plate[P_R], plate[P_R + 1], plate[P_R + 2]
        vx, vy, vz = velocity_at(kin, K_WATER, K_SPIN, rx, ry, rz)
        speed = math.sqrt(vx * vx + vy * vy + vz * vz)
        if speed < 1e-9:
            continue
        u0, u1, u2 = vx / speed, vy / speed, vz / speed
        square = abs(u0 * plate[P_N] + u1 * plate[P_N + 1] + u2 * plate[P_N + 2])
        incidence = math.asin(min(square, 1.0))
        gone = 1.0 - held(incidence, plate[P_STALL_LONG])
        gone *= coefficients[G_SHELTER] * wet[int(plate[P_ROW]), WET]
        if gone < LEAST:
            continue
        # across the stream: along the lip's width, and square to that
        s0, s1, s2 = plate[P_S], plate[P_S + 1], plate[P_S + 2]
        along = s0 * u0 + s1 * u1 + s2 * u2
        s0, s1, s2 = s0 - along * u0, s1 - along * u1, s2 - along * u2
        size = math.sqrt(s0 * s0 + s1 * s1 + s2 * s2)
        if size < 1e-6:
            continue
        s0, s1, s2 = s0 / size, s1 / size, s2 / size
        h0, h1, h2 = u1 * s2 - u2 * s1, u2 * s0 - u0 * s2, u0 * s1 - u1 * s0
        wide = 0.5 * plate[P_WIDTH] * size
        high = 0.5 * plate[P_LENGTH] * abs(plate[P_C] * h0 + plate[P_C + 1] * h1 + plate[P_C + 2] * h2)
        bubble = BUBBLE * math.sqrt(plate[P_AREA])
        for i in range(common.shape[0]):
            dx, dy, dz = common[i, RX] - rx, common[i, RX + 1] - ry, common[i, RX + 2] - rz
            behind = -(dx * u0 + dy * u1 + dz * u2)
            if behind <= 0.0:
                continue
            covered = _overlap(dx * s0 + dy * s1 + dz * s2, _reach(common, i, s0, s1, s2), wide)
            if covered <= 0.0:
                continue
            if behind > bubble:
                covered *= (bubble / behind) ** (2.0 / 3.0)
            wet[i, SPOILED] = max(wet[i, SPOILED], gone * covered)
            covered *= _overlap(dx * h0 + dy * h1 + dz * h2, _reach(common, i, h0, h1, h2), high)
            if covered > 0.0:
                wet[i, SHELTER] = min(wet[i, SHELTER] + gone * covered, 1.0)


@compiled
def _reach(common, i, x, y, z):
    """Half the size of element i along a unit vector."""
    return math.sqrt(
        max(
            common[i, QXX] * x * x
            + common[i, QYY] * y * y
            + common[i, QZZ] * z * z
            + 2.0 * (common[i, QXY] * x * y + common[i, QXZ] * x * z + common[i, QYZ] * y * z),
            0.0,
        )
    )


@compiled
def _overlap(offset, half, cover):
    """Share of a span of half size `half` about `offset` that lies within `cover` of nought."""
    top, bottom = min(offset + half, cover), max(offset - half, -cover)
    return max(top - bottom, 0.0) / (2.0 * half) if half > 0.0 else 0.0
