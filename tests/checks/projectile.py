"""Flight with drag that grows as the square of the speed: a textbook problem, and a fall from rest."""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from sim.motion.problem import Scene
from sim.motion.solve import TIGHT, Stop, Trajectory, integrate, start_state
from tests.checks import bench
from tests.checks.checks import Status, Subject, relative
from tests.motion import rigs

SUBJECT = Subject(
    "Flight of a cast",
    "A lump with constant drag thrown in still air, and one let fall: the setting is a textbook's (terminal "
    "speed 35 m/s, g = 9.8 m/s2), the answers are solutions of the equations to twelve digits.",
)
check = SUBJECT.check
TAYLOR = (
    "Taylor 2005, Classical Mechanics, ex. 2.5-2.6 (setting from memory); solved with scipy 1.17.1, DOP853"
)
MASS, G, TERMINAL, GROUND = 0.02, 9.8, 35.0, 100.0
AREA = 2.0 * MASS * G / (bench.AIR.density * TERMINAL**2)


@cache
def _thrown(drag: float = 1.0) -> Trajectory:
    """30 m/s at 50 degrees over ground level with the hand, 100 m up and so away from the water."""
    turn = math.radians(50.0)
    lump = rigs.lump(MASS, AREA * drag)
    start = start_state(
        lump, (0.0, 0.0, GROUND), (1, 0, 0, 0), velocity=(30 * math.cos(turn), 0.0, 30 * math.sin(turn))
    )
    landed = Stop("landed", lambda t, y: y[:, 2] - GROUND + 1e-9)
    return integrate(lump, Scene(bench.WATER, bench.AIR, gravity=G), start, 8.0, [landed], TIGHT)


@cache
def _apex() -> tuple[float, float]:
    from scipy.optimize import brentq

    run = _thrown()
    t = brentq(lambda t: float(run.at([t])[0, 9]), 1.0, 3.0)
    return t, float(run.at([t])[0, 2]) - GROUND


check(
    "range of the throw",
    source=TAYLOR, status=Status.LIBRARY, published=58.51572, tolerance=relative(1e-4), unit="m",
)(lambda: float(_thrown().y[-1, 0]))  # fmt: skip
check(
    "time of flight of the throw",
    source=TAYLOR, status=Status.LIBRARY, published=4.114770, tolerance=relative(1e-4), unit="s",
)(lambda: float(_thrown().t[-1]))  # fmt: skip
check(
    "greatest height of the throw",
    source=TAYLOR + "; hodograph integral, exact", status=Status.EXACT, published=20.832507,
    tolerance=relative(1e-4), unit="m",
)(lambda: _apex()[1])  # fmt: skip
check(
    "time to the greatest height",
    source=TAYLOR, status=Status.LIBRARY, published=1.956557, tolerance=relative(1e-3), unit="s",
)(lambda: _apex()[0])  # fmt: skip
check(
    "speed of the throw on landing",
    source=TAYLOR, status=Status.LIBRARY, published=21.0749, tolerance=relative(1e-4), unit="m/s",
)(lambda: float(np.linalg.norm(_thrown().y[-1, 7:10])))  # fmt: skip
check(
    "range of the throw without air", source="parabola, closed form", status=Status.EXACT, published=90.4415,
    tolerance=relative(1e-5), unit="m",
)(lambda: float(_thrown(0.0).y[-1, 0]))  # fmt: skip


@cache
def _dropped() -> Trajectory:
    run = rigs.lump(MASS, AREA)
    start = start_state(run, (0.0, 0.0, 1000.0), (1, 0, 0, 0))
    return integrate(run, Scene(bench.WATER, bench.AIR, gravity=G), start, 6.0, settings=TIGHT)


for _t in (1.0, 3.0, 6.0):
    check(
        f"speed {_t:g} s after it is let fall",
        source="35 tanh(g t/35), closed form", status=Status.EXACT,
        published=TERMINAL * math.tanh(G * _t / TERMINAL), tolerance=relative(1e-4), unit="m/s",
    )(lambda t=_t: -float(_dropped().at([t])[0, 9]))  # fmt: skip
    check(
        f"height lost {_t:g} s after it is let fall",
        source="35^2/g ln cosh(g t/35), closed form", status=Status.EXACT,
        published=TERMINAL**2 / G * math.log(math.cosh(G * _t / TERMINAL)), tolerance=relative(1e-4),
        unit="m",
    )(lambda t=_t: 1000.0 - float(_dropped().at([t])[0, 2]))  # fmt: skip
