"""How fast it is, as ratios to real time: `python -m tests.benchmarks`. Not a test; nothing here passes or fails."""

import time
from pathlib import Path

from sim.design.load import load, read
from sim.lure import build
from sim.lure.static_lure import static_lure
from sim.motion.equations import rates_of
from sim.studies import maps, parameters
from sim.studies.plan import Plan
from sim.studies.vary import carried_out
from sim.trials import cast, drop, retrieve
from sim.trials.floating import attitude, rest
from sim.trials.scene import medium
from sim.trials.trial import trial
from tests.benchmark_targets import targets
from tests.page_benchmark import page_follows

SCENARIOS = Path(__file__).parents[1] / "scenarios"
BODIES = Path(__file__).parents[1] / "docs" / "how-to" / "bodies"


def _clocked(work, times=3):
    """Shortest of a few runs (s), and the last answer."""
    best, answer = float("inf"), None
    for _ in range(times):
        start = time.perf_counter()
        answer = work()
        best = min(best, time.perf_counter() - start)
    return best, answer


BUSY = """
name = "Busy"
[body.main]
length = "70 mm"
width = "18 mm"
height = "22 mm"
material = "cedar"
[plate.lip]
role = "lip"
root = { back = "5 mm", up = "-5 mm" }
length = "18 mm"
width = "18 mm"
angle = "40 deg"
material = "polycarbonate"
[plate.fin]
role = "fin"
root = { back = "66 mm" }
length = "12 mm"
width = "14 mm"
material = "polycarbonate"
[plate.tail]
role = "tail"
root = { back = "66 mm" }
length = "10 mm"
width = "14 mm"
material = "polycarbonate"
[wire.leg]
mirrored = true
start = { back = "20 mm", left = "8 mm" }
end = { back = "28 mm", left = "12 mm" }
diameter = "1 mm"
[wire.arm]
mirrored = true
start = { back = "50 mm", left = "5 mm" }
end = { back = "58 mm", left = "9 mm" }
diameter = "1 mm"
[hook.belly]
at = { back = "30 mm", up = "-11 mm" }
weight = "1.3 g"
[ballast.keel]
at = { back = "28 mm", up = "-7 mm" }
weight = "3 g"
[tie_on.nose]
at = { back = "0 mm" }
"""


def _right_hand_side():
    """One call of the right-hand side for 24 strips, 3 plates, 4 wires and the line; a retrieve beside an engine."""
    design = read(BUSY, "busy.toml")
    lure = build(design, strips=24)
    run = retrieve.run(design, lure, "nose", 0.8)
    took, run = _clocked(lambda: retrieve.run(design, lure, "nose", 0.8))
    state, count, rates = run.y[len(run.y) // 2], 20_000, rates_of(run.flat)
    start = time.perf_counter()
    for _ in range(count):
        rates(0.0, state)
    call = (time.perf_counter() - start) / count * 1e6
    shape = f"{len(lure.elements.strips)} strips, {len(lure.elements.plates)} plates, {len(lure.elements.wires)} wires"
    print(f"\none right-hand side, {shape} and the line: {call:.2f} us")
    try:
        import mujoco
    except ImportError:
        return
    model = mujoco.MjModel.from_xml_string(
        '<mujoco><option density="998" viscosity="0.001" timestep="0.002"/><worldbody><body><freejoint/><geom '
        'type="ellipsoid" size="0.035 0.009 0.011" mass="0.0136" fluidshape="ellipsoid"/></body></worldbody></mujoco>'
    )
    data = mujoco.MjData(model)
    engine, _ = _clocked(lambda: mujoco.mj_step(model, data, nstep=5000))
    second = took / float(run.t[-1])
    print(
        f"one step of mujoco {mujoco.__version__} with one ellipsoid: {engine / 5000 * 1e6:.2f} us, so a call is "
        f"{call / (engine / 5000 * 1e6):.2f} steps; a second of retrieve costs {second / (engine / 10):.1f} of its "
        "seconds at 2 ms"
    )


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
    _right_hand_side()
    for path in sorted(SCENARIOS.glob("*.toml")):
        design = load(path)
        took, _ = _clocked(lambda d=design: trial(d), 2)
        print(f"whole trial of {path.stem}, warm, without start-up: {took:.2f} s")

    many_builds()
    many_runs()
    targets()
    page_follows()


def many_builds(count=50):
    """How many builds a second are weighed and set afloat, and beside it the whole build and the whole `rest`;
    then where the time of all runs of one build goes."""
    files = [*sorted(SCENARIOS.glob("*.toml")), *sorted(BODIES.glob("*.toml"))]
    print(
        f"\n{'weight, margin and rest':24s}{'builds/s':>9s}{'weigh ms':>10s}{'hulls ms':>10s}{'rest ms':>9s}",
        end="",
    )
    print(f"{'whole build ms':>16s}{'whole rest ms':>15s}{'ratio':>7s}")
    for path in files:
        design = load(path)
        density = medium(design).density
        weighed, _ = _clocked(lambda d=design: static_lure(d, with_hulls=False), count)
        took, lure = _clocked(lambda d=design: static_lure(d), count)
        sits, _ = _clocked(lambda u=lure, w=density: attitude(u, w), count)
        both, _ = _clocked(lambda d=design, w=density: attitude(static_lure(d), w), count)
        built, whole = _clocked(lambda d=design: build(d), 10)
        rested, _ = _clocked(lambda d=design, u=whole: rest(d, u), 3)
        print(
            f"{path.stem:24s}{1.0 / both:9.0f}{1e3 * weighed:10.2f}{1e3 * (took - weighed):10.2f}{1e3 * sits:9.2f}"
            f"{1e3 * built:16.2f}{1e3 * rested:15.1f}{(built + rested) / both:7.1f}"
        )
    print(
        f"\n{'all runs of one build':24s}{'runs':>6s}{'took s':>9s}{'of it solver':>14s}{'256 on 2 cores s':>18s}"
    )
    for path in sorted(SCENARIOS.glob("*.toml")):
        design = load(path)
        took, (runs, share) = _clocked(lambda d=design: _all_runs(d), 2)
        print(f"{path.stem:24s}{runs:6d}{took:9.2f}{100 * share:12.1f} %{128 * took:18.0f}")


def _all_runs(design):
    """One build, weighed, set afloat, dropped, cast and pulled every way; how many runs, and the solver's share."""
    begin = time.perf_counter()
    attitude(static_lure(design), medium(design).density)
    lure = build(design, with_hulls=False)
    pulls = [(tie, speed) for tie in lure.tie_ons for speed in design.retrieve.paces()]
    start = time.perf_counter()
    dropped, thrown = drop.run(design, lure), cast.run(design, lure)
    pulled = [retrieve.run(design, lure, *pull) for pull in pulls]
    solving = time.perf_counter() - start
    drop.describe(dropped, lure)
    cast.describe(thrown, lure)
    for run, pull in zip(pulled, pulls, strict=True):
        retrieve.describe(run, lure, *pull, why=False)
    return len(pulls) + 2, solving / (time.perf_counter() - begin)


def many_runs(retrieve_seconds=6.0):
    """Maps of tie-on points: time against runs, and what a second worker brings."""
    path = SCENARIOS / "thimble_oar.toml"
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
    print(f"map of 200 retrieves of 6 s on 2 workers: {took[200, 2]:.2f} s, at most 6")
    print(f"speed-up from 1 to 2 workers, start-up included: {took[200, 1] / took[200, 2]:.2f}")
    print(f"time of 200 runs over that of 50: {took[200, 1] / took[50, 1]:.2f} (the runs differ in work)")


if __name__ == "__main__":
    main()
