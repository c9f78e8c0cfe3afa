"""Builds without physics: figures that are known functions of the deviates, in the place of a trial."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.design.load import read
from sim.design.paths import leaves
from sim.design.priors import priors
from sim.studies.engine import CaseError
from sim.studies.ensemble import Ensemble, normal_deviates
from sim.trials.request import Pull, Request
from tests.studies.work import TEXT

DESIGN = read(TEXT, "toy")
INPUTS = [one for one in priors(DESIGN, model=False) if not one.paths]
LIGHT, HEAVY = "hook.belly.weight", "ballast.belly.weight"


@dataclass(frozen=True)
class Scales:
    """A question that only adds up two weights, and refuses a build in so many."""

    parts: tuple[str, ...] = ("budget",)
    pulls: tuple[Pull, ...] = ()
    rtol: float = 1e-4
    refuses: float = np.inf  # g, above which it cannot be built

    def __call__(self, design):
        found = leaves(design)
        grams = 1e3 * (found[LIGHT].value + found[HEAVY].value)
        if grams > self.refuses:
            raise CaseError("too heavy for its hooks")
        spare = 3.21 - grams
        return {
            "budget.mass_g": grams, "budget.displaced_ml": 3.21, "budget.margin_g": spare,
            "budget.verdict": "floats" if spare > 0.0 else "sinks",
        }  # fmt: skip


def ensemble(rows_of, count=256, inputs=None, request=None, seed=5, together=None):
    """An ensemble whose rows are `rows_of(deviates of one build)`; the nominal row is that of no deviation."""
    inputs = tuple(INPUTS if inputs is None else inputs)
    z = normal_deviates(count, len(inputs), seed)
    rows = tuple(rows_of(one) for one in z)
    return Ensemble(
        DESIGN, inputs, request or Request(("budget",)), seed, z, rows, rows_of(np.zeros(len(inputs)))
    )


def budget(spare, mass=10.0):
    """A row of the budget with this much spare lift (g)."""
    return {
        "budget.mass_g": mass, "budget.displaced_ml": mass + spare, "budget.margin_g": spare,
        "budget.verdict": "floats" if spare > 0.0 else "sinks",
    }  # fmt: skip
