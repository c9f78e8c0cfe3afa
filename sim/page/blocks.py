"""A document as plain data for the page: the same page model that the terminal and the report are written from."""

from __future__ import annotations

from collections.abc import Iterable
from io import StringIO
from typing import Any

from sim.show import document as d


def as_data(document: d.Document) -> dict[str, Any]:
    """Title and blocks of a document, ready for JSON; pictures as SVG."""
    return {"title": document.title, "blocks": _each(document.blocks)}


def _each(blocks: Iterable[d.Block]) -> list[dict[str, Any]]:
    return [data for block in blocks if (data := _block(block)) is not None]


def _block(block: d.Block) -> dict[str, Any] | None:
    match block:
        case d.Paragraph(text, tone):
            return {"type": "paragraph", "text": text, "tone": tone} if text else None
        case d.Labelled(rows):
            return {"type": "labelled", "rows": [list(row) for row in rows]}
        case d.Bullets(items, _, note):
            return {"type": "bullets", "items": list(items), "note": note} if items else None
        case d.Facts(rows):
            return {"type": "labelled", "rows": [[name, value] for name, value, _ in rows]}
        case d.Table(columns, rows, caption, totals, note=note):
            heads = [" ".join(filter(None, (c.head.replace("\n", " "), c.unit))) for c in columns]
            return {
                "type": "table",
                "heads": heads,
                "numbers": [c.number for c in columns],
                "rows": [list(row) for row in rows],
                "caption": caption,
                "totals": totals,
                "note": note,
            }
        case d.Verbatim(text, label, whole):
            return {"type": "verbatim", "text": text, "label": label, "whole": whole}
        case d.Picture(draw, name):
            return {"type": "picture", "svg": _svg(draw), "name": name}
        case d.Section(title, inner):
            return {"type": "section", "title": title, "blocks": _each(inner)}
        case d.Fold(title, inner):
            return {"type": "fold", "title": title, "blocks": _each(inner)}
        case d.Roomy(made):
            return {"type": "section", "title": "", "blocks": _each(made() if callable(made) else made)}
    return None  # what only a terminal or only paper has


def _svg(draw: Any) -> str:
    figure, out = draw(), StringIO()
    figure.savefig(out, format="svg")
    return out.getvalue()
