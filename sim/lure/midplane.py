"""The middle plane of a flat-sided body, as a plate that counts with a share of its force.

Round a circular section the cross flow closes again, and a tail that narrows is pushed the other way (Munk). At the
edges of a flat plate it leaves, and what lies behind the widest section carries no lift (Jones 1946, NACA Report
835), while vortices over the edges add to it. A body of oval or boxy section is taken for both: for the share
(1 - thickness / height)^2 of its section, meaned over the area of its flat side, the body is the plate of that
outline, for the rest a round body. Standing: the two ends are those of the laws of plates and of round bodies; the
share between them is judgement. Flow from the back to the belly meets a section far thicker for its chord than flow
along the body, with no sharp edge to leave: it brings no more lift than that along it (judgement, with rows of our own
tank in view; the lattice of a thin plate would have three times as much).
"""

from __future__ import annotations

import math

import numpy as np

from sim import elements as e
from sim.lure.moments import Array
from sim.lure.plates import common_row, plate_row
from sim.lure.small import PlateShape

LEAST = 0.02  # share that is not worth a plate (numerical)


def flatness(across: Array, deep: Array, area: Array) -> float:
    """How far a body is a plate to the flow across its flat side, 0 to 1, by its strips: half sizes (n,) across that
    flow and along it, and areas (n,) seen from that side."""
    share = np.maximum(1.0 - deep / np.maximum(across, 1e-12), 0.0) ** 2
    return float(np.dot(share, area) / area.sum())


def midplane(
    label: str,
    share: float,
    carried: float,
    at: Array,
    area: Array,
    half: Array,
    axes: tuple[Array, Array],
    run: float,
) -> tuple[Array, Array]:
    """Rows of `common` and of the plate table for the middle plane of a body; its row number is filled in later.

    Args:
        label: of the body.
        share: of the force of that plate with which it counts.
        carried: the body's added mass across its flat side, over the density (m3).
        at: (n, 3) middles of its strips (m).
        area: (n,) of the strips, seen from the flat side (m2).
        half: (n,) half their heights there (m).
        axes: unit vectors (3,) along the body and up its flat side.
        run: length of the body (m).
    """
    along, up = axes
    whole = float(area.sum())
    centre = area @ at / whole
    away = (at - centre) @ along
    reach_c = math.sqrt(float(area @ away**2) / whole + (run / len(area)) ** 2 / 12.0)
    reach_s = math.sqrt(float(area @ half**2) / (3.0 * whole))
    height = 2.0 * float(half.max())
    nothing = np.zeros(10)
    plate = PlateShape(
        label, "body", centre, along, up, np.cross(along, up), run, height, 0.0, whole, reach_c, reach_s, True,
        0.0, 0.0, nothing, nothing, "", (),
    )  # fmt: skip
    row = plate_row(plate, 0, -1)
    row[[e.P_KP_LONG, e.P_KP_WIDE]] = row[[e.P_KP_LONG, e.P_KP_WIDE]].min()
    row[e.P_OPEN], row[e.P_SHARE], row[e.P_CARRIED] = 0.0, share, carried
    q = np.outer(along, along) * (0.5 * run) ** 2 + np.outer(up, up) * (0.5 * height) ** 2
    return common_row(centre, q, 0.0), row
