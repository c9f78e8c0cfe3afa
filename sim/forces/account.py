"""The account of the forces: each force is called here, once, and adds to the row of its source.

With `apart` = 1 every source has a row of its own; with 0 all rows are one, so that the sum costs nothing.
A new force is one line here, beside its file and its coefficient.
"""

from sim.compiled import REAL, ROW, TABLE, WHOLE, kernel
from sim.forces.added import air_moment, entry_push, wet_elements
from sim.forces.body import body_drag
from sim.forces.inputs import PROBLEM
from sim.forces.lee import shelter
from sim.forces.line import line_force
from sim.forces.plate import plate_force
from sim.forces.shedding import shedding_force
from sim.forces.small import blob_drag, wire_drag
from sim.forces.state import WAKE
from sim.forces.weight import weight_force

WEIGHT, BUOYANCY, BODIES, WIRES, HOOKS, LINE, ENTRY = range(7)
PLATES = 7  # from here on the flow on each plate; then, as many rows again, the vortices behind each


@kernel(REAL, ROW, PROBLEM, ROW, TABLE, ROW, ROW, ROW, ROW, ROW, TABLE, WHOLE)
def add_forces(t, y, p, kin, wet, room, piece, added, growth, rate, rows, apart):
    """Fill `wet` and `added`, and add force and moment (lure axes, about the origin) of every source.

    Args:
        t, y: time (s) and state.
        p: the `Problem`.
        kin: filled by `see_motion`.
        room, piece: to work in, for the line (made by `line_room`) and for a plate (as long as a row of its table).
        wet, added, growth: as for `wet_elements`; what is left in `growth` is the air carried, see `air_moment`.
        rate: of the state; the part of the line's points is filled in.
        rows: (7 + 2 plates, 6) with `apart` = 1, (1, 6) with 0; N and N m.
    """
    env, c = p.env, p.coefficients
    vortices = PLATES + p.plates.shape[0]
    wet_elements(p.common, p.added, p.whole, wet, kin, env, c, rows[apart * BUOYANCY], added, growth)
    shelter(p.plates, p.common, wet, kin, c)
    body_drag(p.bodies, p.strips, p.common, wet, kin, env, c, rows[apart * BODIES])
    plate_force(p.plates, wet, kin, env, c, piece, rows, apart * PLATES, apart)
    wire_drag(p.wires, p.common, wet, kin, env, c, rows[apart * WIRES])
    blob_drag(p.blobs, p.common, wet, kin, env, c, rows[apart * HOOKS])
    shedding_force(p.plates, wet, kin, env, c, y[WAKE:], rows, apart * vortices, apart)
    weight_force(p.inertia, kin, env, c, rows[apart * WEIGHT])
    line_force(t, y, p, rows[apart * LINE], rate, room)
    entry_push(growth, kin, rows[apart * ENTRY])
    air_moment(p.whole, added, kin, env, c, growth, rows[apart * BODIES])
