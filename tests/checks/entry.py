"""Into the water, and half in it: measured cones, and a ball at the surface."""

from __future__ import annotations

import math
from functools import cache, partial

import numpy as np

from sim.design.load import read
from sim.lure import build
from sim.lure.lure import Lure
from sim.media import Medium
from sim.motion.equations import rates
from sim.motion.kinematics import quaternion
from sim.motion.problem import Scene, pack
from sim.motion.solve import start_state
from sim.trials import retrieve
from tests.checks import bench
from tests.checks.checks import SAME, Status, Subject, percent

SUBJECT = Subject(
    "Into the water",
    "The knock of the water on a body that comes in nose first hangs on the shape of its nose: the water that it "
    "pushes aside, and how fast that grows. Cones on a heavy body were dropped by others with an accelerometer "
    "inside; here the same body meets the surface at the same speed, and the greatest reading is compared.",
    open=("Spinning discs that skip, and drag by the waves that a body makes: neither is modelled.",),
)
check = SUBJECT.check
CONES = "Boom, Truscott, Fish & Habtour, arXiv 2403.13262: their own readings, Illimited-Lab/TwoBodyConeImpactData"
RADIUS, BEHIND, SPEED = 26.0, 265.0, 4.43  # mm, mm, m/s
POOL = Medium(997.0, 0.9e-3)
RINGS = 9  # stations along the cone, so that it is straight


@cache
def _cone(half_angle: float) -> tuple[Lure, float]:
    """The cone on its body, and the cone's height (mm)."""
    height = RADIUS / math.tan(math.radians(half_angle))
    rows = [
        (height * k / RINGS, 2.0 * RADIUS * k / RINGS, 2.0 * RADIUS * k / RINGS) for k in range(RINGS + 1)
    ]
    shoulder = (height * 1.001, 2.0 * RADIUS, 2.0 * RADIUS)
    return bench.turned(*rows, shoulder, (height + BEHIND, 2.0 * RADIUS, 2.0 * RADIUS)), height


@cache
def _blow(half_angle: float, speed: float) -> tuple[float, float]:
    """Greatest coefficient within two cone lengths, and how deep the tip is then, in cone lengths."""
    lure, height = _cone(half_angle)
    flat = pack(lure.elements, Scene(POOL, bench.AIR))
    depths = np.linspace(0.02, 2.0, 100)
    readings = []
    for depth in depths:
        y = start_state(lure.elements, (0.0, 0.0, -depth * height / 1e3), quaternion(pitch=-0.5 * math.pi))
        y[7] = speed
        readings.append(9.80665 - float(rates(0.0, y, flat)[7]))
    most = int(np.argmax(readings))
    load = 0.5 * POOL.density * math.pi * (RADIUS / 1e3) ** 2 * speed**2
    return lure.mass * readings[most] / load, float(depths[most])


for _angle, _force, _when, _size in (
    (25.0, 0.40, 0.86, 25.0),
    (30.0, 0.53, 0.85, 10.0),
    (45.0, 1.27, 0.86, 10.0),
    (60.0, 2.66, 0.91, 10.0),
    (80.0, 7.7, 1.0, 25.0),
):
    _what = f"a cone of {_angle:g} degrees from its axis, tip first into water"
    check(
        f"{_what}: greatest force", source=CONES, status=Status.MEASURED, published=_force,
        tolerance=percent(_size),
    )(lambda a=_angle: _blow(a, SPEED)[0])  # fmt: skip
    check(
        f"{_what}: its depth then, in cone lengths", source=CONES, status=Status.MEASURED,
        published=_when, tolerance=percent(_size),
    )(lambda a=_angle: _blow(a, SPEED)[1])  # fmt: skip

for _speed, _force in ((2.22, 1.33), (3.13, 1.26), (3.84, 1.22), (4.95, 1.24), (5.43, 1.26)):
    check(
        f"a cone of 45 degrees at {_speed:g} m/s: greatest force", source=CONES, status=Status.MEASURED,
        published=_force, tolerance=percent(10.0),
    )(lambda v=_speed: _blow(45.0, v)[0])  # fmt: skip


KAUST = "Kamoliddinov, Vakarelski & Thoroddsen 2021, Phys. Fluids 33(9), 10.1063/5.0061768 (abstract)"


def _half(speed: float) -> float:
    """Drag of a ball of 100 mm half in the water, over that of the same ball well under."""
    ball = bench.ellipsoid(100.0, 100.0, 100.0, 500.0)
    afloat, deep = (bench.force(ball.elements, (speed, 0.0, 0.0), height=height)[0] for height in (0.0, -2.0))
    return float(afloat / deep)


check(
    "drag of a floating ball of 100 mm at 0.4 m/s, over that of one well under", source=KAUST,
    status=Status.MEASURED, published=0.5, tolerance=percent(20.0),
)(partial(_half, 0.4))  # fmt: skip
check(
    "drag of a floating ball of 100 mm at 0.9 m/s has risen above half of that of one well under", source=KAUST,
    status=Status.MEASURED, published=True, tolerance=SAME,
)(lambda: _half(0.9) > 0.6)  # fmt: skip


def _ducks() -> bool:
    """Whether a floating ball of 100 mm pulled at 1.5 m/s goes up and down by more than a tenth of its size."""
    ball = read(
        'name = "ball"\n[body.main]\nlength = "100 mm"\nwidth = "100 mm"\nheight = "100 mm"\n'
        'density = "500 kg/m3"\n[tie_on.nose]\nat = { back = "0 mm" }\n',
        "ball",
    )
    lure = build(ball, with_hulls=False)
    run = retrieve.run(ball, lure, "nose", 1.5)
    end = float(run.t[-1])
    found = retrieve.figures(run, lure, np.arange(0.5 * end, end, 0.01), 1.5)
    return bool(found.heave > 0.1 * found.height)


check(
    "a floating ball of 100 mm pulled at 1.5 m/s dips under and comes up again", source=KAUST,
    status=Status.MEASURED, published=True, tolerance=SAME,
)(_ducks)  # fmt: skip


BRASS = 8500.0


def _swing() -> float:
    """Period of a brass ball that swings on a thread in water, over that in air: from how fast it starts to fall."""
    ball = bench.ellipsoid(20.0, 20.0, 20.0, BRASS)
    y = start_state(ball.elements, (0.0, 0.0, -5.0), (1.0, 0.0, 0.0, 0.0))
    start = rates(0.0, y, pack(ball.elements, Scene(bench.WATER, bench.AIR)))[9]
    return math.sqrt(9.80665 / -float(start))


check(
    "period of a brass ball swinging in water, over that in air",
    source="Millersville University, Experiment of the Month 38 (page): about 1.10, theory met within 5 ms",
    status=Status.MEASURED, published=1.10, tolerance=percent(1.0),
)(_swing)  # fmt: skip
