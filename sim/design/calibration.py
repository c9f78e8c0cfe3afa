"""The table of a design file that holds what tests at the water have taught: factors on the forces."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field, create_model

from sim.coefficients import COEFFICIENTS, DOUBTED
from sim.design.quantities import Factor, ForwardSpeed, Mass, Volume
from sim.design.table import Strict
from sim.units import parse

ONE = parse("1", "factor")
Name: Any = Literal[*DOUBTED]


class Pair(Strict):
    """Two fitted coefficients that go together."""

    one: Name = Field(description="a key of `calibration`", examples=["plate_lift"])
    other: Name = Field(description="another", examples=["plate_drag"])
    r: float = Field(ge=-1.0, le=1.0, description="their correlation", examples=[-0.7])


class MeasuredBefore(Strict):
    """What a file had of the whole lure before its tests told it; a key that is left out was not there."""

    weight: Mass | None = Field(None, description="`measured.weight`", examples=["18.4 +- 0.2 g"])
    displaced: Volume | None = Field(None, description="`measured.displaced`", examples=["21.4 +- 0.3 mL"])


class _Fitted(Strict):
    note: str = Field("", max_length=400, description="where it comes from")
    together: list[Pair] = Field(
        default=[], max_length=400, description="fitted coefficients that are not independent",
        examples=[[{"one": "plate_lift", "other": "plate_drag", "r": -0.7}]],
    )  # fmt: skip
    cast_speed_before: ForwardSpeed | None = Field(
        None, description="`cast.speed` as it was before the tests changed it; `calibrate` starts from it again",
        examples=["15 m/s"],
    )  # fmt: skip
    measured_before: MeasuredBefore | None = Field(
        None, description="`measured` as it was before tests told the spare lift; `calibrate` starts from it again",
        examples=[{"weight": "18.4 +- 0.2 g"}],
    )  # fmt: skip


_FACTORS: dict[str, Any] = {
    name: (Factor, Field(ONE, description=COEFFICIENTS[name].does, examples=["1.05 +- 0.08"]))
    for name in DOUBTED
}
Calibration: Any = create_model(
    "Calibration",
    __base__=_Fitted,
    __doc__="Factors on the forces, 1 as modelled: what your own tests have taught. Written by `drytank calibrate`.",
    **_FACTORS,
)
