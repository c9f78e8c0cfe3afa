"""What a maker says of a lure, in words: seen at the water, measured at the bench, or wanted.

One grammar serves them all: `sank`, `floats with 3 g to spare`, `sinks 1 m in 8 s`, `landed tail first`,
`rolled over at 0.6 m/s from nose`, `wakes at 0.3..0.6 m/s`, `ran 1.1 +- 0.1 m deep at 0.9 m/s`, `does not spin`.
A statement names a figure of a trial and says what it is, between what it lies, or what it is not. Held
against a row of figures (`sim.trials.request`) it gives a misfit: 0 where it holds, else how far it is off in
steps that a maker would notice, or in its own standard deviations.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from sim.hydrostatics.verdict import SUSPENDS_WITHIN
from sim.studies.compare import NOTICED
from sim.trials.request import Pull, Request, key
from sim.trials.results import METRICS, SPARE_LIFT, WEIGHT, Behaviour, Verdict

FAR = (
    5.0  # misfit of a word that does not fit where nothing says by how much; and of an answer that is missing
)
SPOILS = (Behaviour.SPIRALS, Behaviour.SPINS, Behaviour.TUMBLES, Behaviour.ROLLS_OVER)
"""Whoever says that it wakes, and not that it rolled over, has not seen it roll over."""


class Span(NamedTuple):
    """Where a number lies: between two ends, or at one value; in the figure's own unit."""

    low: float
    high: float
    sd: float  # how sharp the ends are: 1 of misfit

    def misfit(self, value: float) -> float:
        """Signed distance out of it, in `sd`."""
        return (min(value - self.low, 0.0) + max(value - self.high, 0.0)) / self.sd

    def margin(self, value: float) -> float:
        """By how many `sd` it holds: inside of a range, or within two deviations of a reading."""
        if self.reading:
            return 2.0 - abs(self.misfit(value))
        return min(value - self.low, self.high - value) / self.sd

    @property
    def reading(self) -> bool:
        """Whether it is one value with its uncertainty, not a range."""
        return self.low == self.high


HOLDS = Span(0.0, math.inf, 1.0)
"""Where the margin of a word has to lie."""


@dataclass(frozen=True)
class Statement:
    """One thing stated: of a figure, and for a retrieve of which pulls."""

    text: str
    figure: str  # by its full name, without the pull
    span: Span | None = None
    word: str | None = None  # of a figure that is a word
    negated: bool = False
    pulls: tuple[Pull, ...] = ()
    toward: int = 0  # of what goes off, or leans, to one side: 1 to the left, -1 to the right
    doubted: bool = True  # of one value: whether it came with its own `+-`

    @property
    def within(self) -> tuple[float, float] | None:
        """Between what the figure counts as so, where it was given as one value without `+-`; else None."""
        if self.span is None or not self.span.reading or self.doubted:
            return None
        return self.span.low - 2.0 * self.span.sd, self.span.low + 2.0 * self.span.sd

    def request(self) -> Request:
        """What has to be looked at."""
        part = self.figure.split(".")[0]
        return Request((), self.pulls) if part == "retrieve" else Request((part,))

    def signals(self, row: Mapping[str, Any]) -> list[float]:
        """The number that decides, for each pull: the figure itself, or by how much the word holds.

        NaN where there is no answer. `aim` says where it has to lie.
        """
        return [self._signal(row, pull) for pull in (self.pulls or (None,))]

    @property
    def aim(self) -> Span:
        """Where its signals have to lie."""
        return self.span or HOLDS

    def misfits(self, row: Mapping[str, Any]) -> list[float]:
        """How far a row of figures is from it, for each pull: 0 holds; a number's sign is that of the error."""
        found = [FAR if math.isnan(s) else self.aim.misfit(s) for s in self.signals(row)]
        return found if self.span is not None else [abs(off) for off in found]

    def margins(self, row: Mapping[str, Any]) -> list[float]:
        """By how much it holds in each pull: negative where it does not. A reading holds within two deviations."""
        return [-FAR if math.isnan(s) else self.aim.margin(s) for s in self.signals(row)]

    def holds(self, row: Mapping[str, Any]) -> bool:
        """Whether it holds in every pull; a reading within two of its deviations."""
        most = 2.0 if self.span is not None and self.span.reading else 1e-9
        return all(abs(off) <= most for off in self.misfits(row))

    def found(self, row: Mapping[str, Any]) -> list[Any]:
        """What the row says of the figure, for each pull."""
        return [row.get(key(self.figure, pull)) for pull in (self.pulls or (None,))]

    def _signal(self, row: Mapping[str, Any], pull: Pull | None) -> float:
        if self.span is not None:
            value = row.get(key(self.figure, pull))
            if value is None:
                return math.nan
            if self.toward:
                return float(-self.toward * value)  # a lean is positive to the right
            return float(abs(value) if METRICS[self.figure].either_side else value)
        margin = _WORDS[self.figure](row, pull, str(self.word))
        if self.toward:
            offset = row.get(key("retrieve.offset_m", pull)) or 0.0
            margin = min(margin, self.toward * offset / NOTICED["retrieve.offset_m"])
        return -margin if self.negated else margin


# ---- how far a word is from holding -------------------------------------------------------------------


def _verdict_margin(row: Mapping[str, Any], pull: Pull | None, word: str) -> float:
    spare, weight = row[SPARE_LIFT], row[WEIGHT]
    near = max(SUSPENDS_WITHIN * weight, 1e-9)
    step = NOTICED[SPARE_LIFT]
    if word == Verdict.FLOATS:
        return float((spare - near) / step)
    if word == Verdict.SINKS:
        return float((-spare - near) / step)
    return float((near - abs(spare)) / step)


def _behaviour_margin(row: Mapping[str, Any], pull: Pull | None, word: str) -> float:
    """How well it holds that this was seen, and nothing that would spoil it; NaN where nothing is known."""
    margins = row.get(key("retrieve.margins", pull))
    if str(row.get(key("retrieve.behaviour", pull))) == Behaviour.BOTTOM.value:
        return 1.0 if word == Behaviour.BOTTOM.value else -FAR
    if not margins:
        return math.nan
    spoilt = [-margins[spoiler.value] for spoiler in SPOILS if word not in SPOILS]
    return float(max(min([margins[word], *spoilt]), -FAR))


def _landing_margin(row: Mapping[str, Any], pull: Pull | None, word: str) -> float:
    lead = row.get("cast.splash_pitch_deg")
    if lead is None:
        return math.nan
    return {
        "nose first": (45.0 - lead) / 15.0,
        "tail first": (lead - 135.0) / 15.0,
        "side on": min(lead - 45.0, 135.0 - lead) / 15.0,
    }[word]


def _motion_margin(row: Mapping[str, Any], pull: Pull | None, word: str) -> float:
    """A word of the drop fits or it does not; how far it is off nobody could say."""
    return 1.0 if row.get("drop.motion") == word else -1.0


_WORDS: dict[str, Callable[[Mapping[str, Any], Pull | None, str], float]] = {
    "budget.verdict": _verdict_margin,
    "retrieve.behaviour": _behaviour_margin,
    "cast.lands": _landing_margin,
    "drop.motion": _motion_margin,
}


def misfits(statements: Sequence[Statement], row: Mapping[str, Any]) -> list[float]:
    """How far a row is from all of them, statement by statement, pull by pull."""
    return [off for statement in statements for off in statement.misfits(row)]
