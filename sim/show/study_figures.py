"""Figures of the studies: behaviours as areas on a map, and designs compared by overlaid curves.

Behaviours are told apart by hatching and by their names as well as by colour, curves by dashes and labels.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from textwrap import wrap

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.layout_engine import ConstrainedLayoutEngine
from matplotlib.patches import Patch, PathPatch
from matplotlib.path import Path
from matplotlib.patheffects import withStroke

from sim.lure.lure import Lure
from sim.metrics import Metric, Use
from sim.show.area_names import HALO, LETTERS, edges, outlines, place, write_names
from sim.show.figures import labels, style
from sim.show.figures.fills import fill_of
from sim.show.units import METRIC, Units
from sim.show.values import headline
from sim.studies.compare import Comparison, ComparisonRow
from sim.studies.maps import NO_PLACE, Map, Panel, regions
from sim.trials.results import METRICS

KEY_COLUMNS = 2
PAD = 0.1  # in, to the edges and between the panels
LEFT = PAD / style.WIDTH  # of a title, as a share of the width
TITLE_LETTERS, NAME_LETTERS = 48, 13  # in a line, and of what is compared

INKS = (
    *style.LINES,
    style.Ink("#6a3d8a", (0, (7, 2, 1.5, 2))),
    style.Ink("#2c6437", (0, (10, 3))),
    style.Ink("#8c1d40", (0, (3, 1, 1, 1, 1, 1))),
)


def empty_sheet(height: float, says: str) -> Figure:
    """An empty figure `height` inches tall that arranges its own panels; `says` stands in for it unseen."""
    figure = Figure(figsize=(style.WIDTH, height), layout=ConstrainedLayoutEngine(w_pad=PAD, h_pad=0.04))
    FigureCanvasAgg(figure)
    figure.set_label(says)
    return figure


# ---- map ----------------------------------------------------------------------------------------------


@style.drawn
def behaviour_map(found: Map, title: str, lure: Lure | None = None) -> Figure:
    """Behaviours as areas over two numbers, a panel for each speed; over the lure if that is what they are.

    Args:
        title: stands above; also part of what is said where the figure cannot be seen.
        lure: drawn from its left side if the axes are the places of its tie-on point.
    """
    over = lure is not None and found.over_body()
    wide, high = np.ptp(edges(found.xs)), np.ptp(edges(found.ys))
    tall = float(np.clip(3.6 * high / wide, 1.6, 4.0)) if over else 2.9
    kinds = found.behaviours()
    rows = -(-len(kinds) // KEY_COLUMNS)
    lines = title_lines(title)
    figure = empty_sheet(
        0.5 + 0.17 * len(lines) + len(found.panels) * (tall + 0.7) + 0.25 * rows,
        f"{title}: {', '.join(kinds)}",
    )
    every = np.atleast_1d(figure.subplots(len(found.panels), 1))
    for axes, panel in zip(every, found.panels, strict=True):
        _areas(axes, found, panel)
        if over and lure is not None:
            _behind(axes, lure)
            axes.set_aspect("equal")
        axes.set_xlabel(
            "Tie-on point behind the nose (mm)" if over else axis_name(found.x.path, found.x.unit)
        )
        axes.set_ylabel("Above the axis (mm)" if over else axis_name(found.y.path, found.y.unit))
        if panel.speed:
            axes.set_title(f"at {panel.speed:.2f} m/s", weight="normal", size=LETTERS)
    figure.suptitle("\n".join(lines), x=LEFT, ha="left", weight="bold", size=10.5)
    patches = [
        Patch(facecolor=look.colour, hatch=look.hatch, edgecolor=style.QUIET, label=headline(kind))
        for kind, look in zip(kinds, map(fill_of, kinds), strict=True)
    ]
    figure.legend(
        handles=patches, loc="outside lower left", ncols=KEY_COLUMNS, frameon=False, handlelength=2.4,
        handleheight=1.4,
    )  # fmt: skip
    figure.draw_without_rendering()  # now the panels have their places, and names can keep clear of what is drawn
    for axes, panel in zip(every, found.panels, strict=True):
        write_names(axes, found, panel, lure if over else None)
    return figure


def title_lines(title: str) -> list[str]:
    """A title in lines that fit over a figure."""
    return wrap(title, TITLE_LETTERS) or [""]


def _areas(axes: Axes, found: Map, panel: Panel) -> None:
    x, y = edges(found.xs), edges(found.ys)
    boundaries: list[list[tuple[float, float]]] = []
    words = panel.behaviours
    for kind, cells in regions(words):
        if kind == NO_PLACE:
            continue
        corners = [
            [(x[i], y[j]), (x[i + 1], y[j]), (x[i + 1], y[j + 1]), (x[i], y[j + 1]), (x[i], y[j])]
            for j, i in cells
        ]
        path = Path.make_compound_path(*(Path(c, closed=True) for c in corners))
        look = fill_of(kind)
        axes.add_patch(PathPatch(path, facecolor=look.colour, edgecolor="none", lw=0))
        if look.hatch:
            axes.add_patch(PathPatch(path, facecolor="none", edgecolor=style.QUIET, hatch=look.hatch, lw=0))
    for j, row in enumerate(words):
        for i, word in enumerate(row):
            if i + 1 < len(row) and row[i + 1] != word:
                boundaries.append([(x[i + 1], y[j]), (x[i + 1], y[j + 1])])
            if j + 1 < len(words) and words[j + 1][i] != word:
                boundaries.append([(x[i], y[j + 1]), (x[i + 1], y[j + 1])])
    axes.add_collection(LineCollection(boundaries, colors=style.INK, linewidths=1.1, capstyle="round"))
    axes.grid(False)
    axes.set_xlim(x[0], x[-1])
    axes.set_ylim(y[0], y[-1])


def _behind(axes: Axes, lure: Lure) -> None:
    """The lure's outline and its tie-on points, from its left, in mm as the design tells places."""
    for line in outlines(lure):
        axes.plot(
            *line.T, color=style.INK, lw=1.6, path_effects=[withStroke(linewidth=4, foreground=style.PAPER)]
        )
    for name, point in lure.tie_ons.items():
        back, up = place(point)
        axes.plot(back, up, "o", ms=6, mfc=style.PAPER, mec=style.INK, mew=1.4, zorder=7)
        axes.annotate(
            labels.short(name), (back, up), (5, 5), textcoords="offset points", size=LETTERS, path_effects=HALO,
            zorder=7, annotation_clip=True,
        )  # fmt: skip


def axis_name(name: str, unit: str) -> str:
    return f"{name} ({unit})" if unit else name


# ---- compare ------------------------------------------------------------------------------------------


@style.drawn
def comparison(found: Comparison, title: str, units: Units = METRIC) -> Figure:
    """Depth along the retrieve, for each speed and tie-on point; below it spare lift and sink rate."""
    panels: dict[tuple[float | None, str], list[ComparisonRow]] = {}
    for row in found.pulled:
        if row.curve:
            panels.setdefault((row.speed_m_s, row.tie_on), []).append(row)
    names = [row.variant for row in found.still]
    low = 0.75 + 0.3 * len(names)
    high = 2.1 + 0.06 * len(names)
    lines = title_lines(title)
    figure = empty_sheet(
        0.4 + 0.17 * len(lines) + high * len(panels) + low,
        f"{title}: depth along the retrieve, spare lift, sink rate",
    )
    layout = [[f"pull {k}", f"pull {k}"] for k in range(len(panels))] + [["spare", "sink"]]
    spaces = figure.subplot_mosaic(layout, height_ratios=[high] * len(panels) + [low])  # type: ignore[arg-type]
    deepest = max((depth for row in found.pulled for _, depth in row.curve), default=1.0)
    inks = {label: INKS[k % len(INKS)] for k, label in enumerate(names)}
    for k, ((speed, tie_on), rows) in enumerate(panels.items()):
        axes = spaces[f"pull {k}"]
        _depths(axes, rows, inks, deepest, units)
        axes.set_title(f"Tied at {labels.short(tie_on)}, {units.text('speed', speed or 0.0)}", size=LETTERS)
        axes.set_ylabel(f"Depth ({units.unit('distance')})")
        axes.set_xlabel(f"To the rod tip ({units.unit('distance')})")
    spare, sink = (m for m in METRICS.values() if Use.OUTCOME in m.uses and m.trial in ("budget", "drop"))
    _dots(spaces["spare"], found.still, inks, spare, units)
    _dots(spaces["sink"], found.still, inks, sink, units)
    spaces["sink"].set_yticklabels([])
    figure.suptitle("\n".join(lines), x=LEFT, ha="left", weight="bold", size=10.5)
    return figure


def _depths(
    axes: Axes, rows: Sequence[ComparisonRow], inks: dict[str, style.Ink], deepest: float, units: Units
) -> None:
    scale = units.scales["distance"].factor
    far = scale * max(point[0] for row in rows for point in row.curve)
    bottom = scale * max(1.12 * deepest, 0.1)
    ends = []
    for row in rows:
        away, depth = scale * np.array(row.curve).T
        ink = inks[row.variant]
        axes.plot(away, depth, color=ink.colour, linestyle=ink.dashes)
        ends.append((float(away[-1]), float(depth[-1]), row.variant, ink.colour))
    axes.axhline(0.0, color=style.SURFACE, lw=1.0)
    near = min(end[0] for end in ends)
    axes.set_xlim(far, near - 0.3 * (far - near))  # room for the names
    axes.set_ylim(bottom, -0.1 * bottom)
    axes.set_xticks([tick for tick in axes.get_xticks() if near <= tick <= far])
    ends.sort(key=lambda end: end[1])
    gap = min(0.16 * bottom, bottom / len(ends))
    heights = labels.spread([end[1] for end in ends], [0.0] * len(ends), 0.0, bottom, gap)
    for (away, depth, name, colour), at in zip(ends, heights, strict=True):
        axes.annotate(
            labels.short(name, NAME_LETTERS), (away, depth), (near - 0.07 * (far - near), at), color=colour,
            size=LETTERS, va="center", path_effects=HALO,
            arrowprops={"arrowstyle": "-", "color": colour, "lw": 0.7, "shrinkA": 1, "shrinkB": 1},
        )  # fmt: skip


def _dots(
    axes: Axes,
    rows: Sequence[ComparisonRow],
    inks: dict[str, style.Ink],
    metric: Metric,
    units: Units,
) -> None:
    assert metric.unit.scale is not None
    scale = units.scales[metric.unit.scale]
    number: Callable[[float], float] = lambda value: scale.factor * value  # noqa: E731
    for k, row in enumerate(rows):
        value = row.figures.get(metric.name)
        if value is not None:
            axes.plot([0.0, number(value)], [k, k], color=style.QUIET, lw=0.8)
            axes.plot(number(value), k, "o", ms=6, color=inks[row.variant].colour)
            axes.annotate(
                scale.number(value),
                (number(value), k),
                (0, 5),
                textcoords="offset points",
                ha="center",
                size=LETTERS,
            )
    axes.axvline(0.0, color=style.INK, lw=0.9)
    axes.set_yticks(range(len(rows)), [labels.short(row.variant, NAME_LETTERS) for row in rows])
    axes.set_ylim(len(rows) - 0.4, -0.75)
    axes.margins(x=0.22)
    axes.grid(axis="y", visible=False)
    axes.set_title(metric.heading, size=LETTERS)
    axes.set_xlabel(f"({scale.unit})")
