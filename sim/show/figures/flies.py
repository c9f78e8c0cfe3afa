"""The cast: its path through the air, and how the lure flies along it."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from sim.show import pull_sentences
from sim.show.figures import poses
from sim.show.figures.style import EDGE, LINES, SURFACE, WATER, WIDTH, drawing_board, drawn, panel, sheet
from sim.show.units import METRIC, Units
from sim.trials.recording import Recording

LEFT, FOOT = 0.68, 0.5  # in
POSES = 8
ICON = 0.42  # in
TALLEST = 3.6  # in


@drawn
def cast_path(motion: Recording, units: Units = METRIC) -> Figure:
    """Height against distance, both to one scale, with the lure drawn larger at equal times."""
    says = pull_sentences.stated(motion.result, units)
    factor = units.scales["distance"].factor
    end = motion.seconds
    path = motion.places(np.linspace(0.0, end, 300)) * factor
    wide = WIDTH - LEFT - EDGE
    far, high = float(path[:, 0].max()), float(path[:, 2].max())
    near = min(float(path[:, 0].min()), 0.0)
    scale = min((wide - 1.2 * ICON) / (far - near), TALLEST / high)  # in for a unit
    tall = high * scale + 1.25 * ICON
    low = -0.55 * ICON / scale
    figure = sheet(tall + FOOT, "The cast", f"{says} Lure drawn larger, at equal times.")
    axes = panel(figure, LEFT, FOOT, wide, tall)
    start = near - 0.6 * ICON / scale
    axes.set_xlim(start, start + wide / scale)
    axes.set_ylim(low, low + tall / scale)
    axes.axhspan(low, 0.0, color=WATER, linewidth=0, zorder=0)
    axes.axhline(0.0, color=SURFACE, linewidth=1.2)
    axes.plot(path[:, 0], path[:, 2], color=LINES[0].colour, linewidth=1.2)
    axes.set_xlabel(f"Distance ({units.unit('distance')})")
    axes.set_ylabel(f"Height ({units.unit('distance')})")
    axes.spines["bottom"].set_visible(False)

    board = drawing_board(figure, LEFT, FOOT, wide, tall)
    shown = np.linspace(0.0, end, POSES)
    at = motion.places(shown) * factor
    poses.along(
        board, motion, shown, (at[:, 0] - start) * scale, (at[:, 2] - low) * scale, ICON,
        toward=np.array([1.0, 0.0, 0.0]),
    )  # fmt: skip
    return figure
