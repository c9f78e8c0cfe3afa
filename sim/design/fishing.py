"""How a lure is fished: the water, the line, the cast and the ways to bring it in."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sim.design.quantities import (
    ZERO_ANGLE,
    ZERO_SPEED,
    Angle,
    Far,
    Force,
    ForwardSpeed,
    Name,
    Salinity,
    Size,
    Speed,
    Tackle,
    Temperature,
    Time,
)
from sim.design.table import Strict
from sim.units import parse


class Water(Strict):
    """The water the lure swims in."""

    kind: Literal["fresh", "salt"] = Field("fresh", description="salt means 35 g/kg unless salinity is given")
    salinity: Salinity | None = Field(None, description="salt per weight of water", examples=["12 g/kg"])
    temperature: Temperature = Field(
        parse("18 C", "temperature"), description="of the water", examples=["18 C"]
    )
    depth: Far = Field(parse("4 m", "length"), description="surface to bottom", examples=["4 m"])
    current: Speed = Field(ZERO_SPEED, description="drift of the water", examples=["0.1 m/s"])
    current_toward: Angle = Field(
        ZERO_ANGLE,
        description="where the current goes: 0 away from you, 90 to your left",
        examples=["180 deg"],
    )


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
    diameter: Size = Field(parse("0.28 mm", "length"), description="of the line", examples=["0.28 mm"])
    strength: Force | None = Field(None, description="breaking load, to warn about", examples=["8 lb"])
    leader: Leader | None = Field(None, description="another line before the lure")


class Cast(Strict):
    """How it is thrown."""

    speed: ForwardSpeed = Field(
        parse("28 m/s", "speed"),
        description="of the lure as the line runs free; 25 to 35 m/s is a brisk throw of 10 to 20 g",
        examples=["28 m/s"],
    )
    angle: Angle = Field(parse("40 deg", "angle"), description="of the path above level", examples=["40 deg"])
    rod: Tackle = Field(parse("2.1 m", "length"), description="length of the rod", examples=["2.1 m"])
    drop: Tackle = Field(
        parse("0.4 m", "length"), description="line from rod tip to lure", examples=["0.4 m"]
    )
    height: Tackle = Field(
        parse("2.2 m", "length"), description="release above the water", examples=["2.2 m"]
    )
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
        default_factory=lambda: [parse(s, "speed") for s in ("0.4 m/s", "0.8 m/s", "1.2 m/s")],
        min_length=1,
        max_length=12,
        description="line speeds to try",
        examples=[["0.4 m/s", "0.8 m/s"]],
    )
    tip: Tackle = Field(parse("0.8 m", "length"), description="rod tip above the water", examples=["0.8 m"])
    distance: Far = Field(
        parse("15 m", "length"), description="lure to rod tip at the start", examples=["15 m"]
    )
    from_cast: bool = Field(
        False,
        description="start where the cast comes down, a second later, sunk and turned as it then is; false starts "
        "level on a taut line at `distance`",
    )
    duration: Time = Field(parse("10 s", "time"), description="longest run looked at", examples=["10 s"])
    line_per_turn: Tackle | None = Field(
        None, description="line that one turn of the reel's handle brings in", examples=["0.7 m"]
    )
    reel_turns: list[float] = Field(
        default=[],
        max_length=12,
        description="turns of the handle each second to try, instead of speeds",
        examples=[[0.8, 1.2]],
    )
    programme: dict[Name, Programme] = Field(
        default={}, description="other ways to bring it in, each with its own name"
    )

    def paces(self) -> list[float]:
        """Line speeds to try (m/s): those of the reel's turns if told, else `speeds`."""
        if self.reel_turns and self.line_per_turn is not None:
            return [turns * self.line_per_turn.value for turns in self.reel_turns]
        return [speed.value for speed in self.speeds]
