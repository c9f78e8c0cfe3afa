"""Layout of the tables that describe a lure to the compiled code: names for their columns.

Everything is in the lure's own axes (x toward the nose, y left, z toward the back), origin at the nose
point of the design (`back = up = left = 0`), SI units, floats only. The tables hold geometry; the medium's
density and viscosity come at run time, so added mass is stored per unit density.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

# --- `common`: one row per element, in the order strips, plates, wires, blobs -------------------------
RX, RY, RZ = 0, 1, 2  # centre of the element's volume (m)
QXX, QYY, QZZ, QXY, QXZ, QYZ = 3, 4, 5, 6, 7, 8
# Q = sum over the three half-extent vectors h of h h^T (m2): the vertical half extent is sqrt(u.Q.u)
VOLUME = 9  # displaced volume (m3)
BOXY = 10  # how far a strip is a box rather than an oval, 0 to 1
HX, HY, HZ = 11, 14, 17  # half edges of the box of the same spread, as vectors (3 columns each, m)
N_COMMON = 20

# --- `added`: one row per element, upper triangle of its 6x6 added-mass matrix over the density --------
# order (0,0) (0,1) .. (0,5) (1,1) .. (5,5); rows 0-2 translation (m3), 3-5 rotation (m5), mixed (m4),
# about the origin, so that (p, h) = rho * A (v, omega)
N_ADDED = 21

# --- `bodies`: one row per solid body ------------------------------------------------------------------
B_FIRST, B_LAST = 0, 1  # its strips: common/strips rows FIRST <= i < LAST
B_T, B_N1, B_N2 = 2, 5, 8  # its own axes in lure axes: along, left, up (3 columns each)
B_LENGTH = 11  # length along its axis (m)
B_DIAMETER = 12  # diameter of the circle with its largest section area (m)
B_FRONTAL = 13  # largest section area (m2)
B_WETTED = 14  # surface area (m2)
B_SPHERE = 15  # share of sphere-like drag: 1 for a sphere, toward 0 for a slender body
B_END_RELIEF = 16  # cross-flow drag of the finite body over that of an endless one, at Re 1e5
B_ROUND = 17  # 1 for rounded or tapered ends, 0 for a rod cut off square at both
B_TAIL = 18  # 1 for a tail that runs out, 0 for one cut off square at its full section
N_BODY = 19

# --- `strips`: one row per strip, aligned with the first rows of `common` -------------------------------
S_SIDE, S_PLAN = 0, 1  # area seen from the side (flow along n1) and from above (along n2) (m2)
S_CD1, S_CD2 = 2, 3  # section shape factor on the cylinder's drag, flow along n1 and n2
S_SHARE = 4  # its share of the body's axial drag (sums to 1 over a body)
S_SHED1_FORE, S_SHED2_FORE = 5, 6  # added mass over density lost across the strip where the flow has left
# the tail, body moving nose first (m2 = m3 per metre), for cross flow along n1 and n2
S_SHED1_AFT, S_SHED2_AFT = 7, 8  # the same, moving tail first
S_ROLL = 9  # roll drag: moment = -1/2 rho S_ROLL |w| w about the body's axis (m5)
S_TWIST = 10  # added mass for motion along n1 less that along n2, over the density (m3)
S_GAIN1, S_GAIN2 = 11, 12  # added mass over density gained across the strip from nose to tail, end on: for
# cross flow along n1 and n2 (m2); negative where the body narrows
S_LEAN1, S_LEAN2 = 13, 14  # how far flow the other way across counts in the drag along n1, n2, on its square
N_STRIP = 15

# --- `plates`: lips, fins, tails, blades, spoons, blunt end faces and middle planes of bodies ----------------------
P_ROW = 0  # its row in `common`
P_R = 1  # centre (3)
P_C = 4  # unit vector along the length, root to tip (3)
P_S = 7  # unit vector along the width (3)
P_N = 10  # unit normal C x S (3)
P_LENGTH, P_WIDTH = 13, 14  # m
P_AREA = 15  # m2
P_KP_LONG, P_KP_WIDE = 16, 17  # attached normal-force slope, flow along the length, along the width (1/rad)
P_XA_LONG, P_XA_WIDE = 18, 19  # attached centre of pressure from the leading edge, as a share of the chord
P_STALL_LONG, P_STALL_WIDE = 20, 21  # angle where the attached flow lets go (rad)
P_C90_FRONT, P_C90_BACK = 22, 23  # broadside normal-force coefficient, moving along +n and along -n
P_SHED = 24  # index of its wake oscillator, or -1
P_SHED_D = 25  # length that sets the shedding rate (m)
P_ROT = 26  # 0 for the end face of a body, which has no lift, attached or of turning; else 1
P_CARRIED = 27  # its added mass along its normal, over the density (m3); 0 for end faces
P_THICK = 28  # m; 0 for end faces
P_ROCKS = (
    29  # how its vortices act: 0 push it along its width (it heads a body), 1 rock it about its long side
)
P_KV_LONG, P_KV_WIDE = 30, 31  # lift of the side-edge vortices, on the square of the sine
P_RELIEF_LONG, P_RELIEF_WIDE = 32, 33  # what the open sides take off the stalled force
P_REACH_C, P_REACH_S = 34, 35  # radius of gyration of its area along the length and the width (m)
P_BEND_C, P_BEND_S = (
    36,
    37,
)  # twice its bulge toward +n over the length and over the width; 0 for a flat plate
P_XS_LONG, P_XS_WIDE = 38, 39  # lift of a turning attached plate acts so far ahead of its middle, as a share
P_ROLL_LONG, P_ROLL_WIDE = (
    40,
    41,
)  # roll damping over lift slope and span squared, flow along length, along width
P_SHELTERS = 42  # 1 for a lip, whose dead water may cover the body behind it
P_OPEN = (
    43  # 1 for a plate in the open, 0 for an end face or the middle plane of a body, whose skin the body has
)
P_SHARE = 44  # share of its force and its water with which it counts: below 1 for the middle plane of a body
N_PLATE = 45

# --- `wires`: straight thin rods ------------------------------------------------------------------------
W_ROW = 0  # its row in `common`
W_T = 1  # unit direction (3)
W_LENGTH, W_DIAMETER = 4, 5  # m
N_WIRE = 6

# --- `blobs`: hooks and fittings, small lumps on their hangers ------------------------------------------
H_ROW = 0  # its row in `common`
H_CDA = 1  # drag area, any direction (m2)
H_ACROSS = 2  # a hook's further drag area when it hangs square to the stream (m2); 0 for what does not swing
H_MASS = 3  # its mass, which keeps it hanging (kg)
N_BLOB = 4


class Elements(NamedTuple):
    """The whole lure as the compiled right-hand side sees it. Arrays are C-contiguous float64."""

    common: NDArray[np.float64]  # (n, N_COMMON)
    added: NDArray[np.float64]  # (n, N_ADDED)
    bodies: NDArray[np.float64]  # (nb, N_BODY)
    strips: NDArray[np.float64]  # (ns, N_STRIP), rows 0..ns-1 of `common`
    plates: NDArray[np.float64]  # (np, N_PLATE)
    wires: NDArray[np.float64]  # (nw, N_WIRE)
    blobs: NDArray[np.float64]  # (nh, N_BLOB)
    inertia: NDArray[np.float64]  # (6, 6) rigid-body mass matrix about the origin


@dataclass(frozen=True)
class Hull:
    """The closed outside surface of one body, for hydrostatics and drawing."""

    vertices: NDArray[np.float64]  # (n, 3) m
    faces: NDArray[np.int64]  # (m, 3), counter-clockwise seen from outside
