"""What the maker writes down: the design file as pydantic models.

A design is a set of named parts. Places are told from the tip of the nose of the design: `back` toward the
tail, `up` from the axis, `left` as the lure itself would see it. Unknown keys are refused. Every field
carries a description and, where it has a unit, an example; `docs/reference` is generated from them.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from sim.design.quantities import (
    Angle,
    Density,
    Distance,
    Far,
    Force,
    ForwardSpeed,
    Length,
    Mass,
    Salinity,
    Size,
    Speed,
    Tackle,
    Temperature,
    Time,
    Volume,
)
from sim.units import Quantity, parse

Name = Annotated[str, StringConstraints(pattern=r"^[A-Za-z][A-Za-z0-9_-]{0,39}$")]


def _q(text: str, dimension: str) -> Quantity:
    return parse(text, dimension)


ZERO_LENGTH = _q("0 mm", "length")
ZERO_ANGLE = _q("0 deg", "angle")
ZERO_SPEED = _q("0 m/s", "speed")


class Strict(BaseModel):
    """Common settings: nothing unknown is let through, nothing changes after reading."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Place(Strict):
    """A point of the lure, told from the tip of the design's nose."""

    back: Length = Field(ZERO_LENGTH, description="toward the tail", examples=["31 mm"])
    up: Length = Field(ZERO_LENGTH, description="above the axis; negative is below", examples=["-9 mm"])
    left: Length = Field(ZERO_LENGTH, description="to the lure's own left", examples=["4 mm"])


class Water(Strict):
    """The water the lure swims in."""

    kind: Literal["fresh", "salt"] = Field("fresh", description="salt means 35 g/kg unless salinity is given")
    salinity: Salinity | None = Field(None, description="salt per weight of water", examples=["12 g/kg"])
    temperature: Temperature = Field(_q("18 C", "temperature"), description="of the water", examples=["18 C"])
    depth: Far = Field(_q("4 m", "length"), description="surface to bottom", examples=["4 m"])
    current: Speed = Field(ZERO_SPEED, description="drift of the water", examples=["0.1 m/s"])
    current_toward: Angle = Field(
        ZERO_ANGLE,
        description="where the current goes: 0 away from you, 90 to your left",
        examples=["180 deg"],
    )


class Station(Strict):
    """One measured cross section of a body."""

    back: Length = Field(description="behind the body's nose", examples=["12 mm"])
    width: Distance = Field(description="side to side", examples=["14 mm"])
    height: Distance = Field(description="belly to back", examples=["18 mm"])
    up: Length = Field(ZERO_LENGTH, description="middle of the section above the axis", examples=["1 mm"])
    exponent: float | None = Field(
        None, ge=1.0, le=50.0, description="section shape here: 2 oval, 1 diamond, 10 a box", examples=[2.5]
    )


class Body(Strict):
    """A solid or hollow body."""

    shape: Literal["ellipsoid", "stations"] = Field("ellipsoid", description="how the outside is told")
    length: Size | None = Field(None, description="nose to tail, for an ellipsoid", examples=["70 mm"])
    width: Size | None = Field(None, description="side to side, for an ellipsoid", examples=["18 mm"])
    height: Size | None = Field(None, description="belly to back, for an ellipsoid", examples=["22 mm"])
    stations: list[Station] = Field(
        default_factory=list, max_length=200, description="sections from nose to tail, for shape = stations"
    )
    exponent: float = Field(
        2.0, ge=1.0, le=50.0, description="section shape: 2 oval, 1 diamond, 10 a box", examples=[2.0]
    )
    at: Place = Field(default_factory=Place, description="where the nose of this body is")
    angle: Angle = Field(ZERO_ANGLE, description="nose of this body turned up", examples=["10 deg"])
    mirrored: bool = Field(False, description="a twin on the other side")
    material: str | None = Field(None, description="what it, or its wall, is made of", examples=["balsa"])
    density: Density | None = Field(None, description="beats the material's", examples=["0.16 g/cm3"])
    weight: Mass | None = Field(
        None, description="as weighed: bare body, or the empty shell if hollow", examples=["4.1 +- 0.1 g"]
    )
    displaced: Volume | None = Field(None, description="outer volume as dunked", examples=["15.2 mL"])
    wall: Size | None = Field(None, description="wall thickness; makes the body hollow", examples=["1.5 mm"])
    cavity: Volume | None = Field(
        None, description="inner volume by water fill; makes the body hollow", examples=["15 mL"]
    )
    fill: str | None = Field(None, description="material in the cavity; air if left out", examples=["foam"])
    fill_density: Density | None = Field(None, description="beats the fill's", examples=["0.58 g/mL"])
    fill_weight: Mass | None = Field(None, description="weighed fill", examples=["8.7 g"])


class Plate(Strict):
    """A thin flat part: lip, fin, tail, blade, or a spoon's own sheet."""

    role: Literal["lip", "fin", "tail", "blade", "spoon"] = Field(
        description="a lip points forward; the others point backward; a fin stands upright"
    )
    root: Place = Field(default_factory=Place, description="middle of the edge it grows from")
    length: Size = Field(description="from root to free edge", examples=["22 mm"])
    width: Size = Field(description="across", examples=["20 mm"])
    thickness: Size = Field(_q("1 mm", "length"), description="of the sheet", examples=["1 mm"])
    angle: Angle = Field(
        ZERO_ANGLE,
        description="free edge turned down from the lure's axis: 0 along it, 90 straight down",
        examples=["35 deg"],
    )
    roll: Angle | None = Field(
        None,
        description="turned about its own length: 0 flat, 90 upright; a fin is upright if left out",
        examples=["90 deg"],
    )
    skew: Angle = Field(ZERO_ANGLE, description="free edge turned to the left", examples=["5 deg"])
    outline: Literal["straight", "round"] = Field("straight", description="corners square or rounded off")
    mirrored: bool = Field(False, description="a twin on the other side")
    material: str | None = Field(None, description="what it is made of", examples=["polycarbonate"])
    density: Density | None = Field(None, description="beats the material's", examples=["1.2 g/cm3"])
    weight: Mass | None = Field(None, description="as weighed", examples=["0.6 g"])


class Wire(Strict):
    """A straight piece of wire or rod: leg, arm, hook shank, through wire outside the body."""

    start: Place = Field(description="one end")
    end: Place = Field(description="the other end")
    diameter: Size = Field(description="of the wire", examples=["1 mm"])
    mirrored: bool = Field(False, description="a twin on the other side")
    material: str | None = Field(
        None, description="what it is made of; steel if left out", examples=["steel"]
    )
    density: Density | None = Field(None, description="beats the material's", examples=["7.9 g/cm3"])
    weight: Mass | None = Field(None, description="as weighed", examples=["0.4 g"])


class Hanging(Strict):
    """A hook or a fitting: its weight acts at the point it hangs from."""

    at: Place = Field(default_factory=Place, description="where it hangs")
    weight: Mass = Field(description="as weighed, or from the packet", examples=["1.3 g"])
    size: Size | None = Field(None, description="longest side, for its drag", examples=["18 mm"])
    mirrored: bool = Field(False, description="a twin on the other side")
    material: str | None = Field(
        None, description="what it is made of; steel if left out", examples=["steel"]
    )
    density: Density | None = Field(None, description="beats the material's", examples=["7.9 g/cm3"])


class Ballast(Strict):
    """A weight set into or onto the lure."""

    at: Place = Field(description="its centre")
    weight: Mass = Field(description="as weighed", examples=["2.0 g"])
    material: str | None = Field(None, description="what it is made of; lead if left out", examples=["lead"])
    density: Density | None = Field(None, description="beats the material's", examples=["11.3 g/cm3"])
    place: Literal["drilled", "cavity", "outside"] = Field(
        "drilled",
        description="drilled: takes the body's place; cavity: lies in the hollow; outside: hangs on",
    )
    body: str | None = Field(None, description="the body it sits in; the first one if left out")
    mirrored: bool = Field(False, description="a twin on the other side")


class Paint(Strict):
    """Paint and clear coat, spread evenly over the bodies."""

    weight: Mass | None = Field(None, description="gain on the scale", examples=["0.6 g"])
    thickness: Size | None = Field(None, description="dry film, if not weighed", examples=["0.15 mm"])
    density: Density = Field(
        _q("1.2 g/cm3", "density"), description="of the dry film", examples=["1.2 g/cm3"]
    )


class TieOn(Strict):
    """A point the line may be tied to."""

    at: Place = Field(default_factory=Place, description="where the line pulls")


class Line(Strict):
    """The fishing line."""

    material: Literal["nylon", "fluorocarbon", "braid"] = Field(
        "nylon", description="sets stretch and weight"
    )
    diameter: Size = Field(_q("0.28 mm", "length"), description="of the line", examples=["0.28 mm"])
    strength: Force | None = Field(None, description="breaking load, to warn about", examples=["8 lb"])


class Cast(Strict):
    """How it is thrown."""

    speed: ForwardSpeed = Field(
        _q("22 m/s", "speed"), description="of the lure as the line runs free", examples=["22 m/s"]
    )
    angle: Angle = Field(_q("40 deg", "angle"), description="of the path above level", examples=["40 deg"])
    rod: Tackle = Field(_q("2.1 m", "length"), description="length of the rod", examples=["2.1 m"])
    drop: Tackle = Field(_q("0.4 m", "length"), description="line from rod tip to lure", examples=["0.4 m"])
    height: Tackle = Field(_q("2.2 m", "length"), description="release above the water", examples=["2.2 m"])
    wind: Speed = Field(
        ZERO_SPEED, description="from behind you; negative is in your face", examples=["3 m/s"]
    )
    crosswind: Speed = Field(ZERO_SPEED, description="from your right to your left", examples=["2 m/s"])


class Retrieve(Strict):
    """How it is pulled."""

    speeds: list[ForwardSpeed] = Field(
        default_factory=lambda: [_q(s, "speed") for s in ("0.4 m/s", "0.8 m/s", "1.2 m/s")],
        min_length=1,
        max_length=12,
        description="line speeds to try",
        examples=[["0.4 m/s", "0.8 m/s"]],
    )
    tip: Tackle = Field(_q("0.8 m", "length"), description="rod tip above the water", examples=["0.8 m"])
    distance: Far = Field(_q("15 m", "length"), description="lure to rod tip at the start", examples=["15 m"])
    duration: Time = Field(_q("10 s", "time"), description="longest run looked at", examples=["10 s"])


class Measured(Strict):
    """What the finished lure, hooks and all, gave at the bench. These beat every computed value."""

    weight: Mass | None = Field(None, description="on the scale", examples=["22.1 +- 0.2 g"])
    displaced: Volume | None = Field(None, description="volume as dunked", examples=["21.4 +- 0.3 mL"])
    balance: Length | None = Field(
        None, description="balance point behind the nose, laid on an edge", examples=["34 +- 1 mm"]
    )


class Design(Strict):
    """One lure and how it is fished."""

    name: str = Field(min_length=1, max_length=80, description="what you call it")
    about: str = Field("", max_length=4000, description="a note to yourself")
    water: Water = Field(default_factory=Water)
    body: dict[Name, Body] = Field(default_factory=dict, description="bodies, each with its own name")
    plate: dict[Name, Plate] = Field(default_factory=dict, description="lips, fins, tails, blades, spoons")
    wire: dict[Name, Wire] = Field(default_factory=dict, description="legs, arms, shanks")
    hook: dict[Name, Hanging] = Field(default_factory=dict, description="hooks on their hangers")
    fitting: dict[Name, Hanging] = Field(default_factory=dict, description="rings, swivels, eyes, hangers")
    ballast: dict[Name, Ballast] = Field(default_factory=dict, description="weights set in or on")
    paint: Paint | None = Field(None)
    tie_on: dict[Name, TieOn] = Field(default_factory=dict, description="points the line may be tied to")
    line: Line = Field(default_factory=Line)
    cast: Cast = Field(default_factory=Cast)
    retrieve: Retrieve = Field(default_factory=Retrieve)
    measured: Measured = Field(default_factory=Measured)
