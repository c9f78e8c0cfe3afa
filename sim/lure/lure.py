"""The built lure: plain numbers in SI, in the lure's own axes, ready for every trial."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.elements import Elements, Hull
from sim.remark import Remark

Vector = NDArray[np.float64]  # (3,)


class Rod(NamedTuple):
    """A round rod in place, lure axes, m."""

    start: Vector
    end: Vector
    across: float

    @property
    def run(self) -> Vector:
        """From end to end."""
        return self.end - self.start


@dataclass(frozen=True)
class Part:
    """One row of the weight and volume budget."""

    name: str  # as the maker reads it: "body main", "hook belly (left)"
    kind: str  # body, fill, plate, wire, hook, fitting, ballast, paint, measured
    mass: float  # kg
    volume: float  # displaced, m3; the fill and ballast inside a body displace nothing of their own
    centre: Vector  # of mass, m
    centre_volume: Vector  # of displaced volume, m
    inertia: NDArray[np.float64]  # (3, 3) about `centre`, kg m2
    source: str  # measured, computed, handbook
    notes: tuple[Remark, ...] = ()  # measured against computed, for the budget's last column
    rod: Rod | None = None  # of ballast that is one
    points: int = 3  # of a hook


@dataclass(frozen=True)
class Lure:
    """A design turned into mass properties, an element table and hulls. Immutable."""

    name: str
    parts: tuple[Part, ...]
    mass: float  # kg
    centre: Vector  # of gravity, m
    volume: float  # displaced when wholly under, m3
    centre_volume: Vector  # of buoyancy when wholly under, m
    elements: Elements
    hulls: tuple[Hull, ...]  # together with `small` they carry all of `volume`
    small: NDArray[np.float64]  # (k, 10): r(3), Q(6), volume of plates, wires, blobs (columns of `common`)
    tie_ons: dict[str, Vector]
    length: float  # longest extent along x, m
    nose_to_tail: tuple[float, float]  # largest and smallest x, m
    warnings: tuple[Remark, ...]
