"""Fullness: the real volume of a body over that of the shape which tells it, and how well it is known.

Deviations are those of 200 invented closed shapes told in each way (docs/notes/doubt-of-shape.md).
"""

from __future__ import annotations

import math
from typing import Literal

from sim.bench.found import FULLNESS, FULLNESS_SD
from sim.design.assembly import home_of
from sim.design.materials import find
from sim.design.model import Design
from sim.design.parts import Body, Station
from sim.units import Quantity

ONE = Quantity(1.0, 0.0, "factor")

OVAL, MESH = 0.10, 0.005
SECTION, SECTION_GIVEN, ROUND = 0.06, 0.02, 0.01  # of a section's shape: not told, `exponent` told, turned
BETWEEN = 0.15  # over the number of sections: what is missed from one to the next
OUTLINE = 0.01  # of two views drawn round
UNDESCRIBED = math.hypot(FULLNESS_SD, math.log(FULLNESS))
"""Deviations of the logarithm of the fullness. `UNDESCRIBED`, about 1, is that of a thing of which three sizes are
known and nothing says that it is an oval: one with a measured cavity, found rather than carved."""

Outside = Literal["displaced", "wall", "sizes"]


def outside_by(body: Body) -> Outside:
    """What tells the outer volume of a body: a dunk, its cavity and its wall's weight and density, or its sizes.

    Args:
        body: with its readings turned into values.
    """
    if body.displaced is not None:
        return "displaced"
    dense = body.density is not None or (body.material is not None and find(body.material) is not None)
    if body.cavity is not None and body.weight is not None and dense:
        return "wall"
    return "sizes"


def fullness(design: Design, name: str) -> tuple[Quantity, str] | None:
    """The fullness of a body with its doubt, and why; None where something better than its sizes tells its volume.

    Args:
        design: with its readings turned into values.
    """
    body = design.body[name]
    whole = design.measured
    home = design.assembly.get(home_of(design.assembly, name) or "")
    if outside_by(body) != "sizes" or (whole.displaced is not None and len(design.body) == 1):
        return None
    if home is not None and home.outside_known():
        return None
    given = body.fullness or ONE
    if given.sd > 0.0:
        return given, "as you wrote it"
    found = home is not None and home.cavity is not None and home.weight is not None
    sd, why = _usual(body, found or (body.cavity is not None and body.weight is not None))
    return Quantity(given.value, sd * given.value, "factor"), why


def _usual(body: Body, found: bool) -> tuple[float, str]:
    if body.shape == "mesh":
        return MESH, "how well it is made to its mesh"
    if body.shape == "ellipsoid":
        if found:
            return UNDESCRIBED, "three sizes of a thing as found do not tell its volume"
        return OVAL, "three sizes tell an oval only roughly"
    if body.shape == "outline":
        return math.hypot(_section(body, []), OUTLINE), "two views do not tell the sections"
    inner = max(len(body.stations) - 2, 1)
    sd = math.hypot(_section(body, body.stations), BETWEEN / inner)
    return sd, f"{inner} section{'s' if inner > 1 else ''} between nose and tail do not tell all of it"


def _section(body: Body, stations: list[Station]) -> float:
    """How well the shape of its sections is known: turned, told by an exponent, or taken for ovals."""
    given = "exponent" in body.model_fields_set or any(one.exponent is not None for one in stations)
    if given:
        return SECTION_GIVEN
    turned = bool(stations) and all(one.width.value == one.height.value for one in stations)
    return ROUND if turned else SECTION
