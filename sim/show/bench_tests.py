"""What to do at the bench, in a tub or at the water to know something better, in a maker's words."""

from __future__ import annotations

from sim.coefficients import COEFFICIENTS
from sim.show.builds import at_pull, name_and_pull
from sim.show.measurement import measurement
from sim.show.units import Units
from sim.studies.monte_carlo.advice import Advice
from sim.studies.monte_carlo.tolerance import Cause
from sim.trials.results import DISPLACED, SPARE_LIFT, TRIM, WEIGHT

CALIBRATE = "Log what it does at the water and calibrate (`drytank calibrate`)"
_WHOLE = {
    "water.temperature": "temperature of the water", "water.salinity": "salt of the water",
    "line.diameter": "thickness of the line", "cast": "how you cast", "retrieve.tip": "height of the rod tip",
    "measured.weight": "weight of the whole lure", "measured.displaced": "what the whole lure pushes aside",
}  # fmt: skip
_FINISHED = {  # what the finished lure does: what it is, how to read it
    WEIGHT: ("weight of the finished lure", "Weigh the finished lure"),
    DISPLACED: (
        "what the finished lure pushes aside",
        "Hang the finished lure under in a cup of water on the scale (`drytank measure cup`)",
    ),
    SPARE_LIFT: (
        "its spare lift",
        "Hang weights on the floating lure until it just goes under, or weigh a sinking one under water",
    ),
    "float.freeboard_mm": ("its waterline", "Float it and measure how much shows above the water"),
    TRIM: (
        "how it sits",
        "Float it, mark the waterline at nose and tail, and measure its slope",
    ),
    "drop.sink_rate_m_s": ("how fast it sinks or rises", "Time it over {far}, five times{time}"),
    "cast.range_m": ("how far it casts", "Cast it ten times and pace out the distance"),
    "retrieve.depth_m": ("how deep it runs {at}", "Pull it {at} over a depth you know{depth}"),
    "retrieve.wobble_hz": (
        "how often it wobbles {at}",
        "Film it {at} for {seconds} s and count its wobbles{beats}",
    ),
}


def what(one: Cause | Advice, units: Units) -> str:
    """What is known better afterwards: `density of body main`, `how deep it runs at 0.5 m/s from nose`."""
    if isinstance(one, Advice) and one.figure:
        return _finished(one.figure, 0, units, None)
    if one.kind == "model":
        return COEFFICIENTS[one.part].does
    if not one.kind:
        return _WHOLE[one.part]
    return f"{one.kind} of {_part(one)}"


def how(one: Cause | Advice, units: Units) -> str:
    """What to do, without a full stop; a test of its own names the part in place of `it`."""
    if isinstance(one, Cause):
        return CALIBRATE if one.kind == "model" else measurement(one.inputs[0])
    if one.figure:
        return _finished(one.figure, 1, units, one.expected)
    text = measurement(one.inputs[0])
    for pronoun in (" a scrap of it ", " of the fill ", " it ") if one.kind else ():
        if pronoun in text:
            return text.replace(pronoun, pronoun.replace("it", _part(one)) if "it" in pronoun else pronoun, 1)
    return text


def _part(one: Cause | Advice) -> str:
    return "the whole lure" if one.part == "measured" else one.part.replace(".", " ")


def _finished(figure: str, which: int, units: Units, expected: float | None) -> str:
    """What it is or how to read it; how far, how long and how many, as far as the builds foretell it."""
    name, pull = name_and_pull(figure)
    short = units.scales["distance"].unit == "ft"
    far = FEW_FEET if short else 1.0
    size = abs(expected or 0.0)
    return _FINISHED[name][which].format(
        at=at_pull(pull.tie_on, pull.speed, units) if pull else "",
        far=units.text("distance", far),
        time=f" (about {far / size:.2g} s each)" if size > 0.01 else "",
        depth=f" (about {units.depth(size, 2)})" if size else "",
        seconds=FILMED,
        beats=f" (about {FILMED * size:.0f})" if size else "",
    )


FILMED = 5  # s
FEW_FEET = 3 * 0.3048  # m
