"""What can be said of a lure, and what is answered to words that say nothing."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from sim.design.load import load
from sim.show.units import METRIC
from sim.show.values import spoken_unit
from sim.studies.grammar import StatementError, criteria, read
from sim.studies.suggestions import EXAMPLES
from sim.studies.vocabulary import PHRASES
from sim.trials.request import Pull
from sim.trials.results import METRICS

SAY = Path("docs/how-to/say.md").read_text()
WRITTEN = {phrase.figure: phrase.write.format(n="n") for phrase in reversed(PHRASES)}
DESIGN = load("scenarios/thimble_oar.toml")  # tie-on points nose and lip; 0.5, 0.9 and 1.3 m/s


def span(text):
    found = read(DESIGN, text)
    return found.figure, *(round(value, 4) for value in found.span[:2])


@pytest.mark.parametrize("text", EXAMPLES)
def test_every_example_in_the_messages_is_understood(text):
    assert criteria(DESIGN, text)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("floats with 3 g to spare", ("budget.margin_g", 3.0, 3.0)),
        ("floated by 1/8 oz", ("budget.margin_g", 3.5437, 3.5437)),
        ("has 3 g spare lift", ("budget.margin_g", 3.0, 3.0)),
        ("sank by 0.7 g", ("budget.margin_g", -0.7, -0.7)),
        ("sinks with at least 0.7 g", ("budget.margin_g", -math.inf, -0.7)),
        ("weighed 12.4 g", ("budget.mass_g", 12.4, 12.4)),
        ("displaces 14 mL", ("budget.displaced_ml", 14.0, 14.0)),
        ("pushed aside 14 mL", ("budget.displaced_ml", 14.0, 14.0)),
        ("sits nose up 5 deg", ("float.pitch_deg", 5.0, 5.0)),
        ("lay nose down by 5 deg", ("float.pitch_deg", -5.0, -5.0)),
        ("floats level", ("float.pitch_deg", -3.0, 3.0)),
        ("leans 8 deg", ("float.roll_deg", 8.0, 8.0)),
        ("leans 8 deg to its left", ("float.roll_deg", 8.0, 8.0)),
        ("shows 3 mm above the water", ("float.freeboard_mm", 3.0, 3.0)),
        ("sank nose down 30 deg", ("drop.pitch_deg", -30.0, -30.0)),
        ("rose nose up 30 deg", ("drop.pitch_deg", 30.0, 30.0)),
        ("sinks at 0.2 m/s", ("drop.sink_rate_m_s", 0.2, 0.2)),
        ("came up at 0.2 m/s", ("drop.sink_rate_m_s", -0.2, -0.2)),
        ("sinks 1 m in 8 s", ("drop.sink_rate_m_s", 0.125, 0.125)),
        ("rose 2 m in 8 s", ("drop.sink_rate_m_s", -0.25, -0.25)),
        ("turned over 2 times in the air", ("cast.tumbles", 2.0, 2.0)),
        ("flew 25 m", ("cast.range_m", 25.0, 25.0)),
        ("flies at least 25 m", ("cast.range_m", 25.0, math.inf)),
        ("casts at most 25 m", ("cast.range_m", -math.inf, 25.0)),
        ("flew 20..25 m", ("cast.range_m", 20.0, 25.0)),
        ("flew about 25 m", ("cast.range_m", 25.0, 25.0)),
        ("ran 4 ft deep at 0.9 m/s", ("retrieve.depth_m", 1.2192, 1.2192)),
        ("digs to 0.8 m at 0.9 m/s", ("retrieve.depth_m", 0.8, 0.8)),
        ("wobbles 6.5 Hz at 0.9 m/s", ("retrieve.wobble_hz", 6.5, 6.5)),
        ("wobbled 6.5 times a second", ("retrieve.wobble_hz", 6.5, 6.5)),
        ("wobbles at 6 /s", ("retrieve.wobble_hz", 6.0, 6.0)),
        ("wobbles 20 deg either way", ("retrieve.yaw_amplitude_deg", 20.0, 20.0)),
        ("rocked by 20 deg", ("retrieve.roll_amplitude_deg", 20.0, 20.0)),
        ("runs nose down 20 deg", ("retrieve.pitch_deg", -20.0, -20.0)),
        ("pulls at least 0.5 N", ("retrieve.tension_n", 0.5, math.inf)),
        ("turns 0.4 times per metre", ("retrieve.turns_per_m", 0.4, 0.4)),
    ],
)
def test_a_number_is_read_with_its_figure_its_unit_and_its_sign(text, expected):
    assert span(text) == expected


@pytest.mark.parametrize(
    ("texts", "figure", "word"),
    [
        (("floats", "floated", "it floats."), "budget.verdict", "floats"),
        (("sinks", "sank", "the lure sunk", "SANK"), "budget.verdict", "sinks"),
        (("suspends", "hung", "hovers"), "budget.verdict", "suspends"),
        (("landed tail first", "splashes tail first"), "cast.lands", "tail first"),
        (("lands side on",), "cast.lands", "side on"),
        (("fell straight down", "sinks straight"), "drop.motion", "straight"),
        (("flutters", "fluttered on the way down"), "drop.motion", "flutters"),
        (("spirals on the drop",), "drop.motion", "spirals"),
        (("hangs when it is let go",), "drop.motion", "hangs"),
        (("rolls over", "rolled over", "lay on its side"), "retrieve.behaviour", "rolls over"),
        (("spun", "spins at 0.9 m/s"), "retrieve.behaviour", "spins"),
        (("spiralled", "went round in circles"), "retrieve.behaviour", "spirals"),
        (("went end over end",), "retrieve.behaviour", "tumbles"),
        (("skipped", "jumps out of the water"), "retrieve.behaviour", "skips"),
        (("runs to the left", "tracked off to a side"), "retrieve.behaviour", "tracks off to a side"),
        (("waked", "stays on top", "pushes a wake"), "retrieve.behaviour", "wakes"),
        (("dug in", "dove", "dives"), "retrieve.behaviour", "dives"),
        (("ran just under", "swims under"), "retrieve.behaviour", "runs just under"),
        (("hops",), "retrieve.behaviour", "hops"),
        (("wobbled",), "retrieve.behaviour", "wobbles"),
        (("rocks",), "retrieve.behaviour", "rocks"),
        (("had no action", "did nothing"), "retrieve.behaviour", "drags"),
        (("hit the bottom", "dragged along the bottom"), "retrieve.behaviour", "drags on the bottom"),
    ],
)
def test_a_word_may_be_said_in_the_present_and_the_past(texts, figure, word):
    for text in texts:
        found = read(DESIGN, text)
        assert (found.figure, found.word, found.negated) == (figure, word, False), text


@pytest.mark.parametrize(
    "no",
    [
        "does not spin",
        "did not spin",
        "doesn't spin",
        "didn\N{RIGHT SINGLE QUOTATION MARK}t spin",
        "never spins",
    ],
)
def test_every_way_to_say_no_is_understood(no):
    found = read(DESIGN, no)
    assert (found.word, found.negated) == ("spins", True)


def test_turning_over_in_the_air_is_a_number_of_turns():
    assert read(DESIGN, "tumbled in the air").span[:2] == (0.5, math.inf)
    assert read(DESIGN, "does not tumble in the air").span[:2] == (-math.inf, 0.5)


def test_a_lean_to_a_named_side_is_held_against_that_side():
    right, left = {"float.roll_deg": 8.0}, {"float.roll_deg": -8.0}  # positive: its right side down
    told = {side: read(DESIGN, f"leans 8 deg to its {side}") for side in ("left", "right")}
    assert told["right"].holds(right)
    assert told["left"].holds(left)
    assert not told["left"].holds(right)
    assert not told["right"].holds(left)
    either = read(DESIGN, "leans 8 deg")
    assert either.holds(left)
    assert either.holds(right)


def test_a_side_is_kept_where_one_is_named():
    assert [read(DESIGN, f"runs to the {side}").toward for side in ("left", "right", "side")] == [1, -1, 0]


def test_a_pull_is_meant_by_place_and_speed_in_either_order():
    expected = (Pull("lip", 0.6),)
    assert read(DESIGN, "rolled over at 0.6 m/s from lip").pulls == expected
    assert read(DESIGN, "rolled over from the lip at 0.6 m/s").pulls == expected


def test_left_out_they_mean_the_first_point_and_every_speed_of_the_file():
    assert read(DESIGN, "spins").pulls == tuple(Pull("nose", speed) for speed in (0.5, 0.9, 1.3))


def test_a_range_of_speeds_is_looked_at_at_its_ends_and_between():
    found = [pull.speed for pull in read(DESIGN, "wakes at 0.3..0.6 m/s").pulls]
    assert found == pytest.approx([0.3, math.sqrt(0.18), 0.6])
    assert [p.speed for p in read(DESIGN, "wakes between 0.3 and 0.6 m/s").pulls] == pytest.approx(found)


def test_a_told_deviation_counts_and_without_one_what_eye_and_watch_are_good_for():
    assert read(DESIGN, "flies 25 +- 2 m").span.sd == pytest.approx(2.0)
    assert read(DESIGN, "flies 25 m").span.sd == pytest.approx(1.25)
    assert read(DESIGN, "sinks 1 +- 0.1 m in 8 s").span.sd == pytest.approx(0.0125)


def test_one_number_says_between_what_it_is_read_and_a_told_doubt_or_a_range_does_not():
    assert read(DESIGN, "floats with 1 g").within == pytest.approx((0.8, 1.2))
    assert read(DESIGN, "sank by 3 g").within == pytest.approx((-3.6, -2.4))
    assert read(DESIGN, "sinks 1 m in 8 s").within == pytest.approx((0.1125, 0.1375))
    for text in (
        "floats with 1 +- 0.1 g",
        "floats with at least 1 g",
        "flies 20..25 m",
        "wakes",
        "sinks 1 m in 8 +- 1 s",
    ):
        assert read(DESIGN, text).within is None, text


@pytest.mark.parametrize("figure", sorted({phrase.figure for phrase in PHRASES}))
def test_the_page_of_the_grammar_says_how_sharp_a_bare_number_is(figure):
    least, share = METRICS[figure].sharp
    unit = spoken_unit(figure, METRIC)
    least = f"{least:g} {unit}".strip() if least else ""
    told = f"{least}, or {100 * share:g} % of it if that is more" if least else f"{100 * share:g} % of it"
    rows = [line for line in SAY.splitlines() if line.startswith("|") and line.endswith(f"| {told} |")]
    assert any(f"`{WRITTEN[figure]}`" in row for row in rows), f"`{WRITTEN[figure]}` ... | {told} |"


def test_two_things_may_be_said_at_once():
    assert [one.word for one in criteria(DESIGN, "sank and landed tail first")] == ["sinks", "tail first"]
    assert [one.figure for one in criteria(DESIGN, "landed tail first at 22 m")] == [
        "cast.lands",
        "cast.range_m",
    ]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "nothing is said here; write, for example, 'sank'"),
        ("it", "is not understood; say it, for example, as"),
        ("sinkz", "is not understood"),
        ("x" * 201, "this is 201 characters long; say one thing at a time"),
        ("flies not 25 m", "says what a number is not; say between what it lies"),
        ("rolled over from tail", 'there is no tie-on point "tail"; the design has nose, lip'),
        ("wakes at 0.6..0.3 m/s", "write the slower speed first"),
        ("sinks 1 m in 8 kg", '"sinks 1 m in 8 kg": '),
        ("sinks 1 m in 0 s", "write a distance and a time above zero"),
        ("flies 25 kg", 'is not understood, since 25 kg is a weight; write "flies 25 m"'),
        ("wobbles 6 g", 'since 6 g is a weight; write "wobbles 6 Hz" or "wobbles 6 deg either way"'),
        ("wobbles 6", "since 6 needs its unit; write"),
        ("wobbles 6 bananas", 'since "bananas" does not go with it; write "wobbles 6 Hz"'),
        ("sits 5 deg", 'is not understood; write "sits nose up 5 deg" or "sits nose down 5 deg"'),
        ("sinks 1 m", 'since 1 m is a length; write "sinks 1 m in 8 s"'),
        ("rises 3 g", 'since 3 g is a weight; write "rises at 3 m/s"'),
        ("weighs 12 g at 0.9 m/s", 'write "weighs 12 g"'),
        ("wakes at 0.5 from lip", 'a speed needs its unit; write "wakes at 0.5 m/s from lip"'),
        ("rolls ovr", 'did you mean "rolls over"?'),
    ],
)
def test_what_says_nothing_is_answered_with_what_to_write(text, message):
    with pytest.raises(StatementError) as caught:
        criteria(DESIGN, text)
    assert message in str(caught.value)


def test_a_slip_of_the_pen_is_answered_with_what_was_meant():
    with pytest.raises(StatementError, match='did you mean "does not spin"'):
        read(DESIGN, "does not spinn")


@pytest.mark.parametrize("phrase", PHRASES, ids=lambda one: one.write)
def test_what_is_told_to_be_written_is_understood(phrase):
    assert read(DESIGN, phrase.write.format(n="3")).figure == phrase.figure


@pytest.mark.parametrize(
    "text", ['"sank by 5 g"', "'sank by 5 g'", '"sank by 5 g', 'sank by 5 g"', "\u201csank by 5 g\u201d"]
)
def test_quotation_marks_that_the_shell_has_left_do_no_harm(text):
    assert span(text) == ("budget.margin_g", -5.0, -5.0)
    assert span('shows 0.1"')[1] == 2.54


def test_no_control_character_of_a_statement_reaches_the_terminal():
    with pytest.raises(StatementError) as caught:
        read(DESIGN, "\x1b[2Jboom")
    assert "\x1b" not in str(caught.value)
