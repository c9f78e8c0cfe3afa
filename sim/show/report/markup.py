"""HTML that cannot be broken into: text is escaped unless it was made here.

>>> tag("p", "2 < 3", class_="quiet")
'<p class="quiet">2 &lt; 3</p>'
>>> tag("p", tag("b", "A & B"), " and <script>")
'<p><b>A &amp; B</b> and &lt;script&gt;</p>'
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from html import escape, unescape

from sim.show.layout import clean

VOID = {"br", "hr", "img", "input", "meta", "link"}


class Html(str):
    """Text that is HTML already."""

    __slots__ = ()


def text(value: object) -> Html:
    """Any value as HTML: control characters taken out and escaped, unless it is `Html`."""
    return value if isinstance(value, Html) else Html(escape(clean(str(value))))


def code(source: str) -> Html:
    """Lines as they were written, for a `pre`: escaped, other control characters than tabs as blanks."""
    lines = source.replace("\r\n", "\n").rstrip().split("\n")
    return Html(
        "\n".join(escape("".join(c if c.isprintable() or c == "\t" else " " for c in line)) for line in lines)
    )


def join(parts: Iterable[object], between: str = "") -> Html:
    """Pieces one after the other."""
    return Html(between.join(text(part) for part in parts))


def tag(name: str, /, *content: object, **attributes: object) -> Html:
    """One element. Attribute names: a trailing `_` is dropped, other `_` become `-`; False and None leave one out,
    True writes it without a value."""
    written = ""
    for key, value in attributes.items():
        if value is None or value is False:
            continue
        key = key.rstrip("_").replace("_", "-")
        written += f" {key}" if value is True else f' {key}="{text(str(value))}"'
    if name in VOID:
        return Html(f"<{name}{written}>")
    return Html(f"<{name}{written}>{join(content)}</{name}>")


def listed(items: Iterable[object], **attributes: object) -> Html:
    """A plain list, or nothing when there are no items."""
    rows = [tag("li", item) for item in items]
    return tag("ul", *rows, **attributes) if rows else Html()


def table(
    caption: object,
    heads: Sequence[object],
    rows: Iterable[Iterable[object]],
    numbers: Iterable[int] = (),
    foot: int = 0,
    broad: int | None = None,
) -> Html:
    """A table with its first column as heads of the rows, in a frame of its own that may be scrolled.

    numbers: columns that hold numbers. foot: rows at the end that are totals. broad: the column with the most
    text in a table that is too wide for a phone; there each row becomes a card, every value under its own head.
    """
    right = set(numbers)
    names = [_bare(head) for head in heads]

    def kinds(k: int) -> str | None:
        said = ["number"] * (k in right) + ["broad"] * (k == broad)
        return " ".join(said) or None

    def row(cells: Iterable[object]) -> Html:
        return tag(
            "tr",
            *(
                tag(
                    "td" if k else "th",
                    cell,
                    scope=None if k else "row",
                    class_=kinds(k),
                    data_head=names[k] if broad is not None else None,
                )
                for k, cell in enumerate(cells)
            ),
        )

    written = [row(cells) for cells in rows]
    split = len(written) - foot
    head = tag(
        "tr",
        *(tag("th", cell, scope="col", class_=kinds(k)) for k, cell in enumerate(heads)),
    )
    whole = tag(
        "table",
        tag("caption", caption),
        tag("thead", head),
        tag("tbody", *written[:split]),
        tag("tfoot", *written[split:]) if foot else "",
        class_=f"cards by-{min(3, len(heads) - 1)}" if broad is not None else None,
    )
    return tag("div", whole, class_="frame", tabindex=0, role="region", aria_label=_bare(caption))


def _bare(head: object) -> str:
    """The words of a head without its explanation."""
    return unescape(re.sub(r'<span role="tooltip".*?</span>|<[^>]+>', "", text(head)))
