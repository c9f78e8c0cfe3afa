"""Suspects in a maker's words: what must be so, and what to do to know."""

from __future__ import annotations

from sim.coefficients import COEFFICIENTS
from sim.design.priors import MODEL
from sim.studies.diagnosis.suspect import Suspect
from sim.trials.measuring import measurement

CALIBRATE = "Log what your tests show and calibrate the model (`drytank log`, `drytank calibrate`)"


def test_of(suspect: Suspect) -> str:
    """What to do to know whether it is so, without a full stop."""
    if suspect.tells:
        return suspect.tells
    return CALIBRATE if suspect.kind == "model" else measurement(suspect.name)


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


def says(suspect: Suspect, x: float) -> str:
    """What must be so, in words and without the numbers."""
    if suspect.uncertain is None:
        return suspect.words
    if suspect.kind == "model":
        name = suspect.name.removeprefix(MODEL)
        weak = "weak" if x > 0.0 else "strong"
        return f"the model has too {weak} a hand in one force ({name}: {COEFFICIENTS[name].does})"
    steps = suspect.name.split(".")
    subject = ".".join(step for step in steps[:-1] if step not in _GROUPS)
    if suspect.name == "cast.angle":
        return "the cast was higher than told" if x > 0.0 else "the cast was flatter than told"
    if subject in ("cast", "retrieve", "water", "line"):
        subject = f"the {subject}"
    if steps[-1] == "back" and "stations" in steps:
        return f"{subject} is {'longer' if x > 0.0 else 'shorter'} than told"
    more, less = _MORE_LESS.get(
        steps[-1], (f"has more {steps[-1]} than told", f"has less {steps[-1]} than told")
    )
    return f"{subject} {more if x > 0.0 else less}"
