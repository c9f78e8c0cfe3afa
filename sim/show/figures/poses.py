"""The lure in the attitudes of a run, set along a curve."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from sim.show.figures.drawing import extent, lure_on, tie_mark
from sim.show.outline import SIDE, View
from sim.trials.recording import Recording

Array = NDArray[np.float64]


def view_of(axes: Array, toward: Array) -> View:
    """A lure of body-to-world matrix `axes` (3, 3) seen level, with world `toward` (3,) to the right."""
    return View(axes.T @ toward, axes.T @ np.array([0.0, 0.0, 1.0]))


def along(
    board: Axes,
    motion: Recording,
    times: Array,
    x: Array,
    y: Array,
    size: float,
    toward: Array,
    line: float = 0.8,
    centred: bool = False,
) -> None:
    """Draw the lure at `times` (k,) with its balance point at `x`, `y` (k,) of a board in inches.

    size: inches for its longest side. toward: the level direction of the world that is to the right. centred:
    across, the middle of the drawing stands at `x` instead of the balance point.
    """
    lure = motion.lure
    low, high = extent(lure, SIDE, hooks=False)
    scale = size / float((high - low).max())
    for matrix, px, py in zip(motion.axes(times), x, y, strict=True):
        view = view_of(matrix, toward)
        centre = view.seen(lure.centre[None])[0] * scale
        if centred:
            ends = extent(lure, view, hooks=False)
            centre[0] = 0.5 * scale * float(ends[0][0] + ends[1][0])
        at = (float(px - centre[0]), float(py - centre[1]))
        lure_on(board, lure, view, at, scale=scale, hooks=False, line=line)
        nose = view.seen(next(iter(lure.tie_ons.values()), np.zeros(3))[None])[0] * scale
        tie_mark(board, at[0] + nose[0], at[1] + nose[1], 3.0)
