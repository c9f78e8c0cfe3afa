"""Whatever is asked of the command line, and wherever its answer goes: no fault, nothing lost, nothing overwritten."""

import argparse
import json
import os
import shutil
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from sim.cli import main
from sim.cli.calibrate import _write
from sim.cli.errors import InputError
from sim.design.load import load
from sim.design.log import read_log

ROOT = Path(__file__).parents[1]
DEMO = ROOT / "scenarios" / "last_skittle.toml"


@pytest.fixture
def lure(tmp_path):
    return Path(shutil.copy(DEMO, tmp_path / "lure.toml"))


def drytank(*words, **more):
    return subprocess.run(
        [sys.executable, "-m", "sim", *map(str, words)], cwd=ROOT, text=True, timeout=300,
        **{"capture_output": True, **more},
    )  # fmt: skip


# ---- where the answer goes ----------------------------------------------------------------------------


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no /dev/full here")
def test_a_full_standard_output_is_told_as_that():
    with open("/dev/full", "w") as full:
        done = drytank("materials", "cedar", stdout=full, stderr=subprocess.PIPE, capture_output=False)
    assert done.returncode == 2
    assert done.stderr == "The answer could not be written: No space left on device.\n"


@pytest.mark.skipif(os.name != "posix", reason="a shell of POSIX")
def test_closed_streams_are_no_fault_of_the_program():
    command = f"{sys.executable} -m sim materials cedar"
    closed = subprocess.run(f"{command} >&-", shell=True, cwd=ROOT, capture_output=True, text=True)
    assert closed.returncode == 2
    assert closed.stderr == "There is nowhere to write the answer to: the standard output is closed.\n"
    silent = subprocess.run(f"{command}x 2>&-", shell=True, cwd=ROOT, capture_output=True, text=True)
    assert (silent.returncode, silent.stdout) == (2, "")


def test_lines_are_as_narrow_as_asked_for(lure, monkeypatch, capsys):
    monkeypatch.setenv("COLUMNS", "44")
    assert main(["budget", str(lure)]) == 0
    narrow = capsys.readouterr().out
    assert max(map(len, narrow.splitlines())) <= 44
    monkeypatch.setenv("COLUMNS", "300")
    assert main(["budget", str(lure)]) == 0
    wide = capsys.readouterr().out
    assert 44 < max(map(len, wide.splitlines())) <= 80
    numbers = [word for word in wide.split() if any(c.isdigit() for c in word)]
    assert not [
        word for word in numbers if word not in narrow.replace(",", "").split() and word + "," not in narrow
    ]


def test_control_characters_never_reach_the_terminal(capsys):
    for words in (
        ["budget", "a\x1b[31m.toml"],
        ["bud\x9bget"],
        ["measure", "cavity", "full=\x07"],
        ["\x1b]0;x\x07"],
    ):
        assert main(words) == 2
        said = capsys.readouterr().err
        assert "control character" in said
        assert all(c.isprintable() or c == "\n" for c in said)


# ---- the log ------------------------------------------------------------------------------------------


def test_logs_written_at_once_lose_no_entry(lure):
    with ThreadPoolExecutor(4) as pool:
        done = [pool.submit(drytank, "log", lure, f"weighs {9 + k} +- 0.5 g") for k in range(4)]
        assert [one.result().returncode for one in done] == [0] * 4
    log = lure.with_name("lure.log.toml")
    assert len(read_log(log.read_text(), "log").tests) == 4
    assert sorted(path.name for path in lure.parent.iterdir()) == ["lure.log.toml", "lure.toml"]


def test_a_log_with_the_line_ends_of_windows_and_a_mark_changes_only_by_its_new_lines(lure, capsys):
    log = lure.with_name("lure.log.toml")
    before = b'\xef\xbb\xbf# mine\r\n[[test]]\r\nsaid = "weighs 9 g"\r\n# odd\n\r\n# end\r\n'
    log.write_bytes(before)
    assert main(["log", str(lure), "weighs 9.1 g", "--date", "2026-11-20"]) == 0
    after = log.read_bytes()
    assert after.startswith(before.rstrip())
    assert b"\n" not in after[len(before.rstrip()) :].replace(b"\r\n", b"")
    assert main(["log", str(lure), "--strike-out", "1", "--because", "a slip"]) == 0
    assert log.read_bytes() == after.replace(b"said", b'struck_out = "a slip"\r\nsaid', 1)


# ---- nothing is overwritten that is somebody else's ---------------------------------------------------


@pytest.mark.parametrize(
    ("words", "name"),
    [
        (["csv", "{}", "budget", "-o"], "a.csv"),
        (["csv", "{}", "budget", "-o"], "a.json"),
        (["picture", "{}", "weights", "-o"], "a.png"),
        (["picture", "{}", "weights", "-o"], "a.svg"),
        (["sheet", "{}", "-o"], "a.pdf"),
        (["sheet", "{}", "-o"], "a.svg"),
    ],
)
def test_what_somebody_else_wrote_is_left_alone_and_what_was_made_here_is_made_again(
    words, name, lure, capsys
):
    target = lure.with_name(name)
    words = [word.format(lure) for word in words] + [str(target)]
    target.write_text("part,place\nmy own work\n")
    assert main(words) == 2
    assert "is there already and was not written by drytank" in capsys.readouterr().err
    assert target.read_text() == "part,place\nmy own work\n"
    target.unlink()
    assert main(words) == 0
    made = target.read_bytes()
    assert main(words) == 0
    assert target.read_bytes() == made


def test_a_name_that_is_taken_by_default_is_left_alone_too(lure, capsys):
    lure.with_suffix(".pdf").write_text("a letter")
    assert main(["sheet", str(lure)]) == 2
    assert lure.with_suffix(".pdf").read_text() == "a letter"


# ---- odd numbers --------------------------------------------------------------------------------------


@pytest.mark.parametrize("share", ["1e-9", "1e-300", "0", "nan", "-1", "101"])
def test_a_pour_of_nothing_is_refused_in_a_sentence(share, lure, capsys):
    assert main(["pour", str(lure), "--share", share]) == 2
    assert "Traceback" not in capsys.readouterr().err


@pytest.mark.parametrize("words", [["measure"], ["measure", "cavity"], ["materials", "cedar"]])
def test_json_is_json_whatever_is_asked(words, capsys):
    assert main([*words, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)


def test_log_answers_in_json_when_it_writes(lure, capsys):
    assert main(["log", str(lure), "weighs 9 +- 0.1 g", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["test"] == 1
    assert main(["log", str(lure), "--strike-out", "1", "--because", "a slip", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["struck_out"] == "a slip"


# ---- calibrations are written into all files or none --------------------------------------------------


@pytest.fixture
def two(lure, monkeypatch):
    """Two designs as `calibrate --write` has them, and what would be written into each: one more comment."""
    other = Path(shutil.copy(DEMO, lure.with_name("other.toml")))
    monkeypatch.setattr(
        "sim.studies.calibration.write_back.with_calibration", lambda text, *rest: f"{text}# fitted\n"
    )
    files = [str(lure), str(other)]
    return argparse.Namespace(files=files, designs=[load(file) for file in files])


def test_a_calibration_is_written_into_all_files(two):
    _write(two, None)
    assert all(Path(file).read_text() == f"{DEMO.read_text()}# fitted\n" for file in two.files)


def test_a_calibration_that_does_not_fit_one_file_is_written_into_none(two, monkeypatch):
    def failing(text, design, result, number, *rest):
        if number == 1:
            raise KeyError("calibration")
        return f"{text}# fitted\n"

    monkeypatch.setattr("sim.studies.calibration.write_back.with_calibration", failing)
    with pytest.raises(InputError, match=r"other\.toml: the calibration cannot be written"):
        _write(two, None)
    assert all(Path(file).read_text() == DEMO.read_text() for file in two.files)


def test_a_design_changed_while_the_fit_ran_is_left_as_it_is(two):
    changed = DEMO.read_text().replace("[tie_on", "[cast]\nspeed = '19 m/s'\n\n[tie_on", 1)
    Path(two.files[1]).write_text(changed)
    with pytest.raises(InputError, match="was changed while this ran"):
        _write(two, None)
    assert [Path(file).read_text() for file in two.files] == [DEMO.read_text(), changed]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names here")
@pytest.mark.parametrize(
    "words", [["new", "--force"], ["csv", str(DEMO), "budget", "-o"], ["sheet", str(DEMO), "-o"]]
)
def test_a_pipe_with_a_name_is_never_written_to(words, tmp_path, capsys):
    pipe = tmp_path / {"csv": "a.csv", "sheet": "a.pdf"}.get(words[0], "a.toml")
    os.mkfifo(pipe)
    assert main([*words, str(pipe)]) == 2
    assert "no ordinary file" in capsys.readouterr().err
    assert pipe.is_fifo()
