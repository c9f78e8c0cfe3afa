"""Values of metrics in words and in the reader's units: in a table, in a sentence, over a column.

What each is called, its unit and its rounding stand in its account (`sim.metrics`).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sim.metrics import KeyUnit, unit_of
from sim.show.document import Column
from sim.show.units import NO_BREAK, Units, figures
from sim.trials.results import METRICS, SPARE_LIFT


def column(name: str, units: Units, roomy: bool = False) -> Column:
    """The head of a metric's column, with its unit."""
    return Column(METRICS[name].head, unit(name, units), number=not METRICS[name].word, roomy=roomy)


def words(name: str) -> str:
    """What a metric is called in a sentence."""
    return METRICS[name].noun


def unit(name: str, units: Units) -> str:
    """KeyUnit of a metric, or nothing."""
    own = _unit(name)
    return units.unit(own.scale) if own.scale else own.text


def spoken_unit(name: str, units: Units) -> str:
    """The same in a sentence."""
    own = unit(name, units)
    return "a metre" if own == "/m" else own


def number(name: str, value: float | None, units: Units, more: int = 0) -> str:
    """A value without its unit; `more` decimals than in a table."""
    own = _unit(name)
    if value is None:
        return "-"
    if own.scale and not more:
        return units.number(own.scale, value)
    places = (units.scales[own.scale].places if own.scale else own.places) + more
    text = f"{scaled(name, value, units):.{places}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def scaled(name: str, value: float, units: Units) -> float:
    """A value as a number in the reader's unit."""
    own = _unit(name)
    return value * (units.scales[own.scale].factor if own.scale else 100.0 if own.text == "%" else 1.0)


def cell(name: str, row: Mapping[str, Any], units: Units) -> str:
    """A metric of a row as it stands in a table."""
    value = row.get(name)
    return value if isinstance(value, str) else number(name, value, units)


def amount(name: str, value: float, units: Units) -> str:
    """A value with its unit, in a sentence; where its sign is a side or a way, in words."""
    ways = METRICS[name].ways
    if ways is None:
        return _plain(name, value, units)
    size = _plain(name, abs(value), units)
    return f"{size} {ways[value < 0.0]}" if float(size.split(NO_BREAK)[0]) > 0.0 else size


def spoken(name: str, value: str | float, units: Units) -> str:
    """A value as in a table, with its unit, with the way or the side in words where its sign is one."""
    if isinstance(value, str):
        return value
    if METRICS[name].ways:
        return amount(name, value, units)
    return f"{number(name, value, units)} {unit(name, units)}".rstrip()


def ends(name: str, low: float, high: float, units: Units) -> str:
    """The least and the most of a metric."""
    if METRICS[name].ways:
        return f"{amount(name, low, units)} to {amount(name, high, units)}"
    own = f" {unit(name, units)}".replace(" /", " a ").rstrip()
    return f"{number(name, low, units)} to {number(name, high, units)}{own}"


def found(name: str, value: float | str | None, units: Units) -> str:
    """What a search found, with its unit: `2.1 g to spare`, `0.25 m/s up`, `rolls over`."""
    if value is None or isinstance(value, str):
        return short(value)
    metric, own = METRICS[name], _unit(name)
    if name == SPARE_LIFT:
        size = units.text("mass", abs(value))
        return f"{size} to spare" if value >= 0 else f"it sinks with {size}"
    if metric.in_water:
        return units.depth(value)
    if metric.ways and own.scale:
        return f"{units.text(own.scale, abs(value))} {metric.ways[value < 0.0]}"
    side = f" {metric.ways[value < 0.0]}" if metric.ways and metric.trial == "float" and round(value) else ""
    value = abs(value) if metric.either_side else value
    if own.scale:
        return units.text(own.scale, value)
    if own.text == "%":
        return f"{100 * value:.0f} %"
    return f"{round(value) + 0:d} deg{side}" if own.text == "deg" else f"{value:.1f}"


def headline(word: str) -> str:
    """A behaviour without its explanation."""
    return word.split(":")[0]


def short(word: object) -> str:
    """A word of an answer without its explanation."""
    return "gives no answer" if word is None else headline(str(word))


def _plain(name: str, value: float, units: Units) -> str:
    own = _unit(name)
    if own.scale:
        return units.text(own.scale, value)
    text = spoken_unit(name, units)
    size = figures(scaled(name, value, units), own.places + 1)
    return f"{size}{NO_BREAK}{text}" if text else size


def _unit(name: str) -> KeyUnit:
    return METRICS[name].unit if name in METRICS else unit_of(name)
