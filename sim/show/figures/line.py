"""The line's shape between the lure and the rod tip, bent by the water it is pulled through."""

from __future__ import annotations

from matplotlib.figure import Figure

from sim.show.figures import labels
from sim.show.figures.style import (
    EDGE,
    INK,
    LINES,
    QUIET,
    SURFACE,
    WATER,
    WIDTH,
    drawn,
    nothing,
    panel,
    sheet,
)
from sim.show.units import METRIC, Units
from sim.trials.recording import Recording

LEFT, FOOT, TALL = 0.68, 0.5, 2.2  # in


@drawn
def line_shape(motion: Recording, units: Units = METRIC, at: float | None = None) -> Figure:
    """The line at one moment of a retrieve (s; half way through if left out), depths stretched to be seen."""
    title = "The line in the water"
    line = motion.line_at(at)
    if line.pull <= 0.0:
        return nothing(title, f"After {line.moment:.1f} s the line is slack.")
    _, level, depth, height, pull, steep, straight, away, deep = line
    factor = units.scales["distance"].factor
    bent = steep - straight >= 1.0
    beside = f"; a straight line would at {straight:.0f}" if bent else ", as a straight line would"
    where = f"Tied at {labels.short(motion.tie_on)}, a" if motion.tie_on else "A"
    says = (
        f"{where}fter {line.moment:.1f} s it pulls with {units.text('force', pull)} and leaves the lure "
        f"{round(steep)} degrees above level{beside}."
    )
    figure = sheet(TALL + FOOT, title, says)
    axes = panel(figure, LEFT, FOOT, WIDTH - LEFT - EDGE, TALL)
    span = height + max(depth, 0.25 * height)
    bottom, top = span - height + 0.18 * span, -height - 0.16 * span
    axes.set_xlim(-0.03 * level * factor, 1.06 * level * factor)
    axes.set_ylim(bottom * factor, top * factor)
    axes.axhspan(0.0, bottom * factor, color=WATER, linewidth=0, zorder=0)
    axes.axhline(0.0, color=SURFACE, linewidth=1.2)
    if bent:
        axes.plot(
            [0.0, level * factor], [-height * factor, depth * factor], color=QUIET, linewidth=0.9,
            linestyle=(0, (4, 3)),
        )  # fmt: skip
        middle = (height + 0.5 * depth) / (height + depth)  # half way down
        axes.annotate(
            "straight", (middle * level * factor, (-height + middle * (depth + height)) * factor), (-5, -5),
            textcoords="offset points", ha="right", va="top", color=QUIET,
        )  # fmt: skip
    axes.plot(away * factor, deep * factor, color=LINES[0].colour)
    axes.plot(level * factor, depth * factor, marker="o", markersize=6, color=INK)
    axes.annotate(
        "lure", (level * factor, depth * factor), (0, -6), textcoords="offset points", ha="center", va="top"
    )
    axes.annotate("rod tip", (0.0, -height * factor), (6, 4), textcoords="offset points", va="bottom")
    axes.set_xlabel(f"Distance from the rod tip ({units.unit('distance')})")
    axes.set_ylabel(f"Depth ({units.unit('distance')})")
    axes.spines["bottom"].set_visible(False)
    return figure
