"""What every force reads and writes: the layout of the small arrays shared by the force functions.

Every force is a kernel `(table, ..., wet, kin, env, coefficients, out)`: it reads geometry from the lure's tables,
the state of motion from `kin` and the surface from `wet`, and adds to `out`, the force and the moment about
the origin in the lure's axes.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.coefficients import COEFFICIENTS
from sim.compiled import ROW, TABLE, Record, compiled
from sim.elements import N_ADDED

# --- `kin`: the motion seen from the lure's axes ----------------------------------------------------------
K_WATER, K_AIR = 0, 3  # velocity of the origin relative to the water and to the air (3 each, m/s)
K_SPIN = 6  # angular velocity (3, rad/s)
K_UP = 9  # unit vector straight up (3)
K_HEIGHT = 12  # of the origin above still water (m)
N_KIN = 13

# --- `wet`: one row per element ---------------------------------------------------------------------------
WET, DEPTH = 0, 1  # wetted share, depth of the centre below the surface (m)
SHELTER = 2  # share of it that lies in the dead water of a lip
SPOILED = 3  # share of its width that has that dead water before it, above or below it
N_WET = 4

# --- `env` ----------------------------------------------------------------------------------------------
RHO_W, NU_W, RHO_A, NU_A, GRAVITY = 0, 1, 2, 3, 4  # kg/m3, m2/s, kg/m3, m2/s, m/s2
CURRENT, WIND = 5, 8  # velocity of the water and of the air, world axes (3 each, m/s)
N_ENV = 11

# --- `line` ---------------------------------------------------------------------------------------------
L_MODE = 0  # 0 no line, 1 wound in, 2 running off the spool
L_TIE = 1  # tie-on point (3, m)
L_EA = 4  # axial stiffness: tension over relative stretch (N)
L_DAMPING = 5  # share of critical damping
L_DIAMETER = 6  # m
L_CD = 7  # cross-flow drag coefficient of the wet line; 0 for that of a cylinder at its Reynolds number
L_DENSITY = 8  # kg/m3
L_LINKS = 9  # links of the moving line; the points between them are part of the state
N_LINE = 10

# --- `whole`: sums over all elements, for a lure that is wholly under ------------------------------------
T_VOLUME, T_FIRST = N_ADDED, N_ADDED + 1  # displaced volume (m3) and its first moments (3, m4)
T_REACH = N_ADDED + 4  # distance from the origin beyond which nothing of the lure lies (m)
N_WHOLE = N_ADDED + 5

# --- `coefficients`: factors on the forces, 1 as modelled, 0 switched off ----------------------------------------
COEFFICIENT_INDEX = {name: index for index, name in enumerate(COEFFICIENTS)}


class Problem(NamedTuple):
    """All tables of one run. The first eight are the lure's `Elements`."""

    common: NDArray[np.float64]
    added: NDArray[np.float64]
    bodies: NDArray[np.float64]
    strips: NDArray[np.float64]
    plates: NDArray[np.float64]
    wires: NDArray[np.float64]
    blobs: NDArray[np.float64]
    inertia: NDArray[np.float64]
    env: NDArray[np.float64]
    line: NDArray[np.float64]
    programme: NDArray[np.float64]  # (k, 5): time, length of line out, rod tip x, y, z
    coefficients: NDArray[np.float64]
    whole: NDArray[np.float64]


_ROWS = ("env", "line", "coefficients", "whole")

PROBLEM = Record(Problem, tuple(ROW if name in _ROWS else TABLE for name in Problem._fields))


@compiled
def push(out, fx, fy, fz, rx, ry, rz):
    """Add a force at a point to the sums of force and moment."""
    out[0] += fx
    out[1] += fy
    out[2] += fz
    out[3] += ry * fz - rz * fy
    out[4] += rz * fx - rx * fz
    out[5] += rx * fy - ry * fx


@compiled
def velocity_at(motion, at, spin, rx, ry, rz):
    """v + w x r, the velocity of a point r of the lure: v from `motion[at:]`, w from `motion[spin:]`."""
    wx, wy, wz = motion[spin], motion[spin + 1], motion[spin + 2]
    return (
        motion[at] + wy * rz - wz * ry,
        motion[at + 1] + wz * rx - wx * rz,
        motion[at + 2] + wx * ry - wy * rx,
    )
