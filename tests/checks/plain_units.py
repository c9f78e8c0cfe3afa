"""Plain measures as makers write them, against a unit library."""

from __future__ import annotations

from functools import cache, partial
from typing import Any

from sim.units import parse
from tests.checks.checks import Status, Subject, relative

SUBJECT = Subject(
    "Units",
    "Plain measures, read by the simulator and by the unit library pint. Fractions and decimal commas are "
    "left out: the library reads `2 3/4 in` as 1.5 inches without a word, which is why the simulator reads "
    "its own.",
)
check = SUBJECT.check


@cache
def _registry() -> Any:
    import pint

    return pint.UnitRegistry()


def _by_pint(number: float, unit: str, si: str) -> float:
    return float(_registry().Quantity(number, unit).to(si).magnitude)


for _text, _dimension, _number, _unit, _si in (
    ("0.375 oz", "mass", 0.375, "ounce", "kg"),
    ("30 grains", "mass", 30.0, "grain", "kg"),
    ("2.75 in", "length", 2.75, "inch", "m"),
    ("6.5 ft", "length", 6.5, "foot", "m"),
    ("0.5 fl oz", "volume", 0.5, "fluid_ounce", "m**3"),
    ("2.5 mph", "speed", 2.5, "mile/hour", "m/s"),
    ("62.4 lb/ft3", "density", 62.4, "pound/foot**3", "kg/m**3"),
    ("8 lb", "force", 8.0, "force_pound", "N"),
    ("35 deg", "angle", 35.0, "degree", "radian"),
):
    check(
        f"`{_text}` as a {_dimension}",
        source="pint 0.25.3, live", status=Status.LIBRARY, published=partial(_by_pint, _number, _unit, _si),
        tolerance=relative(1e-9), unit=_si.replace("**", ""),
    )(lambda t=_text, d=_dimension: float(parse(t, d).value))  # fmt: skip
