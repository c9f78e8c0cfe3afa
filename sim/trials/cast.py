"""Throw it: how far, how long, does it tumble, and what hits the water first."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from sim.design.model import Design
from sim.lure.lure import Lure
from sim.motion import kinematics as reading
from sim.motion.solve import Settings, Stop, Trajectory, integrate, start_state
from sim.trials.results import CastResult, Ended
from sim.trials.run_metrics import beyond
from sim.trials.scene import flight

if TYPE_CHECKING:
    from sim.trials.request import Pull

FINER = 100.0  # a flight is integrated so much finer: it is short, and tumbling makes errors grow
DURATION = 60.0  # s, longer than any cast: what is as light as a feather sails down half a metre a second
TUMBLING = (
    12.0  # s: a flight has the work budget of so long a one; one that is longer sails, and takes little
)
AT_REST = 1e-3  # m: what rises and falls by less in a second lies on the water
NUDGE = 0.02  # rad of roll at release


def run(
    design: Design,
    lure: Lure,
    *,
    tie_on: str | None = None,
    nudge: float = NUDGE,
    coefficients: Mapping[str, float] | None = None,
    settings: Settings | None = None,
) -> Trajectory:
    """The flight from release to splash, tied at `tie_on` (the first tie-on point if not named).

    At release the lure is still swinging round on the end of its drop of line: tie-on point toward the
    centre of the swing, at right angles to the path, turning at speed over rod plus drop. Free flight starts
    with that turn, which is where tumbling comes from.
    """
    cast = design.cast
    tie = lure.tie_ons[tie_on or next(iter(lure.tie_ons))]
    arm = tie - lure.centre
    speed, angle = cast.speed.value, cast.angle.value
    inward = angle - 0.5 * math.pi  # direction to the centre of the swing, in the plane of the cast
    own = math.atan2(float(arm[2]), float(arm[0])) if np.hypot(arm[0], arm[2]) > 1e-6 else 0.0
    start = start_state(
        lure.elements,
        (0.0, 0.0, cast.height.value),
        reading.quaternion(0.0, inward - own, nudge),
    )
    turn = speed / (cast.rod.value + cast.drop.value)
    r = reading.axes(start[None, :])[0]
    spin = np.array([0.0, turn, 0.0])  # nose-down turn of an overhead cast
    path = np.array([speed * math.cos(angle), 0.0, speed * math.sin(angle)])
    start[10:13] = r.T @ spin if nudge else spin
    start[7:10] = r.T @ path - np.cross(start[10:13], lure.centre)

    def height(y: NDArray[np.float64]) -> NDArray[np.float64]:
        return reading.height(y, lure.centre)

    scene = flight(design, (float(tie[0]), float(tie[1]), float(tie[2])), coefficients)
    finer = (settings or Settings()).tightened(FINER)
    finer = replace(finer, calls_per_second=round(finer.calls_per_second * TUMBLING / DURATION))
    flown = integrate(lure.elements, scene, start, DURATION, [Stop("splash", lambda t, y: height(y))], finer)
    before, lies = height(flown.at([DURATION - 1.0, DURATION]))
    if flown.ended == "time" and abs(before - lies) < AT_REST:
        # so light that it floats with its centre above the water: it lands where it first comes as low as it lies
        low = Stop("splash", lambda t, y: height(y) - lies - AT_REST)
        return integrate(lure.elements, scene, start, DURATION, [low], finer)
    return flown


def cast(design: Design, lure: Lure) -> CastResult:
    """Run the cast and name what is seen."""
    return describe(run(design, lure), lure)


def answer(design: Design, lure: Lure, pull: Pull | None) -> CastResult:
    """As `sim.trials.registry` calls it."""
    return describe(motion(design, lure, pull, None), lure)


def observe(design: Design, lure: Lure, pull: Pull | None, settings: Settings | None) -> dict[str, Any]:
    """All of its result."""
    return describe(motion(design, lure, pull, settings), lure).__dict__


def motion(design: Design, lure: Lure, pull: Pull | None, settings: Settings | None) -> Trajectory:
    """The trajectory from the tie-on point of a pull, or the first."""
    return run(design, lure, tie_on=pull.tie_on if pull else None, settings=settings)


def describe(run: Trajectory, lure: Lure) -> CastResult:
    """Figures and words for a flight."""
    ended = Ended.SPLASH if run.ended == "splash" else Ended.GAVE_UP if run.ended == "gave up" else Ended.TIME
    if ended is not Ended.SPLASH:
        return CastResult(
            range_m=None, drift_m=None, flight_time_s=None, apex_m=None, tumbles=None, splash_pitch_deg=None,
            splash_speed_m_s=None, lands="not known", ended=ended, evaluations=run.evaluations,
        )  # fmt: skip
    times = np.linspace(0.0, float(run.t[-1]), 600)
    y = run.at(times)
    r = reading.axes(y)
    centre = reading.points(y, r, lure.centre)
    path = np.gradient(centre, times, axis=0)
    climb = np.unwrap(np.arctan2(path[:, 2], path[:, 0]))
    # the nose's turn in the plane of the cast: minus the turn rate about the world's left
    turned = -np.concatenate([[0.0], _running(reading.spin_world(y, r)[:, 1], times)])
    tumbles = abs(float(turned[-1] - (climb[-1] - climb[0]))) / (2.0 * math.pi)
    speed = float(np.linalg.norm(path[-1]))
    lead = math.degrees(math.acos(float(np.clip(r[-1, :, 0] @ path[-1] / speed, -1.0, 1.0))))
    lands = "nose first" if lead < 45.0 else "tail first" if lead > 135.0 else "side on"
    distance = float(centre[-1, 0])
    seconds = float(run.t[-1])
    whole = round(tumbles)
    return CastResult(
        range_m=distance,
        drift_m=float(centre[-1, 1]),
        flight_time_s=seconds,
        apex_m=float(centre[:, 2].max()),
        tumbles=float(whole),
        splash_pitch_deg=lead,
        splash_speed_m_s=speed,
        lands=lands,
        ended=ended,
        evaluations=run.evaluations,
        outside=beyond(run, times),
    )


def _running(values: NDArray[np.float64], times: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(np.cumsum(0.5 * (values[1:] + values[:-1]) * np.diff(times)))
