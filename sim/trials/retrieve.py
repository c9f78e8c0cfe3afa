"""Pull it: what it does from each tie-on point at each speed."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from sim.build.lure import Lure
from sim.design.model import Design
from sim.motion import reading
from sim.motion.solve import Settings, Stop, Trajectory, integrate, start_state
from sim.trials.behaviour import Figures, headline, sentence
from sim.trials.results import Behaviour, Ended, RetrieveResult
from sim.trials.setting import pulled

RAMP = 0.5  # s from rest to full speed
NEAR = 2.5  # m to the rod tip, where a retrieve is over
WAKE = 0.1  # start of the wake oscillators: the water is never quite still
LOOK = 0.5  # share of the run, at its end, that the figures are taken from
RATE = 100.0  # samples per second


def run(
    design: Design,
    lure: Lure,
    tie_on: str,
    speed: float,
    *,
    height: float | None = None,
    wake: float = WAKE,
    gains: Mapping[str, float] | None = None,
    settings: Settings | None = None,
) -> Trajectory:
    """The trajectory of one retrieve at a steady line speed (m/s).

    The lure starts level at the end of a taut line, its nose toward the rod, at the surface: with its middle
    in the surface if it floats, just under if it sinks. `wake` = 0 keeps a symmetric lure in its plane.
    """
    plan = design.retrieve
    tie = lure.tie_ons[tie_on]
    distance, tip = plan.distance.value, plan.tip.value
    end = plan.duration.value
    scene_start = 0.0 if height is None else height
    if height is None and lure.mass > 998.0 * lure.volume:
        scene_start = -0.5 * lure.length
    away = math.sqrt(max(distance**2 - tip**2, 0.25 * distance**2))
    start = start_state(
        lure.elements,
        (away, 0.0, scene_start),
        reading.quaternion(heading=math.pi),
        wake=wake,
    )
    programme = steady(design, start, tie, speed)
    scene = pulled(design, (float(tie[0]), float(tie[1]), float(tie[2])), programme, gains)
    depth = design.water.depth.value
    stops = [
        Stop("near", lambda t, y: math.hypot(y[0], y[1]) - NEAR),
        Stop("bottom", lambda t, y: float(y[2]) + depth),
    ]
    return integrate(lure.elements, scene, start, end, stops, settings)


def steady(
    design: Design, start: NDArray[np.float64], tie: NDArray[np.float64], speed: float
) -> list[tuple[float, float, float, float, float]]:
    """Line programme (time, length out, rod tip x, y, z) from a taut line to a steady speed within `RAMP`."""
    tip, end = design.retrieve.tip.value, design.retrieve.duration.value
    y = start[None, :]
    point = reading.points(y, reading.axes(y), tie)[0]
    out = float(np.linalg.norm(point - np.array([0.0, 0.0, tip])))
    eased = 0.5 * speed * RAMP
    return [
        (0.0, out, 0.0, 0.0, tip),
        (RAMP / 2, out - 0.25 * eased, 0.0, 0.0, tip),
        (RAMP, out - eased, 0.0, 0.0, tip),
        (end + 1.0, out - eased - speed * (end + 1.0 - RAMP), 0.0, 0.0, tip),
    ]


def retrieve(
    design: Design,
    lure: Lure,
    *,
    tie_ons: Sequence[str] | None = None,
    speeds: Sequence[float] | None = None,
) -> list[RetrieveResult]:
    """Every tie-on point at every speed (m/s), or those named."""
    names = list(tie_ons) if tie_ons is not None else list(lure.tie_ons)
    paces = list(speeds) if speeds is not None else [speed.value for speed in design.retrieve.speeds]
    return [describe(run(design, lure, name, pace), lure, name, pace) for name in names for pace in paces]


def describe(run: Trajectory, lure: Lure, tie_on: str, speed: float) -> RetrieveResult:
    """Figures and words for one retrieve."""
    ended = {
        "time": Ended.TIME,
        "near": Ended.NEAR,
        "bottom": Ended.BOTTOM,
    }.get(run.ended, Ended.GAVE_UP)
    end = float(run.t[-1])
    times = np.linspace((1 - LOOK) * end, end, max(int(LOOK * end * RATE), 16))
    found = None if ended is Ended.GAVE_UP or end < 2 * RAMP else figures(run, lure, times, speed)
    if found is None:
        return RetrieveResult(
            tie_on=tie_on, speed_m_s=speed, behaviour=Behaviour.UNKNOWN, also=[], depth_m=None, pitch_deg=None,
            roll_deg=None, pitch_amplitude_deg=None, roll_amplitude_deg=None, yaw_amplitude_deg=None,
            wobble_hz=None, turns_per_m=None, offset_m=None, tension_n=None, tension_max_n=None,
            ended=Ended.GAVE_UP, evaluations=run.evaluations,
            sentence=f"No answer: {Ended.GAVE_UP.value}. It had run for {end:.1f} s.",
        )  # fmt: skip
    first, also = headline(found, ended)
    return RetrieveResult(
        tie_on=tie_on,
        speed_m_s=speed,
        behaviour=first,
        also=also,
        depth_m=found.depth,
        pitch_deg=found.pitch,
        roll_deg=found.roll,
        pitch_amplitude_deg=found.pitch_amplitude,
        roll_amplitude_deg=found.roll_amplitude,
        yaw_amplitude_deg=found.yaw_amplitude,
        wobble_hz=found.wobble,
        turns_per_m=found.turns_per_m,
        offset_m=found.offset,
        tension_n=found.tension,
        tension_max_n=found.tension_max,
        ended=ended,
        evaluations=run.evaluations,
        sentence=sentence(first, also, found),
    )


def figures(run: Trajectory, lure: Lure, times: NDArray[np.float64], speed: float) -> Figures:
    """What the window `times` of a retrieve measures."""
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
    toward = -np.array([level[0], level[1], 0.0]) / max(float(np.linalg.norm(level)), 1e-9)
    span = float(times[-1] - times[0])
    turns = abs(float(np.trapezoid(reading.spin_world(y, r) @ toward, times))) / (2.0 * math.pi)
    over = abs(float(np.trapezoid(y[:, 11], times))) / (2.0 * math.pi)
    return Figures(
        depth=float(-middle[:, 2].mean()),
        heave=_amplitude(middle[:, 2]),
        height=lure.elements.bodies[:, 12].max(initial=0.0) if len(lure.elements.bodies) else 0.005,
        wet=float(wet.mean()),
        dry_time=float((wet < 0.02).mean()),
        pitch=float(pitch.mean()),
        roll=float(np.degrees(np.arctan2(r[:, 2, 1].mean(), r[:, 2, 2].mean()))),
        upside_down=float((r[:, 2, 2] < 0.0).mean()),
        pitch_amplitude=_amplitude(pitch),
        roll_amplitude=_amplitude(roll),
        yaw_amplitude=_amplitude(yaw),
        wobble=_rate(times, y[:, 10], y[:, 12]),
        turns=turns,
        turns_per_m=turns / (speed * span),
        over=over,
        offset=float(middle[:, 1].mean()),
        distance=float(np.linalg.norm(level)),
        tension=float(pull.mean()),
        tension_max=float(pull.max()),
    )


def _amplitude(values: NDArray[np.float64]) -> float:
    """Half the swing of the sine wave with the same spread, slow drift taken out."""
    steps = np.arange(values.size)
    drift = np.polynomial.Polynomial.fit(steps, values, 1)(steps)
    return float(np.sqrt(2.0) * (values - drift).std())


def _rate(times: NDArray[np.float64], *swings: NDArray[np.float64]) -> float | None:
    """Rate (Hz) of the strongest side-to-side swing, by the peak of its spectrum; None if it hardly swings."""
    values = max(swings, key=lambda values: float(values.std()))
    if values.std() < math.radians(5.0):  # rad/s: slower than anyone would call a wobble
        return None
    padded = 8 * values.size
    power = np.abs(np.fft.rfft((values - values.mean()) * np.hanning(values.size), padded))
    return float(np.fft.rfftfreq(padded, float(times[1] - times[0]))[power.argmax()])
