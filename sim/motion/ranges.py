"""How much of a run lay outside the ranges of the laws it used.

A law's range is data, beside its name. A run is judged over a window: each law is asked at what Reynolds number it
was used, and the share of the time that lay outside is told.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim import elements as e
from sim.forces.inputs import CURRENT, NU_A, NU_W, WIND
from sim.motion import kinematics as reading
from sim.motion.problem import Problem, unpack
from sim.motion.solve import Trajectory

Array = NDArray[np.float64]


class MeasuredLaw(NamedTuple):
    """A law of drag or lift and the Reynolds numbers that it was measured over."""

    name: str
    low: float
    high: float
    source: str


CROSS_FLOW = MeasuredLaw("drag across a body", 1.0, 2e5, "Cheng 2013; Clift and Gauvin 1970")
SKIN = MeasuredLaw("skin friction of a body", 1e2, 1e7, "Blasius; Prandtl")
PLATE = MeasuredLaw("force on a plate", 1e3, 2e5, "Ortiz, Rival and Wood 2015 from 6e4 up; below, judgement")
WIRE = MeasuredLaw("drag of a wire", 1.0, 2e5, "Cheng 2013")
LAWS = (CROSS_FLOW, SKIN, PLATE, WIRE)

SEEN = 0.02  # share of the time below which nothing is said


class Outside(NamedTuple):
    """A law that was used outside its range."""

    law: MeasuredLaw
    below: float  # share of the time under the range
    above: float  # share of the time over it


def outside(run: Trajectory, times: Array) -> list[Outside]:
    """The laws that the window `times` (k,) of a run used outside their range, the worst first."""
    y = run.at(times)
    r = reading.axes(y)
    problem = unpack(run.flat)
    found = []
    for law, reynolds in _used(problem, y, r):
        below, above = float((reynolds < law.low).mean()), float((reynolds > law.high).mean())
        if max(below, above) > SEEN:
            found.append(Outside(law, below, above))
    return sorted(found, key=lambda one: -max(one.below, one.above))


def _used(p: Problem, y: Array, r: Array) -> list[tuple[MeasuredLaw, Array]]:
    """Each law with the largest Reynolds number it was used at, for every state (k,)."""
    used = []
    if len(p.bodies):
        cross, along = [], []
        for body in p.bodies:
            middle = p.common[int(body[e.B_FIRST] + body[e.B_LAST]) // 2, :3]
            v, nu = _flow(p, y, r, middle)
            axial = np.abs(v @ body[e.B_T : e.B_T + 3])
            across = np.sqrt(np.maximum((v**2).sum(axis=1) - axial**2, 0.0))
            cross.append(across * body[e.B_DIAMETER] / nu)
            along.append(np.sqrt((v**2).sum(axis=1)) * body[e.B_LENGTH] / nu)
        used += [(CROSS_FLOW, np.max(cross, axis=0)), (SKIN, np.max(along, axis=0))]
    plates = [plate for plate in p.plates if plate[e.P_OPEN] > 0.0]
    if plates:
        speeds = [(_flow(p, y, r, plate[e.P_R : e.P_R + 3]), plate) for plate in plates]
        sizes = [np.sqrt((v**2).sum(axis=1) * plate[e.P_AREA]) / nu for (v, nu), plate in speeds]
        used.append((PLATE, np.max(sizes, axis=0)))
    if len(p.wires):
        speeds = [(_flow(p, y, r, p.common[int(wire[e.W_ROW]), :3]), wire) for wire in p.wires]
        sizes = [np.sqrt((v**2).sum(axis=1)) * wire[e.W_DIAMETER] / nu for (v, nu), wire in speeds]
        used.append((WIRE, np.max(sizes, axis=0)))
    return used


def _flow(p: Problem, y: Array, r: Array, point: Array) -> tuple[Array, Array]:
    """Velocity past a point of the lure, its own axes (k, 3), and the kinematic viscosity there (k,)."""
    wet = y[:, 2] + r[:, 2] @ point < 0.0
    moving = np.where(wet[:, None], p.env[CURRENT : CURRENT + 3], p.env[WIND : WIND + 3])
    v = y[:, 7:10] + np.cross(y[:, 10:13], point) - np.einsum("kji,kj->ki", r, moving)
    return v, np.where(wet, p.env[NU_W], p.env[NU_A])
