"""A thing as found, as words of `drytank measure thing`: does it float, before anything is poured or hung."""

from __future__ import annotations

import math
from functools import cached_property
from typing import Any, ClassVar

from pydantic import Field

from sim.bench import found, volumes
from sim.bench.uncertainty import ReadingError, flat, known
from sim.design.assembly import Assembly
from sim.design.extent import extent
from sim.design.materials import MATERIALS, find
from sim.design.model import Design
from sim.design.parts import Body
from sim.design.problems import nearest
from sim.design.quantities import Density, Mass, Size, Volume
from sim.design.readings import InWater, Results, only
from sim.media import water_density
from sim.remark import Amount, Remark, remark
from sim.units import Quantity

_DIMENSION = {
    "displaced": "volume",
    "wall": "density",
    "cavity": "volume",
}  # of the reading that would come next
_UNITS = {"mass": (1e3, "g"), "volume": (1e6, "mL"), "length": (1e3, "mm"), "density": (1e-3, "g/cm3")}


def thing_words(design: Design) -> dict[str, str]:
    """What a design file tells of a found thing, as words of `measure thing`: its first assembly, or its first body.

    Args:
        design: with its readings turned into values.

    Raises:
        ReadingError: it has no body that was weighed.
    """
    found: Assembly | Body | None = next(iter(design.assembly.values()), None)
    bodies = dict(design.body)
    if isinstance(found, Assembly):
        bodies = {name: bodies[name] for name in found.bodies}
    if found is None:
        found = next((body for body in design.body.values() if body.weight is not None), None)
    if found is None or found.weight is None:
        raise ReadingError('the file tells of no thing that was weighed; write weight = "21 g" in its body')
    if isinstance(found, Body):
        bodies = {name: body for name, body in bodies.items() if body is found}
    values: dict[str, Quantity | None] = {
        "weight": found.weight,
        "cavity": found.cavity,
        "wall": found.density,
        "displaced": found.displaced,
        "fill": found.fill_weight,
    }
    box = extent(Design(name=design.name, body=bodies))
    if box is not None:
        sizes = (high - low for low, high in box)
        values |= dict(
            zip(("length", "height", "width"), (known(s, 0.0, "length") for s in sizes), strict=True)
        )
    carried = [part for group in (design.hook, design.fitting, design.ballast) for part in group.values()]
    weights = [(2 if part.mirrored else 1, part.weight) for part in carried if part.weight is not None]
    if weights:
        sd = math.hypot(*(count * weight.sd for count, weight in weights))
        values["hooks"] = known(math.fsum(count * weight.value for count, weight in weights), sd, "mass")
    words = {key: _as_word(value) for key, value in values.items() if value is not None}
    if found.density is None and found.material is not None:
        words["material"] = found.material
    if found.cavity is None and getattr(found, "wall", None) is None:
        words["solid"] = "yes"
    return words


def _as_word(value: Quantity) -> str:
    scale, unit = _UNITS[value.dimension]
    doubt = f" +- {scale * value.sd:.3g}" if value.sd > 0.0 else ""
    return value.text if value.text and not value.flat else f"{scale * value.value:.6g}{doubt} {unit}"


class Thing(InWater):
    """Does a found thing float, from whatever is at hand: weight, cavity, sizes, a guess of what it is made of."""

    example: ClassVar[str] = (
        'weight="21 g" cavity="14 mL" length="45 mm" width="33 mm" height="20 mm" hooks="4.2 g"'
    )
    weight: Mass = Field(description="the whole thing, empty and dry", examples=["21.0 g"])
    cavity: Volume | None = Field(None, description="what all its hollows hold together", examples=["14 mL"])
    water: Mass | None = Field(None, description="or the weight of the water they hold", examples=["14.0 g"])
    solid: bool = Field(False, description="yes if there is no hollow in it", examples=["yes"])
    length: Size | None = Field(
        None, description="over all, as the calliper closes on it", examples=["45 mm"]
    )
    width: Size | None = Field(None, description="over all", examples=["33 mm"])
    height: Size | None = Field(None, description="over all, legs and all", examples=["20 mm"])
    material: str | None = Field(
        None,
        max_length=60,
        description="a guess of what it is made of; counts as a range",
        examples=["soft pvc"],
    )
    wall: Density | None = Field(
        None,
        description="density of what it is made of, if a scrap was measured",
        examples=["1.22 +- 0.02 g/cm3"],
    )
    displaced: Volume | None = Field(
        None, description="what it pushes aside, dunked with its hollows closed", examples=["24.5 mL"]
    )
    fill: Mass | None = Field(None, description="weight of what will be poured in", examples=["5 g"])
    hooks: Mass | None = Field(
        None, description="hooks, eyes and all else that it must carry, together", examples=["4.2 g"]
    )

    def results(self) -> Results:
        left, whole = self._left, self._state(True, True)
        return {
            "displaced": known(left.mean(left.volume), left.sd(left.volume), "volume"),
            "margin": known(whole.margin, whole.margin_sd, "mass"),
        }

    def answer(self) -> list[Remark]:
        states = [(False, False)]
        if self.fill is not None:
            states.append((True, False))
        if self.hooks is not None:
            states.append((self.fill is not None, True))
        return [*(self._floats(*state) for state in states), *self._measure_next()]

    def extra(self) -> dict[str, Any]:
        whole, step = self._state(True, True), self._next
        return {
            "verdict": whole.verdict,
            "chance_floats": whole.chance_floats,
            "chance_floats_empty": self._state(False, False).chance_floats,
            "margin_low_g": 1e3 * whole.low,
            "margin_high_g": 1e3 * whole.high,
            "measure_next": step.reading if step else None,
            "doubt_left": step.left if step else None,
        }

    def remarks(self) -> list[Remark]:
        found = []
        if self.displaced is None:
            found.append(remark("no_shape"))
        if self.hooks is None:
            found.append(remark("thing_alone"))
        return found

    @cached_property
    def _readings(self) -> found.FoundThing:
        cavity = self.cavity
        if self.water is not None:
            only(self, ("cavity",), ("water",))
            cavity = volumes.poured(self.water, self.temperature)
        if self.solid and cavity is not None:
            raise ReadingError("a solid thing has no cavity; leave one of the two out")
        given = [size for size in (self.length, self.width, self.height) if size is not None]
        if 0 < len(given) < 3:
            raise ReadingError("give all three sizes, length, width and height, or none of them")
        sizes = (given[0], given[1], given[2]) if given else None
        return found.FoundThing(
            self.weight, cavity, sizes, self._wall(), self.displaced, self.hooks, self.fill, self.solid
        )

    @cached_property
    def _left(self) -> found.Posterior:
        return found.posterior(self._readings)

    @cached_property
    def _next(self) -> found.Next | None:
        return found.next_reading(self._readings, self._left, self._density)

    @cached_property
    def _density(self) -> float:
        return water_density(self.temperature.value, self.salt())

    def _wall(self) -> Quantity | None:
        if self.wall is not None or self.material is None:
            return self.wall
        material = find(self.material)
        if material is None:
            near = nearest(self.material.lower(), MATERIALS)
            hint = f"did you mean {near!r}? " if near else ""
            raise ReadingError(
                f"{self.material!r} is not in the list of materials; {hint}`drytank materials` shows all"
            )
        ends = f"{material.low / 1e3:.3g} to {material.high / 1e3:.3g} g/cm3"
        return flat(material.low, material.high, "density", ends)

    def _state(self, filled: bool, loaded: bool) -> found.Afloat:
        return found.afloat(self._readings, self._left, self._density, filled=filled, loaded=loaded)

    def _floats(self, filled: bool, loaded: bool) -> Remark:
        state = self._state(filled, loaded)
        low, high = (Amount(round(end, 4), "mass") for end in (state.low, state.high))
        return remark(
            "thing_floats", filled=filled, loaded=loaded, verdict=state.verdict, percent=100 * state.chance_floats,
            low=low, high=high,
        )  # fmt: skip

    def _measure_next(self) -> list[Remark]:
        step = self._next
        if step is None or step.left > 0.95:
            return []
        above = step.floats_above is not None
        turn = step.floats_above if above else step.floats_below
        turns = None if turn is None or turn <= 0.0 else Amount(turn, _DIMENSION[step.reading])
        return [remark("measure_next", reading=step.reading, turns=turns, above=above)]
