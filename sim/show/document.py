"""The page model: what a page says, before anyone decides how it looks.

A page function takes results and the reader's units and gives a `Document`; `writers.text` makes a terminal page of
it, `writers.html` one file that stands alone. A document is plain data: its texts hold no markup but `backticks`
around a command or a key, its pictures are functions that draw when they are wanted.

    def drop(name: str, result: DropResult, units: Units) -> Document:
        return Document(name, (Paragraph(sentences.drop(result, units), "head"), countdown(result, units)))
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from matplotlib.figure import Figure

Tone = Literal["", "head", "good", "bad", "quiet"]


@dataclass(frozen=True)
class Paragraph:
    """A few sentences. `head`, `good` and `bad` are answers, `quiet` is said aside."""

    text: str
    tone: Tone = ""


@dataclass(frozen=True)
class Labelled:
    """Sentences, each after a word that names it: (label, sentence). An empty label goes on with the one before."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Bullets:
    """A list. A file sets `keys` in several columns. note: explains it, quietly."""

    items: tuple[str, ...]
    keys: bool = False
    note: str = ""


@dataclass(frozen=True)
class Facts:
    """A few short values: (name, value, the glossary's word for the name or nothing)."""

    rows: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class Column:
    """One column of a table.

    head: its words; a newline in them is where a terminal breaks them. unit: stands after them, or under them.
    number: its cells are numbers. widest: a terminal folds longer cells. once: a terminal leaves a cell blank that
    says the same as the one above it, if all columns before it do. roomy: left out on a terminal.
    """

    head: str
    unit: str = ""
    number: bool = True
    widest: int | None = None
    once: bool = False
    roomy: bool = False


@dataclass(frozen=True)
class Table:
    """Rows of words and written numbers. A table without rows is left out.

    caption: what it is of; a terminal has no room for it. totals: so many rows at the end stand apart. broad: the
    column with the most text, in a table too wide for a phone. note: explains it, quietly.
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    caption: str = ""
    totals: int = 0
    broad: int | None = None
    note: str = ""


@dataclass(frozen=True)
class Picture:
    """A figure, drawn when it is wanted; a terminal has none. `name` keeps its ids apart from those of others."""

    draw: Callable[[], Figure]
    name: str


@dataclass(frozen=True)
class Sheet:
    """A page for paper, drawn full size, with its lists as text for who cannot see it. paper: a4 or letter."""

    draw: Callable[[], Figure]
    paper: str
    lists: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True)
class Player:
    """A replay of motions: the data of the player, a label for each motion, the design of each panel."""

    data: str
    labels: tuple[str, ...]
    names: tuple[str, ...]
    units: Mapping[str, Mapping[str, object]]
    note: str = ""


@dataclass(frozen=True)
class Verbatim:
    """Lines that stand as they are: a drawing in letters, a patch.

    label: what it is. whole: of a patch of a design file, the file with it.
    """

    text: str
    label: str = ""
    whole: str = ""


@dataclass(frozen=True)
class Section:
    """Blocks under a heading. bare: a terminal shows them without it. key: of the place in a file."""

    title: str
    blocks: tuple[Block, ...]
    bare: bool = False
    key: str = ""


@dataclass(frozen=True)
class Fold:
    """Detail that a file shows when it is asked for, and a terminal under a heading."""

    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Roomy:
    """What takes more room than a terminal has; a function, if it also takes time to make."""

    made: tuple[Block, ...] | Callable[[], tuple[Block, ...]]

    @property
    def blocks(self) -> tuple[Block, ...]:
        """What is inside."""
        return self.made() if callable(self.made) else self.made


@dataclass(frozen=True)
class Brief:
    """What a terminal shows instead, one close to the other."""

    blocks: tuple[Block, ...]


Block = (
    Paragraph | Labelled | Bullets | Facts | Table | Picture | Sheet | Player | Verbatim | Section | Fold | Roomy
    | Brief
)  # fmt: skip


@dataclass(frozen=True)
class Document:
    """One page. What stands before its first section is its head.

    asks: what was asked of the design that `title` names. seed: what chance started from; None where nothing was
    drawn by chance. kind: what the page is called where it speaks of itself.
    """

    title: str
    blocks: tuple[Block, ...]
    asks: str = ""
    seed: int | None = None
    kind: str = "study"


def blocks(*found: Block | Iterable[Block] | None) -> tuple[Block, ...]:
    """The blocks that have something to say, in order."""
    out: list[Block] = []
    for one in found:
        if one is None:
            continue
        if isinstance(one, Iterable):
            out += blocks(*one)
        elif _says(one):
            out.append(one)
    return tuple(out)


def _says(block: Any) -> bool:
    match block:
        case Paragraph(text) | Verbatim(text):
            return bool(text)
        case Bullets(items):
            return bool(items)
        case Table(rows=rows) | Facts(rows) | Labelled(rows):
            return bool(rows)
        case Roomy(made) if callable(made):
            return True
        case Section() | Fold() | Roomy() | Brief():
            return any(_says(one) for one in block.blocks)
    return True


def section(
    title: str, *inside: Block | Iterable[Block] | None, bare: bool = False, key: str = ""
) -> Section:
    """A section of the blocks that have something to say."""
    return Section(title, blocks(*inside), bare, key)


def listed(title: str, items: Sequence[str]) -> Section:
    """A headed list."""
    return Section(title, blocks(Bullets(tuple(items))))


def given(rows: Sequence[tuple[str, str]]) -> Section:
    """What a study was given: changed values, tie-on points, speeds, as (what, value). Only a file repeats it."""
    columns = (Column("What", number=False), Column("Value", number=False))
    return section("Asked", Roomy(blocks(Table(columns, tuple(rows), "What was asked"))), key="asked")
