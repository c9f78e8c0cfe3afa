"""From a design to the surroundings of a run: water, air, line."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from sim.coefficients import DOUBTED
from sim.design.model import Design
from sim.media import SEAWATER, Medium, air, water
from sim.motion.problem import LineSetup, Scene


class LineStuff(NamedTuple):
    """What a fishing line is made of."""

    density: float  # kg/m3
    modulus: float  # Pa, of the line as used


LINES = {
    "nylon": LineStuff(1140.0, 2.5e9),
    "fluorocarbon": LineStuff(1780.0, 2.0e9),
    "braid": LineStuff(970.0, 36e9),
    "lead-core": LineStuff(3000.0, 10e9),
}
"""Densities: Engineers Edge, Properties of plastic materials, and Tension Technology International,
Synthetic fibre yarn properties, Table 1 (published). Moduli: drawn line, from memory; braid at 30 % of its
fibre's 120 GPa; lead-core: a lead wire of a third of the sheath's section, from memory, its modulus judgement. The
stretch moves a lure's place by centimetres, not its behaviour."""

LINE_DAMPING = 0.1  # share of critical; judgement
LINE_IN_WATER = 0.5
"""Share of the line that is under water, for the drag of a leader: a lure as deep as the rod tip is high.
Judgement; the deeper it runs, the less a leader counts than this says."""


def medium(design: Design) -> Medium:
    """The design's water."""
    return water(design.water.temperature.value, salinity(design))


def salinity(design: Design) -> float:
    """Salt in the design's water, g/kg."""
    given = design.water.salinity
    if given is not None:
        return given.value
    return SEAWATER if design.water.kind == "salt" else 0.0


def calibrated(design: Design, coefficients: Mapping[str, float] | None = None) -> dict[str, float]:
    """Factors on the forces: the design's own calibration, times `coefficients` on top of it."""
    known = {name: getattr(design.calibration, name).value for name in DOUBTED}
    out = {name: value for name, value in known.items() if value != 1.0}
    for name, factor in (coefficients or {}).items():
        out[name] = factor * out.get(name, 1.0)
    return out


def still(design: Design, coefficients: Mapping[str, float] | None = None) -> Scene:
    """Still water and air, no line: for a drop."""
    return Scene(water=medium(design), air=air(), coefficients=calibrated(design, coefficients))


def flight(design: Design, tie_on: Sequence[float], coefficients: Mapping[str, float] | None = None) -> Scene:
    """A cast: line running off the spool, wind blowing."""
    cast = design.cast
    tip = (0.0, 0.0, 0.0, 0.0, cast.height.value)
    return Scene(
        water=medium(design),
        air=air(),
        wind=(cast.wind.value, cast.crosswind.value, 0.0),
        current=current(design),
        line=line(design, 2, tie_on, [tip, (1.0, *tip[1:])]),
        coefficients=calibrated(design, coefficients),
    )


def free(design: Design, coefficients: Mapping[str, float] | None = None) -> Scene:
    """The design's water with its current, no line: while a lure is counted down on an open spool."""
    return Scene(
        water=medium(design),
        air=air(),
        current=current(design),
        coefficients=calibrated(design, coefficients),
    )


def pulled(
    design: Design,
    tie_on: Sequence[float],
    programme: Sequence[tuple[float, float, float, float, float]],
    coefficients: Mapping[str, float] | None = None,
) -> Scene:
    """A retrieve: line wound in by the programme (time, length out, rod tip x, y, z)."""
    return Scene(
        water=medium(design),
        air=air(),
        current=current(design),
        line=line(design, 1, tie_on, programme),
        coefficients=calibrated(design, coefficients),
    )


def current(design: Design) -> tuple[float, float, float]:
    """Velocity of the water, world axes."""
    speed, toward = design.water.current.value, design.water.current_toward.value
    if speed == 0.0:
        return 0.0, 0.0, 0.0
    return speed * math.cos(toward), speed * math.sin(toward), 0.0


def line(
    design: Design,
    mode: int,
    tie_on: Sequence[float],
    programme: Sequence[tuple[float, float, float, float, float]],
) -> LineSetup:
    """The design's line, tied to a point of the lure.

    A leader is one line with the main line as the model sees it: its stretch in series, over the distance of
    the retrieve; its thickness and density by its share of the line in the water (`LINE_IN_WATER`). Standing:
    judgement. The running line of a cast is the main line.
    """
    stuff = LINES[design.line.material]
    diameter, density = design.line.diameter.value, stuff.density
    stiffness = stuff.modulus * math.pi * diameter**2 / 4.0
    leader = design.line.leader
    if leader is not None and mode == 1:
        whole = design.retrieve.distance.value
        share = min(leader.length.value / whole, 1.0)
        wet = min(leader.length.value / (LINE_IN_WATER * whole), 1.0)
        own = LINES[leader.material].modulus * math.pi * leader.diameter.value**2 / 4.0
        stiffness = 1.0 / (share / own + (1.0 - share) / stiffness)
        diameter += wet * (leader.diameter.value - diameter)
        density += wet * (LINES[leader.material].density - density)
    x, y, z = (float(value) for value in tie_on)
    return LineSetup(
        mode=mode,
        tie_on=(x, y, z),
        stiffness=stiffness,
        damping=LINE_DAMPING,
        diameter=diameter,
        density=density,
        programme=tuple(programme),
    )
