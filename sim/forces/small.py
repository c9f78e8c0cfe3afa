"""Drag of wires, hooks and fittings."""

import math

from sim.compiled import ROW, TABLE, kernel
from sim.elements import H_ACROSS, H_CDA, H_MASS, H_ROW, RX, VOLUME, W_DIAMETER, W_LENGTH, W_ROW, W_T
from sim.forces.inputs import (
    COEFFICIENT_INDEX,
    GRAVITY,
    K_AIR,
    K_SPIN,
    K_UP,
    K_WATER,
    NU_A,
    NU_W,
    RHO_A,
    RHO_W,
    SHELTER,
    WET,
    push,
    velocity_at,
)
from sim.forces.laws import cylinder_cd

G_WIRE = COEFFICIENT_INDEX["wire_drag"]
G_HOOK = COEFFICIENT_INDEX["hook_drag"]

ALONG_CD = 0.02
"""Drag of a wire along itself, on diameter times length. Source: Hoerner 1965, ch. III, skin friction of inclined
cables (page from memory)."""


@kernel(TABLE, TABLE, TABLE, ROW, ROW, ROW, ROW)
def wire_drag(wires, common, wet, kin, env, coefficients, out):
    """Cross-flow drag of straight wires, Cd(Re) of a cylinder on the velocity across them."""
    for k in range(wires.shape[0]):
        wire = wires[k]
        row = int(wire[W_ROW])
        rx, ry, rz = common[row, RX], common[row, RX + 1], common[row, RX + 2]
        t0, t1, t2 = wire[W_T], wire[W_T + 1], wire[W_T + 2]
        for medium in range(2):
            share = wet[row, WET] if medium == 0 else 1.0 - wet[row, WET]
            if share <= 0.0:
                continue
            at = K_WATER if medium == 0 else K_AIR
            rho = env[RHO_W] if medium == 0 else env[RHO_A]
            nu = env[NU_W] if medium == 0 else env[NU_A]
            vx, vy, vz = velocity_at(kin, at, K_SPIN, rx, ry, rz)
            along = vx * t0 + vy * t1 + vz * t2
            ax, ay, az = vx - along * t0, vy - along * t1, vz - along * t2
            across = math.sqrt(ax * ax + ay * ay + az * az)
            area = wire[W_DIAMETER] * wire[W_LENGTH]
            plain = -0.5 * rho * share * area * coefficients[G_WIRE]
            q = plain * cylinder_cd(across * wire[W_DIAMETER] / nu)
            rub = plain * ALONG_CD * abs(along) * along
            push(
                out,
                q * across * ax + rub * t0,
                q * across * ay + rub * t1,
                q * across * az + rub * t2,
                rx,
                ry,
                rz,
            )


@kernel(TABLE, TABLE, TABLE, ROW, ROW, ROW, ROW)
def blob_drag(blobs, common, wet, kin, env, coefficients, out):
    """Drag of hooks and fittings at their hangers.

    A fitting resists alike in every direction. A hook swings: it hangs from its eye and streams out behind, where the
    moments of its weight in the fluid and of the drag across it balance, as a hinged rod: with r = drag square on over
    weight, cos b = 2 r / (1 + sqrt(1 + 4 r^2)), b between hook and stream. Its drag is that of its bends seen from
    behind and, for the rest, the cross-flow principle's sin^3 b. Only the level part of the stream swings it.
    Closed form for a hinged rod; the areas are geometry (`sim.lure.small`).
    """
    u0, u1, u2 = kin[K_UP], kin[K_UP + 1], kin[K_UP + 2]
    for k in range(blobs.shape[0]):
        row = int(blobs[k, H_ROW])
        rx, ry, rz = common[row, RX], common[row, RX + 1], common[row, RX + 2]
        for medium in range(2):
            share = wet[row, WET] if medium == 0 else 1.0 - wet[row, WET]
            if share <= 0.0:
                continue
            at = K_WATER if medium == 0 else K_AIR
            rho = env[RHO_W] if medium == 0 else env[RHO_A]
            vx, vy, vz = velocity_at(kin, at, K_SPIN, rx, ry, rz)
            speed2 = vx * vx + vy * vy + vz * vz
            area = blobs[k, H_CDA]
            if medium == 0:
                share *= 1.0 - wet[row, SHELTER]
            if blobs[k, H_ACROSS] > 0.0 and speed2 > 0.0:
                rise = vx * u0 + vy * u1 + vz * u2
                level2 = max(speed2 - rise * rise, 0.0)
                pull = 0.5 * rho * blobs[k, H_ACROSS] * level2
                heavy = max(blobs[k, H_MASS] - rho * common[row, VOLUME], 0.0) * env[GRAVITY]
                streams = (
                    2.0 * pull / (heavy + math.sqrt(heavy * heavy + 4.0 * pull * pull)) if pull > 0.0 else 0.0
                )
                sine2 = 1.0 - streams * streams
                area += blobs[k, H_ACROSS] * sine2 * math.sqrt(sine2) * level2 / speed2
            q = -0.5 * rho * share * area * coefficients[G_HOOK] * math.sqrt(speed2)
            push(out, q * vx, q * vy, q * vz, rx, ry, rz)
