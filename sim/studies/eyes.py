"""Where an eye can be: on a body or just out of it, or on a sheet; not deep inside, nor on a stalk in the open water.

How far out and how deep is judgement.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from sim.design.model import Design
from sim.design.parts import Plate
from sim.design.plate_axes import plate_axes
from sim.lure.bodies import BuiltBody, vector
from sim.lure.moments import Array

REACH = 3e-3  # m: an eye stands no farther out of a body, or off a plate's face
SUNK = 2e-3  # m: an eye that lies deeper in a body cannot be tied to
_AROUND = [np.array([x, 0.0, z]) for x, z in ((1, 0), (-1, 0), (0, 1), (0, -1))]


def can_be(at: Array, design: Design, built: Sequence[BuiltBody]) -> bool:
    """Whether an eye can be at a point (3,), in lure axes. built: the bodies of the design, in place."""
    for body in built:
        if body.holds(at, *(at + SUNK * off for off in _AROUND)):
            return False
        if any(body.holds(at + REACH * off) for off in _AROUND):
            return True
    return any(_to_plate(at, plate) <= REACH for plate in design.plate.values())


def _to_plate(at: Array, plate: Plate) -> float:
    """Distance from a point (3,) to the middle line of a plate, m."""
    root = vector(plate.root)
    run = plate.length.value * np.array(plate_axes(plate)[0])
    share = float(np.clip((at - root) @ run / (run @ run), 0.0, 1.0))
    return float(np.linalg.norm(at - root - share * run))
