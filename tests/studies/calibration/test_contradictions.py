"""What a log contradicts comes first in `advise`: its own repeats, and what no build can do."""

import json

import numpy as np
import pytest

from sim.cli import main
from sim.show.pages import logged
from sim.show.units import METRIC
from sim.studies.calibration.contradictions import Against, contradictions_with
from sim.studies.calibration.observations import readings
from tests.studies.calibration.planted import DESIGN, log_of
from tests.studies.toys import budget, ensemble
from tests.studies.work import TEXT


def found(*said):
    builds = ensemble(lambda z: budget(2.0 + 0.1 * float(np.sum(z)) / max(len(z), 1) ** 0.5, mass=9.4))
    return contradictions_with(builds, readings(DESIGN, log_of(*said)))


def test_repeats_that_do_not_agree_are_told_once_with_all_their_tests():
    (one,) = found("weighs 9.4 +- 0.1 g", "weighs 11 +- 0.1 g")
    assert one.against is Against.REPEATS
    assert one.tests == [1, 2]
    (words,) = logged.settle_first([one], "lure.toml", METRIC)
    assert words.startswith("First settle what is in the log. Tests 1 and 2")
    assert "--strike-out" in words


def test_a_reading_that_no_build_does_is_against_the_design_and_one_that_some_do_is_not():
    (one,) = found("floats with 4 +- 0.1 g to spare", "weighs 9.42 +- 0.1 g")
    assert one.against is Against.DESIGN
    assert one.predicted == pytest.approx(2.0)
    assert one.off > 10.0
    (words,) = logged.settle_first([one], "lure.toml", METRIC)
    assert 'drytank explain lure.toml "floats with 4 +- 0.1 g to spare"' in words
    assert found("floats with 2.2 +- 0.1 g to spare") == []


def test_what_the_builds_were_not_asked_is_not_held_against_them():
    assert found("rose 1 m in 40 +- 1 s") == []


def test_advise_begins_with_the_log(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "lure.toml").write_text(TEXT)
    words = ["advise", "lure.toml", "--only", "budget", "--count", "32", "--workers", "1"]
    assert main(words) == 0
    assert "the log" not in capsys.readouterr().out
    (tmp_path / "lure.log.toml").write_text('[[test]]\nsaid = "weighs 14 +- 0.1 g"\n')
    assert main(words) == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert "First settle what is in the log. Test 1" in shown
    assert main([*words, "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert (data["log"], len(data["contradictions"])) == (1, 1)
