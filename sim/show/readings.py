"""A reading of a log in words and units: its figure, what was measured, what the model says."""

from __future__ import annotations

from sim.show.layout import clean
from sim.show.units import Kind, Units

FIGURES: dict[str, tuple[str, Kind | str]] = {
    "budget.mass_g": ("weight", "mass"),
    "budget.displaced_ml": ("displaces", "volume"),
    "budget.margin_g": ("spare lift", "mass"),
    "budget.verdict": ("floats or sinks", ""),
    "float.pitch_deg": ("sits, nose", "deg"),
    "float.roll_deg": ("leans", "deg"),
    "float.freeboard_mm": ("shows above", "size"),
    "drop.sink_rate_m_s": ("sinks", "speed"),
    "drop.pitch_deg": ("sinks, nose", "deg"),
    "drop.motion": ("let go", ""),
    "cast.range_m": ("cast", "distance"),
    "cast.tumbles": ("turns over", ""),
    "cast.lands": ("lands", ""),
    "retrieve.behaviour": ("does", ""),
    "retrieve.depth_m": ("depth", "distance"),
    "retrieve.wobble_hz": ("wobble", "/s"),
    "retrieve.yaw_amplitude_deg": ("wobbles by", "deg"),
    "retrieve.roll_amplitude_deg": ("rocks by", "deg"),
    "retrieve.pitch_deg": ("runs, nose", "deg"),
    "retrieve.tension_n": ("pull", "force"),
    "retrieve.turns_per_m": ("turns", "/m"),
}


def named(figure: str) -> str:
    """The figure in a word or two."""
    return FIGURES.get(figure, (figure.split(".")[-1].replace("_", " "), ""))[0]


def where(tie_on: str | None, speed: float | None, units: Units) -> str:
    """The pull, or nothing."""
    if tie_on is None or speed is None:
        return ""
    return f"{clean(tie_on)} {units.number('speed', speed)}"


def number(figure: str, value: float | None, units: Units) -> str:
    """A value of a figure without its unit."""
    if value is None:
        return "-"
    kind = FIGURES.get(figure, ("", ""))[1]
    if kind in units.scales:
        scale = units.scales[kind]
        return f"{value * scale.factor:.{scale.places + (1 if kind in ('size', 'speed') else 0)}f}"
    return f"{value:.2f}" if kind in ("/s", "/m", "") else f"{value:.1f}"


def unit(figure: str, units: Units) -> str:
    """Unit of a figure."""
    kind = FIGURES.get(figure, ("", ""))[1]
    return units.scales[kind].unit if kind in units.scales else str(kind)


def told(
    figure: str, word: str | None, low: float | None, high: float | None, sd: float | None, units: Units
) -> str:
    """What was measured, with its unit: `4.20 +- 0.20 m`, `at least 25 m`, or the word."""
    if word is not None:
        return clean(word)
    end = f" {unit(figure, units)}".rstrip()
    if low is not None and low == high:
        return f"{number(figure, low, units)} +- {number(figure, sd, units)}{end}"
    if low is not None and high is not None:
        return f"{number(figure, low, units)}..{number(figure, high, units)}{end}"
    if low is not None:
        return f"at least {number(figure, low, units)}{end}"
    return f"at most {number(figure, high, units)}{end}"
