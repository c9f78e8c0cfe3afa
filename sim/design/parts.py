"""What a lure is made of: bodies, plates, wires, hooks, weights and the points its line is tied to.

Places are told from the tip of the nose of the design: `back` toward the tail, `up` from the axis, `left` as the
lure itself would see it.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sim.design.materials import LEAD, find
from sim.design.pieces import Bulk, Estimate, Metal
from sim.design.quantities import (
    ZERO_ANGLE,
    ZERO_LENGTH,
    Angle,
    Density,
    Distance,
    Factor,
    Length,
    Mass,
    Size,
    Volume,
)
from sim.design.readings import Cup, Immersion, Level, Scrap, WaterFill
from sim.design.table import Strict
from sim.units import parse


class Place(Strict):
    """A point of the lure, told from the tip of the design's nose."""

    back: Length = Field(ZERO_LENGTH, description="toward the tail", examples=["31 mm"])
    up: Length = Field(ZERO_LENGTH, description="above the axis; negative is below", examples=["-9 mm"])
    left: Length = Field(ZERO_LENGTH, description="to the lure's own left", examples=["4 mm"])


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

    shape: Literal["ellipsoid", "stations", "outline", "mesh"] = Field(
        "ellipsoid", description="how the outside is told"
    )
    length: Size | None = Field(
        None,
        description="nose to tail, for an ellipsoid; a mesh is scaled evenly to it",
        examples=["70 mm"],
    )
    width: Size | None = Field(None, description="side to side, for an ellipsoid", examples=["18 mm"])
    height: Size | None = Field(None, description="belly to back, for an ellipsoid", examples=["22 mm"])
    stations: list[Station] = Field(
        default=[], max_length=200, description="sections from nose to tail, for shape = stations"
    )
    exponent: float = Field(
        2.0, ge=1.0, le=50.0, description="section shape: 2 oval, 1 diamond, 10 a box", examples=[2.0]
    )
    side: list[Place] = Field(
        default=[],
        max_length=400,
        description="points round the outline seen from the side (back, up), for shape = outline",
        examples=[[{"back": "0 mm", "up": "1 mm"}, {"back": "30 mm", "up": "11 mm"}]],
    )
    top: list[Place] = Field(
        default=[],
        max_length=400,
        description="points of the outline seen from above (back, left): all round, or one half of it",
        examples=[[{"back": "0 mm"}, {"back": "30 mm", "left": "8 mm"}]],
    )
    file: str | None = Field(
        None,
        min_length=1,
        max_length=500,
        description="closed mesh, for shape = mesh: STL, OBJ, PLY or 3MF, beside the design file",
        examples=["body.stl"],
    )
    units: Literal["mm", "cm", "m", "in"] | None = Field(
        None, description="of the numbers in the mesh file; found out if left out"
    )
    nose_along: Literal["+x", "-x", "+y", "-y", "+z", "-z"] = Field(
        "+x", description="the mesh file's axis that points to the nose"
    )
    back_along: Literal["+x", "-x", "+y", "-y", "+z", "-z"] = Field(
        "+z", description="the mesh file's axis that points out of the lure's back"
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
    fullness: Factor | None = Field(
        None,
        description="real outer volume over that of its shape, where nothing was dunked; if left out, 1 with a doubt "
        "usual for the way it is told, or for three sizes, weight and cavity of a thing as found what `measure thing` "
        "makes of them",
        examples=["1.00 +- 0.02"],
    )
    wall: Size | None = Field(None, description="wall thickness; makes the body hollow", examples=["1.5 mm"])
    cavity: Volume | None = Field(
        None, description="inner volume by water fill; makes the body hollow", examples=["18 mL"]
    )
    infill: float | None = Field(
        None,
        ge=0.0,
        le=100.0,
        description="percent of the inside of a printed wall that is the wall's own material",
        examples=[15],
    )
    fill: str | None = Field(None, description="material in the cavity; air if left out", examples=["foam"])
    fill_density: Density | None = Field(None, description="beats the fill's", examples=["0.45 g/mL"])
    fill_weight: Mass | None = Field(None, description="weighed fill", examples=["6.2 g"])
    fill_set: Angle | None = Field(
        None,
        description="nose above level while a weighed fill set that does not fill the cavity: it lies at the bottom "
        "then; 180 deg is belly up; spread evenly if left out",
        examples=["0 deg"],
    )
    moisture: float | None = Field(
        None,
        ge=0.0,
        le=30.0,
        description="of the wood, percent of its dry weight; the list of materials has it at 12",
        examples=[9],
    )
    soaked: float | None = Field(
        None, ge=0.0, le=300.0, description="water taken up unsealed, percent of its weight", examples=[4]
    )
    water_fill: WaterFill | None = Field(None, description="readings that give its cavity")
    level: Level | None = Field(None, description="readings that give what it displaces")
    cup: Cup | None = Field(None, description="readings that give what it displaces")
    immersion: Immersion | None = Field(None, description="readings that give its, or its wall's, density")
    scrap: Scrap | None = Field(None, description="what a scrap did in water and brine: bounds its density")


class Plate(Strict):
    """A thin flat part: lip, fin, tail, blade, or a spoon's own sheet."""

    role: Literal["lip", "fin", "tail", "blade", "spoon"] = Field(
        description="a lip points forward; the others point backward; a fin stands upright"
    )
    root: Place = Field(default_factory=Place, description="middle of the edge it grows from")
    length: Size = Field(description="from root to free edge", examples=["22 mm"])
    width: Size = Field(description="across", examples=["20 mm"])
    thickness: Size = Field(parse("1 mm", "length"), description="of the sheet", examples=["1 mm"])
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
    outline: Literal["straight", "round", "oval"] = Field(
        "straight", description="corners square, the free end rounded off, or an oval (a disc among them)"
    )
    camber: Length = Field(
        ZERO_LENGTH,
        description="bent along its length: its middle stands out by this, toward the lure's back (of an upright "
        "plate to the left); less than nought the other way",
        examples=["1.5 mm"],
    )
    cup: Length = Field(
        ZERO_LENGTH,
        description="bent across its width, as a dish or a spoon's bowl; reckoned as camber is",
        examples=["1 mm"],
    )
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
    inside: str | None = Field(
        None, description="the body it runs through and whose place it takes, for a through wire"
    )


class Hanging(Strict):
    """A hook or a fitting: its weight acts at the point it hangs from."""

    at: Place = Field(default_factory=Place, description="where it hangs")
    weight: Mass | None = Field(
        None, description="as weighed, or from the packet; or give bulk or estimate", examples=["1.3 g"]
    )
    bulk: Bulk | None = Field(None, description="many alike weighed together")
    estimate: Estimate | None = Field(None, description="what a calliper or its number tells")
    count: int = Field(1, ge=1, le=50, description="how many hang there", examples=[2])
    size: Size | None = Field(None, description="longest side, for its drag", examples=["18 mm"])
    mirrored: bool = Field(False, description="a twin on the other side")
    material: str | None = Field(
        None, description="what it is made of; steel if left out", examples=["steel"]
    )
    density: Density | None = Field(None, description="beats the material's", examples=["7.9 g/cm3"])

    def estimated(self) -> bool:
        """Whether its weight is what its size suggests: nobody weighed it."""
        if self.estimate is None or self.bulk is not None:
            return False
        pieces = 1.0 if self.weight is None else self.weight.value / self.estimate.results()["weight"].value
        return abs(pieces - round(pieces)) < 1e-9


class Ballast(Strict):
    """A weight set into or onto the lure."""

    at: Place = Field(description="its centre")
    weight: Mass | None = Field(None, description="as weighed; or give bulk or metal", examples=["2.0 g"])
    bulk: Bulk | None = Field(None, description="many alike weighed together")
    metal: Metal | None = Field(None, description="a ball, rod, wound wire or strip by its sizes")
    count: int = Field(1, ge=1, le=50, description="how many sit there", examples=[3])
    material: str | None = Field(None, description="what it is made of; lead if left out", examples=["lead"])
    density: Density | None = Field(None, description="beats the material's", examples=["11.3 g/cm3"])
    place: Literal["drilled", "cavity", "outside"] = Field(
        "drilled",
        description="drilled: takes the body's place; cavity: lies in the hollow; outside: hangs on",
    )
    body: str | None = Field(None, description="the body it sits in; the first one if left out")
    lies: Literal["up", "across", "along"] | None = Field(
        None,
        description="which way a rod lies; if left out, up and down in a drilled hole, along the lure elsewhere",
    )
    mirrored: bool = Field(False, description="a twin on the other side")

    def rod(self) -> tuple[float, float] | None:
        """Diameter and length (m) of a weight told as one rod; None of everything else."""
        metal = self.metal
        if metal is None or metal.kind != "rod" or metal.across is None or metal.length is None:
            return None
        several = (
            self.weight is not None and self.weight.value > 1.5 * metal.weight(self.metal_density()).value
        )
        return None if several else (metal.across.value, metal.length.value)

    def way(self) -> tuple[float, float, float]:
        """Which way a rod of it lies, in lure axes."""
        lies = self.lies or ("up" if self.place == "drilled" else "along")
        return {"up": (0.0, 0.0, 1.0), "across": (0.0, 1.0, 0.0), "along": (1.0, 0.0, 0.0)}[lies]

    def metal_density(self) -> float:
        """kg/m3 of what it is made of."""
        if self.density is not None:
            return self.density.value
        known = find(self.material) if self.material else None
        return known.density if known is not None else LEAD


class Thread(Ballast):
    """A length of a through wire, made when the design is read: it takes the body's place, or hangs out of it."""

    wire: str  # its name in the design
    weighed: bool  # whether the wire was


class Rattle(Strict):
    """Loose balls in a chamber, which rest at its front or its rear; trials take them half way."""

    front: Place = Field(description="centre of the balls when they have rolled forward")
    rear: Place = Field(description="centre of the balls when they have rolled back")
    weight: Mass | None = Field(None, description="of one, as weighed; or give across", examples=["0.5 g"])
    across: Size | None = Field(None, description="diameter of one", examples=["5 mm"])
    count: int = Field(1, ge=1, le=50, description="how many", examples=[2])
    material: str = Field("steel", description="what they are made of", examples=["steel"])
    body: str | None = Field(None, description="the body they are in; the first one if left out")


class Paint(Strict):
    """Paint and clear coat, spread evenly over the bodies."""

    weight: Mass | None = Field(None, description="gain on the scale", examples=["0.6 g"])
    thickness: Size | None = Field(None, description="dry film, if not weighed", examples=["0.15 mm"])
    density: Density = Field(
        parse("1.2 g/cm3", "density"), description="of the dry film", examples=["1.2 g/cm3"]
    )


class TieOn(Strict):
    """A point the line may be tied to."""

    at: Place = Field(default_factory=Place, description="where the line pulls, the eye not bent")
    bend: Angle = Field(
        ZERO_ANGLE, description="eye bent sideways, to the lure's own left positive", examples=["10 deg"]
    )
    arm: Size | None = Field(
        None, description="from the foot of the eye to where the line pulls; needed to bend it",
        examples=["5 mm"],
    )  # fmt: skip
