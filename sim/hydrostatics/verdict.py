"""Floats, suspends or sinks: the one rule that every trial shares; and the words for a rest without preference."""

from __future__ import annotations

from enum import StrEnum


class Verdict(StrEnum):
    """What the weight and volume budget says."""

    FLOATS = "floats"
    SUSPENDS = "suspends"
    SINKS = "sinks"
    UNKNOWN = "cannot be told"  # where readings exclude each other


class Turns(StrEnum):
    """In which ways a rest has no preference."""

    NOT = "it keeps its attitude"
    AXIS = "it turns freely about its long axis"
    ANY = "it stays at any attitude"


SUSPENDS_WITHIN = 0.001
"""Largest margin, as a share of the weight, at which a lure is said to suspend. Judgement: 0.02 g on a 20 g
lure is less than a wet knot, and a lure so near the water's density moves about a centimetre a second."""


def verdict(mass: float, volume: float, density: float) -> Verdict:
    """What a lure does when let go under water.

    Args:
        mass: whole weight in air (kg).
        volume: displaced when wholly under (m3).
        density: of the water (kg/m3).
    """
    margin = density * volume - mass
    if abs(margin) <= SUSPENDS_WITHIN * mass:
        return Verdict.SUSPENDS
    return Verdict.FLOATS if margin > 0.0 else Verdict.SINKS
