"""What a lure does when the winding stops: hangs, rises or sinks, at what rate and nose which way."""

from __future__ import annotations

import numpy as np

from sim.lure.lure import Lure
from sim.motion import kinematics as reading
from sim.motion.solve import Trajectory
from sim.trials.behaviour import AWASH
from sim.trials.causes import causes, sources
from sim.trials.results import Behaviour, PauseResult

RATE = 50.0  # samples per second
COASTS = 0.4  # share of the pause in which it loses the way it had
HANGS_BELOW = 0.01  # m/s: within a pause, less is not seen
LEVEL = 3.0  # degrees
SHORTEST = 0.2  # s: a shorter stop is not looked at


def pause(run: Trajectory, lure: Lure, start: float, end: float) -> PauseResult | None:
    """Figures and words for a stop from `start` to `end` (s); None if the run was over before."""
    stop = min(end, float(run.t[-1]))
    if stop - start < SHORTEST:
        return None
    times = np.linspace(start, stop, max(int(RATE * (stop - start)), 12))
    y = run.at(times)
    r = reading.axes(y)
    depth = -reading.points(y, r, np.array([0.5 * sum(lure.nose_to_tail), 0.0, 0.0]))[:, 2]
    under = reading.wet_shares(y, run.flat) >= AWASH
    surfaced = _surfaced(times, under)
    # the rate is taken after it has lost its way, and before it is up
    last = len(times) if surfaced is None else int(np.searchsorted(times, start + surfaced)) + 1
    first = int(COASTS * last)
    look = slice(first, max(last, first + 8))
    rate = float(np.polynomial.polynomial.polyfit(times[look], depth[look], 1)[1])
    at_surface = not under.any()
    if at_surface or (surfaced is None and abs(rate) < HANGS_BELOW):
        behaviour = Behaviour.HANGS
    else:
        behaviour = Behaviour.SINKS if rate > 0.0 else Behaviour.RISES
    pitch = float(np.degrees(reading.pitch(r[look])).mean())
    return PauseResult(
        start_s=start,
        pause_s=stop - start,
        behaviour=behaviour,
        sink_rate_m_s=rate,
        sunk_m=float(depth[-1] - depth[0]),
        surfaced_s=surfaced,
        pitch_deg=pitch,
        balances=causes(behaviour, sources(run, lure, times[look])),
        at_surface=at_surface,
    )


def _surfaced(times: np.ndarray, under: np.ndarray) -> float | None:
    """Seconds until it shows for good, having been under; None if it stays under or was up all the time."""
    if not under.any() or under[-1]:
        return None
    return float(times[np.flatnonzero(under)[-1]] - times[0])
