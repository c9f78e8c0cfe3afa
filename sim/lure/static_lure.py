"""The part of a build that weight, margin and rest hang on: no strips, no faces, no added mass.

Figures are those of `build` to the last bit, for a tenth to a third of its time; a study of many builds asks
for this first.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim import elements as e
from sim.design.model import Design
from sim.elements import Hull
from sim.lure.assemble import small_rows, volumes
from sim.lure.lure import Vector
from sim.lure.weigh import Weighed, weigh
from sim.remark import Remark


@dataclass(frozen=True)
class StaticLure:
    """A design weighed, with its hulls. Immutable; SI, lure axes."""

    mass: float  # kg
    centre: Vector  # of gravity, m
    volume: float  # displaced when wholly under, m3
    centre_volume: Vector  # of buoyancy when wholly under, m
    hulls: tuple[Hull, ...]
    small: NDArray[np.float64]  # (k, 10), as in `Lure`
    corners: NDArray[np.float64]  # (4 k, 3) of its plates, m
    warnings: tuple[Remark, ...]


def static_lure(design: Design, with_hulls: bool = True) -> StaticLure:
    """Weigh a design and make its hulls.

    Args:
        with_hulls: without, there is no rest to be found, but mass and volume for a third of the time.

    Raises:
        BuildError: a design that cannot be built, in words a maker can act on.
    """
    whole = weigh(design)
    hulls: tuple[Hull, ...] = ()
    small = np.zeros((0, e.N_COMMON))
    if with_hulls:
        hulls = tuple(b.hull(v) for b, v in zip(whole.bodies, volumes(whole), strict=True))
        small = small_rows(whole)
    return StaticLure(
        whole.mass,
        whole.centre,
        whole.volume,
        whole.centre_volume,
        hulls,
        small,
        _corners(whole),
        whole.warnings,
    )


def _corners(whole: Weighed) -> NDArray[np.float64]:
    """Corners of all plates (4 k, 3), m."""
    return np.array(
        [
            p.r + i * (0.5 * p.length * p.c) + j * (0.5 * p.width * p.s)
            for p in whole.plates
            for i in (-1, 1)
            for j in (-1, 1)
        ]
    ).reshape(-1, 3)
