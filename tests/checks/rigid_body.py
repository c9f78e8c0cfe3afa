"""Rotation in empty space and motion in an ideal fluid: exact solutions, and what must be kept."""

from __future__ import annotations

import math
from functools import cache

import numpy as np

from sim.motion.problem import Scene
from sim.motion.solve import Trajectory
from tests.checks import bench
from tests.checks.checks import Status, Subject, absolute, relative
from tests.motion import rigs

SUBJECT = Subject(
    "Turning in flight and in ideal water",
    "With all forces but inertia switched off, the equations of motion have exact solutions and quantities "
    "that never change. The run is made at the accuracy every trial uses.",
)
check = SUBJECT.check
JACOBI = "Landau & Lifshitz, Mechanics, section 37, closed form"
NAMES = ("roll", "pitch", "yaw")


def _body(*inertia: float) -> rigs.e.Elements:
    return rigs.bare([np.zeros(10)], [np.zeros(21)], 1e-6 * np.diag([1e6, 1e6, 1e6, *inertia]))


@cache
def _spinning(inertia: tuple[float, ...], spin: tuple[float, ...], seconds: float) -> Trajectory:
    scene = Scene(bench.PLAIN_WATER, bench.AIR, gravity=0.0)
    return rigs.fly(_body(*inertia), scene, seconds, spin=spin, position=(0, 0, 5))


def _free() -> Trajectory:
    return _spinning((1.0, 2.0, 3.0), (2.0, 0.0, 8.0), 3.0)


for _t, _spin in (
    (0.1, (1.39565430, 1.43253240, 7.95713204)), (1.0, (-0.20669853, 1.98929026, 7.91712752)),
    (3.0, (0.61144057, -1.90424274, 7.92409531)),
):  # fmt: skip
    for _i, _value in enumerate(_spin):
        check(
            f"turn rate in {NAMES[_i]} after {_t:g} s, moments 1 : 2 : 3, started at 2, 0, 8 rad/s",
            source=JACOBI, status=Status.EXACT, published=_value, tolerance=absolute(1e-5), unit="rad/s",
        )(lambda t=_t, i=_i: float(_free().at([t])[0, 10 + i]))  # fmt: skip


@cache
def _by_mujoco() -> np.ndarray:
    """Angular velocity (3,) of the same body after one second by another engine."""
    import mujoco

    model = mujoco.MjModel.from_xml_string(
        """<mujoco><option gravity="0 0 0" integrator="RK4" timestep="0.001"/><worldbody><body><freejoint/>
        <inertial pos="0 0 0" mass="1" diaginertia="1 2 3"/></body></worldbody></mujoco>"""
    )
    data = mujoco.MjData(model)
    data.qvel[3:6] = 2.0, 0.0, 8.0
    mujoco.mj_step(model, data, nstep=1000)
    return np.array(data.qvel[3:6])


for _i in range(3):
    check(
        f"turn rate in {NAMES[_i]} after 1 s, by another engine",
        source="mujoco 4.0.0, live, RK4 at 1 ms", status=Status.LIBRARY,
        published=(lambda i=_i: float(_by_mujoco()[i])), tolerance=absolute(1e-5), unit="rad/s",
    )(lambda i=_i: float(_free().at([1.0])[0, 10 + i]))  # fmt: skip


@check(
    "time between flips, started a thousandth off the middle axis at 10 rad/s",
    source="2K/n with m = 0.999999000001, closed form", status=Status.EXACT, published=2.873142,
    tolerance=relative(1e-3), unit="s",
)  # fmt: skip
def _flips() -> float:
    run = _spinning((1.0, 2.0, 3.0), (0.01, 10.0, 0.0), 10.0)
    times = np.linspace(0.0, 10.0, 20001)
    rate = run.at(times)[:, 11]
    k = np.flatnonzero(rate[:-1] * rate[1:] < 0.0)
    at = times[k] - rate[k] * (times[k + 1] - times[k]) / (rate[k + 1] - rate[k])
    return float((at[-1] - at[0]) / (len(at) - 1))


@check(
    "rate at which a spin leaves the middle axis",
    source="w sqrt((I2 - I1)(I3 - I2)/(I1 I3)), closed form", status=Status.EXACT, published=5.7735027,
    tolerance=relative(1e-3), unit="1/s",
)  # fmt: skip
def _leaves() -> float:
    run = _spinning((1.0, 2.0, 3.0), (1e-5, 10.0, 0.0), 1.0)
    early, late = np.hypot(run.at([0.5, 0.9])[:, 10], run.at([0.5, 0.9])[:, 12])
    return math.log(late / early) / 0.4


@check(
    "precession of a slim spinning body, moments 1 : 1 : 0.2 at 50 rad/s",
    source="(I3 - I1) w/I1, closed form", status=Status.EXACT, published=-40.0, tolerance=relative(1e-4),
    unit="rad/s",
)  # fmt: skip
def _precession() -> float:
    run = _spinning((1.0, 1.0, 0.2), (1.0, 0.0, 50.0), 1.0)
    times = np.linspace(0.0, 1.0, 1001)
    y = run.at(times)
    turned = np.unwrap(np.arctan2(y[:, 11], y[:, 10]))
    return float((turned[-1] - turned[0]) / times[-1])


# ---- in ideal water -----------------------------------------------------------------------------------

KIRCHHOFF = "Kirchhoff's invariants of an ellipsoid as heavy as water, half sizes 50, 15, 10 mm: closed form"


@cache
def _swum() -> tuple[Trajectory, np.ndarray]:
    body = rigs.ellipsoid(0.05, 0.015, 0.010, 1000.0)
    scene = Scene(bench.PLAIN_WATER, bench.AIR, coefficients=bench.IDEAL)
    run = rigs.fly(body, scene, 5.0, position=(0, 0, -5.0), velocity=(0.5, 0.02, 0.01), spin=(0.3, 0.2, 0.1))
    return run, np.diag(body.inertia + 1000.0 * rigs.added_masses(0.05, 0.015, 0.010))


def _kept(which: str) -> float:
    run, masses = _swum()
    motion = run.y[-1, 7:13]
    momentum = masses * motion
    return float(
        {
            "energy": 0.5 * motion @ momentum,
            "square": momentum[:3] @ momentum[:3],
            "product": momentum[:3] @ momentum[3:],
        }[which]
    )


for _which, _words, _value in (
    ("energy", "energy", 4.248381791468752e-3),
    ("square", "square of the momentum", 2.8832689813309317e-4),
    ("product", "momentum times moment of momentum", 1.9988921117575293e-8),
):
    check(
        f"{_words} after 5 s in ideal water",
        source=KIRCHHOFF, status=Status.EXACT, published=_value, tolerance=relative(1e-6),
    )(lambda w=_which: _kept(w))  # fmt: skip


@cache
def _solved() -> np.ndarray:
    """Velocity and turn rate (6,) after one second, from Kirchhoff's equations by another integrator."""
    from scipy.integrate import solve_ivp

    masses = _swum()[1]

    def slope(t: float, x: np.ndarray) -> np.ndarray:
        v, w = x[:3], x[3:]
        p, h = masses[:3] * v, masses[3:] * w
        return np.asarray(np.concatenate([np.cross(p, w), np.cross(h, w) + np.cross(p, v)]) / masses)

    start = [0.5, 0.02, 0.01, 0.3, 0.2, 0.1]
    return np.asarray(solve_ivp(slope, (0.0, 1.0), start, method="DOP853", rtol=1e-12, atol=1e-14).y[:, -1])


for _i, _words in ((0, "speed ahead"), (2, "speed upward"), (4, "pitch rate")):
    check(
        f"{_words} after 1 s in ideal water",
        source="Kirchhoff's equations, scipy 1.17.1, DOP853", status=Status.LIBRARY,
        published=(lambda i=_i: float(_solved()[i])), tolerance=absolute(1e-5),
        unit="m/s" if _i < 3 else "rad/s",
    )(lambda i=_i: float(_swum()[0].at([1.0])[0, 7 + i]))  # fmt: skip
