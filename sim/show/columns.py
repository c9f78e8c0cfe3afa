"""Figures of a study as columns: head, unit, number, and their words in a sentence."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sim.show.builds import WAYS, amount
from sim.show.document import Column
from sim.show.units import Kind, Units
from sim.studies.compare import WORDS

COLUMNS: dict[str, tuple[str, Kind | str, str]] = {  # figure -> head, kind or plain unit, words in a sentence
    "budget.mass_g": ("Weight", "mass", "weight"),
    "budget.displaced_ml": ("Displaces", "volume", "displaced"),
    "budget.margin_g": ("Spare", "mass", "spare lift"),
    "budget.verdict": ("Verdict", "", "verdict"),
    "float.pitch_deg": ("Sits\nnose", "deg", "sits nose up"),
    "float.roll_deg": ("Sits\nroll", "deg", "sits leaning"),
    "float.immersed_fraction": ("Under\nwater", "%", "share under water"),
    "drop.sink_rate_m_s": ("Sinks\n(- up)", "speed", "sink rate"),
    "drop.pitch_deg": ("Sinks\nnose", "deg", "nose as it sinks"),
    "drop.glide_deg": ("Glide", "deg", "glide"),
    "drop.motion": ("Let go, it", "", "motion let go"),
    "cast.range_m": ("Cast", "distance", "cast"),
    "cast.tumbles": ("Tumbles", "turns", "tumbling in the air"),
    "cast.lands": ("Lands", "", "landing"),
    "retrieve.behaviour": ("It", "", "what it does"),
    "retrieve.depth_m": ("Depth", "distance", "depth"),
    "retrieve.pitch_deg": ("Nose", "deg", "nose"),
    "retrieve.roll_deg": ("Leans\n(+ right)", "deg", "lean"),
    "retrieve.roll_amplitude_deg": ("Roll", "deg", "roll either way"),
    "retrieve.yaw_amplitude_deg": ("Yaw", "deg", "yaw either way"),
    "retrieve.wobble_hz": ("Wobble", "/s", "wobble rate"),
    "retrieve.turns_per_m": ("Turns", "/m", "turns about the line"),
    "retrieve.offset_m": ("To left", "distance", "place to the side"),
    "retrieve.tension_n": ("Pull", "force", "pull on the line"),
}


def column(name: str, units: Units, roomy: bool = False) -> Column:
    """The head of a figure's column, with its unit."""
    return Column(COLUMNS[name][0], unit(name, units), number=name not in WORDS, roomy=roomy)


def words(name: str) -> str:
    """What a figure is called in a sentence."""
    return COLUMNS[name][2]


def unit(name: str, units: Units) -> str:
    """Unit of a figure, or nothing."""
    kind = COLUMNS[name][1]
    return units.unit(kind) if kind in units.scales else kind


def cell(name: str, figures: Mapping[str, Any], units: Units) -> str:
    """A figure as it stands in a table."""
    value = figures.get(name)
    return "-" if value is None else value if isinstance(value, str) else number(name, value, units)


def number(name: str, value: float, units: Units) -> str:
    """A figure without its unit."""
    kind = COLUMNS[name][1]
    if kind in units.scales:
        return units.number(kind, value)
    places = 1 if kind in ("/s", "/m") else 0
    text = f"{100 * value if kind == '%' else value:.{places}f}"
    return text.lstrip("-") if float(text) == 0 else text


def said(name: str, value: str | float, units: Units) -> str:
    """A figure with its unit, with the way or the side in words where its sign is one."""
    if isinstance(value, str):
        return value
    if name in WAYS:
        return amount(name, value, units)
    return f"{number(name, value, units)} {unit(name, units)}".rstrip()


def ends(name: str, low: float, high: float, units: Units) -> str:
    """The least and the most of a figure."""
    if name in WAYS:
        return f"{amount(name, low, units)} to {amount(name, high, units)}"
    own = f" {unit(name, units)}".replace(" /", " a ").rstrip()
    return f"{number(name, low, units)} to {number(name, high, units)}{own}"
