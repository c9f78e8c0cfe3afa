"""The lure itself, to scale, on a page in millimetres."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from numpy.typing import NDArray

from sim.elements import H_ROW, QXX, RX
from sim.lure.lure import Lure
from sim.show import outline
from sim.show.figures.style import DRY, INK, METAL, PAPER, WET
from sim.show.outline import View

Array = NDArray[np.float64]

MM = 1e3
HOOK = 0.014  # m: a hook that has no size of its own


def lure_on(
    axes: Axes,
    lure: Lure,
    view: View,
    at: tuple[float, float] = (0.0, 0.0),
    *,
    scale: float = MM,
    water: float | None = None,
    hooks: bool = True,
    line: float = 1.1,
    order: float = 3.0,
) -> None:
    """Draw a lure with its origin at `at` on the page.

    Args:
        view: where it is seen from.
        at: of the design's nose point, in units of the page.
        scale: page units for a metre.
        water: level of the surface on the page: what is under it is darker. None: all of it is.
        hooks: hang them on; else only their hangers are marked.
        line: width of the outline, points.
    """
    shift = np.array(at)
    depth = np.cross(view.right, view.up)

    def page(points: Array) -> Array:
        return view.seen(points) * scale + shift

    bodies = []
    for hull in lure.hulls:
        loops = [loop * scale + shift for loop in outline.silhouette(hull, view)]
        bodies.append((float(hull.vertices.mean(axis=0) @ depth), loops))
    near = max((far for far, _ in bodies), default=-np.inf)
    rims = [(float(rim.mean(axis=0) @ depth), page(rim)) for rim in outline.plates(lure)]
    behind = [rim for far, rim in rims if far <= near + 1e-6]
    before = [rim for far, rim in rims if far > near + 1e-6]
    for ends in outline.wires(lure):
        axes.plot(*page(ends).T, color=INK, linewidth=1.4 * line, zorder=order, solid_capstyle="round")
    for rim in behind:
        _fill(axes, [rim], water, line, order + 0.1)
    for _, loops in sorted(bodies, key=lambda body: body[0]):
        _fill(axes, loops, water, line, order + 0.2)
    for rim in before:
        _fill(axes, [rim], water, line, order + 0.3, alpha=0.75)
    for hanger, size, points in hangers(lure) if hooks else ():
        level = order if float(hanger @ depth) <= near + 1e-6 else order + 0.4
        for stroke in _hook(0.5 * size * scale, points):
            x, y = (stroke + page(hanger[None])[0]).T
            axes.plot(x, y, color=INK, linewidth=line, zorder=level, solid_capstyle="round")


def extent(lure: Lure, view: View, hooks: bool = True) -> tuple[Array, Array]:
    """Lowest and highest corner (2,) of all that is drawn, m, from the design's nose point."""
    points = [np.zeros((1, 2)), *(view.seen(hull.vertices) for hull in lure.hulls)]
    points += [view.seen(part) for part in (*outline.plates(lure), *outline.wires(lure))]
    spots = [lure.centre, *lure.tie_ons.values(), *(part.centre for part in lure.parts)]
    points += [view.seen(np.array(spots))]
    if hooks:
        for hanger, size, many in hangers(lure):
            at = view.seen(hanger[None])
            points += [at + stroke for stroke in _hook(0.5 * size, many)]
    every = np.vstack(points)
    return every.min(axis=0), every.max(axis=0)


def hangers(lure: Lure) -> list[tuple[Array, float, int]]:
    """Where hooks hang (3,), how long they are (m), and how many points they have."""
    common = lure.elements.common
    sizes = [
        (common[int(row[H_ROW]), RX : RX + 3], 2.0 * float(np.sqrt(common[int(row[H_ROW]), QXX])))
        for row in lure.elements.blobs
    ]
    found = []
    for part in lure.parts:
        if part.kind == "hook":
            same = [size for at, size in sizes if np.allclose(at, part.centre, atol=1e-6)]
            found.append((part.centre, same[0] if same else HOOK, part.points))
    return found


def _fill(
    axes: Axes, loops: list[Array], water: float | None, line: float, order: float, alpha: float = 1.0
) -> None:
    if not loops:
        return
    if water is None:
        _patch(axes, loops, WET, order, alpha)
    else:
        _patch(axes, loops, DRY, order, alpha)
        _patch(axes, [outline.below(loop, water) for loop in loops], WET, order + 0.01, alpha)
    rim = PathPatch(
        _path(loops), fill=False, edgecolor=INK, linewidth=line, zorder=order + 0.02, joinstyle="round"
    )
    axes.add_patch(rim)


def _patch(axes: Axes, loops: list[Array], colour: str, order: float, alpha: float) -> None:
    whole = [loop for loop in loops if len(loop) > 2]
    if whole:
        axes.add_patch(PathPatch(_path(whole), facecolor=colour, linewidth=0, zorder=order, alpha=alpha))


def _path(loops: list[Array]) -> Path:
    return Path.make_compound_path(*(Path(np.vstack([loop, loop[:1]]), closed=True) for loop in loops))


def _hook(half: float, points: int = 3) -> list[Array]:
    """Strokes of a hook that hangs from (0, 0): shank, and a bend with a barb; of a double or treble to either side."""
    turn = np.linspace(-np.pi, 0.0, 25)
    if points == 1:
        bend = np.column_stack([0.42 + 0.42 * np.cos(turn), 0.42 * np.sin(turn) - 1.45])
        rise = np.array([[0.84, -1.45], [0.84, -0.9], [0.7, -1.1]])
        return [half * stroke for stroke in (np.array([[0.0, 0.0], [0.0, -1.45]]), bend, rise)]
    bend = np.column_stack([0.42 * np.cos(turn), 0.42 * np.sin(turn) - 1.45])
    rise = np.array([[0.42, -1.45], [0.42, -1.0], [0.3, -1.18]])
    shank = np.array([[0.0, 0.0], [0.0, -1.87]])
    return [half * stroke for stroke in (shank, bend, rise, rise * [-1.0, 1.0])]


UNDER_BALANCE, UNDER_LIFT, UNDER_TIE = 6.95, 6.85, 6.75  # where the leader of each mark is drawn


def balance_mark(axes: Axes, x: float, y: float) -> None:
    """Where the weight acts: a quartered disc."""
    axes.plot(x, y, marker="o", markersize=8, color=PAPER, markeredgecolor=INK, markeredgewidth=1.2, zorder=7)
    axes.plot(x, y, marker="+", markersize=8, color=INK, markeredgewidth=1.2, zorder=7.1)


def lift_mark(axes: Axes, x: float, y: float) -> None:
    """Where the water holds it up: a triangle standing on its foot."""
    axes.plot(
        x, y, marker="^", markersize=14, color=PAPER, markeredgecolor=INK, markeredgewidth=1.2, zorder=6.9
    )


def tie_mark(axes: Axes, x: float, y: float, size: float = 5.5) -> None:
    """Where the line is tied: a ring."""
    axes.plot(
        x, y, marker="o", markersize=size, color=PAPER, markeredgecolor=INK, markeredgewidth=1.6, zorder=6.8
    )


def weight_mark(axes: Axes, x: float, y: float, diameter: float, scale: float) -> None:
    """A weight set in: a grey ball of its own size."""
    from matplotlib.patches import Circle

    axes.add_patch(
        Circle((x, y), 0.5 * diameter * scale, facecolor=METAL, edgecolor=INK, linewidth=0.8, zorder=5.0)
    )


def rod_mark(axes: Axes, ends: Array, across: float, scale: float) -> None:
    """A rod set in: grey, of its own size; round where it is seen on its end."""
    from matplotlib.patches import Polygon

    run, half = ends[1] - ends[0], 0.5 * across * scale
    length = float(np.hypot(*run))
    if length < 1e-6 * scale:
        weight_mark(axes, float(ends[0, 0]), float(ends[0, 1]), across, scale)
        return
    side = half * np.array([-run[1], run[0]]) / length
    corners = np.array([ends[0] + side, ends[1] + side, ends[1] - side, ends[0] - side])
    axes.add_patch(Polygon(corners, facecolor=METAL, edgecolor=INK, linewidth=0.8, zorder=5.0))
