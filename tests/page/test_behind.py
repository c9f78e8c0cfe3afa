"""Speeds and places behind the swim: the best first, few at a time, and nothing that nobody asks for."""

import os
import threading
import time

import pytest

from sim.page import behind
from sim.page.answers import built
from sim.page.jobs import AHEAD, Pulls
from sim.show.units import METRIC
from sim.studies.engine import tried
from tests.page.conftest import SCENARIOS, ask

LURE = SCENARIOS / "thimble_oar.toml"


class AtOnce:
    """Runs the first few cases where it stands, and remembers the order."""

    def __init__(self, most):
        self.most, self.order = most, []

    def ask(self, cases):
        self.order = list(cases)
        return {key: call(*given) for key, (call, given) in list(cases.items())[: self.most]}


@pytest.fixture
def asked():
    return behind.Asked(LURE.read_text(encoding="utf-8"), LURE.name, str(LURE.parent), "nose", 0.8)


def nothing(*_):
    return None


def slow(seconds, number):
    time.sleep(seconds)
    return number


def test_the_present_eye_near_the_present_speed_comes_first_then_a_coarse_net_of_places(asked):
    pulls = AtOnce(0)
    behind.known(pulls, asked, METRIC)
    here = built(asked.text, asked.name, LURE.parent)
    bar, (places, none) = behind._bar(asked, here), behind._places(asked)
    first = list(bar.cases())[pulls.order[0][1] - 1].ask.pulls[0]
    assert first.tie_on == "nose"
    assert abs(first.speed - 0.8) == min(abs(speed - 0.8) for speed in bar.speeds)
    order = [number for digest, number in pulls.order if digest == places.digest()]
    assert none
    assert sorted(order) == sorted({*range(1, places.total + 1)} - none)
    nets = [
        all(way % behind.COARSE[0] == 0 for way in divmod(number - 1, len(places.parameters[1])))
        for number in order
    ]
    assert nets == sorted(nets, reverse=True)
    assert any(nets)
    assert pulls.order.index((places.digest(), order[0])) == bar.total


def test_a_place_of_the_map_says_what_a_lure_with_its_eye_there_does(asked):
    here = built(asked.text, asked.name, LURE.parent)
    places, _ = behind._places(asked)
    pulls = AtOnce(behind._bar(asked, here).total + 1)
    (cell,) = (found := behind.known(pulls, asked, METRIC))["map"]["cells"]
    case = next(case for case in places.cases() if case.number == pulls.order[pulls.most - 1][1])
    row = dict(zip(places.headings(), places.row(tried(here.design, case)), strict=True))
    assert cell["word"] == row["retrieve.behaviour"]
    assert found["map"]["back"][cell["column"]] == case.changes["tie_on.nose.at.back"].value
    assert found["map"]["up"][cell["row"]] == case.changes["tie_on.nose.at.up"].value
    assert cell["said"].startswith("Tied ")
    assert found["map"]["said"] == []
    assert not found["done"]


def test_what_failed_is_a_place_without_an_answer_and_the_map_still_ends(asked, monkeypatch):
    monkeypatch.setattr(behind, "one", nothing)
    found = behind.known(AtOnce(1000), asked, METRIC)
    assert found["done"]
    assert {cell["word"] for cell in found["map"]["cells"]} == {"no answer"}
    assert found["map"]["said"]


def test_an_outcome_names_the_class_of_its_colour():
    assert behind._cell("rolls over")["does"] == "rolls_over"
    assert behind._cell("no answer")["does"] == "unknown"


def test_few_pulls_are_under_way_and_what_nobody_asks_for_is_let_go():
    pulls = Pulls()
    try:
        cases = {k: (slow, (0.2, k)) for k in range(40)}
        assert pulls.ask(cases) == {}
        assert [pulls._running, *pulls._waiting] == list(range(AHEAD))
        pulls.ask({})
        assert not pulls._waiting  # what runs already cannot be called back
        end = time.monotonic() + 60
        while not (known := pulls.ask({99: (slow, (0.0, 99))})) and time.monotonic() < end:
            time.sleep(0.05)
        assert known == {99: 99}
        assert list(pulls._found) in ([99], [0, 99])
    finally:
        pulls.stop()


def test_work_that_is_stopped_in_the_midst_of_it_ends_without_a_word(monkeypatch):
    said, pulls = [], Pulls()
    monkeypatch.setattr(threading, "excepthook", said.append)
    for asked in ({k: (slow, (0.0, k)) for k in range(8)}, {k: (slow, (5.0, k)) for k in range(10, 18)}, {}):
        pulls.ask(asked)
        time.sleep(0.3)
    manager = pulls._pool._executor_manager_thread
    pulls.stop()
    manager.join(30)
    assert not manager.is_alive()
    assert not said


def test_two_tabs_that_ask_for_different_pulls_both_come_to_an_end():
    pulls, tabs = Pulls(), [{(tab, k): (slow, (0.0, k)) for k in range(8)} for tab in "ab"]
    try:
        end = time.monotonic() + 60
        while any(len(pulls.ask(cases)) < 8 for cases in tabs) and time.monotonic() < end:
            time.sleep(0.02)
        assert all(len(pulls.ask(cases)) == 8 for cases in tabs)
    finally:
        pulls.stop()


def test_a_pull_that_kills_its_process_is_an_answer_that_failed_and_the_next_one_runs():
    pulls = Pulls()
    try:
        end = time.monotonic() + 60
        while "dead" not in (known := pulls.ask({"dead": (os._exit, (1,))})) and time.monotonic() < end:
            time.sleep(0.05)
        assert known == {"dead": None}
        while "next" not in (known := pulls.ask({"next": (slow, (0.0, 7))})) and time.monotonic() < end:
            time.sleep(0.05)
        assert known == {"next": 7}
    finally:
        pulls.stop()


def test_the_page_asks_for_an_eye_that_is_there_and_can_stop(client):
    assert ask(client, "behind", tie_on="ear", speed=0.7)[1] == 404
    assert ask(client, "behind", stop=True)[0] == {"revision": 0, "done": True}
