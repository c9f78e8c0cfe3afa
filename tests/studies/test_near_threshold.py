"""What of a single trial hangs on luck: answers near an edge, and the words for them."""

from types import SimpleNamespace

import pytest

from sim.cli import main
from sim.show.builds import luck
from sim.show.units import US
from sim.studies.near_threshold import near_an_edge
from sim.trials.results import Behaviour


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
    told = luck([], "plank.toml", US)
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
        "Luck This is one build, just as the file says. Near an edge already: whether it floats, what it does at"
        in text
    )
    assert "`drytank tolerance scenarios/last_skittle.toml` counts what so many builds do" in text
    assert "budget.verdict" not in near_an_edge(result())


def test_many_edges_are_counted_and_a_name_with_a_blank_is_quoted():
    names = [f"retrieve.behaviour nose {speed}" for speed in (0.4, 0.6, 0.8, 1.0, 1.2)]
    told = luck(names, "my lure.toml", US).replace("\u00a0", " ")
    assert (
        "Near an edge already: what it does at 1.3 ft/s from nose, what it does at 2.0 ft/s from nose, "
        in told
    )
    assert ", 2 more." in told
    assert "`drytank tolerance 'my lure.toml'`" in told
