"""One change that a maker may make: what to do, what to write in the file then, and how big a change it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from pydantic import Field

from sim.design.parts import Place
from sim.trials.records import SENTENCE, Result
from sim.units import Quantity


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
    MOVE_EYE_OUT = "move eye out"
    FILL = "fill"
    EMPTY = "empty"
    SCALE = "scale"
    LINE = "line"


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
    way: str = Field("", description="which way, which end of the body, or which other tie-on point")
    hole: Hole | None = Field(None, description="the hole that a weight takes then; null where it needs none")
    sentence: str = SENTENCE


@dataclass(frozen=True)
class Change:
    """One change of a lever."""

    does: Modification
    changes: Mapping[str, Any]  # path -> what the file says then
    cost: float
    tie_on: str = ""  # where the line is tied then, if the request leaves it open


@dataclass(frozen=True)
class Lever:
    """One thing changed one way: its steps, the least first."""

    key: str  # what is changed; two levers of one key are not used together
    group: str
    steps: tuple[Change, ...]
    plain: bool = False  # what a maker would turn first: looked at in more steps from the start


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
