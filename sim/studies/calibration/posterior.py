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


@dataclass(frozen=True)
class LinearModel:
    """Readings as straight lines of the unknowns."""

    at: Floats  # (unknowns) the point about which they are
    signals: Floats  # (readings) there
    slopes: Floats  # (readings, unknowns)
    aims: Sequence[Span]  # where each has to lie
    sharp: Floats  # (readings) the deviation of each

    def signal(self, n: int, point: Floats) -> float:
        """Of a reading at a point."""
        return float(self.signals[n] + self.slopes[n] @ (point - self.at))


@dataclass(frozen=True)
class Learnt:
    """What a calibration came to, before it is put into words."""

    known: Known
    turned: list[int]  # which knobs it is of
    slopes: Floats  # (all readings, all knobs)
    lines: LinearModel  # of the readings that were heard
    heard: list[int]  # which those are
    chi_square: float  # at the best point

    @property
    def mean(self) -> Floats:
        """Of all knobs; what was not turned is where it was."""
        out = np.zeros(self.slopes.shape[1])
        out[self.turned] = self.known.mean
        return out


def combined(lines: LinearModel, best: Floats, widened: float = 1.0) -> Known:
    """Prior and readings.

    Args:
        best: the point of least misfit, kept where words and ranges leave too few draws.
        widened: factor on the deviations of the readings, which is reported in the answer.
    """
    at, signals, slopes, aims = lines.at, lines.signals, lines.slopes, lines.aims
    sharp = widened * lines.sharp
    measured = np.array([aim.reading for aim in aims], dtype=bool)
    low = np.array([aim.low for aim in aims])
    rows = slopes[measured] / sharp[measured, None]
    off = (low[measured] - signals[measured]) / sharp[measured] + rows @ at
    cov = np.linalg.inv(np.eye(len(at)) + rows.T @ rows)
    mean = cov @ (rows.T @ off)
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
