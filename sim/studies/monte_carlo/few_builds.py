"""What a few builds do where one build decides nothing: shares for the questions of a trial that lie near an edge.

The doubt of the model is among what is drawn, as in `tolerance`; so few builds tell a third from a half, no more.
"""

from __future__ import annotations

from collections.abc import Sequence

from sim.design.model import Design
from sim.design.priors import priors
from sim.studies.ensemble import at_hand, touching
from sim.studies.monte_carlo.questions import questions
from sim.studies.monte_carlo.tolerance import QuestionShares, shares
from sim.studies.near_threshold import pulls_near_an_edge
from sim.trials.request import Request, key, whole
from sim.trials.results import RetrieveResult

FEW = 16  # builds; judgement, a trial must stay quick
MOST_PULLS = 3  # of which so many are tried; the others are named only


def of_few(design: Design, near: Sequence[str]) -> list[QuestionShares]:
    """Shares of `FEW` builds for pulls near an edge.

    Args:
        near: their questions, as `near_an_edge` names them.
    """
    pulls = [pull for pull in whole(design).pulls if key("retrieve.behaviour", pull) in near][:MOST_PULLS]
    if not pulls:
        return []
    request = Request((), tuple(pulls))
    ensemble = at_hand(design, touching(priors(design), request), request, FEW)
    return [shares(ensemble, one) for one in questions(request)] if ensemble.rows else []


def of_pulls(design: Design, runs: Sequence[RetrieveResult]) -> list[QuestionShares]:
    """The same for steady retrieves that have been made already."""
    return of_few(design, list(pulls_near_an_edge(runs)))
