"""Drag of wires, hooks and fittings."""

import math

from sim.compiled import ROW, TABLE, kernel
from sim.elements import H_CDA, H_ROW, RX, W_DIAMETER, W_LENGTH, W_ROW, W_T
from sim.forces.inputs import (
    COEFFICIENT_INDEX,
    K_AIR,
    K_SPIN,
    K_WATER,
    NU_A,
    NU_W,
    RHO_A,
    RHO_W,
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


@kernel(f"void({TABLE}, {TABLE}, {TABLE}, {ROW}, {ROW}, {ROW}, {ROW})")
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


@kernel(f"void({TABLE}, {TABLE}, {TABLE}, {ROW}, {ROW}, {ROW}, {ROW})")
def blob_drag(blobs, common, wet, kin, env, coefficients, out):
    """Drag of hooks and fittings at their hangers, alike in every direction."""
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
            q = (
                -0.5
                * rho
                * share
                * blobs[k, H_CDA]
                * coefficients[G_HOOK]
                * math.sqrt(vx * vx + vy * vy + vz * vz)
            )
            push(out, q * vx, q * vy, q * vz, rx, ry, rz)
