"""Labels that never run into each other: spread along a line, with a thin leader to what they name."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from matplotlib.axes import Axes
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path

from sim.show.figures.style import INK, QUIET, SETTINGS

MOST = 20  # letters of a maker's own name in a figure
FONT = FontProperties(family=SETTINGS["font.family"], size=SETTINGS["font.size"])
GAP, ROW = 0.15, 0.2  # in, between names in a row, and from row to row


class Named(NamedTuple):
    """A point with its name. Its leader is drawn at `order`: over all that is not the point's own mark."""

    x: float
    y: float
    text: str
    order: float = 4.0


def short(name: str, most: int = MOST) -> str:
    """A maker's own word in a figure: printable, and no longer than there is room for."""
    text = "".join(c if c.isprintable() else " " for c in name).replace("_", " ")
    return text if len(text) <= most else text[: most - 1].rstrip() + "\u2026"


def spread(
    wanted: Sequence[float], sizes: Sequence[float], low: float, high: float, gap: float
) -> list[float]:
    """Middles of pieces on a line, as near as may be to where they are wanted, none over another.

    Pieces keep the order of `wanted`, which must rise. Overlapping neighbours are joined to blocks, each put
    at the mean of where its pieces want to be and then kept between `low` and `high`; if all together are
    longer than that, they start at `low` and run over at `high`.
    """
    blocks: list[tuple[float, float, list[int]]] = []  # where its start would like to be, length, pieces
    for k, (middle, size) in enumerate(zip(wanted, sizes, strict=True)):
        blocks.append((_kept(middle - size / 2, size, low, high), size, [k]))
        while len(blocks) > 1 and blocks[-2][0] + blocks[-2][1] + gap > blocks[-1][0]:
            (a, long_a, of_a), (b, long_b, of_b) = blocks[-2:]
            n, m = len(of_a), len(of_b)
            start = (n * a + m * (b - long_a - gap)) / (n + m)
            length = long_a + gap + long_b
            blocks[-2:] = [(_kept(start, length, low, high), length, of_a + of_b)]
    found = [0.0] * len(wanted)
    for start, _, pieces in blocks:
        for k in pieces:
            found[k] = start + sizes[k] / 2
            start += sizes[k] + gap
    return found


def _kept(start: float, length: float, low: float, high: float) -> float:
    return max(low, min(start, high - length))


def width_in(text: str) -> float:
    """Width of a text in the size of figures, in."""
    wide, _, _ = text_to_path.get_text_width_height_descent(text, FONT, False)
    return float(wide) / 72.0


def fitted(name: str, room: float) -> str:
    """A maker's own word, cut short where it takes more than `room` inches."""
    return _cut(short(name), room)


def lines_of(text: str, room: float) -> list[str]:
    """A text in lines of no more than `room` inches, broken between words; a word longer than that is cut short."""
    lines: list[str] = []
    for word in "".join(c if c.isprintable() else " " for c in text).split():
        if lines and width_in(f"{lines[-1]} {word}") <= room:
            lines[-1] += f" {word}"
        else:
            lines.append(_cut(word, room))
    return lines or [""]


def _cut(word: str, room: float) -> str:
    while width_in(word) > room and len(word) > 2:
        word = word.rstrip("\u2026")[:-1].rstrip() + "\u2026"
    return word


def rows_for(texts: Sequence[str], room: float) -> int:
    """How many rows `row` takes for these names in `room` inches."""
    return max(1, math.ceil(sum(width_in(text) + GAP for text in texts) / room)) if texts else 0


def row(
    axes: Axes,
    items: Sequence[Named],
    level: float,
    low: float,
    high: float,
    inch: float,
    above: bool,
) -> None:
    """Names of points in rows over (or under) `level`, each with a leader to its point.

    As many rows as are needed between `low` and `high`; neighbours fall in turn in the rows. All places are
    in the data units of the axes, of which `inch` make an inch both ways.
    """
    ordered = sorted(items)
    widths = [width_in(item.text) * inch for item in ordered]
    rows = rows_for([item.text for item in ordered], (high - low) / inch)
    for r in range(rows):
        mine = list(range(r, len(ordered), rows))
        middles = spread([ordered[k].x for k in mine], [widths[k] for k in mine], low, high, GAP * inch)
        at = level + (1 if above else -1) * r * ROW * inch
        for k, middle in zip(mine, middles, strict=True):
            x, y, text, order = ordered[k]
            axes.plot([x, middle], [y, at], color=QUIET, linewidth=0.7, zorder=order, solid_capstyle="butt")
            axes.text(
                middle, at, text, ha="center", va="bottom" if above else "top", color=INK, zorder=6,
            )  # fmt: skip
