"""Answers of a single trial that lie near an edge, so that a build a little different may give others.

A pull is near where its word holds, or something that would spoil it stays away, by less than half a step that a
maker would notice; a landing, by less than two. Whether it floats is near where the spare lift is less than so many
of its deviations, to first order from what is known of every input (`sim.design.priors`), that one build of
twenty would do otherwise. Standing: judgement, and no count of builds. Held against 64 builds of six demo lures: of
the 12 questions named here all but one were answered alike by fewer than 95 builds of 100, and so were another 12
pulls that are not named, because lean, roll and spin come from differences between two sides that a file does not have.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from sim.design.model import Design
from sim.design.priors import Prior, priors
from sim.studies.engine import CaseError, changed
from sim.studies.statements import Statement
from sim.trials.margin import margin_kg
from sim.trials.request import Pull, key
from sim.trials.results import TrialResult

HALF, TWO = 0.5, 2.0  # noticeable steps; judgement
ONE_OF_TWENTY = 1.645  # deviations of a normal number that so many lie beyond, on one side


def near_an_edge(design: Design, result: TrialResult) -> list[str]:
    """The questions, by the names of their figures (`request.key`), in the order of a trial."""
    return [*_floating(design, result), *_landing(result), *_pulled(result)]


def _floating(design: Design, result: TrialResult) -> Iterator[str]:
    if abs(result.budget.margin_g) < ONE_OF_TWENTY * 1e3 * margin_deviation(design):
        yield "budget.verdict"


def margin_deviation(design: Design) -> float:
    """Standard deviation of the spare lift (kg) from what is known, or usual, of every input."""
    return math.hypot(*(_effect(design, one) for one in priors(design, model=False)))


def _effect(design: Design, one: Prior) -> float:
    """Half of what two deviations of one input do to the spare lift; 0 for what cannot be built."""
    from sim.lure import BuildError

    try:
        more, less = (margin_kg(changed(design, one.changes(z))) for z in (1.0, -1.0))
    except (BuildError, CaseError):
        return 0.0
    return 0.5 * (more - less)


def _landing(result: TrialResult) -> Iterator[str]:
    if result.cast.lands is None:
        return
    row = {"cast.splash_pitch_deg": result.cast.splash_pitch_deg}
    if min(Statement("", "cast.lands", word=result.cast.lands).margins(row)) < TWO:
        yield "cast.lands"


def _pulled(result: TrialResult) -> Iterator[str]:
    for run in result.retrieve:
        if run.programme is not None or not run.margins:
            continue
        pull = Pull(run.tie_on, run.speed_m_s)
        names = {name: key(f"retrieve.{name}", pull) for name in ("behaviour", "margins")}
        row = {names["behaviour"]: run.behaviour.value, names["margins"]: run.margins}
        said = Statement("", "retrieve.behaviour", word=run.behaviour.value, pulls=(pull,))
        if min(said.margins(row)) < HALF:
            yield names["behaviour"]
