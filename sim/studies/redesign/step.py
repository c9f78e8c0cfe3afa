"""One change that a maker may make: what to do, what to write in the file then, and how big a change it is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from pydantic import Field

from sim.bench.hardware import DRILL_PLAY
from sim.design.parts import Place
from sim.trials.cautions import FOAMING, MIXING, Caution, Hazard, told
from sim.trials.records import SENTENCE, Result
from sim.units import Quantity

FOAM = 150.0  # kg/m3: no resin with filler is as light; judgement


class Kind(StrEnum):
    """What is done to a part."""

    WEIGH = "weigh"
    LEAVE_OUT = "leave out"
    MOVE = "move"
    DRILL_IN = "drill in"
    FIX_IN = "fix in"
    TURN = "turn"
    RESIZE = "resize"
    SHEET = "sheet"
    HANG = "hang"
    LEAVE_OFF = "leave off"
    TIE_TO = "tie to"
    MOVE_EYE = "move eye"
    FILL = "fill"
    FILLER = "filler"
    POUR = "pour"
    EMPTY = "empty"
    SCALE = "scale"
    LINE = "line"


AT_THE_BENCH = (
    Kind.WEIGH, Kind.LEAVE_OUT, Kind.MOVE, Kind.DRILL_IN, Kind.FIX_IN, Kind.HANG, Kind.TIE_TO, Kind.MOVE_EYE,
    Kind.FILL, Kind.FILLER, Kind.POUR, Kind.EMPTY,
)  # fmt: skip


class Hole(Result):
    """A hole that takes a weight."""

    drill_mm: float = Field(description="diameter of the drill")
    deep_mm: float = Field(description="length of the rod, or diameter of the ball, that goes in")
    way: str = Field(description="up (and down), across, or ball: from below")
    sentence: str = SENTENCE


class Modification(Result):
    """One thing to do. Values are SI; null where it has none."""

    kind: Kind = Field(description="what is done")
    part: str = Field(description="to what; for a line tied elsewhere, the point that it is tied to now")
    to_si: float | None = Field(None, description="weight, size, distance, angle, density or share then")
    was_si: float | None = Field(None, description="the same now")
    room_m3: float | None = Field(
        None, description="of a fill: what it takes, the hollow less what lies in it; null where it is none"
    )
    way: str = Field(
        "", description="which way, which end of the body, which other tie-on point, filler or hook"
    )
    hole: Hole | None = Field(None, description="the hole that a weight takes then; null where it needs none")
    cast_in: bool = Field(False, description="of a weight in a solid body: no drilled hole takes it")
    sentence: str = SENTENCE

    @property
    def at_the_bench(self) -> bool:
        """Whether it is done to the finished lure at a bench; a plate or a body of another size is made anew."""
        return self.kind in AT_THE_BENCH and not self.cast_in


_TOOLS = (Hazard.TOOLS, Hazard.DUST)
_SHEET = (*_TOOLS, Hazard.EDGES)
_HURTS: dict[Kind, tuple[Hazard, ...]] = {
    Kind.WEIGH: _TOOLS, Kind.LEAVE_OUT: _TOOLS, Kind.MOVE: _TOOLS, Kind.DRILL_IN: _TOOLS, Kind.FIX_IN: _TOOLS,
    Kind.TURN: _SHEET, Kind.RESIZE: _SHEET, Kind.SHEET: _SHEET, Kind.HANG: (Hazard.HOOKS,),
    Kind.LEAVE_OFF: (Hazard.HOOKS,), Kind.MOVE_EYE: _TOOLS, Kind.FILL: MIXING, Kind.FILLER: MIXING, Kind.POUR: MIXING,
    Kind.SCALE: _TOOLS,
}  # fmt: skip
_BALLAST = (Kind.WEIGH, Kind.MOVE, Kind.LEAVE_OUT, Kind.DRILL_IN, Kind.FIX_IN)


def hazards(changes: Iterable[Modification], lead: bool) -> list[Caution]:
    """What can hurt in doing these things; `lead`: whether a weight then in the lure is of lead."""
    found: list[Hazard] = []
    for one in changes:
        foam = one.kind is Kind.FILL and (one.to_si or 0.0) <= FOAM
        found += FOAMING if foam else _HURTS.get(one.kind, ())
        if lead and one.kind in _BALLAST:
            found += [Hazard.LEAD, Hazard.MELTED_LEAD]
    return told(found)


@dataclass(frozen=True)
class Change:
    """One change of a lever."""

    does: Modification
    changes: Mapping[str, Any]  # path -> what the file says then
    cost: float
    tie_on: str = ""  # where the line is tied then, if the request leaves it open
    besides: tuple[
        str, ...
    ] = ()  # paths that become another thing by it, though the file says the same there


@dataclass(frozen=True)
class Lever:
    """One thing changed one way: its steps, the least first."""

    key: str  # what is changed; two levers of one key are not used together
    group: str
    steps: tuple[Change, ...]
    plain: bool = False  # what a maker would turn first: looked at in more steps from the start

    @property
    def at_the_bench(self) -> bool:
        """Whether it begins with what is done to the finished lure at a bench."""
        return self.steps[0].does.at_the_bench


def as_rod(hole: Hole) -> dict[str, Any] | None:
    """What a file says of the rod that fits a hole; None of a ball."""
    if hole.way == "ball":
        return None
    across = 1e3 * (1e-3 * hole.drill_mm - DRILL_PLAY)
    return {"kind": "rod", "across": mm(across), "length": mm(hole.deep_mm)}


def mm(value: float) -> str:
    """Millimetres as a file has them."""
    return f"{round(value, 2) + 0.0:g} mm"


def grams(value: float) -> str:
    """Grams as a file has them, of a mass in kg."""
    return f"{round(1e3 * value, 3):g} g"


def shifted(place: Place, axis: str, far_mm: float) -> Place:
    """A place moved along one axis."""
    value = getattr(place, axis).value + 1e-3 * far_mm
    return place.model_copy(update={axis: Quantity(value, 0.0, "length")})
