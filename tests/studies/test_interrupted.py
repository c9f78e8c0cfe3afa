"""Stopping a study by Ctrl-C, or killing it outright: nothing finished is lost, nobody is left behind."""

import multiprocessing
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from sim.cli import main
from sim.studies.engine import processes
from sim.studies.record import each, read
from tests.studies.work import RUNNER, TEXT

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="signals are sent as on a Unix terminal")

COUNT = 40


def asked(folder: Path, name: str):
    path = folder / "runner.toml"
    path.write_text(TEXT + 'duration = "1.5 s"\n', encoding="utf-8")
    changes = [
        "--vary",
        "lip.angle=30deg..60deg",
        "--steps",
        str(COUNT),
        "--tie-on",
        "nose",
        "--speed",
        "0.9 m/s",
    ]
    return ["vary", str(path), *changes, "-o", str(folder / name)]


def started(words):
    """The command as a group of its own, as a terminal starts it, with two workers; back once rows are there."""
    table = Path(words[-1])
    # what a shell starts in the background does not hear it
    heard = signal.signal(signal.SIGINT, signal.default_int_handler)
    process = subprocess.Popen(
        [sys.executable, "-m", "sim", *words, "--workers", "2"],
        cwd=RUNNER.parents[1], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
    )  # fmt: skip
    signal.signal(signal.SIGINT, heard)
    deadline = time.monotonic() + 120
    while not (table.exists() and sum(1 for _ in each(table)) >= 3):
        assert process.poll() is None, process.communicate()
        assert time.monotonic() < deadline
        time.sleep(0.005)
    return process


def group(leader):
    """Processes of a group that are still at work."""
    alive = []
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                fields = (entry / "stat").read_text().rpartition(")")[2].split()
            except OSError:
                continue
            if int(fields[2]) == leader and fields[0] not in "ZX":
                alive.append(int(entry.name))
    return alive


@pytest.fixture(scope="module")
def whole(tmp_path_factory):
    """The file of the same study, never stopped, on one worker."""
    folder = tmp_path_factory.mktemp("whole")
    assert main([*asked(folder, "v.csv"), "--workers", "1"]) == 0
    return (folder / "v.csv").read_bytes()


def test_ctrl_c_leaves_a_file_that_the_same_command_goes_on_with(tmp_path, whole, capsys):
    words = asked(tmp_path, "v.csv")
    process = started(words)
    os.killpg(process.pid, signal.SIGINT)  # as the terminal does: to all of them
    out, err = process.communicate(timeout=60)
    done = len(read(tmp_path / "v.csv"))
    assert process.returncode == 130
    assert err == (
        f"\nStopped. {done} of {COUNT} runs are in {tmp_path / 'v.csv'}; give the same command again to go on.\n"
    )
    assert out == ""
    assert 3 <= done < COUNT
    assert main([*words, "--workers", "1"]) == 0
    assert f"{done} of {COUNT} runs are in " in capsys.readouterr().err
    assert (tmp_path / "v.csv").read_bytes() == whole


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="looks for processes as Linux lists them")
def test_killed_outright_it_loses_no_row_and_leaves_no_worker_behind(tmp_path, whole):
    words = asked(tmp_path, "v.csv")
    process = started(words)
    before = {row["case"] for row in each(tmp_path / "v.csv")}
    os.kill(process.pid, signal.SIGKILL)  # the parent alone, and no time to tidy up
    process.communicate(timeout=60)
    rows = {row["case"] for row in each(tmp_path / "v.csv")}
    assert before <= rows
    assert len(rows) < COUNT
    deadline = time.monotonic() + 30
    while group(process.pid) and time.monotonic() < deadline:
        time.sleep(0.02)
    assert group(process.pid) == []
    with (tmp_path / "v.csv").open("ab") as file:
        file.write(f"{COUNT - 1},12.5,nose,0.9,fl".encode())  # what half a write would leave
    assert main([*words, "--workers", "1"]) == 0
    assert (tmp_path / "v.csv").read_bytes() == whole


def test_no_worker_hears_ctrl_c_from_its_first_moment_on():
    with processes(2) as pool:
        asked = [pool.submit(os.getpid) for _ in range(6)]
        started_now = multiprocessing.active_children()
        for worker in started_now:  # none of them is far enough to answer for itself yet
            os.kill(worker.pid, signal.SIGINT)
        assert {one.result(timeout=60) for one in asked} <= {worker.pid for worker in started_now}
        assert len(started_now) == 2
