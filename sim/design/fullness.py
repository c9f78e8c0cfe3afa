"""Fullness: the real volume of a body over that of the shape which tells it, and how well it is known.

Deviations are those of 200 invented closed shapes told in each way (docs/notes/doubt-of-shape.md). Of a thing as found,
of which three sizes are known and nothing says that it is an oval, it is what `sim.bench.found` makes of its readings.
"""

from __future__ import annotations

import math
from typing import Literal

from sim.design.assembly import home_of
from sim.design.materials import find
from sim.design.model import Design
from sim.design.parts import Body, Station
from sim.remark import Remark, remark
from sim.units import Quantity

ONE = Quantity(1.0, 0.0, "factor")

OVAL, MESH = 0.10, 0.005  # deviations of the fullness
SECTION, SECTION_GIVEN, ROUND = 0.06, 0.02, 0.01  # of a section's shape: not told, `exponent` told, turned
BETWEEN = 0.15  # over the number of sections: what is missed from one to the next
OUTLINE = 0.01  # of two views drawn round

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


def as_found(body: Body) -> tuple[float, float] | None:
    """Median fullness of a thing as found, and the deviation of its logarithm; None of a body that is no such thing.

    None too where an oval of its sizes would leave no wall, or one lighter than foam or denser than lead: that is a
    contradiction to be told.

    Args:
        body: with its readings turned into values.
    """
    if body.shape != "ellipsoid" or "exponent" in body.model_fields_set or outside_by(body) != "sizes":
        return None
    if body.cavity is None or body.weight is None:
        return None
    if body.length is None or body.width is None or body.height is None:
        return None
    import numpy as np

    from sim.bench.found import (
        BOX,
        DENSEST_WALL,
        FULLNESS,
        FULLNESS_SD,
        LIGHTEST_WALL,
        FoundThing,
        ImpossibleError,
        posterior,
    )

    sizes = (body.length, body.width, body.height)
    wall = math.prod(size.value for size in sizes) / BOX - body.cavity.value
    if not LIGHTEST_WALL * wall <= body.weight.value <= DENSEST_WALL * wall:
        return None
    try:
        left = posterior(FoundThing(body.weight, body.cavity, sizes))
    except ImpossibleError:
        return FULLNESS, FULLNESS_SD
    logs = np.log(BOX * left.volume / math.prod(size.value for size in sizes))
    return math.exp(left.quantile(logs, 0.5)), left.sd(logs)


def taken_as_found(body: Body) -> bool:
    """Whether the fullness of a body is that of a thing as found, and not what the maker says."""
    found = as_found(body) if body.fullness is not None else None
    return found is not None and body.fullness is not None and body.fullness.value == found[0]


def fullness(design: Design, name: str) -> tuple[Quantity, Remark] | None:
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
        return given, remark("as_written")
    hollow = home if home is not None and home.cavity is not None else body
    shared = hollow.cavity is not None and hollow.weight is not None and body.fullness is None
    sd, why = _usual(body)
    if body.shape == "ellipsoid" and (shared or taken_as_found(body)):
        sd, why = _undescribed(body), remark("found_sizes")
    return Quantity(given.value, sd * given.value, "factor"), why


def _undescribed(body: Body) -> float:
    """Deviation of the fullness of a thing as found: of one of several bodies that were measured together, about 1."""
    from sim.bench.found import FULLNESS, FULLNESS_SD

    found = as_found(body)
    return math.sqrt(math.expm1(found[1] ** 2)) if found else math.hypot(FULLNESS_SD, math.log(FULLNESS))


def _usual(body: Body) -> tuple[float, Remark]:
    if body.shape == "mesh":
        return MESH, remark("made_to_mesh")
    if body.shape == "ellipsoid":
        return OVAL, remark("rough_oval")
    if body.shape == "outline":
        return math.hypot(_section(body, []), OUTLINE), remark("two_views")
    inner = max(len(body.stations) - 2, 1)
    sd = math.hypot(_section(body, body.stations), BETWEEN / inner)
    return sd, remark("few_sections", count=inner)


def _section(body: Body, stations: list[Station]) -> float:
    """How well the shape of its sections is known: turned, told by an exponent, or taken for ovals."""
    given = "exponent" in body.model_fields_set or any(one.exponent is not None for one in stations)
    if given:
        return SECTION_GIVEN
    turned = bool(stations) and all(one.width.value == one.height.value for one in stations)
    return ROUND if turned else SECTION
