"""Speed windows: edges by halving intervals, how many runs they cost, and what slowing down does."""

import json
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.cli import main
from sim.design.load import load
from sim.lure import build
from sim.lure.strips import STRIPS
from sim.show.pages.speeds import speeds
from sim.show.units import SYSTEMS
from sim.studies import windows as study
from sim.studies.windows import WindowsResult, refined, slowing, windows
from sim.trials.results import Behaviour, RetrieveResult
from tests.show.fakes import run as fake
from tests.show.terminal import terminal

SCENARIOS = Path(__file__).parents[2] / "scenarios"
LADDER = [Behaviour.WAKES, Behaviour.RUNS, Behaviour.DIVES, Behaviour.ROLLS_OVER, Behaviour.SPINS]


def lure_with_edges_at(*edges):
    """Looks at a lure whose headline changes at these speeds; counts the looks."""
    asked = []

    def look(speed) -> RetrieveResult:
        asked.append(speed)
        return fake(speed=speed, behaviour=LADDER[sum(speed > edge for edge in edges)])

    return look, asked


def spread(low=0.2, high=2.0, count=study.FIRST):
    return [low * (high / low) ** (k / (count - 1)) for k in range(count)]


@given(st.floats(0.21, 1.95))
def test_one_edge_is_found_to_two_per_cent_in_nine_runs(edge):
    look, asked = lure_with_edges_at(edge)
    found = study._edges(refined(look, spread(), 0.02, 40))
    assert len(found) == 1
    assert found[0].speed_m_s == pytest.approx(edge, rel=0.021)
    assert abs(found[0].speed_m_s - edge) <= found[0].give_or_take_m_s * (1.0 + 1e-9)
    assert len(asked) <= 9


@given(st.floats(0.21, 0.9), st.floats(1.2, 1.95))
def test_a_window_costs_at_most_fourteen_runs(low, high):
    look, asked = lure_with_edges_at(low, high)
    found = study._edges(refined(look, spread(), 0.02, 40))
    assert [edge.speed_m_s for edge in found] == pytest.approx([low, high], rel=0.021)
    assert len(asked) == len(set(asked)) <= 14


def test_retrieves_that_are_known_are_not_made_again(monkeypatch):
    made = []

    def run(design, lure, tie_on, speed, **_):
        made.append(speed)
        return speed

    def describe(run, lure, tie_on, speed, **_):
        return fake(speed=speed, behaviour=Behaviour.DIVES if speed > 0.7 else Behaviour.WAKES)

    monkeypatch.setattr(study, "run", run)
    monkeypatch.setattr(study, "describe", describe)
    known = [describe(None, None, "nose", speed) for speed in (0.5, 0.9, 1.3)]
    found = windows(None, None, "nose", 0.25, 1.95, 0.05, both_ways=False, known=known)
    assert not {0.5, 0.9, 1.3} & set(made)
    assert {0.25, 1.95} <= set(made)
    assert found.runs == len(made) + len(known)
    (edge,) = found.edges
    assert edge.speed_m_s == pytest.approx(0.7, rel=0.05)
    assert study.first_speeds(0.25, 1.95, [0.5]) == pytest.approx(
        [0.25, 0.25 * 2.0**0.5, 0.5, 0.5 * 3.9**0.5, 1.95]
    )


@given(st.lists(st.floats(0.21, 1.99), min_size=1, max_size=4).map(sorted))
def test_a_limit_on_the_runs_is_kept_and_the_worst_edge_is_halved_first(edges):
    look, asked = lure_with_edges_at(*edges)
    found = refined(look, spread(), 0.001, 12)
    assert len(asked) == len(found) <= 12
    ratios = [b.speed_m_s / a.speed_m_s for a, b in pairwise(found) if a.behaviour is not b.behaviour]
    assert not ratios or max(ratios) < min(ratios) ** 2.1


@given(st.floats(0.55, 0.84))
def test_slowing_down_past_an_edge_that_holds_on_finds_where_it_lets_go(lets_go):
    stays, speed, asked = slowing(lambda v: v > lets_go, 1.0, 0.02)
    assert stays
    assert speed == pytest.approx(lets_go, rel=0.021)
    assert asked <= 15


def test_an_edge_that_is_the_same_both_ways_costs_one_more_run():
    assert slowing(lambda v: v > 1.0, 1.0, 0.02) == (False, None, 1)


def test_one_that_never_lets_go_is_followed_down_to_half_the_speed():
    stays, speed, _ = slowing(lambda v: True, 1.0, 0.02)
    assert stays
    assert speed is None


@pytest.mark.parametrize(
    ("low", "high", "share"), [(0.0, 1.0, 0.02), (1.0, 1.0, 0.02), (2.0, 1.0, 0.02), (0.2, 1.0, 0.0)]
)
def test_speeds_the_wrong_way_round_are_refused(low, high, share):
    design, lure = ready("thimble_oar")
    with pytest.raises(ValueError, match="must be"):
        windows(design, lure, "nose", low, high, share)


# --- real lures --------------------------------------------------------------------------------------------


@cache
def ready(name):
    design = load(SCENARIOS / f"{name}.toml")
    return design, build(design, with_hulls=False)


@cache
def found(name, tie, low=0.25, high=1.2):
    design, lure = ready(name)
    return windows(design, lure, tie, low, high, both_ways=False)


@pytest.mark.parametrize(
    ("name", "tie"), [("thimble_oar", "nose"), ("cellar_door", "lip"), ("porch_light", "lip_low")]
)
def test_the_demo_lures_windows_lie_without_gaps_and_cost_at_most_fourteen_runs(name, tie):
    result = found(name, tie)
    assert result.runs <= 14
    assert result.windows[0].low_m_s == 0.25
    assert result.windows[-1].high_m_s == 1.2
    for before, after in pairwise(result.windows):
        assert before.high_m_s == after.low_m_s
        assert before.behaviour is not after.behaviour


def test_a_runner_wakes_when_slow_and_dives_when_fast():
    does = [window.behaviour for window in found("thimble_oar", "nose").windows]
    assert does[0] is Behaviour.WAKES
    assert does[-1] is Behaviour.DIVES


def test_the_waker_wakes_at_all_the_speeds_it_is_made_for():
    first = found("porch_light", "lip_low").windows[0]
    assert first.behaviour is Behaviour.WAKES
    assert first.high_m_s > 0.7


def test_edges_move_by_less_than_three_per_cent_with_twice_the_strips():
    design, lure = ready("thimble_oar")
    finer = build(design, strips=2 * STRIPS, with_hulls=False)
    plain, fine = (
        windows(design, it, "nose", 0.4, 0.7, 0.007, both_ways=False).edges for it in (lure, finer)
    )
    assert [edge.above for edge in fine] == [edge.above for edge in plain]
    for one, other in zip(plain, fine, strict=True):
        assert other.speed_m_s == pytest.approx(one.speed_m_s, rel=0.03)


# --- pages and the command ------------------------------------------------------------------------------


def a_result():
    point = found("thimble_oar", "nose")
    edges = [e.model_copy(update={"stays": True, "slowing_m_s": 0.5}) for e in point.edges]
    return WindowsResult(
        low_m_s=0.25, high_m_s=1.2, share=0.02, tie_ons=[point.model_copy(update={"edges": edges})]
    )


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_page_shows_a_bar_a_sentence_and_what_slowing_down_does(units):
    from sim.show.layout import Look

    text = terminal(speeds, "Thimble Oar", a_result(), look=Look(SYSTEMS[units]))
    lines = text.splitlines()
    assert max(map(len, lines)) <= 80
    bar = next(line for line in lines if line.startswith("nose "))
    assert bar.split()[1][0] == "w"
    assert bar.split()[1][-1] == "D"
    assert "w wakes" in text
    assert "Tied at nose, it wakes" in text
    assert "slowing" in text
    assert ("m/s" if units == "metric" else "ft/s") in text


def test_the_command_gives_windows_as_json(capsys):
    words = [
        "windows",
        str(SCENARIOS / "last_skittle.toml"),
        "--tie-on",
        "neck",
        "--json",
        "--from",
        "0.3 m/s",
    ]
    assert main([*words, "--to", "0.9 m/s"]) == 0
    answer = json.loads(capsys.readouterr().out)["windows"]
    assert answer["low_m_s"] == 0.3
    assert answer["tie_ons"][0]["tie_on"] == "neck"
    assert answer["tie_ons"][0]["windows"][-1]["high_m_s"] == 0.9


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--from", "1 m/s", "--to", "0.5 m/s"], "not below"),
        (["--from", "1"], "--from"),
        (["--tie-on", "ear"], "It has: nose, lip."),
    ],
)
def test_the_command_says_what_is_wrong_with_its_words(words, says, capsys):
    assert main(["windows", str(SCENARIOS / "thimble_oar.toml"), *words]) == 2
    assert says in capsys.readouterr().err
