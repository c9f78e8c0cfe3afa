"""Weights of small parts from what a calliper tells, where no scale is fine enough.

Every estimate states its range, as the standard deviation of a flat interval. Standing: geometry where it is
geometry; what shapes are usual is judgement; sizes by number are from memory. Typical: measure yours.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from sim.bench.uncertainty import FLAT, ReadingError, known, propagate
from sim.units import Quantity

STEEL = 7850.0  # kg/m3, wire
BRASS = 8500.0  # kg/m3

HOOK_GAPES = (4.5, 7.0)
"""Length of wire in one hook, eye to point, in gapes: a bend of half a turn across the gape, a point leg of
one, a shank of two to four, an eye. Judgement."""

POINTS = {"single": 1, "double": 2, "treble": 3}

RING_TURNS = 2.0  # a split ring goes round about twice
RING_SPREAD = 0.15  # flattened wire and the gap in it; judgement


class Typical(NamedTuple):
    """A part sold by number: what one weighs, more or less. From memory; makers differ."""

    weight: float  # kg
    spread: float  # half the range over the weight


SWIVELS = {  # barrel swivels of brass or steel by number, small to large
    "14": 0.06e-3, "12": 0.11e-3, "10": 0.18e-3, "8": 0.27e-3, "7": 0.36e-3, "6": 0.45e-3, "5": 0.6e-3,
    "4": 0.8e-3, "3": 1.0e-3, "2": 1.25e-3, "1": 1.6e-3, "1/0": 2.1e-3, "2/0": 2.7e-3,
}  # fmt: skip
SWIVEL_SPREAD = 0.35


TREBLES = {  # by size, small to large, kg; from memory, makers differ
    "16": 0.10e-3, "14": 0.15e-3, "12": 0.22e-3, "10": 0.33e-3, "8": 0.5e-3, "6": 0.8e-3, "4": 1.3e-3, "2": 2.0e-3,
    "1": 2.6e-3, "1/0": 3.4e-3, "2/0": 4.6e-3, "3/0": 6.2e-3,
}  # fmt: skip
OF_A_TREBLE = {
    "single": 0.4,
    "double": 0.7,
    "treble": 1.0,
}  # of its weight, at one size
HOOK_SPREAD = 0.35


def each(together: Quantity, count: int) -> Quantity:
    """Weight of one of `count` alike weighed together.

    Raises:
        ReadingError: nothing to divide by.
    """
    if count < 1:
        raise ReadingError("weigh at least one of them; write how many lay on the scale")
    return propagate(lambda m: m / count, "mass", together)


def _ranged(value: float, half: float, *readings: tuple[float, Quantity]) -> Quantity:
    """A weight with a range of its own (half of it, as a share) and its readings' (power, reading)."""
    share = math.hypot(
        2.0 * half / FLAT,
        *(power * propagate(lambda x: x, q.dimension, q).sd / q.value for power, q in readings),
    )
    return known(value, value * share, "mass")


def hook(kind: str, wire: Quantity, gape: Quantity, density: float = STEEL) -> Quantity:
    """Weight of a hook from the diameter of its wire and its gape (point to shank).

    pi/4 d^2 x (4.5 to 7 gapes) x points x density.

    Raises:
        ReadingError: a wire as thick as the gape is wide.
    """
    _thin(wire, gape, "gape")
    low, high = HOOK_GAPES
    middle, half = 0.5 * (low + high), (high - low) / (high + low)
    value = math.pi / 4 * wire.value**2 * middle * gape.value * POINTS[kind] * density
    return _ranged(value, half, (2.0, wire), (1.0, gape))


def split_ring(across: Quantity, wire: Quantity, density: float = STEEL) -> Quantity:
    """Weight of a split ring: about two turns of its wire. `across` is its outside."""
    return _coil(across, wire, RING_TURNS, density, RING_SPREAD)


def solid_ring(across: Quantity, wire: Quantity, density: float = STEEL) -> Quantity:
    """Weight of a closed or jump ring: one turn, a torus (closed form)."""
    return _coil(across, wire, 1.0, density, 0.02)


def screw_eye(wire: Quantity, length: Quantity, across: Quantity, density: float = STEEL) -> Quantity:
    """Weight of a screw eye: a straight shank of `length` and one turn for the eye, `across` outside."""
    eye = solid_ring(across, wire, density)
    shank = math.pi / 4 * wire.value**2 * length.value * density
    return _ranged(eye.value + shank, 0.1, (2.0, wire), (1.0, length))


def swivel(number: str) -> Quantity:
    """Weight of a barrel swivel by its number. Typical: measure yours.

    Raises:
        ReadingError: a number that is not in the table.
    """
    if number not in SWIVELS:
        raise ReadingError(
            f'there is no swivel of number "{number}" in the table ({", ".join(SWIVELS)}); weigh ten alike '
            f"and "
            'write bulk = { weight = "2.9 g", count = 10 }'
        )
    weight = SWIVELS[number]
    return known(weight, 2.0 * SWIVEL_SPREAD * weight / FLAT, "mass")


def hook_by_size(kind: str, number: str) -> Quantity:
    """Weight of a hook by its size on the packet. Typical: measure yours.

    Raises:
        ReadingError: a size that is not in the table.
    """
    if number not in TREBLES:
        raise ReadingError(
            f'there is no hook of size "{number}" in the table ({", ".join(TREBLES)}); give its wire and gape, or '
            'weigh ten alike and write bulk = { weight = "12.4 g", count = 10 }'
        )
    weight = OF_A_TREBLE[kind] * TREBLES[number]
    return known(weight, 2.0 * HOOK_SPREAD * weight / FLAT, "mass")


def ball(across: Quantity, density: float) -> Quantity:
    """Weight of a ball: pi/6 d^3 density (closed form)."""
    return propagate(lambda d: math.pi / 6 * d**3 * density, "mass", across)


def rod(across: Quantity, length: Quantity, density: float) -> Quantity:
    """Weight of a round rod: pi/4 d^2 length density (closed form)."""
    return propagate(lambda d, s: math.pi / 4 * d**2 * s * density, "mass", across, length)


def rod_length(weight: Quantity, across: Quantity, density: float) -> Quantity:
    """Length of a round rod of this weight, so the depth of its hole."""
    return propagate(lambda m, d: m / (math.pi / 4 * d**2 * density), "length", weight, across)


def wrap(wire: Quantity, turns: int, core: Quantity, density: float) -> Quantity:
    """Weight of wire wound so many turns round a core: a close coil.

    Each turn is pi (core + wire) long, and one wire's width further on (closed form).
    """
    return propagate(
        lambda d, c: math.pi / 4 * d**2 * density * turns * math.hypot(math.pi * (c + d), d),
        "mass",
        wire,
        core,
    )


def strip(length: Quantity, width: Quantity, thickness: Quantity, density: float) -> Quantity:
    """Weight of a strip of tape or sheet (closed form)."""
    return propagate(lambda x, y, z: x * y * z * density, "mass", length, width, thickness)


DRILLS = tuple(k * 0.5e-3 for k in range(2, 27))  # m: 1 to 13 mm in halves, what a shop sells
DRILL_PLAY = 0.1e-3  # m: hole over rod, so that it goes in with glue; judgement


def drill_for(across: float) -> float | None:
    """The smallest common drill (m) for a rod or ball of this diameter, or None above the largest."""
    return next((d for d in DRILLS if d >= across + DRILL_PLAY - 1e-9), None)


def _coil(across: Quantity, wire: Quantity, turns: float, density: float, half: float) -> Quantity:
    _thin(wire, across, "ring", 0.5)
    value = math.pi / 4 * wire.value**2 * math.pi * (across.value - wire.value) * turns * density
    return _ranged(value, half, (2.0, wire), (1.0, across))


def _thin(wire: Quantity, whole: Quantity, what: str, share: float = 1.0) -> None:
    if wire.value >= share * whole.value:
        raise ReadingError(
            f"a wire of {wire.text} is too thick for a {what} of {whole.text}; the two were probably swapped"
        )


CUT = (
    0.1e-3  # kg: the step in which lead wire is cut on a kitchen scale; a plain step, no maker's list of shot
)
LINES = (
    0.10, 0.12, 0.14, 0.16, 0.18, 0.20, 0.22, 0.25, 0.28, 0.30, 0.33, 0.35, 0.40, 0.45, 0.50, 0.60,
)  # fmt: skip
"""mm: diameters in which line is usually sold. From memory; makers differ."""
