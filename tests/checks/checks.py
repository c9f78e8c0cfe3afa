"""What an outside check is: one figure of the simulator beside one from elsewhere.

A check is data plus a function that asks the simulator's own code. A known miss is marked with its measured
error (`misses.py`); when the error moves, for better or worse, the check fails until the mark is moved, so
that the published score is never older than the code. A value known only from memory gates nothing, unless
another library, run live, confirms it.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cache
from importlib import import_module

from tests.checks.misses import MISSES

Figure = float | bool | str

SUBJECTS = (
    "added_mass",
    "munk",
    "drag",
    "askew",
    "plates",
    "hydrostatics",
    "media",
    "projectile",
    "line",
    "surface",
    "shedding",
    "rigid_body",
    "falling",
    "measured",
    "entry",
    "materials",
    "meshes",
    "plain_units",
)
"""Modules of this folder that hold a `SUBJECT`, in the order of the page."""


class Status(StrEnum):
    """How far the outside value itself can be trusted."""

    EXACT = "exact"  # closed form, or a digit-by-digit evaluation of one
    LIBRARY = "library"  # computed with the named library
    MEASURED = "measured"  # a measured body: the authors' own data or a published text, named beside it
    PUBLISHED = "published"  # confirmed in a published text
    MEMORY = "memory"  # remembered; gates nothing unless confirmed live
    TANK = "own tank"  # large-eddy simulation of our own; gates nothing


class Verdict(StrEnum):
    """How a check came out."""

    INSIDE = "inside"
    MISS = "known miss"
    SHOWN = "shown only"
    BROKEN = "BROKEN"


@dataclass(frozen=True)
class Tolerance:
    """Largest error that counts as agreement: a share of the published figure, or an amount of it."""

    size: float
    relative: bool

    def error(self, published: Figure, ours: Figure) -> float:
        """Signed error in the tolerance's own terms; for words and yes or no, 0 if alike and 1 if not."""
        if isinstance(published, bool | str) or isinstance(ours, bool | str):
            return float(published != ours)
        return (ours - published) / published if self.relative else ours - published

    def amount(self, published: float) -> float:
        """The tolerance as an amount of a published figure."""
        return abs(published) * self.size if self.relative else self.size


SAME = Tolerance(0.0, relative=False)  # a regime, yes or no


def percent(size: float) -> Tolerance:
    """A share of the published figure, in per cent."""
    return Tolerance(size / 100.0, relative=True)


def relative(size: float) -> Tolerance:
    """A share of the published figure."""
    return Tolerance(size, relative=True)


def absolute(size: float) -> Tolerance:
    """An amount, in the unit of the figure."""
    return Tolerance(size, relative=False)


@dataclass(frozen=True)
class Check:
    """One figure of the simulator against one from outside.

    `published` may be a function, when another library computes it live. `confirmed` is such a function that
    stands by a value from memory. `expected_miss` is the measured error of a known miss, in the terms of the
    tolerance.
    """

    what: str
    source: str
    status: Status
    published: Figure | Callable[[], Figure]
    tolerance: Tolerance
    ours: Callable[[], Figure]
    unit: str = ""
    confirmed: Callable[[], Figure] | None = None
    expected_miss: float | None = None

    def __post_init__(self) -> None:
        if self.expected_miss is not None and not self.gates:
            raise ValueError(
                f"{self.what}: a value from memory or from our own tank gates nothing, so it cannot be missed"
            )

    @property
    def gates(self) -> bool:
        """Whether a wrong figure fails the tests."""
        return self.status not in (Status.MEMORY, Status.TANK) or self.confirmed is not None


@dataclass
class Subject:
    """The checks of one file, in the order they are written down."""

    title: str
    about: str
    open: tuple[str, ...] = ()  # what is not checked, and why
    checks: list[Check] = field(default_factory=list)

    def check(
        self,
        what: str,
        *,
        source: str,
        status: Status,
        published: Figure | Callable[[], Figure],
        tolerance: Tolerance,
        unit: str = "",
        confirmed: Callable[[], Figure] | None = None,
    ) -> Callable[[Callable[[], Figure]], Callable[[], Figure]]:
        """Write down a check of the function that follows; it takes nothing and returns our figure."""

        def add(ours: Callable[[], Figure]) -> Callable[[], Figure]:
            mark = MISSES.get(what)
            self.checks.append(Check(what, source, status, published, tolerance, ours, unit, confirmed, mark))
            return ours

        return add


@dataclass(frozen=True)
class Outcome:
    """A check with its figures. `problem` is the sentence a broken one ends the tests with."""

    check: Check
    published: Figure
    ours: Figure
    error: float
    verdict: Verdict
    problem: str = ""

    @property
    def inside(self) -> bool:
        """Whether the error is inside the tolerance, whatever was expected."""
        return abs(self.error) <= self.check.tolerance.size


@cache
def outcome(check: Check) -> Outcome:
    """Work a check out; once in a process, however often it is asked for."""
    published = check.published() if callable(check.published) else check.published
    ours = check.ours()
    error = check.tolerance.error(published, ours)
    size, mark = check.tolerance.size, check.expected_miss
    inside = abs(error) <= size
    verdict, problem = Verdict.BROKEN, ""
    if not check.gates:
        verdict = Verdict.SHOWN
    elif check.confirmed is not None and not (
        abs(check.tolerance.error(published, confirmation := check.confirmed())) <= size
    ):
        problem = f"the remembered value {published} is not confirmed: the library gives {confirmation}"
    elif mark is None and inside:
        verdict = Verdict.INSIDE
    elif mark is None:
        problem = f"ours is {ours}, published {published}: error {error:.3g} against {size:.3g}"
    elif inside:
        problem = f"marked as a miss of {mark:.3g}, now inside with {error:.3g}: take the mark away"
    elif not abs(error - mark) <= max(0.1 * abs(mark), 0.1 * size):
        problem = f"marked as a miss of {mark:.3g}, now {error:.3g}: find out why and move the mark"
    else:
        verdict = Verdict.MISS
    return Outcome(check, published, ours, error, verdict, problem)


@cache
def subjects() -> tuple[Subject, ...]:
    """Every subject, its checks written down."""
    return tuple(import_module(f"tests.checks.{name}").SUBJECT for name in SUBJECTS)


def digits(value: float, step: float) -> str:
    """A figure with no more digits than `step` warrants, so that round-off of one machine does not show."""
    if not math.isfinite(value):
        return str(value)
    if abs(value) < 0.5 * step:
        return "0"
    places = min(max(1 + math.floor(math.log10(abs(value))) - math.floor(math.log10(step)), 1), 12)
    return f"{value:.{places}g}"
