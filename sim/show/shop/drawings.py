"""The lure on the shop sheet: side and top view with letters, ruler and waterline, mm."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle, PathPatch, Polygon, Rectangle
from matplotlib.path import Path
from numpy.typing import NDArray

from sim.design.model import Design
from sim.lure.lure import Lure
from sim.show.figures.drawing import extent
from sim.show.figures.labels import spread
from sim.show.figures.style import INK, QUIET, SURFACE
from sim.show.outline import SIDE, TOP, View, plates, silhouette, wires
from sim.show.shop.columns import MARGIN, SheetPlan, width
from sim.show.shop.lists import Mark, marks
from sim.show.units import Units
from sim.trials.results import FloatResult

Array = NDArray[np.float64]

LETTERS = 7.0  # pt
ROW = 6.0  # mm: of letters over and under a drawing
CAPTION = 3.5  # mm: over them, which view it is
SLACK = 7.0  # mm: the waterline sticks out so far
LEAST_LEAN = 0.5  # a lure that lies more on its side than this has no waterline to be drawn from the side


def drawing_height(lure: Lure, plan: SheetPlan) -> float:
    total = 0.0
    for view in (SIDE, TOP):
        (_, low), (_, high) = extent(lure, view, hooks=False)
        total += (high - low) * 1e3 / plan.scale + CAPTION + 2 * ROW + 3.0
    return total + 7.0  # the ruler


def drawings(
    axes: Axes, design: Design, lure: Lure, rest: FloatResult, plan: SheetPlan, y: float, units: Units
) -> float:
    """Side and top view, with letters, ruler and waterline. Returns the height down to which they reach."""
    (left, _), (right, _) = extent(lure, SIDE, hooks=False)
    wide = (right - left) * 1e3 / plan.scale
    x = 0.5 * (plan.wide - wide) - left * 1e3 / plan.scale
    found = marks(design)
    for view, name in ((SIDE, "from its left side"), (TOP, "from above")):
        (_, low), (_, high) = extent(lure, view, hooks=False)
        axes.text(MARGIN, y, name, size=7.0, color=QUIET, va="top")
        y -= CAPTION + ROW
        origin = (x, y - high * 1e3 / plan.scale)
        bottom = y - (high - low) * 1e3 / plan.scale
        _lure(axes, lure, view, origin, plan.scale, f"outline-{'side' if view is SIDE else 'top'}")
        if view is SIDE:
            _water(axes, rest, lure, origin, plan)
        _marks(axes, found, lure, view, origin, plan, (y, bottom))
        y = bottom - ROW - 3.0
        if view is SIDE:
            y = _ruler(axes, lure, x, y + 2.0, plan, units)
    return y


def _lure(axes: Axes, lure: Lure, view: View, origin: tuple[float, float], scale: int, gid: str) -> None:
    """The outlines of everything but hooks."""

    def page(points: Array) -> Array:
        return points * (1e3 / scale) + np.array(origin)

    for ends in wires(lure):
        axes.plot(*page(view.seen(ends)).T, color=INK, linewidth=1.0, solid_capstyle="round")
    loops = [page(loop) for hull in lure.hulls for loop in silhouette(hull, view)]
    rims = [page(view.seen(rim)) for rim in plates(lure)]
    for loop, style in [(rim, ":") for rim in rims] + [(loop, "-") for loop in loops]:
        closed = np.vstack([loop, loop[:1]])
        patch = PathPatch(Path(closed), fill=False, edgecolor=INK, linewidth=0.9, linestyle=style)
        patch.set_gid(gid if style == "-" else f"{gid}-plate")
        axes.add_patch(patch)


def waterline(rest: FloatResult) -> tuple[Array, float] | None:
    """Straight up (right on the page, up on the page) in the side view and the level of the surface along it, m."""
    if rest.up_in_body is None or rest.origin_height_mm is None:
        return None
    up = np.array([-rest.up_in_body[0], rest.up_in_body[2]])
    lean = float(np.hypot(*up))
    return (up / lean, -rest.origin_height_mm / 1e3 / lean) if lean > LEAST_LEAN else None


def _water(axes: Axes, rest: FloatResult, lure: Lure, origin: tuple[float, float], plan: SheetPlan) -> None:
    found = waterline(rest)
    if found is None:
        return
    up, level = found
    (left, low), (right, high) = extent(lure, SIDE, hooks=False)
    slack = 0.8 * SLACK * plan.scale / 1e3
    box = ((left - slack, right + slack), (low - 1e-3 * plan.scale, high + 1e-3 * plan.scale))
    along = np.array([up[1], -up[0]])
    ends = []
    for axis in (0, 1):
        for edge in box[axis]:
            if abs(along[axis]) < 1e-9:
                continue
            p = up * level + along * ((edge - up[axis] * level) / along[axis])
            other = box[1 - axis]
            if other[0] - 1e-9 <= p[1 - axis] <= other[1] + 1e-9:
                ends.append(p)
    if len(ends) < 2:
        return
    points = np.array(ends) * (1e3 / plan.scale) + np.array(origin)
    order = np.argsort(points[:, 0] if abs(along[0]) > 0.1 else points[:, 1])
    line = points[order[[0, -1]]]
    axes.plot(*line.T, color=SURFACE, linewidth=0.9, linestyle=(0, (5, 2)), gid="waterline")
    axes.text(
        float(line[1, 0]) + 0.8, float(line[1, 1]), "water", size=6.5, color=SURFACE, ha="left", va="center"
    )


def _marks(
    axes: Axes, found: Sequence[Mark], lure: Lure, view: View, origin: tuple[float, float], plan: SheetPlan,
    reach: tuple[float, float],
) -> None:  # fmt: skip
    """Every place, its letter above or under the drawing, and a thin line between."""
    scale = 1e3 / plan.scale
    top, bottom = reach
    over: list[tuple[float, float, str]] = []
    under: list[tuple[float, float, str]] = []
    for mark in found:
        for flip in (1.0, -1.0) if mark.twin and view is TOP else (1.0,):
            x, y = view.seen((mark.at * [1.0, flip, 1.0])[None])[0] * scale + np.array(origin)
            run = None if mark.run is None else view.seen(mark.run[None])[0] * scale
            _symbol(axes, mark, x, y, scale, run)
            near_top = y - 0.5 * (top + bottom) >= 0.0
            (over if near_top else under).append((float(x), float(y), mark.letter))
    for items, level, way in ((over, top + 0.5 * ROW, 1), (under, bottom - 0.5 * ROW, -1)):
        items.sort()
        sizes = [width(letter, LETTERS) + 0.8 for _, _, letter in items]
        middles = spread([x for x, _, _ in items], sizes, MARGIN, plan.wide - MARGIN, 0.6)
        for (x, y, letter), middle in zip(items, middles, strict=True):
            axes.plot([x, middle], [y, level - way * 1.3], color=QUIET, linewidth=0.4)
            axes.text(middle, level, letter, size=LETTERS, weight="bold", ha="center", va="center")
    x, y = view.seen(lure.centre[None])[0] * scale + np.array(origin)
    axes.add_patch(Circle((x, y), 1.4, fill=False, edgecolor=INK, linewidth=0.9))  # as the figures have it
    for dx, dy in ((1.4, 0.0), (0.0, 1.4)):
        axes.plot([x - dx, x + dx], [y - dy, y + dy], color=INK, linewidth=0.9)


def _symbol(axes: Axes, mark: Mark, x: float, y: float, scale: float, run: Array | None) -> None:
    length = 0.0 if run is None else float(np.hypot(*run))
    if run is not None and length > 1e-6:
        side = mark.radius * scale * np.array([-run[1], run[0]]) / length
        corners = np.array([x, y]) + np.array(
            [run / 2 + side, run / 2 - side, -run / 2 - side, -run / 2 + side]
        )
        axes.add_patch(Polygon(corners, fill=False, edgecolor=QUIET, linewidth=0.7))
    elif mark.kind == "ballast" and mark.radius > 0.0:
        axes.add_patch(Circle((x, y), mark.radius * scale, fill=False, edgecolor=QUIET, linewidth=0.7))
    if mark.kind == "tie-on":
        axes.add_patch(Circle((x, y), 0.9, facecolor="white", edgecolor=INK, linewidth=1.3))
        return
    if mark.kind == "slot":
        axes.add_patch(Rectangle((x - 0.8, y - 0.8), 1.6, 1.6, fill=False, edgecolor=INK, linewidth=0.7))
        return
    if mark.kind in ("hook", "fitting"):
        axes.add_patch(Circle((x, y), 0.6, facecolor=INK, edgecolor=INK, linewidth=0.5))
        return
    for dx, dy in ((0.8, 0.8), (0.8, -0.8)):
        axes.plot([x - dx, x + dx], [y - dy, y + dy], color=INK, linewidth=0.6)


def _ruler(axes: Axes, lure: Lure, x: float, y: float, plan: SheetPlan, units: Units) -> float:
    """A scale of places behind the nose, along the side view. Returns the height below it."""
    (left, _), (right, _) = extent(lure, SIDE, hooks=False)
    us = units.name == "us"
    step = (25.4 / 4.0 if us else 5.0) * (1 if plan.scale == 1 else plan.scale)
    every = 4 if us else 2
    first, last = math.ceil(left * 1e3 / step - 1e-9), math.floor(right * 1e3 / step + 1e-9)
    axes.plot(
        [x + first * step / plan.scale, x + last * step / plan.scale], [y, y], color=QUIET, linewidth=0.5
    )
    for k in range(first, last + 1):
        at = x + k * step / plan.scale
        labelled = k % every == 0
        axes.plot([at, at], [y, y - (1.8 if labelled else 1.0)], color=QUIET, linewidth=0.5)
        if labelled:
            stated = k * step / 25.4 if us else k * step
            axes.text(at, y - 2.2, f"{stated:g}", size=6.0, color=QUIET, ha="center", va="top")
    return y - 7.0
