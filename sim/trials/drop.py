"""Let go in still water: how fast it sinks or rises, and how."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from sim.design.model import Design
from sim.lure.lure import Lure
from sim.motion import kinematics as reading
from sim.motion.solve import Settings, Stop, Trajectory, integrate, start_state
from sim.trials.results import DropMotion, DropResult, Ended
from sim.trials.run_metrics import beyond
from sim.trials.scene import still

if TYPE_CHECKING:
    from sim.trials.request import Pull

FOOT = 0.3048
DURATION = 20.0  # s; a slower lure has long settled by then
NUDGE = 0.2  # rad of roll and pitch: nobody lets go of a lure dead level
WAKE = 0.1  # start of the wake oscillators: the water is never quite still
HANGS_BELOW = 0.002  # m/s: two millimetres a second is not seen at the bench
ONE_WAY = 0.6  # net turn over all turning, above which it tumbles or spirals; below, it swings back: flutter
LOOK = 0.5  # share of the run, at its end, that the figures are taken from
SAMPLES = 400
COUNTS = (1, 2, 3, 4, 5, 7, 10, 15, 20)  # s


def run(
    design: Design,
    lure: Lure,
    *,
    nudge: float = NUDGE,
    wake: float = WAKE,
    coefficients: Mapping[str, float] | None = None,
    settings: Settings | None = None,
) -> Trajectory:
    """The trajectory from rest: level just under the surface if it sinks, from half depth if it rises.

    `nudge` turns it a little in pitch and roll at the start; 0 keeps a symmetric lure in its plane.
    """
    scene = still(design, coefficients)
    rises = scene.water.density * lure.volume > lure.mass
    depth = design.water.depth.value
    reach = float(np.linalg.norm(lure.elements.common[:, :3], axis=1).max(initial=0.0)) + 0.01
    start = start_state(
        lure.elements,
        (0.0, 0.0, -(0.5 * depth if rises else min(reach, 0.5 * depth))),
        reading.quaternion(0.0, nudge, nudge),
        wake=wake,
    )
    stops = [
        Stop("surface", lambda t, y: -reading.height(y, lure.centre) - 0.3 * lure.length)
        if rises
        else Stop("bottom", lambda t, y: reading.height(y, lure.centre) + depth)
    ]
    return integrate(lure.elements, scene, start, DURATION, stops, settings)


def drop(design: Design, lure: Lure) -> DropResult:
    """Run the drop and name what is seen."""
    return describe(run(design, lure), lure)


def answer(design: Design, lure: Lure, pull: Pull | None) -> DropResult:
    """As `sim.trials.registry` calls it."""
    return describe(motion(design, lure, pull, None), lure)


def observe(design: Design, lure: Lure, pull: Pull | None, settings: Settings | None) -> dict[str, Any]:
    """All of its result."""
    return describe(motion(design, lure, pull, settings), lure).__dict__


def motion(design: Design, lure: Lure, pull: Pull | None, settings: Settings | None) -> Trajectory:
    """The trajectory."""
    return run(design, lure, settings=settings)


def describe(run: Trajectory, lure: Lure) -> DropResult:
    """Figures and words for a drop's trajectory."""
    ended = {"time": Ended.TIME, "surface": Ended.SURFACE, "bottom": Ended.BOTTOM}.get(
        run.ended, Ended.GAVE_UP
    )
    end = float(run.t[-1])
    times = np.linspace((1 - LOOK) * end, end, SAMPLES)
    y = run.at(times)
    r = reading.axes(y)
    centre = reading.points(y, r, lure.centre)
    span = float(times[-1] - times[0])
    if span <= 0.0 or ended is Ended.GAVE_UP:
        return _unanswered(run)
    rate = float(centre[0, 2] - centre[-1, 2]) / span
    drift = centre[-1, :2] - centre[0, :2]
    level = float(math.hypot(drift[0], drift[1])) / span
    fell = abs(rate) * span
    pitch = np.degrees(reading.pitch(r))
    tilt = np.degrees(np.arcsin(np.clip(r[:, 2, 1], -1.0, 1.0)))  # of the left side above the right
    swing = float(np.sqrt(2.0) * max(pitch.std(), tilt.std()))
    spin = reading.spin_world(y, r)
    turned = float(np.trapezoid(np.linalg.norm(spin, axis=1), times)) / (2.0 * math.pi)
    round_ = _turns(times, spin[:, 2])
    over = max(_turns(times, y[:, 10]), _turns(times, y[:, 11]))
    if abs(rate) < HANGS_BELOW:
        motion = DropMotion.HANGS
    elif round_ >= 0.5 and round_ > ONE_WAY * turned:
        motion = DropMotion.SPIRAL
    elif over >= 1.0 and over > ONE_WAY * turned:
        motion = DropMotion.TUMBLE
    elif swing > 10.0:
        motion = DropMotion.FLUTTER
    elif level > math.tan(math.radians(10.0)) * abs(rate):
        motion = DropMotion.GLIDE
    else:
        motion = DropMotion.STRAIGHT
    per_m = max(over, round_) / fell if fell > 0.01 else 0.0
    hangs = motion is DropMotion.HANGS
    return DropResult(
        sink_rate_m_s=0.0 if hangs else rate,
        sink_rate_cm_s=0.0 if hangs else rate * 100.0,
        sink_rate_ft_s=0.0 if hangs else rate / FOOT,
        seconds_per_m=None if hangs else 1.0 / abs(rate),
        seconds_per_ft=None if hangs else FOOT / abs(rate),
        pitch_deg=float(pitch.mean()),
        roll_deg=float(np.degrees(np.arctan2(r[:, 2, 1].mean(), r[:, 2, 2].mean()))),
        glide_deg=None if hangs else math.degrees(math.atan2(level, abs(rate))),
        swing_deg=swing,
        turns_per_m=per_m,
        motion=motion,
        countdown=_countdown(run, lure, rate),
        ended=ended,
        evaluations=run.evaluations,
        outside=[] if hangs else beyond(run, times),
    )


def _turns(times: NDArray[np.float64], rate: NDArray[np.float64]) -> float:
    return abs(float(np.trapezoid(rate, times))) / (2.0 * math.pi)


def _countdown(run: Trajectory, lure: Lure, rate: float) -> list[tuple[float, float]]:
    """Seconds and depth sunk below where it was let go; none for a lure that rises."""
    if rate <= HANGS_BELOW:
        return []
    times = np.array([0.0, *(t for t in COUNTS if t <= run.t[-1])])
    y = run.at(times)
    z = reading.points(y, reading.axes(y), lure.centre)[:, 2]
    return [(float(t), float(z[0] - depth)) for t, depth in zip(times[1:], z[1:], strict=True)]


def _unanswered(run: Trajectory) -> DropResult:
    empty = dict.fromkeys(
        (
            "sink_rate_m_s", "sink_rate_cm_s", "sink_rate_ft_s", "seconds_per_m", "seconds_per_ft", "pitch_deg",
            "roll_deg", "glide_deg", "swing_deg", "turns_per_m", "motion",
        )
    )  # fmt: skip
    return DropResult(
        **empty,
        countdown=[],
        ended=Ended.GAVE_UP,
        evaluations=run.evaluations,
    )
