"""What is known of a quantity besides its value: unit, words, rounding, what change is noticed, how far to trust it.

A quantity is declared once, as a field of its trial's result (`sim.trials.results`): `metric` takes what pydantic's
`Field` would, and its account. The ending of the key is its unit. Every table, sentence, file and study reads this
account through `sim.trials.results.METRICS`, by its full name: `drop.glide_deg`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from enum import Flag, StrEnum, auto
from functools import cached_property
from typing import Any, Literal, NamedTuple

from pydantic import BaseModel, Field

Scale = Literal["mass", "volume", "size", "distance", "speed", "force"]
"""Quantities that a reader may want in other units: g, mL, mm, m, m/s, N as the results have them."""


class KeyUnit(NamedTuple):
    """What the ending of a key says."""

    text: str
    dimension: str  # of `sim.units`
    factor: float  # value of the field = factor * SI
    places: int = 2  # decimals in a table
    scale: Scale | None = None


_ENDINGS = {  # the longer ending first
    "_kg_m3": KeyUnit("kg/m3", "density", 1.0, 0),
    "_g_cm2": KeyUnit("g cm2", "", 1e7, 1),
    "_cm_s": KeyUnit("cm/s", "speed", 100.0),
    "_ft_s": KeyUnit("ft/s", "speed", 1 / 0.3048),
    "_m_s": KeyUnit("m/s", "speed", 1.0, 2, "speed"),
    "seconds_per_m": KeyUnit("s", "time", 1.0, 1),
    "seconds_per_ft": KeyUnit("s", "time", 1.0, 1),
    "_per_m": KeyUnit("/m", "factor", 1.0, 1),
    "_g_kg": KeyUnit("g/kg", "salinity", 1.0, 1),
    "_hz": KeyUnit("/s", "factor", 1.0, 1),
    "_deg": KeyUnit("deg", "angle", 180.0 / math.pi, 0),
    "_fraction": KeyUnit("%", "factor", 1.0, 0),
    "_mm": KeyUnit("mm", "length", 1e3, 1, "size"),
    "_ml": KeyUnit("mL", "volume", 1e6, 2, "volume"),
    "_g": KeyUnit("g", "mass", 1e3, 2, "mass"),
    "_m": KeyUnit("m", "length", 1.0, 2, "distance"),
    "_s": KeyUnit("s", "time", 1.0, 1),
    "_n": KeyUnit("N", "force", 1.0, 2, "force"),
    "_c": KeyUnit("C", "temperature", 1.0, 1),
}
_NUMBER = KeyUnit("", "factor", 1.0, 0)


def unit_of(key: str) -> KeyUnit:
    """The unit that a key ends in.

    >>> unit_of("splash_speed_m_s").text, unit_of("spare_g").dimension, unit_of("tumbles").text
    ('m/s', 'mass', '')
    """
    return next((unit for ending, unit in _ENDINGS.items() if key.endswith(ending)), _NUMBER)


# ---- standing: how far a value can be trusted ---------------------------------------------------------


class Confidence(StrEnum):
    """How far a value can be trusted, for the sizes and weights that were given."""

    EXACT = "exact"
    CHECKED = "checked"
    INDICATIVE = "indicative"


_ORDER = tuple(Confidence)

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
"""What the subjects of `tests/checks` earn; a test works it out again from the checks. `exact`: all agree within two
per cent; `checked`: at least 85 in 100 are inside their tolerance; else `indicative`."""


class Cover(NamedTuple):
    """Subjects of the checks that a quantity hangs on, and whether a check tries it from end to end."""

    subjects: tuple[str, ...]
    tried: bool

    @property
    def confidence(self) -> Confidence:
        """The lowest grade of its subjects, and never more than indicative where no check tries it."""
        if not self.tried:
            return Confidence.INDICATIVE
        return max((GRADES[subject] for subject in self.subjects), key=_ORDER.index)


def tried(*subjects: str) -> Cover:
    """Covered from end to end."""
    return Cover(subjects, True)


def untried(*subjects: str) -> Cover:
    """Only its parts are covered."""
    return Cover(subjects, False)


# ---- the account --------------------------------------------------------------------------------------


class Use(Flag):
    """Where a quantity appears besides its own trial."""

    NONE = 0
    RUNS = auto()  # files and tables of many runs: compare, vary, map
    BUILDS = auto()  # rows of a study that decides something: tolerance, explain, remedy, calibrate
    SPREAD = auto()  # its percentiles over many builds
    CAUSES = auto()  # what its spread comes from
    BUILDS_PAGE = auto()  # the page of many builds; the file has all
    RUNS_PAGE = auto()  # the page of many runs; the file has all
    PICTURE = auto()  # the picture of spreads
    OUTCOME = auto()  # drawn against what was changed


ROWS = Use.RUNS | Use.BUILDS
NUMBER = ROWS | Use.SPREAD
MAIN = NUMBER | Use.CAUSES | Use.BUILDS_PAGE | Use.RUNS_PAGE


class Sharp(NamedTuple):
    """Standard deviation of a number that a maker gives without `+-`: what eye, scale and watch are good for."""

    least: float
    share: float  # of the value

    def of(self, value: float) -> float:
        """For one value."""
        return max(self.least, self.share * abs(value))


A_TENTH = Sharp(0.0, 0.1)


@dataclass(frozen=True)
class Metric:
    """The account of one quantity that a trial yields. Numbers are in the unit of its key."""

    noun: str  # in a sentence: "sink rate"
    head: str = ""  # over a narrow column
    title: str = ""  # over a table's row or a picture, with what its sign means
    uses: Use = ROWS
    word: bool = False  # its value is a word, not a number
    noticed: float | None = None  # least difference that a maker would notice. Judgement
    sharp: Sharp = A_TENTH
    gross: float | None = None  # a reading off by less is no slip of unit or decimal point. Judgement
    positive: bool = False  # nothing else makes sense
    either_side: bool = False  # chance picks the side, so only its size counts
    in_water: bool = False  # a distance in water: in the small unit where that reads better
    ways: tuple[str, str] | None = None  # what a positive and a negative value mean: "down", "up"
    cover: Cover | None = None
    name: str = ""  # `trial.key`; this and what follows is filled in from the field
    description: str = ""

    @cached_property
    def trial(self) -> str:
        """The trial that yields it."""
        return self.name.partition(".")[0]

    @cached_property
    def key(self) -> str:
        """The field of the result."""
        return self.name.partition(".")[2]

    @property
    def unit(self) -> KeyUnit:
        """Its unit, by the ending of its key."""
        return unit_of(self.key)

    @property
    def heading(self) -> str:
        """Title, or else the noun with a capital letter."""
        return self.title or f"{self.noun[:1].upper()}{self.noun[1:]}"


def metric(
    description: str,
    noun: str,
    head: str = "",
    title: str = "",
    uses: Use = ROWS,
    *,
    default: Any = ...,
    default_factory: Callable[[], Any] | None = None,
    **account: Any,
) -> Any:
    """A field of a result with its account; `account` is what else a `Metric` takes."""
    field = (
        Field(default, description=description)
        if default_factory is None
        else Field(default_factory=default_factory, description=description)
    )
    field.metadata.append(Metric(noun, head, title, uses, **account))
    return field


def declared(trial: str, result: type[BaseModel]) -> dict[str, Metric]:
    """The metrics of a trial by full name, in the order of the fields of its result type."""
    found = {}
    for key, field in result.model_fields.items():
        for own in field.metadata:
            if isinstance(own, Metric):
                name = f"{trial}.{key}"
                found[name] = replace(own, name=name, description=field.description or "")
    return found


def named(metrics: Mapping[str, Metric], trial: str, use: Use) -> tuple[str, ...]:
    """Keys of a trial's metrics that have one of these uses, in their order."""
    return tuple(m.key for m in metrics.values() if m.trial == trial and use & m.uses)


def confidences(metrics: Iterable[Metric], trial: str) -> dict[str, Confidence]:
    """How far each quantity of a trial that checks cover can be trusted, by key."""
    return {m.key: m.cover.confidence for m in metrics if m.trial == trial and m.cover is not None}
