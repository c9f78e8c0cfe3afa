"""Every reading of a calibration held against the model: as it came, as the file will have it, as fitted.

The fit turns the bench inputs along, and a calibration block cannot carry those: it is no place for a weight or a
density. So what the file will say is run for itself, with just the values that are written, and what seemed off at
the bench is named with the readings that hang on it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from sim.remark import Remark, remark
from sim.studies.calibration.fitted import LEARNT, Lessons, Outlier, Residual, TurnedAlong
from sim.studies.calibration.observations import Observation, ObservedRun
from sim.studies.calibration.outliers import culprits
from sim.studies.calibration.posterior import Learnt
from sim.studies.calibration.response_model import ResponseModel
from sim.studies.calibration.write_back import changes_of
from sim.studies.engine import run_cases
from sim.studies.statements import FAR

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

Rows = Mapping[ObservedRun, Mapping[str, Any]]

APART = 1.0  # deviations between what the file will say and what was fitted: that is worth an explanation
CARRIES = 0.5  # deviations by which an input moves such a reading: then it is part of the explanation
WENT_FAR = 1.0  # of its own deviations: worth a measurement whatever hangs on it


def rows_before(response: ResponseModel) -> Rows:
    """The runs of the model as it came."""
    nothing = np.zeros(len(response.knobs))
    return dict(zip(response.units, response.rows([(unit, nothing) for unit in response.units]), strict=True))


def rows_written(response: ResponseModel, lessons: Lessons) -> Rows:
    """The runs of the lures with what is written into their files, and nothing else."""
    changes = [changes_of(lessons, lure) for lure in range(len(response.designs))]
    if not any(changes):
        return rows_before(response)
    cases = [unit.case(n, changes[unit.lure], response.rtol) for n, unit in enumerate(response.units)]
    found = {}
    for outcome in run_cases(response.texts, cases, response.executor, response.workers):
        found[response.units[outcome.case.number]] = dict(outcome.answer)
        response.runs += 1
        if response.on_run:
            response.on_run()
    return found


def held(
    response: ResponseModel, learnt: Learnt, before: Rows, after: Rows, against: Sequence[Outlier]
) -> list[Residual]:
    """Each reading against the model as it came, as written, and as fitted."""
    sharp, used = response.sharpness(), response.used()
    fitted = response.signals([learnt.mean])[0]
    off = response.misfits(fitted)
    blamed = {n for one in against for n in one.readings}
    out = []
    for n, reading in enumerate(response.readings):
        span, pull = reading.statement.aim, reading.unit.pull
        ends = [reading.signal(rows[reading.unit]) for rows in (before, after)]
        out.append(
            Residual(
                lure=reading.lure, test=reading.test, said=reading.statement.text,
                figure=reading.statement.figure, pull=str(pull.tie_on) if pull else None,
                speed_m_s=pull.speed if pull else None, low=_finite(span.low), high=_finite(span.high),
                sd=span.sd, word=reading.statement.word, rough=float(response.rough[n]) * span.sd,
                before=_finite(reading.plain(ends[0])), after=_finite(reading.plain(ends[1])),
                fitted=_finite(reading.plain(fitted[n])), off_before=_misfit(reading, ends[0]),
                off_after=_misfit(reading, ends[1]), off_fitted=float(off[n]), step=float(sharp[n]),
                outlier=n in blamed, left_out="" if used[n] else _why_not(response, n),
            )
        )  # fmt: skip
    return out


def _misfit(reading: Observation, signal: float) -> float:
    """As `log` tells it: in the reading's own deviation."""
    return float(reading.aim.misfit(signal)) if math.isfinite(signal) else FAR


def _why_not(response: ResponseModel, n: int) -> Remark:
    if response.askew[n]:
        return remark("askew")
    if response.mute[n]:
        return remark("no_answer")
    return remark("thrown_about", deviations=float(response.rough[n]))


def _finite(value: float) -> float | None:
    return float(value) if math.isfinite(value) else None


# ---- readings against all others ----------------------------------------------------------------------


def outliers(response: ResponseModel, learnt: Learnt) -> list[Outlier]:
    """Readings that all others speak against, the worst first."""
    return [
        Outlier(
            readings=[learnt.heard[n] for n in one.readings],
            off=one.off,
            others=_finite(response.readings[learnt.heard[one.readings[0]]].plain(one.others)),
        )
        for one in culprits(learnt.lines)
    ]


# ---- what was turned along ----------------------------------------------------------------------------


def turned_along(
    response: ResponseModel, learnt: Learnt, lessons: Lessons, readings: Sequence[Residual]
) -> list[TurnedAlong]:
    """What the fit turned and no file will carry, where a reading hangs on it or it went far; the farthest first."""
    open_ = [
        n
        for n, one in enumerate(readings)
        if not one.left_out and abs(one.off_after - one.off_fitted) > APART
    ]
    found: list[tuple[float, TurnedAlong]] = []
    for at, k in enumerate(learnt.turned):
        knob, z, left = response.knobs[k], float(learnt.known.mean[at]), float(learnt.known.sds[at])
        if any(knob.input.path in changes_of(lessons, lure) for lure, _ in knob.inputs):
            continue
        moves = {n: abs(float(learnt.slopes[n, k]) * z) / response.readings[n].aim.sd for n in open_}
        carries = [n for n, by in moves.items() if by > CARRIES]
        if carries or (abs(z) > WENT_FAR and left < LEARNT and not knob.coefficient):
            one = TurnedAlong(
                name=knob.name, lure=None if knob.coefficient else knob.inputs[0][0],
                was=knob.input.shown(0.0), now=knob.input.shown(z), deviations=z, left=left, readings=carries,
            )  # fmt: skip
            found.append((max(moves.values(), default=0.0), one))
    return [one for _, one in sorted(found, key=lambda pair: -pair[0])]
