"""From what is known after the tests to what a maker is told: each coefficient, why it is not fitted, each test.

A coefficient counts as fitted if its deviation has come down to `LEARNT` of what it was and it goes with no other
unknown by more than `APART`. Else it is named, with the reason, and keeps an error that says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from sim.coefficients import COEFFICIENTS, DOUBTED
from sim.design.model import Design
from sim.remark import Remark
from sim.studies.calibration.fitted import (
    LEARNT,
    LEAST_FELT,
    CalibrationResult,
    Correlation,
    Fitted,
    Lessons,
    Standing,
)
from sim.studies.calibration.gross_errors import Slip, slips, sound
from sim.studies.calibration.observations import Struck, contradictions
from sim.studies.calibration.posterior import Known, Learnt
from sim.studies.calibration.residuals import Rows, held, outliers, rows_before, rows_written, turned_along
from sim.studies.calibration.response_model import ResponseModel
from sim.studies.calibration.whole_lure import whole_lures

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

WORTH_TELLING = 0.3  # correlation that a design file keeps
PARTNER = 0.5  # correlation with another that is named as the reason
APART = 0.9  # correlation above which two coefficients are not distinguished


def taught(
    designs: Sequence[Design],
    struck: Sequence[Struck],
    response: ResponseModel,
    names: Sequence[str],
    learnt: Learnt,
    felt: Floats,
    touched: Floats,
) -> CalibrationResult:
    """Everything that is reported of a calibration.

    Args:
        names: of the coefficients asked for.
        felt: (knobs) by how many of their deviations one of each moves all readings together, as far as that is
            more than chance. touched: the same, chance and all.
    """
    known, turned = learnt.known, learnt.turned
    fitted = [
        _fitted(response, k, learnt, float(felt[k]), float(touched[k])) for k in _reported(response, names)
    ]
    lessons = Lessons(fitted, whole_lures(response, learnt), _foretold(response, learnt))
    before, after = rows_before(response), rows_written(response, lessons)
    against = outliers(response, learnt)
    tests = held(response, learnt, before, after, against)
    slipped, notes = _doubts(designs, response, before)
    return CalibrationResult(
        lures=[design.name for design in designs],
        fitted=fitted,
        whole=list(lessons.whole),
        foretold=lessons.foretold,
        together=_pairs(response, names, learnt),
        correlations=_correlations(response, names, known, turned),
        tests=tests,
        outliers=against,
        struck=list(struck),
        slips=slipped,
        along=turned_along(response, learnt, lessons, tests),
        chi_square_before=float(
            np.sum(response.misfits(response.signals([np.zeros(len(response.knobs))])[0]) ** 2)
        ),
        chi_square=learnt.chi_square,
        readings=int(sum(response.used())),
        widened=known.widened,
        notes=notes,
        runs=response.runs,
    )


def _doubts(
    designs: Sequence[Design], response: ResponseModel, rows: Rows
) -> tuple[list[Slip], list[Remark]]:
    """What looks like a slip in the logs, and weights and dunks that the designs do not have."""
    slipped: list[Slip] = []
    notes: list[Remark] = []
    for lure, design in enumerate(designs):
        mine = [reading for reading in response.readings if reading.lure == lure]
        here = slips(design, mine, rows)
        slipped += here
        notes += contradictions(design, sound(mine, here), rows)
    return slipped, notes


def _foretold(response: ResponseModel, learnt: Learnt) -> float:
    """Least share of the doubt left in what is foretold of a number read in the water; 1 where there is none."""
    slopes = np.array([
        learnt.slopes[n, learnt.turned]
        for n in learnt.heard
        if response.readings[n].measured and response.readings[n].unit.part != "budget"
    ]).reshape(-1, max(len(learnt.turned), 1))[:, : len(learnt.turned)]  # fmt: skip
    before = np.linalg.norm(slopes, axis=1)
    after = np.sqrt(np.einsum("ij,jk,ik->i", slopes, learnt.known.cov, slopes))
    return float(min(after[before > 0.0] / before[before > 0.0], default=1.0))


def _pairs(response: ResponseModel, names: Sequence[str], learnt: Learnt) -> list[Correlation]:
    """Coefficients asked for that go together."""
    at = [
        n
        for n, k in enumerate(learnt.turned)
        if response.knobs[k].coefficient and response.knobs[k].name in names
    ]
    found = [(a, b, learnt.known.correlation(a, b)) for a, b in combinations(at, 2)]
    return [
        Correlation(
            one=response.knobs[learnt.turned[a]].name, other=response.knobs[learnt.turned[b]].name, r=r
        )
        for a, b, r in found
        if abs(r) > WORTH_TELLING
    ]


def _reported(response: ResponseModel, names: Sequence[str]) -> list[int]:
    return [k for k, knob in enumerate(response.knobs) if knob.name in names]


def _correlations(
    response: ResponseModel, names: Sequence[str], known: Known, turned: Sequence[int]
) -> list[list[float]]:
    at = {k: n for n, k in enumerate(turned)}
    every = _reported(response, names)
    return [
        [known.correlation(at[a], at[b]) if a in at and b in at else float(a == b) for b in every]
        for a in every
    ]


def _fitted(response: ResponseModel, k: int, learnt: Learnt, felt: float, touched: float) -> Fitted:
    knob, known, turned = response.knobs[k], learnt.known, learnt.turned
    z, sd = 0.0, 1.0
    standing, partner, r = Standing.UNTRIED, None, None
    if k in turned:
        at = turned.index(k)
        z, sd = float(known.mean[at]), float(known.sds[at])
        partner, r = _partner(response, known, turned, at)
        standing = _standing(sd, r)
    elif touched >= LEAST_FELT:
        standing = Standing.BARELY
    low, middle, high = (knob.input.at(z + step * sd).value for step in (-1.0, 0.0, 1.0))
    first, last = (knob.input.at(step).value for step in (-1.0, 1.0))
    return Fitted(
        name=knob.name, lure=knob.inputs[0][0] if not knob.coefficient else None,
        does=COEFFICIENTS[knob.name].does if knob.name in DOUBTED else "how fast the lure leaves the rod",
        value=middle, sd=0.5 * (high - low), was=knob.input.at(0.0).value, was_sd=0.5 * (last - first),
        unit="" if knob.coefficient else "m/s", deviations=z, left=sd, felt=felt, standing=standing,
        partner=partner, r=r,
    )  # fmt: skip


def _partner(
    response: ResponseModel, known: Known, turned: Sequence[int], at: int
) -> tuple[str | None, float | None]:
    """The unknown that goes most with one."""
    others = [(abs(known.correlation(at, b)), b) for b in range(len(turned)) if b != at]
    if not others:
        return None, None
    _, b = max(others)
    return response.knobs[turned[b]].name, known.correlation(at, b)


def _standing(sd: float, r: float | None) -> Standing:
    close = abs(r or 0.0)
    if sd <= LEARNT and close < APART:
        return Standing.FITTED
    if close >= (PARTNER if sd > LEARNT else APART):
        return Standing.TOGETHER
    return Standing.HARDLY
