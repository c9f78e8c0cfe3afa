"""The confidence in each metric follows from the checks that cover it."""

import pytest

from sim.metrics import GRADES, Confidence
from sim.trials.results import METRICS, standing
from tests.checks.checks import SUBJECTS, outcome, subjects


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


@pytest.mark.parametrize("name", [m.name for m in METRICS.values() if m.cover])
def test_every_covered_metric_hangs_on_subjects_that_are_checked(name):
    assert METRICS[name].cover.subjects
    assert all(subject in GRADES for subject in METRICS[name].cover.subjects)


def test_what_archimedes_settles_is_surer_than_what_the_water_does_to_a_pulled_lure():
    assert standing("budget")["margin_g"] is Confidence.EXACT
    assert standing("float")["pitch_deg"] is Confidence.CHECKED
    assert standing("retrieve")["behaviour"] is Confidence.INDICATIVE
