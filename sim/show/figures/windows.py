"""Which line speeds give which behaviour: a bar for each tie-on point."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from sim.show.figures import labels
from sim.show.figures.fills import fill_of
from sim.show.figures.style import EDGE, INK, WIDTH, drawn, nothing, panel, sheet
from sim.show.units import METRIC, Units
from sim.show.values import headline
from sim.studies.windows import WindowsResult

Window = tuple[float, float, str]  # from speed, to speed (m/s), behaviour


FOOT = 0.5  # in
ROW = 0.92  # in, from row to row of bars
BAR = 0.34  # in


@drawn
def speed_windows(windows: Sequence[tuple[str, Sequence[Window]]], units: Units = METRIC) -> Figure:
    """A bar for each tie-on point, cut where the behaviour changes.

    windows: (tie-on point, [(from speed, to speed, behaviour), ...]), speeds in m/s, rising.
    """
    title = "What it does at which speed"
    rows = [(name, list(spans)) for name, spans in windows if spans]
    if not rows:
        return nothing(title, "No tie-on point gave an answer.")
    says = "; ".join(f"tied at {labels.short(name)}: {_in_words(spans, units)}" for name, spans in rows)
    tall = ROW * len(rows) + 0.15
    figure = sheet(tall + FOOT, title, "A bar for each tie-on point, line speed to the right.")
    figure.set_label(f"{title}: {says}.")
    wide = WIDTH - 2 * EDGE - 0.15
    axes = panel(figure, EDGE + 0.08, FOOT, wide, tall)
    factor = units.scales["speed"].factor
    low = min(span[0] for _, spans in rows for span in spans) * factor
    high = max(span[1] for _, spans in rows for span in spans) * factor
    axes.set_xlim(low, high)
    axes.set_ylim(0.0, tall)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    axes.set_xlabel(f"Line speed ({units.unit('speed')})")
    for k, (name, spans) in enumerate(rows):
        top = tall - k * ROW
        axes.text(low, top - 0.04, f"tied at {labels.short(name)}", weight="bold", va="top")
        _bar(axes, spans, factor, top - 0.3 - BAR, (high - low) / wide)
    return figure


def bars(found: WindowsResult) -> list[tuple[str, list[Window]]]:
    """Speed windows as `speed_windows` takes them."""
    return [
        (each.tie_on, [(w.low_m_s, w.high_m_s, w.behaviour.value) for w in each.windows])
        for each in found.tie_ons
    ]


def _in_words(spans: Sequence[Window], units: Units) -> str:
    return ", ".join(
        f"{headline(what)} {units.number('speed', low)} to {units.text('speed', high)}"
        for low, high, what in spans
    )


def _bar(axes: Axes, spans: Sequence[Window], factor: float, foot: float, inch: float) -> None:
    """One row: names inside their windows, or under them where a window is too narrow."""
    outside = []
    for low, high, what in spans:
        fill = fill_of(what)
        axes.add_patch(
            Rectangle(
                (low * factor, foot), (high - low) * factor, BAR, facecolor=fill.colour, hatch=fill.hatch,
                edgecolor=INK, linewidth=0.9, zorder=3,
            )
        )  # fmt: skip
        middle, text = 0.5 * (low + high) * factor, headline(what)
        if (labels.width_in(text) + 0.12) * inch < (high - low) * factor:
            axes.text(
                middle, foot + 0.5 * BAR, text, ha="center", va="center", zorder=5,
                bbox={"facecolor": fill.colour, "edgecolor": "none", "pad": 1.5},
            )  # fmt: skip
        else:
            outside.append((middle, text))
    widths = [labels.width_in(text) * inch for _, text in outside]
    places = labels.spread([middle for middle, _ in outside], widths, *axes.get_xlim(), labels.GAP * inch)
    for (middle, text), place in zip(outside, places, strict=True):
        axes.plot([middle, place], [foot, foot - 0.06], color=INK, linewidth=0.7, zorder=4)
        axes.text(place, foot - 0.07, text, ha="center", va="top", zorder=5)
