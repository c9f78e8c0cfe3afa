"""Force and moment by source along a trajectory: what the right-hand side adds up, kept apart.

`breakdown` gives, for every state, one row (force, moment about the lure's origin; lure axes) a source. Every row is
what that source really does to the lure: an element's push includes the water it carries, its reaction to
being speeded up as well as its Munk moment, so those of the strips belong to the body and those of a lip to
the lip. The rows therefore sum to the rate of change of the rigid body's own momentum, and nothing is left
out or counted twice.
"""

import numpy as np

from sim.compiled import compiled
from sim.elements import N_ADDED, P_ROW
from sim.forces.added import air_moment, times, wet_elements
from sim.forces.body import body_drag
from sim.forces.inputs import (
    CURRENT,
    G_ADDED,
    G_MUNK,
    G_WEIGHT,
    GRAVITY,
    K_AIR,
    K_HEIGHT,
    K_SPIN,
    K_UP,
    K_WATER,
    L_TIE,
    N_KIN,
    N_WET,
    RHO_W,
    WET,
    WIND,
    push,
)
from sim.forces.plate import plate_force
from sim.forces.shedding import shedding_force
from sim.forces.small import blob_drag, wire_drag
from sim.motion.equations import VELOCITY, WAKE, line_pull, rates, rotation
from sim.motion.problem import unpack

WEIGHT, BUOYANCY, BODIES, WIRES, HOOKS, LINE, ENTRY = range(7)
PLATES = 7  # from here on the flow on each plate; then, as many rows again, the vortices behind each


@compiled
def breakdown(t, y, flat):
    """Force and moment by source at times (k,) and states (k, m): (k, 7 + 2 plates, 6), N and N m."""
    p = unpack(flat)
    plates = p.plates.shape[0]
    found = np.zeros((t.shape[0], PLATES + 2 * plates, 6))
    wet = np.empty((p.common.shape[0], N_WET))
    kin = np.zeros(N_KIN)
    for i in range(t.shape[0]):
        _motion(y[i], p.env, kin)
        rate = rates(t[i], y[i], flat)[VELOCITY:WAKE]
        _sources(t[i], y[i], rate, p, kin, wet, found[i])
    return found


@compiled
def _motion(y, env, kin):
    """Fill `kin` from a state; the water's velocity in lure axes is the state's less `kin`'s."""
    r = rotation(y)
    for k in range(3):
        current = r[k] * env[CURRENT] + r[3 + k] * env[CURRENT + 1] + r[6 + k] * env[CURRENT + 2]
        wind = r[k] * env[WIND] + r[3 + k] * env[WIND + 1] + r[6 + k] * env[WIND + 2]
        kin[K_WATER + k] = y[7 + k] - current
        kin[K_AIR + k] = y[7 + k] - wind
        kin[K_SPIN + k] = y[10 + k]
        kin[K_UP + k] = r[6 + k]
    kin[K_HEIGHT] = y[2]


@compiled
def _sources(t, y, rate, p, kin, wet, out):
    env, coefficients, inertia = p.env, p.coefficients, p.inertia
    r = rotation(y)
    added, growth = np.zeros(N_ADDED), np.zeros(N_ADDED)
    wet_elements(p.common, p.added, p.whole, wet, kin, env, coefficients, out[BUOYANCY], added, growth)
    body_drag(p.bodies, p.strips, p.common, wet, kin, env, coefficients, out[BODIES])
    air_moment(p.whole, added, kin, env, coefficients, out[BODIES])
    wire_drag(p.wires, p.common, wet, kin, env, coefficients, out[WIRES])
    blob_drag(p.blobs, p.common, wet, kin, env, coefficients, out[HOOKS])
    n = p.plates.shape[0]
    for k in range(n):
        plate_force(p.plates[k : k + 1], wet, kin, env, coefficients, out[PLATES + k])
        shedding_force(p.plates[k : k + 1], wet, kin, env, coefficients, y[WAKE:], out[PLATES + n + k])

    weight = -env[GRAVITY] * coefficients[G_WEIGHT]
    mx, my, mz = inertia[1, 5], inertia[2, 3], inertia[0, 4]
    for k in range(3):
        out[WEIGHT, k] = weight * inertia[0, 0] * r[6 + k]
    out[WEIGHT, 3] = weight * (my * r[8] - mz * r[7])
    out[WEIGHT, 4] = weight * (mz * r[6] - mx * r[8])
    out[WEIGHT, 5] = weight * (mx * r[7] - my * r[6])

    fx, fy, fz, tension = line_pull(t, y, p)
    if tension > 0.0:
        push(
            out[LINE],
            r[0] * fx + r[3] * fy + r[6] * fz,
            r[1] * fx + r[4] * fy + r[7] * fz,
            r[2] * fx + r[5] * fy + r[8] * fz,
            p.line[L_TIE],
            p.line[L_TIE + 1],
            p.line[L_TIE + 2],
        )

    # the water each element carries, booked with its owner
    first_plate = p.strips.shape[0]
    first_wire = p.common.shape[0] - p.blobs.shape[0] - p.wires.shape[0]
    first_blob = p.common.shape[0] - p.blobs.shape[0]
    one = np.zeros(N_ADDED)
    _add_range(p, wet, 0, first_plate, one)
    _carried(one, y, rate, kin, coefficients, out[BODIES])
    for k in range(n):
        row = int(p.plates[k, P_ROW])
        one[:] = 0.0
        _add_range(p, wet, row, row + 1, one)
        _carried(one, y, rate, kin, coefficients, out[PLATES + k])
    one[:] = 0.0
    _add_range(p, wet, first_wire, first_blob, one)
    _carried(one, y, rate, kin, coefficients, out[WIRES])
    one[:] = 0.0
    _add_range(p, wet, first_blob, p.common.shape[0], one)
    _carried(one, y, rate, kin, coefficients, out[HOOKS])

    e = times(growth, kin[0], kin[1], kin[2], kin[K_SPIN], kin[K_SPIN + 1], kin[K_SPIN + 2])
    for k in range(6):
        out[ENTRY, k] = -e[k]


@compiled
def _add_range(p, wet, first, last, mass):
    """Add the added mass of elements first <= i < last."""
    carried = p.env[RHO_W] * p.coefficients[G_ADDED]
    for i in range(first, last):
        if wet[i, WET] > 0.0:
            scaled = carried * wet[i, WET]
            for k in range(N_ADDED):
                mass[k] += scaled * p.added[i, k]


@compiled
def _carried(mass, y, rate, kin, coefficients, out):
    """Add the push of the carried water: -A (v', w') - A (w x U) - w x p, and the Munk moment."""
    sx, sy, sz = kin[K_WATER], kin[K_WATER + 1], kin[K_WATER + 2]
    wx, wy, wz = kin[K_SPIN], kin[K_SPIN + 1], kin[K_SPIN + 2]
    px, py, pz, hx, hy, hz = times(mass, sx, sy, sz, wx, wy, wz)
    ux, uy, uz = y[7] - sx, y[8] - sy, y[9] - sz
    e = times(
        mass,
        rate[0] + wy * uz - wz * uy,
        rate[1] + wz * ux - wx * uz,
        rate[2] + wx * uy - wy * ux,
        rate[3],
        rate[4],
        rate[5],
    )
    munk = coefficients[G_MUNK]
    out[0] -= wy * pz - wz * py + e[0]
    out[1] -= wz * px - wx * pz + e[1]
    out[2] -= wx * py - wy * px + e[2]
    out[3] -= wy * hz - wz * hy + munk * (sy * pz - sz * py) + e[3]
    out[4] -= wz * hx - wx * hz + munk * (sz * px - sx * pz) + e[4]
    out[5] -= wx * hy - wy * hx + munk * (sx * py - sy * px) + e[5]
