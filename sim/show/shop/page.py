"""The shop sheet as a page in millimetres: one axes covers the paper, so that what is drawn is its own size."""

from __future__ import annotations

import re
from io import BytesIO, StringIO

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from numpy.typing import NDArray

from sim.design.model import Design
from sim.lure.lure import Lure
from sim.show import care, sentences
from sim.show.figures.drawing import extent
from sim.show.figures.labels import short
from sim.show.figures.style import INK, in_style
from sim.show.outline import SIDE
from sim.show.shop.columns import (
    MARGIN,
    SheetBlock,
    SheetPlan,
    columns,
    foot_lines,
    foot_of,
    line_height,
    tallest,
    width,
    wrapped,
)
from sim.show.shop.drawings import SLACK, drawing_height, drawings, waterline
from sim.show.shop.lists import Mark, cut_list, drill_list, marks, mix_rows
from sim.show.units import METRIC, Units
from sim.trials.cautions import in_the_workshop
from sim.trials.results import FloatResult

Array = NDArray[np.float64]

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}  # mm, upright
SCALES = (1, 2, 3, 4, 5, 10, 20)  # full size, or so many times smaller
SIZES = (9.0, 8.5, 8.0, 7.5, 7.0, 6.5, 6.0, 5.5)  # points of the text, the largest that fits


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
        y = drawings(axes, design, lure, rest, plan, y, units)
        columns(axes, blocks, plan, y)
        foot_of(axes, foot, plan)
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


def _words(design: Design, lure: Lure, rest: FloatResult, units: Units) -> tuple[list[SheetBlock], list[str]]:
    places = tuple(_place(mark, units) for mark in marks(design))
    blocks = [SheetBlock(f"Places ({units.unit('size')}): behind the nose, above the axis", places)]
    cut = tuple(cut_list(design, units))
    if cut:
        blocks.append(SheetBlock("Ballast to cut", cut, ticked=True))
    drill = tuple(drill_list(design, lure, units))
    if drill:
        blocks.append(SheetBlock("To drill and saw", drill, ticked=True))
    mix = mix_rows(design, lure)
    if mix is not None:
        name, rows = mix
        total = units.text("mass", sum(float(row.weight) for row in rows))
        parts = tuple(f"{short(row.name)}: {units.text('mass', float(row.weight))}" for row in rows)
        blocks.append(SheetBlock(f"Mix {short(name)}, {total} in all", parts, ticked=True))
    check = [f"Finished, hooks on: {units.text('mass', lure.mass * 1e3)}"]
    check.append(f"Balances {units.text('size', -lure.centre[0] * 1e3)} behind the nose (quartered ring)")
    check.append(sentences.rest(rest, units))
    if rest.origin_height_mm is not None and waterline(rest) is None:
        check.append("It lies on its side, so no waterline is drawn")
    blocks.append(SheetBlock("Check on the scale and in the tub", tuple(check), ticked=True))
    return blocks, care.sentences(in_the_workshop(design))


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


def _fitting(
    design: Design, lure: Lure, paper: str, blocks: list[SheetBlock], foot: list[str]
) -> tuple[SheetPlan, list[SheetBlock]]:
    """The largest layout that fits: full size before large text, upright before lengthwise."""
    short_, long_ = PAPERS[paper]
    for scale in SCALES:
        for wide, tall in ((short_, long_), (long_, short_)):
            for size in SIZES:
                plan = SheetPlan(wide, tall, scale, size)
                if not _fits_across(lure, plan):
                    continue
                room = _room(design, lure, plan, foot)
                if tallest(blocks, plan) <= room:
                    return plan, blocks
            plan = SheetPlan(wide, tall, scale, SIZES[-1])
            if _fits_across(lure, plan) and _room(design, lure, plan, foot) >= 60.0:
                return plan, _cut_short(blocks, plan, _room(design, lure, plan, foot))
    plan = SheetPlan(long_, short_, SCALES[-1], SIZES[-1])
    return plan, _cut_short(blocks, plan, _room(design, lure, plan, foot))


def _cut_short(blocks: list[SheetBlock], plan: SheetPlan, room: float) -> list[SheetBlock]:
    """Blocks with so many lines left out that the rest fits, and a word where."""
    keep = max(len(block.lines) for block in blocks)
    while keep > 1:
        keep -= 1
        shorter = [
            block
            if len(block.lines) <= keep
            else SheetBlock(
                block.head,
                (*block.lines[:keep], f"and {len(block.lines) - keep} more: see the design file"),
                block.ticked,
            )
            for block in blocks
        ]
        if tallest(shorter, plan) <= room:
            return shorter
    return shorter


def _fits_across(lure: Lure, plan: SheetPlan) -> bool:
    (left, _), (right, _) = extent(lure, SIDE, hooks=False)
    return (right - left) * 1e3 / plan.scale + 2 * SLACK <= plan.wide - 2 * MARGIN


def _room(design: Design, lure: Lure, plan: SheetPlan, foot: list[str]) -> float:
    """Height left for the columns, mm."""
    used = _head_height(design, plan) + drawing_height(lure, plan)
    used += line_height(plan) * len(foot_lines(foot, plan)) + 3.0
    return plan.tall - 2 * MARGIN - used


def _head_lines(plan: SheetPlan) -> list[str]:
    if plan.scale == 1:
        stated = (
            "Drawn full size. Print at 100 %, not fitted to the page, and measure the bar before you trust the "
            "drawing."
        )
    else:
        stated = (
            f"NOT FULL SIZE: the lure is too large for the paper and is drawn at 1:{plan.scale}; multiply what you "
            f"measure on it by {plan.scale}. The bar alone is true. Print at 100 %, not fitted to the page."
        )
    return wrapped(stated, 8.0, plan.wide - 2 * MARGIN, _stress(plan))


def _stress(plan: SheetPlan) -> str:
    return "normal" if plan.scale == 1 else "bold"


def _head_height(design: Design, plan: SheetPlan) -> float:
    return 8.0 + 3.8 * len(_head_lines(plan)) + 9.0


def _head(axes: Axes, design: Design, plan: SheetPlan) -> float:
    """Name, how to print, the bar of 100 mm. Returns the height down to which the page is used."""
    y = plan.tall - MARGIN
    name, size = short(design.name, 60), 14.0
    while width(f"{name}: shop sheet", size, "bold") > plan.wide - 2 * MARGIN and size > 7.0:
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
