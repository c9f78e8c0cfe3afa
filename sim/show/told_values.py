"""Single figures as `remedy` tells them in a sentence: what each is called, and its value with its unit."""

from __future__ import annotations

from sim.show.builds import WAYS
from sim.show.units import Units
from sim.studies.redesign.proposals import EITHER_SIDE

NUMBERS: dict[str, tuple[str, str]] = {  # figure -> what it is called, and its kind or plain unit
    "budget.mass_g": ("weight", "mass"),
    "budget.displaced_ml": ("what it displaces", "volume"),
    "budget.margin_g": ("spare lift", "mass"),
    "float.pitch_deg": ("nose up as it sits", "deg"),
    "float.roll_deg": ("lean as it sits", "deg"),
    "float.immersed_fraction": ("share under water", "%"),
    "float.freeboard_mm": ("what shows above water", "size"),
    "drop.sink_rate_m_s": ("sink rate", "speed"),
    "drop.pitch_deg": ("nose up as it sinks", "deg"),
    "drop.glide_deg": ("glide as it sinks", "deg"),
    "cast.range_m": ("cast", "distance"),
    "cast.tumbles": ("turns in the air", ""),
    "retrieve.depth_m": ("depth", "distance"),
    "retrieve.pitch_deg": ("nose up", "deg"),
    "retrieve.roll_deg": ("lean", "deg"),
    "retrieve.roll_amplitude_deg": ("roll either way", "deg"),
    "retrieve.yaw_amplitude_deg": ("swing either way", "deg"),
    "retrieve.wobble_hz": ("wobbles a second", ""),
    "retrieve.turns_per_m": ("turns a metre", ""),
    "retrieve.offset_m": ("place to one side", "distance"),
    "retrieve.tension_n": ("pull on the line", "force"),
}


def value(figure: str, found: float | str | None, units: Units) -> str:
    """A figure with its unit, as in a sentence."""
    if found is None:
        return "no answer"
    if isinstance(found, str):
        return short(found)
    kind = NUMBERS[figure][1]
    side = f" {WAYS[figure][found < 0.0]}" if figure == "float.roll_deg" and round(found) else ""
    found = abs(found) if figure in EITHER_SIDE else found
    if figure == "budget.margin_g":
        size = units.text("mass", abs(found))
        return f"{size} to spare" if found >= 0 else f"it sinks with {size}"
    if figure == "drop.sink_rate_m_s":
        return f"{units.text('speed', abs(found))} {'down' if found >= 0 else 'up'}"
    if kind == "distance":
        return units.depth(found) if figure == "retrieve.depth_m" else units.text("distance", found)
    if kind in units.scales:
        return units.text(kind, found)
    if kind == "%":
        return f"{100 * found:.0f} %"
    return f"{round(found) + 0:d} deg{side}" if kind == "deg" else f"{found:.1f}"


def short(word: object) -> str:
    """A word of an answer without its explanation."""
    return "gives no answer" if word is None else str(word).split(":")[0]
