"""The command `calibrate`: what it shows, writes and refuses."""

import json
import shutil

import pytest

from sim.cli import main
from sim.cli.errors import INTERRUPTED
from sim.design.load import load, read
from sim.design.log import with_test
from sim.trials.request import Request
from tests.studies.work import SCENARIOS


def test_the_command_shows_writes_and_draws(box, capsys):
    words = [
        "calibrate",
        "lure.toml",
        "--workers",
        "1",
        "--write",
        "--figure",
        "fit.svg",
        "--report",
        "fit.html",
    ]
    assert main(words) == 0
    shown = capsys.readouterr().out
    assert "fit shedding" in shown
    assert "No test tried" in shown
    assert "drytank advise lure.toml" in shown
    assert max(len(line) for line in shown.splitlines()) <= 80
    design = read((box / "lure.toml").read_text(), "lure.toml")
    assert design.calibration.shedding.value == pytest.approx((8.0 / 6.8) ** 2, abs=0.05)
    assert "Predicted against measured" in (box / "fit.html").read_text()
    assert (box / "fit.svg").stat().st_size > 1000
    first = design.calibration  # written again it comes out the same: from the model, not from the block
    assert main(["calibrate", "lure.toml", "--workers", "1", "--write"]) == 0
    again = read((box / "lure.toml").read_text(), "lure.toml").calibration
    assert again.shedding == first.shedding
    assert again.shedding.sd == first.shedding.sd


def test_the_command_answers_in_numbers(box, capsys):
    assert main(["calibrate", "lure.toml", "--workers", "1", "--json", "--fit", "shedding"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert [one["name"] for one in answer["fitted"]] == ["shedding"]


def test_after_is_what_the_log_shows_once_it_is_written(box, capsys):
    """Value by value and misfit by misfit, the bench turned along or not."""
    more = with_test((box / "lure.log.toml").read_text(), {"said": "weighs 9.45 +- 0.01 g"})
    (box / "lure.log.toml").write_text(with_test(more, {"said": "flew 21 +- 0.3 m"}))
    assert main(["calibrate", "lure.toml", "--workers", "1", "--write", "--json"]) == 0
    learnt = json.loads(capsys.readouterr().out)
    assert main(["log", "lure.toml", "--json"]) == 0
    shown = [one for test in json.loads(capsys.readouterr().out)["tests"] for one in test["held"]]
    assert len(shown) == 4
    for one, now in zip(learnt["tests"], shown, strict=True):
        assert one["after"] == pytest.approx(now["predicted"], rel=1e-12)
        assert one["off_after"] == pytest.approx(now["misfit"], rel=1e-9)
    moved = [abs(one["after"] - one["before"]) > 1e-3 for one in learnt["tests"]]
    assert moved == [True, True, False, True]


def test_a_log_that_is_struck_out_whole_teaches_nothing(box, capsys):
    for test in ("1", "2"):
        assert main(["log", "lure.toml", "--strike-out", test, "--because", "wrong lure"]) == 0
    assert main(["calibrate", "lure.toml"]) == 2
    assert "lure.log.toml: every test in it is struck out" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--fit", "sheding"], "did you mean shedding?"),
        (["--figure", "fit.gif"], "end the name in .png or .svg"),
        (["--report", "fit.txt"], "end the name in .html"),
        (["--log", "a", "--log", "b"], "--log is given 2 times"),
        (["--log", "nothing.log.toml"], "there is no log yet"),
        (["--workers", "none"], "--workers none: write a whole number"),
    ],
)
def test_bad_input_is_refused_before_any_run(words, message, box, capsys):
    assert main(["calibrate", "lure.toml", *words]) == 2
    assert message in capsys.readouterr().err


def test_a_pull_that_no_hand_could_make_is_asked_about_before_the_runs(box, capsys, monkeypatch):
    from sim.studies.calibration import response_model as response

    def runs(*asked, **more):
        raise KeyboardInterrupt

    log = with_test((box / "lure.log.toml").read_text(), {"said": "dives at 90 m/s from nose"})
    (box / "lure.log.toml").write_text(log)
    monkeypatch.setattr(response, "run_cases", runs)
    assert main(["calibrate", "lure.toml", "--workers", "1"]) == INTERRUPTED
    assert (
        'test.3.said = "dives at 90 m/s from nose": the line at 90.0 m/s, 69 times' in capsys.readouterr().err
    )


def test_what_would_set_more_tests_off_than_before_is_not_written(tmp_path, monkeypatch, capsys):
    """A weighing at odds with the file and drop times that fit it: coefficients learnt from both fit neither."""
    shutil.copy(SCENARIOS / "gravel_bell.toml", tmp_path / "lure.toml")
    monkeypatch.chdir(tmp_path)
    before = (tmp_path / "lure.toml").read_bytes()
    rate = Request(("drop",))(load("lure.toml"))["drop.sink_rate_m_s"]
    said = ["weighs 14 g", f"sank 1 m in {1.0 / rate:.3g} s", f"sank 1 m in {1.03 / rate:.3g} s"]
    assert main(["log", "lure.toml", *said]) == 0
    capsys.readouterr()
    assert main(["calibrate", "lure.toml", "--workers", "1", "--write"]) == 0
    shown = " ".join("".join(capsys.readouterr()).split())
    assert "3 of 3 for 1" in shown
    assert 'put measured.weight = "14 +- 0.07 g" in the file' in shown
    assert "Nothing was written" in shown
    assert (tmp_path / "lure.toml").read_bytes() == before
    with (tmp_path / "lure.toml").open("a") as file:  # as it was told to
        file.write('\n[measured]\nweight = "14 +- 0.07 g"\n')
    assert main(["calibrate", "lure.toml", "--workers", "1", "--write"]) == 0
    assert "Wrote [calibration]" in capsys.readouterr().err
