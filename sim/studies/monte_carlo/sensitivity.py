"""Which input causes the spread of a figure: first-order Sobol indices from builds that were drawn anyway.

The first-order index of an input is the share of a figure's variance that would go if that input were known:
S_i = Var(E[y | x_i]) / Var(y) (Sobol 1993; Saltelli et al., Global Sensitivity Analysis: The Primer, 2008,
ch. 1 and 4). No runs are made for it. Where the sum of smooth effects of single inputs explains most of the
variance, the indices are read off that sum: a regression on the first two Hermite polynomials of each input's
normal deviate, which are orthonormal, so that S_i is the sum of its squared coefficients over the variance
(Sudret, Reliability Engineering and System Safety 93, 2008, 964-979); of the many terms only those are kept
that chance would not bring. Elsewhere the correlation ratio over classes of each input is taken (Plischke,
Borgonovo and Smith, European Journal of Operational Research 226, 2013, 536-550), less what it comes to by
chance (Kelley, PNAS 21, 1935, 554-559). Standing: closed form for a sum of such effects, else an estimate.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

MOST_EXPLAINED = (
    0.5  # share of the variance, left-one-out, above which the regression speaks; else the classes
)
LEAST = 12  # builds; from fewer nothing can be estimated
BY_CHANCE = 0.5  # inputs of all that a class index may be shown for, on the average, though they do nothing


@dataclass(frozen=True)
class Effects:
    """What the inputs do to one figure."""

    shares: Array  # (inputs,) first-order index of each
    explained: float  # share of the variance that the regression predicts for builds it has not seen
    by: Literal["regression", "classes", "none"]
    linear: Array  # (inputs,) coefficients of the deviate, and of its square
    square: Array
    doubt: Array  # (inputs,) variance of both together, by chance
    together: Array  # (inputs, inputs) correlations
    variance: float

    def of(self, group: Sequence[int]) -> float:
        """Share of the variance that several inputs cause, known together."""
        at = list(group)
        if self.by != "regression":
            return float(min(self.shares[at].sum(), 1.0))
        r = self.together[np.ix_(at, at)]
        caused = self.linear[at] @ r @ self.linear[at] + self.square[at] @ (r * r) @ self.square[at]
        return float(np.clip((caused - self.doubt[at].sum()) / self.variance, 0.0, 1.0))


def effects(deviates: Array, figure: Array, together: Array | None = None) -> Effects:
    """First-order indices of the inputs of one figure.

    Args:
        deviates: (builds, inputs) standard normal deviates of the inputs.
        figure: (builds,) what it came to; none missing.
        together: (inputs, inputs) correlations of the deviates; left out: independent.
    """
    n, k = deviates.shape
    together = np.eye(k) if together is None else together
    none = np.zeros(k)
    spread = float(figure.std())
    if n < LEAST or not spread > 1e-12 * max(float(np.abs(figure).max()), 1e-300):
        return Effects(none, 0.0, "none", none, none, none, together, 1.0)
    y = (figure - figure.mean()) / spread
    terms = np.hstack([deviates, (deviates**2 - 1.0) / math.sqrt(2.0)])
    kept = _beyond_chance(terms, y)
    fitted = _fit(terms[:, kept], y)
    explained = fitted.predicted
    if explained < MOST_EXPLAINED:
        shares = np.array([_by_classes(column, y, BY_CHANCE / k) for column in deviates.T])
        return Effects(shares, max(explained, 0.0), "classes", none, none, none, together, 1.0)
    values, doubt = np.zeros(2 * k), np.zeros(2 * k)
    values[kept], doubt[kept] = fitted.values, fitted.doubts
    linear, square = values[:k], values[k:]
    variance = float(linear @ together @ linear + square @ (together**2) @ square) + fitted.left
    both = doubt[:k] + doubt[k:]
    shares = np.clip((linear**2 + square**2 - both) / variance, 0.0, 1.0)
    return Effects(shares, explained, "regression", linear, square, both, together, variance)


@dataclass(frozen=True)
class _Fit:
    values: Array  # (terms,)
    doubts: Array  # (terms,) their variances
    left: float  # variance that is left
    predicted: float  # 1 - (sum of squares of what each build is missed by, fitted without it) / all


def _fit(terms: Array, y: Array) -> _Fit:
    """Least squares with a constant."""
    n, m = terms.shape
    design = np.hstack([np.ones((n, 1)), terms])
    q, r = np.linalg.qr(design)
    found = np.linalg.solve(r, q.T @ y)
    missed = y - design @ found
    left = float(missed @ missed) / max(n - m - 1, 1)
    inverse = np.linalg.solve(r, np.eye(m + 1))
    own = np.clip((q**2).sum(1), 0.0, 1.0 - 1e-9)
    without = missed / (1.0 - own)
    predicted = 1.0 - float(without @ without) / float(y @ y)
    return _Fit(found[1:], left * (inverse[1:] ** 2).sum(1), left, predicted)


def _beyond_chance(terms: Array, y: Array) -> list[int]:
    """Terms that explain more than the best of so many would by chance, the strongest first.

    Each next one is that which goes best with what is left (orthogonal matching); the largest of m squared
    deviates of chance is about 2 ln m.
    """
    n, m = terms.shape
    columns = terms - terms.mean(0)
    rest = columns.copy()
    left, kept = y - y.mean(), list[int]()
    while len(kept) < n // 4:
        sizes = (rest**2).sum(0)
        sizes[kept] = 0.0
        usable = sizes > 1e-6 * n
        gain = np.where(usable, (rest.T @ left) ** 2 / np.where(usable, sizes, 1.0), 0.0)
        best = int(np.argmax(gain))
        total = float(left @ left)
        after = total - gain[best]
        if not usable[best] or gain[best] <= 2.0 * math.log(m) * max(after, 0.0) / max(n - len(kept) - 2, 1):
            break
        kept.append(best)
        direction = rest[:, best] / math.sqrt(sizes[best])
        left = left - direction * (direction @ left)
        rest = rest - np.outer(direction, direction @ rest)
        if after < 1e-20 * n:
            break
    return kept


def _by_classes(column: Array, y: Array, chance: float) -> float:
    """Correlation ratio over classes of equal count, less its chance level.

    0 where an input that does nothing reaches it with more than this `chance` (F test of equal means).
    """
    from scipy.stats import f

    n = len(y)
    classes = int(np.clip(round(n ** (1.0 / 3.0)), 4, 24))
    order = np.argsort(column, kind="stable")
    parts = np.array_split(y[order], classes)
    between = sum(len(part) * part.mean() ** 2 for part in parts) / float(y @ y)
    ratio = (between / (classes - 1)) / (max(1.0 - between, 1e-12) / (n - classes))
    corrected = (between * (n - 1) - (classes - 1)) / (n - classes)
    return float(corrected) if f.sf(ratio, classes - 1, n - classes) < chance else 0.0
