"""The pages: what they say, how wide they are, and in whose units."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.show import pull_sentences, sentences
from sim.show.layout import WIDTH, Look, clean
from sim.show.pages import trials
from sim.show.units import METRIC, NO_BREAK, US
from sim.trials.records import Conflict, TurningValue
from sim.trials.results import (
    Act,
    Behaviour,
    DropMotion,
    Ended,
    ForceBalance,
    RightingPoint,
    SeenBehaviour,
    Verdict,
)
from tests.show import fakes
from tests.show.terminal import terminal

PAGES = {
    "trial": lambda look: terminal(trials.trial, fakes.trial(), look=look),
    "budget": lambda look: terminal(trials.budget, "Harbour runner", fakes.sinking_budget(), look=look),
    "float": lambda look: terminal(trials.floating, "Harbour runner", fakes.floating(), look=look),
    "drop": lambda look: terminal(trials.drop, "Harbour runner", fakes.sinking_drop(), look=look),
    "cast": lambda look: terminal(trials.cast, "Harbour runner", fakes.cast(), look=look),
    "retrieve": lambda look: terminal(trials.retrieve, "Harbour runner", fakes.retrieve(), look=look),
}


def spoken(write, *args):
    """What a sentence function says, with ordinary spaces between values and units."""
    said = write(*args)
    return (said if isinstance(said, str) else " ".join(said)).replace(NO_BREAK, " ")


@pytest.mark.parametrize("units", [METRIC, US], ids=lambda units: units.name)
@pytest.mark.parametrize("page", PAGES)
def test_no_page_is_wider_than_a_terminal_or_ends_lines_in_blanks(page, units):
    lines = PAGES[page](Look(units)).splitlines()
    assert max(map(len, lines)) <= WIDTH
    assert all(line == line.rstrip() for line in lines)


def test_a_trial_fits_one_tall_screen():
    assert len(terminal(trials.trial, fakes.trial()).splitlines()) <= 55


def test_pages_are_plain_ascii_so_that_any_terminal_shows_them():
    for page in PAGES.values():
        page(Look()).encode("ascii")


def test_the_verdict_is_the_first_thing_said():
    first = terminal(trials.trial, fakes.trial()).split("\n\n")[1]
    assert first.startswith(
        "Floats, with 1.83 g to spare, give or take 0.31 g. About 93 in 100 builds would\nfloat."
    )


def test_a_sinking_verdict_says_by_how_much():
    said = spoken(sentences.verdict, fakes.sinking_budget(), METRIC)
    assert said.startswith("Sinks: it is 2.57 g too heavy for the water it pushes aside")
    assert said.endswith("Hardly any build would float.")


def test_what_cannot_be_true_is_the_verdict_and_names_what_settles_it():
    conflict = Conflict(
        body="shell", keys=["weight", "cavity", "sizes"], hollow=True, density_kg_m3=13500.0, too_dense=True,
        settled_by="body.shell.displaced",
    )  # fmt: skip
    said = spoken(
        sentences.verdict,
        fakes.budget(verdict=Verdict.UNKNOWN, conflicts=[conflict], chance_floats=None),
        METRIC,
    )
    assert said.startswith(
        "Cannot be told: of shell, its weight, its cavity and its sizes cannot all be true"
    )
    assert said.endswith("give what it pushes aside as `displaced`.")
    assert "Floats" not in said
    assert "Sinks" not in said


def test_without_any_tolerance_given_no_chance_is_claimed():
    said = spoken(sentences.verdict, fakes.budget(margin_sd_g=0.0, chance_floats=None), METRIC)
    assert said == "Floats, with 1.83 g to spare."


@pytest.mark.parametrize(("margin", "side"), [(0.04, "lighter"), (-0.04, "heavier")])
def test_a_suspending_lure_says_which_side_it_is_on(margin, side):
    result = fakes.budget(verdict=Verdict.SUSPENDS, margin_g=margin, chance_floats=None, margin_sd_g=0.0)
    assert spoken(sentences.verdict, result, METRIC) == (
        f"Suspends: it is only 0.04 g {side} than the water it pushes aside."
    )


def test_us_units_leave_no_metric_unit_in_what_is_measured():
    for name, page in PAGES.items():
        if name in ("trial", "budget"):
            continue  # these carry sentences in the words of the design file
        shown = page(Look(US))
        if name == "drop":
            shown = re.sub(r"^[\d.]+ cm/s, .*$", "", shown, flags=re.M)  # every form, on purpose
        assert not re.search(r"\d (mm|cm|m|g|mL|N|m/s|cm/s)\b", shown), name
    weights = spoken(sentences.weights, fakes.budget(), US)
    assert weights.startswith("It weighs 0.368 oz and pushes aside 0.415 fl oz")


def test_the_causes_and_what_would_turn_the_verdict_follow_the_units():
    pushed = ForceBalance(act=Act.DOWN, ahead=[("the lip", 0.028)], against=[])
    dives = SeenBehaviour(behaviour=Behaviour.DIVES, numbers={}, balances=[pushed])
    run = fakes.retrieve()[1].model_copy(update={"seen": [dives]})
    assert "The lip (0.0063 lbf) pushes it down." in " ".join(pull_sentences.causes([run], US))
    budget = fakes.budget(
        turning_values=[TurningValue(path="ballast.keel.weight", value_si=6.85e-3, dimension="mass")]
    )
    assert "With ballast keel at more than 0.242 oz it would sink." in terminal(
        trials.budget, "x", budget, look=Look(US)
    )


def test_a_range_of_depths_has_one_unit_and_the_sharpness_of_the_table():
    assert [end.replace("\u00a0", " ") for end in METRIC.depths(0.584, 1.053)] == ["0.58 m", "1.05 m"]
    assert [end.replace("\u00a0", " ") for end in METRIC.depths(0.584, 0.813)] == ["58 cm", "81 cm"]


def test_the_parts_table_shows_every_part_its_source_and_its_note():
    page = terminal(trials.budget, "Harbour runner", fakes.budget())
    for part in fakes.budget().parts:
        assert re.search(rf"^{part.name} .*{part.source}$", page, flags=re.M)
    assert "- body main: weighed 4.12 g, computed 3.95 g (4 % more)" in page
    assert re.search(r"^Whole lure\s+10.42\s+12.27\s+34.1\s+-3.4\s+0.0$", page, flags=re.M)


def test_a_lure_that_sinks_has_no_place_of_rest():
    assert spoken(sentences.rest, fakes.sunk(), METRIC) == "Sinks: it has no place of rest at the surface."


@pytest.mark.parametrize(
    ("pitch", "roll", "said"),
    [
        (0.3, -0.2, "level and upright"),
        (12.0, 0.0, "nose up 12 degrees and upright"),
        (-1.6, 4.0, "nose down 2 degrees and leaning 4 degrees to its right"),
        (3.0, -88.0, "nose up 3 degrees and lying on its left side"),
        (0.0, 178.0, "level and belly up"),
        (81.0, 0.0, "standing on its tail"),
        (-70.0, 90.0, "standing on its nose"),
    ],
)
def test_attitudes_are_put_as_one_would_say_them(pitch, roll, said):
    assert spoken(sentences.attitude, pitch, roll) == said


def test_righting_says_from_how_far_it_comes_back():
    said = spoken(sentences.righting, fakes.floating(), METRIC)
    assert said.startswith("Rolled to either side, it comes back from as far as 112 degrees.")


def test_a_round_body_without_ballast_stays_as_it_is_turned():
    flat = [RightingPoint(angle_deg=a, arm_mm=0.0) for a in range(-180, 181, 10)]
    said = spoken(sentences.righting, fakes.floating(righting_heel=flat), METRIC)
    assert said.startswith("Rolled to either side, it stays as it is turned.")


def test_a_lure_that_rights_itself_unevenly_says_so_for_each_side():
    uneven = [p for p in fakes.righting(112.0) if p.angle_deg >= 0]
    uneven += [p for p in fakes.righting(60.0) if p.angle_deg < 0]
    said = spoken(sentences.righting, fakes.floating(righting_heel=uneven), METRIC)
    assert "to its right, it comes back from as far as 112 degrees" in said
    assert "to its left, it comes back from as far as 60 degrees" in said


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({}, "Rises at 21 cm/s, nose down 3 degrees and upright, straight up."),
        (
            {"sink_rate_m_s": 0.212, "motion": DropMotion.GLIDE, "glide_deg": 27.0},
            "Sinks at 21 cm/s, nose down 3 degrees and upright, gliding 27 degrees away from straight down.",
        ),
        ({"motion": DropMotion.HANGS, "sink_rate_m_s": 0.0}, "Hangs: it hardly moves, up or down."),
        ({"sink_rate_m_s": 0.5, "motion": DropMotion.TUMBLE}, "Sinks at 50 cm/s, tumbling end over end."),
        (
            {"sink_rate_m_s": 0.5, "motion": DropMotion.SPIRAL, "turns_per_m": 1.24},
            "Sinks at 50 cm/s, nose down 3 degrees, spiralling, 1.2 turns for each metre.",
        ),
    ],
)
def test_a_drop_is_told_in_a_sentence(changes, said):
    assert spoken(sentences.drop, fakes.drop(**changes), METRIC) == said


def test_the_countdown_table_is_thinned_to_one_line():
    page = terminal(
        trials.drop,
        "Harbour runner",
        fakes.sinking_drop(countdown=[(float(s), 0.1 * s) for s in range(1, 60)]),
    )
    head = next(line for line in page.splitlines() if line.startswith("Count"))
    assert 5 <= head.count(" s") <= 10


def test_a_cast_tells_the_drift_of_a_side_wind():
    said = spoken(sentences.cast, fakes.cast(drift_m=-2.4), METRIC)
    assert said.endswith("lands tail first at 14 m/s. It drifts 2.4 m to the right.")


def test_speeds_with_the_same_behaviour_are_told_together():
    assert spoken(pull_sentences.pulled, fakes.retrieve(), METRIC) == (
        "Tied at nose, it wakes at 0.40 m/s; dives to between 62 cm and 81 cm at 0.80 to 1.20 m/s. "
        "Tied at lip_low, it wakes at 0.40 to 0.80 m/s; spins at 1.20 m/s. "
        "It turns about the line, up to 2.1 turns for each metre, and will twist it."
    )


def test_a_lure_that_runs_off_says_to_which_side():
    run = fakes.run(behaviour=Behaviour.OFF_SIDE, offset_m=-1.7)
    assert spoken(pull_sentences.pulled, [run], METRIC) == (
        "Tied at nose, it tracks off to a side at 0.40 m/s. It runs off up to 1.7 m to the right."
    )


def test_a_run_that_was_cut_short_says_so_and_leaves_dashes():
    page = terminal(trials.retrieve, "Harbour runner", [fakes.run(**fakes.GIVEN_UP)])
    assert "the solver gave up" in page
    assert re.search(r"^nose\s+0.40\s+could not be followed(\s+-){6}$", page, flags=re.M)
    assert Ended.GAVE_UP.value.startswith("the solver gave up")


def test_a_lure_that_turns_right_over_is_said_to_go_round():
    also = [Behaviour.TUMBLES, Behaviour.ROLLS_OVER, Behaviour.WAKES, Behaviour.ROCKS]
    run = fakes.run(behaviour=Behaviour.SPINS, also=also, roll_amplitude_deg=578.0)
    page = terminal(trials.retrieve, "Harbour runner", [run])
    assert re.search(r"^nose\s+0.40  spins, tumbles, rolls\s.* round\s", page, flags=re.M)
    assert "rocks" not in page


def test_warnings_and_cautions_close_the_page():
    page = terminal(trials.trial, fakes.trial())
    assert page.index("Look again") < page.index("Take care")
    assert page.split("\n\n")[-1].startswith("Take care\n- Lead is poisonous")


def test_colour_is_added_only_when_asked_for_and_changes_no_words():
    plain, coloured = (
        terminal(trials.trial, fakes.trial()),
        terminal(trials.trial, fakes.trial(), look=Look(colour=True)),
    )
    assert "\x1b" not in plain
    assert "\x1b[1;32mFloats" in coloured
    stripped = re.sub(r"\x1b\[[\d;]*m", "", coloured)
    assert [line.rstrip() for line in stripped.splitlines()] == plain.splitlines()


@given(st.text(max_size=80))
def test_no_name_can_drive_the_terminal_or_widen_the_page(name):
    page = terminal(trials.cast, name, fakes.cast())
    assert not any(ord(c) < 32 and c != "\n" for c in page)
    assert "\x1b" not in clean(name)
    assert max(map(len, page.splitlines())) <= WIDTH


def test_part_names_are_never_read_as_markup():
    part = fakes.part("body [bold]x[/]", 1.0, 1.0, 0.0, 0.0)
    assert "body [bold]x[/]" in terminal(trials.budget, "x", fakes.budget(parts=[part]))


@given(st.floats(-1e6, 1e6), st.sampled_from(["mass", "volume", "size", "distance", "speed", "force"]))
def test_both_systems_show_the_same_quantity_to_within_their_rounding(value, kind):
    for units in (METRIC, US):
        scale = units.scales[kind]
        shown = float(scale.number(value))
        assert abs(shown / scale.factor - value) <= 0.5001 * 10**-scale.places / scale.factor + 1e-9 * abs(
            value
        )


def test_factors_between_the_systems_are_the_exact_ones():
    assert spoken(US.text, "mass", 453.59237) == "16.0 oz"
    assert spoken(US.text, "distance", 30.48) == "100 ft"
    assert spoken(US.text, "size", 25.4) == "1.00 in"
    assert spoken(US.text, "volume", 29.5735295625) == "1.00 fl oz"
    assert US.number("force", 4.4482216152605) == "1.000"


def test_nothing_is_ever_shown_as_minus_nought():
    assert METRIC.number("size", -0.01) == "0.0"
    assert spoken(METRIC.text, "mass", -0.0001).startswith("0")
