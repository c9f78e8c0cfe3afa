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
from sim.forces.added import air_moment, times, wet_elements
from sim.forces.body import body_drag
from sim.forces.inputs import (
    CURRENT,
    G_MUNK,
    G_WEIGHT,
    GRAVITY,
    K_AIR,
    K_HEIGHT,
    K_SPIN,
    K_UP,
    K_WATER,
    L_MODE,
    L_TIE,
    N_KIN,
    N_WET,
    WIND,
    push,
)
from sim.forces.line import running_off, wound_in
from sim.forces.plate import plate_force
from sim.forces.shedding import shedding_force, shedding_rate
from sim.forces.small import blob_drag, wire_drag
from sim.motion.problem import unpack

POSITION, ATTITUDE, VELOCITY, SPIN, WAKE = 0, 3, 7, 10, 13  # first index of each part of the state


@compiled
def rotation(y):
    """Body-to-world matrix of a state, as nine numbers by rows; the quaternion need not be normalised."""
    a, b, c, d = y[3], y[4], y[5], y[6]
    s = 2.0 / (a * a + b * b + c * c + d * d)
    return (
        1.0 - s * (c * c + d * d), s * (b * c - a * d), s * (b * d + a * c),
        s * (b * c + a * d), 1.0 - s * (b * b + d * d), s * (c * d - a * b),
        s * (b * d - a * c), s * (c * d + a * b), 1.0 - s * (b * b + c * c),
    )  # fmt: skip


@compiled
def line_pull(t, y, p):
    """Pull of the line on the tie-on point, world axes, and the tension (N)."""
    mode = p.line[L_MODE]
    if mode == 0.0:
        return 0.0, 0.0, 0.0, 0.0
    r00, r01, r02, r10, r11, r12, r20, r21, r22 = rotation(y)
    tx, ty, tz = p.line[L_TIE], p.line[L_TIE + 1], p.line[L_TIE + 2]
    bx = y[7] + y[11] * tz - y[12] * ty
    by = y[8] + y[12] * tx - y[10] * tz
    bz = y[9] + y[10] * ty - y[11] * tx
    x = y[0] + r00 * tx + r01 * ty + r02 * tz
    yy = y[1] + r10 * tx + r11 * ty + r12 * tz
    z = y[2] + r20 * tx + r21 * ty + r22 * tz
    vx = r00 * bx + r01 * by + r02 * bz
    vy = r10 * bx + r11 * by + r12 * bz
    vz = r20 * bx + r21 * by + r22 * bz
    if mode == 1.0:
        mass = p.inertia[0, 0]
        return wound_in(t, p.programme, p.line, p.env, p.coefficients, mass, x, yy, z, vx, vy, vz)
    return running_off(p.programme, p.line, p.env, p.coefficients, x, yy, z, vx, vy, vz)


@compiled
def rates(t, y, flat):
    """Time derivative of the state `y` (13 + 2 per oscillator) for the problem packed in `flat`."""
    p = unpack(flat)
    env, coefficients, inertia = p.env, p.coefficients, p.inertia
    r00, r01, r02, r10, r11, r12, r20, r21, r22 = rotation(y)
    vx, vy, vz = y[7], y[8], y[9]
    wx, wy, wz = y[10], y[11], y[12]

    # the water's velocity in body axes, and the motion relative to water and air
    cx, cy, cz = env[CURRENT], env[CURRENT + 1], env[CURRENT + 2]
    ux = r00 * cx + r10 * cy + r20 * cz
    uy = r01 * cx + r11 * cy + r21 * cz
    uz = r02 * cx + r12 * cy + r22 * cz
    ax, ay, az = env[WIND], env[WIND + 1], env[WIND + 2]
    kin = np.empty(N_KIN)
    kin[K_WATER], kin[K_WATER + 1], kin[K_WATER + 2] = vx - ux, vy - uy, vz - uz
    kin[K_AIR] = vx - (r00 * ax + r10 * ay + r20 * az)
    kin[K_AIR + 1] = vy - (r01 * ax + r11 * ay + r21 * az)
    kin[K_AIR + 2] = vz - (r02 * ax + r12 * ay + r22 * az)
    kin[K_SPIN], kin[K_SPIN + 1], kin[K_SPIN + 2] = wx, wy, wz
    kin[K_UP], kin[K_UP + 1], kin[K_UP + 2] = r20, r21, r22
    kin[K_HEIGHT] = y[2]

    out = np.zeros(6)
    added = np.zeros(N_ADDED)
    growth = np.zeros(N_ADDED)
    wet = np.empty((p.common.shape[0], N_WET))
    wet_elements(p.common, p.added, p.whole, wet, kin, env, coefficients, out, added, growth)
    body_drag(p.bodies, p.strips, p.common, wet, kin, env, coefficients, out)
    plate_force(p.plates, wet, kin, env, coefficients, out)
    wire_drag(p.wires, p.common, wet, kin, env, coefficients, out)
    blob_drag(p.blobs, p.common, wet, kin, env, coefficients, out)
    wake = y[WAKE:]
    shedding_force(p.plates, wet, kin, env, coefficients, wake, out)

    # weight at the centre of gravity, read from the mass matrix: m on the diagonal, m c in the coupling
    mass = inertia[0, 0]
    weight = -mass * env[GRAVITY] * coefficients[G_WEIGHT]
    mcx, mcy, mcz = inertia[1, 5], inertia[2, 3], inertia[0, 4]
    out[0] += weight * r20
    out[1] += weight * r21
    out[2] += weight * r22
    per = -env[GRAVITY] * coefficients[G_WEIGHT]
    out[3] += per * (mcy * r22 - mcz * r21)
    out[4] += per * (mcz * r20 - mcx * r22)
    out[5] += per * (mcx * r21 - mcy * r20)

    fx, fy, fz, tension = line_pull(t, y, p)
    if tension > 0.0:
        push(
            out,
            r00 * fx + r10 * fy + r20 * fz,
            r01 * fx + r11 * fy + r21 * fz,
            r02 * fx + r12 * fy + r22 * fz,
            p.line[L_TIE],
            p.line[L_TIE + 1],
            p.line[L_TIE + 2],
        )

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
    air_moment(p.whole, added, kin, env, coefficients, out)
    # the current turns in body axes: A (v - U)' = A v' + A (w x U)
    if cx != 0.0 or cy != 0.0 or cz != 0.0:
        e0, e1, e2, e3, e4, e5 = times(
            added, wy * uz - wz * uy, wz * ux - wx * uz, wx * uy - wy * ux, 0.0, 0.0, 0.0
        )
        out[0] -= e0
        out[1] -= e1
        out[2] -= e2
        out[3] -= e3
        out[4] -= e4
        out[5] -= e5
    e0, e1, e2, e3, e4, e5 = times(growth, sx, sy, sz, wx, wy, wz)
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
    shedding_rate(p.plates, wet, kin, env, out, coefficients, wake, rate[WAKE:])
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
