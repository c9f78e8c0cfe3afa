"""What is known after the readings: prior and readings put together, the readings as straight lines.

Standing: textbook linear Bayes (a Gaussian prior, Gaussian readings); ranges and words, which only cut off a
side, by weighting draws from it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sim.studies.statements import Span

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

DRAWS = 20_000
ENOUGH = 400  # draws' worth left after weighting; with fewer, words and ranges are left to the best fit alone
SEED = 1
SURPRISE = 0.01  # chance below which the misfit is more than chance and the errors are widened


@dataclass(frozen=True)
class Known:
    """Mean and covariance of the unknowns, in prior deviations."""

    mean: Floats
    cov: Floats
    widened: float = 1.0  # factor on the deviations of the readings, because they disagree

    @property
    def sds(self) -> Floats:
        """Deviation of each."""
        return np.asarray(np.sqrt(np.diag(self.cov)))

    def correlation(self, one: int, other: int) -> float:
        """Of two of them."""
        return float(self.cov[one, other] / np.sqrt(self.cov[one, one] * self.cov[other, other]))


def combined(
    at: Floats,
    signals: Floats,
    slopes: Floats,
    aims: Sequence[Span],
    sharp: Floats,
    best: Floats,
    widened: float = 1.0,
) -> Known:
    """Prior and readings.

    Args:
        at: point (knobs) about which the readings are straight lines.
        signals: of the readings there; slopes: (readings, knobs); sharp: the deviation of each.
        aims: where they have to lie.
        widened: factor on `sharp`, which is told in the answer.
        best: the point of least misfit, kept where words and ranges leave too few draws.
    """
    sharp = widened * sharp
    measured = np.array([aim.reading for aim in aims], dtype=bool)
    lines = slopes[measured] / sharp[measured, None]
    low = np.array([aim.low for aim in aims])
    off = (low[measured] - signals[measured]) / sharp[measured] + lines @ at
    cov = np.linalg.inv(np.eye(len(at)) + lines.T @ lines)
    mean = cov @ (lines.T @ off)
    sided = ~measured & (np.abs(slopes).sum(axis=1) > 0.0)
    if not sided.any():
        return Known(mean, cov, widened)
    rng = np.random.default_rng(SEED)
    draws = rng.multivariate_normal(mean, cov, DRAWS, method="eigh")
    there = signals[sided] + (draws - at) @ slopes[sided].T
    lows, highs = low[sided], np.array([aim.high for aim in aims])[sided]
    out = (np.minimum(there - lows, 0.0) + np.maximum(there - highs, 0.0)) / sharp[sided]
    weights = np.exp(-0.5 * np.sum(out**2, axis=1))
    worth = weights.sum() ** 2 / max(float((weights**2).sum()), 1e-300)
    if worth < ENOUGH:
        return Known(best, cov, widened)
    weights /= weights.sum()
    mean = weights @ draws
    apart = draws - mean
    return Known(mean, (apart * weights[:, None]).T @ apart, widened)


def surprise(chi_square: float, count: int) -> float:
    """Factor on the deviations of all readings that makes their misfit what chance would make it; 1 if it is chance.

    `chi_square`: misfits and distances from the prior at the best point, squared, added up. It has as many degrees of
    freedom as there are readings.
    """
    from scipy.stats import chi2

    if not count or chi2.sf(chi_square, count) > SURPRISE:
        return 1.0
    return float(np.sqrt(chi_square / count))
