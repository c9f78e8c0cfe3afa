"""Balls reeled in on the line of a mooring-line program, MoorDyn, run live.

`python -m tests.checks.reeled` runs all 30 and prints the greatest deviation of each; the checks run three.
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

from sim.elements import N_BLOB
from sim.forces.chain import place
from sim.motion.problem import LINKS, LineSetup, Scene
from sim.motion.solve import Settings, Trajectory, integrate, start_state
from tests.checks import bench
from tests.motion import rigs

Array = NDArray[np.float64]

SEGMENTS, STEP = 40, 6e-5  # of MoorDyn's line; s, of its fourth-order Runge-Kutta scheme
STIFFNESS = 30.0  # N, of both lines: soft, so that MoorDyn's explicit steps need not be shorter
CROSS_DRAG, BALL_DRAG = 1.5, 0.45
EVERY = 0.1  # s between the depths that are compared
SETTLED = 2.0  # s, from then on they are
SINK = Settings(rtol=1e-5, atol=1e-6)


@dataclass(frozen=True)
class Ball:
    """A sinking ball that is reeled in; SI."""

    diameter: float
    density: float
    speed: float
    out: float  # line at the start
    tip: float  # height of the rod tip
    line: float  # diameter
    line_density: float

    @property
    def volume(self) -> float:
        """Its volume, m3."""
        return math.pi / 6.0 * self.diameter**3

    @property
    def drag_area(self) -> float:
        """Its drag over dynamic pressure, m2."""
        return BALL_DRAG * 0.25 * math.pi * self.diameter**2

    def length(self, t: float) -> tuple[float, float]:
        """Line out and its rate: a second from rest to full speed."""
        if t < 1.0:
            return self.out - 0.5 * self.speed * t * t, -self.speed * t
        return self.out + 0.5 * self.speed - self.speed * t, -self.speed

    @property
    def duration(self) -> float:
        """Until 4 m of line are left, at most 16 s; whole tenths."""
        return round(min(16.0, (self.out + 0.5 * self.speed - 4.0) / self.speed), 1)


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
    return Ball(size, density, speed, out, tip, line, float(r.choice([970.0, 1140.0, 1140.0, 1780.0])))


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


@cache
def by_moordyn(ball: Ball, duration: float) -> tuple[Array, Array, Array]:
    """Times (k,), places of the ball (k, 3) and the line's points at the start (n, 3), rod tip first."""
    import moordyn

    away = math.sqrt(ball.out**2 - (ball.tip + 0.05) ** 2)
    words = {
        "diameter": ball.line, "mass": ball.line_density * 0.25 * math.pi * ball.line**2, "stiffness": STIFFNESS,
        "drag": CROSS_DRAG, "tip": ball.tip, "out": ball.out, "segments": SEGMENTS, "step": STEP,
        "water": bench.WATER.density,
        "point": f"Free {away} 0 -0.05 {ball.density * ball.volume} {ball.volume} {ball.drag_area} 0.5",
    }  # fmt: skip
    tip, still = [0.0, 0.0, ball.tip], [0.0] * 3
    found = []
    with _system(words, tip) as (system, line):
        point = moordyn.GetPoint(system, 2)
        first = np.array([moordyn.GetLineNodePos(line, i) for i in range(SEGMENTS + 1)])
        for k in range(round(duration / EVERY)):
            for part in range(20):
                t = EVERY * (k + part / 20)
                length, rate = ball.length(t)
                moordyn.SetLineUnstretchedLength(line, length)
                moordyn.SetLineUnstretchedLengthVel(line, rate)
                moordyn.Step(system, tip, still, t, EVERY / 20)
            found.append(moordyn.GetPointPos(point))
    return EVERY * np.arange(1, len(found) + 1), np.array(found), first


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
    times = [*np.linspace(0.0, 1.0, 21), 100.0]
    programme = tuple((float(t), ball.length(t)[0], 0.0, 0.0, ball.tip) for t in times)
    setup = LineSetup(
        mode=1, tie_on=(0.0, 0.0, 0.0), stiffness=STIFFNESS, damping=0.1, diameter=ball.line,
        density=ball.line_density, programme=programme, cross_drag=CROSS_DRAG, links=links,
    )  # fmt: skip
    scene = Scene(bench.WATER, bench.AIR, line=setup, coefficients={"cross_drag": 0.0, "axial_drag": 0.0})
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(first, axis=0), axis=1))])
    shares = [place(i, links, 0.05 / (ball.tip + 0.05)) * along[-1] for i in range(1, links)]
    points = np.column_stack([np.interp(shares, along, first[:, k]) for k in range(3)])
    start = np.concatenate([start_state(sphere, first[-1].tolist(), (1.0, 0.0, 0.0, 0.0)), np.ravel(points)])
    return integrate(sphere, scene, start, duration, settings=SINK)


def deviation(ball: Ball, duration: float | None = None) -> float:
    """Greatest deviation of the depth from MoorDyn's after the first two seconds, with its sign (per cent)."""
    duration = ball.duration if duration is None else duration
    times, theirs, first = by_moordyn(ball, duration)
    ours = by_us(ball, duration, first).at(times)[:, 2]
    late = times > SETTLED
    off = 100.0 * (ours[late] / theirs[late, 2] - 1.0)
    return float(off[np.argmax(np.abs(off))])


def main() -> None:
    """Print the greatest deviation of every ball."""
    off = []
    for k in range(30):
        ball = drawn(k)
        off.append(deviation(ball))
        print(f"ball {k}: {off[-1]:+.2f} %", flush=True)
    print(f"greatest {max(map(abs, off)):.2f} %, median {np.median(np.abs(off)):.2f} %")


if __name__ == "__main__":
    main()
