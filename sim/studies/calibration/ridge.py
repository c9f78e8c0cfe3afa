"""Straight lines mended by points about them, and how far those are still off: ridge regression.

Standing: textbook (ridge regression, its strength by leave-one-out).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

STRENGTHS = (0.3, 1.0, 3.0, 10.0, 30.0, 100.0, 1000.0, 1e6)
"""Tried, against a sum of squares of one for each point and direction; the last leaves the lines as they are."""


class Mended(NamedTuple):
    """What to add to a line."""

    slopes: Floats  # (knobs)
    middle: float  # to its height
    off: float  # root mean square of what a point is off that the line was not fitted to


def mend(draws: Floats, off: Floats, points: Floats, rest: Floats) -> Mended:
    """Mend a line.

    Args:
        draws: points (m, knobs) of what is known; off: how far the reading is from the line in each.
        points: others (n, knobs), from differences and searches; rest: how far it is off there.
    """
    every = np.vstack([draws, points])
    which = np.concatenate([np.ones(len(draws)), np.zeros(len(points))])
    heights = np.column_stack([which, 1.0 - which]) if len(points) else which[:, None]
    target = np.concatenate([off, rest])
    kept = np.linalg.qr(heights)[0]
    flat = every - kept @ (kept.T @ every)
    level = target - kept @ (kept.T @ target)
    values, turns = np.linalg.eigh(flat.T @ flat)
    along = flat @ turns
    best: Mended | None = None
    for strength in STRENGTHS:
        inverse = 1.0 / (np.clip(values, 0.0, None) + strength)
        slopes = turns @ (inverse * (along.T @ level))
        held = (along**2) @ inverse + (kept**2).sum(axis=1)
        alone = (level - flat @ slopes) / np.clip(1.0 - held, 0.05, None)
        mine = alone[: len(draws)]
        error = float(np.sqrt(np.mean(mine**2)))
        if best is None or error < best.off:
            best = Mended(slopes, float(np.mean(off - draws @ slopes)), error)
    assert best is not None
    return best
