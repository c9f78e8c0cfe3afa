"""Suspects in a maker's words: what must be so, from what to what, and what to do to know."""

from __future__ import annotations

from sim.coefficients import COEFFICIENTS
from sim.design.priors import MODEL
from sim.show import inputs
from sim.show.measurement import measurement
from sim.show.units import NO_BREAK, Units
from sim.studies.diagnosis.explanation import CauseFound
from sim.studies.diagnosis.suspect import Mishap, Moved

CALIBRATE = "Log what your tests show and calibrate the model (`drytank log`, `drytank calibrate`)"
MISHAPS = {
    Mishap.PLACED: "it was put elsewhere than drawn",
    Mishap.BENT: "the eye is bent",
    Mishap.SET: "it was set at another angle, or slipped",
    Mishap.TURNED: "it sits turned in its slot",
    Mishap.SPOOL: "another line was on the spool",
    Mishap.SOAKED: "it has taken up water: not sealed",
    Mishap.LEAK: "water has got in",
}
_SLIPS = {  # what a slip is, of which part, and what to do to know
    "water": ("{form} water", "Find out how salt the water you fish is"),
    "hook_size": ("hook.{part} of another size", "Weigh the hook that hangs there"),
    "ballast_weight": (
        "ballast.{part} of another weight", "Weigh the whole lure: is it as heavy as `drytank budget` says?",
    ),
    "counted_from_tail": (
        "ballast.{part} placed from the tail, not from the nose", "Lay the lure on an edge: where does it balance?",
    ),
    "soaked": ("body.{part} has taken up water: not sealed", "Weigh it dry and again after an hour in water"),
    "leak": ("water in body.{part}", "Shake it; weigh it before and after"),
    "cavity": (
        "what body.{part} displaces was written as its cavity",
        "Fill it with water and weigh that (`drytank measure cavity`)",
    ),
    "eyes": ("{one} and {other} mixed up", "Look which eye the line is tied to"),
    "hooks_not_weighed": ("the whole was weighed without its hooks", "Weigh the lure with its hooks on"),
}  # fmt: skip
_BECOMES = {  # by the form of a slip
    "salt": "fresh -> salt water",
    "fresh": "salt -> fresh water",
    "larger": "a size larger, {was} -> {to}",
    "smaller": "a size smaller, {was} -> {to}",
    "twice": "{was} -> {to}, put in twice",
    "half": "{was} -> {to}, half of it",
    "left out": "{was} left out",
    "leak": "{share} of its hollow full of water",
    "swapped": "tied to {other} where {one} is said, and the other way round",
    "": "{was} -> {to}",
}


def is_slip(cause: CauseFound) -> bool:
    """Whether it is no input, but something that was done wrong."""
    return cause.name.startswith("slip.")


def name(cause: CauseFound) -> str:
    """What it is called in a table."""
    return says(cause) if is_slip(cause) else cause.name


def how_to_know(cause: CauseFound) -> str:
    """What to do to know whether it is so, as a sentence."""
    if is_slip(cause):
        text = _SLIPS[cause.name.split(".")[1]][1]
    else:
        text = CALIBRATE if cause.name.startswith(MODEL) else measurement(cause.name)
    return text if text.endswith("?") else f"{text}."


def was(cause: CauseFound, units: Units) -> str:
    """Its value as designed; nothing of a slip."""
    return "" if is_slip(cause) else _value(cause.moved, cause.moved.was_si, units)


def flips_at(cause: CauseFound, units: Units) -> str:
    """The value from which on the prediction is what was observed; nothing where there is none."""
    return "" if cause.flips_at_si is None else _value(cause.moved, cause.flips_at_si, units)


def becomes(cause: CauseFound, units: Units) -> str:
    """The value that it would have to have, or what the slip made of it."""
    moved = cause.moved
    if not is_slip(cause):
        return _value(moved, moved.to_si, units)
    back = " back" if cause.name.startswith("slip.counted_from_tail.") else ""
    return _BECOMES[moved.form].format(
        was=_value(moved, moved.was_si, units), to=_value(moved, moved.to_si, units),
        share=f"{100 * (moved.to_si or 0.0):.0f}{NO_BREAK}%", **_parts(cause),
    ) + back  # fmt: skip


def _value(moved: Moved, si: float | None, units: Units) -> str:
    return "" if si is None or moved.dimension == "share" else inputs.value(si, moved.dimension, units)


def _parts(cause: CauseFound) -> dict[str, str]:
    part = cause.name.split(".", 2)[2] if cause.name.count(".") > 1 else ""
    one, _, other = part.partition(".")
    return {"part": part, "one": one, "other": other}


def sentence(cause: CauseFound, units: Units) -> str:
    """What must be so, and what to do to know."""
    to = becomes(cause, units)
    moved = f" ({to})" if is_slip(cause) else f": {to} instead of {was(cause, units)}"
    return f"{says(cause)}{moved}. {how_to_know(cause)}"


_MORE_LESS = {  # last step of a path -> what it is if there is more of it, if there is less
    "density": ("is heavier than told", "is lighter than told"),
    "fill_density": ("is filled heavier than told", "is filled lighter than told"),
    "weight": ("is heavier than told", "is lighter than told"),
    "length": ("is longer than told", "is shorter than told"),
    "width": ("is wider than told", "is narrower than told"),
    "height": ("is taller than told", "is lower than told"),
    "thickness": ("is thicker than told", "is thinner than told"),
    "diameter": ("is thicker than told", "is thinner than told"),
    "wall": ("has a thicker wall than told", "has a thinner wall than told"),
    "size": ("is larger than told", "is smaller than told"),
    "cavity": ("holds more than told", "holds less than told"),
    "fullness": ("is fuller than the shape told", "is leaner than the shape told"),
    "displaced": ("displaces more than told", "displaces less than told"),
    "back": ("sits farther back than told", "sits farther forward than told"),
    "up": ("sits higher than told", "sits lower than told"),
    "left": ("sits too far to the left", "sits too far to the right"),
    "angle": ("is set steeper than told", "is set flatter than told"),
    "skew": ("is turned to the left", "is turned to the right"),
    "temperature": ("is warmer than told", "is colder than told"),
    "salinity": ("is salter than told", "is less salt than told"),
    "speed": ("was faster than told", "was slower than told"),
    "tip": ("had the rod tip higher than told", "had the rod tip lower than told"),
    "balance": ("balances farther back than told", "balances farther forward than told"),
}
_GROUPS = ("at", "root", "start", "end", "front", "rear", "stations", "side", "top")


def says(cause: CauseFound) -> str:
    """What must be so, in words and without the numbers."""
    if is_slip(cause):
        return _SLIPS[cause.name.split(".")[1]][0].format(form=cause.moved.form, **_parts(cause))
    more = (cause.moved.to_si or 0.0) > (cause.moved.was_si or 0.0)
    if cause.name.startswith(MODEL):
        coefficient = cause.name.removeprefix(MODEL)
        weak = "weak" if more else "strong"
        return (
            f"the model has too {weak} a hand in one force ({coefficient}: {COEFFICIENTS[coefficient].does})"
        )
    steps = cause.name.split(".")
    subject = ".".join(step for step in steps[:-1] if step not in _GROUPS)
    if cause.name == "cast.angle":
        return "the cast was higher than told" if more else "the cast was flatter than told"
    if subject in ("cast", "retrieve", "water", "line"):
        subject = f"the {subject}"
    if steps[-1] == "back" and "stations" in steps:
        return f"{subject} is {'longer' if more else 'shorter'} than told"
    above, below = _MORE_LESS.get(
        steps[-1], (f"has more {steps[-1]} than told", f"has less {steps[-1]} than told")
    )
    return f"{subject} {above if more else below}"
