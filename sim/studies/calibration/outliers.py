"""Which readings of a log are against all others: one that is far off makes those that agree look wrong too.

So readings are taken away one at a time, each time the one without which the rest agree best, until the rest agree.
Two that fit the rest equally well, each without the other, are reported together: one of them is off, and nothing says
which. All on straight lines about the best point, with the errors as the log has them.

Standing: textbook (deletion of one reading, as for leverage in least squares; backward, so that one reading does not
hide another). The limits are judgement.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from sim.studies.calibration.posterior import LinearModel, surprise
from sim.studies.statements import Span

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

FAR_OFF = 3.0  # deviations from what all others say
EITHER = 6.0  # squared misfit within which two readings may each be the one: odds of one to twenty
ALIKE = 3  # of more readings that may each be the one nothing is said
SHARE, MOST = 3, 8  # readings named: no more than one in so many, and no more than so many
ROUNDS = 8  # in which the ranges and words that are not kept are found


class Culprit(NamedTuple):
    """A reading that is against all others; or some, of which one is."""

    readings: tuple[int, ...]  # the likeliest first
    off: float  # of the likeliest, in deviations of it and of what the others say of it together
    others: float  # what they say of it, as a signal


class _Fit(NamedTuple):
    mean: Floats
    cov: Floats
    chi_square: float
    heard: int  # readings that have a say

    @property
    def agrees(self) -> bool:
        return surprise(self.chi_square, self.heard) == 1.0


def culprits(lines: LinearModel) -> list[Culprit]:
    """Readings against all others, the worst first; none if the readings disagree without a few to blame."""
    kept = list(range(len(lines.signals)))
    most = min(max(len(kept) // SHARE, 1), MOST)
    groups: list[tuple[int, ...]] = []
    while len(kept) > 1:
        without = {n: _fit(lines, [m for m in kept if m != n]) for n in kept}
        worst = min(kept, key=lambda n: without[n].chi_square)
        if _fit(lines, kept).agrees and abs(_off(lines, worst, without[worst])) <= FAR_OFF:
            break
        least = without[worst].chi_square + EITHER
        group = tuple(n for n in kept if n != worst and without[n].chi_square <= least)
        if len(groups) == most or len(group) >= ALIKE:
            return []
        groups.append((worst, *group))
        kept.remove(worst)
    rest = _fit(lines, kept)
    return [
        Culprit(group, _off(lines, group[0], rest), lines.signal(group[0], rest.mean)) for group in groups
    ]


def _off(lines: LinearModel, n: int, rest: _Fit) -> float:
    """How far a reading is from what a fit without it says, in the deviations of both."""
    span, slope = lines.aims[n], lines.slopes[n]
    both = math.sqrt(float(lines.sharp[n]) ** 2 + float(slope @ rest.cov @ slope))
    return Span(span.low, span.high, both).misfit(lines.signal(n, rest.mean))


def _fit(lines: LinearModel, kept: Sequence[int]) -> _Fit:
    """Prior and some readings put together. A range or a word counts where it is not kept, by its nearer end."""
    size = len(lines.at)
    low = np.array([lines.aims[n].low for n in kept])
    high = np.array([lines.aims[n].high for n in kept])
    measured = low == high
    slopes = lines.slopes[list(kept)] / lines.sharp[list(kept), None]
    target = low.copy()
    counts = measured.copy()
    for _ in range(ROUNDS):
        rows = slopes[counts]
        off = (target - lines.signals[list(kept)])[counts] / lines.sharp[list(kept)][counts]
        cov = np.linalg.inv(np.eye(size) + rows.T @ rows)
        mean = cov @ (rows.T @ (off + rows @ lines.at))
        there = lines.signals[list(kept)] + lines.slopes[list(kept)] @ (mean - lines.at)
        broken = ~measured & ((there < low) | (there > high))
        if not (broken & ~counts).any():
            break
        target[broken] = np.where(there < low, low, high)[broken]
        counts = counts | broken
    missed = (np.where(measured, low, np.clip(there, low, high)) - there) / lines.sharp[list(kept)]
    live = measured | (missed != 0.0)
    return _Fit(mean, cov, float(missed @ missed + mean @ mean), int(live.sum()))
