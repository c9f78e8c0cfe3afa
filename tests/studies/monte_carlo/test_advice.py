"""The next most useful test: against cases where what remains is known in closed form."""

import json

import numpy as np
import pytest
from scipy.special import ndtr

from sim.cli import main
from sim.design.priors import priors
from sim.show.bench_tests import how
from sim.show.pages import builds as pages
from sim.show.units import METRIC
from sim.studies.ensemble import normal_deviates
from sim.studies.grammar import criteria
from sim.studies.monte_carlo.advice import Advice, advise, open_questions, remaining
from sim.studies.monte_carlo.candidates import TUB, WATER, Test, candidates
from sim.studies.monte_carlo.measures import measures
from sim.studies.monte_carlo.questions import Question
from sim.studies.monte_carlo.tolerance import shares, tolerance
from sim.trials.request import Pull, Request, key
from tests.show.terminal import terminal
from tests.studies import toys
from tests.studies.toys import DESIGN, INPUTS, budget
from tests.studies.work import RUNNER

AT = {one.path: k for k, one in enumerate(INPUTS)}


def expected_doubt(share_known, threshold=0.0):
    """Expected P (1 - P) of a standard normal number above a threshold, so much of whose variance is known."""
    known = np.sqrt(share_known) * np.linspace(-8.0, 8.0, 4001)
    weight = np.exp(-0.5 * np.linspace(-8.0, 8.0, 4001) ** 2)
    chance = ndtr((known - threshold) / np.sqrt(1.0 - share_known))
    return float((weight * chance * (1.0 - chance)).sum() / weight.sum())


@pytest.mark.parametrize("share_known", [0.2, 0.5, 0.9])
def test_what_remains_of_a_yes_or_no_agrees_with_the_closed_form(share_known):
    z = normal_deviates(512, 6, 3)
    number = np.sqrt(share_known) * z[:, 0] + np.sqrt(1.0 - share_known) * z[:, 1]
    answers = np.stack([number > 0.5, number <= 0.5], axis=1).astype(float)
    left, _ = remaining(z[:, 0], 0.0, answers)
    exact = expected_doubt(share_known, 0.5) / (ndtr(0.5) * ndtr(-0.5))
    assert left == pytest.approx(exact, abs=0.06)


def test_an_error_of_the_reading_counts_as_so_much_less_known():
    z = normal_deviates(512, 6, 3)
    answers = np.stack([z[:, 0] > 0.0, z[:, 0] <= 0.0], axis=1).astype(float)
    left, _ = remaining(z[:, 0], 1.0, answers)  # as much error as spread: half of the variance is known
    assert left == pytest.approx(expected_doubt(0.5) / 0.25, abs=0.06)


def test_what_remains_of_a_number_is_the_variance_that_the_reading_does_not_explain():
    z = normal_deviates(512, 6, 8)
    number = 0.8 * z[:, 2] + 0.6 * z[:, 3]
    left, _ = remaining(z[:, 2], 0.0, number[:, None])
    assert left == pytest.approx(0.36, abs=0.05)


def test_a_reading_that_has_nothing_to_do_with_it_leaves_all_of_the_doubt():
    z = normal_deviates(256, 6, 8)
    answers = np.stack([z[:, 0] > 0.3, z[:, 0] <= 0.3], axis=1).astype(float)
    assert remaining(z[:, 4], 0.1, answers)[0] > 0.93


def row(z):
    return budget(
        0.2 + 0.9 * z[AT["body.main.density"]] + 0.4 * z[AT["ballast.belly.weight"]], 10.0 + 0.1 * z[3]
    )


def test_the_cause_of_most_doubt_is_the_first_thing_to_measure():
    found = advise(DESIGN, toys.ensemble(row, 512))
    assert found[0].inputs == ["body.main.density"]
    assert found[1].inputs == ["ballast.belly.weight"]
    first = found[0].settles[0]
    assert first.question == "budget.verdict"
    assert first.remains < found[1].settles[0].remains
    # what the density leaves open is the ballast: 0.16 of 0.97, at a threshold of 0.2 / 0.985
    known = 0.81 * (1.0 - (4.14 / 37.528) ** 2) / 0.97
    exact = expected_doubt(known, 0.203) / (ndtr(0.203) * ndtr(-0.203))
    assert first.remains**2 == pytest.approx(exact, abs=0.08)


def test_advise_and_tolerance_tell_what_would_be_left_in_one_measure():
    builds = toys.ensemble(lambda z: budget(5.0 + 0.5 * z[AT["body.main.density"]] + 0.4 * z[3]), 512)
    advised = next(one for one in advise(DESIGN, builds) if "body.main.density" in one.inputs)
    cause = next(one for one in tolerance(builds).causes if one.inputs == advised.inputs)
    left = {one.name: one.remains for one in cause.caused}
    assert advised.settles[0].remains == pytest.approx(left["budget.margin_g"], abs=0.05)
    assert left["budget.margin_g"] == pytest.approx(
        (0.16 / 0.41) ** 0.5, abs=0.05
    )  # a deviation, no variance


def test_the_page_tells_the_best_test_once():
    builds = toys.ensemble(row, 512)
    text = " ".join(terminal(pages.advice, "toy", [], advise(DESIGN, builds)).split())
    assert text.count("Weigh a scrap of body main") == 1
    assert "standard deviations, as in `drytank tolerance`" in text


def test_no_test_is_told_that_takes_nothing_away_or_only_shows_the_answer():
    found = advise(DESIGN, toys.ensemble(row))
    assert {tuple(one.inputs) for one in found} <= {("body.main.density",), ("ballast.belly.weight",)}
    assert all(one.figure is None for one in found)  # its spare lift would show whether it floats


def test_a_test_only_shows_the_answer_where_it_is_done_by_doing_it():
    pull, other = Pull("nose", 0.5), Pull("nose", 0.9)
    floats, does = Question("budget", "budget.verdict"), Question("retrieve", "retrieve.behaviour", pull)
    sink = Test(TUB, figure="drop.sink_rate_m_s")
    deep, there = (Test(WATER, figure="retrieve.depth_m", pull=p) for p in (other, pull))
    assert sink.only_looks(floats)
    assert deep.only_looks(floats)
    assert not sink.only_looks(does)
    assert there.only_looks(does)
    assert not deep.only_looks(does)
    own = criteria(DESIGN, "dives at 0.5 m/s from nose")[0]
    assert there.only_looks(Question("retrieve", own.figure, statement=own))


def test_a_settled_design_needs_no_test_and_the_page_says_so():
    same = toys.ensemble(lambda z: budget(5.0 + 0.001 * z[0]))
    assert open_questions(same) == []
    assert advise(DESIGN, same) == []
    assert "nothing left to settle" in terminal(pages.advice, "toy", [], [])


def test_where_all_words_agree_the_numbers_are_looked_at():
    found = advise(DESIGN, toys.ensemble(lambda z: budget(5.0 + 0.5 * z[AT["body.main.density"]])))
    assert found[0].inputs == ["body.main.density"]
    assert found[0].settles[0].word is None
    assert found[0].settles[0].remains < 0.3


def test_a_question_of_the_maker_is_the_only_one_looked_at():
    builds = toys.ensemble(row)
    about = criteria(DESIGN, "floats with at least 0.3 g to spare")
    found = advise(DESIGN, builds, about)
    assert {one.question for each in found for one in each.settles} == {about[0].text}


def test_what_a_pull_did_not_answer_is_no_fault():
    pull, other = Pull("nose", 0.5), Pull("nose", 0.9)

    def seen(z):
        gone = z[1] > 1.5
        word = "wakes" if z[0] > 0 else "dives"
        return {
            key("retrieve.behaviour", pull): "unknown" if gone else word,
            key("retrieve.margins", pull): None if gone else {"wakes": z[0], "dives": -z[0]},
            key("retrieve.behaviour", other): "dives",
            key("retrieve.depth_m", other): None if gone else 0.5 - 0.2 * z[0],
        }  # fmt: skip

    builds = toys.ensemble(seen, request=Request((), (pull, other)))
    told = {one.figure: one for one in advise(DESIGN, builds)}
    deep = told[key("retrieve.depth_m", other)]
    assert deep.where == WATER
    assert deep.settles[0].remains ** 2 < 0.6


def test_builds_of_another_design_are_refused():
    other = DESIGN.model_copy(update={"name": "other"})
    with pytest.raises(ValueError, match="of another design"):
        advise(other, toys.ensemble(row))


def test_a_measurement_names_the_part_and_is_finer_than_what_is_known():
    inputs = priors(DESIGN)
    for one in measures(inputs):
        assert all(0.0 < left <= 1.0 for left in one.leaves)
        assert (one.kind == "model") != (one.inputs[0] < len(INPUTS) + 3)
        if one.useful:
            assert min(one.leaves) <= 0.7
    tried = [one.measure for one in candidates(toys.ensemble(row)) if one.measure]
    assert ("density", "body.main") in {(one.kind, one.part) for one in tried}
    assert "cast" not in {one.part for one in tried}
    density = Advice.model_construct(
        kind="density", part="body.main", inputs=["body.main.density"], figure=None
    )
    assert how(density, METRIC).startswith("Weigh a scrap of body main dry")


def test_the_words_say_what_it_would_settle_and_how_often():
    builds = toys.ensemble(lambda z: budget(0.2 + z[AT["body.main.density"]]))
    found = advise(DESIGN, builds)
    open_ = [shares(builds, one.question) for one in open_questions(builds)]
    text = " ".join(terminal(pages.advice, "toy", open_, found).split())
    assert (
        "it would settle whether it floats (now 58 of 100; afterwards at least 95 either way in most cases)"
        in text
    )


def test_the_command_answers_in_words_and_in_json(capsys):
    options = ["--only", "budget,float", "--count", "16", "--about", "floats with at least 1.9 g to spare"]
    assert main(["advise", str(RUNNER), *options]) == 0
    assert "Hang body main under in a cup of water" in " ".join(capsys.readouterr().out.split())
    assert main(["advise", str(RUNNER), *options, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["builds"], found["seed"]) == (16, 1)
    assert found["advice"][0]["takes"] > 0.0
