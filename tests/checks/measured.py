"""Whole bodies let go and measured by others: paper in air, litter in water, balls, discs, strips."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import cache
from typing import NamedTuple

import numpy as np

from sim.lure import build
from sim.lure.lure import Lure
from sim.media import Medium, water
from sim.motion import kinematics as reading
from sim.motion.problem import Scene
from sim.motion.solve import Stop, integrate, start_state
from tests.checks import bench, lattice
from tests.checks.checks import SAME, Status, Subject, percent
from tests.lure.makers import design, stations

SUBJECT = Subject(
    "Measured motion",
    "Bodies that somebody let go and filmed: paper in air, caps, cans, foam and glass in water, balls, discs and "
    "strips. Built as a maker would describe them, let go as the source says, and read over the same stretch. "
    "Nothing in the simulator was fitted to them.",
    open=(
        "Ropes and lines that sink by themselves, hooks set from ships, and casts whose throw is not known.",
    ),
)
check = SUBJECT.check

PAPER = (
    "Howison, Hughes & Iida 2020, Nature Machine Intelligence: the authors' own arrays, th533/Falling-Paper"
)
LITTER = "Lofty and others, Settling and rising litter: tracks in JamesLofty/Settling_rising_litter_dataset"
ROOM_AIR = Medium(1.2754, 1.2754 * 1.48e-5)
STILL_WATER = water(20.0)
SHEET, GSM = 0.0694, 70.0  # mm, g/m2
START = 0.5  # m of the fall that is not looked at


class Fall(NamedTuple):
    """The settled part of a fall or rise."""

    speed: float  # up or down, m/s
    across: float  # m/s
    turns: float  # per second: how often its upper side comes round
    word: str  # tumbles, flutters, steady
    width: float  # of the swing to and fro, m


def _fall(
    lure: Lure, medium: Medium, *, way: float, attitude: tuple[float, float, float], longest: float = 20.0,
    coefficients: Mapping[str, float] | None = None,
) -> Fall:  # fmt: skip
    """Let go far from the surface at (heading, pitch, roll); read from `START` on over `way` metres."""
    in_air = medium.density < 10.0
    start = start_state(
        lure.elements, (0.0, 0.0, 500.0 if in_air else -500.0), reading.quaternion(*attitude), wake=0.1
    )
    scene = Scene(
        STILL_WATER if in_air else medium, medium if in_air else bench.AIR, coefficients=coefficients or {}
    )
    origin = float(start[2])
    through = Stop("through", lambda t, y: START + way - np.abs(y[..., 2] - origin))
    run = integrate(lure.elements, scene, start, longest, [through])
    times = np.linspace(0.0, float(run.t[-1]), 4000)
    y = run.at(times)
    r = reading.axes(y)
    centre = reading.points(y, r, lure.centre)
    first = int(np.searchsorted(np.abs(centre[:, 2] - centre[0, 2]), START))
    first = min(first, len(times) // 2)
    span = float(times[-1] - times[first])
    gone = centre[-1] - centre[first]
    upper = r[first:, 2, 2]
    sides = np.sign(upper[np.abs(upper) > 0.2])
    flips = int(np.count_nonzero(sides[1:] != sides[:-1]))
    swing = float(np.degrees(np.arccos(np.clip(np.abs(upper), 0.0, 1.0))).std())
    turns = flips / 2.0 / span
    word = "tumbles" if turns * span >= 1.0 else "flutters" if swing > 5.0 else "steady"
    straight = np.linspace(0.0, 1.0, len(times) - first)[:, None] * gone[:2]
    off = centre[first:, :2] - centre[first, :2] - straight
    return Fall(
        abs(float(gone[2])) / span,
        float(np.hypot(*gone[:2])) / span,
        turns,
        word,
        float(np.ptp(off, axis=0).max()),
    )


# ---- paper in air --------------------------------------------------------------------------------------


@cache
def _paper(half: float, outline: str) -> Fall:
    """A disc or square of office paper, `half` mm from middle to edge, let go edge-on."""
    sheet = {
        "role": "spoon", "length": f"{2 * half} mm", "width": f"{2 * half} mm", "thickness": f"{SHEET} mm",
        "density": f"{GSM / SHEET} kg/m3", "outline": outline,
    }  # fmt: skip
    return _fall(_alone(sheet), ROOM_AIR, way=1.0, attitude=(0.0, 1.5, 0.02))


def _alone(sheet: Mapping[str, object]) -> Lure:
    return build(design(plate={"sheet": dict(sheet)}), with_hulls=False)


for _radius, _speed, _drift, _turns in (
    (16.4, 0.754, 0.58, 4.90),
    (24.5, 0.685, 0.58, 3.35),
    (36.7, 0.704, 0.73, 2.44),
):
    _what = f"a paper disc of {2 * _radius:.0f} mm let go in air"
    check(
        f"{_what}: speed down", source=PAPER, status=Status.MEASURED, published=_speed, tolerance=percent(15.0),
        unit="m/s",
    )(lambda r=_radius: _paper(r, "oval").speed)  # fmt: skip
    check(
        f"{_what}: way across over way down", source=PAPER, status=Status.MEASURED, published=_drift,
        tolerance=percent(30.0),
    )(lambda r=_radius: _paper(r, "oval").across / _paper(r, "oval").speed)  # fmt: skip
    check(
        f"{_what}: turns a second", source=PAPER, status=Status.MEASURED, published=_turns,
        tolerance=percent(15.0), unit="1/s",
    )(lambda r=_radius: _paper(r, "oval").turns)  # fmt: skip

check(
    "turns of a tumbling paper disc against its size: the power", source=PAPER, status=Status.MEASURED,
    published=-0.87, tolerance=percent(30.0),
)(
    lambda: math.log(max(_paper(24.5, "oval").turns, 0.1) / max(_paper(16.4, "oval").turns, 0.1))
    / math.log(24.5 / 16.4)
)  # fmt: skip
check(
    "a paper disc of 76 mm in air: speed down, whatever its motion", source=PAPER, status=Status.MEASURED,
    published=0.800, tolerance=percent(15.0), unit="m/s",
)(lambda: _paper(38.0, "oval").speed)  # fmt: skip
check(
    "a paper square of 72 mm in air: speed down, whatever its motion", source=PAPER, status=Status.MEASURED,
    published=0.785, tolerance=percent(15.0), unit="m/s",
)(lambda: _paper(35.9, "straight").speed)  # fmt: skip
check(
    "a paper disc of 34 mm in air (23 of 25 tumbled)", source=PAPER, status=Status.MEASURED,
    published="tumbles", tolerance=SAME,
)(lambda: _paper(17.0, "oval").word)  # fmt: skip
check(
    "a paper disc of 95 mm in air tumbles (none of 25 did)", source=PAPER, status=Status.MEASURED,
    published=False, tolerance=SAME,
)(lambda: _paper(47.5, "oval").word == "tumbles")  # fmt: skip


# ---- discs and strips in water -------------------------------------------------------------------------

FIELD = "Field and others 1997, Nature 388, 252-254: lines digitised in th533/Falling-Paper, Field1997_data"
BELMONTE = (
    "Belmonte, Eisenberg & Moses 1998, Phys. Rev. Lett. 81: Froude number 0.67 parts flutter and tumbling"
)


@cache
def _disc(diameter: float, thickness: float, density: float) -> Fall:
    sheet = {
        "role": "spoon", "length": f"{diameter} mm", "width": f"{diameter} mm", "thickness": f"{thickness} mm",
        "density": f"{density} kg/m3", "outline": "oval",
    }  # fmt: skip
    return _fall(_alone(sheet), STILL_WATER, way=1.5, attitude=(0.0, 0.3, 0.1))


# I* = pi/64 density ratio thickness ratio, half and twice the two lines (0.0090, 0.0405)
for _name, _d, _t, _rho, _word in (
    ("an aluminium disc 8 x 0.27 mm (I* 0.0045, Re about 1 000)", 8.0, 0.27, 2700.0, "flutters"),
    ("an aluminium disc 30 x 1.02 mm (I* 0.0045, Re about 7 000)", 30.0, 1.02, 2700.0, "flutters"),
    ("a lead disc 4 x 0.58 mm (I* 0.081, Re about 1 500)", 4.0, 0.58, 11340.0, "tumbles"),
    ("a lead disc 15 x 2.2 mm (I* 0.081, Re about 10 000)", 15.0, 2.2, 11340.0, "tumbles"),
):
    check(f"{_name} in water", source=FIELD, status=Status.MEASURED, published=_word, tolerance=SAME)(
        lambda d=_d, t=_t, rho=_rho: _disc(d, t, rho).word
    )


@cache
def _strip(chord: float, ratio: float, density: float) -> Fall:
    sheet = {
        "role": "spoon", "length": f"{chord} mm", "width": f"{20.0 * chord} mm",
        "thickness": f"{ratio * chord} mm", "density": f"{density} kg/m3",
    }  # fmt: skip
    return _fall(_alone(sheet), STILL_WATER, way=1.5, attitude=(0.0, 0.5, 0.0))


for _name, _ratio, _rho, _word in (
    ("a brass strip 0.03 of its width thick (Froude number 0.50)", 0.03, 8500.0, "flutters"),
    ("a brass strip 0.09 of its width thick (Froude number 0.87)", 0.09, 8500.0, "tumbles"),
    ("an aluminium strip 0.06 of its width thick (Froude number 0.40)", 0.06, 2700.0, "flutters"),
    ("an aluminium strip 0.25 of its width thick (Froude number 0.82)", 0.25, 2700.0, "tumbles"),
):
    check(f"{_name} in water", source=BELMONTE, status=Status.MEASURED, published=_word, tolerance=SAME)(
        lambda q=_ratio, rho=_rho: _strip(20.0, q, rho).word
    )


def _zigzag() -> float:
    small, large = (_disc(d, 0.02 * d, 2700.0) for d in (20.0, 32.0))
    return (large.width / 32.0) / (small.width / 20.0)


check(
    "width of a disc's zig-zag over its diameter, Re 8 000 over Re 4 000",
    source="Zhong and others 2013, J. Fluid Mech. (abstract): constant above Re 2 000",
    status=Status.MEASURED, published=1.0, tolerance=percent(20.0),
)(_zigzag)  # fmt: skip


# ---- glass and sheet in water ---------------------------------------------------------------------------


@cache
def _piece(length: float, width: float, mass: float, density: float) -> Fall:
    """A flat piece of that bounding size and mass: its thickness follows."""
    thickness = mass / density / (length * width) * 1e6
    sheet = {
        "role": "spoon", "length": f"{length} mm", "width": f"{width} mm", "thickness": f"{thickness} mm",
        "density": f"{density} kg/m3",
    }  # fmt: skip
    return _fall(_alone(sheet), STILL_WATER, way=1.0, attitude=(0.0, 0.3, 0.2), longest=90.0)


for _name, _l, _w, _m, _down, _across in (
    ("window glass of 25 x 19 mm, 2.64 g", 25.0, 19.0, 2.64, 0.216, 0.042),
    ("window glass of 44 x 20 mm, 5.23 g", 44.0, 20.0, 5.23, 0.210, 0.060),
):
    check(
        f"{_name}: speed down", source=LITTER, status=Status.MEASURED, published=_down, tolerance=percent(20.0),
        unit="m/s",
    )(lambda a=_l, b=_w, m=_m: _piece(a, b, m, 2530.0).speed)  # fmt: skip

for _l, _w, _m, _rho, _up in (
    (26.0, 23.0, 1.20, 955.0, 0.0343),
    (36.0, 17.0, 1.20, 955.0, 0.0400),
    (55.0, 46.0, 4.00, 955.0, 0.0328),
    (41.0, 32.0, 2.40, 965.0, 0.0339),
    (33.0, 30.0, 0.80, 956.0, 0.0276),
):
    check(
        f"plastic sheet of {_l:g} x {_w:g} mm, {_m:g} g: speed up", source=LITTER, status=Status.MEASURED,
        published=_up, tolerance=percent(20.0), unit="m/s",
    )(lambda a=_l, b=_w, m=_m, rho=_rho: _piece(a, b, m, rho).speed)  # fmt: skip


# ---- caps, cans, foam -----------------------------------------------------------------------------------


@cache
def _cap() -> Fall:
    """A crown cap as a dish of its size, weight and mean density."""
    area = math.pi / 4.0 * 28.0**2
    sheet = {
        "role": "spoon", "length": "28 mm", "width": "28 mm", "outline": "oval", "weight": "1.93 g",
        "thickness": f"{1.93 / 4.296 * 1e3 / area} mm", "density": "4296 kg/m3", "camber": "5 mm", "cup": "5 mm",
    }  # fmt: skip
    return _fall(_alone(sheet), STILL_WATER, way=1.0, attitude=(0.0, 0.3, 0.2))


check(
    "a crown cap sinks: speed", source=LITTER, status=Status.MEASURED, published=0.189, tolerance=percent(10.0),
    unit="m/s",
)(lambda: _cap().speed)  # fmt: skip
check(
    "a crown cap sinks: how", source=LITTER, status=Status.MEASURED, published="steady", tolerance=SAME,
)(lambda: _cap().word)  # fmt: skip


@cache
def _solid(rows: tuple[tuple[float, float, float], ...], exponent: float, net: float, tilt: float) -> Fall:
    """A body of stations (mm) whose weight less lift is `net` grams."""
    volume = build(design(body={"main": stations(*rows, exponent=exponent)}), with_hulls=False).volume
    density = STILL_WATER.density + net * 1e-3 / volume
    body = stations(*rows, exponent=exponent, density=f"{density} kg/m3")
    lure = build(design(body={"main": body}), with_hulls=False)
    return _fall(lure, STILL_WATER, way=1.5, attitude=(0.0, tilt, 0.1), longest=90.0)


for _l, _d, _m, _rho, _down in (
    (85.0, 50.0, 221.5, 1.0263, 0.137),
    (115.0, 65.0, 498.2, 1.0158, 0.152),
    (145.0, 60.0, 535.5, 1.0161, 0.132),
    (168.0, 65.0, 725.1, 1.0135, 0.124),
):
    check(
        f"a can full of water, {_l:g} x {_d:g} mm: speed down", source=LITTER, status=Status.MEASURED,
        published=_down, tolerance=percent(20.0), unit="m/s",
    )(
        lambda a=_l, d=_d, m=_m, rho=_rho: _solid(((0.0, d, d), (a, d, d)), 2.0, m * (1.0 - 0.9982 / rho), 0.2).speed
    )  # fmt: skip

for _l, _w, _h, _volume, _m, _up in (
    (91.0, 90.0, 20.0, 112.0, 3.70, 0.535),
    (81.0, 50.0, 40.0, 103.0, 3.30, 0.670),
    (100.0, 55.0, 49.0, 151.0, 6.50, 0.661),
):
    check(
        f"a foam block of {_l:g} x {_w:g} x {_h:g} mm: speed up", source=LITTER, status=Status.MEASURED,
        published=_up, tolerance=percent(20.0), unit="m/s",
    )(
        lambda a=_l, w=_w, h=_h, v=_volume, m=_m: _solid(((0.0, w, h), (a, w, h)), 50.0, m - 0.9982 * v, 0.2).speed
    )  # fmt: skip


# ---- balls ----------------------------------------------------------------------------------------------

BALLS = "Horowitz & Williamson 2010, J. Fluid Mech. 651 (abstract): a rising ball zig-zags only below 0.61"


@cache
def _ball(density: float) -> Fall:
    return _fall(bench.ellipsoid(20.0, 20.0, 20.0, density), STILL_WATER, way=1.5, attitude=(0.0, 0.2, 0.1))


for _density, _word in ((2500.0, True), (750.0, True), (400.0, False)):
    check(
        f"a ball of 20 mm and {_density:g} kg/m3 {'sinks' if _density > 1000.0 else 'rises'} straight",
        source=BALLS, status=Status.MEASURED, published=_word, tolerance=SAME,
    )(lambda rho=_density: _ball(rho).width < 0.1 * 0.020)  # fmt: skip


# ---- a nose-heavy cone hit tail first --------------------------------------------------------------------

SHUTTLE = (
    "Cohen, Darbois Texier, Quere & Clanet 2015, New J. Phys. 17, 063001 (passages): it never does; 5 g, 100 x 60 mm; "
    "Cohen and others 2012, Procedia Eng. 34, 176-181 (passage): 3 g of it cork"
)
TURNED_AT = 28.0 / 10.4  # rad/m: a hit at 10.4 m/s turned it by 28 rad/s; theirs grows with the speed


def _furthest(speed: float, skirt: float) -> float:
    """How far it turns, let go tail first (rad); its skirt is closed here, with its 2 g at `skirt` mm from the tip."""
    rows = (
        (0.0, 0.0, 0.0), (4.0, 18.0, 18.0), (13.0, 26.0, 26.0), (25.0, 26.0, 26.0), (40.0, 34.0, 34.0),
        (100.0, 60.0, 60.0),
    )  # fmt: skip
    weights = {
        name: {"at": {"back": f"{at} mm"}, "weight": f"{grams} g", "density": "300 kg/m3"}
        for name, at, grams in (("cork", 13.0, 3.0), ("skirt", skirt, 1.9))
    }
    volume = build(design(body={"main": stations(*rows)}), with_hulls=False).volume
    body = stations(*rows, density=f"{1e-4 / volume} kg/m3")
    lure = build(design(body={"main": body}, ballast=weights), with_hulls=False)
    start = start_state(
        lure.elements, (0.0, 0.0, 500.0), reading.quaternion(), velocity=(-speed, 0.0, 0.0),
        spin=(0.0, 0.0, TURNED_AT * speed),
    )  # fmt: skip
    run = integrate(lure.elements, Scene(STILL_WATER, Medium(1.2, 1.2 * 1.5e-5), gravity=0.0), start, 1.5)
    y = run.at(np.linspace(0.0, 1.5, 3001))
    velocity = y[:, 7:10] + np.cross(y[:, 10:13], lure.centre)
    return float(np.abs(np.unwrap(np.arctan2(-velocity[:, 1], -velocity[:, 0]))).max())


for _speed in (10.4, 18.6):
    check(
        f"a shuttlecock hit tail first at {_speed:g} m/s turns right round", source=SHUTTLE,
        status=Status.MEASURED, published=False, tolerance=SAME,
    )(lambda v=_speed: any(_furthest(v, skirt) > 2.0 * math.pi for skirt in (43.0, 72.0)))  # fmt: skip


# ---- a turning plate keeps its lift ---------------------------------------------------------------------


def _keeps() -> float:
    """Incidence at which a square plate's lift lets go, turning at a tip speed of 0.6 of the stream's (degrees)."""
    lure = bench.plate(20.0, 20.0)
    at, stream = 0.6 * 1.0 / 0.010, 1.0

    def pull(angle: float, spin: float) -> float:
        from sim.motion.equations import rates
        from sim.motion.problem import pack

        only = dict.fromkeys(("plate_drag", "plate_spin", "plate_friction", "near_surface"), 0.0)
        scene = Scene(bench.WATER, bench.AIR, coefficients={**bench.STILL, **only})
        y = start_state(lure.elements, (0.0, 0.0, -5.0), (1.0, 0.0, 0.0, 0.0))
        middle = np.array([-0.010, 0.0, 0.0])
        y[10:13] = (0.0, -spin, 0.0)
        y[7:10] = (stream * math.cos(angle), 0.0, -stream * math.sin(angle)) - np.cross(y[10:13], middle)
        own = lure.elements.inertia @ rates(0.0, y, pack(lure.elements, scene))[7:13]
        front = stream * math.sin(angle) - spin * 0.020 * (
            0.5 - lattice.plate(1.0)[1]
        )  # motion where the lift acts
        return float(own[2] / front / math.cos(angle))

    angles = np.radians(np.arange(40.0, 89.0, 1.0))
    lift = np.array([pull(float(a), at) for a in angles])
    kept = lift / lift[0]
    return float(np.degrees(angles[int(np.flatnonzero(kept > 0.5)[-1])]))


check(
    "incidence to which a quickly turning plate keeps half its lift",
    source="Smith 1970, AD0710288 (abstract): an autorotating plate does not stall before it stands almost square",
    status=Status.MEASURED, published=80.0, tolerance=percent(12.5), unit="degrees",
)(_keeps)  # fmt: skip
