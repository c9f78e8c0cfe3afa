"""Random designs, extreme but legal sizes included: every one ends in an answer or in a sentence."""

import math
from dataclasses import replace

from hypothesis import given

from sim.design.load import DesignError, read
from sim.design.model import Design
from sim.lure import BuildError
from sim.motion.solve import Settings
from sim.show.worded import worded
from sim.trials.results import Ended
from sim.trials.trial import trial
from tests.properties.sizes import drawn, soon_and_small, strict
from tests.strategies import designs, to_toml

CALLS = Settings().calls_per_second
STEP = 100  # calls of the step that a budget runs out in, which is carried out to its end
DROP = RETRIEVE = 2 * CALLS * 20 + STEP  # of the longest run, s: one budget for each of the two solvers
CAST = 2 * 4 * CALLS * 12 + STEP  # a flight is integrated more finely


def _one_pull(design: Design) -> Design:
    """The same lure, pulled once: the number of runs is not what is tried here."""
    first = next(iter(design.tie_on))
    plan = design.retrieve.model_copy(
        update={
            "speeds": design.retrieve.speeds[:1],
            "duration": replace(design.retrieve.duration, value=1.5),
        }
    )
    return design.model_copy(update={"tie_on": {first: design.tie_on[first]}, "retrieve": plan})


PASSED = []
"""Lures that have been through it: drawn again under another name, one tells nothing new and costs a second."""


def _numbers(value, path="result"):
    if isinstance(value, float):
        yield path, value
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from _numbers(inner, f"{path}.{key}")
    elif isinstance(value, (list, tuple)):
        for k, inner in enumerate(value):
            yield from _numbers(inner, f"{path}[{k}]")


@drawn(100, 1000)
@given(designs())
def test_every_legal_design_runs_a_trial_to_an_answer_or_to_a_sentence(tables):
    try:
        design = read(to_toml(tables), "random.toml")
    except DesignError as refused:
        assert str(refused).strip()
        return
    design = _one_pull(design)
    lure = design.model_copy(update={"name": "", "about": ""})
    if lure in PASSED:
        return
    try:
        with soon_and_small():
            result = worded(trial(design))
    except BuildError as refused:
        assert len(str(refused)) > 20
        return
    strict(result.model_dump_json())
    for path, number in _numbers(result.model_dump()):
        assert math.isfinite(number), path
    for run, most in (
        (result.drop, DROP),
        (result.cast, CAST),
        *((run, RETRIEVE) for run in result.retrieve),
    ):
        assert run.evaluations <= most
        assert run.sentence.endswith(".")
        if run.ended is Ended.GAVE_UP:
            assert "solver gave up" in run.sentence
    PASSED.append(lure)
