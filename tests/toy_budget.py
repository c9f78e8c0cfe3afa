"""The budget with one more quantity, for `test_recipes`."""

from sim.trials import budget
from tests.toy_trial import HeavierBudget


def answer(design, lure, pull):
    """The whole result."""
    known = budget.answer(design, lure, pull)
    return HeavierBudget(**dict(known), load_n=9.81e-3 * known.mass_g)


def observe(design, lure, pull, settings):
    """The fields that studies use."""
    known = budget.observe(design, lure, pull, settings)
    return {**known, "load_n": 9.81e-3 * known["mass_g"]}
