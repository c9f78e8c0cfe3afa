"""Paragraphs, tables and colour. Every page is at most `width()` columns wide and ends without a newline."""

from __future__ import annotations

import shutil
import textwrap
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from sim.show.document import Column
from sim.show.units import METRIC, NO_BREAK, Units

WIDTH = 80  # columns, where there is room for them
NARROWEST = 20

_CODES = {"good": "1;32", "bad": "1;31", "head": "1", "quiet": "2"}


@dataclass(frozen=True)
class Look:
    """How a page is to be written."""

    units: Units = METRIC
    colour: bool = False

    def paint(self, text: str, style: str) -> str:
        """`text` in one of the styles `good`, `bad`, `head`, `quiet`; as it is without colour."""
        return f"\x1b[{_CODES[style]}m{text}\x1b[0m" if self.colour else text


def clean(text: str) -> str:
    """A user's text without control characters, so that no name can drive the terminal."""
    return "".join(" " if unicodedata.category(c) in ("Cc", "Cf", "Cs", "Zl", "Zp") else c for c in text)


def width() -> int:
    """Columns to fill: those of the terminal or of the variable COLUMNS, and no more than `WIDTH`."""
    return max(NARROWEST, min(WIDTH, shutil.get_terminal_size((WIDTH, 24)).columns))


def paragraph(text: str, label: str = "", indent: int = 0) -> str:
    """Wrapped text, with a label hanging in the margin."""
    filled = textwrap.fill(
        text,
        width(),
        initial_indent=label.ljust(indent),
        subsequent_indent=" " * indent,
        break_on_hyphens=False,
    )
    return filled.replace(NO_BREAK, " ")


def bullets(items: Iterable[str]) -> str:
    """A list, one dash an item."""
    return "\n".join(paragraph(clean(item), "- ", 2) for item in items)


def page(*blocks: str) -> str:
    """Blocks one below the other with a blank line between; empty ones are left out."""
    return "\n\n".join(block for block in blocks if block)


def table(look: Look, columns: Sequence[Column], rows: Sequence[Sequence[str]], totals: int = 0) -> str:
    """Rows of text under their headings; the last `totals` rows stand apart. Where there is no room for it, a list."""
    written = _grid(look, columns, rows, totals)
    plain = _grid(replace(look, colour=False), columns, rows, totals) if look.colour else written
    if width() == WIDTH or max(map(len, plain.splitlines()), default=0) <= width():
        return written
    heads = [" ".join(_head(column).split()) for column in columns]
    return "\n".join(
        paragraph(
            clean(f"{row[0]}: " + ", ".join(f"{h} {cell}" for h, cell in zip(heads[1:], row[1:], strict=True) if cell)),
            "- ", 2,
        )
        for row in rows
    )  # fmt: skip


def _head(column: Column) -> str:
    return "\n".join(filter(None, (column.head, column.unit)))


def _grid(look: Look, columns: Sequence[Column], rows: Sequence[Sequence[str]], totals: int) -> str:
    from io import StringIO

    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    grid = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    for column in columns:
        grid.add_column(
            Text(_head(column)),
            justify="right" if column.number else "left",
            vertical="top",
            no_wrap=column.widest is None,
            max_width=column.widest,
            overflow="fold",
        )
    for k, row in enumerate(rows):
        if totals and k == len(rows) - totals:
            grid.add_row()
        grid.add_row(*(Text(clean(cell)) for cell in row))
    console = Console(
        file=StringIO(),
        width=WIDTH,
        force_terminal=look.colour,
        color_system="standard" if look.colour else None,
        no_color=not look.colour,
        legacy_windows=False,
        highlight=False,
    )
    with console.capture() as capture:
        console.print(grid)
    return "\n".join(line.rstrip() for line in capture.get().splitlines())
