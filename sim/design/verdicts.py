"""Readings that end in an answer rather than in a number: will a shell float, do two measurements agree."""

from __future__ import annotations

import math
from typing import Any, ClassVar

from pydantic import Field

from sim.bench import volumes
from sim.bench.conflict import contradiction
from sim.bench.densities import interval
from sim.bench.shell import ShellAnswer, shell
from sim.bench.uncertainty import ReadingError, known, rounded
from sim.design.quantities import Density, Mass, Volume
from sim.design.readings import InWater, Reading, Results, ScrapOf, only
from sim.media import water_density
from sim.remark import Remark, remark
from sim.units import Quantity, UnitError, parse, show


class Shell(InWater, ScrapOf):
    """Will a hollow shell float, from its weight, its cavity and what is known of its wall."""

    example: ClassVar[str] = 'weight="17.4 g" cavity="12 mL" load="6.5 g" sank="fresh water"'
    weight: Mass = Field(description="the empty shell", examples=["17.4 g"])
    cavity: Volume | None = Field(None, description="what it holds", examples=["12 mL"])
    water: Mass | None = Field(None, description="or the weight of the water it holds", examples=["12.0 g"])
    load: Mass | None = Field(
        None, description="fill, hooks and all else it must carry, together", examples=["6.5 g"]
    )
    wall: Density | None = Field(
        None, description="density of the wall, if it was measured", examples=["1.22 +- 0.02 g/cm3"]
    )

    def results(self) -> Results:
        told = self._told()
        doubt = math.hypot(*(rounded(q).sd for q in (self.weight, self.load) if q is not None))
        return {
            "weight": known(told.weight, doubt, "mass"),
            "margin": known(told.margin, told.margin_sd, "mass"),
        }

    def answer(self) -> list[Remark]:
        told = self._told()
        first = remark("shell_floats", verdict=told.verdict, percent=100 * told.chance_floats)
        return [one for one in (first, told.why, told.settles) if one]

    def extra(self) -> dict[str, Any]:
        told = self._told()
        return {
            "verdict": told.verdict,
            "chance_floats": told.chance_floats,
            "wall_density_flips_at_kg_m3": told.flips_at,
            "why": told.why,
            "settled_by": told.settles,
        }

    def remarks(self) -> list[Remark]:
        remarks = [] if self.wall is not None or self.floated else super().remarks()
        if self.load is None:
            remarks.append(remark("shell_alone"))
        return remarks

    def _told(self) -> ShellAnswer:
        salt = self.salt()
        water = water_density(self.temperature.value, salt)
        if only(self, ("cavity",), ("water",)) == 1:
            assert self.water is not None
            cavity = volumes.poured(self.water, self.temperature)
        else:
            assert self.cavity is not None
            cavity = self.cavity
        return shell(self.weight, cavity, self._wall(), self.load, water)

    def _wall(self) -> Quantity:
        if self.wall is not None:
            if self.sank or self.floated:
                low, high = interval(super().results()["density"])
                if not low - 2 * self.wall.sd <= self.wall.value <= high + 2 * self.wall.sd:
                    raise ReadingError(
                        f"a wall of {show(self.wall.value, 'density')} does not fit what the scrap did, "
                        f"which "
                        f"says {low / 1e3:.4g} to {high / 1e3:.4g} g/cm3; weigh the scrap again, rubbed wet"
                    )
            return self.wall
        return super().results()["density"]


class AgreementReading(Reading):
    """Do two measurements of one thing agree, and if not, which slip it looks like."""

    example: ClassVar[str] = 'one="0.78 +- 0.01 g" other="21.6 +- 0.1 g"'
    one: str = Field(max_length=80, description="first value, with its +-", examples=["0.78 +- 0.01 g"])
    other: str = Field(max_length=80, description="second value, with its +-", examples=["21.6 +- 0.1 g"])
    tare: str | None = Field(
        None, max_length=80, description="weight of the cup or tray that was about", examples=["4.2 g"]
    )

    def results(self) -> Results:
        one, other = self._pair()
        return {
            "difference": known(
                other.value - one.value, (rounded(one).sd ** 2 + rounded(other).sd ** 2) ** 0.5, one.dimension
            )
        }

    def answer(self) -> list[Remark]:
        one, other = self._pair()
        loads = {"tare": parse(self.tare, one.dimension)} if self.tare else {}
        return [contradiction("reading", "it", ("first", one), ("second", other), loads) or remark("agree")]

    def extra(self) -> dict[str, Any]:
        (why,) = self.answer()
        return {"agree": why.key == "agree", "why": why}

    def _pair(self) -> tuple[Quantity, Quantity]:
        problem = ""
        for dimension in ("mass", "volume", "length", "density", "angle"):
            try:
                pair = parse(self.one, dimension), parse(self.other, dimension)
                if self.tare is not None:
                    parse(self.tare, dimension)
                return pair
            except UnitError as error:
                problem = problem or str(error)
        raise ReadingError(f"the values must be two of one kind, such as two weights: {problem}")
