"""Inputs of a design in the reader's units: their values, how well they are known, at which the verdict turns."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sim.show.measurement import measurement
from sim.show.units import NO_BREAK, Units
from sim.trials.records import Conflict, Settling, TurningValue
from sim.units import show

if TYPE_CHECKING:
    from sim.studies.monte_carlo.tolerance import InputDoubt

SCRAP_FLOATS = 0.02  # share of the water's density within which a dropped scrap tells enough; judgement


def value(si: float, dimension: str, units: Units, digits: int = 3) -> str:
    """A value (SI; temperature C, salinity g/kg) with its unit.

    >>> from sim.show.units import METRIC, US
    >>> value(0.0221, "mass", US).replace(NO_BREAK, " "), value(1.1, "factor", METRIC)
    ('0.780 oz', '1.10')
    """
    if dimension == "factor":
        return f"{si:.2f}"
    return show(si, dimension, units.name, digits).replace(" ", NO_BREAK)


def deviation(sd: float, dimension: str, units: Units) -> str:
    """A standard deviation (SI) with its unit; of a temperature it is a difference, not a place on the scale."""
    if dimension == "temperature":
        return (
            f"{sd * (1.8 if units.name == 'us' else 1.0):.2g}{NO_BREAK}{'F' if units.name == 'us' else 'C'}"
        )
    return value(sd, dimension, units, 2)


def known_to(one: InputDoubt, units: Units) -> str:
    """How well an input is known: `+- 0.29 mm`, `between 0.35 and 0.48 g/cm3`."""
    if one.between_si is None:
        return f"+-{NO_BREAK}{deviation(one.sd_si, one.dimension, units)}"
    low, high = (value(end, one.dimension, units) for end in one.between_si)
    return f"between {low} and {high}"


def warmth(celsius: float, units: Units) -> str:
    """A temperature to the degree."""
    return f"{celsius * 1.8 + 32:.0f}{NO_BREAK}F" if units.name == "us" else f"{celsius:.0f}{NO_BREAK}C"


def turning(one: TurningValue, floats: bool, water: float, units: Units) -> str:
    """Where one input turns the verdict.

    Args:
        floats: whether the lure floats as it is. water: its density, kg/m3.
    """
    if one.dimension == "salinity":
        least, becomes = ("less", "sink") if floats else ("more", "float")
        return f"In water with {least} than {one.value_si:.0f} g/kg of salt it would {becomes}."
    if one.dimension == "temperature":
        than, becomes = ("warmer", "sink") if floats else ("colder", "float")
        return f"In water {than} than {warmth(one.value_si, units)} it would {becomes}."
    part = one.path.split(".")[1]
    if one.dimension == "mass":
        what = "the whole lure" if one.path == "measured.weight" else f"ballast {part}"
        what = f"the fill of {part}" if one.path.endswith(".fill_weight") else what
        limit, becomes = ("more", "sink") if floats else ("less", "float")
        grams = f"{units.number('mass', 1e3 * one.value_si)}{NO_BREAK}{units.unit('mass')}"
        return f"With {what} at {limit} than {grams} it would {becomes}."
    fill = one.path.endswith("fill_density")
    what = f"the {'fill' if fill else 'wall' if one.wall else one.material or 'stuff'} of {part}"
    number = f"{one.value_si / 1e3:.3g}{NO_BREAK}g/cm3"
    if floats:
        text = f"If {what} were heavier than {number}, it would sink"
    else:
        text = f"{what[0].upper()}{what[1:]} would have to be lighter than {number} for it to float"
    if fill:
        return f"{text}; weigh a test cube of it."
    if abs(one.value_si / water - 1.0) <= SCRAP_FLOATS:
        return f"{text}; a scrap of it dropped in the water tells."
    return f"{text}; a scrap of it weighed dry, and again hung in water, tells."


def settling(one: Settling, units: Units) -> str:
    """What to measure to settle an uncertain verdict."""
    share = "nearly all" if one.share > 0.95 else f"{100 * one.share:.0f}{NO_BREAK}%"
    if one.between_si is None:
        known = f"known to {deviation(one.sd_si, one.dimension, units)}"
    else:
        low, high = (value(end, one.dimension, units) for end in one.between_si)
        known = f"known only to lie between {low} and {high}"
    what = one.path
    if what.startswith(("body.", "assembly.")) and what.endswith(".displaced"):
        what = f"what {what.split('.')[1]} pushes aside"
    text = f"Uncertain: {share} of the doubt is in {what}, {known}. {measurement(one.path)}"
    if one.turns_at_si is None:
        return f"{text}."
    side = "above" if one.floats_above else "below"
    return f"{text}; {side} {value(one.turns_at_si, one.dimension, units)} it floats."


_KEYS = {"sizes": "its sizes", "displaced": "what it displaces"}
_SETTLES = {
    "displaced": "Hang it closed and wholly under in a cup of water on the scale (`drytank measure cup`) and give "
    "what it pushes aside as `displaced`",
    "cavity": "Fill it with water once more and weigh that (`drytank measure cavity`)",
    "weight": "Weigh it again, and check the unit",
}


def conflict(one: Conflict) -> str:
    """Readings that cannot all be true, and the one that settles it."""
    keys = [_KEYS.get(key, f"its {key}") for key in one.keys]
    limit = (
        ("denser than " + ("lead" if one.hollow else "any metal"))
        if one.too_dense
        else "lighter than any foam"
    )
    left = "a wall" if one.hollow else "something"
    number = f"{one.density_kg_m3 / 1e3:.3g}{NO_BREAK}g/cm3"
    return (
        f"Of {one.body}, {', '.join(keys[:-1])} and {keys[-1]} cannot all be true: they would leave {left} of "
        f"{number}, {limit}. {_SETTLES[one.settled_by.rsplit('.', 1)[-1]]}."
    )
