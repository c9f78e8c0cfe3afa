"""Names of the coefficients: factors on the forces, 1 as modelled, and how far each may be off.

A design's `[calibration]` table may change them; studies draw them; every trial takes them as `coefficients`.
"""

from __future__ import annotations

from typing import NamedTuple


class Coefficient(NamedTuple):
    """One factor: what it scales, and the standard deviation that its model is given.

    `doubt` is judgement after the misses in `docs/validation.md`: a tenth where most checks agree within a
    tenth, three tenths where nothing tries the force on a whole lure. 0: a law without doubt.
    """

    does: str
    doubt: float = 0.0


COEFFICIENTS: dict[str, Coefficient] = {
    "buoyancy": Coefficient("lift of the displaced water"),
    "weight": Coefficient("pull of gravity"),
    "added_mass": Coefficient("inertia of the water carried along", 0.05),
    "munk": Coefficient("turning moment of the carried water on a body askew to its path", 0.1),
    "slam": Coefficient("push of water being set in motion at entry", 0.3),
    "cross_drag": Coefficient("drag of bodies across the flow", 0.1),
    "axial_drag": Coefficient("drag of bodies along the flow", 0.2),
    "tail_relief": Coefficient("side force of the flow that leaves a tail", 0.3),
    "cross_relief": Coefficient(
        "loss of the ideal twisting moment on an oval section in separated cross flow", 0.3
    ),
    "shelter": Coefficient("cover of a body by the dead water behind its lip", 0.3),
    "roll_drag": Coefficient("resistance of a flat section to rolling", 0.3),
    "plate_lift": Coefficient("attached normal force on plates", 0.1),
    "plate_drag": Coefficient("separated normal force on plates", 0.1),
    "plate_spin": Coefficient("lift of a plate that rotates", 0.3),
    "plate_friction": Coefficient("skin friction and edge drag of plates", 0.3),
    "near_surface": Coefficient("loss of plate force near the surface", 0.3),
    "shedding": Coefficient("side force of the shed vortices", 0.3),
    "wire_drag": Coefficient("drag of wires", 0.2),
    "hook_drag": Coefficient("drag of hooks and fittings", 0.3),
    "line_bend": Coefficient("drag of the wet line, which bends it", 0.15),
    "line_drag": Coefficient("air and spool resistance of the running line", 0.3),
}

DOUBTED = tuple(name for name, coefficient in COEFFICIENTS.items() if coefficient.doubt > 0.0)
"""Those that a test at the water can teach."""
