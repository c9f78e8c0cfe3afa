"""Integrate one run with scipy and hand back the trajectory as data.

The explicit Runge-Kutta pair of Dormand and Prince (scipy's `dopri5`) suits this problem: the right-hand
side has corners (the surface, a line going slack) that multistep methods stumble over. Work is bounded by a
number of steps; a run that needs more ends there and says so.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.elements import P_SHED, Elements
from sim.motion.equations import rates
from sim.motion.problem import Scene, pack

Array = NDArray[np.float64]


STIFF = -4  # dopri5's return code when its step has long been held down by stability, not by accuracy


@dataclass(frozen=True)
class Settings:
    """How finely a run is integrated."""

    rtol: float = 1e-7
    atol: float = 1e-8  # m, m/s, rad/s, and the pure numbers of attitude and wake
    steps_per_second: int = 2000  # work budget

    def tightened(self, factor: float) -> Settings:
        """The same with tolerances divided by `factor`."""
        return Settings(self.rtol / factor, self.atol / factor, self.steps_per_second * 4)


@dataclass(frozen=True)
class Stop:
    """Ends a run where `level(t, y)` falls through zero; `name` says what that means."""

    name: str
    level: Callable[[float, Array], float]


@dataclass(frozen=True)
class Trajectory:
    """States at the solver's own steps, with their rates, so that any time between can be read off."""

    t: Array  # (n,) s
    y: Array  # (n, m) states
    f: Array  # (n, m) rates
    ended: str  # "time", "gave up" or the name of the stop that ended it
    evaluations: int
    flat: Array  # the packed problem, for reading forces off the states

    def at(self, times: Array | Sequence[float]) -> Array:
        """States at `times` (k,), cubic between steps; shape (k, m)."""
        return _hermite(self.t, self.y, self.f, np.asarray(times, dtype=float))


def start_state(
    elements: Elements,
    position: Sequence[float],
    quaternion: Sequence[float],
    velocity: Sequence[float] = (0.0, 0.0, 0.0),
    spin: Sequence[float] = (0.0, 0.0, 0.0),
    wake: float = 0.0,
) -> Array:
    """A state vector; velocities in body axes; `wake` is the first value of every oscillator."""
    oscillators = int(elements.plates[:, P_SHED].max(initial=-1.0)) + 1
    return np.array([*position, *quaternion, *velocity, *spin, *([wake, 0.0] * oscillators)], dtype=float)


def integrate(
    elements: Elements,
    scene: Scene,
    start: Array,
    duration: float,
    stops: Sequence[Stop] = (),
    settings: Settings | None = None,
) -> Trajectory:
    """Run the motion from `start` for `duration` seconds or to the first stop.

    Never raises for a hard problem: the trajectory then ends early with `ended == "gave up"`.
    """
    from scipy.integrate import ode

    settings = settings or Settings()
    flat = pack(elements, scene)
    start = np.ascontiguousarray(start, dtype=float)
    steps = _Steps(flat, stops)
    budget = int(settings.steps_per_second * max(duration, 0.25))
    at, state = 0.0, start
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # the outcome is told by `ended`
        while steps.ended == "time" and at < duration:
            solver = ode(steps.rates)
            left = budget - len(steps.times)
            solver.set_integrator(
                "dopri5",
                rtol=settings.rtol,
                atol=settings.atol,
                nsteps=max(left, 1),
                max_step=0.05,
                first_step=1e-4,
            )
            solver.set_solout(steps.accept)
            solver.set_initial_value(state, at)
            solver.integrate(duration)
            if solver.successful():
                break
            # stopped by its own alarm for stiff problems, while the budget lasts: go on from there
            if len(steps.times) >= budget or solver.get_return_code() != STIFF or steps.times[-1] <= at:
                steps.ended = "gave up"
            at, state = steps.times[-1], steps.states[-1]
    t, y = np.array(steps.times), np.array(steps.states)
    ended, calls = steps.ended, steps.calls
    steps.forget()
    keep = np.isfinite(y).all(axis=1)
    t, y = t[keep], y[keep]
    f = np.array([rates(a, b, flat) for a, b in zip(t, y, strict=True)])
    trajectory = Trajectory(t, y, f, ended, calls + len(t), flat)
    for stop in stops:
        if ended == stop.name:
            return _cut(trajectory, stop)
    return trajectory


class _Steps:
    """What the solver asks and tells on its way, and where it is to stop."""

    def __init__(self, flat: Array, stops: Sequence[Stop]) -> None:
        self.flat, self.stops = flat, tuple(stops)
        self.times: list[float] = []
        self.states: list[Array] = []
        self.ended, self.calls = "time", 0

    def rates(self, t: float, y: Array) -> Array:
        self.calls += 1
        return rates(t, y, self.flat)

    def accept(self, t: float, y: Any) -> int:
        if self.times and t <= self.times[-1]:
            return 0  # the point a continued run starts from
        self.times.append(float(t))
        self.states.append(np.array(y, dtype=float))
        if not (math.isfinite(y[0]) and math.isfinite(y[1]) and math.isfinite(y[2])):
            self.ended = "gave up"
            return -1
        for stop in self.stops:
            if stop.level(t, y) <= 0.0 and len(self.times) > 1:
                self.ended = stop.name
                return -1
        return 0

    def forget(self) -> None:
        """Let go of everything: scipy 1.17 never lets go of the functions that it was handed, nor so of this."""
        self.flat, self.stops, self.times, self.states = np.empty(0), (), [], []


def _cut(run: Trajectory, stop: Stop) -> Trajectory:
    """End the run exactly where the stop's level is zero, between its last two steps."""
    from scipy.optimize import brentq

    if len(run.t) < 2:
        return run
    low, high = float(run.t[-2]), float(run.t[-1])

    def level(t: float) -> float:
        return stop.level(t, run.at([t])[0])

    if level(low) <= 0.0 or level(high) > 0.0:
        return run
    t = brentq(level, low, high, xtol=1e-9)
    y = run.at([t])[0]
    times = np.append(run.t[:-1], t)
    states = np.vstack([run.y[:-1], y])
    slopes = np.vstack([run.f[:-1], rates(t, y, run.flat)])
    return Trajectory(times, states, slopes, run.ended, run.evaluations + 1, run.flat)


def _hermite(t: Array, y: Array, f: Array, times: Array) -> Array:
    k = np.clip(np.searchsorted(t, times, side="right") - 1, 0, max(len(t) - 2, 0))
    if len(t) == 1:
        return np.repeat(y, len(times), axis=0)
    h = (t[k + 1] - t[k])[:, None]
    s = np.clip((times - t[k])[:, None] / h, 0.0, 1.0)
    return np.asarray(
        (1 + 2 * s) * (1 - s) ** 2 * y[k]
        + s * (1 - s) ** 2 * h * f[k]
        + s**2 * (3 - 2 * s) * y[k + 1]
        + s**2 * (s - 1) * h * f[k + 1]
    )
