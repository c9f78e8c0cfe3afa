"""Behaviours over two numbers of a design; by default over where on the body the line is tied."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.design.model import Design
from sim.lure import BuildError
from sim.lure.lure import Lure
from sim.studies import eyes
from sim.studies.engine import CaseError, changed
from sim.studies.parameters import Parameter
from sim.studies.plan import FAILURE, NUMBER, Plan
from sim.studies.redesign.clearance import bodies
from sim.trials.results import METRICS
from sim.units import Quantity

BEHAVIOUR = "retrieve.behaviour"
(DEPTH,) = (metric.name for metric in METRICS.values() if metric.in_water)
NO_ANSWER = "no answer"
NO_PLACE = "no place for an eye"
HALF_MM = 5e-4  # m; ends of the default rectangle are rounded to it
FORE = 0.5  # share of the length, from the foremost point, that the default rectangle covers


@dataclass(frozen=True)
class Panel:
    """The map at one speed: `behaviours[j][i]` at the j-th value of y and the i-th of x."""

    speed: float  # m/s
    behaviours: tuple[tuple[str, ...], ...]
    depths: NDArray[np.float64]  # m, NaN where there is none


@dataclass(frozen=True)
class Map:
    """Behaviours over two numbers, at one or more speeds."""

    x: Parameter
    y: Parameter
    tie_on: str
    panels: tuple[Panel, ...]

    @property
    def xs(self) -> list[float]:
        """Values across, in the unit of the axis."""
        return [self.x.cell(value) for value in self.x.levels()]

    @property
    def ys(self) -> list[float]:
        """Values upward, in the unit of the axis."""
        return [self.y.cell(value) for value in self.y.levels()]

    def over_body(self) -> bool:
        """Whether the axes are the places of the tie-on point, so that the lure can be drawn behind it."""
        ends = f"tie_on.{self.tie_on}.at."
        return (self.x.path, self.y.path) == (f"{ends}back", f"{ends}up")

    def behaviours(self) -> list[str]:
        """All that occur, the commonest first."""
        every = [
            word for panel in self.panels for row in panel.behaviours for word in row if word != NO_PLACE
        ]
        return sorted(set(every), key=lambda word: (-every.count(word), word))


def rectangle(
    design: Design, lure: Lure, tie_on: str, across: int, upward: int
) -> tuple[Parameter, Parameter]:
    """Where a tie-on point may sit: the fore half of bodies and plates, their lowest to their highest.

    Where all of that is flat, a little above and below it.
    """
    from sim.elements import P_C, P_LENGTH, P_OPEN, P_R

    plates = lure.elements.plates[lure.elements.plates[:, P_OPEN] > 0.0]
    reach = 0.5 * plates[:, [P_LENGTH]] * plates[:, P_C : P_C + 3]
    ends = [plates[:, P_R : P_R + 3] + reach, plates[:, P_R : P_R + 3] - reach]
    points = np.concatenate([*(hull.vertices for hull in lure.hulls), *ends])
    front, rear = float(points[:, 0].max()), float(points[:, 0].min())
    fore = points[points[:, 0] >= front - FORE * (front - rear)]
    back = (-front, -(front - FORE * (front - rear)))
    low, high = float(fore[:, 2].min()), float(fore[:, 2].max())
    beside = max(0.0, eyes.REACH - 0.5 * (high - low))
    return (
        _side(f"tie_on.{tie_on}.at.back", back, across),
        _side(f"tie_on.{tie_on}.at.up", (low - beside, high + beside), upward),
    )


def _side(path: str, ends: tuple[float, float], steps: int) -> Parameter:
    low, high = (HALF_MM * round(end / HALF_MM) for end in ends)
    values = tuple(Quantity(end, 0.0, "length") for end in (low, max(high, low + HALF_MM)))
    return Parameter(path, path, values, ranges=True, steps=steps)


def no_places(plan: Plan, design: Design) -> set[int]:
    """Numbers of the cases of a map of tie-on points in which no eye could be: deep in a body or in open water."""
    axes = [parameter.path for parameter in plan.parameters[-2:]]
    first = next(plan.cases())
    try:
        design = changed(design, {path: to for path, to in first.changes.items() if path not in axes})
        built = bodies(design)
    except (BuildError, CaseError):  # what is the same in all runs cannot be: each of them says so
        return set()
    left = design.tie_on[plan.tie_ons[0]].at.left.value
    places = ((case.number, [case.changes[path].value for path in axes]) for case in plan.cases())
    return {
        number for number, (back, up) in places if not eyes.can_be(np.array([-back, left, up]), design, built)
    }


def drawn(plan: Plan, rows: Iterable[Mapping[str, Any]], without: Collection[int] = ()) -> Map:
    """The map that the rows of a plan make; cells without a row, or without an answer, say so.

    `plan` has the two numbers as its last parameters, one value for each of the others, and one tie-on point.
    without: numbers of cases that were not tried, as `no_places` gives them.
    """
    x, y = plan.parameters[-2:]
    behaviours = np.full((len(x), len(y), len(plan.speeds)), NO_ANSWER, dtype=object)
    depths = np.full(behaviours.shape, np.nan)
    for number in without:
        behaviours[np.unravel_index(number - 1, behaviours.shape)] = NO_PLACE
    for row in rows:
        at = np.unravel_index(int(row[NUMBER]) - 1, behaviours.shape)
        if row[BEHAVIOUR] and not row[FAILURE]:
            behaviours[at] = str(row[BEHAVIOUR])
        if row[DEPTH] not in (None, ""):
            depths[at] = float(row[DEPTH])
    panels = [
        Panel(speed, tuple(tuple(column) for column in behaviours[:, :, k].T), depths[:, :, k].T)
        for k, speed in enumerate(plan.speeds)
    ]
    return Map(x, y, plan.tie_ons[0], tuple(panels))


def regions(words: Sequence[Sequence[str]]) -> list[tuple[str, list[tuple[int, int]]]]:
    """Connected areas of one behaviour, the largest first: the word and its cells (row, column)."""
    from scipy.ndimage import label

    cells = np.array(words, dtype=object)
    found = []
    for word in set(cells.ravel()):
        marks, count = label(cells == word)
        found += [
            (str(word), [(int(j), int(i)) for j, i in np.argwhere(marks == k + 1)]) for k in range(count)
        ]
    return sorted(found, key=lambda region: (-len(region[1]), region[1][0]))
