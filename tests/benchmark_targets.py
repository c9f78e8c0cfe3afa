"""What has to hold, as numbers beside their targets; called by `python -m tests.benchmarks`.

Times are the shortest of a few; starts are processes of their own. Read them on a quiet machine only.
"""

import os
import statistics
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path

from sim.design.load import load
from sim.lure import build
from sim.trials import retrieve

SCENARIOS = Path(__file__).parents[1] / "scenarios"
RUNNER = str(SCENARIOS / "thimble_oar.toml")


def say(what, found, target, unit=""):
    """One line."""
    print(f"{what:58s}{found:10.3g} {unit:4s} at most {target:g}")


def retrieves():
    """Calls a simulated second, time of 10 s, time of a call inside the stepper: medians over demos and speeds."""
    calls, seconds, each = [], [], []
    for path in sorted(SCENARIOS.glob("*.toml")):
        design = load(path)
        lure = build(design)
        for tie in lure.tie_ons:
            for speed in design.retrieve.paces():
                took = []
                for _ in range(3):
                    start = time.perf_counter()
                    run = retrieve.run(design, lure, tie, speed)
                    took.append(time.perf_counter() - start)
                calls.append(run.evaluations / run.t[-1])
                seconds.append(min(took) / run.t[-1] * 10.0)
                each.append(min(took) / run.evaluations * 1e6)
    say("calls a simulated second of a retrieve", statistics.median(calls), 1500)
    say("10 s of retrieve", statistics.median(seconds), 0.03, "s")
    say("one call, stepping and reading included", statistics.median(each), 3, "us")


def _started(words, cache=None):
    """Seconds until the first line on either stream, and until the end."""
    environment = {**os.environ, **({"DRYTANK_CACHE": cache} if cache else {}), "PYTHONUNBUFFERED": "1"}
    start = time.perf_counter()
    with subprocess.Popen(
        [sys.executable, "-m", "sim", *words], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, env=environment
    ) as work:  # fmt: skip
        line = work.stderr.readline()
        first = time.perf_counter() - start if line else None
        work.stderr.read()
    return first, time.perf_counter() - start


def starts():
    """First start with an empty cache; then warm ones."""
    with tempfile.TemporaryDirectory() as cache:
        first, whole = _started(["trial", RUNNER], cache)
        say("first start: the verdict", first or whole, 2, "s")
        say("first start: whole trial", whole, 15, "s")
    for words, target in (
        (["--help"], 0.1),
        (["budget", str(SCENARIOS / "none.toml")], 0.2),
        (["budget", RUNNER], 0.6),
    ):
        say("warm: " + words[0] + (" of a file that is refused" if "none" in words[-1] else ""),
            min(_started(words)[1] for _ in range(3)), target, "s")  # fmt: skip
    trials = [
        min(_started(["trial", str(path)])[1] for _ in range(2)) for path in sorted(SCENARIOS.glob("*.toml"))
    ]
    say("warm: trial, median over demos", statistics.median(trials), 1.2, "s")


def studies():
    """Commands that try much: a report, a thousand builds of weight and rest, builds tried whole; on all cores."""
    with tempfile.TemporaryDirectory() as folder:
        reports = [
            min(_started(["report", str(path), "-o", f"{folder}/{path.stem}.html"])[1] for _ in range(2))
            for path in sorted(SCENARIOS.glob("*.toml"))
        ]
    say("warm: report, median over demos", statistics.median(reports), 3, "s")
    cheap = ["tolerance", RUNNER, "--only", "budget,float", "--count", "1000"]
    say("1,000 builds of budget and float", min(_started(cheap)[1] for _ in range(2)), 2, "s")
    say("256 builds tried whole", _started(["tolerance", RUNNER, "--count", "256"])[1], 25, "s")


def _loop(count):
    total = 0.0
    for k in range(count):
        total += k * 0.5
    return total


def _pulls(count):
    design = load(RUNNER)
    lure = build(design)
    for _ in range(count):
        retrieve.run(design, lure, "nose", 0.9)


def _both(work, count):
    """Time on one process over that on two, each doing half, processes already started."""
    with ProcessPoolExecutor(2, get_context("spawn")) as pool:
        list(pool.map(work, [1, 1]))
        start = time.perf_counter()
        pool.submit(work, count).result()
        alone = time.perf_counter() - start
        start = time.perf_counter()
        list(pool.map(work, [count // 2, count // 2]))
        return alone / (time.perf_counter() - start)


def neighbours():
    """What a second process brings to pulls, beside what it brings to a plain arithmetic loop."""
    loop, pulls = _both(_loop, 20_000_000), _both(_pulls, 60)
    print(
        f"speed-up of pulls on 2 workers {pulls:.2f}, of a plain loop {loop:.2f}; at least 1.7 where the loop has 2"
    )


def targets():
    """All of them."""
    print("\nwhat has to hold")
    retrieves()
    starts()
    studies()
    neighbours()
