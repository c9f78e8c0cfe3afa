"""Pydantic field types for dimensioned values: text with a unit in, `Quantity` in SI out."""

import math
from collections.abc import Callable
from typing import Annotated, Any

from pydantic import StringConstraints
from pydantic_core import PydanticCustomError, core_schema

from sim.units import Quantity, UnitError, parse

LARGEST = {
    "length": 2.0,
    "mass": 20.0,
    "volume": 0.1,
    "speed": 100.0,
    "density": 25000.0,
    "force": 5000.0,
    "angle": 2.0 * math.pi,
    "temperature": 1000.0,
    "salinity": 1000.0,
    "time": 600.0,
    "factor": 20.0,
}
"""Largest size of each dimension, either sign, SI, that a lure or its water can plausibly need."""

SMALLEST = {
    "length": 1e-6,
    "mass": 1e-8,
    "volume": 1e-10,
    "speed": 1e-3,
    "density": 0.1,
    "force": 1e-3,
    "time": 1e-2,
    "factor": 1e-2,
}
"""Smallest value above zero of each dimension, SI, that means anything here."""

Name = Annotated[str, StringConstraints(pattern=r"^[A-Za-z][A-Za-z0-9_-]{0,39}$")]
"""What a maker may call a part."""

LONGEST_TACKLE, FARTHEST = 20.0, 300.0  # m: rods and heights; depths and distances


class _Reader:
    """Reads one dimension: one function a field, as a chain of pydantic's own checks takes thrice as long to set up."""

    def __init__(
        self,
        dimension: str,
        check: Callable[[Quantity], Quantity] = lambda quantity: quantity,
        largest: float | None = None,
    ) -> None:
        self.dimension, self.check = dimension, check
        self.limit = (LARGEST[dimension] if largest is None else largest) * (1.0 + 1e-9)

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(self.read)

    def read(self, raw: Any) -> Quantity:
        """A quantity from what a file gives, or as it is."""
        if isinstance(raw, Quantity) and raw.dimension == self.dimension:
            return self.check(raw)
        try:
            quantity = parse(raw, self.dimension)
        except UnitError as error:
            raise PydanticCustomError("quantity", "{problem}", {"problem": str(error)}) from error
        if abs(quantity.value) > self.limit:
            raise _refused(quantity, "is far more than it can be here; check the unit and the decimal mark")
        if quantity.sd > self.limit:
            raise _refused(quantity, 'has far too much after its "+-"; check the unit and the decimal mark')
        return self.check(quantity)


def _refused(quantity: Quantity, why: str) -> PydanticCustomError:
    return PydanticCustomError("quantity", "{given} {why}", {"given": f'"{quantity.text}"', "why": why})


def _at_least_zero(quantity: Quantity) -> Quantity:
    if quantity.value < 0:
        raise _refused(quantity, "is negative; write it as a positive number")
    if 0 < quantity.value < SMALLEST.get(quantity.dimension, 0.0):
        raise _refused(quantity, "is far less than it can be here; check the unit and the decimal mark")
    return quantity


def _above_zero(quantity: Quantity) -> Quantity:
    if quantity.value == 0 and quantity.dimension == "mass":
        raise _refused(
            quantity,
            "must be more than zero; if the scale shows nothing, weigh ten alike together and divide by ten, "
            "or leave the part out",
        )
    if quantity.value == 0:
        raise _refused(quantity, "must be more than zero")
    return _at_least_zero(quantity)


Length = Annotated[Quantity, _Reader("length")]
Size = Annotated[Quantity, _Reader("length", _above_zero)]
Distance = Annotated[Quantity, _Reader("length", _at_least_zero)]
Tackle = Annotated[Quantity, _Reader("length", _above_zero, LONGEST_TACKLE)]
Far = Annotated[Quantity, _Reader("length", _above_zero, FARTHEST)]
Mass = Annotated[Quantity, _Reader("mass", _above_zero)]
Weighing = Annotated[Quantity, _Reader("mass")]  # hung in water even a negative weight has a meaning
Volume = Annotated[Quantity, _Reader("volume", _above_zero)]
Density = Annotated[Quantity, _Reader("density", _above_zero)]
Speed = Annotated[Quantity, _Reader("speed")]
ForwardSpeed = Annotated[Quantity, _Reader("speed", _above_zero)]
Angle = Annotated[Quantity, _Reader("angle")]
Temperature = Annotated[Quantity, _Reader("temperature")]
Salinity = Annotated[Quantity, _Reader("salinity", _at_least_zero)]
Force = Annotated[Quantity, _Reader("force", _above_zero)]
Factor = Annotated[Quantity, _Reader("factor", _above_zero)]
Time = Annotated[Quantity, _Reader("time", _above_zero)]

ZERO_LENGTH = parse("0 mm", "length")
ZERO_ANGLE = parse("0 deg", "angle")
ZERO_SPEED = parse("0 m/s", "speed")
