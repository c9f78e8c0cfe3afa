"""The page of `compare`: what differs most, then the designs as they lie and as they are pulled."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sim.show import values
from sim.show.document import (
    Brief,
    Bullets,
    Column,
    Document,
    Paragraph,
    Picture,
    Roomy,
    Section,
    Table,
    blocks,
    given,
    section,
)
from sim.show.units import Units
from sim.studies.compare import WORDS, Comparison, ComparisonRow
from sim.studies.maps import BEHAVIOUR

if TYPE_CHECKING:
    from matplotlib.figure import Figure

MOST_STILL, MOST_PULLED = 5, 4  # columns of figures that fit beside the names on a terminal
MOST_COLUMNS = 8  # in a file

Asked = Sequence[tuple[str, str]]


def comparison(title: str, found: Comparison, units: Units, asked: Asked = ()) -> Document:
    """A comparison. asked: what was changed and how it was pulled."""

    def picture() -> Figure:
        from sim.show import study_figures

        return study_figures.comparison(found, title, units)

    same = alike(found, units)
    drawn = any(row.curve for row in found.pulled)
    failed = [f"{who(row, units)}: {row.failure}" for row in (*found.still, *found.pulled) if row.failure]
    return Document(
        title,
        blocks(
            Paragraph(most(found, units), "head"),
            Roomy(blocks(Paragraph(same, "head"))),
            section(
                "The picture",
                Picture(picture, "picture") if drawn else None,
                key="picture",
            ),
            _still(found, units, same),
            _pulled(found, units),
            section("No answer", Bullets(tuple(failed)), bare=True, key="failed"),
            given(asked),
        ),
    )


def most(found: Comparison, units: Units) -> str:
    """What differs most, in a sentence."""
    differ = [name for name, steps in found.differences.items() if steps >= 1.0]
    if not differ:
        return "Nothing differs by as much as you would notice."
    stated = []
    rows = (*found.still, *found.pulled)
    for name in differ[:3]:
        if name not in WORDS:
            known = [row.figures[name] for row in rows if row.figures.get(name) is not None]
            stated.append(f"{values.words(name)} ({values.ends(name, min(known), max(known), units)})")
        else:
            words = dict.fromkeys(
                values.headline(str(row.figures[name])) for row in rows if name in row.figures
            )
            stated.append(f"{values.words(name)} ({', '.join(words)})")
    return f"What differs most: {', '.join(stated)}."


def still_figures(found: Comparison) -> list[str]:
    """Names of the figures that hang on no tie-on point and differ, the most noticeable first."""
    return [name for name, n in found.differences.items() if n >= 1.0 and not name.startswith("retrieve.")]


def pulled_figures(found: Comparison) -> list[str]:
    """Names of the figures of the retrieves that differ; of all, where none does."""
    mine = [name for name in found.differences if name.startswith("retrieve.") and name not in WORDS]
    return [name for name in mine if found.differences[name] >= 1.0] or mine


def alike(found: Comparison, units: Units) -> str:
    """What hangs on no tie-on point and is the same for all, in a sentence; nothing if all differ."""
    same = [name for name, n in found.differences.items() if n < 1.0 and not name.startswith("retrieve.")]
    stated = [word for name in same if (word := _alike(name, found.still, units))]
    return f"Alike, or nearly: {'; '.join(stated)}." if stated else ""


def _alike(name: str, rows: Sequence[ComparisonRow], units: Units) -> str:
    value = next((row.figures[name] for row in rows if row.figures.get(name) is not None), None)
    return "" if value is None else f"{values.words(name)} {values.spoken(name, value, units)}"


def _still(found: Comparison, units: Units, same: str) -> Section:
    differ = still_figures(found)[:MOST_COLUMNS]
    heads = (
        _subject(found),
        *(values.column(name, units, k >= MOST_STILL) for k, name in enumerate(differ)),
    )
    rows = [(row.variant, *(values.cell(name, row.figures, units) for name in differ)) for row in found.still]
    nothing = Paragraph("" if differ else "Nothing here differs by as much as you would notice.")
    return section(
        "Not pulled",
        Table(heads, tuple(rows) if differ else (), "What hangs on no tie-on point", broad=0),
        Brief(blocks(_rest(still_figures(found)[MOST_STILL:]))),
        Brief(blocks(Paragraph(same))),
        Roomy(blocks(nothing)),
        bare=True,
        key="rest",
    )


def _pulled(found: Comparison, units: Units) -> Section:
    differ = pulled_figures(found)[:MOST_COLUMNS]
    heads = (
        Column("Speed", units.unit("speed"), once=True),
        Column("Tie-on", number=False, widest=10, once=True),
        _subject(found),
        Column("It", number=False, widest=16),
        *(values.column(name, units, k >= MOST_PULLED) for k, name in enumerate(differ)),
    )
    rows = [
        (
            units.number("speed", row.speed_m_s),
            row.tie_on,
            row.variant,
            values.headline(str(row.figures.get(BEHAVIOUR, "no answer"))),
            *(values.cell(name, row.figures, units) for name in differ),
        )
        for row in found.pulled
    ]
    return section(
        "Pulled",
        Table(heads, tuple(rows), "What it does when pulled", broad=3),
        Brief(blocks(_rest(pulled_figures(found)[MOST_PULLED:]))),
        bare=True,
        key="pulled",
    )


def _subject(found: Comparison) -> Column:
    return Column(found.subject.rpartition(".")[2].capitalize() or "Design", number=False, widest=20)


def _rest(names: Sequence[str]) -> Paragraph:
    words = ", ".join(values.words(name) for name in names)
    return Paragraph(f"These differ too: {words}. See --json." if names else "")


def who(row: ComparisonRow, units: Units) -> str:
    """Which design, pulled from where and how fast."""
    if not row.tie_on or row.speed_m_s is None:
        return row.variant
    return f"{row.variant}, {row.tie_on} at {units.text('speed', row.speed_m_s)}"
