"""One change that a maker may make: what to write in the file, and how big a change it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sim.design.parts import Place
from sim.units import Quantity


@dataclass(frozen=True)
class Change:
    """One change of a lever."""

    say: str  # "drill a weight of 1.2 g into ..."
    changes: Mapping[str, Any]  # path -> what the file says then
    cost: float
    tie_on: str = ""  # where the line is tied then, if the wants leave it open
    how: str = ""  # more on the doing


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
