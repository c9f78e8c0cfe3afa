"""Tests that a maker could do next: each reads one number off the lure, with the error of its reading."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.design.priors import Prior
from sim.studies.monte_carlo.asked import Asked
from sim.studies.monte_carlo.ensemble import Ensemble
from sim.studies.monte_carlo.measures import Measure, measures
from sim.trials.request import Pull, key
from sim.trials.results import METRICS

BENCH, TUB, WATER = "at the bench", "in a tub", "at the water"
LEAST_TOLD = 0.8  # share of the builds that must have the figure which a test reads


@dataclass(frozen=True)
class Test:
    """Something to measure: an input, or what the finished lure does."""

    __test__ = False  # no case of pytest's

    what: str
    how: str
    where: str
    measure: Measure | None = None  # of inputs
    figure: str = ""  # of what the finished lure does
    pull: Pull | None = None

    @property
    def part(self) -> str:
        """The part of a trial that it is, empty for an input."""
        return self.figure.split(".")[0]

    def only_looks(self, asked: Asked) -> bool:
        """Whether doing it shows the answer itself, so that nothing is left to foretell."""
        if self.measure is not None or self.where == BENCH:
            return False
        if asked.figure.startswith("budget."):
            return True  # whatever is put into the water floats or sinks before one's eyes
        if asked.part != "retrieve":
            return self.part == asked.part
        pulls = asked.statement.pulls if asked.statement else (asked.pull,)
        return self.part == "retrieve" and self.pull in pulls

    def error(self, ensemble: Ensemble) -> float:
        """Standard deviation of its reading, in the figure's unit."""
        values = ensemble.column(key(self.figure, self.pull))
        return max(
            METRICS[self.figure].sharp.of(float(np.nanmedian(np.abs(values)))),
            LEAST_READ.get(self.figure, 0.0),
        )


LEAST_READ = {"budget.mass_g": 0.03, "budget.displaced_ml": 0.1}  # a kitchen scale; judgement

_FINISHED = (
    ("budget.mass_g", "weight of the finished lure", "Weigh the finished lure", BENCH),
    (
        "budget.displaced_ml", "what the finished lure pushes aside",
        "Hang the finished lure under in a cup of water on the scale (`drytank measure cup`)", TUB,
    ),
    (
        "budget.margin_g", "its spare lift",
        "Hang weights on the floating lure until it just goes under, or weigh a sinking one under water", TUB,
    ),
    ("float.freeboard_mm", "its waterline", "Float it and measure how much shows above the water", TUB),
    ("float.pitch_deg", "how it sits", "Float it, mark the waterline at nose and tail, and measure its slope", TUB),
    ("drop.sink_rate_m_s", "how fast it sinks or rises", "Time it over a metre, five times", TUB),
    ("cast.range_m", "how far it casts", "Cast it ten times and pace out the distance", WATER),
)  # fmt: skip


def candidates(ensemble: Ensemble) -> list[Test]:
    """Every test that could tell something, the bench first."""
    out = [
        Test(one.what, _named(one, ensemble.inputs), BENCH, measure=one)
        for one in measures(ensemble.inputs)
        if one.useful
    ]
    for figure, what, how, where in _FINISHED:
        if figure.split(".")[0] in ensemble.request.parts:
            out.append(Test(what, how, where, figure=figure))
    for pull in ensemble.request.pulls:
        at = f"at {pull.speed:.3g} m/s from {pull.tie_on}"
        out.append(
            Test(f"how deep it runs {at}", f"Pull it {at} over a depth you know", WATER,
                 figure="retrieve.depth_m", pull=pull)
        )  # fmt: skip
        out.append(
            Test(f"how often it wobbles {at}", f"Film it {at} and count its wobbles", WATER,
                 figure="retrieve.wobble_hz", pull=pull)
        )  # fmt: skip
    return [one for one in out if one.measure is not None or _told(one, ensemble)]


def _named(measure: Measure, inputs: Sequence[Prior]) -> str:
    """How to measure it, with the part in place of `it`."""
    part = measure.what.partition(" of ")[2] or measure.what
    how = measure.how
    for pronoun in (" a scrap of it ", " of the fill ", " it "):
        if pronoun in how and part != measure.what:
            return how.replace(pronoun, pronoun.replace("it", part) if "it" in pronoun else pronoun, 1)
    return how


def _told(test: Test, ensemble: Ensemble) -> bool:
    values = ensemble.column(key(test.figure, test.pull))
    there = np.isfinite(values)
    return bool(there.mean() >= LEAST_TOLD and np.ptp(values[there]) > 0.0)
