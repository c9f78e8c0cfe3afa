"""The page of `retrieve`: programmes, depth on the way, causes."""

import pytest

from sim.show import pull_sentences
from sim.show.layout import Look
from sim.show.pages import trials
from sim.show.units import METRIC, US
from sim.trials.results import Act, Behaviour, ForceBalance, PauseResult, SeenBehaviour
from tests.show import fakes
from tests.show.terminal import terminal

WAY = [(15.0, 0.0), (13.9, 0.4), (12.8, 0.7), (9.0, 1.0), (5.0, 0.5)]


def by_the_lip(act, size):
    return ForceBalance(act=act, ahead=[("the lip", size)], against=[])


STOP = PauseResult(
    start_s=3.0, pause_s=2.0, behaviour=Behaviour.RISES, sink_rate_m_s=-0.18, sunk_m=-0.3, surfaced_s=1.4,
    pitch_deg=14.6, balances=[],
)  # fmt: skip
SEEN = [
    SeenBehaviour(behaviour=Behaviour.DIVES, numbers={"depth_m": 0.6}, balances=[by_the_lip(Act.DOWN, 0.2)]),
    SeenBehaviour(
        behaviour=Behaviour.ROCKS,
        numbers={"roll_amplitude_deg": 9.0},
        balances=[by_the_lip(Act.SWING, 1e-3)],
    ),
]


def dive(**changes):
    given = {"behaviour": Behaviour.DIVES, "also": [Behaviour.ROCKS], "depth_m": 0.62, "deepest_m": 1.04}
    return fakes.run(**(given | {"depths_m": WAY, "seen": SEEN} | changes))


def programme(**changes):
    return dive(programme="stop_and_go", pauses=[STOP], **changes)


@pytest.mark.parametrize("units", [METRIC, US])
def test_the_page_keeps_within_its_width(units):
    page = terminal(trials.retrieve, "Lure", [dive(), programme()], look=Look(units))
    assert max(map(len, page.splitlines())) <= 80


def test_depth_is_told_with_so_far_to_go():
    page = terminal(trials.retrieve, "Lure", [dive()])
    assert "Depth (m) with so far to go" in page
    head, row = page.split("so far to go")[1].splitlines()[1:3]
    assert head.split()[:4] == ["Tie-on", "m/s", "14", "m"]
    assert row.split()[2] == "0.36"  # between 15 m and 13.9 m


def test_where_it_has_not_been_there_is_a_dash():
    row = terminal(trials.retrieve, "Lure", [dive()]).split("so far to go")[1].splitlines()[2]
    assert row.split()[-2:] == ["-", "-"]  # 4 m and 2 m


def test_runs_without_a_way_have_no_such_table():
    assert "so far to go" not in terminal(trials.retrieve, "Lure", fakes.retrieve())


def test_the_causes_of_the_headline_and_of_the_action_are_told():
    told = pull_sentences.causes([dive()], METRIC)
    assert len(told) == 2
    assert told[0].endswith("dives: The lip (0.200 N) pushes it down.")
    assert told[1].endswith("rocks: The lip feeds the swing.")


def test_a_programme_is_told_by_its_name_its_deepest_place_and_its_last_stop():
    (told,) = pull_sentences.pulled([programme()], METRIC)
    plain = told.replace("\u00a0", " ")
    assert "stop_and_go: it dives to 62 cm, 1.04 m at the deepest." in plain
    assert "Stopped, it rises at 18 cm/s, nose up 15 degrees; up within 1.4 s." in plain
    assert "stop_and_go" in terminal(trials.retrieve, "Lure", [programme()])


def test_a_lure_that_hangs_at_the_stop_is_said_to():
    stop = STOP.model_copy(update={"behaviour": Behaviour.HANGS, "pitch_deg": 0.3, "surfaced_s": None})
    (told,) = pull_sentences.pulled([dive(programme="slow", pauses=[stop])], METRIC)
    assert told.endswith("Stopped, it hangs, level.")
