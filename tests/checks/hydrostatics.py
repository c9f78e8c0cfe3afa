"""How simple bodies rest in still water, against closed forms that follow from Archimedes' law."""

from __future__ import annotations

import math
from functools import cache, partial

import numpy as np

from sim.elements import Hull
from sim.trials.floating import settled
from sim.trials.results import FloatResult, Verdict
from tests.checks import bench, waves
from tests.checks.checks import SAME, Status, Subject, absolute, percent, relative
from tests.hulls import bare, block, cylinder, ellipsoid, moved, rotation, solid
from tests.motion import rigs

SUBJECT = Subject(
    "Floating and balance",
    "How deep a body floats, how it leans, and how strongly it rights itself. All values are closed forms; "
    "the simulator works on meshes of flat faces, so that draughts of round bodies may differ by a "
    "thousandth. The last rows let a body bob and rock: the water carried at the surface is then worked out "
    "by a boundary-element library that counts the waves it makes.",
)
check = SUBJECT.check
WATER = 1000.0
ARCHIMEDES = "Archimedes' law, closed form"
GILBERT = "Gilbert 1991; Moore & Merzbach (citations from memory), closed form"
ROUND = ellipsoid(0.01, 0.01, 0.01, rings=90, sides=180)
OVAL = ellipsoid(0.06, 0.015, 0.010, 90, 180)
ROD = cylinder(0.08, 0.01, 400)
PRISM = block(0.2, 0.02, 0.02)


def _floated(hull: Hull, s: float, centre: tuple[float, float, float] | None = None) -> FloatResult:
    """Homogeneous body of relative density s, unless the centre of gravity is told."""
    return settled(bare(hull, mass=s * WATER * solid(hull)[0], centre=centre), WATER)


def _draught(hull: Hull, s: float) -> float:
    """Over 20 mm, the height of the bodies below."""
    return float(_floated(hull, s).draught_mm) / 20.0


for _s, _rod, _ball in (
    (0.10, 0.15648, 0.19580), (0.50, 0.50000, 0.50000), (0.60, 0.57887, 0.56707), (0.90, 0.84352, 0.80420),
):  # fmt: skip
    for _words, _hull, _value, _source in (
        ("a round rod lying level", ROD, _rod, "segment of a circle"),
        ("a ball", ROUND, _ball, "spherical cap"),
        ("an ellipsoid lying flat", OVAL, _ball, "spherical cap, stretched"),
    ):
        check(
            f"draught over height of {_words}, relative density {_s:g}",
            source=_source + ", closed form", status=Status.EXACT, published=_value, tolerance=percent(0.1),
        )(partial(_draught, _hull, _s))  # fmt: skip


check(
    "height of a round rod above the water over its diameter, relative density 0.6",
    source="segment of a circle, closed form", status=Status.EXACT, published=1.0 - 0.57887,
    tolerance=percent(0.1),
)(lambda: float(_floated(ROD, 0.6).freeboard_mm) / 20.0)  # fmt: skip


@check(
    "rods, balls and ellipsoids lie level when their weight is evenly spread",
    source="symmetry", status=Status.EXACT, published=0.0, tolerance=absolute(0.05), unit="deg",
)  # fmt: skip
def _level() -> float:
    rests = [_floated(ROD, 0.6), _floated(OVAL, 0.6), _floated(OVAL, 0.1)]
    return max(max(abs(rest.pitch_deg or 0.0), abs(rest.roll_deg or 0.0)) for rest in rests)


def _prism_heel(s: float) -> float:
    """Heel (deg) of a long square prism of relative density s, between 0 and 45.

    Flat for s < (3 - sqrt 3) / 6, then tan2 = 12 s (1 - s) - 2, then one corner under, p + q = 3/2 and
    p q = 2 s, then 45.
    """
    s = min(s, 1.0 - s)
    if s <= (3.0 - math.sqrt(3.0)) / 6.0:
        return 0.0
    if s <= 0.25:
        return math.degrees(math.atan(math.sqrt(12.0 * s * (1.0 - s) - 2.0)))
    if s < 9.0 / 32.0:
        root = math.sqrt(2.25 - 8.0 * s)
        return math.degrees(math.atan2(1.5 - root, 1.5 + root))
    return 45.0


def _lean(s: float) -> float:
    result = _floated(PRISM, s)
    lean = abs(result.roll_deg or 0.0) % 90.0
    return max(min(lean, 90.0 - lean), abs(result.pitch_deg or 0.0))


for _s in (0.10, 0.205, 0.215, 0.23, 0.25, 0.26, 0.275, 0.285, 0.5, 0.7, 0.74, 0.75, 0.78, 0.80):
    check(
        f"lean of a square beam of relative density {_s:g}",
        source=GILBERT, status=Status.EXACT, published=_prism_heel(_s), tolerance=absolute(0.05), unit="deg",
    )(partial(_lean, _s))  # fmt: skip

check(
    "lean of a square beam of a quarter of the water's density: tangent one half",
    source=GILBERT, status=Status.EXACT, published=26.565051, tolerance=absolute(1e-4), unit="deg",
)(partial(_lean, 0.25))  # fmt: skip


def _disc(ratio: float, s: float) -> FloatResult:
    """An upright disc 20 mm high and `ratio` times as wide."""
    return _floated(moved(cylinder(0.02, 0.01 * ratio, 180), rotation([0, 1, 0], math.pi / 2)), s)


@cache
def _least_width(s: float) -> float:
    """Diameter over height at which an upright disc just stays upright."""
    low, high = 1.2, 1.6
    while high - low > 1e-4:
        middle = 0.5 * (low + high)
        rest = _disc(middle, s)
        upright = max(abs(rest.pitch_deg or 0.0), abs(rest.roll_deg or 0.0)) == 0.0
        low, high = (low, middle) if upright else (middle, high)
    return high


for _s, _value in ((0.5, 1.414214), (0.6, 1.385641)):
    check(
        f"least width over height of a disc that floats upright, relative density {_s:g}",
        source="(R/L)2 = 2 s (1 - s), closed form", status=Status.EXACT, published=_value,
        tolerance=percent(0.1),
    )(partial(_least_width, _s))  # fmt: skip


@check(
    "metacentric height of an upright disc, 40 mm wide, 20 mm high, relative density 0.6",
    source="R2/(4 s L) - L (1 - s)/2, closed form", status=Status.EXACT,
    published=1e3 * (0.02**2 / (4 * 0.6 * 0.02) - 0.02 * 0.4 / 2), tolerance=percent(0.1), unit="mm",
)  # fmt: skip
def _disc_gm() -> float:
    return float(_floated(moved(cylinder(0.02, 0.02, 400), rotation([0, 1, 0], math.pi / 2)), 0.6).heel_gm_mm)


for _way, _value in (("heel", 4.6875), ("trim", 131.25)):
    check(
        f"metacentric height in {_way} of an ellipsoid of half sizes 60, 15, 10 mm, half under",
        source="3/8 (b2 - c2)/c, closed form", status=Status.EXACT, published=_value, tolerance=percent(0.1),
        unit="mm",
    )(lambda w=_way: float(getattr(_floated(OVAL, 0.5), f"{w}_gm_mm")))  # fmt: skip

SPINDLE = ellipsoid(0.03, 0.01, 0.01)

check(
    "a body of revolution of even weight does not right itself in roll",
    source="b = c in the form above", status=Status.EXACT, published=0.0, tolerance=absolute(1e-6), unit="mm",
)(lambda: float(_floated(SPINDLE, 0.7).heel_gm_mm))  # fmt: skip


check(
    "a body of revolution of even weight has no righting arm at any heel",
    source="symmetry; the mesh has flat faces", status=Status.EXACT, published=0.0, tolerance=absolute(0.02),
    unit="mm",
)(lambda: max(abs(point.arm_mm) for point in _floated(SPINDLE, 0.7).righting_heel))  # fmt: skip


@check(
    "a body of revolution of even weight is said to turn freely",
    source="b = c in the form above", status=Status.EXACT, published="it turns freely about its long axis",
    tolerance=SAME,
)  # fmt: skip
def _says_so() -> str:
    return str(_floated(SPINDLE, 0.7).turns)


check(
    "metacentric height of a body of revolution with its weight 2 mm low",
    source="GM = BG for a body of revolution, closed form", status=Status.EXACT, published=2.0,
    tolerance=percent(0.5), unit="mm",
)(lambda: float(_floated(SPINDLE, 0.7, (0.0, 0.0, -0.002)).heel_gm_mm))  # fmt: skip


def _arm(result: FloatResult, angle: float) -> float:
    return next(abs(point.arm_mm) for point in result.righting_heel if point.angle_deg == angle)


check(
    "righting arm of a body of revolution with its weight 2 mm low, on its side",
    source="BG sin of the angle, closed form", status=Status.EXACT, published=2.0, tolerance=percent(0.5),
    unit="mm",
)(lambda: _arm(_floated(SPINDLE, 0.7, (0.0, 0.0, -0.002)), 90.0))  # fmt: skip


@cache
def _barge() -> FloatResult:
    return _floated(moved(block(60.0, 10.0, 6.0), by=(0.0, 0.0, 3.0)), 0.5, (0.0, 0.0, 4.0))


BARGE = "box barge 60 x 10 m, draught 3 m, centre of gravity 4 m up"
check(
    f"draught of a {BARGE}",
    source=ARCHIMEDES, status=Status.EXACT, published=3000.0, tolerance=relative(1e-6), unit="mm",
)(lambda: float(_barge().draught_mm))  # fmt: skip
check(
    f"metacentric height of a {BARGE}",
    source="KB + B2/(12 T) - KG, textbook form", status=Status.EXACT, published=277.778,
    tolerance=absolute(0.001), unit="mm",
)(lambda: float(_barge().heel_gm_mm))  # fmt: skip
for _angle in (10.0, 20.0, 30.0):
    _turn = math.radians(_angle)
    check(
        f"righting arm of a {BARGE}, heeled {_angle:g} degrees",
        source="sin (GM + BM tan2/2), wall-sided bodies, closed form", status=Status.EXACT,
        published=math.sin(_turn) * (277.7778 + 2777.7778 * math.tan(_turn) ** 2 / 2.0),
        tolerance=relative(1e-5), unit="mm",
    )(lambda a=_angle: _arm(_barge(), a))  # fmt: skip


@cache
def _under() -> FloatResult:
    return _floated(ellipsoid(0.03, 0.01, 0.008), 1.0, (0.0, 0.0, -0.0015))


check(
    "wholly under and as heavy as water it hangs",
    source=ARCHIMEDES, status=Status.EXACT, published=Verdict.SUSPENDS.value, tolerance=SAME,
)(lambda: _under().verdict.value)  # fmt: skip
check(
    "righting arm wholly under, weight 1.5 mm low, heeled 30 degrees",
    source="BG sin of the angle, closed form", status=Status.EXACT, published=0.75, tolerance=absolute(1e-4),
    unit="mm",
)(lambda: _arm(_under(), 30.0))  # fmt: skip

# ---- bobbing and rocking ------------------------------------------------------------------------------


def _pendulum(published: bool) -> float:
    """Period (s) of a neutrally heavy ellipsoid under water, its weight 1.5 mm below the middle."""
    a, b, c, low, g = 0.03, 0.01, 0.008, 0.0015, 9.80665
    body = rigs.ellipsoid(a, b, c, WATER)
    mass = float(body.inertia[0, 0])
    offset = np.array([0.0, 0.0, -low])
    inertia = body.inertia.copy()
    lever = np.array(
        [[0.0, low, 0.0], [-low, 0.0, 0.0], [0.0, 0.0, 0.0]]
    )  # cross-product matrix of the offset
    inertia[:3, 3:], inertia[3:, :3] = -mass * lever, mass * lever
    inertia[3:, 3:] -= mass * lever @ lever
    if published:
        whole = inertia + WATER * rigs.added_masses(a, b, c)
        free = whole[4, 4] - whole[0, 4] ** 2 / whole[0, 0]  # it may also slide fore and aft
        return 2.0 * math.pi * math.sqrt(free / (mass * g * low))
    body = body._replace(inertia=inertia)
    scene = bench.Scene(bench.PLAIN_WATER, bench.AIR, coefficients={"cross_drag": 0.0})
    run = rigs.fly(
        body,
        scene,
        3.0,
        position=(0.0, 0.0, -5.0),
        quaternion=bench.quaternion(pitch=0.01),
        velocity=-0.0 * offset,
    )
    return bench.period(run, lambda y: y[:, 11], 3.0)


check(
    "period of rocking under water, weight 1.5 mm low",
    source="2 pi sqrt((I + Ia)/(m g BG)), less the sliding that goes with it: closed form",
    status=Status.EXACT, published=partial(_pendulum, True), tolerance=percent(0.1), unit="s",
)(partial(_pendulum, False))  # fmt: skip

for _name, _words in waves.BODIES.items():
    for _way in ("heave", "roll"):
        check(
            f"period of {_way} of {_words}",
            source="stiffness in closed form; carried water by capytaine 3.0.0, live, waves counted",
            status=Status.LIBRARY, published=partial(waves.judged_period, _name, _way),
            tolerance=percent(5.0), unit="s",
        )(partial(waves.our_period, _name, _way))  # fmt: skip
