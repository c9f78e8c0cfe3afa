"""The wake oscillator, run by itself and driving a sprung plate that may only sway."""

from __future__ import annotations

import math
from functools import cache

import numpy as np
from scipy.integrate import solve_ivp

from sim import elements as e
from sim.forces.inputs import COEFFICIENT_INDEX, K_WATER, N_ENV, N_KIN, RHO_W
from sim.forces.shedding import (
    DRAG,
    FORCING,
    GROWTH,
    LIFT,
    STROUHAL,
    shedding_force,
    shedding_rate,
)
from sim.forces.state import N_WAKE
from tests.checks.checks import SAME, Status, Subject, percent

SUBJECT = Subject(
    "Vortices shed behind lips and faces",
    "The side-to-side push that makes a lip wobble comes from a small oscillator. Run by itself it must "
    "settle at an amplitude of two; coupled to a sprung plate it must catch on to the plate's own rate, as "
    "wind does with a chimney. The figures follow from the published equations, with the simulator's "
    "Strouhal number of 0.15.",
    open=(
        "The push back on the wake is held once the swing passes about one width, so very large swings do "
        "not follow the published equations; the sprung plate here stays far below that.",
        "How strongly vortices push a lip or rock a blade has no published figure; it is judgement.",
    ),
)
check = SUBJECT.check
PAPER = "Facchinetti, de Langre & Biolley 2004, J. Fluids Struct. 19, 123-140, equations as written there"
WIDTH, SPEED, RHO = 0.02, 0.5, 1000.0
PULSE = 2.0 * math.pi * STROUHAL * SPEED / WIDTH  # rad/s of the free wake
AREA = WIDTH * 0.06


def _plate() -> np.ndarray:
    """A plate square to the stream, heading a body, with one oscillator."""
    row = np.zeros((1, e.N_PLATE))
    row[0, e.P_C + 2] = row[0, e.P_S + 1] = 1.0  # up and to the left
    row[0, e.P_N] = 1.0
    row[0, e.P_LENGTH], row[0, e.P_WIDTH], row[0, e.P_AREA] = AREA / WIDTH, WIDTH, AREA
    row[0, e.P_SHED], row[0, e.P_SHED_D] = 0, WIDTH
    return row


PLATE, WET, GAINS = _plate(), np.array([[1.0, 1.0, 0.0]]), np.ones(len(COEFFICIENT_INDEX))
ENV = np.zeros(N_ENV)  # no viscosity: the Strouhal number is that of a large plate
ENV[RHO_W] = RHO


def _wake(sway: float, acceleration: float, q: np.ndarray) -> np.ndarray:
    """Rates of the oscillator of a plate that sways."""
    kin = np.zeros(N_KIN)
    kin[K_WATER], kin[K_WATER + 1] = SPEED, sway
    rate = np.zeros(N_WAKE)
    shedding_rate(PLATE, WET, kin, ENV, np.array([0.0, acceleration, 0.0, 0.0, 0.0, 0.0]), GAINS, q, rate)
    return rate


def _push(sway: float, q: np.ndarray) -> float:
    kin = np.zeros(N_KIN)
    kin[K_WATER], kin[K_WATER + 1] = SPEED, sway
    out = np.zeros(6)
    shedding_force(PLATE, WET, kin, ENV, GAINS, q, out[None], 0, 0)
    return float(out[1])


def _swing(times: np.ndarray, values: np.ndarray) -> tuple[float, float]:
    """Amplitude and rate (rad/s) of a steady swing."""
    up = np.flatnonzero((values[:-1] < 0.0) & (values[1:] >= 0.0))
    at = times[up] - values[up] * (times[up + 1] - times[up]) / (values[up + 1] - values[up])
    return float(0.5 * (values.max() - values.min())), 2.0 * math.pi * (len(at) - 1) / float(at[-1] - at[0])


@cache
def _free() -> tuple[float, float]:
    end = 120.0 / PULSE
    run = solve_ivp(
        lambda t, q: _wake(0.0, 0.0, q), (0.0, end), [0.1, 0.0, 0.0], rtol=1e-9, atol=1e-9, dense_output=True
    )
    times = np.linspace(0.6 * end, end, 20001)
    amplitude, rate = _swing(times, run.sol(times)[0])
    return amplitude, rate / PULSE


check(
    "amplitude of the wake by itself",
    source=PAPER + "; scipy 1.17.1", status=Status.LIBRARY, published=2.0010, tolerance=percent(0.3),
)(lambda: _free()[0])  # fmt: skip
check(
    "its rate over the Strouhal rate",
    source=PAPER + "; scipy 1.17.1", status=Status.LIBRARY, published=0.9932, tolerance=percent(0.3),
)(lambda: _free()[1])  # fmt: skip
check(
    "its rate over the Strouhal rate, by expansion",
    source="1 - eps2/16, van der Pol, closed form to second order", status=Status.EXACT,
    published=1.0 - GROWTH**2 / 16.0, tolerance=percent(0.3),
)(lambda: _free()[1])  # fmt: skip

# ---- a sprung plate -----------------------------------------------------------------------------------

MASS_NUMBER, DAMPING = 150.0, 3.1e-3  # mass over rho D2 and length; share of critical
M = 0.5 * LIFT / (8.0 * math.pi**2 * STROUHAL**2 * MASS_NUMBER)
SWINGS = (2.0 * math.pi) ** 2 / (1.0 + (2.0 * math.pi) ** 2)  # of the sway, less its average over a period
GAMMA = SWINGS * DRAG / (4.0 * math.pi * STROUHAL)


@cache
def _sprung(tuning: float) -> tuple[float, float, float]:
    """Amplitude of the wake, of the sway over the width, and the rate over the wake's own.

    `tuning` is the reduced speed over that of the middle of lock-in.
    """
    mass = MASS_NUMBER * RHO * WIDTH**2 * (AREA / WIDTH)
    own = PULSE / tuning

    def slope(t: float, state: np.ndarray) -> list[float]:
        y, v, wake = state[0], state[1], np.ascontiguousarray(state[2:])
        acceleration = _push(v, wake) / mass - 2.0 * DAMPING * own * v - own**2 * y
        rate = _wake(v, acceleration, wake)
        return [v, acceleration, *rate]

    end = 1500.0 / PULSE
    run = solve_ivp(
        slope, (0.0, end), [0.0, 0.0, 2.0, 0.0, 0.0], method="DOP853", rtol=1e-6, atol=1e-9, dense_output=True
    )
    times = np.linspace(0.93 * end, end, 8001)
    y, _, q, _, _ = run.sol(times)
    return _swing(times, q)[0], _swing(times, y)[0] / WIDTH, _swing(times, q)[1] / PULSE


def _balance() -> tuple[float, float]:
    """Amplitudes of wake and sway in the middle of lock-in, by harmonic balance."""
    loss = 2.0 * DAMPING + GAMMA / MASS_NUMBER
    q = 2.0 * math.sqrt(1.0 + FORCING * M / (GROWTH * loss))
    return q, q * M / loss


check(
    "amplitude of the wake, locked in to a sprung plate",
    source=PAPER + ", harmonic balance", status=Status.EXACT, published=_balance()[0], tolerance=percent(1.5),
)(lambda: _sprung(1.0)[0])  # fmt: skip
check(
    "sway of the plate over its width, locked in",
    source=PAPER + ", harmonic balance", status=Status.EXACT, published=_balance()[1], tolerance=percent(1.5),
)(lambda: _sprung(1.0)[1])  # fmt: skip
check(
    "rate of the pair over the wake's own, locked in",
    source=PAPER + ", harmonic balance", status=Status.EXACT, published=1.0, tolerance=percent(1.0),
)(lambda: _sprung(1.0)[2])  # fmt: skip
for _tuning in (0.9, 1.1):
    check(
        f"a spring too {'stiff' if _tuning < 1 else 'soft'} by a tenth sways less than a tenth as far",
        source=PAPER + ": out of lock-in", status=Status.EXACT, published=True, tolerance=SAME,
    )(lambda t=_tuning: _sprung(t)[1] < 0.1 * _sprung(1.0)[1])  # fmt: skip
check(
    "Strouhal number of a plate square to the flow",
    source="common values 0.14 to 0.15 (from memory)", status=Status.MEMORY, published=0.145,
    tolerance=percent(10.0),
)(lambda: STROUHAL)  # fmt: skip
