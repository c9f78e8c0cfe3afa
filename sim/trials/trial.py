"""All the questions about one design, asked in order."""

from __future__ import annotations

from sim import __version__
from sim.design.model import Design
from sim.lure import build
from sim.trials.budget import budget
from sim.trials.cast import cast
from sim.trials.cautions import cautions
from sim.trials.drop import drop
from sim.trials.floating import rest
from sim.trials.results import TrialResult
from sim.trials.retrieve import retrieve


def trial(design: Design) -> TrialResult:
    """Budget, rest, drop, cast, and a retrieve from every tie-on point at every speed."""
    lure = build(design)
    return TrialResult(
        design=design.name,
        version=__version__,
        budget=budget(design),
        floating=rest(design, lure),
        drop=drop(design, lure),
        cast=cast(design, lure),
        retrieve=retrieve(design, lure),
        cautions=cautions(design),
    )
