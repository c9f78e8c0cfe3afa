"""Words on the shop sheet: how a page is laid out, and text in columns under the drawings, mm."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from matplotlib.axes import Axes
from matplotlib.font_manager import FontProperties
from matplotlib.patches import Rectangle
from matplotlib.textpath import text_to_path

from sim.show.figures.style import INK, QUIET

MARGIN = 13.0  # mm: no printer reaches the edge
GAP = 6.0  # mm between columns
POINT = 25.4 / 72.0  # mm


@dataclass(frozen=True)
class SheetPlan:
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
class SheetBlock:
    """A headed list in a column; ticked lists have a box before every line."""

    head: str
    lines: tuple[str, ...]
    ticked: bool = False


def line_height(plan: SheetPlan) -> float:
    """From line to line of text, mm."""
    return 1.32 * plan.size * POINT


def width(text: str, size: float, weight: str = "normal") -> float:
    """Width of a line of text, mm."""
    words = text.split(" ")
    return size * (sum(_em(word, weight) for word in words) + (len(words) - 1) * _em(" ", weight))


@lru_cache(maxsize=4096)
def _em(word: str, weight: str) -> float:
    """Width of a word, mm for each point of the letters' size."""
    font = FontProperties(family="DejaVu Sans", size=10.0, weight=weight)
    return float(text_to_path.get_text_width_height_descent(word, font, ismath=False)[0]) / 10.0 * POINT


def wrapped(text: str, size: float, wide: float, weight: str = "normal") -> list[str]:
    """Lines of at most `wide` mm, broken at blanks (not at those that hold a unit to its number)."""
    lines: list[str] = []
    room = wide
    for word in text.split(" "):
        needs = width(word, size, weight)
        if lines and needs + width(" ", size, weight) <= room:
            lines[-1] += f" {word}"
            room -= needs + width(" ", size, weight)
        else:
            lines.append(word)
            room = wide - needs
    return lines


def _flow(blocks: list[SheetBlock], plan: SheetPlan) -> Iterator[tuple[int, list[tuple[str, str]]]]:
    """Blocks as lines of (kind, text), dealt to the columns: places to the left, the rest where room is."""
    wide = plan.column
    lengths = [0] * plan.columns
    for block in blocks:
        lines = [("head", block.head)]
        for text in block.lines:
            box = 4.0 if block.ticked else 0.0
            parts = wrapped(text, plan.size, wide - box - 1.0)
            lines.append(("tick" if block.ticked else "line", parts[0]))
            lines += [("more" if block.ticked else "line", f"   {part}" if not block.ticked else part)
                      for part in parts[1:]]  # fmt: skip
        lines.append(("gap", ""))
        column = lengths.index(min(lengths))
        lengths[column] += len(lines)
        yield column, lines


def tallest(blocks: list[SheetBlock], plan: SheetPlan) -> float:
    """Height of the longer column, mm."""
    counts = [0] * plan.columns
    for column, lines in _flow(blocks, plan):
        counts[column] += len(lines)
    return max(counts) * line_height(plan)


def columns(axes: Axes, blocks: list[SheetBlock], plan: SheetPlan, y: float) -> None:
    step = line_height(plan)
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


def foot_lines(foot: list[str], plan: SheetPlan) -> list[str]:
    return [line for text in foot for line in wrapped(text, plan.size, plan.wide - 2 * MARGIN)]


def foot_of(axes: Axes, foot: list[str], plan: SheetPlan) -> None:
    lines = foot_lines(foot, plan)
    y = MARGIN + line_height(plan) * len(lines)
    axes.plot([MARGIN, plan.wide - MARGIN], [y + 1.2, y + 1.2], color=QUIET, linewidth=0.4)
    for line in lines:
        axes.text(MARGIN, y, line, size=plan.size, va="top")
        y -= line_height(plan)
