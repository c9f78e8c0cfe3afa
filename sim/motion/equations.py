"""The one right-hand side: a lure's whole cast, in air, through the surface and in water.

State (SI): [0:3] origin, world; [3:7] quaternion, scalar first, body to world (v_world = q v_body q*);
[7:10] velocity of the origin in body axes; [10:13] angular velocity in body axes; then (q, p) of
each wake oscillator; last, while a line is held or wound in, the positions of its points, world, from the rod tip
down: `sim.forces.line.line_state` says from where on.

With M the body's mass matrix, A the added mass of what is wet, U the water's velocity and
(p, h) = M (v, w) + A (v - U, w), momentum of the body and of the water it carries:

    (M + A) (v', w') = (F - w x p, T - w x h - v x p_body - (v - U) x p_water) - A (w x U, 0) - A'+ (v - U, w)

about the origin, which need not be the centre of gravity; the air that the dry part carries is counted just so, with
the wind for U. The last cross product holds the Munk moment, the last
term the water set in motion at entry (A' where it grows).
"""

import math
from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.compiled import REAL, ROW, TABLE, Record, compiled, kernel
from sim.elements import N_ADDED, N_PLATE
from sim.forces.account import add_forces
from sim.forces.added import times, turning_momentum
from sim.forces.inputs import COEFFICIENT_INDEX, CURRENT, K_AIR, K_WATER, N_KIN, N_WET, PROBLEM
from sim.forces.line import line_room
from sim.forces.shedding import shedding_rate
from sim.forces.state import WAKE, rotation, see_motion
from sim.motion.problem import unpack

Array = NDArray[np.float64]

G_MUNK = COEFFICIENT_INDEX["munk"]


class Scratch(NamedTuple):
    """Room that one call of the right-hand side works in, so that it makes no arrays of its own."""

    kin: Any  # (N_KIN,)
    wet: Any  # (n, N_WET)
    line: Any  # made by `line_room`
    plate: Any  # (N_PLATE,)
    rows: Any  # (1, 6), or one a source
    added: Any  # (N_ADDED,)
    growth: Any  # (N_ADDED,)
    total: Any  # (6, 6)


SCRATCH = Record(Scratch, (ROW, TABLE, ROW, ROW, TABLE, ROW, ROW, TABLE))


def scratch(p, rows=1):
    """Room for one problem and so many rows of forces."""
    return Scratch(
        np.empty(N_KIN), np.empty((p.common.shape[0], N_WET)), line_room(p.line), np.empty(N_PLATE),
        np.zeros((rows, 6)), np.zeros(N_ADDED), np.zeros(N_ADDED), np.empty((6, 6)),
    )  # fmt: skip


def rates(t: float, y: Array, flat: Array) -> Array:
    """Time derivative of the state `y` for the problem packed in `flat`."""
    return rates_of(flat)(t, y)


def rates_of(flat: Array) -> Callable[[float, Array], Array]:
    """The same as a function of time and state, for many calls."""
    p = unpack(flat)
    fill = derivative.bound(p, scratch(p))

    def found(t: float, y: Array) -> Array:
        rate = np.empty(len(y))
        fill(float(t), np.ascontiguousarray(y, dtype=float), rate)
        return rate

    return found


@kernel(PROBLEM, SCRATCH, REAL, ROW, ROW)
def derivative(p, work, t, y, rate):
    """Fill `rate` with the time derivative of the state `y`."""
    env, coefficients, inertia = p.env, p.coefficients, p.inertia
    kin, added, growth, total = work.kin, work.added, work.growth, work.total
    out = work.rows[0]
    for k in range(6):
        out[k] = 0.0
    for k in range(N_ADDED):
        added[k] = 0.0
        growth[k] = 0.0
    vx, vy, vz = y[7], y[8], y[9]
    wx, wy, wz = y[10], y[11], y[12]
    ux, uy, uz = see_motion(y, env, kin)
    add_forces(t, y, p, kin, work.wet, work.line, work.plate, added, growth, rate, work.rows, 0)

    # momentum of the body and of the water it carries
    sx, sy, sz = kin[K_WATER], kin[K_WATER + 1], kin[K_WATER + 2]
    b0, b1, b2 = _momentum(inertia[0], y), _momentum(inertia[1], y), _momentum(inertia[2], y)
    b3, b4, b5 = _momentum(inertia[3], y), _momentum(inertia[4], y), _momentum(inertia[5], y)
    px, py, pz, hx, hy, hz = times(added, sx, sy, sz, wx, wy, wz)
    qx, qy, qz = b0 + px, b1 + py, b2 + pz
    out[0] -= wy * qz - wz * qy
    out[1] -= wz * qx - wx * qz
    out[2] -= wx * qy - wy * qx
    munk = coefficients[G_MUNK]
    out[3] -= wy * (b5 + hz) - wz * (b4 + hy) + vy * b2 - vz * b1 + munk * (sy * pz - sz * py)
    out[4] -= wz * (b3 + hx) - wx * (b5 + hz) + vz * b0 - vx * b2 + munk * (sz * px - sx * pz)
    out[5] -= wx * (b4 + hy) - wy * (b3 + hx) + vx * b1 - vy * b0 + munk * (sx * py - sy * px)
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

    air = growth  # the sum of the forces has left the air that the dry part carries there
    turning_momentum(air, kin, K_AIR, y, out)
    k = 0
    for i in range(6):
        for j in range(i, 6):
            total[j, i] = inertia[i, j] + added[k] + air[k]
            k += 1
    _solve(total, out)

    r00, r01, r02, r10, r11, r12, r20, r21, r22 = rotation(y)
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
    shedding_rate(p.plates, work.wet, kin, env, out, coefficients, y[WAKE:], rate[WAKE:])


@compiled
def _momentum(row, y):
    """A row of the mass matrix times (v, w)."""
    return (
        row[0] * y[7] + row[1] * y[8] + row[2] * y[9]
        + row[3] * y[10] + row[4] * y[11] + row[5] * y[12]
    )  # fmt: skip


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
