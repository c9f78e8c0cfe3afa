"""`explain`: the cause that was planted is found, what is predicted is left alone, nothing is made up."""

from __future__ import annotations

import json
import math
import re

import numpy as np
import pytest

from sim.cli import main
from sim.design.load import load, read
from sim.show.layout import Look
from sim.show.pages import explanation as pages
from sim.show.suspect_words import how_to_know, says
from sim.show.units import METRIC, US
from sim.studies.diagnosis.diagnose import Explain
from sim.studies.diagnosis.explanation import CauseFound, ExplanationVerdict, explanation
from sim.studies.diagnosis.suspect import SLIPPED, Mishap
from sim.studies.diagnosis.suspects import suspects
from sim.studies.diagnosis.traces import FITS, Trace, aims, blur, penalty, told_apart
from sim.studies.engine import CaseError, changed
from sim.studies.grammar import criteria
from sim.trials.request import Request
from tests.show.terminal import terminal

SKITTLE = "scenarios/last_skittle.toml"
FLOAT = """
name = "Plank"
[body.main]
length = "70 mm"
width = "18 mm"
height = "20 mm"
density = "0.60 +- 0.02 g/cm3"
[ballast.belly]
at = { back = "30 mm", up = "-6 mm" }
weight = "4.0 +- 0.1 g"
[hook.tail]
at = { back = "70 mm" }
weight = "1.5 g"
[tie_on.nose]
"""


def searched(text, *seen, **more):
    design = read(text, "plank.toml")
    search = Explain(text, design, [s for one in seen for s in criteria(design, one)], **more)
    for _ in search.run():
        pass
    return search


def found(text, *seen):
    return explanation(searched(text, *seen))


# ---- suspects -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["last_skittle", "gravel_bell", "porch_light", "tin_leaf"])
def test_every_suspect_can_be_built_or_says_why_not(name):
    design = load(f"scenarios/{name}.toml")
    for one in suspects(design):
        for x in one.grid():
            try:
                assert changed(design, one.changes(x)) != design
            except CaseError as problem:
                assert str(problem)


def test_a_movement_costs_half_its_square_and_a_slip_no_more_than_a_slip():
    one = next(s for s in suspects(load("scenarios/porch_light.toml")) if s.name == "body.main.density")
    assert one.cost(1.5) == pytest.approx(1.125)
    assert one.cost(4.0) == one.cost(5.0) == one.cost(SLIPPED) == pytest.approx(0.5 * one.up.prior**2)
    assert one.cost(-4.0) == pytest.approx(8.0)  # no wood gets lighter by a slip
    assert one.beyond(1.0) is None
    assert one.beyond(5.0).what is Mishap.SOAKED


def test_a_slip_goes_on_from_where_the_deviations_end():
    one = next(s for s in suspects(load("scenarios/porch_light.toml")) if s.name == "plate.lip.angle")
    values = [one.value(x) for x in np.arange(-6.0, 6.1, 0.25)]
    assert values == sorted(values)
    assert one.value(SLIPPED) == pytest.approx(math.radians(93.0))


def test_only_what_the_design_makes_possible_is_suspected():
    names = {one.name for one in suspects(load("scenarios/tin_leaf.toml"))}
    assert not any(name.startswith(("ballast.", "body.", "slip.ballast", "slip.eyes")) for name in names)
    assert "slip.hook_size.tail" in names
    assert "slip.water" in names


def test_what_cannot_bear_on_a_look_is_not_looked_at():
    request = Request(("budget",))
    names = {one.name for one in suspects(load(SKITTLE)) if one.matters(request)}
    assert "body.skittle.density" in names
    assert not any(
        name.startswith(("tie_on.", "cast.", "line.", "retrieve.", "calibration.")) for name in names
    )


def test_hooks_forgotten_on_the_scale_are_suspected_where_the_whole_was_weighed():
    text = FLOAT + '[measured]\nweight = "13 g"\n'
    one = next(s for s in suspects(read(text, "p.toml")) if s.name == "slip.hooks_not_weighed")
    assert one.changes(1.0)["measured.weight"].value == pytest.approx(14.5e-3)


def test_what_a_dunked_shell_displaces_may_have_been_written_as_its_cavity():
    text = FLOAT.replace('density = "0.60 +- 0.02 g/cm3"',
                         'density = "1.2 g/cm3"\ncavity = "10 mL"\nweight = "4.8 g"')  # fmt: skip
    one = next(s for s in suspects(read(text, "p.toml")) if s.name == "slip.cavity.main")
    assert one.changes(1.0)["body.main.cavity"].value == pytest.approx(6.0e-6)


# ---- traces -------------------------------------------------------------------------------------------


def test_what_costs_least_lies_between_two_looks():
    design = read(FLOAT, "p.toml")
    statements = criteria(design, "floats with 2.0 +- 0.1 g to spare")
    one = next(s for s in suspects(design) if s.name == "body.main.density")
    trace = Trace(one, np.array([3.0]))
    for x in one.grid():
        trace.add(x, np.array([3.0 - 0.5 * x]))
    best = trace.weighed(aims(statements))
    assert best.x == pytest.approx(2.0, abs=0.15)
    assert best.cost <= trace.looked().cost + 1e-12


def test_a_wild_reading_counts_in_proportion_only():
    assert penalty(np.array([3.0, 4.0])) == pytest.approx(12.5)
    assert penalty(np.array([20.0])) == pytest.approx(5.0 * 20.0 - 12.5)


def test_chance_is_what_is_left_over_a_smooth_course():
    design, rng = read(FLOAT, "p.toml"), np.random.default_rng(3)
    smooth, rough = [], []
    for one in [s for s in suspects(design) if s.between()]:
        course = {x: np.array([0.2 * x + 0.05 * x**2]) for x in (-4.0, -2.0, 2.0, 4.0)}
        smooth.append(Trace(one, np.array([0.0]), course))
        rough.append(Trace(one, np.array([0.0]), {x: y + rng.normal(0.0, 0.3, 1) for x, y in course.items()}))
    assert blur(smooth)[0] == pytest.approx(0.0, abs=1e-12)
    assert blur(rough)[0] == pytest.approx(0.3, rel=0.4)


def test_likeness_is_a_distance():
    assert told_apart(np.array([1.0, 0.0]), np.array([1.0, 3.0])) == 3.0


# ---- the search ---------------------------------------------------------------------------------------


def test_what_the_design_predicts_needs_no_cause():
    answer = found(FLOAT.replace("0.60 +- 0.02", "0.40 +- 0.02"), "floated")
    assert answer.verdict is ExplanationVerdict.PREDICTED
    assert answer.observed[0].holds
    assert answer.observed[0].sure > 0.95
    page = terminal(pages.explanation, "Plank", answer)
    assert page.splitlines()[2].startswith("Nothing needs explaining")
    assert "What would explain it" not in page


def test_a_heavier_body_is_found_with_the_value_at_which_it_turns():
    spare = searched(FLOAT, "floated").start["budget.margin_g"]
    design = read(FLOAT, "p.toml")
    body = next(s for s in suspects(design) if s.name == "body.main.density")
    from sim.lure import build
    from sim.trials.scene import medium

    heavy = changed(design, body.changes(3.0))
    lure = build(heavy)
    seen = 1e3 * (medium(heavy).density * lure.volume - lure.mass)
    search = searched(FLOAT, f"floats with {seen:.3f} +- 0.05 g to spare")
    answer = explanation(search)
    assert answer.verdict is ExplanationVerdict.EXPLAINED
    names = [cause.name for cause in answer.groups[0].causes]
    best = answer.groups[0].causes[names.index("body.main.density")]
    assert seen < spare
    assert best.deviations == pytest.approx(3.0, abs=0.2)
    assert best.flips_at_si < best.moved.to_si
    assert says(best) == "body.main is heavier than told"
    assert "Weigh a scrap" in how_to_know(best)
    assert len(search) >= search.looks


def test_causes_that_only_weigh_are_one_group_when_only_the_scale_was_read():
    spare = searched(FLOAT, "floated").start["budget.margin_g"]
    answer = found(FLOAT, f"floats with {spare - 0.3:.3f} +- 0.05 g to spare")
    names = {cause.name for cause in answer.groups[0].causes}
    assert {"body.main.density", "ballast.belly.weight"} <= names
    assert "cannot tell this from" in pages.verdict(answer)


LIGHT = FLOAT.replace("0.60 +- 0.02", "0.45 +- 0.02")


def _seen(*moves):
    """Spare lift and slope with some suspects moved."""
    design = read(LIGHT, "p.toml")
    every = {one.name: one for one in suspects(design)}
    changes = {path: value for name, x in moves for path, value in every[name].changes(x).items()}
    row = Request(("budget", "float"))(changed(design, changes))
    return row["budget.margin_g"], row["float.pitch_deg"]


def test_all_that_was_said_ranks_together_and_what_explains_none_of_it_is_left_out():
    """Afloat it may be leaner as well as heavier; what the scale says together with that speaks for heavier."""
    spare, _ = _seen(("body.main.density", 3.0))
    said = [f"floats with {spare:.3f} +- 0.03 g to spare", "leans 0 +- 2 deg"]
    likeliest = []
    for more in ([], [f"weighs {11.28 + 2.09 - spare:.2f} +- 0.1 g"]):
        answer = found(LIGHT, *said, *more)
        every = [cause for group in answer.groups for cause in group.causes]
        assert all(cause.explained for cause in every)
        assert {"hook.tail.at.left", "ballast.belly.at.left"} & {*answer.not_it}
        likeliest.append(max(every, key=lambda cause: cause.share).name)
    assert likeliest == ["body.main.fullness", "body.main.density"]


def test_two_things_at_once_are_tried_where_no_single_one_explains_all():
    planted = ("body.main.fullness", 1.5), ("ballast.belly.at.back", -5.0)
    spare, slope = _seen(*planted)
    up = f"{'up' if slope > 0 else 'down'} {abs(slope):.2f}"
    answer = found(
        LIGHT,
        f"floats with {spare:.3f} +- 0.05 g to spare",
        f"sits nose {up} +- 1 deg",
        "weighs 12.17 +- 0.1 g",
    )
    assert answer.verdict is ExplanationVerdict.TOGETHER
    first = {cause.name for cause in answer.pairs[0].causes}
    assert first == {name for name, _ in planted}
    assert not answer.pairs[0].unexplained
    page = terminal(pages.explanation, "Plank", answer)
    assert "Perhaps two things came together" in page


def test_no_pair_is_looked_for_where_one_cause_does():
    spare, _ = _seen(("body.main.density", 3.0))
    assert not found(LIGHT, f"floats with {spare:.3f} +- 0.05 g to spare").pairs


def test_a_page_is_one_screen_unless_all_is_asked_for():
    spare, slope = _seen(("body.main.density", 3.0))
    up = f"{'up' if slope > 0 else 'down'} {abs(slope):.2f}"
    said = (
        f"floats with {spare:.3f} +- 0.05 g to spare",
        f"sits nose {up} +- 2 deg",
        "leans 0 +- 2 deg",
        "floated",
    )
    answer = found(LIGHT, *said)
    page = terminal(pages.explanation, "Plank", answer)
    whole = terminal(pages.explanation, "Plank", answer, every=True)
    assert len(page.splitlines()) <= 30
    assert "--all shows" in page
    assert "What it is not" in whole
    assert len(whole) > len(page)


def test_the_evidence_of_a_straight_course_is_that_of_textbooks():
    """A reading y of deviation s, moved by k times a normal number: a normal number of variance s^2 + k^2."""
    design = read(FLOAT, "p.toml")
    one = next(s for s in suspects(design) if s.name == "ballast.belly.weight")
    trace = Trace(one, np.array([0.0]))
    for x in one.grid():
        trace.add(x, np.array([0.4 * x]))
    said = aims(criteria(design, "floats with 0.5 +- 0.2 g to spare"))
    both = 0.4**2 + 0.2**2
    exact = -0.5 * 0.5**2 / both - 0.5 * math.log(both / 0.2**2)
    assert trace.evidence(said) == pytest.approx(exact, abs=0.01)


def test_nothing_is_made_up_for_what_no_single_cause_can_do():
    answer = found(FLOAT, "floats with 60 +- 0.1 g to spare")
    assert answer.verdict is ExplanationVerdict.NOTHING or answer.groups[0].causes[0].unexplained
    assert "Most likely" not in pages.verdict(answer) or answer.verdict is ExplanationVerdict.PARTLY


def test_statements_that_contradict_each_other_are_not_explained_away():
    answer = found(FLOAT, "sank by 5 +- 0.1 g", "floats with 9 +- 0.1 g to spare")
    assert answer.verdict in (ExplanationVerdict.PARTLY, ExplanationVerdict.NOTHING)


def test_two_processes_find_what_one_finds():
    one = searched(FLOAT, "sank by 0.5 g")
    two = Explain(FLOAT, read(FLOAT, "p.toml"), criteria(read(FLOAT, "p.toml"), "sank by 0.5 g"))
    for _ in two.run(workers=2):
        pass
    assert explanation(one) == explanation(two)


def test_looks_of_an_earlier_search_are_used_again():
    known = {}
    first = searched(FLOAT, "sank by 0.5 g", known=known, deep=False)
    again = searched(FLOAT, "sank by 0.5 g", known=known, deep=False)
    assert first.looks == len(known)
    assert again.looks == 0
    assert [[r.at for r in group] for group in first.groups] == [
        [r.at for r in group] for group in again.groups
    ]


def test_causes_and_readings_are_told_in_the_readers_units_and_with_their_side():
    answer = found(FLOAT, "sank by 0.5 g", "leans 8 deg to its left", "rose at 0.1 m/s")
    text = " ".join(terminal(pages.explanation, "Plank", answer, look=Look(US)).split())
    assert '"sank by 0.5 g" (read as 0.011 to 0.025 oz) ' in text
    assert '"leans 8 deg to its left" (read as 4 to 12 deg) ' in text
    assert '"rose at 0.1 m/s" (read as 0.30 to 0.36 ft/s) ' in text
    unsaid = text.split("What would explain it")[-1]
    assert not re.search(r"\d (g|mm|m/s|N)(?!/)\b", unsaid.replace("0.5 g", "").replace("0.1 m/s", "")), (
        unsaid
    )
    assert pages.figure("drop.sink_rate_m_s", -0.25, METRIC).replace("\u00a0", " ") == "0.25 m/s up"
    assert pages.figure("drop.sink_rate_m_s", 0.25, METRIC).replace("\u00a0", " ") == "0.25 m/s down"
    assert pages.figure("float.roll_deg", -8.0, METRIC).replace("\u00a0", " ") == "8.0 deg to its left"
    assert pages.figure("float.roll_deg", 0.0, METRIC).replace("\u00a0", " ") == "0.0 deg"


@pytest.mark.parametrize("way", [1.0, -1.0])
def test_every_cause_has_words_for_both_ways(way):
    for name in ("last_skittle", "porch_light", "gravel_bell"):
        for one in suspects(load(f"scenarios/{name}.toml")):
            x = way if one.between() else 1.0
            words = says(CauseFound.model_construct(name=one.name, moved=one.moved(x)))
            assert words
            assert "None" not in words
            assert not words.endswith(".")


# ---- the command --------------------------------------------------------------------------------------


@pytest.fixture
def plank(tmp_path):
    path = tmp_path / "plank.toml"
    path.write_text(FLOAT)
    return str(path)


def test_the_command_answers_with_the_verdict_first(plank, capsys):
    assert main(["explain", plank, "sank by 0.5 g", "--workers", "1"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "Plank"
    assert lines[2].startswith(("Most likely", "Perhaps"))
    assert all(len(line) <= 80 for line in lines)


def test_json_holds_every_group(plank, capsys):
    assert main(["explain", plank, "sank by 0.5 g", "--json", "--workers", "1"]) == 0
    answer = json.loads(capsys.readouterr().out)["explanation"]
    assert answer["verdict"] in [str(v) for v in ExplanationVerdict]
    assert answer["groups"][0]["causes"][0]["cost"] < answer["cost_as_designed"]


def test_the_report_is_written_whole(plank, tmp_path, capsys):
    target = tmp_path / "why.html"
    assert main(["explain", plank, "sank by 0.5 g", "--report", str(target), "--workers", "1"]) == 0
    page = target.read_text()
    assert "What would explain it" in page
    assert "plank.toml" in page
    assert page.count("<svg") == 1


@pytest.mark.parametrize(
    ("seen", "message"),
    [
        ("sinkz", "is not understood"),
        ("rolled over from the tail", 'there is no tie-on point "tail"; the design has nose'),
    ],
)
def test_words_that_cannot_be_used_are_answered_before_any_work(plank, capsys, seen, message):
    assert main(["explain", plank, seen]) == 2
    assert message in capsys.readouterr().err


def test_words_without_their_quotes_are_put_together(plank, capsys):
    assert main(["explain", plank, "sank", "1", "m", "in", "4", "s"]) == 2
    assert 'in one pair of quotes: "sank 1 m in 4 s"' in capsys.readouterr().err
    assert main(["explain", plank]) == 2
    assert (
        'drytank explain: "WORDS" is missing; write, for example, drytank explain' in capsys.readouterr().err
    )


def test_more_than_a_day_can_show_is_refused(capsys):
    seen = [f"ran {k} m deep" for k in range(1, 31)]
    assert main(["explain", "scenarios/thimble_oar.toml", *seen]) == 2
    assert "60 is the most" in capsys.readouterr().err


def test_fits_is_no_sharper_than_what_the_eye_allows():
    assert 2.0 <= FITS <= 3.0
