"""Causes side by side: how far each must move, and how badly it then still fits."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from sim.show import suspect_words
from sim.show.figures import labels
from sim.show.figures.style import EDGE, INK, LINE, LINES, QUIET, WIDTH, drawn, panel, sheet
from sim.show.units import METRIC, Units
from sim.studies.diagnosis.explanation import Alike, CauseFound, Explanation

TITLE = "What would explain it"
BAR, TOP, GAP = 0.22, 0.04, 0.15  # in: of a bar, over it, and to the next
MOVED, LEFT = "#7fb2cc", "#f0c987"
MOST = 10  # bars


@drawn
def bars(groups: Sequence[Alike], found: Explanation, units: Units = METRIC) -> Figure:
    """A bar for each cause: the part that its movement costs, and the part that still does not fit.

    The last bar is the design as it stands, which moves nothing.
    """
    causes = [cause for group in groups for cause in group.causes][:MOST]
    wide = WIDTH - 2 * EDGE
    rows = [
        (labels.lines_of(_head(cause, units), wide), cause.moving, cause.cost - cause.moving)
        for cause in causes
    ]
    rows.append((["The design as it stands"], 0.0, found.cost_as_designed))
    tall = sum(len(lines) * LINE + TOP + BAR + GAP for lines, _, _ in rows)
    says = (
        "The shorter the bar, the likelier. Blue: how far it must be off. Hatched: what still does not fit."
    )
    longest = max(2.0 * causes[0].cost, causes[-1].cost, 1e-9)
    if any(moving + rest > longest for _, moving, rest in rows):
        says += " A dotted end: longer than there is room for."
    figure = sheet(tall + EDGE, TITLE, says)
    figure.set_label(f"{TITLE}: " + "; ".join(_head(cause, units) for cause in causes) + ".")
    axes = panel(figure, EDGE, EDGE, wide, tall)
    axes.set_axis_off()
    axes.set_xlim(0.0, wide)
    axes.set_ylim(0.0, tall)
    top = tall
    for lines, moving, rest in rows:
        for line in lines:
            axes.text(0.0, top - 0.5 * LINE, line, va="center", color=INK)
            top -= LINE
        _bar(axes, top - TOP - BAR, moving / longest * wide, rest / longest * wide, wide)
        top -= TOP + BAR + GAP
    return figure


def _bar(axes: Axes, foot: float, moved: float, left_over: float, wide: float) -> None:
    """The two parts of one bar, in inches; where it is longer than the sheet, its end is dotted."""
    left = 0.0
    for size, colour, hatch in ((moved, MOVED, ""), (left_over, LEFT, "///")):
        end = min(left + size, wide)
        axes.add_patch(
            Rectangle(
                (left, foot), end - left, BAR, facecolor=colour, hatch=hatch, edgecolor=INK, linewidth=0.8
            )
        )
        left = end
    if moved + left_over > wide:
        axes.plot([wide, wide], [foot, foot + BAR], color=QUIET, linestyle=LINES[2].dashes, linewidth=3)


def _head(cause: CauseFound, units: Units) -> str:
    return f"{suspect_words.name(cause)}: {suspect_words.becomes(cause, units)}"
