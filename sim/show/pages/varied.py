"""The page of `vary`: what the file of many runs holds, and the figures that matter most."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import islice
from typing import TYPE_CHECKING, Any

from sim.metrics import Use
from sim.show import values
from sim.show.document import (
    Block,
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
from sim.studies.compare import NOTICED
from sim.studies.maps import BEHAVIOUR, DEPTH
from sim.studies.parameters import SPEED, Parameter
from sim.studies.plan import FAILURE, NUMBER, SPEED_COLUMN, TIE_ON, Plan
from sim.trials.results import METRICS, SPARE_LIFT

if TYPE_CHECKING:
    from matplotlib.figure import Figure

MOST_ROWS = 200  # of a table in a file; the file of rows has them all
MOST_FAILURES = 10  # kinds of them


Rows = Sequence[Mapping[str, Any]]


def varied(
    title: str,
    plan: Plan,
    rows: Callable[[], Iterable[Mapping[str, Any]]],
    where: str,
    units: Units,
    asked: Sequence[tuple[str, str]] = (),
) -> Document:
    """Many varied runs. rows: reads them, as often as they are wanted. where: the file that holds every row."""
    return Document(
        title,
        blocks(
            Brief(_counted(rows(), where)),
            Roomy(lambda: _whole(title, plan, [_typed(row) for row in rows()], where, units)),
            given(asked),
        ),
        seed=plan.seed if plan.samples is not None else None,
    )


def _whole(title: str, plan: Plan, rows: Rows, where: str, units: Units) -> tuple[Block, ...]:
    """The answer, the picture and every row, for a file."""

    def picture() -> Figure:
        from sim.show import varied_figure

        return varied_figure.scatter(plan, rows, title, units)

    failed = Counter(str(row[FAILURE]) for row in rows if row[FAILURE])
    why = [f"{one} ({count} of {len(rows)} runs)" for one, count in failed.most_common(MOST_FAILURES)]
    return blocks(
        [Paragraph(sentence, "head") for sentence in _vary_answer(plan, rows, units)],
        section("The picture", Picture(picture, "picture"), key="picture"),
        _runs(plan, rows, where, units),
        section("No answer", Bullets(tuple(why)), key="failed"),
    )  # fmt: skip


def _counted(rows: Iterable[Mapping[str, Any]], where: str) -> tuple[Block, ...]:
    """What the file of many runs holds: how many, what they did, what failed."""
    did: Counter[str] = Counter()
    failed: Counter[str] = Counter()
    total = 0
    for row in rows:
        total += 1
        if row[FAILURE]:
            failed[str(row[FAILURE])] += 1
        elif row.get(BEHAVIOUR):
            did[str(row[BEHAVIOUR])] += 1
    done = [f"{_count(total)} in {where}."]
    if failed:
        done.append(f"{failed.total()} without an answer; the column `{FAILURE}` says why.")
    lines = [f"{word}: {_count(count)}" for word, count in did.most_common()]
    lines += [f"no answer: {_count(count)}: {why}" for why, count in failed.most_common(3)]
    return blocks(Paragraph(" ".join(done), "head"), Bullets(tuple(lines)))


def _count(count: int) -> str:
    return "1 run" if count == 1 else f"{count} runs"


def _typed(row: Mapping[str, Any]) -> dict[str, Any]:
    """Cells of a file as numbers where they are such; None where there is none."""
    return {name: _number(cell) for name, cell in row.items()}


def _number(cell: Any) -> Any:
    if not isinstance(cell, str):
        return cell
    try:
        return float(cell)
    except ValueError:
        return cell or None


def _vary_answer(plan: Plan, rows: Rows, units: Units) -> list[str]:
    did = Counter(values.headline(row[BEHAVIOUR]) for row in rows if row.get(BEHAVIOUR) and not row[FAILURE])
    none = sum(bool(row[FAILURE]) for row in rows)
    stated = [f"{word} in {count}" for word, count in did.most_common()] + [f"no answer in {none}"] * bool(
        none
    )
    spoken = [f"Of {len(rows)} runs: {', '.join(stated)}." if stated else f"{len(rows)} runs."]
    deep = [row for row in rows if row.get(DEPTH) is not None]
    if deep:
        best = max(deep, key=lambda row: float(row[DEPTH]))
        with_ = ", ".join(f"{p.written} {_plain(best[p.heading])} {p.unit}".rstrip() for p in _changed(plan))
        tied = f", tied at {best[TIE_ON]} at {units.text('speed', best[SPEED_COLUMN])}"
        spoken.append(f"It goes deepest, {units.depth(best[DEPTH])}, with {with_ or 'no change'}{tied}.")
    spare = [float(row[SPARE_LIFT]) for row in rows if row.get(SPARE_LIFT) is not None]
    if spare and max(spare) - min(spare) >= NOTICED[SPARE_LIFT]:
        ends = [units.text("mass", end) for end in (min(spare), max(spare))]
        spoken.append(f"Spare lift goes from {ends[0]} to {ends[1]}.")
    return spoken


def _changed(plan: Plan) -> list[Parameter]:
    """What changes from run to run, the line speed apart, which has a column of its own."""
    return [p for p in plan.parameters if len(p) > 1 and p.path != SPEED]


def _plain(value: Any) -> str:
    return f"{value:.4g}" if isinstance(value, float) else "-" if value is None else str(value)


def _runs(plan: Plan, rows: Rows, where: str, units: Units) -> Section:
    """Every run as a row, up to a limit."""
    shown = [metric.name for metric in METRICS.values() if Use.RUNS_PAGE in metric.uses]
    mine = [name for name in shown if any(row.get(name) is not None for row in rows)]
    heads = [Column("Run"), *(Column(p.written, p.unit, number=bool(p.unit)) for p in _changed(plan))]
    if plan.pulls:
        heads += [Column("Tie-on", number=False), Column("Speed", units.unit("speed"))]
    first = len(heads)
    heads += [values.column(name, units) for name in mine]
    written = []
    for row in islice(rows, MOST_ROWS):
        cells = [f"{row[NUMBER]:.0f}", *(_plain(row[p.heading]) for p in _changed(plan))]
        cells += [str(row[TIE_ON]), units.number("speed", row[SPEED_COLUMN])] if plan.pulls else []
        written.append((*cells, *(values.headline(values.cell(name, row, units)) for name in mine)))
    broad = first + mine.index(BEHAVIOUR) if BEHAVIOUR in mine else 0
    left = len(rows) - len(written)
    more = f"All figures of every run are in {where}."
    if left > 0:
        more = f"The other {left} rows, and all figures of every run, are in {where}."
    caption = "Every run, and the figures that matter most"
    return section(
        "The runs", Table(tuple(heads), tuple(written), caption, broad=broad, note=more), key="runs"
    )
