"""Integrate one run and hand back the trajectory as data.

The explicit pair of Dormand and Prince suits this problem: the right-hand side has corners (the surface, a
line going slack) that multistep methods stumble over (`docs/notes/solver.md` has the comparison). Work is bounded
by a number of calls; a run that needs more ends there and says so.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.elements import P_SHED, Elements
from sim.forces.chain import place
from sim.forces.line import line_state
from sim.forces.state import N_WAKE, WAKE, rotation
from sim.motion.equations import scratch
from sim.motion.problem import Scene, pack, unpack
from sim.motion.stepper import AT_CALLS, AT_STEP, AT_TIME, N_AT, STAGES, advance
from sim.motion.stiff import finished

Array = NDArray[np.float64]

RTOL = 1e-4  # of trials and studies alike (`docs/notes/convergence.md`)
LONGEST = 0.05  # s, of a step: no stop is stepped over
FIRST = 1e-4  # s, of the first step; it grows tenfold at a time
CHUNK = 256  # steps between two looks at the stops
LOOKS, HOPELESS = 16, 5.0
"""A stiff rest is given up where so many looks in a row went at a pace at which it would need so many times the calls
it may make: each costs ten times one of the stepper's, and a pace that holds so long is that of no passing corner."""


@dataclass(frozen=True)
class Settings:
    """How finely a run is integrated. Tolerances are those of one step's error, root mean square over the state."""

    rtol: float = RTOL
    atol: float = 0.1 * RTOL  # m, m/s, rad/s, and the pure numbers of attitude and wake
    calls_per_second: int = 12_000  # work budget

    def tightened(self, factor: float) -> Settings:
        """The same with tolerances divided by `factor`."""
        return Settings(self.rtol / factor, self.atol / factor, self.calls_per_second * 4)


TIGHT = Settings(1e-7, 1e-8)
"""For checks of invariants: energy and momentum in ideal fluid hold to one part in a million over 5 s."""


@dataclass(frozen=True)
class Stop:
    """Ends a run where `level` falls through zero; `name` says what that means.

    `level(t, y)` takes times (k,) and states (k, m) and gives (k,) values.
    """

    name: str
    level: Callable[[Array, Array], Array]


@dataclass(frozen=True)
class Trajectory:
    """States at the solver's own steps, and the curve between them, so that any time can be read off."""

    t: Array  # (n,) s
    y: Array  # (n, m) states
    dense: Array  # (n - 1, 4, m) coefficients of the powers 1 to 4 of the time since a step's start
    ended: str  # "time", "gave up" or the name of the stop that ended it
    evaluations: int
    flat: Array  # the packed problem, for reading forces off the states

    def at(self, times: Array | Sequence[float]) -> Array:
        """States at `times` (k,), of fourth order between steps; shape (k, m)."""
        times = np.asarray(times, dtype=float)
        if len(self.t) == 1:
            return np.repeat(self.y, len(times), axis=0)
        k = np.clip(np.searchsorted(self.t, times, side="right") - 1, 0, len(self.t) - 2)
        s = np.clip(times, self.t[0], self.t[-1])[:, None] - self.t[k][:, None]
        c = self.dense[k]
        return np.asarray(self.y[k] + s * (c[:, 0] + s * (c[:, 1] + s * (c[:, 2] + s * c[:, 3]))))


def start_state(
    elements: Elements,
    position: Sequence[float],
    quaternion: Sequence[float],
    velocity: Sequence[float] = (0.0, 0.0, 0.0),
    spin: Sequence[float] = (0.0, 0.0, 0.0),
    wake: float = 0.0,
) -> Array:
    """A state vector; velocities in body axes; `wake` is the first value of every oscillator."""
    wakes = [wake, *[0.0] * (N_WAKE - 1)] * _oscillators(elements)
    return np.array([*position, *quaternion, *velocity, *spin, *wakes], dtype=float)


def _oscillators(elements: Elements) -> int:
    return int(elements.plates[:, P_SHED].max(initial=-1.0)) + 1


def _own(elements: Elements) -> int:
    """How many numbers of a state are the lure's own and not its line's."""
    return WAKE + N_WAKE * _oscillators(elements)


def _with_line(start: Array, elements: Elements, scene: Scene) -> Array:
    """The state with the points of a straight line behind it, if there is such a line and it is not there yet."""
    setup = scene.line
    if setup is None or setup.mode != 1:
        return start
    if len(start) != _own(elements):
        return start
    tie = start[:3] + np.reshape(rotation(np.asarray(start, dtype=float)), (3, 3)) @ np.array(setup.tie_on)
    tip = np.array(setup.programme[0][2:5], dtype=float)
    wet = min(max(-tie[2] / max(tip[2] - tie[2], 1e-9), 0.0), 1.0)
    shares = np.array([place(i, setup.links, wet) for i in range(1, setup.links)])
    return np.concatenate([start, np.ravel(tip + shares[:, None] * (tie - tip))])


def integrate(
    elements: Elements,
    scene: Scene,
    start: Array,
    duration: float,
    stops: Sequence[Stop] = (),
    settings: Settings | None = None,
    watch: Callable[[Trajectory], None] | None = None,
) -> Trajectory:
    """Run the motion from `start` for `duration` seconds or to the first stop.

    A line that is held or wound in starts straight from the rod tip to the lure, unless `start` has its points.

    `watch` is shown what there is so far, while it goes on, every so many steps.

    Never raises for a hard problem: the trajectory then ends early with `ended == "gave up"`.
    """
    settings = settings or Settings()
    flat = pack(elements, scene)
    y = _with_line(np.array(start, dtype=float), elements, scene)
    m, at = len(y), np.zeros(N_AT)
    at[AT_STEP] = min(FIRST, duration)
    p = unpack(flat)
    work, stages, room, lure = scratch(p), np.empty((STAGES, m)), np.empty((2, m)), line_state(y, p.line)
    end, rtol, atol = float(duration), settings.rtol, settings.atol
    calls = float(settings.calls_per_second * max(duration, 0.25))
    pieces = [(np.zeros(1), y[None].copy(), np.empty((0, 4, m)))]

    def stopped(times: Array, states: Array, dense: Array) -> str:
        """Take the steps up to the first stop, and give the stop's name, if there is one."""
        name, done = "", len(times)
        for stop in stops:
            reached = np.flatnonzero(np.broadcast_to(stop.level(times[:done], states[:done]) <= 0.0, done))
            if len(reached):
                name, done = stop.name, int(reached[0]) + 1
        pieces.append((times[:done], states[:done], dense[:done]))
        return name

    def made_so_far(ended: str) -> Trajectory:
        t, states, dense = (np.concatenate([piece[k] for piece in pieces]) for k in range(3))
        return Trajectory(t, states, dense, ended, int(at[AT_CALLS]), flat)

    ended, allowed = "", calls
    while not ended and at[AT_TIME] < end:
        times, states, dense = np.empty(CHUNK), np.empty((CHUNK, m)), np.empty((CHUNK, 4, m))
        done = advance(
            p, work, at, y, stages, room, lure, end, rtol, atol, LONGEST, allowed, times, states, dense
        )
        if not np.isfinite(y).all():
            done = int(np.isfinite(states[:done]).all(axis=1).argmin())
        ended = stopped(times[:done], states[:done], dense[:done])
        if done == CHUNK or at[AT_TIME] >= end or ended:
            if watch and not ended and at[AT_TIME] < end:
                watch(made_so_far("time"))
            continue
        if allowed > calls or at[AT_CALLS] < calls or _needs(pieces[-2:], end, STAGES - 1) > calls:
            ended = "gave up"
        else:  # it is nearly there, and each of these calls costs a tenth of one of the other solver
            allowed = 2.0 * calls
    made = int(at[AT_CALLS])
    if ended == "gave up" and calls <= made < 2.0 * calls:
        ended = ""

        def goes_on(*steps: Array) -> bool:
            nonlocal ended
            ended = stopped(*steps)
            slow = len(pieces) >= before + LOOKS and _needs(pieces[-LOOKS:], end, 1) > HOPELESS * left
            return not ended and not slow

        left, before = 2.0 * calls - made, len(pieces)
        made += finished(flat, float(at[AT_TIME]), y, end, rtol, atol, LONGEST, left, _own(elements), goes_on)
        if not ended and pieces[-1][0][-1] < end:
            ended = "gave up"
    run = replace(made_so_far(ended or "time"), evaluations=made)
    for stop in stops:
        if ended == stop.name:
            return _cut(run, stop)
    return run


def _needs(pieces: Sequence[tuple[Array, Array, Array]], end: float, each: int) -> float:
    """Calls to the end, at the pace of these steps, of `each` calls."""
    times = np.concatenate([piece[0] for piece in pieces])
    if len(times) < 9:
        return np.inf
    return float(each * (len(times) - 1) * (end - times[-1]) / max(times[-1] - times[0], 1e-300))


def _cut(run: Trajectory, stop: Stop) -> Trajectory:
    """End the run where the stop's level falls through zero, within its last step."""
    low, high = float(run.t[-2]), float(run.t[-1])
    for _ in range(6):  # each time a thirty-second part
        times = np.linspace(low, high, 33)
        under = np.flatnonzero(stop.level(times, run.at(times)) <= 0.0)
        if not len(under) or under[0] == 0:
            break
        low, high = float(times[under[0] - 1]), float(times[under[0]])
    return replace(run, t=np.append(run.t[:-1], high), y=np.vstack([run.y[:-1], run.at([high])]))
