"""What a window of a pulled lure's motion measures: robust figures, from which behaviours are named."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.elements import B_DIAMETER, P_WIDTH
from sim.lure.lure import Lure
from sim.motion import kinematics as reading
from sim.motion.ranges import outside
from sim.motion.solve import Trajectory
from sim.trials.records import OutOfRange

Array = NDArray[np.float64]

DRY = 0.02  # wetted share below which it is out of the water
LEAST = 0.005  # m: height of a lure of wires alone
SLOW = 3  # degree of the curve that is taken out of a swing: the path's own bend over the window


@dataclass(frozen=True)
class RunMetrics:
    """What a window of a retrieve measures: m, s, degrees, N; shares of time, volume or turning 0 to 1."""

    depth: float  # of the lure's middle
    heave: float  # amplitude of the depth, the path's slow bend taken out
    height: float  # of the body, or width of the plate
    wet: float  # mean wetted share of its volume
    dry_time: float  # share of the time out of the water
    pitch: float
    roll: float
    upside_down: float  # share of the time with its back below its belly
    pitch_amplitude: float
    roll_amplitude: float
    yaw_amplitude: float
    wobble: float | None  # Hz
    turns: float  # about the line, net, in the window
    turns_per_m: float
    turns_one_way: float  # net over all turning about the line: 1 always the same way, 0 to and fro
    over: float  # end over end, net, in the window
    over_one_way: float
    circles: float  # of its middle round its mean path, net, in the window
    circles_one_way: float
    radius: float  # of these circles, the narrow way
    offset: float  # sideways
    distance: float  # to the rod tip
    tension: float
    tension_max: float


KEYS = {
    "depth": "depth_m", "pitch": "pitch_deg", "roll": "roll_deg", "pitch_amplitude": "pitch_amplitude_deg",
    "roll_amplitude": "roll_amplitude_deg", "yaw_amplitude": "yaw_amplitude_deg", "wobble": "wobble_hz",
    "turns_per_m": "turns_per_m", "offset": "offset_m", "tension": "tension_n", "tension_max": "tension_max_n",
    "heave": "heave_mm",
}  # fmt: skip
"""Under which key of a retrieve's result a metric of its window stands."""


def keyed(found: RunMetrics, *names: str) -> dict[str, Any]:
    """Metrics by the keys of a retrieve's result, in their units; all of `KEYS` unless some are named."""
    values = {name: getattr(found, name) for name in names or KEYS}
    return {KEYS[name]: 1e3 * value if name == "heave" else value for name, value in values.items()}


def figures(run: Trajectory, lure: Lure, times: Array, speed: float) -> RunMetrics:
    """What the window `times` (k,) of a retrieve at a line speed (m/s) measures."""
    y = run.at(times)
    r = reading.axes(y)
    middle = reading.points(y, r, np.array([0.5 * sum(lure.nose_to_tail), 0.0, 0.0]))
    wet = reading.wet_shares(y, run.flat)
    pull = reading.tensions(times, y, run.flat)
    nose = r[:, :, 0]
    # swing of the nose to the side, seen from above, against its own mean heading
    heading = np.arctan2(nose[:, 1].mean(), nose[:, 0].mean())
    sideways = -nose[:, 0] * np.sin(heading) + nose[:, 1] * np.cos(heading)
    yaw = np.degrees(np.arcsin(np.clip(sideways, -1.0, 1.0)))
    roll = np.degrees(np.unwrap(reading.roll(r)))
    pitch = np.degrees(reading.pitch(r))
    level = middle[:, :2].mean(axis=0)
    toward = toward_rod(middle)
    span = float(times[-1] - times[0])
    turning = reading.spin_world(y, r) @ toward
    turns, turns_one_way = _net(np.cumsum(turning) * (span / max(times.size - 1, 1)))
    over, over_one_way = _net(np.unwrap(np.arctan2(nose[:, 2], nose @ toward)))
    circles, circles_one_way, radius = _circling(middle, toward)
    return RunMetrics(
        depth=float(-middle[:, 2].mean()),
        heave=amplitude(middle[:, 2]),
        height=_height(lure),
        wet=float(wet.mean()),
        dry_time=float((wet < DRY).mean()),
        pitch=float(pitch.mean()),
        roll=float(np.degrees(np.arctan2(r[:, 2, 1].mean(), r[:, 2, 2].mean()))),
        upside_down=float((r[:, 2, 2] < 0.0).mean()),
        pitch_amplitude=amplitude(pitch),
        roll_amplitude=amplitude(roll),
        yaw_amplitude=amplitude(yaw),
        wobble=_rate(times, np.gradient(yaw, times), np.gradient(roll, times)),
        turns=turns,
        turns_per_m=turns / max(speed * span, 1e-9),
        turns_one_way=turns_one_way,
        over=over,
        over_one_way=over_one_way,
        circles=circles,
        circles_one_way=circles_one_way,
        radius=radius,
        offset=float(middle[:, 1].mean()),
        distance=float(np.linalg.norm(level)),
        tension=float(pull.mean()),
        tension_max=float(pull.max()),
    )


def beyond(run: Trajectory, times: Array) -> list[OutOfRange]:
    """The laws that the window `times` (k,) of a run used outside their range, the worst first."""
    return [OutOfRange(law=one.law.name, below=one.below, above=one.above) for one in outside(run, times)]


def _height(lure: Lure) -> float:
    """Typical height of the fattest body, or the width of the widest plate of a lure without one, m."""
    bodies, plates = lure.elements.bodies, lure.elements.plates
    if len(bodies):
        return float(bodies[:, B_DIAMETER].max())
    return float(plates[:, P_WIDTH].max(initial=LEAST))


def toward_rod(middle: Array) -> Array:
    """Level unit vector (3,) from the mean of the places (k, 3) to the rod tip."""
    level = middle[:, :2].mean(axis=0)
    return -np.array([level[0], level[1], 0.0]) / max(float(np.linalg.norm(level)), 1e-9)


def amplitude(values: Array) -> float:
    """Half the swing of the sine wave with the same spread, the slow bend taken out."""
    return float(np.sqrt(2.0) * steadied(values).std())


def steadied(values: Array) -> Array:
    """Values (k,) or (k, m) less the smooth curve through them."""
    steps = np.linspace(-1.0, 1.0, len(values))
    curve = np.polynomial.polynomial.polyfit(steps, values, min(SLOW, len(values) - 1))
    return np.asarray(values - np.polynomial.polynomial.polyval(steps, curve).T)


def _net(angle: Array) -> tuple[float, float]:
    """Net turns of a continuous angle (rad), and their share in all its turning."""
    net = abs(float(angle[-1] - angle[0]))
    whole = float(np.abs(np.diff(angle)).sum())
    return net / (2.0 * math.pi), net / whole if whole > 0.0 else 0.0


def _circling(middle: Array, toward: Array) -> tuple[float, float, float]:
    """Net turns of the middle round its smooth mean path seen along it, their one-way share, the radius."""
    side = np.array([-toward[1], toward[0], 0.0])
    across = steadied(np.stack([middle @ side, middle[:, 2]], axis=1))
    narrow = float(np.linalg.eigvalsh(np.cov(across.T))[0])
    turns, one_way = _net(np.unwrap(np.arctan2(across[:, 1], across[:, 0])))
    return turns, one_way, math.sqrt(2.0 * max(narrow, 0.0))


def _rate(times: Array, *swings: Array) -> float | None:
    """Rate (Hz) of the strongest of some swings (degrees/s), by its spectrum's peak; None if it hardly swings."""
    values = max(swings, key=lambda values: float(values.std()))
    if values.std() < 5.0:  # degrees/s: slower than anyone would call a wobble
        return None
    padded = 8 * values.size
    power = np.abs(np.fft.rfft((values - values.mean()) * np.hanning(values.size), padded))
    return float(np.fft.rfftfreq(padded, float(times[1] - times[0]))[power.argmax()])
