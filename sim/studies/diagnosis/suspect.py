"""What could be behind it, as things that can be moved.

Each suspect moves along one number, `x`. Up to 4 either way it is the number of standard deviations of an
input (`sim.design.priors`). Some inputs can be far more wrong than their deviation says, because somebody
slipped: from 4 to 6 such an input goes on, evenly, to the end that a slip may reach. A slip that is no input
has steps of its own, 1, 2 ... What a movement costs is half its square in deviations, as for any normal number;
a slip costs the same however far it went, half the square of its `prior`. Priors of slips are judgement.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, NamedTuple

from pydantic import Field

from sim.design.priors import MODEL, Prior
from sim.trials.records import Result
from sim.trials.request import Request
from sim.units import Quantity

FURTHEST = 4.0  # deviations that are still within reason
SLIPPED = 6.0  # where the far end of a slip lies on the scale of `x`
GRID = (-4.0, -2.0, -1.0, 1.0, 2.0, 4.0)


class Mishap(StrEnum):
    """What must have happened to an input that is far off."""

    PLACED = "placed"
    BENT = "bent"
    SET = "set"
    TURNED = "turned"
    SPOOL = "spool"
    SOAKED = "soaked"
    LEAK = "leak"


class GrossError(NamedTuple):
    """How far an input can be wrong by a slip, in one direction."""

    end: float  # SI, or a factor
    prior: float  # deviations that it counts for
    what: Mishap  # what must have happened


class Moved(Result):
    """What something would have to be, and what it is in the design. SI; null where it is no number."""

    was_si: float | None = Field(None, description="as designed; temperature C, salinity g/kg")
    to_si: float | None = Field(None, description="what it would have to be")
    dimension: str = Field("", description="of the two; `factor` of a coefficient of the model")
    form: str = Field("", description="of a slip that is no input: which form of it")


@dataclass(frozen=True)
class ErrorForm:
    """One form of a slip that is no input: what it makes of the design."""

    moved: Moved
    changes: Mapping[str, Any]


@dataclass(frozen=True)
class Suspect:
    """One thing that may be otherwise than the design says."""

    name: str  # the path of its input, or `slip.` and a name of its own
    uncertain: Prior | None = None
    up: GrossError | None = None
    down: GrossError | None = None
    steps: tuple[ErrorForm, ...] = ()
    prior: float = 0.0  # of a slip that is no input
    paths: tuple[str, ...] = ()  # what it changes

    @property
    def kind(self) -> str:
        """`input`, `model` or `slip`."""
        if self.uncertain is None:
            return "slip"
        return "model" if self.uncertain.of_the_model else "input"

    def grid(self) -> tuple[float, ...]:
        """Where it is looked at first."""
        if self.uncertain is None:
            return tuple(float(k + 1) for k in range(len(self.steps)))
        more = [(SLIPPED + FURTHEST) / 2.0, SLIPPED]
        return (
            *([-x for x in reversed(more)] if self.down else []), *GRID, *(more if self.up else []),
        )  # fmt: skip

    def between(self) -> bool:
        """Whether it can stand between two places of its grid."""
        return self.uncertain is not None

    def beyond(self, x: float) -> GrossError | None:
        """The slip that a movement is, if it is more than a deviation."""
        slip = self.up if x > 0.0 else self.down
        return slip if slip is not None and 0.5 * x * x > 0.5 * slip.prior**2 else None

    def cost(self, x: float) -> float:
        """What moving so far costs: half the square of so many deviations."""
        if self.uncertain is None:
            return 0.5 * self.prior**2
        slip = self.beyond(x)
        return 0.5 * slip.prior**2 if slip else 0.5 * x * x

    @property
    def mass(self) -> float:
        """How often a slip that is no input happens, against a deviation of any size of an input."""
        return math.exp(-0.5 * self.prior**2)

    def density(self, x: float) -> float:
        """How often an input is at `x`: a normal number, and slips alike from where they count to their end."""
        out = math.exp(-0.5 * x * x) / math.sqrt(2.0 * math.pi) if abs(x) <= FURTHEST else 0.0
        slip = self.up if x > 0.0 else self.down
        if slip is not None and slip.prior <= abs(x) <= SLIPPED:
            ways = (self.up is not None) + (self.down is not None)
            out += math.exp(-0.5 * slip.prior**2) / (SLIPPED - slip.prior) / ways
        return out

    def changes(self, x: float) -> Mapping[str, Any]:
        """What to put where in the design."""
        if self.uncertain is None:
            return self.steps[round(x) - 1].changes
        if abs(x) <= FURTHEST:
            return self.uncertain.changes(x)
        slip = self.up if x > 0.0 else self.down
        assert slip is not None
        start = self.uncertain.at(math.copysign(FURTHEST, x)).value
        share = (abs(x) - FURTHEST) / (SLIPPED - FURTHEST)
        value = start + share * (slip.end - start)
        return {self.uncertain.path: Quantity(value, 0.0, self.uncertain.value.dimension)}

    def value(self, x: float) -> float | None:
        """The value of the input there, SI; None of a slip that is no input."""
        if self.uncertain is None:
            return None
        if abs(x) <= FURTHEST:
            return self.uncertain.at(x).value
        return float(next(iter(self.changes(x).values())).value)

    def moved(self, x: float) -> Moved:
        """The value there beside that of the design, or what the slip made of it."""
        if self.uncertain is None:
            return self.steps[round(x) - 1].moved
        return Moved(was_si=self.value(0.0), to_si=self.value(x), dimension=self.uncertain.value.dimension)

    def matters(self, request: Request) -> bool:
        """Whether it can change anything that is looked at; what has no such bound is looked at."""
        points = {pull.tie_on for pull in request.pulls}
        moving = bool(request.pulls) or "drop" in request.parts or "cast" in request.parts
        for path in self.paths:
            top = path.split(".", 1)[0]
            if top == "tie_on" and path.split(".")[1] not in points:
                continue
            if top == "retrieve" and not request.pulls:
                continue
            if top == "cast" and "cast" not in request.parts:
                continue
            if top == "line" and not (request.pulls or "cast" in request.parts):
                continue
            if path.startswith(MODEL) and not moving:
                continue
            return True
        return False
