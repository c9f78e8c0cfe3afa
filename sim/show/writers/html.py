"""A document as one HTML file that stands alone: it fetches nothing, and opens with or without a network.

What stands before the first section is the head of the page; sections have links at the top. The words of the
glossary are explained where they first stand.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from importlib.resources import files
from typing import TYPE_CHECKING

from sim import __version__
from sim.show import care
from sim.show import document as d
from sim.show.writers.markup import Html, code, foldable, join, keyed, listed, table, tag
from sim.show.writers.terms import Terms

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from sim.trials.cautions import Caution

NO_CHANCE = "so there is no seed: the same file gives the same answers."
LONG_TEXT, LONG_FIGURES = 20, 2  # lines, figures of a part, that are long on a phone
TONES = {"good": "holds", "bad": "sinks", "head": "study"}


def write(
    document: d.Document, sources: Mapping[str, str] | None = None, cautions: Sequence[Caution] = ()
) -> str:
    """The whole page as text.

    Args:
        sources: text of each design file by its name, shown at the end.
        cautions: what can hurt in making or fishing it, as `sim.trials.cautions.cautions` gives.
    """
    terms = Terms()
    blocks = tuple(_opened(document.blocks))
    first = next((k for k, b in enumerate(blocks) if isinstance(b, d.Section)), len(blocks))
    header = _header(document, blocks[:first], terms)
    sections = [_section(part, terms) for part in _parts(blocks[first:], sources or {}, cautions)]
    links = [tag("a", name, href=f"#{key}") for key, name, _ in sections]
    players = [block for block in _every(blocks) if isinstance(block, d.Player)]
    script = (
        read("folds.js") + read("player.js") if players else ""
    )  # pages of studies run none, and fold nothing
    data = [tag("script", Html(p.data), type="application/json", id="replay-data") for p in players]
    body = tag(
        "body",
        header,
        tag("nav", *links, aria_label="On this page"),
        tag("main", *(content for _, _, content in sections)),
        tag("footer", tag("p", f"drytank {__version__}. {_foot(document)}")),
        *data,
        tag("script", Html(script)) if script else "",
    )
    return "<!DOCTYPE html>\n" + tag("html", _head(document, script), body, lang="en") + "\n"


def read(name: str) -> str:
    """The text of a file of this folder."""
    return files(__package__).joinpath(name).read_text(encoding="utf-8")


def _title(document: d.Document) -> str:
    return f"{document.title}: {document.asks}" if document.asks else document.title


def _foot(document: d.Document) -> str:
    if document.seed is None:
        return f"Nothing in this {document.kind} is drawn by chance, {NO_CHANCE}"
    return (
        f"Drawn by chance from seed {document.seed}: the same file and the same seed give the same answers."
    )


def _head(document: d.Document, script: str) -> Html:
    """Title, style, and a policy that lets the page run its own script, if it has one, and fetch nothing."""
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    may_run = f"script-src 'sha256-{digest}'; " if script else ""
    policy = (
        f"default-src 'none'; {may_run}style-src 'unsafe-inline'; img-src data:; "
        "base-uri 'none'; form-action 'none'"
    )
    return tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", http_equiv="Content-Security-Policy", content=policy),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="generator", content=f"drytank {__version__}"),
        tag("link", rel="icon", href="data:,"),
        tag("title", f"{_title(document)}: drytank report"),
        tag("style", Html(read("style.css"))),
    )


def _header(document: d.Document, blocks: Sequence[d.Block], terms: Terms) -> Html:
    """What it is about, then the answer in a frame of its own, then what else stands at the head."""
    before: list[Html] = []
    spoken: list[Html] = []
    after: list[Html] = []
    tone = "study"
    for block in blocks:
        if isinstance(block, d.Paragraph) and block.tone in TONES:
            tone = tone if spoken else TONES[block.tone]
            spoken.append(_paragraph(block.text, terms))
        else:
            about = isinstance(block, d.Paragraph) and not block.tone
            written = tag("p", block.text, class_="about") if about else _written(block, terms)  # type: ignore[union-attr]
            (after if spoken else before).append(written)
    framed = tag("div", *spoken, class_=f"verdict {tone}") if spoken else ""
    top = tag("p", "From the dry tank", class_="kicker")
    return tag("header", top, tag("h1", _title(document)), *before, framed, *after)


def _opened(blocks: Iterable[d.Block]) -> Iterator[d.Block]:
    """Blocks as a file has them: with what takes room, without what stands for it on a terminal."""
    for block in blocks:
        if isinstance(block, d.Roomy):
            yield from _opened(block.blocks)
        elif isinstance(block, d.Section):
            inside = tuple(_opened(block.blocks))
            if inside:
                yield d.Section(block.title, inside, block.bare, block.key)
        elif not isinstance(block, d.Brief):
            yield block


def _parts(
    blocks: Sequence[d.Block], sources: Mapping[str, str], cautions: Sequence[Caution]
) -> Iterator[d.Section]:
    """The sections, loose blocks between them gathered under the one before; cautions and files at the end."""
    found: list[d.Section] = []
    for block in blocks:
        if isinstance(block, d.Section):
            found.append(block)
        else:
            last = found.pop()
            found.append(d.Section(last.title, (*last.blocks, block), last.bare, last.key))
    yield from found
    if cautions:
        yield d.Section("Take care", (d.Bullets(tuple(care.sentences(cautions))),), key="care")
    if sources:
        inside = [
            d.Section(name, (d.Verbatim(text, f"Design file of {name}"),)) for name, text in sources.items()
        ]
        yield d.Section("The file" if len(inside) == 1 else "The files", tuple(inside), key="file")


def _every(blocks: Iterable[d.Block]) -> Iterator[d.Block]:
    for block in blocks:
        yield block
        if isinstance(block, d.Section | d.Fold):
            yield from _every(block.blocks)


def _section(part: d.Section, terms: Terms) -> tuple[str, str, Html]:
    key = part.key or re.sub(r"[^a-z]+", "-", part.title.lower()).strip("-")
    heading = tag("h2", keyed(part.title), id=f"{key}-head")
    inside = tag("div", *(_written(block, terms) for block in part.blocks), class_="body")
    return key, part.title, tag("section", heading, inside, id=key, aria_labelledby=f"{key}-head")


def _paragraph(text: str, terms: Terms, **attributes: object) -> Html:
    return tag("p", terms.explained(text), **attributes)


def _written(block: d.Block, terms: Terms) -> Html:
    match block:
        case d.Paragraph(text, tone):
            return _paragraph(text, terms, class_="quiet" if tone == "quiet" else None)
        case d.Labelled(rows):
            return join(_paragraph(f"{label}: {text}" if label else text, terms) for label, text in rows)
        case d.Bullets(items, keys, note):
            lines = [terms.explained(item) for item in items]
            return _noted(listed(lines, class_="keys" if keys else None), note, terms)
        case d.Facts(rows):
            pairs = [
                tag("div", tag("dt", terms.term(word, name) if word else name), tag("dd", value))
                for name, value, word in rows
            ]
            return tag("dl", *pairs, class_="figures")
        case d.Table():
            return _table(block, terms)
        case d.Picture(draw, name):
            return figure_of(draw, name)
        case d.Sheet(draw, paper, lists):
            words = [join([tag("h3", head), listed(lines)]) for head, lines in lists]
            return join([
                figure_of(draw, "sheet", class_=f"sheet {paper}"), tag("div", *words, class_="lists")
            ])  # fmt: skip
        case d.Player():
            from sim.show.writers.player import player

            return player(block)
        case d.Verbatim(text, label):
            written = tag("pre", code(text), tabindex=0, aria_label=label or None)
            return foldable(label, written) if label and text.count("\n") > LONG_TEXT else written
        case d.Section(title, inner):
            written = join([_written(one, terms) for one in inner])
            pictures = sum(isinstance(one, d.Picture) for one in inner)
            return join(
                [
                    tag("h3", title),
                    foldable("Why, and how it moves", written) if pictures >= LONG_FIGURES else written,
                ]
            )
        case d.Fold(title, inner):
            return tag("details", tag("summary", title), *(_written(one, terms) for one in inner))
    return Html()


def _table(block: d.Table, terms: Terms) -> Html:
    heads = [", ".join(filter(None, (c.head.replace("\n", " "), c.unit))) for c in block.columns]
    numbers = [k for k, column in enumerate(block.columns) if column.number]
    rows = [
        [cell if not k or k in numbers else terms.explained(cell) for k, cell in enumerate(row)]
        for row in block.rows
    ]
    caption = terms.explained(block.caption) if block.caption else ""
    return _noted(table(caption, heads, rows, numbers, block.totals, block.broad), block.note, terms)


def _noted(written: Html, note: str, terms: Terms) -> Html:
    return join([written, _paragraph(note, terms, class_="quiet")]) if note else written


def figure_of(draw: Callable[[], Figure], name: str, **attributes: object) -> Html:
    """A figure, which carries its own heading; `name` keeps its ids apart from those of others on the page."""
    from sim.show.figures.style import as_svg

    return tag("figure", Html(as_svg(draw(), prefix=name)), **attributes)
