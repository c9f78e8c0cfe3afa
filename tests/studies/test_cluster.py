"""The same study on a Dask cluster of this machine's own processes."""

import subprocess
import sys
import time

import pytest
from distributed import Client, LocalCluster

from sim.cli import main
from sim.studies.engine import run_cases
from sim.studies.record import StudyFile, read
from tests.studies import work
from tests.studies.work import TEXT


@pytest.fixture(scope="module")
def cluster():
    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None, silence_logs=50
    ) as started:
        yield started


def test_cases_run_on_the_workers_of_a_cluster(cluster):
    with Client(cluster.scheduler_address) as client:
        cases = [*work.many(30), work.Case(31, work.breaks)]
        outcomes = list(run_cases(TEXT, cases, client.get_executor(pure=False), workers=2))
    assert sorted(outcome.case.number for outcome in outcomes) == list(range(1, 32))
    assert {outcome.answer.get("angle") for outcome in outcomes if not outcome.failure} == {55.0}
    assert [outcome.case.number for outcome in outcomes if outcome.failure] == [31]


def test_vary_gives_the_same_file_on_a_cluster_as_alone(cluster, tmp_path, capsys):
    asked = [
        "vary",
        str(work.RUNNER),
        "--vary",
        "lip.angle=30deg,50deg",
        "--set",
        "duration=1.2s",
        "--speed",
        "0.9 m/s",
    ]
    assert main([*asked, "-o", str(tmp_path / "a.csv"), "--workers", "1"]) == 0
    assert main([*asked, "-o", str(tmp_path / "b.csv"), "--cluster", cluster.scheduler_address]) == 0
    assert len(read(tmp_path / "a.csv")) == 4
    assert (tmp_path / "a.csv").read_bytes() == (tmp_path / "b.csv").read_bytes()
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize("gone", ["workers", "scheduler"])
def test_a_cluster_that_dies_in_the_middle_says_so_and_the_same_command_goes_on(
    gone, tmp_path, capsys, monkeypatch
):
    monkeypatch.setattr("sim.cli.workers.SECONDS_WITHOUT", 1.0)
    out, add, left = tmp_path / "a.csv", StudyFile.add, iter(range(2))
    asked = [
        "vary",
        str(work.RUNNER),
        "--vary",
        "lip.angle=30deg..50deg",
        "--steps",
        "300",
        "--only",
        "budget",
    ]
    with LocalCluster(
        n_workers=1, threads_per_worker=1, processes=False, dashboard_address=None, silence_logs=50
    ) as dying:

        def lost(self, cells):
            add(self, cells)
            if next(left, None) is not None:
                return
            if gone == "scheduler":
                dying.close()
            elif dying.workers:
                dying.scale(0)
                until = time.monotonic() + 30.0
                while dying.scheduler.workers and time.monotonic() < until:
                    time.sleep(0.01)

        monkeypatch.setattr(StudyFile, "add", lost)
        assert main([*asked, "-o", str(out), "--cluster", dying.scheduler_address]) == 2
    said = capsys.readouterr().err
    rows = len(read(out))
    assert 2 <= rows < 300
    assert "The workers of the cluster are gone, or its scheduler is: start them again." in said
    assert f"{rows} of 300 runs are in {out}; give the same command again to go on." in said
    assert "Traceback" not in said
    monkeypatch.setattr(StudyFile, "add", add)
    assert main([*asked, "-o", str(out), "--workers", "1"]) == 0
    assert len(read(out)) == 300


def test_an_address_where_nobody_answers_is_said_with_what_to_write(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr("sim.cli.workers.SECONDS_TO_REACH", 0.5)
    out = str(tmp_path / "a.csv")
    asked = ["vary", str(work.RUNNER), "--vary", "lip.angle=30deg,50deg", "-o", out, "--cluster"]
    for address in ("tcp://127.0.0.1:9", "nonsense://x"):
        assert main([*asked, address]) == 2
        message = capsys.readouterr().err
        assert f"--cluster {address}: no scheduler answers there; give the address" in message
        assert "Traceback" not in message


@pytest.mark.parametrize("address", ["tls://127.0.0.1:9", "tcp://[::1"])
def test_a_client_that_never_came_up_says_nothing_when_the_program_ends(address, tmp_path):
    words = [
        "vary",
        str(work.RUNNER),
        "--vary",
        "lip.angle=30deg,50deg",
        "-o",
        str(tmp_path / "a.csv"),
        "--cluster",
        address,
    ]
    program = (
        "import sim.cli.workers as w; w.SECONDS_TO_REACH = 0.5; "
        f"from sim.cli import main; raise SystemExit(main({words!r}))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, timeout=100)
    assert done.returncode == 2
    assert "no scheduler answers there" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_cluster_without_the_extra_says_what_to_install(tmp_path, capsys, monkeypatch):
    monkeypatch.setitem(__import__("sys").modules, "distributed", None)
    out = str(tmp_path / "a.csv")
    asked = ["vary", str(work.RUNNER), "--vary", "lip.angle=30deg,50deg", "-o", out, "--cluster", "tcp://x:1"]
    assert main(asked) == 2
    assert "pip install 'drytank[cluster]'" in capsys.readouterr().err
