"""Pydantic field types for dimensioned values: text with a unit in, `Quantity` in SI out."""

import math
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, InstanceOf, StringConstraints
from pydantic_core import PydanticCustomError

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


def _reader(dimension: str, largest: float | None = None) -> BeforeValidator:
    limit = (LARGEST[dimension] if largest is None else largest) * (1.0 + 1e-9)

    def read(raw: Any) -> Quantity:
        if isinstance(raw, Quantity) and raw.dimension == dimension:
            return raw
        try:
            quantity = parse(raw, dimension)
        except UnitError as error:
            raise PydanticCustomError("quantity", "{problem}", {"problem": str(error)}) from error
        if abs(quantity.value) > limit:
            raise _refused(quantity, "is far more than it can be here; check the unit and the decimal mark")
        if quantity.sd > limit:
            raise _refused(quantity, 'has far too much after its "+-"; check the unit and the decimal mark')
        return quantity

    return BeforeValidator(read)


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


_Q = InstanceOf[Quantity]

Length = Annotated[_Q, _reader("length")]
Size = Annotated[_Q, AfterValidator(_above_zero), _reader("length")]
Distance = Annotated[_Q, AfterValidator(_at_least_zero), _reader("length")]
Tackle = Annotated[_Q, AfterValidator(_above_zero), _reader("length", LONGEST_TACKLE)]
Far = Annotated[_Q, AfterValidator(_above_zero), _reader("length", FARTHEST)]
Mass = Annotated[_Q, AfterValidator(_above_zero), _reader("mass")]
Weighing = Annotated[_Q, _reader("mass")]  # hung in water even a negative weight has a meaning
Volume = Annotated[_Q, AfterValidator(_above_zero), _reader("volume")]
Density = Annotated[_Q, AfterValidator(_above_zero), _reader("density")]
Speed = Annotated[_Q, _reader("speed")]
ForwardSpeed = Annotated[_Q, AfterValidator(_above_zero), _reader("speed")]
Angle = Annotated[_Q, _reader("angle")]
Temperature = Annotated[_Q, _reader("temperature")]
Salinity = Annotated[_Q, AfterValidator(_at_least_zero), _reader("salinity")]
Force = Annotated[_Q, AfterValidator(_above_zero), _reader("force")]
Factor = Annotated[_Q, AfterValidator(_above_zero), _reader("factor")]
Time = Annotated[_Q, AfterValidator(_above_zero), _reader("time")]

ZERO_LENGTH = parse("0 mm", "length")
ZERO_ANGLE = parse("0 deg", "angle")
ZERO_SPEED = parse("0 m/s", "speed")
