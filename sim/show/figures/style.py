"""The one style of all figures: sizes, colours, lines, and how a figure is written to a file.

Colours differ in lightness before they differ in hue, lines also in their dashes and areas in their hatching,
so that a grey print and a colour-blind reader lose nothing. All text has a contrast of at least 4.5 to 1
against what it stands on.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import wraps
from html import escape
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any, NamedTuple, ParamSpec

from matplotlib import style as _style
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from sim.disk import write_whole
from sim.show.units import NO_BREAK

WIDTH = 4.5  # in: on a phone 390 px wide the letters are still over 11 px tall
EDGE, LINE = 0.15, 0.19  # in: margin, and from line to line of text
PER_LINE = 57  # letters
DPI = 200  # of a PNG

PAPER, INK, QUIET = "#fbfaf6", "#1d2b33", "#5a6670"
WATER, SURFACE = "#dcebf1", "#1b6285"
DRY, WET, METAL = "#f6e7c4", "#cdb486", "#8d979e"
DOWN, UP = "#8c4a1f", "#1b6285"  # what pulls down, what holds up
GRID = "#d9d5c9"


class Ink(NamedTuple):
    """How one line of several is told from the others."""

    colour: str
    dashes: Any


LINES = (Ink("#0f4c75", "-"), Ink("#b0500c", (0, (6, 2))), Ink("#4f5b62", (0, (1.5, 1.5))))

SETTINGS: dict[str, Any] = {
    "font.family": "DejaVu Sans",  # comes with matplotlib: the same letters on every machine
    "font.size": 9.5,
    "text.parse_math": False,  # a name with a dollar sign is a name
    "text.color": INK,
    "figure.facecolor": PAPER,
    "savefig.facecolor": PAPER,
    "axes.facecolor": PAPER,
    "axes.edgecolor": QUIET,
    "axes.labelcolor": INK,
    "axes.titlesize": 10.5,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.titlepad": 10.0,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "axes.unicode_minus": True,
    "grid.color": GRID,
    "grid.linewidth": 0.7,
    "lines.linewidth": 1.8,
    "xtick.color": QUIET,
    "ytick.color": QUIET,
    "xtick.labelcolor": INK,
    "ytick.labelcolor": INK,
    "hatch.color": QUIET,
    "hatch.linewidth": 0.6,
    "svg.fonttype": "path",
    "svg.hashsalt": "drytank",
    "path.simplify": True,
    "path.simplify_threshold": 0.3,
    "figure.dpi": 100.0,
}

P = ParamSpec("P")


@contextmanager
def in_style() -> Iterator[None]:
    """Matplotlib's own defaults with this style upon them, for a while; afterwards all is as it was."""
    with _style.context(["default", SETTINGS], after_reset=True):
        yield


def drawn(make: Callable[P, Figure]) -> Callable[P, Figure]:
    """Make a figure in this style."""

    @wraps(make)
    def made(*args: P.args, **kwargs: P.kwargs) -> Figure:
        with in_style():
            return make(*args, **kwargs)

    return made


def sheet(body: float, title: str, says: str) -> Figure:
    """An empty figure: a heading with `says` under it, over `body` inches that are to be filled.

    Everything is placed in inches, so that the same figure always breaks the same way.
    """
    lines = stated(says)
    tall = body + head(lines)
    figure = Figure(figsize=(WIDTH, tall))
    FigureCanvasAgg(figure)
    figure.set_label(f"{title}. {' '.join(lines)}")
    line = tall - 0.9 * LINE
    figure.text(EDGE / WIDTH, line / tall, title, weight="bold", size=10.5, va="center")
    for k, text in enumerate(lines):
        figure.text(EDGE / WIDTH, (line - (k + 1.1) * LINE) / tall, text, va="center")
    return figure


def stated(says: str) -> list[str]:
    """A sentence in lines as wide as a figure."""
    return [line.replace(NO_BREAK, " ") for line in textwrap.wrap(says, PER_LINE)]


def head(lines: list[str]) -> float:
    """Height of the heading with so many lines under it, in."""
    return LINE * (len(lines) + 1.7)


def panel(figure: Figure, left: float, bottom: float, width: float, height: float) -> Axes:
    """Axes at a place told in inches."""
    wide, tall = figure.get_size_inches()
    return figure.add_axes((left / wide, bottom / tall, width / wide, height / tall))


def drawing_board(figure: Figure, left: float, bottom: float, width: float, height: float) -> Axes:
    """A panel without frame or scales whose data units are inches, over whatever else stands there."""
    axes = panel(figure, left, bottom, width, height)
    axes.set_axis_off()
    axes.set_xlim(0.0, width)
    axes.set_ylim(0.0, height)
    axes.set_zorder(5)
    return axes


def nothing(title: str, why: str) -> Figure:
    """A figure that says why there is nothing to draw."""
    return sheet(0.1, title, why)


def save(figure: Figure, path: Path | str) -> None:
    """Write a figure as SVG or PNG, by the ending of the name; the same bytes every time.

    Raises:
        ValueError: another ending.
        DiskError: the file cannot be written.
    """
    target = Path(path)
    ending = target.suffix.lower()
    if ending == ".svg":
        write_whole(target, as_svg(figure) + "\n")
    elif ending == ".png":
        write_whole(target, as_png(figure))
    else:
        raise ValueError(f"{target.name!r} does not end in .png or .svg")


def as_png(figure: Figure, dpi: float = DPI) -> bytes:
    """The figure as PNG."""
    sink = BytesIO()
    with in_style():
        figure.savefig(sink, format="png", dpi=dpi, metadata={"Software": "drytank"})
    return sink.getvalue()


def as_svg(figure: Figure, prefix: str = "") -> str:
    """The figure as an SVG element that may stand in a page as it is.

    `prefix` goes before all its ids, so that several figures on one page keep theirs apart.
    """
    sink = StringIO()
    with in_style():
        figure.savefig(
            sink, format="svg", metadata={"Date": None, "Creator": None, "Type": None, "Format": None}
        )
    text = sink.getvalue()
    text = text[text.index("<svg") :]
    text = re.sub(r"\s*<metadata>.*?</metadata>", "", text, flags=re.S)
    text = re.sub(r"<!--.*?-->\s*", "", text, flags=re.S)
    text = text.replace("<svg ", f'<svg role="img" aria-label="{escape(str(figure.get_label()))}" ', 1)
    text = re.sub(r' d="[^"]*"', lambda path: re.sub(r"(\.\d\d)\d+", r"\1", path.group()), text)
    if prefix:
        text = re.sub(r'(\bid="|href="#|url\(#)', rf"\g<1>{prefix}-", text)
    return text.strip()


def contrast(one: str, other: str) -> float:
    """Contrast of two colours, 1 to 21 (WCAG 2.1, relative luminance)."""
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    from matplotlib.colors import to_rgb

    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
