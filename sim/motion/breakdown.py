"""Force and moment by source along a trajectory: what the right-hand side adds up, kept apart.

`breakdown` gives, for every state, one row (force, moment about the lure's origin; lure axes) a source. Every row is
what that source really does to the lure: an element's push includes the water it carries, its reaction to
being speeded up as well as its Munk moment, so those of the strips belong to the body and those of a lip to
the lip. The rows therefore sum to the rate of change of the rigid body's own momentum, and nothing is left
out or counted twice.
"""

import numpy as np

from sim.compiled import BLOCK, ROW, TABLE, compiled, kernel
from sim.elements import N_ADDED, P_ROW
from sim.forces.account import BODIES, HOOKS, PLATES, WIRES, add_forces
from sim.forces.added import times
from sim.forces.inputs import COEFFICIENT_INDEX, K_AIR, K_SPIN, K_WATER, PROBLEM, RHO_W, WET
from sim.forces.state import VELOCITY, WAKE
from sim.motion.equations import SCRATCH, derivative, scratch
from sim.motion.problem import unpack

G_ADDED = COEFFICIENT_INDEX["added_mass"]
G_MUNK = COEFFICIENT_INDEX["munk"]


def breakdown(t, y, flat):
    """Force and moment by source at times (k,) and states (k, m): (k, 7 + 2 plates, 6), N and N m."""
    p = unpack(flat)
    rows = PLATES + 2 * len(p.plates)
    found, rate, one = np.zeros((len(t), rows, 6)), np.empty(y.shape[1]), np.empty(N_ADDED)
    _breakdown(np.ascontiguousarray(t), np.ascontiguousarray(y), p, scratch(p, rows), rate, one, found)
    return found


@kernel(ROW, TABLE, PROBLEM, SCRATCH, ROW, ROW, BLOCK)
def _breakdown(t, y, p, work, rate, one, found):
    for i in range(t.shape[0]):
        derivative(p, work, t[i], y[i], rate)
        _sources(t[i], y[i], rate, p, work, one, found[i])


@compiled
def _sources(t, y, rate, p, work, one, out):
    coefficients, kin, wet = p.coefficients, work.kin, work.wet
    work.added[:] = 0.0
    work.growth[:] = 0.0
    add_forces(t, y, p, kin, wet, work.line, work.plate, work.added, work.growth, rate, out, 1)
    rate = rate[VELOCITY:WAKE]

    _carried(
        work.growth, y, rate, kin, K_AIR, 0.0, out[BODIES]
    )  # the air, whose Munk moment is in the sum already
    # the water each element carries, booked with its owner
    munk = coefficients[G_MUNK]
    first_plate = p.strips.shape[0]
    first_wire = p.common.shape[0] - p.blobs.shape[0] - p.wires.shape[0]
    first_blob = p.common.shape[0] - p.blobs.shape[0]
    one[:] = 0.0
    _add_range(p, wet, 0, first_plate, one)
    _carried(one, y, rate, kin, K_WATER, munk, out[BODIES])
    for k in range(p.plates.shape[0]):
        row = int(p.plates[k, P_ROW])
        one[:] = 0.0
        _add_range(p, wet, row, row + 1, one)
        _carried(one, y, rate, kin, K_WATER, munk, out[PLATES + k])
    one[:] = 0.0
    _add_range(p, wet, first_wire, first_blob, one)
    _carried(one, y, rate, kin, K_WATER, munk, out[WIRES])
    one[:] = 0.0
    _add_range(p, wet, first_blob, p.common.shape[0], one)
    _carried(one, y, rate, kin, K_WATER, munk, out[HOOKS])


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
def _carried(mass, y, rate, kin, at, munk, out):
    """Add the push of the carried water or air: -A (v', w') - A (w x U) - w x p, and the Munk moment."""
    sx, sy, sz = kin[at], kin[at + 1], kin[at + 2]
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
    out[0] -= wy * pz - wz * py + e[0]
    out[1] -= wz * px - wx * pz + e[1]
    out[2] -= wx * py - wy * px + e[2]
    out[3] -= wy * hz - wz * hy + munk * (sy * pz - sz * py) + e[3]
    out[4] -= wz * hx - wx * hz + munk * (sz * px - sx * pz) + e[4]
    out[5] -= wx * hy - wy * hx + munk * (sx * py - sy * px) + e[5]
