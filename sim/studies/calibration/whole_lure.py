"""What the tests of a log say of a lure on the whole: its weight and what it displaces.

The fit turns densities, sizes and places of the parts along. No single one of them is told by a drop time, but their
sum, the spare lift, is; and a design file has a place for the sum: `measured.weight` and `measured.displaced`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from sim.studies.calibration.fitted import LEARNT, WholeLure
from sim.studies.calibration.observations import ObservedRun
from sim.studies.calibration.posterior import Learnt
from sim.studies.calibration.response_model import STEP, ResponseModel
from sim.trials.results import DISPLACED, SPARE_LIFT, WEIGHT

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

FIGURES = (WEIGHT, DISPLACED, SPARE_LIFT)


def whole_lures(response: ResponseModel, learnt: Learnt) -> list[WholeLure]:
    """Each lure of which the tests tell the spare lift, but for those whose file has readings that give its volume."""
    return [
        found
        for lure, design in enumerate(response.designs)
        if design.measured.level is None and design.measured.cup is None
        if (found := _whole(response, learnt, lure)) is not None
    ]


def _whole(response: ResponseModel, learnt: Learnt, lure: int) -> WholeLure | None:
    """One lure; None where what the tests leave of the doubt in its spare lift is more than `LEARNT`."""
    unit = ObservedRun(lure, "budget", None)
    mine = response.felt(unit)
    points = [np.zeros_like(learnt.mean), learnt.mean]
    for k in mine:
        points.append(learnt.mean.copy())
        points[-1][k] += STEP
    rows = response.rows([(unit, z) for z in points])
    if not all(rows):
        return None
    values = np.array([[float(row[figure]) for figure in FIGURES] for row in rows])
    slopes = np.zeros((len(FIGURES), len(learnt.mean)))
    slopes[:, mine] = (values[2:] - values[1]).T / STEP
    turned = slopes[:, learnt.turned]
    rest = np.delete(slopes, learnt.turned, axis=1)
    before = np.sqrt((slopes**2).sum(axis=1))
    after = np.sqrt(np.einsum("ij,jk,ik->i", turned, learnt.known.cov, turned) + (rest**2).sum(axis=1))
    if not before[2] or after[2] > LEARNT * before[2]:
        return None
    weighed = any(
        reading.statement.figure == FIGURES[0] and reading.lure == lure and used
        for reading, used in zip(response.readings, response.used(), strict=True)
    )
    weight = values[1, 0] if weighed else values[0, 0]
    return WholeLure(
        lure=lure, weighed=weighed, weight_g=weight, weight_sd_g=after[0],
        displaced_ml=values[1, 1] * (values[1, 2] + weight) / (values[1, 2] + values[1, 0]),
        displaced_sd_ml=after[1], was_displaced_ml=values[0, 1], was_displaced_sd_ml=before[1],
        spare_g=values[1, 2], spare_sd_g=after[2], was_spare_g=values[0, 2], was_spare_sd_g=before[2],
    )  # fmt: skip
