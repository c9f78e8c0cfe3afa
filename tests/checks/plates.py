"""Flat plates in a stream: lips, fins, blades."""

from __future__ import annotations

import math
from functools import cache, partial
from itertools import pairwise

import numpy as np

from sim.lure import build
from sim.lure.lure import Lure
from sim.motion.equations import rates
from sim.motion.problem import Scene, pack
from sim.motion.solve import start_state
from tests.checks import bench, lattice
from tests.checks.checks import SAME, Status, Subject, absolute, percent
from tests.lure.makers import design

SUBJECT = Subject(
    "Flat plates",
    "Lips, fins, blades and spoons are plates. At small angles their lift is that of linear theory, solved "
    "live on a lattice of vortices; square to the flow it is a handbook value; in between, what is known is "
    "the direction of the force and where it acts. Plates are built as a maker's design and held in water "
    "at 1 m/s.",
    open=(
        "Measured normal forces between 20 and 60 degrees for plates as short as they are wide are known "
        "here from memory only; they are shown and gate nothing.",
        "Otter boards whose aspect ratio or camber is not in the page that was read.",
    ),
)
check = SUBJECT.check
MATTHEWS = "Matthews 2002, Aeronautical Engineer's Data Book, p. 95, fig. 5.13(b)"
CHORD = 20.0  # mm
SPEED = 1.0  # m/s
ONLY_PRESSURE = {"plate_friction": 0.0}


def _plate(aspect: float) -> Lure:
    return bench.plate(CHORD, CHORD * aspect)


def _held(lure: Lure, angle: float) -> np.ndarray:
    """Force and moment about the leading edge over dynamic pressure, plate axes."""
    own = bench.force(lure.elements, bench.at_angle(SPEED, angle), coefficients=ONLY_PRESSURE)
    return own / (0.5 * bench.WATER.density * SPEED**2)


def _normal(lure: Lure, angle: float, area: float) -> float:
    return float(_held(lure, math.radians(angle))[2] / area)


def _centre(lure: Lure, angle: float) -> float:
    """Behind the leading edge, as a share of the chord."""
    own = _held(lure, math.radians(angle))
    return float(own[4] / own[2] / (CHORD / 1e3))


def _area(aspect: float) -> float:
    return aspect * (CHORD / 1e3) ** 2


SMALL = 1e-3  # deg: the separated part, square of the angle, is then nothing


def _slope(aspect: float) -> float:
    return _normal(_plate(aspect), SMALL, _area(aspect)) / math.radians(SMALL)


for _aspect in (0.25, 0.5, 1.0, 2.0, 4.0):
    check(
        f"lift slope of a plate {_aspect:g} times as wide as long",
        source="vortex lattice, live, two meshes and extrapolation", status=Status.LIBRARY,
        published=(lambda a=_aspect: lattice.plate(a)[0]), tolerance=percent(2.0), unit="1/rad",
    )(partial(_slope, _aspect))  # fmt: skip

check(
    "lift slope of a very narrow plate, over the slender wing's",
    source="pi A / 2, closed form for A to nought", status=Status.EXACT, published=1.0,
    tolerance=percent(2.0),
)(lambda: _slope(0.05) / (0.5 * math.pi * 0.05))  # fmt: skip

for _aspect in (0.35, 0.7, 1.4, 2.8):
    check(
        f"place of the lift at small angles, plate {_aspect:g} times as wide as long",
        source="vortex lattice, live, two meshes and extrapolation", status=Status.LIBRARY,
        published=(lambda a=_aspect: lattice.plate(a)[1]), tolerance=absolute(0.01), unit="chords",
    )(lambda a=_aspect: _centre(_plate(a), SMALL))  # fmt: skip

for _aspect in (0.5, 1.0, 2.0):
    check(
        f"place of the force square to the flow, plate {_aspect:g} times as wide as long",
        source="symmetry", status=Status.EXACT, published=0.5, tolerance=absolute(1e-6), unit="chords",
    )(lambda a=_aspect: _centre(_plate(a), 90.0))  # fmt: skip


@check(
    "the force moves steadily from near the leading edge to the middle as the angle grows",
    source="classical law between the two ends", status=Status.EXACT, published=True, tolerance=SAME,
)  # fmt: skip
def _steadily() -> bool:
    places = [_centre(_plate(1.0), angle) for angle in np.linspace(1.0, 90.0, 90)]
    return all(after >= before - 1e-9 for before, after in pairwise(places))


def _direction(angle: float) -> float:
    """Drag over lift, over the tangent of the angle, of a sheet 2 % thick at Re 1e5."""
    lure = bench.plate(CHORD, CHORD, thickness=0.02 * CHORD)
    turn = math.radians(angle)
    along, _, up = bench.force(lure.elements, bench.at_angle(5.0 * SPEED, turn))[:3]
    drag = -along * math.cos(turn) + up * math.sin(turn)
    lift = along * math.sin(turn) + up * math.cos(turn)
    return float(drag / lift / math.tan(turn))


for _angle in (15.0, 20.0, 40.0, 60.0):
    check(
        f"drag over lift of a square plate at {_angle:g} degrees, over the tangent of the angle",
        source="Ortiz, Rival & Wood 2015, Energies 8(4), 2438-2453", status=Status.MEASURED, published=1.0,
        tolerance=percent(10.0),
    )(partial(_direction, _angle))  # fmt: skip

check(
    "a square plate square to the flow",
    source=MATTHEWS, status=Status.PUBLISHED, published=1.17, tolerance=percent(10.0),
)(lambda: _normal(_plate(1.0), 90.0, _area(1.0)))  # fmt: skip
check(
    "a very long plate square to the flow",
    source=MATTHEWS, status=Status.PUBLISHED, published=1.98, tolerance=percent(10.0),
)(lambda: _normal(bench.plate(2.0, 1000.0), 90.0, 2e-3))  # fmt: skip
for _ratio, _value in ((5.0, 1.20), (10.0, 1.50)):
    check(
        f"a plate {_ratio:g} times as wide as long, square to the flow",
        source="DNV-RP-H103, table B-2 (from memory)", status=Status.MEMORY, published=_value,
        tolerance=percent(10.0),
    )(lambda r=_ratio: _normal(_plate(r), 90.0, _area(r)))  # fmt: skip


@check(
    "at 30 degrees a plate half as wide as long carries more than one five times as wide",
    source="large-eddy simulation, Univ. of Toronto Inst. for Aerospace Studies, Effects of aspect ratio and "
    "inclination angle on aerodynamic loads of a flat plate",
    status=Status.PUBLISHED, published=True, tolerance=SAME,
)  # fmt: skip
def _short_beats_wide() -> bool:
    return _normal(_plate(0.5), 30.0, _area(0.5)) > _normal(_plate(5.0), 30.0, _area(5.0))


for _angle, _value in ((6.0, 0.301), (10.0, 0.506), (20.0, 0.801)):
    check(
        f"measured normal force of a plate twice as wide as long at {_angle:g} degrees",
        source="Pelletier & Mueller 2000, J. Aircraft 37(5), 825-832 (read off, from memory)",
        status=Status.MEMORY, published=_value, tolerance=percent(20.0),
    )(lambda a=_angle: _normal(_plate(2.0), a, _area(2.0)))  # fmt: skip
check(
    "measured normal force of an endless plate at 30 degrees",
    source="Fage & Johansen 1927, Proc. R. Soc. A 116, 170-197 (from memory)", status=Status.MEMORY,
    published=1.29, tolerance=percent(10.0),
)(lambda: _normal(bench.plate(2.0, 1000.0), 30.0, 2e-3))  # fmt: skip


# ---- plates that turn: the same lattice, each panel meeting its own motion ------------------------------


def _turning(aspect: float, spin: tuple[float, float, float]) -> np.ndarray:
    """Force and moment about the middle over dynamic pressure, of a plate that turns slowly in the stream."""
    lure = _plate(aspect)
    chord = CHORD / 1e3
    middle = np.array([-0.5 * chord, 0.0, 0.0])
    turn = np.array(spin) * 1e-3 * SPEED / chord
    scene = Scene(bench.WATER, bench.AIR, coefficients={**bench.STILL, **ONLY_PRESSURE, "plate_drag": 0.0})
    y = start_state(lure.elements, (0.0, 0.0, -5.0), (1.0, 0.0, 0.0, 0.0))
    y[10:13] = turn
    y[7:10] = (SPEED, 0.0, 0.0) - np.cross(turn, middle)
    own = lure.elements.inertia @ rates(0.0, y, pack(lure.elements, scene))[7:13]
    p, h = np.split(lure.elements.inertia @ y[7:13], 2)
    own = own + np.concatenate([np.cross(turn, p), np.cross(turn, h) + np.cross(y[7:10], p)])
    own[3:] -= np.cross(middle, own[:3])
    return own / (0.5 * bench.WATER.density * SPEED**2) * 1e3


for _aspect in (0.35, 1.5, 3.0):
    check(
        f"lift of a plate {_aspect:g} times as wide as long that pitches about its middle",
        source="vortex lattice, live, two meshes and extrapolation", status=Status.LIBRARY,
        published=(lambda a=_aspect: lattice.turning(a)[0]), tolerance=percent(3.0),
    )(lambda a=_aspect: float(_turning(a, (0.0, -1.0, 0.0))[2] / _area(a)))  # fmt: skip
    check(
        f"damping of the pitch of a plate {_aspect:g} times as wide as long about its middle",
        source="vortex lattice, live, two meshes and extrapolation", status=Status.LIBRARY,
        published=(lambda a=_aspect: lattice.turning(a)[1]), tolerance=percent(8.0),
    )(lambda a=_aspect: float(-_turning(a, (0.0, -1.0, 0.0))[4] / _area(a) / (CHORD / 1e3)))  # fmt: skip
    check(
        f"damping of the roll of a plate {_aspect:g} times as wide as long",
        source="vortex lattice, live, two meshes and extrapolation", status=Status.LIBRARY,
        published=(lambda a=_aspect: lattice.rolling(a)), tolerance=percent(3.0),
    )(lambda a=_aspect: float(_turning(a, (1.0, 0.0, 0.0))[3] / _area(a) / (CHORD / 1e3)))  # fmt: skip


# ---- bent plates ----------------------------------------------------------------------------------------

NIPPON = "Nippon Suisan Gakkaishi 66(5), 2000, V depressor (abstract)"
OTTER = "Nippon Suisan Gakkaishi, biplane-type otter board (abstract): one board alone nearly the same"


@cache
def _board(aspect: float, camber: float, angle: float) -> float:
    """Lift coefficient of a plate bent to an arc, at an incidence of its chord in degrees."""
    part = {
        "role": "tail", "roll": "0 deg", "length": "40 mm", "width": f"{40.0 * aspect} mm", "thickness": "1 mm",
        "density": "1000 kg/m3", "camber": f"{40.0 * camber} mm",
    }  # fmt: skip
    lure = build(design(plate={"sheet": part}), with_hulls=False)
    turn = math.radians(angle)
    along, _, up = bench.force(lure.elements, bench.at_angle(SPEED, turn))[:3]
    return float(
        (along * math.sin(turn) + up * math.cos(turn))
        / (0.5 * bench.WATER.density * SPEED**2 * aspect * 0.040**2)
    )


ANGLES = (0.0, 5.0, 7.5, 10.0, 12.5, 15.0, 17.5, 20.0, 25.0, 30.0, 35.0, 40.0)


def _greatest(aspect: float, camber: float) -> tuple[float, float]:
    return max((_board(aspect, camber, angle), angle) for angle in ANGLES)


check(
    "greatest lift of a plate bent by 15 %, 6 times as wide as long", source=NIPPON, status=Status.MEASURED,
    published=1.57, tolerance=percent(20.0),
)(lambda: _greatest(6.0, 0.15)[0])  # fmt: skip
check(
    "incidence of the greatest lift of a plate bent by 15 %, 6 times as wide as long", source=NIPPON,
    status=Status.MEASURED, published=20.0, tolerance=absolute(5.0), unit="degrees",
)(lambda: _greatest(6.0, 0.15)[1])  # fmt: skip
check(
    "greatest lift of that plate when flat, over that when bent", source=NIPPON + ": about half",
    status=Status.MEASURED, published=0.5, tolerance=percent(25.0),
)(lambda: _greatest(6.0, 0.0)[0] / _greatest(6.0, 0.15)[0])  # fmt: skip
check(
    "greatest lift of a plate bent by 15 %, 3 times as wide as long", source=OTTER, status=Status.MEASURED,
    published=1.68, tolerance=percent(20.0),
)(lambda: _greatest(3.0, 0.15)[0])  # fmt: skip
check(
    "lift of a plate bent by 15 %, 3 times as wide as long, at 20 degrees", source=OTTER, status=Status.MEASURED,
    published=1.68, tolerance=percent(20.0),
)(lambda: _board(3.0, 0.15, 20.0))  # fmt: skip


# ---- lips of one area and five shapes -------------------------------------------------------------------

LIPS = "Nippon Suisan Gakkaishi 68(6), 843-851, 2002 (abstract): lips of equal area"


@cache
def _lip(aspect: float) -> tuple[float, float]:
    """Greatest force across the stream of a lip alone, and its drag there."""
    lure = bench.plate(20.0 / math.sqrt(aspect), 20.0 * math.sqrt(aspect), thickness=1.0)
    found = []
    for angle in np.radians(np.arange(5.0, 85.0, 2.5)):
        along, _, up = bench.force(lure.elements, bench.at_angle(SPEED, float(angle)))[:3]
        found.append((
            float(along * math.sin(angle) + up * math.cos(angle)),
            float(-along * math.cos(angle) + up * math.sin(angle)),
        ))  # fmt: skip
    return max(found)


check(
    "greatest force across the stream of a lip of aspect ratio 2.0 over that of one of 0.3, lips alone",
    source=LIPS, status=Status.MEASURED, published=1.49, tolerance=percent(20.0),
)(lambda: _lip(2.0)[0] / _lip(0.3)[0])  # fmt: skip
check(
    "at 15 degrees the force on a wider lip acts farther forward, as a share of its length", source=LIPS,
    status=Status.MEASURED, published=True, tolerance=SAME,
)(lambda: _centre(_plate(2.0), 15.0) < _centre(_plate(0.3), 15.0))  # fmt: skip
