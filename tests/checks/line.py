"""The line in the water: bend in closed form, and the depth of a towed weight."""

from __future__ import annotations

import math
from functools import cache, partial

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from sim.forces.line import bend
from sim.motion.problem import LineSetup, Scene
from tests.checks import bench
from tests.checks.checks import Status, Subject, absolute, percent
from tests.motion import rigs

SUBJECT = Subject(
    "The line",
    "A line pulled through water bows, and how much decides how deep a lure runs. The bow of a weightless "
    "line is known in closed form; a weight towed by the whole simulator is compared with the line's "
    "equations solved separately.",
    open=(
        "The simulator's line weighs nothing and hangs in no curve of its own: tables of hanging chains "
        "(moorpy) and the angle at which a heavy line streams by itself are therefore not compared. For "
        "thin line drag is 300 to 20 000 times its weight.",
    ),
)
check = SUBJECT.check
PODE = "Pode 1951, DTMB Report 687, weightless line, normal drag only: closed form"


def _angle(length: float) -> float:
    """Angle (deg) at the lure given back from the top end of `length` m of wet line: 80 if all is well."""
    pull, drag, first = 1.0, 0.1796, math.radians(80.0)
    top = math.atan2(1.0, 1.0 / math.tan(first) + drag * length / pull)
    x = pull / drag * (1.0 / math.sin(top) - 1.0 / math.sin(first))
    depth = pull / drag * math.log(math.tan(first / 2) / math.tan(top / 2))
    height = 0.8
    cosine, sine = bend(x + height / math.tan(top), depth, height, pull, drag)
    return math.degrees(math.atan2(sine, cosine))


for _length in (1.0, 10.0):
    check(
        f"angle at the lure of {_length:g} m of wet line bowed by the water",
        source=PODE, status=Status.EXACT, published=80.0, tolerance=absolute(1e-3), unit="deg",
    )(partial(_angle, _length))  # fmt: skip


def _top_by_ode(level: float, depth: float, height: float, pull: float, drag: float) -> float:
    """How far from the lure the line, followed up by an integrator, reaches the rod tip's height."""
    cosine, sine = bend(level, depth, height, pull, drag)

    def slope(s: float, state: np.ndarray) -> list[float]:
        return [math.cos(state[2]), math.sin(state[2]), -drag / pull * math.sin(state[2]) ** 2]

    def surface(s: float, state: np.ndarray) -> float:
        return float(state[1] - depth)

    surface.terminal = True  # type: ignore[attr-defined]
    run = solve_ivp(
        slope, (0.0, 500.0), [0.0, 0.0, math.atan2(sine, cosine)], events=surface, rtol=1e-10, atol=1e-10
    )
    x, _, phi = run.y[:, -1]
    return float(x + height / math.tan(phi))


for _depth, _pull in ((0.5, 0.4), (1.5, 1.0), (3.0, 4.0)):
    check(
        f"followed up from {_depth:g} m with a pull of {_pull:g} N, the line meets the rod tip 12 m off",
        source="equations of a weightless line, scipy 1.17.1", status=Status.EXACT, published=12.0,
        tolerance=absolute(1e-5), unit="m",
    )(partial(_top_by_ode, 12.0, _depth, 0.8, _pull, 0.17))  # fmt: skip

# ---- a towed weight -----------------------------------------------------------------------------------

TIP, OUT = 0.8, 12.0  # m: rod tip above the water, line out
DRAG_AREA = 1e-4  # m2 of the weight
LINE_CD = 1.2


@cache
def _towed(speed: float, diameter: float, sinks_with: float) -> float:
    """Depth (m) a weight settles at in a stream, rod tip held still; let go near where it belongs."""
    lump = rigs.lump(sinks_with / 9.80665, DRAG_AREA)
    programme = tuple((float(t), OUT, 0.0, 0.0, TIP) for t in (0.0, 100.0))
    setup = LineSetup(
        mode=1, tie_on=(0.0, 0.0, 0.0), stiffness=1e4, damping=0.3, diameter=diameter, density=1140.0,
        programme=programme, cross_drag=LINE_CD,
    )  # fmt: skip
    scene = Scene(bench.WATER, bench.AIR, current=(speed, 0.0, 0.0), line=setup)
    near = 1.02 * _solved(speed, diameter, sinks_with)
    run = rigs.fly(lump, scene, 20.0, position=(math.sqrt(OUT**2 - (TIP + near) ** 2), 0.0, -near))
    assert run.ended == "time", run.ended
    return -float(run.y[-1, 2])


@cache
def _solved(speed: float, diameter: float, sinks_with: float, line_weight: float = 0.0) -> float:
    """The same from the line's own equations: steady forces on the weight, length of line given."""
    across = 0.5 * bench.WATER.density * LINE_CD * diameter * speed**2
    drag = 0.5 * bench.WATER.density * DRAG_AREA * speed**2
    pull, angle = math.hypot(drag, sinks_with), math.atan2(sinks_with, drag)

    def slope(s: float, state: np.ndarray) -> list[float]:
        _, _, phi, tension = state
        return [
            math.cos(phi),
            math.sin(phi),
            (line_weight * math.cos(phi) - across * math.sin(phi) ** 2) / tension,
            line_weight * math.sin(phi),
        ]

    def left_over(depth: float) -> float:
        def surface(s: float, state: np.ndarray) -> float:
            return float(state[1] - depth)

        surface.terminal = True  # type: ignore[attr-defined]
        run = solve_ivp(slope, (0.0, 100.0), [0.0, 0.0, angle, pull], events=surface, rtol=1e-9, atol=1e-9)
        return float(run.t[-1] + TIP / math.sin(run.y[2, -1]) - OUT)

    return float(brentq(left_over, 1e-3, OUT - TIP - 1e-3, xtol=1e-7))


NYLON = 9.83e-5 / (0.30e-3) ** 2  # N/m under water over diameter squared
for _speed, _diameter, _weight in (
    (0.5, 0.30e-3, 0.1),
    (1.0, 0.30e-3, 0.1),
    (1.0, 0.15e-3, 0.1),
    (1.0, 0.50e-3, 0.3),
):
    check(
        f"depth of a weight of {_weight:g} N towed at {_speed:g} m/s on 12 m of {1e3 * _diameter:g} mm nylon",
        source="line's equations with its weight, scipy 1.17.1", status=Status.LIBRARY,
        published=partial(_solved, _speed, _diameter, _weight, NYLON * _diameter**2), tolerance=percent(1.0),
        unit="m",
    )(partial(_towed, _speed, _diameter, _weight))  # fmt: skip


@check(
    "thin line runs deeper than thick by this ratio, 0.15 against 0.50 mm at 1 m/s and 0.1 N",
    source="line's equations, scipy 1.17.1", status=Status.LIBRARY,
    published=lambda: _solved(1.0, 0.15e-3, 0.1) / _solved(1.0, 0.50e-3, 0.1), tolerance=percent(1.0),
)  # fmt: skip
def _thin_over_thick() -> float:
    return _towed(1.0, 0.15e-3, 0.1) / _towed(1.0, 0.50e-3, 0.1)
