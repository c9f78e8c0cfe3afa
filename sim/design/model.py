"""What the maker writes down: the design file as pydantic models.

A design is a set of named parts. Places are told from the tip of the nose of the design: `back` toward the
tail, `up` from the axis, `left` as the lure itself would see it. Unknown keys are refused. Every field
carries a description and, where it has a unit, an example; `docs/reference` is generated from them.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from sim.design.calibration import Calibration
from sim.design.pieces import Bulk, Estimate, Metal
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
from sim.design.readings import Balance, Cube, Cup, Immersion, Level, Scrap, ScrapOf, Tub, WaterFill
from sim.design.table import Strict
from sim.units import Quantity, parse

Name = Annotated[str, StringConstraints(pattern=r"^[A-Za-z][A-Za-z0-9_-]{0,39}$")]


def _q(text: str, dimension: str) -> Quantity:
    return parse(text, dimension)


ZERO_LENGTH = _q("0 mm", "length")
ZERO_ANGLE = _q("0 deg", "angle")
ZERO_SPEED = _q("0 m/s", "speed")


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
        default_factory=list, max_length=200, description="sections from nose to tail, for shape = stations"
    )
    exponent: float = Field(
        2.0, ge=1.0, le=50.0, description="section shape: 2 oval, 1 diamond, 10 a box", examples=[2.0]
    )
    side: list[Place] = Field(
        default_factory=list,
        max_length=400,
        description="points round the outline seen from the side (back, up), for shape = outline",
        examples=[[{"back": "0 mm", "up": "1 mm"}, {"back": "30 mm", "up": "11 mm"}]],
    )
    top: list[Place] = Field(
        default_factory=list,
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
    mirrored: bool = Field(False, description="a twin on the other side")


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
    scale: Mass = Field(_q("0.1 g", "mass"), description="smallest step of the scale", examples=["0.1 g"])


class Paint(Strict):
    """Paint and clear coat, spread evenly over the bodies."""

    weight: Mass | None = Field(None, description="gain on the scale", examples=["0.6 g"])
    thickness: Size | None = Field(None, description="dry film, if not weighed", examples=["0.15 mm"])
    density: Density = Field(
        _q("1.2 g/cm3", "density"), description="of the dry film", examples=["1.2 g/cm3"]
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


LineMaterial = Literal["nylon", "fluorocarbon", "braid", "lead-core"]
"""Of a line; `sim.trials.scene.LINES` has a row for each."""


class Leader(Strict):
    """A length of other line between the line and the lure."""

    material: LineMaterial = Field("fluorocarbon", description="sets stretch and weight")
    diameter: Size = Field(description="of the leader", examples=["0.35 mm"])
    length: Tackle = Field(description="of the leader", examples=["1 m"])


class Line(Strict):
    """The fishing line."""

    material: LineMaterial = Field("nylon", description="sets stretch and weight")
    diameter: Size = Field(_q("0.28 mm", "length"), description="of the line", examples=["0.28 mm"])
    strength: Force | None = Field(None, description="breaking load, to warn about", examples=["8 lb"])
    leader: Leader | None = Field(None, description="another line before the lure")


class Cast(Strict):
    """How it is thrown."""

    speed: ForwardSpeed = Field(
        _q("28 m/s", "speed"),
        description="of the lure as the line runs free; 25 to 35 m/s is a brisk throw of 10 to 20 g",
        examples=["28 m/s"],
    )
    angle: Angle = Field(_q("40 deg", "angle"), description="of the path above level", examples=["40 deg"])
    rod: Tackle = Field(_q("2.1 m", "length"), description="length of the rod", examples=["2.1 m"])
    drop: Tackle = Field(_q("0.4 m", "length"), description="line from rod tip to lure", examples=["0.4 m"])
    height: Tackle = Field(_q("2.2 m", "length"), description="release above the water", examples=["2.2 m"])
    wind: Speed = Field(
        ZERO_SPEED, description="from behind you; negative is in your face", examples=["3 m/s"]
    )
    crosswind: Speed = Field(ZERO_SPEED, description="from your right to your left", examples=["2 m/s"])


class Step(Strict):
    """One thing that the angler does."""

    do: Literal["wind", "pause", "twitch", "sweep", "tip"] = Field(
        description="wind the reel; stop winding; jerk the rod and give the slack back; draw the rod aside and "
        "wind the slack in as it comes back; raise or lower the rod tip while winding stops"
    )
    time: Time = Field(description="how long; for a twitch or a sweep each way", examples=["2 s"])
    speed: ForwardSpeed | None = Field(None, description="for wind: of the line", examples=["0.8 m/s"])
    turns: float | None = Field(
        None, ge=0.01, le=20.0, description="for wind, instead of a speed: turns of the handle each second",
        examples=[1.2],
    )  # fmt: skip
    pull: Tackle | None = Field(
        None, description="for twitch and sweep: how far the rod tip goes", examples=["0.3 m"]
    )
    toward: Literal["back", "left", "right"] = Field(
        "back", description="for twitch and sweep: which way the rod tip goes, as you look at the lure"
    )
    height: Tackle | None = Field(
        None, description="for tip: new height of the rod tip above the water", examples=["0.2 m"]
    )


class Programme(Strict):
    """A way to bring the lure in, step by step."""

    count: Time | None = Field(
        None, description="counted down on a free line before the first step", examples=["5 s"]
    )
    steps: list[Step] = Field(
        min_length=1,
        max_length=40,
        description="one after the other",
        examples=[[{"do": "wind", "speed": "0.8 m/s", "time": "3 s"}, {"do": "pause", "time": "2 s"}]],
    )
    repeat: int = Field(1, ge=1, le=40, description="times through the steps", examples=[3])


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
    from_cast: bool = Field(
        False,
        description="start where the cast comes down, a second later, sunk and turned as it then is; false starts "
        "level on a taut line at `distance`",
    )
    duration: Time = Field(_q("10 s", "time"), description="longest run looked at", examples=["10 s"])
    line_per_turn: Tackle | None = Field(
        None, description="line that one turn of the reel's handle brings in", examples=["0.7 m"]
    )
    reel_turns: list[float] = Field(
        default_factory=list,
        max_length=12,
        description="turns of the handle each second to try, instead of speeds",
        examples=[[0.8, 1.2]],
    )
    programme: dict[Name, Programme] = Field(
        default_factory=dict, description="other ways to bring it in, each with its own name"
    )

    def paces(self) -> list[float]:
        """Line speeds to try (m/s): those of the reel's turns if told, else `speeds`."""
        if self.reel_turns and self.line_per_turn is not None:
            return [turns * self.line_per_turn.value for turns in self.reel_turns]
        return [speed.value for speed in self.speeds]


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
    body: dict[Name, Body] = Field(default_factory=dict, description="bodies, each with its own name")
    plate: dict[Name, Plate] = Field(default_factory=dict, description="lips, fins, tails, blades, spoons")
    wire: dict[Name, Wire] = Field(default_factory=dict, description="legs, arms, shanks")
    hook: dict[Name, Hanging] = Field(default_factory=dict, description="hooks on their hangers")
    fitting: dict[Name, Hanging] = Field(default_factory=dict, description="rings, swivels, eyes, hangers")
    ballast: dict[Name, Ballast] = Field(default_factory=dict, description="weights set in or on")
    rattle: dict[Name, Rattle] = Field(default_factory=dict, description="loose balls in a chamber")
    material: dict[Name, OwnMaterial] = Field(default_factory=dict, description="materials of your own")
    mix: dict[Name, Mix] = Field(default_factory=dict, description="resin and filler, by weight")
    paint: Paint | None = Field(None)
    tie_on: dict[Name, TieOn] = Field(default_factory=dict, description="points the line may be tied to")
    line: Line = Field(default_factory=Line)
    cast: Cast = Field(default_factory=Cast)
    retrieve: Retrieve = Field(default_factory=Retrieve)
    measured: Measured = Field(default_factory=Measured)
    calibration: Calibration = Field(default_factory=Calibration)
