"""Ways to ask the simulator's own code for one figure: build a part, hold it in a stream, read the force."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

import numpy as np

from sim.elements import Elements
from sim.lure import added_mass as am
from sim.lure import build
from sim.lure.lure import Lure
from sim.media import Medium
from sim.motion.equations import rates
from sim.motion.kinematics import axes, quaternion
from sim.motion.problem import Scene, pack
from sim.motion.solve import Trajectory, start_state
from tests.lure.makers import design, stations
from tests.motion.rigs import OFF_BUT_INERTIA

WATER, AIR = Medium(998.2067, 1.0016e-3), Medium(1.225, 1.7894e-5)  # at 20 C; standard at sea level
PLAIN_WATER = Medium(1000.0, 1.0e-3)
STILL = {"weight": 0.0, "buoyancy": 0.0, "added_mass": 0.0, "munk": 0.0, "slam": 0.0, "shedding": 0.0}
IDEAL = {**OFF_BUT_INERTIA, "shedding": 0.0}
"""Ideal fluid: nothing acts but the inertia of the body and of the water it carries."""


@cache
def ellipsoid(length: float, width: float, height: float, density: float = 1000.0) -> Lure:
    """A solid ellipsoid built as a maker's body; full sizes in mm, density in kg/m3."""
    size = {"length": f"{length} mm", "width": f"{width} mm", "height": f"{height} mm"}
    return build(design(body={"main": {**size, "density": f"{density} kg/m3"}}), with_hulls=False)


@cache
def turned(*rows: tuple[float, float, float], exponent: float = 2.0, density: float = 1000.0) -> Lure:
    """A body of stations (back, width, height) in mm."""
    body = stations(*rows, exponent=exponent, density=f"{density} kg/m3")
    return build(design(body={"main": body}))


def rod(length: float, diameter: float, density: float = 1000.0) -> Lure:
    """A round rod with flat ends, sizes in mm."""
    return turned((0.0, diameter, diameter), (length, diameter, diameter), density=density)


@cache
def plate(length: float, width: float, outline: str = "straight", thickness: float = 0.01) -> Lure:
    """A flat plate lying level: leading edge athwart at the origin, `length` aft of it; sizes in mm."""
    part = {
        "role": "tail", "roll": "0 deg", "length": f"{length} mm", "width": f"{width} mm", "outline": outline,
        "thickness": f"{thickness} mm", "density": "1000 kg/m3",
    }  # fmt: skip
    return build(design(plate={"sheet": part}), with_hulls=False)


def force(
    elements: Elements,
    velocity: Sequence[float],
    *,
    pitch: float = 0.0,
    height: float = -5.0,
    water: Medium = WATER,
    coefficients: Mapping[str, float] | None = None,
) -> np.ndarray:
    """Force and moment about the origin (6,), world axes, on a lure that moves steadily without turning.

    Args:
        velocity: of the lure, world axes, m/s.
        pitch: nose up, rad.
        height: of the lure's origin above the surface, m.
    """
    scene = Scene(water, AIR, coefficients={**STILL, **(coefficients or {})})
    y = start_state(elements, (0.0, 0.0, height), quaternion(pitch=pitch))
    turn = axes(y[None, :])[0]
    y[7:10] = turn.T @ np.array(velocity)
    # without carried water the equations read: mass matrix times acceleration = force
    own = elements.inertia @ rates(0.0, y, pack(elements, scene))[7:13]
    return np.concatenate([turn @ own[:3], turn @ own[3:]])


def at_angle(speed: float, angle: float) -> tuple[float, float, float]:
    """Velocity of a level lure whose flow comes from `angle` (rad) below its nose."""
    return speed * math.cos(angle), 0.0, -speed * math.sin(angle)


def carried(lure: Lure) -> np.ndarray:
    """The whole added-mass matrix (6, 6) over the density, about the centre of the displaced volume."""
    whole = am.unpacked(lure.elements.added).sum(axis=0)
    return shifted(whole, lure.centre_volume)


def shifted(matrix: np.ndarray, to: np.ndarray) -> np.ndarray:
    """A mass matrix (6, 6) about another point."""
    x, y, z = to
    move = np.eye(6)
    move[:3, 3:] = [[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]]  # v at the origin = v at the point - w x point
    return np.asarray(move.T @ matrix @ move)


def crossings(run: Trajectory, values: Any, until: float) -> np.ndarray:
    """Times at which `values(states)` rises through its mean."""
    times = np.linspace(0.0, until, 8001)
    found = np.asarray(values(run.at(times)))
    found = found - found.mean()
    k = np.flatnonzero((found[:-1] < 0.0) & (found[1:] >= 0.0))
    return times[k] - found[k] * (times[1] - times[0]) / (found[k + 1] - found[k])


def period(run: Trajectory, values: Any, until: float) -> float:
    """Mean period of a swing."""
    found = crossings(run, values, until)
    return float((found[-1] - found[0]) / (len(found) - 1))
