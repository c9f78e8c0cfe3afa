"""The questions of a study of many builds: those with a word for an answer, and the numbers that matter.

Behind every word stands a number that decides it (spare lift behind `floats`, the margin of its rule behind
`dives`); what causes the spread of that number causes the doubt in the word.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.metrics import Use, named
from sim.studies.ensemble import Ensemble, Figures
from sim.studies.statements import Statement
from sim.trials.request import RETRIEVE, Pull, Request, key
from sim.trials.results import METRICS, SPARE_LIFT

FARTHEST = 3.0  # margins of behaviours are cut here: beyond, it is no nearer to another word
HOLDS, NOT = "it does", "it does not"


@dataclass(frozen=True)
class Question:
    """One question that a word answers."""

    part: str  # budget, drop, cast or retrieve
    figure: str  # of the word, as `request` names it
    pull: Pull | None = None
    statement: Statement | None = None  # a maker's own question, answered by `HOLDS` or `NOT`

    @property
    def name(self) -> str:
        """What tells it from all others."""
        return self.statement.text if self.statement else key(self.figure, self.pull)

    def answer(self, row: Figures) -> str:
        """The word for one build."""
        if self.statement is not None:
            return HOLDS if self.statement.holds(row) else NOT
        return str(row.get(key(self.figure, self.pull)))

    def answers(self, ensemble: Ensemble) -> list[str]:
        """The word of every build."""
        return [self.answer(row) for row in ensemble.rows]

    def decider(self, ensemble: Ensemble, word: str) -> NDArray[np.float64]:
        """The number (builds,) that decides whether `word` is the answer; where there is none, 1 or 0."""
        if self.statement is None:
            return _decider(ensemble, self.figure, word, self.pull)
        # of several pulls the one that comes nearest to failing
        return np.array([min(self.statement.signals(row)) for row in ensemble.rows])


def questions(request: Request, about: Sequence[Statement] = ()) -> list[Question]:
    """All that is answered by a word, a maker's own questions first."""
    out = [Question(one.figure.split(".")[0], one.figure, statement=one) for one in about]
    for part, name in (("budget", "verdict"), ("drop", "motion"), ("cast", "lands")):
        if part in request.parts:
            out.append(Question(part, f"{part}.{name}"))
    return out + [Question("retrieve", "retrieve.behaviour", pull) for pull in request.pulls]


def numbers(request: Request) -> list[tuple[str, Pull | None]]:
    """Every metric whose percentiles are given, and of which pull."""
    still = [(f"{part}.{name}", None) for part in request.parts for name in named(METRICS, part, Use.SPREAD)]
    pulled = named(METRICS, RETRIEVE, Use.SPREAD)
    return [*still, *((f"{RETRIEVE}.{name}", pull) for pull in request.pulls for name in pulled)]


def matters(ensemble: Ensemble, figure: str, pull: Pull | None) -> bool:
    """Whether a maker would notice the spread of a figure: its builds differ by more than a noticeable step."""
    metric = METRICS[figure]
    if Use.CAUSES not in metric.uses or metric.noticed is None:
        return False
    values = ensemble.column(key(figure, pull))
    finite = values[np.isfinite(values)]
    return len(finite) >= 0.5 * len(values) and bool(2.0 * finite.std() > metric.noticed)


def _decider(ensemble: Ensemble, figure: str, word: str, pull: Pull | None) -> NDArray[np.float64]:
    if figure == "budget.verdict":
        return ensemble.column(SPARE_LIFT)
    if figure == "cast.lands":
        return ensemble.column("cast.splash_pitch_deg")
    if figure == "retrieve.behaviour":
        margins = [(row.get(key("retrieve.margins", pull)) or {}).get(word) for row in ensemble.rows]
        if any(margin is not None for margin in margins):
            values = [np.nan if margin is None else float(margin) for margin in margins]
            return np.clip(np.array(values), -FARTHEST, FARTHEST)
    return np.array([float(str(row.get(key(figure, pull))) == word) for row in ensemble.rows])
