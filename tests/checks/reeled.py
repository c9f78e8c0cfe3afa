"""Balls and lures reeled in on the line of a mooring-line program, MoorDyn, run live.

`python -m tests.checks.reeled` runs all 30 balls and prints the greatest deviation of each, with `dives` behind it the
15 dives of the demo lures; the checks run three balls and two dives.
"""

from __future__ import annotations

import ctypes
import math
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.design.load import load
from sim.elements import N_BLOB, Elements
from sim.forces.chain import place
from sim.lure import build
from sim.lure.lure import Lure
from sim.motion.equations import rates_of
from sim.motion.kinematics import axes, quaternion
from sim.motion.problem import LINKS, LineSetup, Scene, pack
from sim.motion.solve import Settings, Trajectory, integrate, start_state
from tests.checks import bench
from tests.motion import rigs

Array = NDArray[np.float64]

SEGMENTS, STEP = 40, 6e-5  # of MoorDyn's line; s, of its fourth-order Runge-Kutta scheme
STIFFNESS = 30.0  # N, of both lines: soft, so that MoorDyn's explicit steps need not be shorter
CROSS_DRAG, BALL_DRAG = 1.5, 0.45
EVERY = 0.1  # s between the depths that are compared
SETTLED = 2.0  # s, from then on they are
TURN = 1e-3  # s, for which lure and MoorDyn's line take turns
FAR, FAR_STIFFNESS = 1000.0, 1.0  # m, N: a line so long and soft pulls evenly
SCENARIOS = Path(__file__).parents[2] / "scenarios"
SINK = Settings(rtol=1e-5, atol=1e-6)


@dataclass(frozen=True)
class Reeled:
    """What is wound in, and how; SI."""

    speed: float
    out: float  # line at the start
    tip: float  # height of the rod tip
    line: float  # diameter
    line_density: float

    def length(self, t: float) -> tuple[float, float]:
        """Line out and its rate: a second from rest to full speed."""
        if t < 1.0:
            return self.out - 0.5 * self.speed * t * t, -self.speed * t
        return self.out + 0.5 * self.speed - self.speed * t, -self.speed

    @property
    def duration(self) -> float:
        """Until 4 m of line are left, at most 16 s; whole tenths."""
        return round(min(16.0, (self.out + 0.5 * self.speed - 4.0) / self.speed), 1)

    @property
    def away(self) -> float:
        """How far from the rod it starts, 5 cm under, on a taut line (m)."""
        return math.sqrt(self.out**2 - (self.tip + 0.05) ** 2)


@dataclass(frozen=True)
class Ball(Reeled):
    """A ball that sinks meanwhile."""

    diameter: float
    density: float

    @property
    def volume(self) -> float:
        """Its volume, m3."""
        return math.pi / 6.0 * self.diameter**3

    @property
    def drag_area(self) -> float:
        """Its drag over dynamic pressure, m2."""
        return BALL_DRAG * 0.25 * math.pi * self.diameter**2


@dataclass(frozen=True)
class Dive(Reeled):
    """A demo lure that dives meanwhile."""

    name: str
    tie_on: str


def drawn(k: int) -> Ball:
    """The k-th random ball: 12 to 26 mm, 20 to 250 mN under water, 0.3 to 1 m/s, nylon, braid or fluorocarbon."""
    r = np.random.default_rng(100 + k)
    size = r.uniform(12e-3, 26e-3)
    sinks_with = math.exp(r.uniform(math.log(0.02), math.log(0.25)))
    density = bench.WATER.density + sinks_with / 9.80665 / (math.pi / 6.0 * size**3)
    speed, out, tip, line = (
        r.uniform(0.3, 1.0),
        r.uniform(10, 20),
        r.uniform(0.5, 1.5),
        r.uniform(15e-5, 35e-5),
    )
    return Ball(speed, out, tip, line, float(r.choice([970.0, 1140.0, 1140.0, 1780.0])), size, density)


DIVES = tuple(
    Dive(speed, 14.0, 1.0, 25e-5, 1140.0, name, tie_on)
    for name, tie_on, speeds in (
        ("cellar_door", "lip", (0.5, 0.9, 1.3)), ("cellar_door", "nose", (0.5, 0.9, 1.3)),
        ("gravel_bell", "rear", (0.6, 1.0)), ("noon_and_midnight", "nose", (0.5, 0.9)),
        ("thimble_oar", "nose", (0.5, 0.9, 1.3)), ("porch_light", "nose", (0.7, 1.0)),
    )
    for speed in speeds
)  # fmt: skip
"""Fifteen dives of the demo lures, on 14 m of nylon."""


# ---- MoorDyn -------------------------------------------------------------------------------------------


INPUT = """--- MoorDyn Input File ---
---------------------- LINE TYPES -----------------------------------
TypeName Diam Mass/m EA BA/-zeta EI Cd Ca CdAx CaAx
(name) (m) (kg/m) (N) (N-s/-) (N-m^2) (-) (-) (-) (-)
l {diameter} {mass} {stiffness} -0.1 0 {drag} 1 0 0
---------------------- POINTS ---------------------------------------
ID Attachment X Y Z Mass Volume CdA Ca
(#) (word) (m) (m) (m) (kg) (m^3) (m^2) (-)
1 Coupled 0 0 {tip} 0 0 0 0
2 {point}
---------------------- LINES ----------------------------------------
ID LineType AttachA AttachB UnstrLen NumSegs LineOutputs
(#) (name) (#) (#) (m) (-) (-)
1 l 1 2 {out} {segments} -
---------------------- OPTIONS --------------------------------------
0 writeLog
{step} dtM
RK4 tScheme
{water} WtrDnsty
9.80665 g
200 WtrDpth
0.0 dtIC
0.0 TmaxIC
---------------------- need this line -------------------------------
"""


@contextmanager
def _quiet() -> Iterator[None]:
    """Without what a compiled library writes to the terminal."""
    import os

    sys.stdout.flush()
    kept, nowhere = (os.dup(1), os.dup(2)), os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    try:
        yield
    finally:
        for fd, old in zip((1, 2), kept, strict=True):
            os.dup2(old, fd)
            os.close(old)
        os.close(nowhere)


@contextmanager
def _system(words: dict[str, Any], ends: list[float]) -> Iterator[tuple[Any, Any]]:
    """MoorDyn with one line, and that line; `ends` are the places of its coupled points."""
    import moordyn

    with _quiet(), tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "line.txt"
        file.write_text(INPUT.format(**words), encoding="utf-8")
        system = moordyn.Create(str(file))
        moordyn.SetLogLevel(system, moordyn.LEVEL_NONE)
        moordyn.Init(system, ends, [0.0] * len(ends))
        for _ in range(
            100_000
        ):  # its functions hand out None without counting it, which Python before 3.12 minds
            ctypes.pythonapi.Py_IncRef(ctypes.py_object(None))
        try:
            yield system, moordyn.GetLine(system, 1)
        finally:
            moordyn.Close(system)


def _words(reeled: Reeled, point: str) -> dict[str, Any]:
    return {
        "diameter": reeled.line, "mass": reeled.line_density * 0.25 * math.pi * reeled.line**2,
        "stiffness": STIFFNESS, "drag": CROSS_DRAG, "tip": reeled.tip, "out": reeled.out, "segments": SEGMENTS,
        "step": STEP, "water": bench.WATER.density, "point": point,
    }  # fmt: skip


def _wound(reeled: Reeled, line: Any, t: float) -> None:
    """Tell MoorDyn's line how long it is at time t, and how fast it gets shorter."""
    import moordyn

    length, rate = reeled.length(t)
    moordyn.SetLineUnstretchedLength(line, length)
    moordyn.SetLineUnstretchedLengthVel(line, rate)


@cache
def by_moordyn(ball: Ball, duration: float) -> tuple[Array, Array, Array]:
    """Times (k,), places of the ball (k, 3) and the line's points at the start (n, 3), rod tip first."""
    import moordyn

    mass = ball.density * ball.volume
    words = _words(ball, f"Free {ball.away} 0 -0.05 {mass} {ball.volume} {ball.drag_area} 0.5")
    tip, still = [0.0, 0.0, ball.tip], [0.0] * 3
    found = []
    with _system(words, tip) as (system, line):
        point = moordyn.GetPoint(system, 2)
        first = np.array([moordyn.GetLineNodePos(line, i) for i in range(SEGMENTS + 1)])
        for k in range(round(duration / EVERY)):
            for part in range(20):
                t = EVERY * (k + part / 20)
                _wound(ball, line, t)
                moordyn.Step(system, tip, still, t, EVERY / 20)
            found.append(moordyn.GetPointPos(point))
    return EVERY * np.arange(1, len(found) + 1), np.array(found), first


@cache
def dive_by_moordyn(dive: Dive, duration: float) -> tuple[Array, Array, Array]:
    """Times (k,), places of the lure's tie-on point (k, 3) and the line's points at the start (n, 3), rod tip first.

    The lure's own forces are the simulator's; its line is MoorDyn's. They take turns of 1 ms: the line is told how the
    tie-on point moves, the lure how the line pulls, by a fourth-order Runge-Kutta scheme in steps of half that.
    """
    import moordyn

    lure, tie = _lure(dive)
    y = start_state(lure.elements, (dive.away, 0.0, -0.05), quaternion(heading=math.pi))
    y[:3] -= axes(y[None, :])[0] @ tie
    found = []
    eye, moves = _eye(y, tie)
    with _system(_words(dive, f"Coupled {dive.away} 0 -0.05 0 0 0 0"), [0.0, 0.0, dive.tip, *eye]) as (
        system,
        line,
    ):
        first = np.array([moordyn.GetLineNodePos(line, i) for i in range(SEGMENTS + 1)])
        for k in range(round(duration / EVERY)):
            for part in range(round(EVERY / TURN)):
                t = EVERY * k + TURN * part
                _wound(dive, line, t)
                pull = moordyn.Step(system, [0.0, 0.0, dive.tip, *eye], [0.0] * 3 + list(moves), t, TURN)[3:]
                flat = _pulled(lure, dive, eye, np.array(pull))
                for _ in range(2):
                    y = _runge_kutta(y, flat, 0.5 * TURN)
                eye, moves = _eye(y, tie)
            found.append(eye)
    return EVERY * np.arange(1, len(found) + 1), np.array(found), first


def _lure(dive: Dive) -> tuple[Lure, Array]:
    lure = build(load(SCENARIOS / f"{dive.name}.toml"), with_hulls=False)
    return lure, np.asarray(lure.tie_ons[dive.tie_on])


def _eye(y: Array, tie: Array) -> tuple[Array, Array]:
    """Place and velocity of the tie-on point, world axes."""
    turn = axes(y[None, :])[0]
    return y[:3] + turn @ tie, turn @ (y[7:10] + np.cross(y[10:13], tie))


def _pulled(lure: Lure, dive: Dive, eye: Array, pull: Array) -> Array:
    """The lure's problem with a steady pull (3, N): a weightless line to a point far off, whose pull hardly changes."""
    force = float(np.linalg.norm(pull))
    scene = Scene(bench.WATER, bench.AIR)
    if force > 0.0:
        at = eye + FAR * pull / force
        length = FAR / (1.0 + force / FAR_STIFFNESS)
        programme = tuple((float(t), length, *map(float, at)) for t in (0.0, 1.0))
        setup = LineSetup(
            mode=1, tie_on=tuple(map(float, lure.tie_ons[dive.tie_on])), stiffness=FAR_STIFFNESS, damping=0.0,
            diameter=1e-9, density=1.0, programme=programme, cross_drag=1e-9, links=1,
        )  # fmt: skip
        scene = Scene(bench.WATER, bench.AIR, line=setup)
    return pack(lure.elements, scene)


def _runge_kutta(y: Array, flat: Array, step: float) -> Array:
    rates = rates_of(flat)
    a = rates(0.0, y)
    b = rates(0.0, y + 0.5 * step * a)
    c = rates(0.0, y + 0.5 * step * b)
    d = rates(0.0, y + step * c)
    y = y + step / 6.0 * (a + 2.0 * b + 2.0 * c + d)
    y[3:7] /= np.linalg.norm(y[3:7])
    return np.asarray(y)


def by_us(ball: Ball, duration: float, first: Array, links: int = LINKS) -> Trajectory:
    """The same by the simulator, its line in the same shape at the start."""
    a = 0.5 * ball.diameter
    mass = ball.density * ball.volume
    sphere = rigs.bare(
        [[0, 0, 0, a * a, a * a, a * a, 0, 0, 0, ball.volume]],
        [np.diag([0.5 * ball.volume] * 3 + [0.0] * 3)[np.triu_indices(6)]],
        mass * np.diag([1.0] * 3 + [0.4 * a * a] * 3),
        [[0.0, ball.drag_area] + [0.0] * (N_BLOB - 2)],
    )
    start = start_state(sphere, first[-1].tolist(), (1.0, 0.0, 0.0, 0.0))
    return _reel(ball, sphere, (0.0, 0.0, 0.0), start, duration, first, links)


def dive_by_us(dive: Dive, duration: float, first: Array, links: int = LINKS) -> Trajectory:
    """The same dive by the simulator, its line in the same shape at the start."""
    lure, tie = _lure(dive)
    start = start_state(lure.elements, (dive.away, 0.0, -0.05), quaternion(heading=math.pi))
    start[:3] -= axes(start[None, :])[0] @ tie
    return _reel(dive, lure.elements, tuple(map(float, tie)), start, duration, first, links)


def _reel(
    reeled: Reeled,
    elements: Elements,
    tie_on: tuple[float, float, float],
    start: Array,
    duration: float,
    first: Array,
    links: int,
) -> Trajectory:
    times = [*np.linspace(0.0, 1.0, 21), 100.0]
    programme = tuple((float(t), reeled.length(t)[0], 0.0, 0.0, reeled.tip) for t in times)
    setup = LineSetup(
        mode=1, tie_on=tie_on, stiffness=STIFFNESS, damping=0.1, diameter=reeled.line, density=reeled.line_density,
        programme=programme, cross_drag=CROSS_DRAG, links=links,
    )  # fmt: skip
    ball = isinstance(reeled, Ball)
    scene = Scene(
        bench.WATER,
        bench.AIR,
        line=setup,
        coefficients={"cross_drag": 0.0, "axial_drag": 0.0} if ball else {},
    )
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(first, axis=0), axis=1))])
    shares = [place(i, links, 0.05 / (reeled.tip + 0.05)) * along[-1] for i in range(1, links)]
    points = np.column_stack([np.interp(shares, along, first[:, k]) for k in range(3)])
    begin = np.concatenate([start, np.ravel(points)])
    return integrate(elements, scene, begin, duration, settings=SINK)


def dive_deviation(dive: Dive, duration: float | None = None) -> float:
    """How much deeper the tie-on point runs than on MoorDyn's line, mean of the last third of the way (per cent)."""
    duration = dive.duration if duration is None else duration
    times, theirs, first = dive_by_moordyn(dive, duration)
    _, tie = _lure(dive)
    states = dive_by_us(dive, duration, first).at(times)
    ours = np.array([_eye(y, tie)[0] for y in states])
    late = times > duration * 2.0 / 3.0
    return float(100.0 * (ours[late, 2].mean() / theirs[late, 2].mean() - 1.0))


@cache
def compared(reeled: Ball | Dive, duration: float) -> tuple[Array, Array, Array]:
    """Times (k,), and heights above the surface there on MoorDyn's line and on ours (k,)."""
    if isinstance(reeled, Dive):
        times, theirs, first = dive_by_moordyn(reeled, duration)
        _, tie = _lure(reeled)
        return (
            times,
            theirs[:, 2],
            np.array([_eye(y, tie)[0][2] for y in dive_by_us(reeled, duration, first).at(times)]),
        )
    times, theirs, first = by_moordyn(reeled, duration)
    return times, theirs[:, 2], by_us(reeled, duration, first).at(times)[:, 2]


def worst(reeled: Ball | Dive, duration: float) -> tuple[float, float]:
    """Both heights where they are farthest apart after the first two seconds, as a share."""
    times, theirs, ours = compared(reeled, duration)
    k = int(np.argmax(np.where(times > SETTLED, np.abs(ours / theirs - 1.0), 0.0)))
    return float(theirs[k]), float(ours[k])


def main(dives: bool) -> None:
    """Print the greatest deviation of every ball, or how far every dive is off."""
    off = []
    for one in DIVES if dives else [drawn(k) for k in range(30)]:
        theirs, ours = worst(one, one.duration)
        off.append(100.0 * (ours / theirs - 1.0))
        print(f"{one}: {off[-1]:+.2f} %", flush=True)
    print(f"greatest {max(map(abs, off)):.2f} %, median {np.median(np.abs(off)):.2f} %")


if __name__ == "__main__":
    main("dives" in sys.argv)
