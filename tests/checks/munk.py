"""The Munk moment and what an ideal fluid does to a moving ellipsoid."""

from __future__ import annotations

import math
from functools import cache, partial

import numpy as np

from sim.elements import Elements
from sim.lure import added_mass as am
from sim.motion.equations import rates
from sim.motion.problem import Scene, pack
from sim.motion.solve import start_state
from tests.checks import bench
from tests.checks.checks import Status, Subject, percent, relative
from tests.motion import rigs

SUBJECT = Subject(
    "Turning moment of the carried water (Munk)",
    "A slim body moved a little askew is turned further askew by the water it carries: the reason why lures "
    "swing. All values follow from the closed form for a neutrally heavy ellipsoid of 100 x 30 x 20 mm, "
    "forces other than inertia switched off; the body is built as a maker's design, strips and all, where "
    "it says so.",
)
check = SUBJECT.check
MUNK = "Munk 1924, NACA Report 184 (citation from memory), closed form"
KIRCHHOFF = "Kirchhoff's equations, linearised: closed form"
SPEED = 0.5
DEEP = (0.0, 0.0, -5.0)


def _scene() -> Scene:
    return Scene(bench.PLAIN_WATER, bench.AIR, coefficients=bench.IDEAL)


def _moment(elements: Elements, centre: np.ndarray, total: np.ndarray, angle: float) -> float:
    """Moment on a body held `angle` to its path: angular acceleration times inertia, the water's too."""
    y = start_state(elements, DEEP, (1, 0, 0, 0), velocity=bench.at_angle(SPEED, angle))
    turning = rates(0.0, y, pack(elements, _scene()))[11]
    return abs(float(turning * bench.shifted(total, centre)[4, 4]))


@check(
    "moment at 10 degrees and 0.5 m/s, one ellipsoid element",
    source=MUNK, status=Status.EXACT, published=1.613186e-3, tolerance=relative(1e-6), unit="N m",
)  # fmt: skip
def _one_element() -> float:
    body = rigs.ellipsoid(0.05, 0.015, 0.010, 1000.0)
    total = body.inertia + 1000.0 * rigs.added_masses(0.05, 0.015, 0.010)
    return _moment(body, np.zeros(3), total, math.radians(10.0))


@check(
    "moment at 10 degrees and 0.5 m/s, the ellipsoid built of strips",
    source=MUNK, status=Status.EXACT, published=1.613186e-3, tolerance=relative(1e-6), unit="N m",
)  # fmt: skip
def _strips() -> float:
    lure = bench.ellipsoid(100.0, 30.0, 20.0)
    whole = am.unpacked(lure.elements.added).sum(axis=0)
    total = lure.elements.inertia + 1000.0 * whole
    return _moment(lure.elements, lure.centre, total, math.radians(10.0))


def _difference(fineness: float) -> float:
    lure = bench.ellipsoid(20.0 * fineness, 20.0, 20.0)
    whole = bench.carried(lure) / lure.volume
    return float(whole[2, 2] - whole[0, 0])


for _fineness, _value in ((3.0, 0.6819), (6.0, 0.8719), (10.0, 0.9395)):
    check(
        f"carried water across less along, on the water displaced, body {_fineness:g} times as long as wide",
        source="Lamb 1932, Art. 114-115", status=Status.EXACT, published=_value, tolerance=relative(2e-4),
    )(partial(_difference, _fineness))  # fmt: skip


@cache
def _start(which: int) -> tuple[np.ndarray, np.ndarray]:
    """Times and turn rate about an axis (11 pitch, 12 yaw) of the strip-built body, moved tip first."""
    lure = bench.ellipsoid(100.0, 30.0, 20.0)
    spin = np.zeros(3)
    spin[which - 10] = 1e-6
    velocity = np.array([SPEED, 0.0, 0.0]) - np.cross(spin, lure.centre)
    run = rigs.fly(lure.elements, _scene(), 0.8, position=DEEP, velocity=velocity, spin=spin)
    times = np.array([0.4, 0.8])
    return times, np.abs(run.at(times)[:, which])


def _growth(which: int) -> float:
    times, rate = _start(which)
    return math.log(rate[1] / rate[0]) / (times[1] - times[0])


for _which, _way, _value in ((11, "pitch", 11.8088), (12, "yaw", 10.6599)):
    check(
        f"an ellipsoid moved tip first at 0.5 m/s falls away in {_way}",
        source=KIRCHHOFF, status=Status.EXACT, published=_value, tolerance=percent(1.0), unit="1/s",
    )(partial(_growth, _which))  # fmt: skip


@check(
    "rate at which an ellipsoid moved broadside on at 0.5 m/s swings",
    source=KIRCHHOFF, status=Status.EXACT, published=24.9636, tolerance=percent(1.0), unit="rad/s",
)  # fmt: skip
def _broadside() -> float:
    lure = bench.ellipsoid(100.0, 30.0, 20.0)
    spin = np.array([0.0, 1e-4, 0.0])
    velocity = np.array([0.0, 0.0, SPEED]) - np.cross(spin, lure.centre)
    run = rigs.fly(lure.elements, _scene(), 2.0, position=DEEP, velocity=velocity, spin=spin)
    return 2.0 * math.pi / bench.period(run, lambda y: y[:, 11], 2.0)


@check(
    "first acceleration of a heavy ellipsoid let go level in water",
    source="(m - rho V) g / (m + k rho V), closed form", status=Status.EXACT, published=1.85513,
    tolerance=relative(1e-5), unit="m/s2",
)  # fmt: skip
def _first_fall() -> float:
    from sim.media import Medium

    lure = bench.ellipsoid(60.0, 16.0, 12.0, 1500.0)
    scene = Scene(Medium(998.2, 1e-3), bench.AIR, gravity=9.81)
    y = start_state(lure.elements, DEEP, (1, 0, 0, 0))
    return -float(rates(0.0, y, pack(lure.elements, scene))[9])


# ---- a second opinion ---------------------------------------------------------------------------------

MUJOCO = "mujoco 4.0.0, live, ellipsoid fluid with its drag and lift coefficients at nought"
MOTION = (0.4, 0.1, -0.2, 1.0, -2.0, 3.0)  # m/s and rad/s, body axes


@cache
def _by_mujoco() -> np.ndarray:
    """Force and moment (6,) of the carried water in a general motion, acceleration left out."""
    import mujoco

    model = mujoco.MjModel.from_xml_string(
        """<mujoco><option density="1000" viscosity="0" gravity="0 0 0" integrator="RK4"/><worldbody><body>
        <freejoint/><geom type="ellipsoid" size="0.05 0.015 0.01" density="1000" fluidshape="ellipsoid"
        fluidcoef="0 0 0 0 0"/></body></worldbody></mujoco>"""
    )
    data = mujoco.MjData(model)
    data.qvel[:] = MOTION
    mujoco.mj_forward(model, data)
    return np.array(data.qfrc_passive)


@cache
def _by_ours() -> np.ndarray:
    body = rigs.ellipsoid(0.05, 0.015, 0.010, 1000.0)
    y = start_state(body, DEEP, (1, 0, 0, 0), velocity=MOTION[:3], spin=MOTION[3:])
    wet = rates(0.0, y, pack(body, _scene()))[7:13]
    dry = rates(
        0.0,
        y,
        pack(body, Scene(bench.PLAIN_WATER, bench.AIR, coefficients={**bench.IDEAL, "added_mass": 0.0})),
    )
    total = body.inertia + 1000.0 * rigs.added_masses(0.05, 0.015, 0.010)
    return np.asarray(total @ wet - body.inertia @ dry[7:13])


for _i, _words in enumerate(
    ("force ahead", "force sideways", "force up", "rolling moment", "pitching moment", "yawing moment")
):
    check(
        f"carried water in a general motion: {_words}",
        source=MUJOCO, status=Status.LIBRARY, published=(lambda i=_i: float(_by_mujoco()[i])),
        tolerance=relative(1e-6), unit="N" if _i < 3 else "N m",
    )(lambda i=_i: float(_by_ours()[i]))  # fmt: skip
