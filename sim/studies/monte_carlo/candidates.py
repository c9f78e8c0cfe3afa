"""Tests that a maker could do next: each reads one number off the lure, with the error of its reading."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.metrics import Use, named
from sim.studies.ensemble import Ensemble
from sim.studies.monte_carlo.measures import Measure, measures
from sim.studies.monte_carlo.questions import Question
from sim.trials.request import RETRIEVE, Pull, key
from sim.trials.results import DISPLACED, METRICS, SINK_RATE, SPARE_LIFT, TRIM, WEIGHT

BENCH, TUB, WATER = "at the bench", "in a tub", "at the water"
LEAST_READ_OF = 0.8  # share of the builds that must have the figure which a test reads


@dataclass(frozen=True)
class Test:
    """Something to measure: an input, or what the finished lure does."""

    __test__ = False  # no case of pytest's

    where: str
    measure: Measure | None = None  # of inputs
    figure: str = ""  # of what the finished lure does
    pull: Pull | None = None

    @property
    def part(self) -> str:
        """The part of a trial that it is, empty for an input."""
        return self.figure.split(".")[0]

    def only_looks(self, question: Question) -> bool:
        """Whether doing it shows the answer itself, so that nothing is left to foretell."""
        if self.measure is not None or self.where == BENCH:
            return False
        if question.figure.startswith("budget."):
            return True  # whatever is put into the water floats or sinks before one's eyes
        if question.part != "retrieve":
            return self.part == question.part
        pulls = question.statement.pulls if question.statement else (question.pull,)
        return self.part == "retrieve" and self.pull in pulls

    def error(self, ensemble: Ensemble) -> float:
        """Standard deviation of its reading, in the figure's unit."""
        values = ensemble.column(key(self.figure, self.pull))
        return max(
            METRICS[self.figure].sharp.of(float(np.nanmedian(np.abs(values)))),
            LEAST_READ.get(self.figure, 0.0),
        )


LEAST_READ = {WEIGHT: 0.03, DISPLACED: 0.1}  # a kitchen scale; judgement

_FINISHED = {
    WEIGHT: BENCH, DISPLACED: TUB, SPARE_LIFT: TUB, "float.freeboard_mm": TUB,
    TRIM: TUB, SINK_RATE: TUB, "cast.range_m": WATER,
}  # fmt: skip
_PULLED = tuple(f"{RETRIEVE}.{name}" for name in named(METRICS, RETRIEVE, Use.CAUSES))


def candidates(ensemble: Ensemble) -> list[Test]:
    """Every test that could tell something, the bench first."""
    bench = [Test(BENCH, measure=one) for one in measures(ensemble.inputs) if one.useful]
    finished = [
        Test(where, figure=figure)
        for figure, where in _FINISHED.items()
        if figure.split(".")[0] in ensemble.request.parts
    ]
    pulled = [Test(WATER, figure=figure, pull=pull) for pull in ensemble.request.pulls for figure in _PULLED]
    return bench + [one for one in finished + pulled if _read(one, ensemble)]


def _read(test: Test, ensemble: Ensemble) -> bool:
    values = ensemble.column(key(test.figure, test.pull))
    there = np.isfinite(values)
    return bool(there.mean() >= LEAST_READ_OF and np.ptp(values[there]) > 0.0)
