"""What the bench shows and what its handles do, asked as the page asks."""

import json
import math

import numpy as np
import pytest

from sim.design.load import read
from sim.page import answers
from sim.page.fields import fields, typed, written
from sim.show import sentences
from sim.show.replay import unpack
from sim.trials.reweighing import Reweighing
from tests.page.conftest import KEY, SCENARIOS, ask


def test_the_state_says_what_the_budget_says(client):
    state, status = ask(client, "state")
    assert status == 200
    assert state["rest"]["headline"][0].startswith("Floats, with 3.01")
    assert state["tie_ons"] == ["lip", "nose"]
    assert {"side", "top", "front"} == set(state["drawing"]["views"])


def test_the_words_follow_the_readers_units(client):
    assert "oz" in ask(client, "state", units="us")[0]["rest"]["headline"][0]


def test_a_handle_moves_what_it_names_in_the_unit_of_the_file(client):
    moved = {"tie_on.lip.at.back": {"value": -0.0123, "dimension": "length"}}
    state, status = ask(client, "edit", moved=moved, revision=0)
    assert status == 200
    design = read(state["text"], "lure")
    assert design.tie_on["lip"].at.back.text == "-12.3 mm"
    assert state["can_undo"]
    assert state["unsaved"]


def test_dragging_keeps_nothing(client):
    before = ask(client, "state")[0]["text"]
    moved = {"plate.lip.angle": {"value": math.radians(40.0), "dimension": "angle"}}
    answer, status = ask(client, "attempt", moved=moved)
    assert status == 200
    assert answer["rest"]["headline"]
    assert ask(client, "state")[0]["text"] == before


def test_a_moved_weight_is_answered_at_once_and_how_sure_that_is_follows(client, monkeypatch):
    before = ask(client, "rest")[0]["rest"]["headline"][0]
    assert "give or take" in before
    weighed, truly = [], Reweighing.with_changes
    monkeypatch.setattr(Reweighing, "with_changes", lambda *given: weighed.append(1) or truly(*given))
    moved = {"ballast.belly.at.back": {"value": 0.021, "dimension": "length"}}
    for question in ("attempt", "edit"):
        answer, status = ask(client, question, moved=moved, revision=0)
        assert status == 200
        assert not answer["rest"]["sure"]
        assert "give or take" not in " ".join(answer["rest"]["headline"])
        assert answer["rest"]["headline"][-1] == sentences.FOLLOWS
    assert weighed == []
    later = ask(client, "rest")[0]
    assert later["revision"] == 1
    assert later["rest"]["sure"]
    assert "give or take" in later["rest"]["headline"][0]
    assert later["rest"]["headline"][1] == answer["rest"]["headline"][1]
    assert len(weighed) > 30


def test_an_eye_weighs_nothing_so_that_how_sure_it_is_stays_known_while_it_is_dragged(client):
    before = ask(client, "rest")[0]["rest"]["headline"]
    moved = {"tie_on.lip.at.back": {"value": -0.0125, "dimension": "length"}}
    assert ask(client, "attempt", moved=moved)[0]["rest"]["headline"] == before


def test_a_fault_names_its_field_in_the_words_of_the_command_line(client):
    answer, status = ask(client, "edit", changes={"body.main.length": "68 pigs"}, revision=0)
    assert status == 422
    assert answer["problems"][0]["path"] == "body.main.length"
    assert "unit" in answer["problems"][0]["message"]


def test_an_edit_after_which_nothing_could_be_built_is_refused_and_one_of_what_cannot_be_built_is_not(client):
    heavy = {"ballast.belly.weight": "900 g"}
    state, status = ask(client, "edit", changes=heavy, revision=0)
    assert status == 422
    assert "more room than the body has" in state["message"]
    text = ask(client, "state")[0]["text"]
    assert "900 g" not in text
    broken, status = ask(
        client, "text", text=text.replace('weight = "3.2 g"', 'weight = "900 g"'), revision=0
    )
    assert status == 200, "typed, and must not be lost"
    assert broken["problems"]
    assert "drawing" not in broken
    mended, status = ask(client, "edit", changes={"ballast.belly.weight": "4 g"}, revision=1)
    assert status == 200
    assert "drawing" in mended


def test_what_is_refused_is_an_ordinary_answer_that_no_browser_takes_for_a_fault_of_the_page(client):
    moved = {"body.main.length": {"value": -0.01, "dimension": "length"}}
    for question, given in (
        ("edit", {"changes": {"body.main.length": "68 pigs"}, "revision": 0}),
        ("edit", {"changes": {"body.main.length": "70 mm"}, "revision": 99}),
        ("attempt", {"moved": moved}),
        ("study", {"form": "remedy", "given": {"want": "x" * 1000}}),
        ("swim", {"kind": "pull", "tie_on": "ear"}),
    ):
        response = client.post(f"/{KEY}/ask/{question}", json=given)
        assert response.status_code == 200, question
        assert response.json().get("refused", 0) >= 400, question
        assert response.json()["message"]


def test_a_swim_is_told_from_its_beginning_while_it_goes_on(client):
    lines = client.post(f"/{KEY}/ask/swim", json={"kind": "pull", "tie_on": "lip", "speed": 0.7}).text
    first, whole, words = (json.loads(line) for line in lines.splitlines())
    part, run = (one["replay"]["designs"][0]["motions"][0] for one in (first, whole))
    assert (first["goes_on"], whole["goes_on"]) == (True, False)
    assert 0.5 < part["seconds"] < 0.4 * run["seconds"]
    early, all_of_it = unpack(part["poses"]), unpack(run["poses"])
    rate = (len(all_of_it) - 1) / run["seconds"]
    at = np.arange(len(early)) * part["seconds"] / (len(early) - 1) * rate
    for column in range(3):
        there = np.interp(at, np.arange(len(all_of_it)), all_of_it[:, column])
        np.testing.assert_allclose(early[:, column], there, atol=2e-3)  # m
    assert words["words"]["blocks"]
    assert not run["forces"]


def test_two_tabs_do_not_overwrite_each_other(client):
    assert ask(client, "edit", changes={"plate.lip.angle": "22 deg"}, revision=0)[1] == 200
    answer, status = ask(client, "edit", changes={"plate.lip.angle": "23 deg"}, revision=0)
    assert status == 409
    assert answer["state"]["revision"] == 1


def test_a_broken_text_is_kept_with_its_faults_and_the_bench_comes_back(client):
    state, status = ask(client, "text", text="name = ", revision=0)
    assert status == 200
    assert state["problems"]
    assert "drawing" not in state
    assert "drawing" in ask(client, "step", revision=1)[0]


def test_it_swims_from_the_eye_and_at_the_speed_that_was_chosen(client):
    answer, status = ask(client, "swim", kind="pull", tie_on="lip", speed=0.7)
    assert status == 200
    motion = answer["replay"]["designs"][0]["motions"][0]
    assert (motion["tie"], motion["speed"]) == ("lip", 0.7)
    assert answer["words"]["blocks"]
    assert answer["scales"]["angle"]["factor"] == pytest.approx(180 / math.pi)


def test_a_swim_that_is_not_there_is_refused(client):
    assert ask(client, "swim", kind="pull", tie_on="ear", speed=0.7)[1] == 404
    assert ask(client, "swim", kind="pull", tie_on="lip", speed=900)[1] == 400
    assert ask(client, "swim", kind="fly")[1] == 404


def test_every_key_of_every_demo_has_a_field_or_stands_in_a_list():
    for path in sorted(SCENARIOS.glob("*.toml")):
        rows = {
            row["path"]: row for group in fields(path.read_text(encoding="utf-8")) for row in group["rows"]
        }
        assert rows["name"]["value"], path
        assert all(row["help"] or row["label"] == "name" for row in rows.values()), path


@pytest.mark.parametrize(
    ("present", "value", "dimension", "text"),
    [
        ("12.4 +- 0.2 mm", 0.013, "length", "13.0 +- 0.2 mm"),
        ("2 3/4 in", 0.0635, "length", "2.50 in"),
        ("1.2 cm", 0.0135, "length", "1.35 cm"),
        ("", 0.5, "angle", "28.6 deg"),
        ("3 mm", -1e-6, "length", "0.0 mm"),
    ],
)
def test_a_handles_value_is_written_as_the_file_has_it(present, value, dimension, text):
    assert written(present, value, dimension) == text


def test_a_field_means_what_the_file_would_mean():
    assert typed("3", []) == 3
    assert typed("2.5", []) == 2.5
    assert typed("3 mm", []) == "3 mm"
    assert typed("true", ["true", "false"]) is True
    assert typed("  ", []) is None


def test_moving_an_eye_weighs_nothing_again_and_says_the_same(client, monkeypatch):
    before = ask(client, "rest")[0]
    monkeypatch.setattr(answers, "budget", lambda *_: pytest.fail("weighed again"))
    moved = {"tie_on.nose.at.back": {"value": 0.002, "dimension": "length"}}
    after, status = ask(client, "edit", revision=before["revision"], moved=moved)
    assert (status, after["revision"]) == (200, before["revision"] + 1)
    assert after["rest"]["headline"] == before["rest"]["headline"]
    assert ask(client, "rest")[0]["rest"]["weights"] == before["rest"]["weights"]
