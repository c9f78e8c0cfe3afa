"""Let go in still water: its attitude at equal times, and depth against time, in one strip."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from sim.build.lure import Lure
from sim.motion import reading
from sim.motion.solve import Trajectory
from sim.show import sentences
from sim.show.figures import poses
from sim.show.figures.style import EDGE, LINES, SURFACE, WATER, WIDTH, drawing_board, drawn, panel, sheet
from sim.show.units import METRIC, Units
from sim.trials import drop

TALL, LEFT, FOOT = 3.3, 0.75, 0.5  # in
POSES = 8
ICON = 0.52  # in, longest side of the lure as drawn
MARGIN = 0.36  # in, more than half of that


@drawn
def drop_strip(run: Trajectory, lure: Lure, units: Units = METRIC) -> Figure:
    """Depth of the balance point against time, and the lure at equal times in its attitude.

    It is seen from its left as it was let go, and drawn larger than the depths.
    """
    says = sentences.drop(drop.describe(run, lure), units)
    figure = sheet(TALL + FOOT, "Let go", f"{says} Lure drawn larger, at equal times.")
    wide = WIDTH - LEFT - EDGE
    axes = panel(figure, LEFT, FOOT, wide, TALL)
    factor = units.scales["distance"].factor
    end = float(run.t[-1])
    times = np.linspace(0.0, end, 300)
    depth = -_heights(run, lure, times) * factor
    deepest, shallowest = float(depth.max()), min(float(depth.min()), 0.0)
    inch = max(deepest - shallowest, 0.05 * factor) / (TALL - 2 * MARGIN)  # units of depth
    axes.set_ylim(deepest + MARGIN * inch, shallowest - MARGIN * inch)
    second = (wide - 2 * MARGIN) / end  # in
    axes.set_xlim(-MARGIN / second, end + MARGIN / second)
    axes.set_facecolor(WATER)
    axes.spines["bottom"].set_visible(False)
    axes.axhline(0.0, color=SURFACE, linewidth=1.2)
    axes.axhspan(0.0, axes.get_ylim()[1], color=figure.get_facecolor(), linewidth=0, zorder=0)
    axes.plot(times, depth, color=LINES[0].colour, linewidth=1.2)
    axes.set_xlabel("Time (s)")
    axes.set_ylabel(f"Depth ({units.unit('distance')})")

    board = drawing_board(figure, LEFT, FOOT, wide, TALL)
    shown = np.linspace(0.0, end, POSES)
    low = axes.get_ylim()[0]
    y = (low + _heights(run, lure, shown) * factor) / inch
    x = MARGIN + shown * second
    poses.along(board, run, lure, shown, x, y, ICON, toward=np.array([-1.0, 0.0, 0.0]))
    return figure


def _heights(run: Trajectory, lure: Lure, times: np.ndarray) -> np.ndarray:
    y = run.at(times)
    return np.asarray(reading.points(y, reading.axes(y), lure.centre)[:, 2])
