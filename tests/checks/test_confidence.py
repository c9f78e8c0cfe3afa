"""The confidence words follow from the checks, and every word belongs to a figure that exists."""

import pytest

from sim.trials import results
from sim.trials.confidence import COVER, GRADES, Confidence, words
from tests.checks.checks import SUBJECTS, outcome, subjects

ANSWERS = {
    "budget": results.BudgetResult,
    "float": results.FloatResult,
    "drop": results.DropResult,
    "cast": results.CastResult,
    "retrieve": results.RetrieveResult,
}


def earned(name):
    found = [outcome(check) for check in subjects()[SUBJECTS.index(name)].checks]
    gating = [one for one in found if one.check.gates]
    share = sum(one.inside for one in gating) / len(gating)
    tight = all(one.check.tolerance.size <= 0.02 for one in gating if one.check.tolerance.relative)
    if share == 1.0 and tight:
        return Confidence.EXACT
    return Confidence.CHECKED if share >= 0.85 else Confidence.INDICATIVE


@pytest.mark.parametrize("name", sorted(GRADES))
def test_a_subject_has_the_grade_that_its_checks_earn(name):
    assert GRADES[name] is earned(name)


@pytest.mark.parametrize("answer", sorted(COVER))
def test_every_covered_figure_is_a_figure_of_the_answer(answer):
    assert set(COVER[answer]) <= set(ANSWERS[answer].model_fields)
    assert all(subject in GRADES for cover in COVER[answer].values() for subject in cover.subjects)


def test_what_archimedes_settles_is_surer_than_what_the_water_does_to_a_pulled_lure():
    assert words("budget")["margin_g"] is Confidence.EXACT
    assert words("float")["pitch_deg"] is Confidence.CHECKED
    assert words("retrieve")["behaviour"] is Confidence.INDICATIVE
