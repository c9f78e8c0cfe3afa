"""Causes side by side: how far each must move, and how badly it then still fits."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from sim.show.figures import labels
from sim.show.figures.style import EDGE, INK, LINES, QUIET, WIDTH, drawn, panel, sheet
from sim.studies.causes.explanation import Alike, CauseFound, Explanation

TITLE = "What would explain it"
ROW, BAR = 0.62, 0.22  # in
MOVED, LEFT = "#7fb2cc", "#f0c987"
MOST = 10  # bars


@drawn
def bars(groups: Sequence[Alike], found: Explanation) -> Figure:
    """A bar for each cause: the part that its movement costs, and the part that still does not fit.

    The last bar is the design as it stands, which moves nothing.
    """
    causes = [cause for group in groups for cause in group.causes][:MOST]
    tall = ROW * (len(causes) + 1)
    says = (
        "The shorter the bar, the likelier. Blue: how far it must be off. Hatched: what still does not fit."
    )
    figure = sheet(tall + EDGE, TITLE, says)
    figure.set_label(f"{TITLE}: " + "; ".join(f"{_name(c)}, {c.moves_to}" for c in causes) + ".")
    wide = WIDTH - 2 * EDGE
    axes = panel(figure, EDGE, EDGE, wide, tall)
    axes.set_axis_off()
    axes.set_xlim(0.0, wide)
    axes.set_ylim(0.0, tall)
    longest = max(2.0 * causes[0].cost, causes[-1].cost, 1e-9)
    rows = [(_head(cause), cause.moving, cause.cost - cause.moving) for cause in causes]
    for k, (name, moving, rest) in enumerate(
        [*rows, ("The design as it stands", 0.0, found.cost_as_designed)]
    ):
        top = tall - k * ROW
        axes.text(0.0, top - 0.04, labels.short(name, 50), va="top", color=INK)
        left = 0.0
        for size, colour, hatch in ((moving, MOVED, ""), (rest, LEFT, "///")):
            end = min(left + size / longest * wide, wide)
            axes.add_patch(
                Rectangle((left, top - 0.26 - BAR), end - left, BAR, facecolor=colour, hatch=hatch, edgecolor=INK,
                          linewidth=0.8)
            )  # fmt: skip
            left = end
        if moving + rest > longest:  # longer than the sheet: its end is torn
            axes.plot(
                [wide, wide],
                [top - 0.26 - BAR, top - 0.26],
                color=QUIET,
                linestyle=LINES[2].dashes,
                linewidth=3,
            )
    return figure


def _head(cause: CauseFound) -> str:
    return f"{_name(cause)}: {cause.moves_to}"


def _name(cause: CauseFound) -> str:
    return cause.says if cause.name.startswith("slip.") else cause.name
