"""The one right-hand side: a lure's whole cast, in air, through the surface and in water.

State (SI): [0:3] origin, world; [3:7] quaternion, scalar first, body to world (v_world = q v_body q*);
[7:10] velocity of the origin in body axes; [10:13] angular velocity in body axes; then (q, p) of
each wake oscillator.

With M the body's mass matrix, A the added mass of what is wet, U the water's velocity and
(p, h) = M (v, w) + A (v - U, w), momentum of the body and of the water it carries:

    (M + A) (v', w') = (F - w x p, T - w x h - v x p_body - (v - U) x p_water) - A (w x U, 0) - A'+ (v - U, w)

about the origin, which need not be the centre of gravity. The last cross product holds the Munk moment, the last
term the water set in motion at entry (A' where it grows).
"""

import math

import numpy as np

from sim.compiled import compiled
from sim.elements import N_ADDED
from sim.forces.account import add_forces
from sim.forces.added import times
from sim.forces.inputs import COEFFICIENT_INDEX, CURRENT, K_WATER, N_KIN, N_WET
from sim.forces.shedding import shedding_rate
from sim.forces.state import WAKE, rotation, see_motion
from sim.motion.problem import unpack

G_MUNK = COEFFICIENT_INDEX["munk"]


@compiled
def rates(t, y, flat):
    """Time derivative of the state `y` (13 + 2 per oscillator) for the problem packed in `flat`."""
    p = unpack(flat)
    env, coefficients, inertia = p.env, p.coefficients, p.inertia
    vx, vy, vz = y[7], y[8], y[9]
    wx, wy, wz = y[10], y[11], y[12]
    kin = np.empty(N_KIN)
    ux, uy, uz = see_motion(y, env, kin)
    rows = np.zeros((1, 6))
    out = rows[0]
    added = np.zeros(N_ADDED)
    growth = np.zeros(N_ADDED)
    wet = np.empty((p.common.shape[0], N_WET))
    add_forces(t, y, p, kin, wet, added, growth, rows, 0)

    # momentum of the body and of the water it carries
    sx, sy, sz = kin[K_WATER], kin[K_WATER + 1], kin[K_WATER + 2]
    bp = np.zeros(6)
    for i in range(6):
        bp[i] = (
            inertia[i, 0] * vx + inertia[i, 1] * vy + inertia[i, 2] * vz
            + inertia[i, 3] * wx + inertia[i, 4] * wy + inertia[i, 5] * wz
        )  # fmt: skip
    px, py, pz, hx, hy, hz = times(added, sx, sy, sz, wx, wy, wz)
    qx, qy, qz = bp[0] + px, bp[1] + py, bp[2] + pz
    out[0] -= wy * qz - wz * qy
    out[1] -= wz * qx - wx * qz
    out[2] -= wx * qy - wy * qx
    munk = coefficients[G_MUNK]
    out[3] -= wy * (bp[5] + hz) - wz * (bp[4] + hy) + vy * bp[2] - vz * bp[1] + munk * (sy * pz - sz * py)
    out[4] -= wz * (bp[3] + hx) - wx * (bp[5] + hz) + vz * bp[0] - vx * bp[2] + munk * (sz * px - sx * pz)
    out[5] -= wx * (bp[4] + hy) - wy * (bp[3] + hx) + vx * bp[1] - vy * bp[0] + munk * (sx * py - sy * px)
    # the current turns in body axes: A (v - U)' = A v' + A (w x U)
    if env[CURRENT] != 0.0 or env[CURRENT + 1] != 0.0 or env[CURRENT + 2] != 0.0:
        e0, e1, e2, e3, e4, e5 = times(
            added, wy * uz - wz * uy, wz * ux - wx * uz, wx * uy - wy * ux, 0.0, 0.0, 0.0
        )
        out[0] -= e0
        out[1] -= e1
        out[2] -= e2
        out[3] -= e3
        out[4] -= e4
        out[5] -= e5

    total = np.empty((6, 6))
    k = 0
    for i in range(6):
        for j in range(i, 6):
            total[j, i] = inertia[i, j] + added[k]
            k += 1
    _solve(total, out)

    r00, r01, r02, r10, r11, r12, r20, r21, r22 = rotation(y)
    rate = np.empty(y.shape[0])
    rate[0] = r00 * vx + r01 * vy + r02 * vz
    rate[1] = r10 * vx + r11 * vy + r12 * vz
    rate[2] = r20 * vx + r21 * vy + r22 * vz
    a, b, c, d = y[3], y[4], y[5], y[6]
    rate[3] = 0.5 * (-b * wx - c * wy - d * wz)
    rate[4] = 0.5 * (a * wx + c * wz - d * wy)
    rate[5] = 0.5 * (a * wy + d * wx - b * wz)
    rate[6] = 0.5 * (a * wz + b * wy - c * wx)
    for i in range(6):
        rate[7 + i] = out[i]
    # the oscillators feel the acceleration relative to the water
    out[0] += wy * uz - wz * uy
    out[1] += wz * ux - wx * uz
    out[2] += wx * uy - wy * ux
    shedding_rate(p.plates, wet, kin, env, out, coefficients, y[WAKE:], rate[WAKE:])
    return rate


@compiled
def _solve(m, b):
    """Solve m x = b in place by Cholesky; the lower triangle of m (6, 6) is read and overwritten."""
    for j in range(6):
        pivot = m[j, j]
        for k in range(j):
            pivot -= m[j, k] * m[j, k]
        pivot = math.sqrt(pivot)
        m[j, j] = pivot
        for i in range(j + 1, 6):
            value = m[i, j]
            for k in range(j):
                value -= m[i, k] * m[j, k]
            m[i, j] = value / pivot
    for i in range(6):
        for k in range(i):
            b[i] -= m[i, k] * b[k]
        b[i] /= m[i, i]
    for i in range(5, -1, -1):
        for k in range(i + 1, 6):
            b[i] -= m[k, i] * b[k]
        b[i] /= m[i, i]
