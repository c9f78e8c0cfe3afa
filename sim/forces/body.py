"""Drag of solid bodies, strip by strip, and the side force of the flow that leaves their tails."""

import math

from sim.compiled import FLAG, REAL, ROW, TABLE, WHOLE, kernel
from sim.elements import (
    B_DIAMETER,
    B_END_RELIEF,
    B_FIRST,
    B_FRONTAL,
    B_LAST,
    B_LENGTH,
    B_N1,
    B_N2,
    B_ROUND,
    B_SPHERE,
    B_T,
    B_TAIL,
    B_WETTED,
    RX,
    S_CD1,
    S_CD2,
    S_GAIN1,
    S_GAIN2,
    S_LEAN1,
    S_LEAN2,
    S_PLAN,
    S_ROLL,
    S_SHARE,
    S_SHED1_AFT,
    S_SHED1_FORE,
    S_SHED2_AFT,
    S_SHED2_FORE,
    S_SIDE,
    S_TWIST,
)
from sim.forces.inputs import (
    COEFFICIENT_INDEX,
    K_AIR,
    K_SPIN,
    K_WATER,
    NU_A,
    NU_W,
    RHO_A,
    RHO_W,
    SHELTER,
    SPOILED,
    WET,
    push,
    velocity_at,
)
from sim.forces.laws import cylinder_cd, sphere_cd, streamlined_cd

G_ADDED = COEFFICIENT_INDEX["added_mass"]
G_MUNK = COEFFICIENT_INDEX["munk"]
G_CROSS = COEFFICIENT_INDEX["cross_drag"]
G_AXIAL = COEFFICIENT_INDEX["axial_drag"]
G_RELIEF = COEFFICIENT_INDEX["tail_relief"]
G_TWIST = COEFFICIENT_INDEX["cross_relief"]
G_ROLL = COEFFICIENT_INDEX["roll_drag"]

TWIST_LOST = 0.8
"""Share of the ideal (Munk) twisting moment that an oval section loses in separated cross flow; less, the flatter it is
(`sim.lure.strips`). Judgement, from a flat plate stalled at 45 degrees: ideal moment coefficient pi/4 on the width
squared; measured about CN = 1.4 with its centre of pressure at 0.4 of the width, so 0.14."""


@kernel(TABLE, TABLE, TABLE, TABLE, ROW, ROW, ROW, ROW)
def body_drag(bodies, strips, common, wet, kin, env, coefficients, out):
    """Drag of every body in water and in air.

    A body is part sphere, part slender rod (`B_SPHERE`). The sphere's part resists alike in all directions
    with the sphere's Cd(Re). The rod's part follows the cross-flow principle: across, each strip feels the
    square of the velocity across it; along, skin friction times a form factor.
    Standing: the two limits are published fits; the mixing rule is judgement.
    """
    for b in range(bodies.shape[0]):
        body = bodies[b]
        some_wet = False
        some_dry = False
        for i in range(int(body[B_FIRST]), int(body[B_LAST])):
            some_wet = some_wet or wet[i, WET] > 0.0
            some_dry = some_dry or wet[i, WET] < 1.0
        if some_wet:
            _one_medium(
                body, strips, common, wet, kin, K_WATER, env[RHO_W], env[NU_W], True, coefficients, out
            )
        if some_dry:
            _one_medium(
                body, strips, common, wet, kin, K_AIR, env[RHO_A], env[NU_A], False, coefficients, out
            )


@kernel(ROW, TABLE, TABLE, TABLE, ROW, WHOLE, REAL, REAL, FLAG, ROW, ROW)
def _one_medium(body, strips, common, wet, kin, at, rho, nu, is_water, coefficients, out):
    first, last = int(body[B_FIRST]), int(body[B_LAST])
    t0, t1, t2 = body[B_T], body[B_T + 1], body[B_T + 2]
    l0, l1, l2 = body[B_N1], body[B_N1 + 1], body[B_N1 + 2]
    n0, n1, n2 = body[B_N2], body[B_N2 + 1], body[B_N2 + 2]
    wx, wy, wz = kin[K_SPIN], kin[K_SPIN + 1], kin[K_SPIN + 2]
    length = body[B_LENGTH]
    diameter = body[B_DIAMETER]

    # Reynolds numbers from the middle of the body, its turning counted at a quarter of its length
    middle = (first + last) // 2
    rx, ry, rz = common[middle, RX], common[middle, RX + 1], common[middle, RX + 2]
    mx, my, mz = velocity_at(kin, at, K_SPIN, rx, ry, rz)
    along = mx * t0 + my * t1 + mz * t2
    left = mx * l0 + my * l1 + mz * l2
    up = mx * n0 + my * n1 + mz * n2
    turn1 = wx * l0 + wy * l1 + wz * l2
    turn2 = wx * n0 + wy * n1 + wz * n2
    across2 = left * left + up * up + (turn1 * turn1 + turn2 * turn2) * length * length / 16.0
    whole = math.sqrt(across2 + along * along)
    ball = body[B_SPHERE]
    cd_ball = ball * sphere_cd(whole * diameter / nu)
    cd_rod = (1.0 - ball) * cylinder_cd(math.sqrt(across2) * diameter / nu, body[B_END_RELIEF])
    cd_along = (1.0 - ball) * streamlined_cd(
        whole * length / nu,
        min(diameter / length, 1.0),
        body[B_WETTED] / body[B_FRONTAL],
        body[B_ROUND],  # square ends have faces of their own
        body[B_ROUND] * body[B_TAIL],
    )

    half_rho = 0.5 * rho
    ideal = (
        coefficients[G_MUNK] * coefficients[G_ADDED]
    )  # reliefs of a moment that must be there to be relieved
    spin = wx * t0 + wy * t1 + wz * t2
    headed, spoiled = 0.0, 0.0  # how far a lip's dead water covers its head, and runs along its belly or back
    if is_water:
        for i in range(first, last):
            headed = max(headed, wet[i, SHELTER])
            spoiled = max(spoiled, wet[i, SPOILED])
        headed = min(2.0 * headed, 1.0)
    for i in range(first, last):
        share = wet[i, WET] if is_water else 1.0 - wet[i, WET]
        if share <= 0.0:
            continue
        rx, ry, rz = common[i, RX], common[i, RX + 1], common[i, RX + 2]
        px, py, pz = velocity_at(kin, at, K_SPIN, rx, ry, rz)
        a = px * t0 + py * t1 + pz * t2
        c1 = px * l0 + py * l1 + pz * l2
        c2 = px * n0 + py * n1 + pz * n2
        across1 = math.sqrt(c1 * c1 + strips[i, S_LEAN1] * c2 * c2)
        across2 = math.sqrt(strips[i, S_LEAN2] * c1 * c1 + c2 * c2)
        speed = math.sqrt(c1 * c1 + c2 * c2 + a * a)
        sheltered = wet[i, SHELTER] if is_water else 0.0
        q = half_rho * share * (1.0 - sheltered)
        ball_part = cd_ball * speed
        f1 = (
            -q
            * coefficients[G_CROSS]
            * (ball_part + cd_rod * across1 * strips[i, S_CD1])
            * strips[i, S_SIDE]
            * c1
        )
        f2 = (
            -q
            * coefficients[G_CROSS]
            * (ball_part + cd_rod * across2 * strips[i, S_CD2])
            * strips[i, S_PLAN]
            * c2
        )
        fa = (
            -q
            * coefficients[G_AXIAL]
            * (ball_part + cd_along * abs(a))
            * body[B_FRONTAL]
            * strips[i, S_SHARE]
            * a
        )
        if a > 0.0:
            shed1, shed2 = strips[i, S_SHED1_FORE], strips[i, S_SHED2_FORE]
            gain1, gain2 = strips[i, S_GAIN1], strips[i, S_GAIN2]
        else:
            shed1, shed2 = strips[i, S_SHED1_AFT], strips[i, S_SHED2_AFT]
            gain1, gain2 = -strips[i, S_GAIN1], -strips[i, S_GAIN2]
        lost = rho * share * ideal * abs(a)
        # behind a lip's dead water the flow leaves the body where it begins to narrow; what widens there feels no push
        tail1 = shed1 + headed * (max(-gain1, 0.0) - shed1)
        tail2 = shed2 + spoiled * (max(-gain2, 0.0) - shed2)
        f1 += lost * (sheltered * max(gain1, 0.0) * c1 - coefficients[G_RELIEF] * tail1 * c1)
        f2 += lost * (sheltered * max(gain2, 0.0) * c2 - coefficients[G_RELIEF] * tail2 * c2)
        push(
            out,
            fa * t0 + f1 * l0 + f2 * n0,
            fa * t1 + f1 * l1 + f2 * n1,
            fa * t2 + f1 * l2 + f2 * n2,
            rx,
            ry,
            rz,
        )
        twist = rho * share * ideal * TWIST_LOST * coefficients[G_TWIST] * strips[i, S_TWIST] * c1 * c2
        roll = -twist - q * coefficients[G_ROLL] * strips[i, S_ROLL] * abs(spin) * spin
        out[3] += roll * t0
        out[4] += roll * t1
        out[5] += roll * t2
