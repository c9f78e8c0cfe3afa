"""Calibration: what logged tests teach, with honest errors; what they do not, by name.

Most of it is tried in a made-up world whose figures are short formulas, so that the right answer is known.
"""

import math

import numpy as np
import pytest

from sim.show.lessons import why
from sim.studies.calibration import response_model as response
from sim.studies.calibration.fit_parameters import fit_parameters
from sim.studies.calibration.fitted import Standing
from sim.studies.calibration.observations import readings, units_of
from sim.studies.calibration.posterior import LinearModel, combined, surprise
from sim.studies.engine import changed
from sim.studies.statements import Span
from tests.in_words import in_words
from tests.studies.calibration.planted import DESIGN, NOSE, fitted_to, log_of, runs


def test_a_sharp_reading_of_one_coefficient_gives_it_back(made_up):
    _, told = fitted_to(f"wobbled {8.0 / math.sqrt(1.4):.4f} +- 0.1 Hz {NOSE}")
    shedding = told["shedding"]
    assert shedding.standing is Standing.FITTED
    assert shedding.value == pytest.approx(1.4, abs=0.05)
    assert 0.02 < shedding.sd < 0.06  # 0.1 Hz of 6.8 is 1.5 %, and the rate goes with the root
    assert abs(shedding.value - 1.4) < 2.0 * shedding.sd


def test_what_no_test_tried_keeps_its_doubt_and_is_named_with_a_test_that_would(made_up):
    _, told = fitted_to(f"wobbled 8 +- 0.1 Hz {NOSE}")
    for name, one in told.items():
        if name != "shedding":
            assert one.standing is Standing.UNTRIED
            assert one.sd == pytest.approx(one.was_sd)
            assert "no test tried it" in why(one)
    assert "drop time" in why(told["cross_drag"])


def test_two_that_only_their_difference_tells_are_named_together_with_wide_errors(made_up):
    result, told = fitted_to(f"ran 1.2 +- 0.005 m deep {NOSE}")
    lift, drag = told["plate_lift"], told["plate_drag"]
    assert lift.standing is drag.standing is Standing.TOGETHER
    assert "only together with plate_drag" in why(lift)
    assert lift.r > 0.9
    assert lift.left > 0.69
    assert drag.left > 0.69
    assert lift.value - drag.value == pytest.approx(0.2, abs=0.02)
    assert [(pair.one, pair.other) for pair in result.together] == [("plate_lift", "plate_drag")]


def test_the_errors_are_those_of_prior_and_reading_together(made_up):
    """Of a reading with a straight line the posterior is known in closed form."""
    _, told = fitted_to("flew 21 +- 2 m", wanted=["cast.speed"])
    speed = told["cast.speed"]
    slope = 20.0 * 0.08 / 2.0  # of the reading, in its deviation, for a prior deviation of 8 %
    assert speed.left == pytest.approx(1.0 / math.sqrt(1.0 + slope**2), rel=0.02)
    assert speed.deviations == pytest.approx(slope * 0.5 / (1.0 + slope**2), rel=0.05)


def test_two_lures_teach_a_coefficient_together_better_than_one(made_up):
    said = f"wobbled 7 +- 0.8 Hz {NOSE}"
    _, alone = fitted_to(said)
    result, both = fitted_to(said, lures=2)
    assert both["shedding"].left < 0.9 * alone["shedding"].left
    assert result.lures == ["Thimble Oar", "Thimble Oar"]


def test_a_behaviour_that_holds_teaches_little_and_one_that_does_not_pulls(made_up):
    _, holds = fitted_to(f"did not wobble {NOSE}")
    _, fails = fitted_to(f"wobbles {NOSE}")
    assert abs(holds["shedding"].deviations) < 0.3
    assert fails["shedding"].deviations > 0.3
    assert holds["shedding"].left > 0.8


def test_a_reading_that_the_model_throws_about_is_left_out_and_said_so(made_up):
    result, _ = fitted_to("sank nose down 10 +- 3 deg", f"wobbled 8 +- 0.1 Hz {NOSE}")
    thrown, kept = result.tests
    assert "throw it about" in in_words([thrown.left_out])[0]
    assert not kept.left_out
    assert result.readings == 1


def test_only_what_is_wanted_is_told_of(made_up):
    _, told = fitted_to(f"wobbled 7 +- 0.1 Hz {NOSE}", wanted=["shedding", "plate_lift"])
    assert list(told) == ["plate_lift", "shedding"] or list(told) == ["shedding", "plate_lift"]


def test_what_is_turned_is_reused_so_that_the_work_does_not_run_away(made_up):
    result, _ = fitted_to(
        "rose 1 m in 4 +- 0.1 s", f"wobbled 7 +- 0.1 Hz {NOSE}", f"ran 1.1 +- 0.05 m deep {NOSE}"
    )
    units = 2
    every = len(fit_parameters([DESIGN]))
    assert result.runs < 6 * units * every


# ---- the parts ----------------------------------------------------------------------------------------


def test_it_does_not_hang_on_which_worker_is_first(made_up, monkeypatch):
    said = (f"wobbled 6.8 +- 0.1 Hz {NOSE}", "rose 1 m in 4.2 +- 0.05 s", f"ran 0.7 +- 0.02 m deep {NOSE}")
    one, _ = fitted_to(*said)
    monkeypatch.setattr(response, "run_cases", lambda *a, **k: reversed(list(runs(*a, **k))))
    other, _ = fitted_to(*said)
    assert one == other


def test_prior_and_readings_are_put_together_as_textbooks_do():
    slopes = np.array([[2.0, 1.0]])
    known = combined(
        LinearModel(np.zeros(2), np.array([5.0]), slopes, [Span(6.0, 6.0, 0.5)], np.array([0.5])), np.zeros(2)
    )
    gain = slopes.T / (slopes @ slopes.T + 0.25)
    assert known.mean == pytest.approx((gain * 1.0).ravel())
    assert known.cov == pytest.approx(np.eye(2) - gain @ slopes)


def test_a_range_cuts_the_prior_as_a_truncated_normal_is_cut():
    half = Span(0.0, math.inf, 1e-3)
    known = combined(
        LinearModel(np.zeros(1), np.array([0.0]), np.ones((1, 1)), [half], np.array([1e-3])), np.zeros(1)
    )
    assert known.mean[0] == pytest.approx(math.sqrt(2.0 / math.pi), abs=0.02)
    assert known.sds[0] == pytest.approx(math.sqrt(1.0 - 2.0 / math.pi), abs=0.02)


def test_errors_are_widened_only_if_the_misfit_is_no_chance():
    assert surprise(12.0, 10) == 1.0
    assert surprise(40.0, 10) == pytest.approx(2.0)
    assert surprise(0.0, 0) == 1.0


def test_what_a_run_cannot_feel_is_not_run():
    units = units_of(readings(DESIGN, log_of("weighs 9 g", "rose 1 m in 4 s", "flew 20 m", f"dives {NOSE}")))
    budget, drop, cast, pull = units
    felt = {
        unit: {knob.name for knob in fit_parameters([DESIGN]) if knob.felt_by(unit, DESIGN)} for unit in units
    }
    assert not any(knob.coefficient and knob.name in felt[budget] for knob in fit_parameters([DESIGN]))
    assert "line_bend" not in felt[drop]
    assert "line_drag" in felt[cast]
    assert "line_bend" in felt[pull]
    assert "wire_drag" not in felt[pull]  # it has no wires
    assert "tie_on.nose.at.back" in felt[pull]
    assert "tie_on.lip.at.back" not in felt[pull]
    assert "cast.speed" in felt[cast]
    assert "cast.speed" not in felt[pull]


def test_what_is_said_not_to_be_felt_changes_nothing():
    """The list of what a run cannot feel, held against the runs themselves."""
    for unit in units_of(readings(DESIGN, log_of("rose 1 m in 4 s", "flew 20 m"))):
        plain = unit.case(0, {})
        rest = [k for k in fit_parameters([DESIGN]) if k.coefficient and not k.felt_by(unit, DESIGN)]
        changes = {path: value for knob in rest for path, value in knob.changes(0, 1.0).items()}
        here, there = plain.ask(DESIGN), plain.ask(changed(DESIGN, changes))
        figure, least = {"drop": ("drop.sink_rate_m_s", 1e-4), "cast": ("cast.range_m", 0.02)}[unit.part]
        assert there[figure] == pytest.approx(here[figure], abs=least)
