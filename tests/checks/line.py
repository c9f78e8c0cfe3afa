"""The line: bow and sag in closed form, towed weights, and balls reeled in beside a mooring-line program."""

from __future__ import annotations

import math
from functools import cache, partial
from typing import NamedTuple

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from sim.forces.chain import ROD
from sim.motion.problem import LineSetup, Scene
from sim.motion.solve import Settings, integrate, start_state
from tests.checks import bench, reeled
from tests.checks.checks import Status, Subject, percent
from tests.motion import rigs

SUBJECT = Subject(
    "The line",
    "A line pulled through water bows, and how much decides how deep a lure runs; as it is wound in, it has to be "
    "swept down through the water, which takes many seconds. The bow of a weightless line and the curve of a hanging "
    "one are known in closed form; towed weights are compared with the line's equations solved separately, balls "
    "that are wound in with a mooring-line program run live.",
    open=(
        "Drag of the water along the line is left out, here and in the comparison (its coefficient is set to "
        "nought): by Matsui's skin friction it adds 5 to 25 mN to the tension at the rod of 15 m at 0.5 m/s.",
        "The line's inertia is left out by the simulator and not by the program: the first two seconds differ.",
    ),
)
check = SUBJECT.check
PODE = "Pode 1951, DTMB Report 687, weightless line, normal drag only: closed form"
TIP, STIFFNESS = 0.8, 1e4  # m, rod tip above the water; N, of the line


class Towed(NamedTuple):
    """A weight on a line of given length in a steady stream; SI."""

    speed: float
    diameter: float
    sinks_with: float
    density: float = 1140.0  # of the line
    out: float = 12.0
    drag_area: float = 1e-4
    line_cd: float = 1.2


@cache
def _settled(towed: Towed) -> float:
    """Depth (m) at which the simulator's weight settles on a line that was straight at first: it takes a minute."""
    lump = rigs.lump(towed.sinks_with / 9.80665, towed.drag_area)
    programme = tuple((float(t), towed.out, 0.0, 0.0, TIP) for t in (0.0, 100.0))
    setup = LineSetup(
        mode=1, tie_on=(0.0, 0.0, 0.0), stiffness=STIFFNESS, damping=0.3, diameter=towed.diameter,
        density=towed.density, programme=programme, cross_drag=towed.line_cd,
    )  # fmt: skip
    scene = Scene(bench.WATER, bench.AIR, current=(towed.speed, 0.0, 0.0), line=setup)
    near = 1.02 * _solved(towed)
    start = start_state(lump, (math.sqrt(towed.out**2 - (TIP + near) ** 2), 0.0, -near), (1.0, 0.0, 0.0, 0.0))
    run = integrate(lump, scene, start, 120.0, settings=Settings(rtol=1e-4, atol=1e-5))
    assert run.ended == "time", run.ended
    return -float(run.y[-1, 2])


@cache
def _solved(towed: Towed) -> float:
    """The same from the line's own equations: steady forces on the weight, length of line given and stretched."""
    water, area = bench.WATER.density, 0.25 * math.pi * towed.diameter**2
    across = 0.5 * water * towed.line_cd * towed.diameter * towed.speed**2
    drag = 0.5 * water * towed.drag_area * towed.speed**2
    dry, wet = area * towed.density * 9.80665, area * (towed.density - water) * 9.80665

    def shape(depth: float) -> np.ndarray:
        def slope(s: float, state: np.ndarray) -> list[float]:
            _, z, phi, tension = state
            weight, push = (wet, across) if z < depth else (dry, 0.0)
            return [
                math.cos(phi),
                math.sin(phi),
                (weight * math.cos(phi) - push * math.sin(phi) * abs(math.sin(phi))) / tension,
                weight * math.sin(phi),
            ]

        start = [0.0, 0.0, math.atan2(towed.sinks_with, drag), math.hypot(drag, towed.sinks_with)]
        out = towed.out + start[3] * (towed.out / STIFFNESS + 1.0 / ROD)
        run = solve_ivp(slope, (0.0, out), start, max_step=0.05, rtol=1e-7, atol=1e-9)
        return np.asarray(run.y)

    return float(brentq(lambda depth: shape(depth)[1, -1] - depth - TIP, 1e-3, towed.out - TIP, xtol=1e-5))


# ---- a weightless line bowed by the stream --------------------------------------------------------------


def _pode(wet: float) -> tuple[float, Towed]:
    """Depth (m) under a pull of 1 N at 80 degrees on so much wet line, and the case of it; 0.1797 N/m of drag."""
    pull, first = 1.0, math.radians(80.0)
    drag = 0.5 * bench.WATER.density * 1.2 * 0.3e-3
    top = math.atan2(1.0, 1.0 / math.tan(first) + drag * wet / pull)
    depth = pull / drag * math.log(math.tan(first / 2) / math.tan(top / 2))
    push = 2.0 * pull * math.cos(first) / bench.WATER.density
    out = (wet + TIP / math.sin(top)) / (1.0 + pull / STIFFNESS) - pull / ROD
    return depth, Towed(1.0, 0.3e-3, pull * math.sin(first), bench.WATER.density, out, push)


for _length in (1.0, 10.0):
    check(
        f"depth of a pull of 1 N at 80 degrees on {_length:g} m of wet line bowed by the water",
        source=PODE, status=Status.EXACT, published=_pode(_length)[0], tolerance=percent(1.0), unit="m",
    )(partial(_settled, _pode(_length)[1]))  # fmt: skip

# ---- a towed weight -------------------------------------------------------------------------------------

for _name, _case in (
    ("0.3 mm nylon", Towed(0.5, 0.30e-3, 0.1)),
    ("0.3 mm nylon", Towed(1.0, 0.30e-3, 0.1)),
    ("0.15 mm nylon", Towed(1.0, 0.15e-3, 0.1)),
    ("0.5 mm nylon", Towed(1.0, 0.50e-3, 0.3)),
    ("0.3 mm fluorocarbon", Towed(0.3, 0.30e-3, 0.05, 1780.0)),
    ("0.2 mm braid", Towed(0.3, 0.20e-3, 0.05, 970.0)),
    ("0.8 mm lead-core", Towed(0.5, 0.80e-3, 0.05, 3000.0)),
):
    check(
        f"depth of a weight of {_case.sinks_with:g} N towed at {_case.speed:g} m/s on 12 m of {_name}",
        source="line's equations with its weight, scipy 1.17.1", status=Status.LIBRARY,
        published=partial(_solved, _case), tolerance=percent(1.0), unit="m",
    )(partial(_settled, _case))  # fmt: skip


@check(
    "thin line runs deeper than thick by this ratio, 0.15 against 0.50 mm at 1 m/s and 0.1 N",
    source="line's equations, scipy 1.17.1", status=Status.LIBRARY,
    published=lambda: _solved(Towed(1.0, 0.15e-3, 0.1)) / _solved(Towed(1.0, 0.50e-3, 0.1)),
    tolerance=percent(1.0),
)  # fmt: skip
def _thin_over_thick() -> float:
    return _settled(Towed(1.0, 0.15e-3, 0.1)) / _settled(Towed(1.0, 0.50e-3, 0.1))


# ---- a hanging line -------------------------------------------------------------------------------------

SPAN, SLACK, HUNG = 6.0, 6.5, 1e-3  # m between two ends of one height, m of line, m thick


@cache
def _hanging() -> float:
    """Depth (m) to which a lead-core line sags between two ends 5 m under water."""
    lump = rigs.lump(1e6, 0.0)
    programme = tuple((float(t), SLACK, 0.0, 0.0, -5.0) for t in (0.0, 100.0))
    setup = LineSetup(
        mode=1, tie_on=(0.0, 0.0, 0.0), stiffness=1e5, damping=0.0, diameter=HUNG, density=3000.0,
        programme=programme,
    )  # fmt: skip
    scene = Scene(bench.WATER, bench.AIR, line=setup, coefficients={"weight": 0.0})
    start = start_state(lump, (SPAN, 0.0, -5.0), (1.0, 0.0, 0.0, 0.0))
    run = integrate(lump, scene, start, 60.0, settings=Settings(rtol=1e-4, atol=1e-5))
    assert run.ended == "time", run.ended
    return -5.0 - float(run.y[-1, 15::3].min())


def _catenary() -> float:
    half = brentq(lambda a: 2.0 * a * math.sinh(0.5 * SPAN / a) - SLACK, 0.5, 100.0)
    return float(half * (math.cosh(0.5 * SPAN / half) - 1.0))


check(
    f"sag of {SLACK:g} m of heavy line between two ends {SPAN:g} m apart",
    source="catenary: closed form", status=Status.EXACT, published=_catenary(), tolerance=percent(1.0), unit="m",
)(_hanging)  # fmt: skip

# ---- reeled in ------------------------------------------------------------------------------------------


def _reeled_in(one: reeled.Ball | reeled.Dive, what: str, lasting: float) -> None:
    check(
        f"depth of {what} wound in at {one.speed:.2f} m/s on {one.out:.1f} m of {1e3 * one.line:.2f} mm line, "
        "when it is farthest off after the first 2 s",
        source="MoorDyn 2.7.2, 40 segments, run live", status=Status.LIBRARY,
        published=lambda: -reeled.worst(one, lasting)[0], tolerance=percent(5.0), unit="m",
    )(lambda: -reeled.worst(one, lasting)[1])  # fmt: skip


for _k in (0, 8, 19):
    _ball = reeled.drawn(_k)
    _reeled_in(_ball, f"a ball of {1e3 * _ball.diameter:.0f} mm", 8.0)

for _dive in (reeled.DIVES[1], reeled.DIVES[6]):
    _reeled_in(_dive, f"the demo lure {_dive.name}, tied to its {_dive.tie_on},", 6.0)
