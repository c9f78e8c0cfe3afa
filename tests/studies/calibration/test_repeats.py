"""Few readings teach what they can: repeats say their own error, two drop times and a weight change the forecast."""

import datetime
from pathlib import Path

import pytest

from sim.design.load import load, read
from sim.studies.calibration.calibrate import Given, calibrate
from sim.studies.calibration.observations import readings
from sim.studies.calibration.write_back import with_calibration
from sim.trials.request import Request
from tests.in_words import in_words
from tests.studies.calibration.planted import DESIGN, NOSE, fitted_to, log_of

SCENARIOS = Path(__file__).parents[3] / "scenarios"
APART, WITHIN = 0.04, 0.05


def doubts(*said):
    return [one.statement.span.sd / abs(one.statement.span.low) for one in readings(DESIGN, log_of(*said))]


def test_repeats_that_agree_are_sharper_than_one_and_those_that_do_not_are_less():
    (one,) = doubts("rose 1 m in 4 s")
    close = doubts("rose 1 m in 4 s", "rose 1 m in 4.1 s", "rose 1 m in 4.05 s")
    wide = doubts("rose 1 m in 3 s", "rose 1 m in 5 s")
    assert max(close) < 0.75 * one
    assert min(wide) > 2.0 * one


def test_what_came_with_its_own_error_keeps_it_and_other_pulls_are_no_repeats():
    assert doubts("rose 1 m in 4 +- 0.4 s", "rose 1 m in 4 +- 0.4 s") == pytest.approx([0.1, 0.1])
    slow = "at 0.5 m/s from nose"
    assert doubts(f"ran 1 m deep {NOSE}", f"ran 0.5 m deep {slow}") == doubts(f"ran 1 m deep {NOSE}") * 2


def test_repeats_agree_within_two_of_their_deviations():
    def agree(*said):
        return [one.repeats_agree for one in readings(DESIGN, log_of(*said))]

    assert agree("rose 1 m in 4 +- 0.1 s", "rose 1 m in 4.1 +- 0.1 s", "flew 20 m") == [True, True, None]
    assert agree("rose 1 m in 4 +- 0.1 s", "rose 1 m in 6 +- 0.1 s") == [False, False]
    assert agree("rose 1 m in 4 s", "rose 1 m in 6 s") == [False, False]  # by the errors that they came with


def test_a_reading_that_the_model_throws_about_is_used_where_repeats_of_it_agree(made_up):
    once, _ = fitted_to("sank nose down 10 +- 3 deg")
    twice, _ = fitted_to("sank nose down 10 +- 3 deg", "sank nose down 12 +- 3 deg")
    assert "throw it about" in in_words([once.tests[0].left_out])[0]
    assert [one.left_out for one in twice.tests] == ["", ""]
    assert twice.readings == 2


@pytest.mark.parametrize(
    ("name", "off"),
    [
        ("gravel_bell", 0.85),
        ("gravel_bell", 1.1),
        ("last_skittle", 1.1),
        ("porch_light", 0.85),
        ("thimble_oar", 1.1),
    ],
)
def test_two_drop_times_and_a_weight_bring_the_sink_rate_to_within_five_per_cent(name, off):
    text, design = (SCENARIOS / f"{name}.toml").read_text(), load(SCENARIOS / f"{name}.toml")
    ask = Request(("budget", "drop"))
    row = ask(design)
    rate = off * row["drop.sink_rate_m_s"]
    way, time = "sank" if rate > 0.0 else "rose", 1.0 / abs(rate)
    log = log_of(
        f"weighs {row['budget.mass_g']:.1f} g",
        f"{way} 1 m in {time * (1.0 - 0.5 * APART):.3g} s",
        f"{way} 1 m in {time * (1.0 + 0.5 * APART):.3g} s",
    )
    result = calibrate(Given([text], [design], readings(design, log)))
    written = with_calibration(text, design, result, 0, datetime.date(2026, 11, 28), SCENARIOS)
    after = ask(read(written, name, SCENARIOS))["drop.sink_rate_m_s"]
    assert abs(row["drop.sink_rate_m_s"] / rate - 1.0) > WITHIN
    assert after == pytest.approx(rate, rel=WITHIN)
