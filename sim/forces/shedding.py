"""Vortex shedding behind lips, blunt faces and free plates, as a wake oscillator.

    q'' + eps W (q^2 - 1) q' + W^2 q = (A/D) y'',   W = 2 pi St U / D

kept as q' = W p, p' = W (A y''/(W^2 D) - eps (q^2 - 1) p - q): the wake's own time is the number of widths the flow
has passed, so that when the flow stops, or the plate leaves the water, the wake stands still instead of coasting on.
For a steady flow both are the same.

Facchinetti, de Langre & Biolley 2004, J. Fluids Struct. 19, 123-140 (equation and constants from memory).
St = 0.15 (1 - 20/Re) on the plate's width, times its wet share: 0.15 is the usual value for bluff plates, the fall
toward low Re that of Roshko 1954 for a cylinder (both from memory); below Re = 20 nothing sheds. The constants A, eps,
C_L0 and C_D are the paper's, for a cylinder.

A lip or a blunt face heads a body, and its vortices push that head to the side, along the plate's width, with
1/2 rho S U_n (U (C_L0/2) q - C_D (y' - s)), U_n being the speed square to the plate and s its sway averaged over a
period of the wake, s' = (W/2 pi) (y' - s): the damping is that of a section that swings, and a plate that only slips
to the side feels none of it. A free plate feels pressure only square to itself; its vortices move that pressure from
edge to edge and rock it about its long side, with the same lift on an arm of a quarter of the short side; y is then
the motion of an edge. Standing: how the force acts on a plate, and the average, are judgement.
"""

import math

from sim.compiled import ROW, TABLE, WHOLE, compiled, kernel
from sim.elements import (
    P_AREA,
    P_C,
    P_LENGTH,
    P_N,
    P_R,
    P_ROCKS,
    P_ROW,
    P_S,
    P_SHED,
    P_SHED_D,
    P_WIDTH,
)
from sim.forces.inputs import (
    COEFFICIENT_INDEX,
    K_SPIN,
    K_WATER,
    NU_W,
    RHO_W,
    WET,
    push,
    velocity_at,
)
from sim.forces.state import N_WAKE

G_SHED = COEFFICIENT_INDEX["shedding"]

STROUHAL = 0.15
LEAST_RE = 20.0
FORCING = 12.0  # A
GROWTH = 0.3  # eps
LIFT = 0.3  # C_L0
DRAG = 2.0  # C_D of the swinging section: gamma = C_D/(4 pi St) = 0.8 at the paper's St = 0.2
ROCK_ARM = 0.25  # of the short side


@kernel(TABLE, TABLE, ROW, ROW, ROW, ROW, TABLE, WHOLE, WHOLE)
def shedding_force(plates, wet, kin, env, coefficients, q, rows, first, apart):
    """Force or moment of every oscillator; q holds (q, p, mean sway) of each. Plate k adds to row first + apart * k."""
    for k in range(plates.shape[0]):
        index = int(plates[k, P_SHED])
        if index < 0:
            continue
        plate, out = plates[k], rows[first + apart * k]
        share = wet[int(plate[P_ROW]), WET]
        vx, vy, vz = velocity_at(kin, K_WATER, K_SPIN, plate[P_R], plate[P_R + 1], plate[P_R + 2])
        speed = math.sqrt(vx * vx + vy * vy + vz * vz)
        broad = abs(vx * plate[P_N] + vy * plate[P_N + 1] + vz * plate[P_N + 2])
        scale = 0.5 * env[RHO_W] * share * plate[P_AREA] * coefficients[G_SHED] * broad
        lift = 0.5 * LIFT * speed * q[N_WAKE * index]
        if plate[P_ROCKS] > 0.0:
            at = _long_side(plate)
            moment = scale * lift * ROCK_ARM * plate[P_SHED_D]
            out[3] += moment * plate[at]
            out[4] += moment * plate[at + 1]
            out[5] += moment * plate[at + 2]
        else:
            sway = vx * plate[P_S] + vy * plate[P_S + 1] + vz * plate[P_S + 2]
            side = scale * (lift - DRAG * (sway - q[N_WAKE * index + 2]))
            push(
                out,
                side * plate[P_S],
                side * plate[P_S + 1],
                side * plate[P_S + 2],
                plate[P_R],
                plate[P_R + 1],
                plate[P_R + 2],
            )


@kernel(TABLE, TABLE, ROW, ROW, ROW, ROW, ROW, ROW)
def shedding_rate(plates, wet, kin, env, acceleration, coefficients, q, rate):
    """Rates of the oscillators, given the lure's acceleration (6) in its own axes."""
    for k in range(plates.shape[0]):
        index = int(plates[k, P_SHED])
        if index < 0:
            continue
        plate = plates[k]
        vx, vy, vz = velocity_at(kin, K_WATER, K_SPIN, plate[P_R], plate[P_R + 1], plate[P_R + 2])
        speed = math.sqrt(vx * vx + vy * vy + vz * vz)
        strouhal = STROUHAL * max(1.0 - LEAST_RE * env[NU_W] / max(speed * plate[P_SHED_D], 1e-12), 0.0)
        pulse = 2.0 * math.pi * strouhal * speed / plate[P_SHED_D] * wet[int(plate[P_ROW]), WET]
        if plate[P_ROCKS] > 0.0:
            at = _long_side(plate)
            turn = (
                acceleration[3] * plate[at]
                + acceleration[4] * plate[at + 1]
                + acceleration[5] * plate[at + 2]
            )
            sideways = 0.5 * plate[P_SHED_D] * turn
        else:
            sideways = _acceleration(plate, kin, acceleration, vx, vy, vz)
        value = q[N_WAKE * index]
        slope = q[N_WAKE * index + 1]
        # the model was fitted to swings of up to about one width: y'' = W^2 D; past that its push is held
        push_back = 0.0
        if pulse > 1e-9:
            swing = sideways * coefficients[G_SHED] / (pulse * pulse * plate[P_SHED_D])
            push_back = FORCING * math.tanh(swing)
        sway = vx * plate[P_S] + vy * plate[P_S + 1] + vz * plate[P_S + 2]
        rate[N_WAKE * index] = pulse * slope
        rate[N_WAKE * index + 1] = pulse * (push_back - GROWTH * (value * value - 1.0) * slope - value)
        rate[N_WAKE * index + 2] = pulse / (2.0 * math.pi) * (sway - q[N_WAKE * index + 2])


@compiled
def _acceleration(plate, kin, acceleration, vx, vy, vz):
    """Acceleration of the plate's centre in space along its width: v' + w' x r + w x (v + w x r)."""
    wx, wy, wz = kin[K_SPIN], kin[K_SPIN + 1], kin[K_SPIN + 2]
    rx, ry, rz = plate[P_R], plate[P_R + 1], plate[P_R + 2]
    ax = acceleration[0] + acceleration[4] * rz - acceleration[5] * ry + wy * vz - wz * vy
    ay = acceleration[1] + acceleration[5] * rx - acceleration[3] * rz + wz * vx - wx * vz
    az = acceleration[2] + acceleration[3] * ry - acceleration[4] * rx + wx * vy - wy * vx
    return ax * plate[P_S] + ay * plate[P_S + 1] + az * plate[P_S + 2]


@compiled
def _long_side(plate):
    """Column of the unit vector along the plate's longer side."""
    return P_C if plate[P_LENGTH] >= plate[P_WIDTH] else P_S
