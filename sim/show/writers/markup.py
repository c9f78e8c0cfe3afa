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

STRIP, TWO = 4, 20  # numbers side by side on a phone; signs of either value, if two of any kind stand so
PAIRS, SHORT = 4, 6  # so many columns of numbers, of so many signs at the most, stand two by two in a card
_JOINT = re.compile(r"(?<=[a-z])([._])(?=[a-z])")
_UNIT = r"(?:[mc]?m|m?g|kg|g/cm3|g/mL|kg/m3|mL|L|s|m/s|ft/s|ft|in|(?:fl )?oz|lbf|N|deg|C|F|%|/s)"
_QUANTITY = re.compile(rf"[-+]?\d[\d.]*(?: \+- \d[\d.]*(?: {_UNIT})?| {_UNIT})(?![\w/])")
FOLD = '<details class="long" open>'
LONG_CARDS = 4  # cards under each other that are long on a phone
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
        written += f" {key}" if value is True else f' {key}="{text(value)}"'
    if name in VOID:
        return Html(f"<{name}{written}>")
    return Html(f"<{name}{written}>{join(content)}</{name}>")


def stated(sentence: object) -> Html:
    """A sentence with what stands between backticks, a command or a key, as code; `Html` as it is.

    >>> told("run `drytank log` & look")
    'run <code>drytank log</code> &amp; look'
    """
    if isinstance(sentence, Html):
        return sentence
    pieces = text(sentence).split("`")
    if len(pieces) % 2 == 0:  # one without its other is no mark
        return Html("`".join(pieces))
    return Html("".join(f"<code>{piece}</code>" if k % 2 else piece for k, piece in enumerate(pieces)))


def listed(items: Iterable[object], **attributes: object) -> Html:
    """A plain list, or nothing when there are no items."""
    rows = [tag("li", stated(item)) for item in items]
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

    A column without a word in it is left out, and a number stays on one line with its unit and its `+-`.

    numbers: columns that hold numbers. foot: rows at the end that are totals. broad: the column with the most
    text in a table that is too wide for a phone. There the table is set as `cards`, every value after its own
    head on a line of its own, or two on a line if they are `pairs` of many short numbers; or, if only a few numbers
    or two short values follow the first column, as `strips`, side by side under it.
    """
    cells = [[stated(cell) for cell in row] for row in rows]
    kept = [k for k in range(len(heads)) if not k or any(row[k] for row in cells)]
    right = set(numbers)
    names = [_bare(head) for head in heads]

    def kinds(k: int) -> str | None:
        spoken = ["number"] * (k in right) + ["broad"] * (k == broad)
        return " ".join(spoken) or None

    def row(cells: Sequence[Html]) -> Html:
        return tag(
            "tr",
            *(
                tag(
                    "td" if k else "th",
                    _unbroken(cells[k]),
                    scope=None if k else "row",
                    class_=kinds(k),
                    data_head=keyed(names[k], "&#8203;") if broad is not None else None,
                )
                for k in kept
            ),
        )

    written = [row(each) for each in cells]
    split = len(written) - foot
    head = tag("tr", *(tag("th", keyed(heads[k]), scope="col", class_=kinds(k)) for k in kept))
    whole = tag(
        "table",
        tag("caption", caption),
        tag("thead", head),
        tag("tbody", *written[:split]),
        tag("tfoot", *written[split:]) if foot else "",
        class_=None if broad is None else _kind(kept[1:], right, cells, broad),
    )
    framed = tag("div", whole, class_="frame", tabindex=0, role="region", aria_label=_bare(caption))
    carded = broad is not None and "cards" in _kind(kept[1:], right, cells, broad)
    return foldable(_bare(caption), framed) if carded and len(cells) >= LONG_CARDS else framed


def foldable(title: str, content: Html) -> Html:
    """What a phone shows folded, and a desk in full."""
    return Html(f"{FOLD}{tag('summary', title)}{content}</details>")


def _kind(columns: Sequence[int], numbers: set[int], cells: Sequence[Sequence[str]], broad: int) -> str:
    """How a wide table is set on a phone, as a class for the style."""
    two = len(columns) == 2 and all(len(row[k]) <= TWO for row in cells for k in columns)
    if broad == 0 and (two or (1 < len(columns) <= STRIP and numbers.issuperset(columns))):
        return f"strips of-{len(columns)}"
    mine = numbers.intersection(columns)
    short = all(len(row[k]) <= SHORT for row in cells for k in mine)
    return "cards pairs" if len(mine) >= PAIRS and short else "cards"


def _unbroken(cell: Html) -> Html:
    """Each number with its unit and its `+-` as a piece that the style keeps on one line; a key may break at a dot."""
    if "<" not in cell and " " not in cell:
        cell = Html(_JOINT.sub(r"\1<wbr>", cell))
    return Html(_QUANTITY.sub(lambda found: tag("span", Html(found.group()), class_="quantity"), cell))


def keyed(title: object, joint: str = "<wbr>") -> Html:
    """Words in which a key may break at its dots and bars; `Html` as it is.

    >>> keyed("Move body.fill & go")
    'Move body.<wbr>fill &amp; go'
    """
    return title if isinstance(title, Html) else Html(_JOINT.sub(rf"\1{joint}", text(title)))


def _bare(head: object) -> str:
    """The words of a head without its explanation."""
    return unescape(re.sub(r'<span role="tooltip".*?</span>|<[^>]+>', "", text(head)))
