"""Let go in still water: pictures of it side by side, one after another, each at its depth."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from sim.show import pull_sentences
from sim.show.figures import poses
from sim.show.figures.style import EDGE, PAPER, SURFACE, WATER, WIDTH, drawing_board, drawn, panel, sheet
from sim.show.units import METRIC, NO_BREAK, Units
from sim.trials.recording import Recording

TALL, LEFT, FOOT = 3.3, 0.68, 0.5  # in
POSES = 7
ICON = 0.44  # in, longest side of the lure as drawn
MARGIN = 0.34  # in, more than half of that


@drawn
def drop_strip(motion: Recording, units: Units = METRIC) -> Figure:
    """The lure at equal times in its attitude and at the depth of its balance point, a column for each.

    The columns stand beside each other like photographs: from left to right is time, never the lure's own way
    to a side. It is seen from its left as it was let go, and drawn larger than the depths.
    """
    says = pull_sentences.stated(motion.result, units)
    end = motion.seconds
    shown = np.linspace(0.0, end, POSES)
    figure = sheet(
        TALL + FOOT,
        "Let go",
        f"{says} A picture every {shown[1]:.1f}{NO_BREAK}s, side by side: across is time, not distance. Depths are to "
        "scale, the lure is drawn larger.",
    )
    wide = WIDTH - LEFT - EDGE
    axes = panel(figure, LEFT, FOOT, wide, TALL)
    factor = units.scales["distance"].factor
    depth = -motion.places(np.linspace(0.0, end, 300))[:, 2] * factor
    deepest, shallowest = float(depth.max()), min(float(depth.min()), 0.0)
    inch = max(deepest - shallowest, 0.05 * factor) / (TALL - 2 * MARGIN)  # units of depth
    axes.set_ylim(deepest + MARGIN * inch, shallowest - MARGIN * inch)
    axes.set_xlim(0.0, POSES)
    axes.set_facecolor(WATER)
    axes.grid(axis="x", visible=False)
    axes.spines["bottom"].set_visible(False)
    axes.axhline(0.0, color=SURFACE, linewidth=1.2)
    axes.axhspan(0.0, axes.get_ylim()[1], color=figure.get_facecolor(), linewidth=0, zorder=0)
    for k in range(1, POSES):
        axes.axvline(k, color=PAPER, linewidth=4.0, zorder=1.5)
    axes.set_xticks(np.arange(POSES) + 0.5, [f"{time:.1f}" for time in shown])
    axes.tick_params(axis="x", length=0)
    axes.set_xlabel("Seen after (s)")
    axes.set_ylabel(f"Depth ({units.unit('distance')})")

    board = drawing_board(figure, LEFT, FOOT, wide, TALL)
    y = (axes.get_ylim()[0] + motion.places(shown)[:, 2] * factor) / inch
    x = (np.arange(POSES) + 0.5) * wide / POSES
    poses.along(board, motion, shown, x, y, ICON, np.array([-1.0, 0.0, 0.0]), centred=True)
    return figure
