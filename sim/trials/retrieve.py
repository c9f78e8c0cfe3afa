"""Pull it: what it does from each tie-on point at each speed, or through a programme."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.compiling import cores
from sim.design.model import Design
from sim.forces.state import WAKE as WAKES
from sim.hydrostatics.verdict import Verdict, verdict
from sim.lure.lure import Lure
from sim.motion import kinematics as reading
from sim.motion.solve import Settings, Stop, Trajectory, integrate, start_state
from sim.trials import cast
from sim.trials.behaviour import headline, margins, numbers
from sim.trials.causes import causes, sources
from sim.trials.pause import pause
from sim.trials.programme import EASE, Phase, Row, compiled_rows, mean_speed
from sim.trials.results import Behaviour, Ended, RetrieveResult, SeenBehaviour
from sim.trials.run_metrics import KEYS, RunMetrics, beyond, figures, keyed
from sim.trials.scene import free, medium, pulled

if TYPE_CHECKING:
    from sim.trials.request import Pull

__all__ = ["RunMetrics", "describe", "figures", "follow", "retrieve", "run", "steady"]

RAMP = EASE  # s from rest to full speed
PICK_UP = 1.0  # s from the splash until the line is picked up and comes taut; judgement
NEAR = 2.5  # m to the rod tip, where a retrieve is over
WAKE = 0.1  # start of the wake oscillators: the water is never quite still
NUDGE = 0.001  # rad of roll and heading at the start: no lure starts dead straight, and some straight runs
# hold only as long as nothing disturbs them
LOOK = 0.5  # share of the run, at its end, that the figures are taken from
RATE = 100.0  # samples per second
WHY = 200  # most samples for the causes
EVERY = 1.0  # m between the places at which the depth along the way is given


class Before(NamedTuple):
    """Another speed (m/s) run for a time (s) first, to see whether it matters where a lure comes from."""

    speed: float
    time: float


class Followed(NamedTuple):
    """A run through a programme, without its count-down."""

    run: Trajectory
    phases: list[Phase]


def run(
    design: Design,
    lure: Lure,
    tie_on: str,
    speed: float,
    *,
    height: float | None = None,
    wake: float = WAKE,
    nudge: float = NUDGE,
    coefficients: Mapping[str, float] | None = None,
    settings: Settings | None = None,
    before: Before | None = None,
    watch: Callable[[Trajectory], None] | None = None,
) -> Trajectory:
    """The trajectory of one retrieve at a steady line speed (m/s).

    The lure starts level at the end of a taut line, its nose toward the rod, at the surface: with its middle
    in the surface if it floats, just under if it sinks or suspends; or, with `from_cast`, where and as the cast
    has left it when the line is picked up. `wake` = 0 and `nudge` = 0 keep a symmetric lure in its plane; `nudge`
    turns it that much (rad) in roll and heading at the start. With `before` it starts so much
    farther out that the steady part covers the same water. `watch` is shown the run while it goes on.
    """
    tie = lure.tie_ons[tie_on]
    first = 0.0 if before is None else before.time
    more = 0.0 if before is None else before.speed * (before.time - 0.5 * RAMP)
    start = _start(design, lure, tie_on, more, height, wake, nudge, coefficients)
    rows = steady(design, start, tie, speed, before)
    end = first + design.retrieve.duration.value
    return _pull(design, lure, tie, start, rows, end, coefficients, settings, watch)


def follow(
    design: Design,
    lure: Lure,
    tie_on: str,
    name: str,
    *,
    wake: float = WAKE,
    nudge: float = NUDGE,
    coefficients: Mapping[str, float] | None = None,
    settings: Settings | None = None,
    watch: Callable[[Trajectory], None] | None = None,
) -> Followed:
    """The trajectory through one of the design's programmes, from the end of its count-down.

    While it is counted down the line runs free; then the spool is closed on a taut line. A lure that reaches
    the bottom in the meantime ends there.
    """
    programme = design.retrieve.programme[name]
    tie = lure.tie_ons[tie_on]
    start = _start(design, lure, tie_on, 0.0, None, wake, nudge, coefficients)
    if programme.count is not None:
        bottom = [_on_the_bottom(design)]
        seconds = programme.count.value
        fall = integrate(lure.elements, free(design, coefficients), start, seconds, bottom, settings)
        if fall.ended != "time":
            return Followed(fall, [])
        start = fall.y[-1].copy()
    rows, phases = compiled_rows(programme, design.retrieve, _taut(design, start, tie))
    end = phases[-1].end
    return Followed(_pull(design, lure, tie, start, rows, end, coefficients, settings, watch), phases)


def _start(
    design: Design,
    lure: Lure,
    tie_on: str,
    more: float,
    height: float | None,
    wake: float,
    nudge: float,
    coefficients: Mapping[str, float] | None,
) -> NDArray[np.float64]:
    """Level, nose toward the rod, the retrieve's distance and `more` away; or as the cast leaves it."""
    if design.retrieve.from_cast and height is None:
        landed = _landed(design, lure, tie_on, wake, coefficients)
        if landed is not None:
            landed[0] += more
            return landed
    distance, tip = design.retrieve.distance.value + more, design.retrieve.tip.value
    up = 0.0 if height is None else height
    if height is None and verdict(lure.mass, lure.volume, medium(design).density) is not Verdict.FLOATS:
        up = -0.5 * lure.length
    away = math.sqrt(max(distance**2 - tip**2, 0.25 * distance**2))
    turned = reading.quaternion(heading=math.pi + nudge, roll=nudge)
    return start_state(lure.elements, (away, 0.0, up), turned, wake=wake)


def _landed(
    design: Design, lure: Lure, tie_on: str, wake: float, coefficients: Mapping[str, float] | None
) -> NDArray[np.float64] | None:
    """The state `PICK_UP` after the splash, the line slack till then; None if the cast has no end."""
    flight = cast.run(design, lure, tie_on=tie_on, coefficients=coefficients)
    if flight.ended != "splash":
        return None
    start = start_state(lure.elements, (0.0, 0.0, 0.0), (1.0, 0.0, 0.0, 0.0), wake=wake)
    start[:WAKES] = flight.y[-1, :WAKES]
    sunk = integrate(lure.elements, free(design, coefficients), start, PICK_UP, [_on_the_bottom(design)])
    return None if sunk.ended == "gave up" else sunk.y[-1].copy()


def _taut(design: Design, start: NDArray[np.float64], tie: NDArray[np.float64]) -> float:
    """Length of a taut line from the rod tip to the tie-on point, m."""
    y = start[None, :]
    point = reading.points(y, reading.axes(y), tie)[0]
    return float(np.linalg.norm(point - np.array([0.0, 0.0, design.retrieve.tip.value])))


def _on_the_bottom(design: Design) -> Stop:
    depth = design.water.depth.value
    return Stop("bottom", lambda t, y: y[:, 2] + depth)


def _pull(
    design: Design,
    lure: Lure,
    tie: NDArray[np.float64],
    start: NDArray[np.float64],
    rows: Sequence[Row],
    end: float,
    coefficients: Mapping[str, float] | None,
    settings: Settings | None,
    watch: Callable[[Trajectory], None] | None,
) -> Trajectory:
    scene = pulled(design, (float(tie[0]), float(tie[1]), float(tie[2])), rows, coefficients)
    stops = [Stop("near", lambda t, y: np.hypot(y[:, 0], y[:, 1]) - NEAR), _on_the_bottom(design)]
    return integrate(lure.elements, scene, start, end, stops, settings, watch)


def steady(
    design: Design,
    start: NDArray[np.float64],
    tie: NDArray[np.float64],
    speed: float,
    before: Before | None = None,
) -> list[Row]:
    """Line programme (time, length out, rod tip x, y, z) from a taut line to a steady speed within `RAMP`."""
    tip, end = design.retrieve.tip.value, design.retrieve.duration.value
    at, out, now = 0.0, _taut(design, start, tie), 0.0
    rows: list[Row] = [(at, out, 0.0, 0.0, tip)]
    legs = [(speed, end + 1.0)] if before is None else [(before.speed, before.time), (speed, end + 1.0)]
    for pace, time in legs:
        gain = pace - now
        for part in (0.5, 1.0):
            t = part * RAMP
            rows.append((at + t, out - now * t - 0.5 * gain * t * part, 0.0, 0.0, tip))
        out -= 0.5 * (now + pace) * RAMP + pace * (time - RAMP)
        at, now = at + time, pace
        rows.append((at, out, 0.0, 0.0, tip))
    return rows


def retrieve(
    design: Design,
    lure: Lure,
    *,
    tie_ons: Sequence[str] | None = None,
    speeds: Sequence[float] | None = None,
    programmes: Sequence[str] = (),
) -> list[RetrieveResult]:
    """Every tie-on point at every speed (m/s), or those named; or through the programmes named.

    After the first, which brings the compiled code along, side by side in threads: the stepper lets others work.
    """
    from sim.trials.request import Pull

    names = list(tie_ons) if tie_ons is not None else list(lure.tie_ons)
    paces = [0.0] if programmes else list(speeds) if speeds is not None else design.retrieve.paces()
    pulls = [Pull(name, pace, way) for name in names for way in programmes or [""] for pace in paces]
    first = [answer(design, lure, pull) for pull in pulls[:1]]
    with ThreadPoolExecutor(cores()) as threads:
        return [*first, *threads.map(partial(answer, design, lure), pulls[1:])]


def answer(design: Design, lure: Lure, pull: Pull) -> RetrieveResult:
    """As `sim.trials.registry` calls it; where a retrieve starts from the cast, with where reeling starts."""
    if pull.programme:
        result = through(design, lure, pull.tie_on, pull.programme)
    else:
        result = describe(motion(design, lure, pull, None), lure, pull.tie_on, pull.speed)
    if not design.retrieve.from_cast or not result.depths_m:
        return result
    return result.model_copy(update={"starts_at_m": result.depths_m[0]})


def observe(design: Design, lure: Lure, pull: Pull, settings: Settings | None) -> dict[str, Any]:
    """All of its result but the causes."""
    pulled = motion(design, lure, pull, settings)
    return describe(pulled, lure, pull.tie_on, pull.speed, why=False).__dict__


def motion(design: Design, lure: Lure, pull: Pull, settings: Settings | None) -> Trajectory:
    """The trajectory at a steady speed or through a programme."""
    if pull.programme:
        return follow(design, lure, pull.tie_on, pull.programme, settings=settings).run
    return run(design, lure, pull.tie_on, pull.speed, settings=settings)


def describe(
    run: Trajectory, lure: Lure, tie_on: str, speed: float, begin: float = 0.0, why: bool = True
) -> RetrieveResult:
    """Figures and words for one retrieve, from the later half of what comes after `begin` (s).

    `why` = False leaves out the causes, which a study of many runs does not need.
    """
    end = float(run.t[-1])
    result = _described(run, lure, tie_on, speed, (begin + (1 - LOOK) * (end - begin), end), why)
    return _grounded(result, end) if result.ended is Ended.BOTTOM else result


def _grounded(result: RetrieveResult, end: float) -> RetrieveResult:
    """A run that ended on the bottom: what it did on the way down is no answer to how it swims."""
    swings = ("pitch_amplitude", "roll_amplitude", "yaw_amplitude", "wobble", "turns_per_m", "heave")
    return result.model_copy(
        update={
            **dict.fromkeys(KEYS[name] for name in swings),
            "behaviour": Behaviour.BOTTOM,
            "also": [],
            "seen": [seen for seen in result.seen if seen.behaviour is Behaviour.BOTTOM],
            KEYS["depth"]: result.deepest_m,
        }
    )


def through(design: Design, lure: Lure, tie_on: str, name: str) -> RetrieveResult:
    """Run a programme and describe it."""
    return describe_followed(follow(design, lure, tie_on, name), lure, tie_on, name)


def describe_followed(followed: Followed, lure: Lure, tie_on: str, name: str) -> RetrieveResult:
    """A run through a programme: headline from the last half of its longest winding, and the stops."""
    reached = float(followed.run.t[-1])
    winds = [p for p in followed.phases if p.do == "wind" and p.start < reached - 2.0 * RAMP]
    if winds:
        longest = max(winds, key=lambda p: (round(min(p.end, reached) - p.start, 3), p.start))
        stop = min(longest.end, reached)
        window, speed = (stop - LOOK * (stop - longest.start), stop), longest.speed
    else:
        window, speed = ((1 - LOOK) * reached, reached), mean_speed(followed.phases)
    result = _described(followed.run, lure, tie_on, speed, window, True)
    found = (pause(followed.run, lure, p.start, p.end) for p in followed.phases if p.do == "pause")
    pauses = [p for p in found if p is not None]
    return result.model_copy(update={"programme": name, "pauses": pauses})


def _described(
    run: Trajectory, lure: Lure, tie_on: str, speed: float, window: tuple[float, float], why: bool
) -> RetrieveResult:
    ended = {"time": Ended.TIME, "near": Ended.NEAR, "bottom": Ended.BOTTOM}.get(run.ended, Ended.GAVE_UP)
    end = float(run.t[-1])
    if ended is Ended.GAVE_UP or end < 2 * RAMP:
        return _unanswered(run, tie_on, speed, ended)
    times = np.linspace(*window, max(int((window[1] - window[0]) * RATE), 16))
    found = figures(run, lure, times, speed)
    first, also = headline(found, ended)
    way = _depths(run, lure)
    return RetrieveResult(
        tie_on=tie_on,
        speed_m_s=speed,
        behaviour=first,
        also=also,
        **keyed(found),
        ended=ended,
        ran_s=end,
        evaluations=run.evaluations,
        deepest_m=max(depth for _, depth in way),
        depths_m=_thinned(way),
        seen=_seen(run, lure, times, found, [first, *also]) if why else [],
        margins=margins(found, ended),
        outside=beyond(run, times) if why else [],
    )


def _seen(
    run: Trajectory, lure: Lure, times: NDArray[np.float64], found: RunMetrics, behaviours: list[Behaviour]
) -> list[SeenBehaviour]:
    every = max(-(-len(times) // WHY), 1)
    acts = sources(run, lure, times[::every])
    return [
        SeenBehaviour(
            behaviour=name,
            numbers=numbers(name, found),
            balances=causes(name, acts, found.roll, found.offset),
        )
        for name in behaviours
    ]


def _depths(run: Trajectory, lure: Lure) -> list[tuple[float, float]]:
    """Level distance to the rod tip's foot and depth of the middle, ten times a second (m)."""
    times = np.linspace(0.0, run.t[-1], max(int(10.0 * run.t[-1]), 2))
    y = run.at(times)
    middle = reading.points(y, reading.axes(y), np.array([0.5 * sum(lure.nose_to_tail), 0.0, 0.0]))
    return [(float(math.hypot(x, side)), float(-z)) for x, side, z in middle]


def _thinned(way: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """The first place, then one each time it has come `EVERY` nearer, and the last."""
    out = [way[0]]
    for place in way[1:]:
        if place[0] <= out[-1][0] - EVERY:
            out.append(place)
    return out if out[-1] == way[-1] else [*out, way[-1]]


def _unanswered(run: Trajectory, tie_on: str, speed: float, ended: Ended) -> RetrieveResult:
    """Of a run that broke off, or was over before it had come up to speed."""
    return RetrieveResult(
        tie_on=tie_on, speed_m_s=speed, behaviour=Behaviour.UNKNOWN, also=[], **dict.fromkeys(KEYS.values()),
        ended=ended, evaluations=run.evaluations,
    )  # fmt: skip
