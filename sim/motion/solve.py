"""Integrate one run with scipy and hand back the trajectory as data.

The explicit Runge-Kutta pair of Dormand and Prince (scipy's `dopri5`) suits this problem: the right-hand
side has corners (the surface, a line going slack) that multistep methods stumble over. Work is bounded by a
number of steps; a run that needs more ends there and says so.
"""

from __future__ import annotations

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
    times: list[float] = []
    states: list[Array] = []
    ended = "time"

    def accept(t: float, y: Any) -> int:
        nonlocal ended
        if times and t <= times[-1]:
            return 0  # the point a continued run starts from
        times.append(float(t))
        states.append(np.array(y, dtype=float))
        if not np.isfinite(states[-1][:3]).all():
            ended = "gave up"
            return -1
        for stop in stops:
            if stop.level(t, y) <= 0.0 and len(times) > 1:
                ended = stop.name
                return -1
        return 0

    calls = 0

    def counted(t: float, y: Array) -> Array:
        nonlocal calls
        calls += 1
        return rates(t, y, flat)

    budget = int(settings.steps_per_second * max(duration, 0.25))
    at, state = 0.0, start
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)  # the outcome is told by `ended`
        while ended == "time" and at < duration:
            solver = ode(counted)
            left = budget - len(times)
            solver.set_integrator(
                "dopri5",
                rtol=settings.rtol,
                atol=settings.atol,
                nsteps=max(left, 1),
                max_step=0.05,
                first_step=1e-4,
            )
            solver.set_solout(accept)
            solver.set_initial_value(state, at)
            solver.integrate(duration)
            if solver.successful():
                break
            # stopped by its own alarm for stiff problems, while the budget lasts: go on from there
            if len(times) >= budget or solver.get_return_code() != STIFF or times[-1] <= at:
                ended = "gave up"
            at, state = times[-1], states[-1]
    t, y = np.array(times), np.array(states)
    keep = np.isfinite(y).all(axis=1)
    t, y = t[keep], y[keep]
    f = np.array([rates(a, b, flat) for a, b in zip(t, y, strict=True)])
    trajectory = Trajectory(t, y, f, ended, calls + len(t), flat)
    for stop in stops:
        if ended == stop.name:
            return _cut(trajectory, stop)
    return trajectory


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
