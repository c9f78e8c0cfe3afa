"""Drag of spheres, cylinders and blunt bodies: each is built, held in a stream, and the force read off."""

from __future__ import annotations

import math
from functools import cache, partial

import fluids
import numpy as np

from sim.forces.laws import cylinder_cd, sphere_cd
from sim.lure.lure import Lure
from sim.media import Medium
from sim.motion.equations import rates
from sim.motion.problem import Scene
from sim.motion.solve import TIGHT, Trajectory, integrate, start_state
from tests.checks import bench
from tests.checks.checks import SAME, Status, Subject, percent

SUBJECT = Subject(
    "Drag of bodies",
    "How hard the water holds a body back sets how fast it sinks and how hard it pulls. Spheres are "
    "compared with a drag library, other shapes with the table of an engineer's data book; every body is "
    "built as a maker would describe it and held in a stream of water at 20 C.",
    open=(
        "Real light balls zig-zag as they rise and their drag is then about doubled; the check holds the "
        "ball straight.",
        "Hollow half balls are in the data book, but a cup open to the stream is not something the "
        "simulator models.",
    ),
)
check = SUBJECT.check
MATTHEWS = "Matthews 2002, Aeronautical Engineer's Data Book, p. 95, fig. 5.13(b)"
SHARPE = "Sharpe, fit to the data of Panton, Incompressible Flow, 4th ed."


# ---- spheres ------------------------------------------------------------------------------------------

for _re in (1e2, 1e3, 1e4, 1e5):
    check(
        f"a smooth sphere at Re {_re:,.0f}".replace(",", " "),
        source="fluids 1.3.1, drag_sphere (Barati and others 2014), live", status=Status.LIBRARY,
        published=partial(fluids.drag_sphere, _re), tolerance=percent(5.0),
    )(partial(sphere_cd, _re))  # fmt: skip


@cache
def _ball(density: float, diameter: float) -> Lure:
    return bench.ellipsoid(diameter, diameter, diameter, density)


def _terminal(density: float, diameter: float, in_air: bool) -> float:
    lure = _ball(density, diameter)
    start = start_state(lure.elements, (0.0, 0.0, 5000.0 if in_air else -500.0), (1, 0, 0, 0))
    run = integrate(
        lure.elements, Scene(bench.WATER, bench.AIR), start, 30.0 if in_air else 5.0, settings=TIGHT
    )
    return _fall(run)


def _fall(run: Trajectory) -> float:
    return abs(float(rates(run.t[-1], run.y[-1], run.flat)[2]))


def _published(density: float, diameter: float, medium: Medium) -> float:
    # the library takes a sinking ball only; a rising one feels the same drag with weight and lift exchanged
    heavy = max(density, 2.0 * medium.density - density)
    return float(fluids.v_terminal(diameter / 1e3, heavy, medium.density, medium.viscosity))


for _name, _density, _diameter, _in_air, _size in (
    ("lead, 5 mm, in water", 11340.0, 5.0, False, 3.0),
    ("steel, 3 mm, in water", 7850.0, 3.0, False, 4.0),
    ("nylon, 10 mm, in water", 1140.0, 10.0, False, 4.0),
    ("balsa, 20 mm, rising in water", 160.0, 20.0, False, 5.0),
    ("lead, 5 mm, in air", 11340.0, 5.0, True, 4.0),
    ("steel, 10 mm, in air", 7850.0, 10.0, True, 7.0),
    ("as heavy as water, 20 mm, in air", 1000.0, 20.0, True, 7.0),
):
    check(
        f"terminal speed of a ball: {_name}",
        source="fluids 1.3.1, v_terminal, live", status=Status.LIBRARY,
        published=partial(_published, _density, _diameter, bench.AIR if _in_air else bench.WATER),
        tolerance=percent(_size), unit="m/s",
    )(partial(_terminal, _density, _diameter, _in_air))  # fmt: skip


def _dropped(added_mass: float) -> float:
    lure = _ball(11340.0, 5.0)
    start = start_state(lure.elements, (0.0, 0.0, -50.0), (1, 0, 0, 0))
    scene = Scene(bench.WATER, bench.AIR, coefficients={"added_mass": added_mass})
    return _fall(integrate(lure.elements, scene, start, 0.1, settings=TIGHT))


check(
    "speed of a 5 mm lead ball 0.1 s after it is let go, carried water left out as the library does",
    source="fluids 1.3.1, integrate_drag_sphere, live", status=Status.LIBRARY,
    published=lambda: float(fluids.integrate_drag_sphere(
        D=0.005, rhop=11340.0, rho=bench.WATER.density, mu=bench.WATER.viscosity, t=0.1, V=0.0
    )),
    tolerance=percent(2.0), unit="m/s",
)(partial(_dropped, 0.0))  # fmt: skip


@check(
    "with the water it carries a falling ball is slower",
    source="momentum: more to move, the same push", status=Status.EXACT, published=True,
    tolerance=SAME,
)  # fmt: skip
def _slower() -> bool:
    return _dropped(1.0) < _dropped(0.0)


for _re, _value in ((100.0, 1.10), (300.0, 0.63)):
    check(
        f"measured sphere at Re {_re:g}",
        source="Pruppacher & Klett, table 10.1 (from memory)", status=Status.MEMORY, published=_value,
        tolerance=percent(5.0),
    )(partial(sphere_cd, _re))  # fmt: skip


# ---- long cylinders -----------------------------------------------------------------------------------

for _re, _value in ((1e2, 1.319), (1e3, 1.047), (1e4, 1.061), (1e5, 1.131)):
    check(
        f"an endless round cylinder across the flow at Re {_re:,.0f}".replace(",", " "),
        source=SHARPE, status=Status.PUBLISHED, published=_value, tolerance=percent(15.0),
    )(partial(cylinder_cd, _re))  # fmt: skip

check(
    "an endless round cylinder across the flow at Re 20 000",
    source="DNV-RP-C205, two-dimensional curve (from memory)", status=Status.MEMORY, published=1.205,
    tolerance=percent(15.0),
)(partial(cylinder_cd, 2e4))  # fmt: skip

# ---- blunt bodies in a stream -------------------------------------------------------------------------

SPEED = 2.0  # m/s: Re 4e4 on 20 mm


def _across(lure: Lure, area: float) -> float:
    return float(
        bench.force(lure.elements, (0.0, -SPEED, 0.0))[1] / (0.5 * bench.WATER.density * SPEED**2 * area)
    )


def _along(lure: Lure, area: float) -> float:
    return -float(
        bench.force(lure.elements, (SPEED, 0.0, 0.0))[0] / (0.5 * bench.WATER.density * SPEED**2 * area)
    )


DIAMETER = 20.0  # mm
DISC = math.pi / 4.0 * (DIAMETER / 1e3) ** 2

for _ratio, _value in ((1.0, 0.63), (2.0, 0.68), (5.0, 0.74), (10.0, 0.82), (40.0, 0.98)):
    check(
        f"a flat-ended rod {_ratio:g} diameters long, across the flow",
        source=MATTHEWS, status=Status.PUBLISHED, published=_value, tolerance=percent(10.0),
    )(lambda r=_ratio: _across(bench.rod(r * DIAMETER, DIAMETER), r * (DIAMETER / 1e3) ** 2))  # fmt: skip

for _ratio, _value in ((1.0, 0.91), (2.0, 0.85), (4.0, 0.87), (7.0, 0.99)):
    check(
        f"a flat-ended rod {_ratio:g} diameters long, along the flow",
        source=MATTHEWS, status=Status.PUBLISHED, published=_value, tolerance=percent(10.0),
    )(lambda r=_ratio: _along(bench.rod(r * DIAMETER, DIAMETER), DISC))  # fmt: skip


def _cone(apex: float) -> float:
    length = 0.5 * DIAMETER / math.tan(math.radians(0.5 * apex))
    return _along(bench.turned((0.0, 0.0, 0.0), (length, DIAMETER, DIAMETER)), DISC)


for _apex, _value in ((60.0, 0.51), (30.0, 0.34)):
    check(
        f"a cone of {_apex:g} degrees, tip first",
        source=MATTHEWS, status=Status.PUBLISHED, published=_value, tolerance=percent(10.0),
    )(partial(_cone, _apex))  # fmt: skip


# ---- streamlined bodies -------------------------------------------------------------------------------


def _subcritical(fineness: float) -> float:
    skin = 1.328 / math.sqrt(SPEED * DIAMETER / 1e3 * fineness / bench.WATER.kinematic)
    return 0.33 / fineness + skin * (3.0 * fineness + 3.0 / math.sqrt(fineness))


for _fineness in (3.0, 5.0, 8.0):
    check(
        f"an ellipsoid {_fineness:g} times as long as wide, along the flow",
        source="Hoerner 1965, Fluid-Dynamic Drag, pp. 6-16 to 6-18, below the critical Re (from memory)",
        status=Status.MEMORY, published=partial(_subcritical, _fineness), tolerance=percent(20.0),
    )(lambda f=_fineness: _along(bench.ellipsoid(DIAMETER * f, DIAMETER, DIAMETER), DISC))  # fmt: skip


@check(
    "cross-flow principle: a long rod at 45 degrees feels half the force across it",
    source="Hoerner 1965, ch. III (from memory)", status=Status.MEMORY, published=0.5,
    tolerance=percent(10.0),
)  # fmt: skip
def _principle() -> float:
    lure = bench.rod(40.0 * DIAMETER, DIAMETER)
    square = np.array([0.0, -SPEED, 0.0])
    askew = np.array([SPEED, -SPEED, 0.0]) / math.sqrt(2.0)
    coefficients = {"tail_relief": 0.0}
    return float(
        bench.force(lure.elements, askew, coefficients=coefficients)[1]
        / bench.force(lure.elements, square, coefficients=coefficients)[1]
    )
