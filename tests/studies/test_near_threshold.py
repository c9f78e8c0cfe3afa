"""What of a single trial hangs on luck: answers near an edge, and the words for them."""

from types import SimpleNamespace

import pytest

from sim.cli import main
from sim.design.load import load
from sim.lure import build
from sim.show.builds import in_a_few, luck
from sim.show.units import METRIC, US
from sim.studies.monte_carlo.few_builds import FEW, of_pulls
from sim.studies.near_threshold import near_an_edge
from sim.studies.windows import windows
from sim.trials.request import Pull, Request
from sim.trials.results import Behaviour
from sim.trials.retrieve import retrieve


def result(chance=1.0, lead=10.0, lands="nose first", margins=None, behaviour=Behaviour.WAKES):
    run = SimpleNamespace(
        programme=None, tie_on="nose", speed_m_s=0.5, behaviour=behaviour,
        margins={word.value: -3.0 for word in Behaviour} | {behaviour.value: 2.0} | (margins or {}),
    )  # fmt: skip
    return SimpleNamespace(
        budget=SimpleNamespace(chance_floats=chance),
        cast=SimpleNamespace(lands=lands, splash_pitch_deg=lead),
        retrieve=[run],
    )


def test_what_is_sure_is_not_told():
    assert near_an_edge(result()) == []
    told = luck([], [], "plank.toml", US)
    assert told.startswith("This is one build, just as the file says. `drytank tolerance plank.toml` counts")


def test_a_verdict_that_one_build_of_twenty_turns_is_near_an_edge_either_way():
    for chance, near in ((0.96, False), (0.94, True), (0.06, True), (0.04, False)):
        assert (near_an_edge(result(chance=chance)) == ["budget.verdict"]) is near


@pytest.mark.parametrize(
    ("lead", "lands", "near"),
    [
        (42.0, "nose first", True),
        (48.0, "side on", True),
        (90.0, "side on", False),
        (170.0, "tail first", False),
    ],
)
def test_a_landing_between_two_words_is_near_an_edge(lead, lands, near):
    assert (near_an_edge(result(lead=lead, lands=lands)) == ["cast.lands"]) is near


def test_a_pull_is_near_an_edge_where_its_word_hardly_holds_or_something_nearly_spoils_it():
    name = ["retrieve.behaviour nose 0.5"]
    assert near_an_edge(result(margins={"wakes": 0.2})) == name
    assert near_an_edge(result(margins={"rolls over": -0.3})) == name
    assert near_an_edge(result(margins={"rocks": -0.1})) == []  # another action spoils nothing


def test_a_trial_says_what_hangs_on_luck(capsys):
    assert main(["trial", "scenarios/last_skittle.toml"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert (
        "Luck This is one build, just as the file says. Chance decides at 0.40 m/s from neck (of 16" in text
    )
    assert "Near an edge: whether it floats." in text
    assert "`drytank tolerance scenarios/last_skittle.toml` counts what so many builds do" in text
    assert "budget.verdict" not in near_an_edge(result())


def test_where_one_pull_decides_nothing_a_few_builds_are_counted_alike_everywhere(capsys):
    design = load("scenarios/tin_leaf.toml")
    runs = retrieve(design, build(design))
    (few,) = of_pulls(design, runs)
    assert few.nominal == runs[0].behaviour.value
    assert sum(one.count for one in few.answers) == FEW
    stated = in_a_few(few, METRIC).replace("\u00a0", " ")
    assert stated.startswith("at 0.50 m/s from hole (of 16 builds: ")
    for command in ("trial", "windows"):
        assert (
            main([command, "scenarios/tin_leaf.toml", *(["--one-way"] if command == "windows" else [])]) == 0
        )
        assert stated in " ".join(capsys.readouterr().out.replace("\u00a0", " ").split())


def test_windows_say_of_a_speed_what_the_trial_says_of_it():
    design = load("scenarios/tin_leaf.toml")
    lure = build(design)
    (run,) = retrieve(design, lure, tie_ons=["hole"], speeds=[0.5])
    found = windows(design, lure, "hole", 0.4, 0.62, share=0.1, both_ways=False, known=[run])
    there = next(one for one in found.windows if one.low_m_s <= 0.5 <= one.high_m_s)  # however narrow
    row = Request((), (Pull("hole", 0.5),))(design)
    assert there.behaviour is run.behaviour
    assert row["retrieve.behaviour hole 0.5"] == run.behaviour.value


def test_many_edges_are_counted_and_a_name_with_a_blank_is_quoted():
    names = [f"retrieve.behaviour nose {speed}" for speed in (0.4, 0.6, 0.8, 1.0, 1.2)]
    told = luck(names, [], "my lure.toml", US).replace("\u00a0", " ")
    assert (
        "Near an edge already: what it does at 1.3 ft/s from nose, what it does at 2.0 ft/s from nose, "
        in told
    )
    assert ", 2 more." in told
    assert "`drytank tolerance 'my lure.toml'`" in told
