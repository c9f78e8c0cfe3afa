"""Figures do not hang on the solver's tolerance or on the number of strips, and the work is bounded."""

from pathlib import Path

import pytest

from sim.design.load import load
from sim.lure import build
from sim.motion.solve import TIGHT, Settings
from sim.show.worded import worded
from sim.trials import cast, drop, retrieve
from sim.trials.results import Ended

SCENARIOS = Path(__file__).parents[2] / "scenarios"
PULLS = [
    ("thimble_oar", "nose", 0.9),
    ("cellar_door", "lip", 0.9),
    ("porch_light", "lip_low", 0.4),
    ("noon_and_midnight", "nose", 0.5),
    ("gravel_bell", "front", 1.0),
]
FIGURES = {  # smallest change that would be noticed
    "depth_m": 0.002, "pitch_deg": 0.2, "roll_amplitude_deg": 0.2, "yaw_amplitude_deg": 0.2, "tension_n": 0.001,
    "wobble_hz": 0.02,
}  # fmt: skip


def _close(found, reference, share):
    for name, least in FIGURES.items():
        a, b = getattr(found, name), getattr(reference, name)
        if a is None or b is None:
            assert a == b, name
        else:
            assert a == pytest.approx(b, rel=share, abs=least), name


@pytest.mark.parametrize(("name", "tie", "speed"), PULLS)
def test_the_tight_tolerance_changes_no_figure_by_one_per_cent(name, tie, speed):
    design = load(SCENARIOS / f"{name}.toml")
    lure = build(design)
    plain = retrieve.describe(retrieve.run(design, lure, tie, speed), lure, tie, speed)
    tight = retrieve.run(design, lure, tie, speed, settings=TIGHT)
    _close(plain, retrieve.describe(tight, lure, tie, speed), 0.01)


@pytest.mark.parametrize(("name", "tie", "speed"), PULLS)
def test_a_ten_second_retrieve_costs_less_than_sixteen_thousand_evaluations(name, tie, speed):
    design = load(SCENARIOS / f"{name}.toml")
    assert retrieve.run(design, build(design), tie, speed).evaluations < 16_000


def test_a_run_that_needs_more_work_than_its_budget_ends_with_a_sentence():
    design = load(SCENARIOS / "thimble_oar.toml")
    lure = build(design)
    little = Settings(calls_per_second=30)
    pull = retrieve.describe(retrieve.run(design, lure, "nose", 0.9, settings=little), lure, "nose", 0.9)
    fall = drop.describe(drop.run(design, lure, settings=little), lure)
    throw = cast.describe(cast.run(design, lure, settings=little), lure)
    for result in (pull, fall, throw):
        assert result.ended is Ended.GAVE_UP
        assert "solver gave up" in worded(result).sentence
    assert pull.depth_m is None
    assert fall.sink_rate_m_s is None
    assert throw.range_m is None
