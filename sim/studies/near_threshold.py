"""Answers of a single trial that lie near an edge, so that a build a little different may give others.

A pull is near where its word holds, or something that would spoil it stays away, by less than half a step that a
maker would notice; a landing, by less than two. Whether it floats is near where the budget says that more than one
build of twenty would do otherwise. Standing: judgement, and no count of builds. Held against 64 builds of six demo
lures: of the 12 questions named here all but one were answered alike by fewer than 95 builds of 100, and so were
another 12 pulls that are not named, because lean, roll and spin come from differences between two sides that a file
does not have.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sim.studies.statements import Statement
from sim.trials.margin import SURE
from sim.trials.request import Pull, key
from sim.trials.results import RetrieveResult, TrialResult

HALF, TWO = 0.5, 2.0  # noticeable steps; judgement


def near_an_edge(result: TrialResult) -> list[str]:
    """The questions, by the names of their figures (`request.key`), in the order of a trial."""
    return [*_floating(result), *_landing(result), *pulls_near_an_edge(result.retrieve)]


def _floating(result: TrialResult) -> Iterator[str]:
    chance = result.budget.chance_floats
    if chance is not None and 1.0 - SURE < chance < SURE:
        yield "budget.verdict"


def _landing(result: TrialResult) -> Iterator[str]:
    if result.cast.lands is None:
        return
    row = {"cast.splash_pitch_deg": result.cast.splash_pitch_deg}
    if min(Statement("", "cast.lands", word=result.cast.lands).margins(row)) < TWO:
        yield "cast.lands"


def pulls_near_an_edge(runs: Iterable[RetrieveResult]) -> Iterator[str]:
    """Of these retrieves alone."""
    for run in runs:
        if run.programme is not None or not run.margins:
            continue
        pull = Pull(run.tie_on, run.speed_m_s)
        names = {name: key(f"retrieve.{name}", pull) for name in ("behaviour", "margins")}
        row = {names["behaviour"]: run.behaviour.value, names["margins"]: run.margins}
        nearly = Statement("", "retrieve.behaviour", word=run.behaviour.value, pulls=(pull,))
        if min(nearly.margins(row)) < HALF:
            yield names["behaviour"]
