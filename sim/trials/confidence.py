"""How far each figure can be trusted, in a word, by the outside checks that cover it.

A figure hangs on subjects of `tests/checks`. Each subject has a grade, which a test works out again from its checks:
`exact` when all agree within two per cent, `checked` when at least 85 in 100 are inside their tolerance, else
`indicative`. A figure gets the lowest grade of its subjects, and never more than `indicative` when no check tries it
from end to end, whatever its parts may be worth.
"""

from __future__ import annotations

from enum import StrEnum
from typing import NamedTuple


class Confidence(StrEnum):
    """How far a figure can be trusted, for the sizes and weights that were given."""

    EXACT = "exact"
    CHECKED = "checked"
    INDICATIVE = "indicative"


ORDER = tuple(Confidence)

GRADES: dict[str, Confidence] = {
    "added_mass": Confidence.CHECKED,
    "munk": Confidence.EXACT,
    "drag": Confidence.CHECKED,
    "plates": Confidence.CHECKED,
    "hydrostatics": Confidence.CHECKED,
    "media": Confidence.EXACT,
    "projectile": Confidence.EXACT,
    "line": Confidence.CHECKED,
    "surface": Confidence.CHECKED,
    "shedding": Confidence.EXACT,
    "rigid_body": Confidence.EXACT,
    "falling": Confidence.INDICATIVE,
    "meshes": Confidence.EXACT,
}
"""What the subjects of `tests/checks` earn; held to them by a test."""


class Cover(NamedTuple):
    """Subjects that a figure hangs on, and whether a check tries the figure itself from end to end."""

    subjects: tuple[str, ...]
    tried: bool


COVER: dict[str, dict[str, Cover]] = {
    "budget": {
        "mass_g": Cover(("meshes",), True),
        "displaced_ml": Cover(("meshes",), True),
        "margin_g": Cover(("meshes", "media"), True),
    },
    "float": {
        "pitch_deg": Cover(("hydrostatics", "media"), True),
        "roll_deg": Cover(("hydrostatics", "media"), True),
        "immersed_fraction": Cover(("hydrostatics", "media"), True),
    },
    "drop": {
        "sink_rate_m_s": Cover(("drag", "media", "added_mass"), True),
        "pitch_deg": Cover(("drag", "plates", "munk", "falling"), True),
        "motion": Cover(("falling", "plates", "shedding", "munk"), True),
    },
    "cast": {
        "range_m": Cover(("projectile", "drag"), False),
        "flight_time_s": Cover(("projectile", "drag"), False),
        "tumbles": Cover(("falling", "drag"), False),
    },
    "retrieve": {
        "behaviour": Cover(("plates", "surface", "shedding", "munk"), False),
        "depth_m": Cover(("line", "plates", "drag"), False),
        "pitch_deg": Cover(("plates", "munk", "drag"), False),
        "roll_amplitude_deg": Cover(("shedding", "plates"), False),
        "yaw_amplitude_deg": Cover(("shedding", "plates"), False),
        "wobble_hz": Cover(("shedding",), False),
        "tension_n": Cover(("line", "drag", "plates"), False),
    },
}


def word(answer: str, figure: str) -> Confidence:
    """The confidence in one figure of one answer."""
    cover = COVER[answer][figure]
    if not cover.tried:
        return Confidence.INDICATIVE
    return max((GRADES[subject] for subject in cover.subjects), key=ORDER.index)


def words(answer: str) -> dict[str, Confidence]:
    """The confidence in every covered figure of an answer."""
    return {figure: word(answer, figure) for figure in COVER[answer]}
