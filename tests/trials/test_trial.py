"""The whole trial, for real, on the design that `drytank new` writes."""

import json
import tomllib

import pytest

from sim.cli import main
from sim.compiling import pending
from sim.design.model import Design
from sim.design.starter import STARTER
from sim.show.pages import trials
from sim.show.worded import worded
from sim.studies.near_threshold import near_an_edge
from sim.trials.budget import budget
from sim.trials.cautions import cautions
from sim.trials.results import Ended, TrialResult
from sim.trials.trial import trial
from tests.in_words import in_words
from tests.show.terminal import terminal


@pytest.fixture(scope="module")
def starter():
    design = Design.model_validate(tomllib.loads(STARTER))
    return design, worded(trial(design))


def test_a_trial_asks_every_question_once(starter):
    design, result = starter
    asked = [(run.tie_on, round(run.speed_m_s, 9)) for run in result.retrieve]
    assert asked == [(tie, v.value) for tie in design.tie_on for v in design.retrieve.speeds]
    assert result.design == design.name
    assert result.floating.verdict is result.budget.verdict
    assert [one.key for one in result.cautions] == [one.key for one in cautions(design)]
    assert all(one.sentence for one in result.cautions)
    endings = {result.drop.ended, result.cast.ended, *(run.ended for run in result.retrieve)}
    assert Ended.GAVE_UP not in endings


def test_the_starter_floats_and_so_rises_when_let_go(starter):
    _, result = starter
    assert result.budget.verdict == "floats"
    assert result.drop.sink_rate_m_s < 0


def test_the_page_of_a_real_trial_fits_one_screen(starter):
    lines = terminal(trials.trial, starter[1]).splitlines()
    assert len(lines) <= 55
    assert max(map(len, lines)) <= 80


def test_a_trial_reads_back_from_its_own_json(starter):
    result = starter[1]
    back = TrialResult.model_validate_json(result.model_dump_json(by_alias=True))
    assert back.model_dump() == result.model_dump()


def test_the_command_gives_what_the_library_gives(starter, tmp_path, capsys):
    path = tmp_path / "lure.toml"
    path.write_text(STARTER, encoding="utf-8")
    assert main(["trial", str(path), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told.pop("near_an_edge") == near_an_edge(starter[1])
    assert {one["name"] for one in told.pop("shares")} <= set(near_an_edge(starter[1]))
    assert told == json.loads(starter[1].model_dump_json(by_alias=True))


@pytest.mark.parametrize("command", ["budget", "float", "drop", "cast", "retrieve"])
def test_each_command_alone_gives_its_part_of_the_trial(starter, command, tmp_path, capsys):
    path = tmp_path / "lure.toml"
    path.write_text(STARTER, encoding="utf-8")
    assert main([command, str(path), "--json"]) == 0
    whole = json.loads(starter[1].model_dump_json(by_alias=True))
    assert json.loads(capsys.readouterr().out)[command] == whole[command]


def test_what_looks_like_a_slip_is_told_in_the_budget():
    far = STARTER.replace('[tie_on.nose]\nat = { back = "0 mm" }', '[tie_on.nose]\nat = { back = "600 mm" }')
    result = budget(Design.model_validate(tomllib.loads(far)))
    assert any("tie_on.nose" in warning for warning in in_words(result.warnings))


def test_after_a_trial_nothing_is_left_to_compile(starter):
    assert pending() == []
