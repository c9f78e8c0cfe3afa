"""A document as text for a terminal: at most `WIDTH` columns wide, in colour if wanted, without a last newline."""

from __future__ import annotations

from collections.abc import Sequence

from sim.show import layout
from sim.show.document import (
    Block,
    Brief,
    Bullets,
    Document,
    Facts,
    Fold,
    Labelled,
    Paragraph,
    Section,
    Table,
    Verbatim,
)
from sim.show.layout import Look, clean

PLAIN = Look()
MARGIN = 9  # columns in which labels hang


def write(document: Document, look: Look = PLAIN) -> str:
    """The whole page."""
    title = layout.paragraph(clean(document.title))
    title = look.paint(title, "head") if title else ""
    return layout.page(title, *_each(document.blocks, look))


def _each(blocks: Sequence[Block], look: Look) -> list[str]:
    return [_written(block, look) for block in blocks]


def _written(block: Block, look: Look) -> str:
    match block:
        case Paragraph(text, tone):
            written = layout.paragraph(clean(text))
            return look.paint(written, tone) if tone and written else written
        case Labelled(rows):
            return "\n".join(layout.paragraph(clean(text), label, MARGIN) for label, text in rows)
        case Bullets(items, _, note):
            return _noted(layout.bullets(items), note, look)
        case Facts(rows):
            return "\n".join(layout.paragraph(clean(value), f"{name}  ") for name, value, _ in rows)
        case Verbatim(text):
            return "\n".join(clean(line) for line in text.rstrip("\n").split("\n"))
        case Table():
            return _table(block, look)
        case Section(title, inner, bare):
            body = layout.page(*_each(inner, look))
            return body if bare or not body else f"{look.paint(layout.paragraph(title), 'head')}\n{body}"
        case Fold(title, inner):
            body = layout.page(*_each(inner, look))
            return f"{look.paint(layout.paragraph(title), 'head')}\n{body}" if body else ""
        case Brief(inner):
            return "\n".join(filter(None, _each(inner, look)))
    return ""  # pictures, and what takes more room than there is


def _table(block: Table, look: Look) -> str:
    kept = [k for k, column in enumerate(block.columns) if not column.roomy]
    columns = [block.columns[k] for k in kept]
    rows: list[list[str]] = []
    for n, row in enumerate(block.rows):
        cells = [row[k] for k in kept]
        for place, (k, column) in enumerate(zip(kept, columns, strict=True)):
            if not column.once or not n or row[k] != block.rows[n - 1][k]:
                break
            cells[place] = ""
        rows.append(cells)
    if not rows:
        return ""
    return _noted(layout.table(look, columns, rows, block.totals), block.note, look)


def _noted(written: str, note: str, look: Look) -> str:
    return f"{written}\n{look.paint(layout.paragraph(note), 'quiet')}" if note else written
