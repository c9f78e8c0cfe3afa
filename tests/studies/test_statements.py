"""How statements are held against figures: what holds, how far off it is, and on which side."""

from __future__ import annotations

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sim.design.load import load
from sim.studies.grammar import read
from sim.studies.statements import FAR, Span, misfits
from sim.trials.behaviour import RULES, margins
from sim.trials.request import Pull, Request, key, together
from sim.trials.results import Behaviour, Ended
from sim.trials.run_metrics import RunMetrics

DESIGN = load("scenarios/thimble_oar.toml")
PULL = Pull("nose", 0.9)
STILL = {
    "budget.margin_g": 3.0, "budget.mass_g": 12.0, "cast.splash_pitch_deg": 150.0, "cast.range_m": 20.0,
    "drop.motion": "straight", "drop.sink_rate_m_s": -0.2, "float.roll_deg": -6.0,
}  # fmt: skip


def test_a_reading_is_off_by_its_own_deviations_with_the_sign_of_the_error():
    assert read(DESIGN, "flies 22 +- 1 m").misfits(STILL) == pytest.approx([-2.0])
    assert read(DESIGN, "flies 17 +- 1 m").misfits(STILL) == pytest.approx([3.0])


def test_a_reading_holds_within_two_deviations_and_a_range_only_inside():
    assert read(DESIGN, "flies 21.9 +- 1 m").holds(STILL)
    assert not read(DESIGN, "flies 22.1 +- 1 m").holds(STILL)
    assert read(DESIGN, "flies 19..21 m").holds(STILL)
    assert not read(DESIGN, "flies at least 20.1 m").holds(STILL)
    assert read(DESIGN, "flies at most 20 m").misfits(STILL) == [0.0]


def test_a_lean_has_no_side():
    assert read(DESIGN, "leans 6 +- 1 deg").misfits(STILL) == pytest.approx([0.0])


def test_a_rise_is_a_sinking_below_zero():
    assert read(DESIGN, "rises 1 m in 5 s").misfits(STILL) == pytest.approx([0.0])
    assert not read(DESIGN, "sinks 1 m in 5 s").holds(STILL)


@pytest.mark.parametrize("spare", [-2.0, -0.3, 0.0, 0.3, 2.0])
def test_just_one_verdict_holds_and_the_others_are_off_by_steps_of_the_scale(spare):
    row = STILL | {"budget.margin_g": spare}
    off = {word: read(DESIGN, word).misfits(row)[0] for word in ("floats", "sinks", "suspends")}
    assert [word for word, by in off.items() if by == 0.0] == [
        "floats" if spare > 0.1 else "sinks" if spare < -0.1 else "suspends"
    ]
    if spare == 2.0:
        assert off["sinks"] > off["suspends"] > 5.0


def test_a_landing_is_off_by_how_far_it_would_have_to_turn():
    assert read(DESIGN, "landed tail first").misfits(STILL) == [0.0]
    assert read(DESIGN, "landed side on").misfits(STILL) == pytest.approx([1.0])
    assert read(DESIGN, "landed nose first").misfits(STILL) == pytest.approx([7.0])
    assert read(DESIGN, "did not land tail first").misfits(STILL) == pytest.approx([1.0])


def test_the_way_it_falls_fits_or_does_not():
    assert read(DESIGN, "falls straight").misfits(STILL) == [0.0]
    assert read(DESIGN, "glides").misfits(STILL) == [1.0]


def pulled(figures, ended=Ended.TIME, behaviour="wakes"):
    return {
        key("retrieve.margins", PULL): margins(figures, ended),
        key("retrieve.behaviour", PULL): behaviour,
        key("retrieve.offset_m", PULL): figures.offset,
    }


LEAST = dict.fromkeys(RunMetrics.__dataclass_fields__, 0.0) | {
    "wobble": None, "height": 0.02, "wet": 0.5, "distance": 10.0,
}  # fmt: skip


def figures(**given):
    return RunMetrics(**{**LEAST, **given})


def test_what_wakes_and_rolls_over_has_not_been_seen_to_wake():
    says = read(DESIGN, "wakes at 0.9 m/s")
    assert says.holds(pulled(figures()))
    assert not says.holds(pulled(figures(roll=60.0)))
    assert read(DESIGN, "rolled over at 0.9 m/s").holds(pulled(figures(roll=60.0)))


def test_a_behaviour_comes_nearer_as_the_figures_do():
    says = read(DESIGN, "dives at 0.9 m/s")
    off = [says.misfits(pulled(figures(wet=1.0, depth=depth)))[0] for depth in (0.02, 0.08, 0.14, 0.2)]
    assert off == sorted(off, reverse=True)
    assert off[0] > 1.0
    assert off[-1] == 0.0


def test_off_to_the_left_is_not_off_to_the_right():
    left, right = (read(DESIGN, f"runs to the {side} at 0.9 m/s") for side in ("left", "right"))
    row = pulled(figures(wet=1.0, offset=3.0))
    assert left.holds(row)
    assert not right.holds(row)


def test_no_answer_holds_neither_a_word_nor_its_denial():
    for text in ("wakes at 0.9 m/s", "does not wake at 0.9 m/s"):
        found = read(DESIGN, text)
        assert found.misfits({}) == [FAR]
        assert found.margins({}) == [-FAR]
        assert math.isnan(found.signals({})[0])


def test_a_number_that_has_no_answer_is_far_off():
    assert read(DESIGN, "wobbles 5 Hz at 0.9 m/s").misfits({}) == [FAR]


def test_on_the_bottom_nothing_else_is_seen():
    row = {key("retrieve.behaviour", PULL): Behaviour.BOTTOM.value, key("retrieve.margins", PULL): {}}
    assert read(DESIGN, "drags on the bottom at 0.9 m/s").holds(row)
    assert read(DESIGN, "dives at 0.9 m/s").misfits(row) == [FAR]


def test_only_what_was_said_is_looked_at():
    every = [read(DESIGN, text) for text in ("sank", "flies 20 m", "spins at 0.9 m/s", "wakes at 0.9 m/s")]
    assert together(one.request() for one in every) == Request(("budget", "cast"), (PULL,))
    assert len(misfits(every, STILL | pulled(figures()))) == 4


@given(st.floats(-50, 50), st.floats(-50, 50), st.floats(0.01, 10), st.floats(-200, 200))
def test_a_span_holds_by_a_margin_just_where_it_has_no_misfit(one, other, sd, value):
    span = Span(min(one, other), max(one, other), sd)
    if not span.reading:
        assert (span.misfit(value) == 0.0) == (span.margin(value) >= 0.0)
    assert span.misfit(value) == pytest.approx(-span.misfit(-value)) or span.low != -span.high


_SHARE = st.floats(0, 1)
_ANGLE = st.floats(-180, 180)
_DRAWN = st.builds(
    RunMetrics,
    depth=st.floats(-0.1, 3), heave=st.floats(0, 0.2), height=st.floats(0.005, 0.05), wet=_SHARE,
    dry_time=_SHARE, pitch=st.floats(-90, 90), roll=_ANGLE, upside_down=_SHARE, pitch_amplitude=st.floats(0, 90),
    roll_amplitude=st.floats(0, 90), yaw_amplitude=st.floats(0, 90), wobble=st.none() | st.floats(0.1, 20),
    turns=st.floats(0, 20), turns_per_m=st.floats(0, 5), turns_one_way=_SHARE, over=st.floats(0, 20),
    over_one_way=_SHARE, circles=st.floats(0, 20), circles_one_way=_SHARE, radius=st.floats(0, 0.3),
    offset=st.floats(-5, 5), distance=st.floats(0.5, 15), tension=st.floats(0, 5), tension_max=st.floats(0, 10),
)  # fmt: skip


@settings(suppress_health_check=[HealthCheck.too_slow])
@given(figures=_DRAWN, ended=st.sampled_from([Ended.TIME, Ended.BOTTOM]))
def test_a_rule_holds_just_where_its_margin_is_not_below_zero(figures, ended):
    for rule in RULES:
        margin = rule.margin(figures, ended)
        if abs(margin) > 1e-9:  # on the very edge the rules themselves differ: at least, more than
            assert rule.holds(figures, ended) == (margin > 0.0), rule.behaviour
