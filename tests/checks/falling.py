"""Plates let go in water and in air: do they flutter, tumble, glide or dive as real ones do?"""

from __future__ import annotations

from functools import cache, partial
from typing import NamedTuple

import numpy as np

from sim.design.load import read
from sim.lure import build
from sim.media import air, water
from sim.motion import kinematics as reading
from sim.motion.problem import Scene
from sim.motion.solve import TIGHT, integrate, start_state
from tests.checks.checks import SAME, Status, Subject, absolute, percent

SUBJECT = Subject(
    "Falling plates",
    "A plate let go falls in one of a few ways, and which one hangs on its thickness and on where its weight sits. "
    "Nothing in the simulator was fitted to these motions: they come out of the forces on a plate, the water it "
    "carries and the vortices it sheds, so they try the whole of it at once.",
)
check = SUBJECT.check
SECONDS = 3.5  # long enough to settle; beyond, round-off grows until two machines no longer agree
ANDERSEN = "Andersen, Pesavento & Wang 2005, J. Fluid Mech. 541, 65-90"


class Fall(NamedTuple):
    """The settled part of a fall."""

    across: float  # mean speed sideways, m/s
    down: float  # mean speed downward, m/s
    turning: float  # mean rate of turning over, rad/s
    swing: float  # of the pitch, degrees
    word: str


@cache
def _fall(
    chord: float, span: float, thickness: float, density: float, ahead: float = 0.0, in_air: bool = False
) -> Fall:
    """A rectangular plate (mm, kg/m3) let go at 0.5 rad; `ahead` mm from the middle sits as much weight again."""
    extra = (
        f'[fitting.weight]\nweight = "{chord * span * thickness * density * 1e-6} g"\nsize = "1 mm"\n'
        f'density = "11000 kg/m3"\nat = {{ back = "{chord / 2 - ahead} mm" }}\n'
        if ahead
        else ""
    )
    lure = build(
        read(
            f'name = "card"\n[plate.card]\nrole = "spoon"\nlength = "{chord} mm"\nwidth = "{span} mm"\n'
            f'thickness = "{thickness} mm"\ndensity = "{density} kg/m3"\n[tie_on.edge]\n'
            f'at = {{ back = "0 mm" }}\n{extra}',
            "card.toml",
        )
    )
    start = start_state(
        lure.elements, (0.0, 0.0, 200.0 if in_air else -5.0), reading.quaternion(pitch=0.5), wake=0.1
    )
    run = integrate(lure.elements, Scene(water(20.0), air(20.0)), start, SECONDS, settings=TIGHT)
    times = np.linspace(0.4 * float(run.t[-1]), float(run.t[-1]), 2000)
    y = run.at(times)
    r = reading.axes(y)
    centre = reading.points(y, r, lure.centre)
    span_s = float(times[-1] - times[0])
    speed = (centre[-1] - centre[0]) / span_s
    net = abs(float(np.trapezoid(y[:, 11], times)))
    every = float(np.trapezoid(np.abs(y[:, 11]), times))
    swing = float(np.degrees(np.sqrt(2.0) * reading.pitch(r).std()))
    steep = float(np.degrees(np.abs(reading.pitch(r)).mean()))
    if net > 2.0 * np.pi and net > 0.6 * every:
        word = "tumbles"
    elif swing > 10.0:
        word = "flutters"
    elif steep > 60.0:
        word = "dives"
    elif abs(speed[0]) > 0.18 * abs(speed[2]):
        word = "glides"
    else:
        word = "falls flat"
    return Fall(float(np.hypot(*speed[:2])), float(-speed[2]), net / span_s, swing, word)


@check(
    "an aluminium strip 6.5 x 0.81 mm (thickness 1/8) in water",
    source=ANDERSEN + ", the tumbling case", status=Status.MEASURED, published="tumbles", tolerance=SAME,
)  # fmt: skip
def _eighth() -> str:
    return _fall(6.48, 190.0, 0.81, 2700.0).word


for name, published, unit, value in (
    ("sideways", 0.159, "m/s", lambda: _fall(6.48, 190.0, 0.81, 2700.0).across),
    ("downward", 0.115, "m/s", lambda: _fall(6.48, 190.0, 0.81, 2700.0).down),
    ("turning", 14.5, "rad/s", lambda: _fall(6.48, 190.0, 0.81, 2700.0).turning),
):
    check(
        f"the same strip's mean speed {name}",
        source=ANDERSEN, status=Status.MEMORY, published=published, tolerance=percent(25), unit=unit,
    )(value)  # fmt: skip


@check(
    "an aluminium strip 11.3 x 0.81 mm (thickness 1/14) in water",
    source=ANDERSEN, status=Status.MEMORY, published="flutters", tolerance=SAME,
)  # fmt: skip
def _fourteenth() -> str:
    return _fall(11.34, 190.0, 0.81, 2700.0).word


@check(
    "a brass strip 21 x 1.6 mm in water, far on the heavy side",
    source="Field, Klaus, Moore & Nori 1997, Nature 388, 252-254: heavy and thick plates tumble",
    status=Status.MEASURED, published="tumbles", tolerance=SAME,
)  # fmt: skip
def _heavy() -> str:
    return _fall(21.0, 210.0, 1.6, 8500.0).word


@check(
    "a paper card of 10 x 200 x 0.2 mm in air",
    source="Mahadevan, Ryu & Samuel 1999, Phys. Fluids 11: such cards tumble",
    status=Status.MEASURED, published="tumbles", tolerance=SAME,
)  # fmt: skip
def _card() -> str:
    return _fall(10.0, 200.0, 0.2, 800.0, in_air=True).word


@check(
    "a light plate of 40 x 120 mm, its balance point moved ahead by 0, 12 and 24 % of the chord",
    source="Li, Goodwill, Wang & Ristroph 2022, J. Fluid Mech. 937 (abstract): flutter, then glide, then dive",
    status=Status.MEASURED, published="flutters, glides, dives", tolerance=SAME,
)  # fmt: skip
def _balance() -> str:
    falls = [_fall(40.0, 120.0, 1.0, 1400.0, ahead=ahead) for ahead in (0.0, 10.0, 19.0)]
    # a glide here is any path flatter than halfway: it still rises and dips on the way, as the published ones do
    return ", ".join("glides" if fall.across > fall.down else fall.word for fall in falls)


def _power(first: tuple[float, float], second: tuple[float, float], which: int) -> float:
    """Power of the rate of tumbling of paper cards in air against width (0) or thickness (1), both in mm."""
    rates = [_fall(wide, 200.0, thick, 800.0, in_air=True).turning for wide, thick in (first, second)]
    return float(np.log(max(rates[1], 0.1) / max(rates[0], 0.1)) / np.log(second[which] / first[which]))


for _name, _first, _second, _which, _value in (
    ("width", (8.0, 0.2), (24.0, 0.2), 0, -1.0),
    ("thickness", (10.0, 0.2), (10.0, 0.6), 1, 0.5),
):
    check(
        f"tumbling of paper cards in air against their {_name}: the power",
        source="Mahadevan, Ryu & Samuel 1999, Phys. Fluids 11 (abstract)", status=Status.MEASURED, published=_value,
        tolerance=absolute(0.1),
    )(partial(_power, _first, _second, _which))  # fmt: skip
