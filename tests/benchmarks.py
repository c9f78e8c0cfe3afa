"""How fast it is, as ratios to real time: `python -m tests.benchmarks`. Not a test; nothing here passes or fails."""

import time
from pathlib import Path

from sim.build import build
from sim.design.load import load
from sim.motion.equations import rates
from sim.studies import maps, parameters
from sim.studies.plan import Plan
from sim.studies.vary import carried_out
from sim.trials import cast, drop, retrieve
from sim.trials.trial import trial

SCENARIOS = Path(__file__).parents[1] / "scenarios"


def _clocked(work, times=3):
    """Shortest of a few runs (s), and the last answer."""
    best, answer = float("inf"), None
    for _ in range(times):
        start = time.perf_counter()
        answer = work()
        best = min(best, time.perf_counter() - start)
    return best, answer


def main():
    """Print the table."""
    print(f"{'what':34s}{'simulated s':>12s}{'took s':>9s}{'times real':>12s}{'calls':>9s}{'us/call':>9s}")
    for path in sorted(SCENARIOS.glob("*.toml")):
        design = load(path)
        lure = build(design)
        tie = next(iter(lure.tie_ons))
        work = {
            "drop": lambda d=design, u=lure: drop.run(d, u),
            "cast": lambda d=design, u=lure: cast.run(d, u),
            "retrieve": lambda d=design, u=lure, t=tie: retrieve.run(d, u, t, 0.8),
        }
        for name, run in work.items():
            run()
            took, path_run = _clocked(run)
            end, calls = float(path_run.t[-1]), path_run.evaluations
            label = f"{path.stem} {name}"
            print(f"{label:34s}{end:12.1f}{took:9.3f}{end / took:12.0f}{calls:9d}{took / calls * 1e6:9.1f}")
    run = retrieve.run(design, lure, tie, 0.8)
    state = run.y[len(run.y) // 2]
    count = 20_000
    start = time.perf_counter()
    for _ in range(count):
        rates(0.0, state, run.flat)
    print(f"\none right-hand side of {path.stem}: {(time.perf_counter() - start) / count * 1e6:.2f} us")
    for path in sorted(SCENARIOS.glob("*.toml")):
        design = load(path)
        took, _ = _clocked(lambda d=design: trial(d), 2)
        print(f"whole trial of {path.stem}, warm, without start-up: {took:.2f} s")

    many_runs()


def many_runs(retrieve_seconds=6.0):
    """Maps of tie-on points: time against runs, and what a second worker brings."""
    path = SCENARIOS / "reed_runner.toml"
    text, design = path.read_text(encoding="utf-8"), load(path)
    lure = build(design)
    duration = parameters.read(design, f"retrieve.duration={retrieve_seconds}s")

    def mapped(across, upward, workers):
        place = maps.rectangle(design, lure, "nose", across, upward)
        plan = Plan("map", text, (duration, *place), tie_ons=("nose",), speeds=(0.9,))
        start = time.perf_counter()
        list(carried_out(plan, workers=workers))
        return time.perf_counter() - start

    mapped(2, 2, 1)
    print(f"\n{'map of retrieves of 6 s':34s}{'runs':>6s}{'workers':>9s}{'took s':>9s}{'runs/s':>9s}")
    took = {}
    for across, upward, workers in ((10, 5, 1), (20, 10, 1), (20, 10, 2)):
        runs = across * upward
        took[runs, workers] = seconds = mapped(across, upward, workers)
        print(f"{path.stem:34s}{runs:6d}{workers:9d}{seconds:9.2f}{runs / seconds:9.1f}")
    print(f"speed-up from 1 to 2 workers, start-up included: {took[200, 1] / took[200, 2]:.2f}")
    print(f"time of 200 runs over that of 50: {took[200, 1] / took[50, 1]:.2f} (the runs differ in work)")


if __name__ == "__main__":
    main()
