"""A page of text as an SVG picture, for the README."""

from __future__ import annotations

from html import escape

COLUMN, LINE, MARGIN = 8.4, 18, 20  # px
INK, PAPER, EDGE = "#1d2b33", "#fbfaf6", "#c9c3b4"


def picture(text: str) -> str:
    """SVG of plain text, one line of text a line, in the reader's own fixed-width font."""
    lines = text.rstrip("\n").split("\n")
    width = round(2 * MARGIN + COLUMN * max(len(line) for line in lines))
    height = 2 * MARGIN + LINE * len(lines)
    rows = "\n".join(
        f'<text x="{MARGIN}" y="{MARGIN + LINE * k + 13}" textLength="{COLUMN * len(line):.1f}" '
        f'lengthAdjust="spacingAndGlyphs">{escape(line).replace(" ", "&#160;")}</text>'
        for k, line in enumerate(lines)
        if line.strip()
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" height="{height}" '
        f'role="img" aria-label="What drytank answers">\n'
        f'<rect x="0.5" y="0.5" width="{width - 1}" height="{height - 1}" fill="{PAPER}" stroke="{EDGE}"/>\n'
        f'<g font-family="ui-monospace, DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="14" fill="{INK}">\n'
        f"{rows}\n</g>\n</svg>\n"
    )
