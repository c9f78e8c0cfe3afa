"""Figures of the studies: behaviours as areas on a map, and designs compared by overlaid curves.

Behaviours are told apart by hatching and by their names as well as by colour, curves by dashes and labels.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.patches import Patch, PathPatch
from matplotlib.path import Path
from matplotlib.patheffects import withStroke

from sim.build.lure import Lure
from sim.show import outline
from sim.show.figures import style
from sim.show.figures.fills import Fill, fill_of
from sim.show.units import METRIC, Kind, Units
from sim.studies.compare import Comparison, Row
from sim.studies.maps import NO_ANSWER, Map, Panel, regions

LETTER, PANEL = 0.085, 5.2  # in: about the width of a bold letter, and of a panel
HALO = (withStroke(linewidth=3.0, foreground=style.PAPER),)

_INKS = (
    *style.LINES,
    style.Ink("#6a3d8a", (0, (7, 2, 1.5, 2))),
    style.Ink("#2c6437", (0, (10, 3))),
    style.Ink("#8c1d40", (0, (3, 1, 1, 1, 1, 1))),
)


def fill(behaviour: str) -> Fill:
    """The colour and hatching of a behaviour, the same in every figure."""
    if behaviour == NO_ANSWER:
        return Fill("#ffffff", "")
    return fill_of(behaviour)


def _sheet(height: float, says: str) -> Figure:
    """An empty figure `height` inches tall that arranges its own panels; `says` stands in for it unseen."""
    figure = Figure(figsize=(style.WIDTH, height), layout="constrained")
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
    wide, high = np.ptp(_edges(found.xs)), np.ptp(_edges(found.ys))
    tall = float(np.clip(4.9 * high / wide, 1.6, 5.0)) if over else 3.4
    kinds = found.behaviours()
    rows = -(-len(kinds) // 3)
    figure = _sheet(0.6 + len(found.panels) * (tall + 0.7) + 0.25 * rows, f"{title}: {', '.join(kinds)}")
    every = np.atleast_1d(figure.subplots(len(found.panels), 1))
    for axes, panel in zip(every, found.panels, strict=True):
        _areas(axes, found, panel)
        if over and lure is not None:
            _behind(axes, lure)
            axes.set_aspect("equal")
        axes.set_xlabel("tie-on point behind the nose, mm" if over else _axis(found.x.path, found.x.unit))
        axes.set_ylabel("above the axis, mm" if over else _axis(found.y.path, found.y.unit))
        if panel.speed:
            axes.set_title(f"at {panel.speed:.2f} m/s", weight="normal", size=9.5)
    figure.suptitle(title, x=0.02, ha="left", weight="bold", size=10.5)
    patches = [
        Patch(
            facecolor=fill(kind).colour,
            hatch=fill(kind).hatch,
            edgecolor=style.QUIET,
            label=kind.split(":")[0],
        )
        for kind in kinds
    ]
    figure.legend(
        handles=patches, loc="outside lower left", ncols=3, frameon=False, handlelength=2.4, handleheight=1.4
    )
    return figure


def _areas(axes: Axes, found: Map, panel: Panel) -> None:
    x, y = _edges(found.xs), _edges(found.ys)
    boundaries: list[list[tuple[float, float]]] = []
    words = panel.behaviours
    for kind, cells in regions(words):
        corners = [
            [(x[i], y[j]), (x[i + 1], y[j]), (x[i + 1], y[j + 1]), (x[i], y[j + 1]), (x[i], y[j])]
            for j, i in cells
        ]
        path = Path.make_compound_path(*(Path(c, closed=True) for c in corners))
        look = fill(kind)
        axes.add_patch(PathPatch(path, facecolor=look.colour, edgecolor="none", lw=0))
        if look.hatch:
            axes.add_patch(PathPatch(path, facecolor="none", edgecolor=style.QUIET, hatch=look.hatch, lw=0))
        j, first, last = _widest(cells)
        name = kind.split(":")[0]
        if LETTER * (len(name) + 1) / PANEL * (x[-1] - x[0]) <= x[last + 1] - x[first]:
            axes.text(
                (x[first] + x[last + 1]) / 2, (y[j] + y[j + 1]) / 2, name, ha="center", va="center",
                size=9, weight="bold", path_effects=HALO, zorder=6,
            )  # fmt: skip
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


def _widest(cells: Sequence[tuple[int, int]]) -> tuple[int, int, int]:
    """Row, first and last column of the longest unbroken row of an area; of equal ones that nearest its middle."""
    middle = float(np.mean([j for j, _ in cells]))
    runs: list[tuple[int, int, int]] = []
    for j, i in sorted(cells):
        if runs and runs[-1][0] == j and runs[-1][2] == i - 1:
            runs[-1] = (j, runs[-1][1], i)
        else:
            runs.append((j, i, i))
    return max(runs, key=lambda run: (run[2] - run[1], -abs(run[0] - middle)))


def _edges(middles: Sequence[float]) -> np.ndarray:
    """Borders of cells with these middles, evenly spaced or not."""
    at = np.asarray(middles, dtype=float)
    if len(at) == 1:
        half = 0.5 * abs(at[0]) or 0.5
        return np.array([at[0] - half, at[0] + half])
    between = 0.5 * (at[1:] + at[:-1])
    return np.concatenate([[2 * at[0] - between[0]], between, [2 * at[-1] - between[-1]]])


def _behind(axes: Axes, lure: Lure) -> None:
    """The lure's outline and its tie-on points, from its left, in mm as the design tells places."""
    loops = [loop for hull in lure.hulls for loop in outline.silhouette(hull, outline.SIDE)]
    loops += [outline.SIDE.seen(rim) for rim in outline.plates(lure)]
    for loop in loops:
        closed = 1e3 * np.vstack([loop, loop[:1]])
        axes.plot(
            *closed.T, color=style.INK, lw=1.6, path_effects=[withStroke(linewidth=4, foreground=style.PAPER)]
        )
    for name, point in lure.tie_ons.items():
        back, up = 1e3 * outline.SIDE.seen(point[None])[0]
        axes.plot(back, up, "o", ms=6, mfc=style.PAPER, mec=style.INK, mew=1.4, zorder=7)
        axes.annotate(
            name, (back, up), (5, 5), textcoords="offset points", size=8.5, path_effects=HALO, zorder=7,
            annotation_clip=True,
        )  # fmt: skip


def _axis(name: str, unit: str) -> str:
    return f"{name}, {unit}" if unit else name


# ---- compare ------------------------------------------------------------------------------------------


@style.drawn
def comparison(found: Comparison, title: str, units: Units = METRIC) -> Figure:
    """Depth along the retrieve, for each speed and tie-on point; below it spare lift and sink rate."""
    panels: dict[tuple[float | None, str], list[Row]] = {}
    for row in found.pulled:
        if row.curve:
            panels.setdefault((row.speed_m_s, row.tie_on), []).append(row)
    labels = [row.variant for row in found.still]
    low = 0.55 + 0.24 * len(labels)
    high = 2.1 + 0.06 * len(labels)
    figure = _sheet(
        0.5 + high * len(panels) + low, f"{title}: depth along the retrieve, spare lift, sink rate"
    )
    layout = [[f"pull {k}", f"pull {k}"] for k in range(len(panels))] + [["spare", "sink"]]
    spaces = figure.subplot_mosaic(layout, height_ratios=[high] * len(panels) + [low])  # type: ignore[arg-type]
    deepest = max((depth for row in found.pulled for _, depth in row.curve), default=1.0)
    inks = {label: _INKS[k % len(_INKS)] for k, label in enumerate(labels)}
    for k, ((speed, tie_on), rows) in enumerate(panels.items()):
        axes = spaces[f"pull {k}"]
        _depths(axes, rows, inks, deepest, units)
        axes.set_title(f"Tied at {tie_on}, {units.text('speed', speed or 0.0)}")
        axes.set_ylabel(f"depth, {units.unit('distance')}")
        axes.set_xlabel(f"to the rod tip, {units.unit('distance')}")
    _dots(spaces["spare"], found.still, inks, "budget.margin_g", "mass", "Spare lift", units)
    _dots(spaces["sink"], found.still, inks, "drop.sink_rate_m_s", "speed", "Sink rate (- rises)", units)
    spaces["sink"].set_yticklabels([])
    figure.suptitle(title, x=0.02, ha="left", weight="bold", size=10.5)
    return figure


def _depths(
    axes: Axes, rows: Sequence[Row], inks: dict[str, style.Ink], deepest: float, units: Units
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
    heights = _apart([end[1] for end in ends], bottom * 0.16, bottom)
    for (away, depth, name, colour), at in zip(ends, heights, strict=True):
        axes.annotate(
            name, (away, depth), (near - 0.07 * (far - near), at), color=colour, size=8.5,
            va="center", path_effects=HALO,
            arrowprops={"arrowstyle": "-", "color": colour, "lw": 0.7, "shrinkA": 1, "shrinkB": 1},
        )  # fmt: skip


def _apart(places: Sequence[float], gap: float, limit: float) -> list[float]:
    """Places moved no more than they must be to stand `gap` apart, in their order, none beyond `limit`."""
    order = np.argsort(places, kind="stable")
    gap = min(gap, limit / max(len(places), 1))
    moved = np.array(places, dtype=float)
    floor = -np.inf
    for k in order:
        moved[k] = floor = max(moved[k], floor + gap)
    ceiling = limit
    for k in order[::-1]:
        moved[k] = ceiling = min(moved[k], ceiling)
        ceiling -= gap
    return [float(place) for place in moved]


def _dots(
    axes: Axes,
    rows: Sequence[Row],
    inks: dict[str, style.Ink],
    name: str,
    kind: Kind,
    title: str,
    units: Units,
) -> None:
    scale = units.scales[kind]
    number: Callable[[float], float] = lambda value: scale.factor * value  # noqa: E731
    for k, row in enumerate(rows):
        value = row.figures.get(name)
        if value is not None:
            axes.plot([0.0, number(value)], [k, k], color=style.QUIET, lw=0.8)
            axes.plot(number(value), k, "o", ms=6, color=inks[row.variant].colour)
            axes.annotate(
                scale.number(value),
                (number(value), k),
                (0, 5),
                textcoords="offset points",
                ha="center",
                size=8,
            )
    axes.axvline(0.0, color=style.INK, lw=0.9)
    axes.set_yticks(range(len(rows)), [row.variant for row in rows])
    axes.set_ylim(len(rows) - 0.4, -0.75)
    axes.margins(x=0.15)
    axes.grid(axis="y", visible=False)
    axes.set_title(title)
    axes.set_xlabel(scale.unit)
