"""Readings at the bench, as tables of the design file and as words of `drytank measure`.

A reading is not a property of the lure: when a design is loaded, each is turned into the value that it gives
(`sim.design.expand`). A table refuses readings that no real thing can give.
"""

from __future__ import annotations

import math
from abc import ABC, abstractmethod
from typing import Annotated, Any, ClassVar

from pydantic import AfterValidator, BeforeValidator, Field, model_validator
from pydantic_core import PydanticCustomError

from sim.bench import balance as poise
from sim.bench import densities, volumes
from sim.bench.uncertainty import ReadingError, mean, rounded
from sim.design.materials import HARD_PLASTICS, find
from sim.design.problems import printable
from sim.design.quantities import (
    Density,
    Distance,
    Length,
    Mass,
    Salinity,
    Size,
    Temperature,
    Volume,
    Weighing,
)
from sim.design.table import Strict
from sim.media import SALTIEST, WARMEST, freezing_point
from sim.remark import Amount, Remark, remark
from sim.units import Quantity, UnitError, parse

Results = dict[str, Quantity]

ROOM = Quantity(20.0, 2.0, "temperature", "20 C +- 2 C")
ANYTHING = (densities.LIGHTEST, densities.HEAVIEST)
LIQUID = 400.0  # kg/m3: a bath given as less than this is salt in water, as more a liquid's own density


class Reading(Strict, ABC):
    """Readings of one kind. `results` gives what they amount to, by name."""

    example: ClassVar[str] = ""

    @abstractmethod
    def results(self) -> Results:
        """What the readings amount to.

        Raises:
            ReadingError: readings that cannot be right, or too few of them.
        """

    def remarks(self) -> list[Remark]:
        """What else is worth knowing."""
        return []

    def answer(self) -> list[Remark]:
        """What the results amount to, where numbers alone do not say it."""
        return []

    def extra(self) -> dict[str, Any]:
        """Results that are no quantities, for JSON."""
        return {}

    @model_validator(mode="after")
    def _possible(self) -> Any:
        try:
            self.results()
        except ReadingError as problem:
            raise PydanticCustomError("quantity", "{problem}", {"problem": problem.args[0]}) from problem
        return self


class InWater(Reading):
    """Readings taken in water of a known temperature."""

    temperature: Temperature = Field(ROOM, description="of the water", examples=["21 C"])
    salinity: Salinity | None = Field(
        None, description="of the water; fresh if left out", examples=["35 g/kg"]
    )

    def salt(self) -> float:
        """Salt in the water, g/kg.

        Raises:
            ReadingError: frozen, too warm or too salt for the laws of water.
        """
        salt = self.salinity.value if self.salinity else 0.0
        if salt > SALTIEST:
            raise ReadingError(
                f"the laws for water hold up to {SALTIEST:g} g/kg of salt; measure in tap water"
            )
        # some room, because the doubt of the temperature is followed both ways
        if not freezing_point(salt) <= self.temperature.value <= WARMEST - 0.1:
            raise ReadingError(
                "water of {warmth:6g} is not between freezing and {warmest:6g}; let it stand till it has the room's "
                "warmth",
                warmth=Amount(self.temperature.value, "temperature"),
                warmest=Amount(WARMEST, "temperature"),
            )
        return salt


def only(reading: Reading, *ways: tuple[str, ...]) -> int:
    """Which of several ways of giving the readings is used.

    Raises:
        ReadingError: none of them complete, or parts of two.
    """
    complete = [k for k, keys in enumerate(ways) if all(getattr(reading, key) is not None for key in keys)]
    given = {key for keys in ways for key in keys if getattr(reading, key) is not None}
    if len(complete) == 1 and given == set(ways[complete[0]]):
        return complete[0]
    listed = ", or ".join(" and ".join(keys) for keys in ways)
    raise ReadingError(f"give {listed}" + ("; not parts of both" if given and len(ways) > 1 else ""))


class WaterFill(InWater):
    """What a cavity holds, by filling it with water."""

    example: ClassVar[str] = 'full="31.4 g" empty="17.4 g" temperature="21 C"'
    full: Mass | None = Field(None, description="weight filled with water", examples=["31.4 g"])
    empty: Mass | None = Field(None, description="weight empty and dry", examples=["17.4 g"])
    water: Mass | None = Field(
        None, description="weight of the water poured out of it, instead of the two", examples=["14.0 g"]
    )

    def results(self) -> Results:
        self.salt()
        if only(self, ("full", "empty"), ("water",)) == 0:
            assert self.full is not None
            assert self.empty is not None
            return {"cavity": volumes.cavity(self.full, self.empty, self.temperature)}
        assert self.water is not None
        return {"cavity": volumes.poured(self.water, self.temperature)}

    def remarks(self) -> list[Remark]:
        return [remark("only_the_hollow"), remark("tap_it")]


class Level(Reading):
    """What a body pushes aside, by the rise of the water's level."""

    example: ClassVar[str] = 'before="60 mL" after="83 mL"'
    before: Volume | None = Field(
        None,
        description="level of a graduated cup before, with the sinker in if there is one",
        examples=["60 mL"],
    )
    after: Volume | None = Field(None, description="level with the body wholly under", examples=["83 mL"])
    across: Size | None = Field(
        None,
        description="inside width of a straight round glass, instead of a scale of volume",
        examples=["62 mm"],
    )
    rise: Size | None = Field(None, description="rise of the level in that glass", examples=["7.5 mm"])

    def results(self) -> Results:
        if only(self, ("before", "after"), ("across", "rise")) == 0:
            assert self.before is not None
            assert self.after is not None
            return {"displaced": volumes.level(self.before, self.after)}
        assert self.across is not None
        assert self.rise is not None
        return {"displaced": volumes.level_round(self.across, self.rise)}

    def remarks(self) -> list[Remark]:
        return [remark("rub_it")]


class Cup(InWater):
    """What a body pushes aside, by hanging it wholly under in a cup of water on the scale."""

    example: ClassVar[str] = 'after="23.1 g" before="1.8 g" temperature="19 C"'
    after: Mass = Field(
        description="scale with the body hung under, not touching the cup", examples=["23.1 g"]
    )
    before: Mass | None = Field(
        None,
        description="scale before, with the sinker alone hung under; zero if left out",
        examples=["1.8 g"],
    )

    def results(self) -> Results:
        return {"displaced": volumes.cup(self.before, self.after, self.temperature, self.salt())}

    def remarks(self) -> list[Remark]:
        return [remark("hang_it")]


class Immersion(InWater):
    """Density by weighing in air and under water (ISO 1183-1 method A, ASTM D792)."""

    example: ClassVar[str] = 'air="6.12 g" hung="1.34 g" temperature="20 C"'
    air: Mass = Field(description="weight in air, dry", examples=["6.12 g"])
    hung: Weighing | None = Field(
        None, description="weight hung in the water, with the sinker if there is one", examples=["1.34 g"]
    )
    gain: Mass | None = Field(
        None,
        description="or: what a cup of water on the scale gains when it hangs under",
        examples=["4.78 g"],
    )
    sinker: Mass | None = Field(
        None, description="weight of sinker and wire alone, hung in the water", examples=["8.20 g"]
    )
    air_density: Density | None = Field(
        None, description="to correct for the lift of the air; left out if not given", examples=["1.2 kg/m3"]
    )

    def results(self) -> Results:
        salt = self.salt()
        if only(self, ("hung",), ("gain",)) == 1:
            assert self.gain is not None
            if self.sinker is not None or self.air_density is not None:
                raise ReadingError(
                    "with the gain of a cup, set the scale to zero with the sinker hung under, and leave "
                    "sinker "
                    "and air_density out"
                )
            return {"density": densities.by_cup(self.air, self.gain, self.temperature, salt)}
        assert self.hung is not None
        lift = self.air_density.value if self.air_density else 0.0
        return {
            "density": densities.by_immersion(self.air, self.hung, self.temperature, self.sinker, salt, lift)
        }


class Cube(Reading):
    """Density of a test block, from its weight and three sizes."""

    example: ClassVar[str] = 'weight="4.66 g" length="20 mm" width="20 mm" height="20 mm"'
    weight: Mass = Field(description="of the block", examples=["4.66 g"])
    length: Size = Field(description="by calliper", examples=["20 mm"])
    width: Size = Field(description="by calliper", examples=["20 mm"])
    height: Size = Field(description="by calliper", examples=["20 mm"])

    def results(self) -> Results:
        return {"density": densities.cube(self.weight, self.length, self.width, self.height)}


def _bath(text: str) -> str:
    bath_density(text, 20.0)
    return text


def bath_density(text: str, temperature: float) -> float:
    """Density of a bath as a maker says it, kg/m3: "fresh water", "60 g/L" of salt, or "0.79 g/cm3".

    Raises:
        PydanticCustomError: words that name no bath.
    """
    try:
        if text.lower().split() in (["fresh"], ["fresh", "water"], ["water"], ["tap", "water"]):
            return densities.bath_density(0.0, temperature)
        told = parse(text, "density").value
        return told if told >= LIQUID else densities.bath_density(told, temperature)
    except (UnitError, ReadingError) as problem:
        say = (
            problem.args[0]
            if isinstance(problem, ReadingError)
            else 'this names no bath; write "fresh water", the salt stirred into a litre, "60 g/L", or a '
            'liquid\'s own density, "0.79 g/cm3"'
        )
        raise PydanticCustomError("quantity", "{problem}", {"problem": say}) from problem


_Baths = Annotated[
    list[Annotated[str, AfterValidator(_bath)]],
    BeforeValidator(lambda value: [value] if isinstance(value, str) else value),
]


class Scrap(Reading):
    """Between which densities a scrap lies, from what it did in fresh water and in brine."""

    example: ClassVar[str] = 'sank="fresh water" floated="250 g/L" material=abs'
    sank: _Baths = Field(
        default=[], max_length=20, description='baths it sank in: "fresh water", salt stirred into '
        'a litre of water, or the density of another liquid', examples=["fresh water"],
    )  # fmt: skip
    floated: _Baths = Field(
        default=[],
        max_length=20,
        description="baths it floated in, written alike",
        examples=["250 g/L"],
    )
    temperature: Temperature = Field(ROOM, description="of the baths", examples=["20 C"])

    def results(self) -> Results:
        return {"density": self.density(ANYTHING, "anything")}

    def density(self, default: tuple[float, float], what: str) -> Quantity:
        """The interval, an open end closed by `default` (kg/m3), the range of `what`."""
        t = self.temperature.value
        if not 0.0 <= t <= WARMEST:
            raise ReadingError(
                "a bath of {bath:6g} is outside {coldest:6g} to {warmest:6g}; let it come to room warmth",
                bath=Amount(t, "temperature"),
                coldest=Amount(0.0, "temperature"),
                warmest=Amount(WARMEST, "temperature"),
            )
        sank = [bath_density(bath, t) for bath in self.sank]
        floated = [bath_density(bath, t) for bath in self.floated]
        return densities.bracket(sank, floated, default, what)


class ScrapOf(Scrap):
    """Between which densities a scrap lies, from what it did in fresh water and in brine."""

    material: str | None = Field(
        None, description="what it is made of, for an open end; a hard plastic if left out", examples=["abs"]
    )

    def results(self) -> Results:
        return {"density": self.density(*scrap_range(self.material))}

    def remarks(self) -> list[Remark]:
        if self.sank and self.floated:
            return []
        (low, high), what = scrap_range(self.material)
        return [remark("open_end", what=what, low_kg_m3=low, high_kg_m3=high)]


def scrap_range(material: str | None) -> tuple[tuple[float, float], str]:
    """The densities (kg/m3) that a scrap of a named material, or of some hard plastic, may have."""
    if material is None:
        return HARD_PLASTICS, "a hard plastic"
    found = find(material)
    if found is None:
        raise ReadingError(
            f'there is no material "{printable(material)}" in the list; `drytank materials` shows it, or '
            f"leave it out"
        )
    return (found.low, found.high), printable(material)


_Several = BeforeValidator(lambda value: [value] if isinstance(value, str) else value)
_Lengths = Annotated[list[Length], _Several]


class Balance(Reading):
    """The balance point: laid on an edge, several times, or with one end on the scale."""

    example: ClassVar[str] = 'back="33.5 mm" back="34 mm" up="-2 mm"'
    back: _Lengths = Field(
        default=[], max_length=50, examples=["34 mm"],
        description="nose to the edge it balances on; may be given again",
    )  # fmt: skip
    up: _Lengths = Field(
        default=[], max_length=50, examples=["-2 mm"],
        description="laid on its side: axis to the edge; negative is below",
    )  # fmt: skip
    whole: Mass | None = Field(
        None, description="whole weight, for the way with the scale", examples=["21.3 g"]
    )
    on_scale: Mass | None = Field(
        None, description="what the scale shows with the tail on it and the front support beside it",
        examples=["9.8 g"],
    )  # fmt: skip
    span: Size | None = Field(None, description="front support to the point on the scale", examples=["62 mm"])
    support: Length = Field(
        Quantity(0.0, 0.0, "length", "0 mm"), description="front support behind the nose", examples=["5 mm"]
    )

    def results(self) -> Results:
        out = {}
        if self.back:
            out["balance_back"] = mean(list(self.back))
        if self.up:
            out["balance_up"] = mean(list(self.up))
        if self.whole or self.on_scale or self.span:
            if self.whole is None or self.on_scale is None or self.span is None:
                raise ReadingError("for the way with the scale give whole, on_scale and span")
            place = poise.on_two_supports(self.whole, self.on_scale, self.span)
            value, sd = place.value + self.support.value, math.hypot(place.sd, rounded(self.support).sd)
            out["balance_back_by_scale"] = Quantity(value, sd, "length")
        if not out:
            raise ReadingError('give where it balances, as in back = "34 mm", or whole, on_scale and span')
        return out


class Tub(Reading):
    """How it lies in the tub, from the depth of two marks."""

    example: ClassVar[str] = 'nose_depth="8 mm" tail_depth="12 mm" apart="60 mm"'
    nose_depth: Distance = Field(description="front mark under the surface", examples=["8 mm"])
    tail_depth: Distance = Field(description="rear mark under the surface", examples=["12 mm"])
    apart: Size = Field(description="from mark to mark along the body", examples=["60 mm"])

    def results(self) -> Results:
        return {
            "draught": poise.draught(self.nose_depth, self.tail_depth),
            "pitch": poise.trim(self.nose_depth, self.tail_depth, self.apart),
        }

    def remarks(self) -> list[Remark]:
        return [remark("pitch_sign")]
