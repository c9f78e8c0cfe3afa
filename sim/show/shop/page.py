"""The shop sheet as a page in millimetres: one axes covers the paper, so that what is drawn is its own size."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO, StringIO

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.patches import Circle, PathPatch, Rectangle
from matplotlib.path import Path
from matplotlib.textpath import text_to_path
from numpy.typing import NDArray

from sim.design.model import Design
from sim.lure.lure import Lure
from sim.show import sentences
from sim.show.figures.labels import short, spread
from sim.show.figures.style import INK, QUIET, SURFACE, in_style
from sim.show.outline import SIDE, TOP, View, plates, silhouette, wires
from sim.show.shop.lists import Mark, cut_list, drill_list, marks, mix_rows
from sim.show.units import METRIC, Units
from sim.trials.cautions import cautions
from sim.trials.results import FloatResult

Array = NDArray[np.float64]

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # mm, upright
MARGIN = 13.0  # mm: no printer reaches the edge
SCALES = (1, 2, 3, 4, 5, 10, 20)  # full size, or so many times smaller
SIZES = (9.0, 8.5, 8.0, 7.5, 7.0, 6.5, 6.0, 5.5)  # points of the text, the largest that fits
LETTERS = 7.0  # pt
ROW = 6.0  # mm: of letters over and under a drawing
CAPTION = 3.5  # mm: over them, which view it is
SLACK = 7.0  # mm: the waterline sticks out so far
GAP = 6.0  # mm between columns
POINT = 25.4 / 72.0  # mm
LEAST_LEAN = 0.5  # a lure that lies more on its side than this has no waterline to be drawn from the side


@dataclass(frozen=True)
class _Plan:
    """One way to lay out the page."""

    wide: float  # paper, mm
    tall: float
    scale: int
    size: float  # of the text, pt

    @property
    def columns(self) -> int:
        """Of words under the drawings."""
        return 3 if self.wide > self.tall else 2

    @property
    def column(self) -> float:
        """Width of one, mm."""
        return (self.wide - 2 * MARGIN - (self.columns - 1) * GAP) / self.columns


@dataclass(frozen=True)
class _Block:
    """A headed list in a column; ticked lists have a box before every line."""

    head: str
    lines: tuple[str, ...]
    ticked: bool = False


def shop_sheet(
    design: Design, lure: Lure, rest: FloatResult, paper: str = "a4", units: Units = METRIC
) -> Figure:
    """The page. Lures too long for the paper are turned lengthwise, then drawn smaller, and the page says so.

    Args:
        lure: built with hulls. rest: how it sits in the design's water.
        paper: one of `PAPERS`.
    """
    with in_style():
        blocks, foot = _words(design, lure, rest, units)
        plan, blocks = _fitting(design, lure, paper, blocks, foot)
        figure = Figure(figsize=(plan.wide / 25.4, plan.tall / 25.4), facecolor="white")
        FigureCanvasAgg(figure)
        figure.set_label(f"Shop sheet of {design.name}, drawn at 1:{plan.scale}")
        axes = figure.add_axes((0.0, 0.0, 1.0, 1.0))
        axes.set_xlim(0.0, plan.wide)
        axes.set_ylim(0.0, plan.tall)
        axes.set_axis_off()
        y = _head(axes, design, plan)
        y = _drawings(axes, design, lure, rest, plan, y, units)
        _columns(axes, blocks, plan, y)
        _foot(axes, foot, plan)
        return figure


def as_pdf(figure: Figure) -> bytes:
    """The page as PDF; the same bytes every time."""
    sink = BytesIO()
    with in_style():
        figure.savefig(
            sink,
            format="pdf",
            facecolor="white",
            metadata={"CreationDate": None, "Creator": "drytank", "Producer": None},
        )
    return sink.getvalue()


def as_svg(figure: Figure) -> str:
    """The page as an SVG document; the same text every time."""
    sink = StringIO()
    with in_style():
        figure.savefig(sink, format="svg", facecolor="white", metadata={"Date": None, "Creator": "drytank"})
    text = sink.getvalue()
    # millimetres instead of points, so that every program opens it at its own size
    wide, tall = (side * 25.4 for side in figure.get_size_inches())
    size = f'width="{wide:.4f}mm" height="{tall:.4f}mm"'
    return re.sub(r'width="[\d.]+pt" height="[\d.]+pt"', size, text, count=1)


# ---- what it says -------------------------------------------------------------------------------------


def _words(design: Design, lure: Lure, rest: FloatResult, units: Units) -> tuple[list[_Block], list[str]]:
    places = tuple(_place(mark, units) for mark in marks(design))
    blocks = [_Block(f"Places, {units.unit('size')} behind the nose, above the axis", places)]
    cut = tuple(cut_list(design, units))
    if cut:
        blocks.append(_Block("Ballast to cut", cut, ticked=True))
    drill = tuple(drill_list(design, lure, units))
    if drill:
        blocks.append(_Block("To drill and saw", drill, ticked=True))
    mix = mix_rows(design, lure)
    if mix is not None:
        name, rows = mix
        total = sum(float(row.weight) for row in rows)
        blocks.append(
            _Block(
                f"Mix {short(name)}, {total:g} g in all",
                tuple(f"{short(row.name)}: {row.weight} g" for row in rows),
                ticked=True,
            )
        )
    check = [f"Finished, hooks on: {units.text('mass', lure.mass * 1e3)}"]
    check.append(f"Balances {units.text('size', -lure.centre[0] * 1e3)} behind the nose (+)")
    check.append(sentences.rest(rest, units))
    if rest.origin_height_mm is not None and _waterline(rest) is None:
        check.append("It lies on its side, so no waterline is drawn")
    blocks.append(_Block("Check on the scale and in the tub", tuple(check), ticked=True))
    return blocks, [*cautions(design)]


def _place(mark: Mark, units: Units) -> str:
    back, left, up = -mark.at[0] * 1e3, mark.at[1] * 1e3, mark.at[2] * 1e3
    side = ""
    if mark.twin:
        side = f", {units.number('size', abs(left))} to each side"
    elif abs(left) > 0.05:
        side = f", {units.number('size', abs(left))} to the {'left' if left > 0 else 'right'}"
    return f"{mark.letter} {short(mark.what, 28)}: {units.number('size', back)}, {units.number('size', up)}{side}"


def lists(
    design: Design, lure: Lure, rest: FloatResult, units: Units = METRIC
) -> list[tuple[str, tuple[str, ...]]]:
    """The sheet's lists as text, each with its head, for where the page itself cannot be read."""
    return [(block.head, block.lines) for block in _words(design, lure, rest, units)[0]]


# ---- how it is laid out -------------------------------------------------------------------------------


def _fitting(
    design: Design, lure: Lure, paper: str, blocks: list[_Block], foot: list[str]
) -> tuple[_Plan, list[_Block]]:
    """The largest layout that fits: full size before large text, upright before lengthwise."""
    short_, long_ = PAPERS[paper]
    for scale in SCALES:
        for wide, tall in ((short_, long_), (long_, short_)):
            for size in SIZES:
                plan = _Plan(wide, tall, scale, size)
                if not _fits_across(lure, plan):
                    continue
                room = _room(design, lure, plan, foot)
                if _tallest(blocks, plan) <= room:
                    return plan, blocks
            plan = _Plan(wide, tall, scale, SIZES[-1])
            if _fits_across(lure, plan) and _room(design, lure, plan, foot) >= 60.0:
                return plan, _cut_short(blocks, plan, _room(design, lure, plan, foot))
    plan = _Plan(long_, short_, SCALES[-1], SIZES[-1])
    return plan, _cut_short(blocks, plan, _room(design, lure, plan, foot))


def _cut_short(blocks: list[_Block], plan: _Plan, room: float) -> list[_Block]:
    """Blocks with so many lines left out that the rest fits, and a word where."""
    keep = max(len(block.lines) for block in blocks)
    while keep > 1:
        keep -= 1
        shorter = [
            block
            if len(block.lines) <= keep
            else _Block(
                block.head,
                (*block.lines[:keep], f"and {len(block.lines) - keep} more: see the design file"),
                block.ticked,
            )
            for block in blocks
        ]
        if _tallest(shorter, plan) <= room:
            return shorter
    return shorter


def _fits_across(lure: Lure, plan: _Plan) -> bool:
    (left, _), (right, _) = _extent(lure, SIDE)
    return (right - left) * 1e3 / plan.scale + 2 * SLACK <= plan.wide - 2 * MARGIN


def _room(design: Design, lure: Lure, plan: _Plan, foot: list[str]) -> float:
    """Height left for the columns, mm."""
    used = _head_height(design, plan) + _drawing_height(lure, plan)
    used += _line(plan) * len(_foot_lines(foot, plan)) + 3.0
    return plan.tall - 2 * MARGIN - used


def _line(plan: _Plan) -> float:
    """From line to line of text, mm."""
    return 1.32 * plan.size * POINT


def _extent(lure: Lure, view: View) -> tuple[Array, Array]:
    points = [np.zeros((1, 2)), *(view.seen(hull.vertices) for hull in lure.hulls)]
    points += [view.seen(part) for part in (*plates(lure), *wires(lure))]
    points += [
        view.seen(part.centre[None]) for part in lure.parts if part.kind in ("hook", "fitting", "ballast")
    ]
    points += [view.seen(at[None]) for at in lure.tie_ons.values()]
    every = np.vstack(points)
    return every.min(axis=0), every.max(axis=0)


def _width(text: str, size: float, weight: str = "normal") -> float:
    """Width of a line of text, mm."""
    words = text.split(" ")
    return size * (sum(_em(word, weight) for word in words) + (len(words) - 1) * _em(" ", weight))


@lru_cache(maxsize=4096)
def _em(word: str, weight: str) -> float:
    """Width of a word, mm for each point of the letters' size."""
    font = FontProperties(family="DejaVu Sans", size=10.0, weight=weight)
    return float(text_to_path.get_text_width_height_descent(word, font, ismath=False)[0]) / 10.0 * POINT


def _wrapped(text: str, size: float, wide: float, weight: str = "normal") -> list[str]:
    """Lines of at most `wide` mm, broken at blanks (not at those that hold a unit to its number)."""
    lines: list[str] = []
    room = wide
    for word in text.split(" "):
        needs = _width(word, size, weight)
        if lines and needs + _width(" ", size, weight) <= room:
            lines[-1] += f" {word}"
            room -= needs + _width(" ", size, weight)
        else:
            lines.append(word)
            room = wide - needs
    return lines


# ---- drawing ------------------------------------------------------------------------------------------


def _head_lines(plan: _Plan) -> list[str]:
    if plan.scale == 1:
        told = (
            "Drawn full size. Print at 100 %, not fitted to the page, and measure the bar before you trust the "
            "drawing."
        )
    else:
        told = (
            f"NOT FULL SIZE: the lure is too large for the paper and is drawn at 1:{plan.scale}; multiply what you "
            f"measure on it by {plan.scale}. The bar alone is true. Print at 100 %, not fitted to the page."
        )
    return _wrapped(told, 8.0, plan.wide - 2 * MARGIN, _stress(plan))


def _stress(plan: _Plan) -> str:
    return "normal" if plan.scale == 1 else "bold"


def _head_height(design: Design, plan: _Plan) -> float:
    return 8.0 + 3.8 * len(_head_lines(plan)) + 9.0


def _head(axes: Axes, design: Design, plan: _Plan) -> float:
    """Name, how to print, the bar of 100 mm. Returns the height down to which the page is used."""
    y = plan.tall - MARGIN
    name, size = short(design.name, 60), 14.0
    while _width(f"{name}: shop sheet", size, "bold") > plan.wide - 2 * MARGIN and size > 7.0:
        size -= 0.5
    axes.text(MARGIN, y, f"{name}: shop sheet", size=size, weight="bold", va="top")
    y -= 8.0
    for line in _head_lines(plan):
        axes.text(MARGIN, y, line, size=8.0, va="top", weight=_stress(plan))
        y -= 3.8
    y -= 2.5
    axes.plot(
        [MARGIN, MARGIN + 100.0], [y, y], color=INK, linewidth=1.0, solid_capstyle="butt", gid="bar-100mm"
    )
    for k in range(11):
        tall = 2.4 if k % 5 == 0 else 1.5
        at = MARGIN + 10.0 * k
        axes.plot([at, at], [y, y - tall], color=INK, linewidth=0.6, solid_capstyle="butt")
    axes.text(MARGIN + 103.0, y, "100 mm (3.94 in)", size=8.0, va="center")
    return y - 6.5


def _drawing_height(lure: Lure, plan: _Plan) -> float:
    total = 0.0
    for view in (SIDE, TOP):
        (_, low), (_, high) = _extent(lure, view)
        total += (high - low) * 1e3 / plan.scale + CAPTION + 2 * ROW + 3.0
    return total + 7.0  # the ruler


def _drawings(
    axes: Axes, design: Design, lure: Lure, rest: FloatResult, plan: _Plan, y: float, units: Units
) -> float:
    """Side and top view, with letters, ruler and waterline. Returns the height down to which they reach."""
    (left, _), (right, _) = _extent(lure, SIDE)
    wide = (right - left) * 1e3 / plan.scale
    x = 0.5 * (plan.wide - wide) - left * 1e3 / plan.scale
    found = marks(design)
    for view, name in ((SIDE, "from its left side"), (TOP, "from above")):
        (_, low), (_, high) = _extent(lure, view)
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


def _waterline(rest: FloatResult) -> tuple[Array, float] | None:
    """Straight up (right on the page, up on the page) in the side view and the level of the surface along it, m."""
    if rest.up_in_body is None or rest.origin_height_mm is None:
        return None
    up = np.array([-rest.up_in_body[0], rest.up_in_body[2]])
    lean = float(np.hypot(*up))
    return (up / lean, -rest.origin_height_mm / 1e3 / lean) if lean > LEAST_LEAN else None


def _water(axes: Axes, rest: FloatResult, lure: Lure, origin: tuple[float, float], plan: _Plan) -> None:
    found = _waterline(rest)
    if found is None:
        return
    up, level = found
    (left, low), (right, high) = _extent(lure, SIDE)
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
    axes: Axes, found: Sequence[Mark], lure: Lure, view: View, origin: tuple[float, float], plan: _Plan,
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
            _symbol(axes, mark, x, y, scale)
            near_top = y - 0.5 * (top + bottom) >= 0.0
            (over if near_top else under).append((float(x), float(y), mark.letter))
    for items, level, way in ((over, top + 0.5 * ROW, 1), (under, bottom - 0.5 * ROW, -1)):
        items.sort()
        sizes = [_width(letter, LETTERS) + 0.8 for _, _, letter in items]
        middles = spread([x for x, _, _ in items], sizes, MARGIN, plan.wide - MARGIN, 0.6)
        for (x, y, letter), middle in zip(items, middles, strict=True):
            axes.plot([x, middle], [y, level - way * 1.3], color=QUIET, linewidth=0.4)
            axes.text(middle, level, letter, size=LETTERS, weight="bold", ha="center", va="center")
    x, y = view.seen(lure.centre[None])[0] * scale + np.array(origin)
    for dx, dy in ((1.6, 0.0), (0.0, 1.6)):
        axes.plot([x - dx, x + dx], [y - dy, y + dy], color=INK, linewidth=0.9)


def _symbol(axes: Axes, mark: Mark, x: float, y: float, scale: float) -> None:
    if mark.kind == "ballast" and mark.radius > 0.0:
        axes.add_patch(Circle((x, y), mark.radius * scale, fill=False, edgecolor=QUIET, linewidth=0.7))
    if mark.kind == "tie-on":
        axes.add_patch(Circle((x, y), 0.9, facecolor=INK, edgecolor=INK, linewidth=0.5))
        return
    if mark.kind == "slot":
        axes.add_patch(Rectangle((x - 0.8, y - 0.8), 1.6, 1.6, fill=False, edgecolor=INK, linewidth=0.7))
        return
    if mark.kind in ("hook", "fitting"):
        axes.add_patch(Circle((x, y), 0.9, fill=False, edgecolor=INK, linewidth=0.7))
        return
    for dx, dy in ((0.8, 0.8), (0.8, -0.8)):
        axes.plot([x - dx, x + dx], [y - dy, y + dy], color=INK, linewidth=0.6)


def _ruler(axes: Axes, lure: Lure, x: float, y: float, plan: _Plan, units: Units) -> float:
    """A scale of places behind the nose, along the side view. Returns the height below it."""
    (left, _), (right, _) = _extent(lure, SIDE)
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
            told = k * step / 25.4 if us else k * step
            axes.text(at, y - 2.2, f"{told:g}", size=6.0, color=QUIET, ha="center", va="top")
    return y - 7.0


# ---- columns ------------------------------------------------------------------------------------------


def _flow(blocks: list[_Block], plan: _Plan) -> Iterator[tuple[int, list[tuple[str, str]]]]:
    """Blocks as lines of (kind, text), dealt to the columns: places to the left, the rest where room is."""
    wide = plan.column
    lengths = [0] * plan.columns
    for block in blocks:
        lines = [("head", block.head)]
        for text in block.lines:
            box = 4.0 if block.ticked else 0.0
            parts = _wrapped(text, plan.size, wide - box - 1.0)
            lines.append(("tick" if block.ticked else "line", parts[0]))
            lines += [("more" if block.ticked else "line", f"   {part}" if not block.ticked else part)
                      for part in parts[1:]]  # fmt: skip
        lines.append(("gap", ""))
        column = lengths.index(min(lengths))
        lengths[column] += len(lines)
        yield column, lines


def _tallest(blocks: list[_Block], plan: _Plan) -> float:
    """Height of the longer column, mm."""
    counts = [0] * plan.columns
    for column, lines in _flow(blocks, plan):
        counts[column] += len(lines)
    return max(counts) * _line(plan)


def _columns(axes: Axes, blocks: list[_Block], plan: _Plan, y: float) -> None:
    step = _line(plan)
    at = [y] * plan.columns
    for column, lines in _flow(blocks, plan):
        x = MARGIN + column * (plan.column + GAP)
        for kind, text in lines:
            indent = 4.0 if kind in ("tick", "more") else 0.0
            weight = "bold" if kind == "head" else "normal"
            axes.text(x + indent, at[column], text, size=plan.size, weight=weight, va="top")
            if kind == "tick":
                side = 0.72 * plan.size * POINT
                box = Rectangle(
                    (x, at[column] - 0.88 * plan.size * POINT),
                    side,
                    side,
                    fill=False,
                    edgecolor=INK,
                    linewidth=0.6,
                )
                axes.add_patch(box)
            at[column] -= step


def _foot_lines(foot: list[str], plan: _Plan) -> list[str]:
    return [line for text in foot for line in _wrapped(text, plan.size, plan.wide - 2 * MARGIN)]


def _foot(axes: Axes, foot: list[str], plan: _Plan) -> None:
    lines = _foot_lines(foot, plan)
    y = MARGIN + _line(plan) * len(lines)
    axes.plot([MARGIN, plan.wide - MARGIN], [y + 1.2, y + 1.2], color=QUIET, linewidth=0.4)
    for line in lines:
        axes.text(MARGIN, y, line, size=plan.size, va="top")
        y -= _line(plan)
