"""What the maker writes down: the design file as pydantic models.

A design is a set of named parts (`sim.design.parts`) and how they are fished (`sim.design.fishing`). Unknown keys are
refused. Every field carries a description and, where it has a unit, an example; `docs/reference` is generated from
them.
"""

from __future__ import annotations

from pydantic import Field

from sim.design.assembly import Assembly
from sim.design.calibration import Calibration
from sim.design.fishing import Cast, Line, Retrieve, Water
from sim.design.parts import Ballast, Body, Hanging, Paint, Plate, Rattle, TieOn, Wire
from sim.design.quantities import Density, Length, Mass, Name, Volume
from sim.design.readings import Balance, Cube, Cup, Immersion, Level, ScrapOf, Tub
from sim.design.table import Strict
from sim.units import parse


class OwnMaterial(Strict):
    """A material of your own, to be named by parts."""

    density: Density | None = Field(
        None, description="or give lightest and heaviest, or readings", examples=["0.62 +- 0.02 g/cm3"]
    )
    lightest: Density | None = Field(None, description="least it may have", examples=["0.55 g/cm3"])
    heaviest: Density | None = Field(None, description="most it may have", examples=["0.70 g/cm3"])
    cube: Cube | None = Field(None, description="a test block, weighed and measured")
    immersion: Immersion | None = Field(None, description="a piece weighed in air and under water")
    scrap: ScrapOf | None = Field(None, description="what a scrap did in water and brine")
    note: str = Field("", max_length=400, description="where it comes from")


class MixPart(Strict):
    """One part of a mix."""

    name: str = Field(min_length=1, max_length=40, description="what you call it", examples=["resin"])
    parts: float | None = Field(None, gt=0.0, le=1e6, description="by weight", examples=[1])
    percent: float | None = Field(
        None, gt=0.0, le=1000.0, description="of the weight of all `parts`, for a filler", examples=[10]
    )
    material: str | None = Field(None, description="for its density", examples=["epoxy"])
    density: Density | None = Field(
        None, description="true density, without the air between spheres", examples=["0.15 g/cm3"]
    )


class Mix(Strict):
    """Resin and filler as they are weighed out; a body names it as its fill."""

    parts: list[MixPart] = Field(
        min_length=1, max_length=20, description="what goes in",
        examples=[[{"name": "resin", "parts": 1}, {"name": "hardener", "parts": 1}]],
    )  # fmt: skip
    density: Density | None = Field(
        None, description="of the mix as it sets; from its parts if left out", examples=["0.62 g/mL"]
    )
    cube: Cube | None = Field(None, description="a test block of it, weighed and measured")
    waste: float = Field(10.0, ge=0.0, le=200.0, description="percent that stays in the cup", examples=[10])
    scale: Mass = Field(parse("0.1 g", "mass"), description="smallest step of the scale", examples=["0.1 g"])


class Measured(Strict):
    """What the finished lure, hooks and all, gave at the bench. These beat every computed value."""

    weight: Mass | None = Field(None, description="on the scale", examples=["18.4 +- 0.2 g"])
    displaced: Volume | None = Field(None, description="volume as dunked", examples=["21.4 +- 0.3 mL"])
    balance: Length | None = Field(
        None, description="balance point behind the nose, laid on an edge", examples=["34 +- 1 mm"]
    )
    balance_up: Length | None = Field(
        None,
        description="balance point above the axis, laid on its side on an edge; negative is below",
        examples=["-2 +- 0.5 mm"],
    )
    level: Level | None = Field(None, description="readings that give what it displaces")
    cup: Cup | None = Field(None, description="readings that give what it displaces")
    poise: Balance | None = Field(None, description="readings that give its balance point")
    tub: Tub | None = Field(None, description="how it lay in the tub, to hold against the answer of `float`")


class Design(Strict):
    """One lure and how it is fished."""

    name: str = Field(min_length=1, max_length=80, description="what you call it")
    about: str = Field("", max_length=4000, description="a note to yourself")
    water: Water = Field(default_factory=Water)
    body: dict[Name, Body] = Field(default={}, description="bodies, each with its own name")
    assembly: dict[Name, Assembly] = Field(default={}, description="bodies weighed, dunked or filled as one")
    plate: dict[Name, Plate] = Field(default={}, description="lips, fins, tails, blades, spoons")
    wire: dict[Name, Wire] = Field(default={}, description="legs, arms, shanks")
    hook: dict[Name, Hanging] = Field(default={}, description="hooks on their hangers")
    fitting: dict[Name, Hanging] = Field(default={}, description="rings, swivels, eyes, hangers")
    ballast: dict[Name, Ballast] = Field(default={}, description="weights set in or on")
    rattle: dict[Name, Rattle] = Field(default={}, description="loose balls in a chamber")
    material: dict[Name, OwnMaterial] = Field(default={}, description="materials of your own")
    mix: dict[Name, Mix] = Field(default={}, description="resin and filler, by weight")
    paint: Paint | None = Field(None)
    tie_on: dict[Name, TieOn] = Field(default={}, description="points the line may be tied to")
    line: Line = Field(default_factory=Line)
    cast: Cast = Field(default_factory=Cast)
    retrieve: Retrieve = Field(default_factory=Retrieve)
    measured: Measured = Field(default_factory=Measured)
    calibration: Calibration = Field(default_factory=Calibration)
