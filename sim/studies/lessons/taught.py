"""From what is known after the tests to what a maker is told: each coefficient, why it is not fitted, each test.

A coefficient counts as fitted if its deviation has come down to `LEARNT` of what it was and it goes with no other
unknown by more than `APART`. Else it is named, with the reason, and keeps an error that says so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from sim.coefficients import COEFFICIENTS, DOUBTED
from sim.design.model import Design
from sim.studies.lessons.fitted import CalibrationResult, Correlation, Fitted, Held, Standing
from sim.studies.lessons.knobs import THROWER
from sim.studies.lessons.logged import contradictions
from sim.studies.lessons.posterior import Known
from sim.studies.lessons.response import Tank

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

WORTH_TELLING = 0.3  # correlation that a design file keeps
OUTLIER = 3.0  # deviations from what all others say
PARTNER = 0.5  # correlation with another that is named as the reason
APART = 0.9  # correlation above which two coefficients are not told apart
LEARNT = 0.7  # of the prior deviation: half of the variance is gone
TRIED_BY = {
    "added_mass": "log the wobble rate of a pull", "munk": "log a drop time, or depths at two speeds",
    "slam": "nothing that is logged tells it well", "cross_drag": "log a drop time, let go level",
    "axial_drag": "log a drop time of a lure that goes nose or tail first, or the pull on the line",
    "tail_relief": "log the depth of a pull", "cross_relief": "log the wobble rate of a pull",
    "roll_drag": "log the wobble rate of a lure that rocks", "plate_lift": "log depths at two speeds",
    "plate_drag": "log a drop time, and the depth of a pull from a point with a steep lip",
    "plate_spin": "log a drop that flutters or spins", "plate_friction": "log the depth of a pull",
    "near_surface": "log what it does just under the surface", "shedding": "log the wobble rate of a pull",
    "wire_drag": "log a drop time of a lure with much bare wire", "hook_drag": "log a drop time with and without hooks",
    "line_bend": "log the depth with two line diameters", "line_drag": "log a cast with two line diameters",
    THROWER: "log casts",
}  # fmt: skip
"""The test that tries each. Judgement, from which runs feel it."""


def taught(
    designs: Sequence[Design],
    tank: Tank,
    names: Sequence[str],
    known: Known,
    turned: Sequence[int],
    slopes: Floats,
    chi_square: float,
) -> CalibrationResult:
    mean = np.zeros(len(tank.knobs))
    mean[list(turned)] = known.mean
    before, after = tank.signals([np.zeros(len(tank.knobs)), mean])
    rows = dict(zip(tank.units, tank.rows([(u, np.zeros(len(mean))) for u in tank.units]), strict=True))
    fitted = [_fitted(tank, k, known, turned, slopes) for k in _reported(tank, names)]
    pairs = [
        Correlation(
            one=tank.knobs[turned[a]].name, other=tank.knobs[turned[b]].name, r=known.correlation(a, b)
        )
        for a in range(len(turned))
        for b in range(a + 1, len(turned))
        if all(tank.knobs[turned[k]].coefficient and tank.knobs[turned[k]].name in names for k in (a, b))
        and abs(known.correlation(a, b)) > WORTH_TELLING
    ]
    notes = []
    for lure, design in enumerate(designs):
        mine = [reading for reading in tank.readings if reading.lure == lure]
        notes += contradictions(design, mine, rows)
    return CalibrationResult(
        lures=[design.name for design in designs],
        fitted=fitted,
        together=pairs,
        correlations=_correlations(tank, names, known, turned),
        tests=_held(tank, known, turned, slopes, before, after),
        inputs=_moved(tank, known, turned),
        chi_square_before=float(np.sum(tank.misfits(before) ** 2)),
        chi_square=chi_square,
        readings=int(sum(tank.used())),
        widened=known.widened,
        notes=notes,
        runs=tank.runs,
    )


def _reported(tank: Tank, names: Sequence[str]) -> list[int]:
    return [k for k, knob in enumerate(tank.knobs) if knob.name in names]


def _correlations(tank: Tank, names: Sequence[str], known: Known, turned: Sequence[int]) -> list[list[float]]:
    at = {k: n for n, k in enumerate(turned)}
    every = _reported(tank, names)
    return [
        [known.correlation(at[a], at[b]) if a in at and b in at else float(a == b) for b in every]
        for a in every
    ]


def _fitted(tank: Tank, k: int, known: Known, turned: Sequence[int], slopes: Floats) -> Fitted:
    knob = tank.knobs[k]
    z, sd = 0.0, 1.0
    standing, why, partner, r = Standing.UNTRIED, "", None, None
    if k in turned:
        at = list(turned).index(k)
        z, sd = float(known.mean[at]), float(known.sds[at])
        partner, r = _partner(tank, known, turned, at)
        standing = _standing(sd, r)
    if standing is Standing.UNTRIED:
        why = f"no test tried it: {TRIED_BY[knob.name]}"
        partner, r = None, None
    elif standing is Standing.TOGETHER:
        why = f"only together with {partner}: r = {r:.2f}; {TRIED_BY[knob.name]}"
    elif standing is Standing.HARDLY:
        why = (
            f"the tests hardly tell it: {100 * sd:.0f} % of its doubt is left; {TRIED_BY.get(knob.name, '')}"
        )
    low, middle, high = (knob.input.at(z + step * sd).value for step in (-1.0, 0.0, 1.0))
    first, last = (knob.input.at(step).value for step in (-1.0, 1.0))
    return Fitted(
        name=knob.name, lure=knob.inputs[0][0] if not knob.coefficient else None,
        does=COEFFICIENTS[knob.name].does if knob.name in DOUBTED else "how fast the lure leaves the rod",
        value=middle, sd=0.5 * (high - low), was=knob.input.at(0.0).value, was_sd=0.5 * (last - first),
        unit="" if knob.coefficient else "m/s", deviations=z, left=sd, standing=standing, why=why,
        partner=partner, r=r,
    )  # fmt: skip


def _partner(tank: Tank, known: Known, turned: Sequence[int], at: int) -> tuple[str | None, float | None]:
    """The unknown that goes most with one."""
    others = [(abs(known.correlation(at, b)), b) for b in range(len(turned)) if b != at]
    if not others:
        return None, None
    _, b = max(others)
    return tank.knobs[turned[b]].name, known.correlation(at, b)


def _standing(sd: float, r: float | None) -> Standing:
    close = abs(r or 0.0)
    if sd <= LEARNT and close < APART:
        return Standing.FITTED
    if close >= (PARTNER if sd > LEARNT else APART):
        return Standing.TOGETHER
    return Standing.HARDLY


def _moved(tank: Tank, known: Known, turned: Sequence[int]) -> list[str]:
    """Bench inputs that the tests push away from the file by more than a deviation."""
    out = []
    for at, k in enumerate(turned):
        knob, z = tank.knobs[k], float(known.mean[at])
        if not knob.coefficient and abs(z) > 1.0 and known.sds[at] < LEARNT:
            out.append(
                f"{knob.name} is more likely {knob.input.text(z)} than {knob.input.text(0.0)}: measure it"
            )
    return out


def _held(
    tank: Tank, known: Known, turned: Sequence[int], slopes: Floats, before: Floats, after: Floats
) -> list[Held]:
    """Each reading against the model as it came and as fitted."""
    sharp, used = tank.sharpness(), tank.used()
    offs = tank.misfits(before), tank.misfits(after)
    alone = _alone(tank, known, turned, slopes, offs[1])
    out = []
    for n, reading in enumerate(tank.readings):
        thrown = not used[n]
        out.append(
            Held(
                lure=reading.lure, test=reading.test, said=reading.statement.text,
                figure=reading.statement.figure, pull=str(reading.unit.pull.tie_on) if reading.unit.pull else None,
                speed_m_s=reading.unit.pull.speed if reading.unit.pull else None,
                low=_finite(reading.statement.aim.low), high=_finite(reading.statement.aim.high),
                sd=reading.statement.aim.sd,
                word=reading.statement.word, rough=float(tank.rough[n]) * reading.statement.aim.sd,
                before=_finite(reading.plain(before[n])), after=_finite(reading.plain(after[n])),
                off_before=float(offs[0][n]), off_after=float(offs[1][n]), step=float(sharp[n]),
                outlier=bool(not thrown and abs(alone[n]) > OUTLIER),
                left_out=_why_not(tank, n) if thrown else "",
            )
        )  # fmt: skip
    return out


def _why_not(tank: Tank, n: int) -> str:
    if tank.askew[n]:
        return "a lure that is a little crooked does that, and this one is taken to be straight"
    return f"chance, and what is not told of the lure, throw it about by {tank.rough[n]:.1f} of its +-"


def _alone(tank: Tank, known: Known, turned: Sequence[int], slopes: Floats, off: Floats) -> Floats:
    """How far each reading is from what all others say, in the deviations of both."""
    scaled = tank.scaled(slopes)[:, list(turned)]
    scaled = scaled / known.widened
    leverage = np.einsum("nk,kl,nl->n", scaled, known.cov, scaled)
    return np.asarray(off / np.sqrt(np.clip(1.0 - leverage, 0.02, None)))


def _finite(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None
