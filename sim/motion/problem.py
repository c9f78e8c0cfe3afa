"""One run's data in a single flat array: what the compiled right-hand side reads.

`Problem` names the tables; `pack` lays them one behind the other with a small header, `unpack`
gives views of them back. One array instead of a dozen makes a call from the solver three times cheaper and
can be sent to another process as it is.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from sim.elements import N_ADDED, QXX, QYY, QZZ, VOLUME, Elements
from sim.forces.inputs import COEFFICIENT_INDEX, N_LINE, Problem
from sim.media import Medium

_N_TABLES = len(Problem._fields)


@dataclass(frozen=True)
class Scene:
    """Everything around the lure in one run.

    `line` is None for a free lure. `coefficients` maps names of `sim.forces.inputs.COEFFICIENTS` to factors.
    """

    water: Medium
    air: Medium
    gravity: float = 9.80665  # m/s2, standard
    current: tuple[float, float, float] = (0.0, 0.0, 0.0)
    wind: tuple[float, float, float] = (0.0, 0.0, 0.0)
    line: LineSetup | None = None
    coefficients: Mapping[str, float] = field(default_factory=dict)


LINKS = 20  # of the moving line; docs/notes/convergence.md says what more would bring


@dataclass(frozen=True)
class LineSetup:
    """The line and what the angler does with it."""

    mode: int  # 1 wound in, 2 running off the spool
    tie_on: tuple[float, float, float]  # m, lure axes
    stiffness: float  # N
    damping: float  # share of critical
    diameter: float  # m
    density: float  # kg/m3
    programme: tuple[tuple[float, float, float, float, float], ...]  # time, length out, rod tip x, y, z
    cross_drag: float = (
        0.0  # drag coefficient across the wet line; 0 for that of a cylinder at its Reynolds number
    )
    links: int = LINKS


def pack(elements: Elements, scene: Scene) -> NDArray[np.float64]:
    """Lay one run's tables into a flat array.

    Raises:
        KeyError: a gain that is not one of `COEFFICIENTS`.
    """
    env = np.array(
        [
            scene.water.density,
            scene.water.kinematic,
            scene.air.density,
            scene.air.kinematic,
            scene.gravity,
            *scene.current,
            *scene.wind,
        ]
    )
    coefficients = np.ones(len(COEFFICIENT_INDEX))
    for name, factor in scene.coefficients.items():
        coefficients[COEFFICIENT_INDEX[name]] = factor
    line = np.zeros(N_LINE)
    programme = np.zeros((1, 5))
    if scene.line is not None:
        setup = scene.line
        line[:] = [
            setup.mode,
            *setup.tie_on,
            setup.stiffness,
            setup.damping,
            setup.diameter,
            setup.cross_drag,
            setup.density,
            setup.links,
        ]
        programme = np.array(setup.programme, dtype=float)
    tables = [*elements, env, line, programme, coefficients, _whole(elements)]
    header = [float(n) for table in tables for n in _shape(table)]
    return np.concatenate([header, *[np.ravel(table) for table in tables]])


def _shape(table: NDArray[np.float64]) -> tuple[int, int]:
    return (table.shape[0], table.shape[1]) if table.ndim == 2 else (1, table.shape[0])


def _whole(elements: Elements) -> NDArray[np.float64]:
    """Exactly rounded sums, so that mirrored pairs cancel to a true zero."""
    common, added = elements.common, elements.added
    sums = [math.fsum(added[:, k]) for k in range(N_ADDED)]
    sums.append(math.fsum(common[:, VOLUME]))
    sums.extend(math.fsum(common[:, VOLUME] * common[:, k]) for k in range(3))
    spread = np.sqrt(common[:, QXX] + common[:, QYY] + common[:, QZZ])
    reach = np.linalg.norm(common[:, :3], axis=1) + spread
    sums.append(float(reach.max(initial=0.0)))
    return np.array(sums)


def unpack(flat: NDArray[np.float64]) -> Problem:
    """Views of the tables inside a flat array made by `pack`."""
    at, tables = 2 * _N_TABLES, []
    sizes = flat[:at].astype(int).tolist()
    for rows, columns in zip(sizes[::2], sizes[1::2], strict=True):
        tables.append(flat[at : at + rows * columns].reshape((rows, columns)))
        at += rows * columns
    env, line, coefficients, whole = tables[8][0], tables[9][0], tables[11][0], tables[12][0]
    return Problem._make([*tables[:8], env, line, tables[10], coefficients, whole])
