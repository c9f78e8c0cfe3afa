"""The page of `log`: every test, held against what the design says today."""

from __future__ import annotations

from collections.abc import Sequence

from sim.show import readings, remarks
from sim.show.document import Bullets, Column, Document, Paragraph, Table, blocks, listed, section
from sim.show.layout import clean
from sim.show.units import Units
from sim.studies.calibration.contradictions import Against, Contradiction
from sim.studies.calibration.predicted import LogEntry, LogResult

WAYS = (
    "Off is told in deviations of the reading; a word is off or it fits. `drytank calibrate` fits the "
    "model to the log."
)


def page(result: LogResult, units: Units) -> Document:
    """Every test, what is struck out, what looks like a slip, what the design file has otherwise."""
    columns = (
        Column("Test"), Column("Date", number=False), Column("Figure", number=False, widest=12),
        Column("Pull", number=False, widest=10), Column("Seen", number=False, widest=20),
        Column("Design says"), Column("Off"),
    )  # fmt: skip
    rows = [row for k, test in enumerate(result.tests, 1) for row in _rows(k, test, units)]
    stated = [
        f"Test {k}: {'; '.join(filter(None, [', '.join(test.conditions), test.note]))}."
        for k, test in enumerate(result.tests, 1)
        if test.conditions or test.note
    ]
    struck = [
        f'test {k}, "{test.said}": {test.struck_out}'
        for k, test in enumerate(result.tests, 1)
        if test.struck_out is not None
    ]
    return Document(
        f"{result.design}: the log",
        blocks(
            Paragraph(_verdict(result)),
            section(
                "Every test",
                Table(columns, tuple(rows), "Every test", broad=4),
                Bullets(tuple(stated)),
                bare=True,
            ),
            listed("Struck out, not used", struck),
            listed("Look again", readings.slips(result.slips, units)),
            listed("Does not agree with the file", remarks.sentences(result.notes, units)),
            section("How to read it", Paragraph(WAYS, "quiet"), bare=True),
        ),
    )


def settle_first(every: Sequence[Contradiction], file: str, units: Units) -> list[str]:
    """What a log contradicts, each as a sentence that says how to settle it; the first opens the page."""
    out = [_contradiction(one, file, units) for one in every]
    return [f"First settle what is in the log. {out[0]}", *out[1:]] if out else []


def _contradiction(one: Contradiction, file: str, units: Units) -> str:
    tests = " and ".join(filter(None, [", ".join(map(str, one.tests[:-1])), str(one.tests[-1])]))
    said = " and ".join(f'"{clean(words)}"' for words in one.said)
    if one.against is Against.REPEATS:
        return (
            f"Tests {tests}, {said}, cannot all be so. Do it again, and strike out what was a slip: "
            f'`drytank log {clean(file)} --strike-out {one.tests[0]} --because "..."`.'
        )
    unit = readings.unit(one.figure, units)
    return (
        f"Test {tests}, {said}, is {one.off:.0f} times as far off as reading and builds allow: the design says "
        f"{readings.number(one.figure, one.predicted, units)}{unit and ' '}{unit}. Read it again; if it is so, "
        f"`drytank explain {clean(file)} {said}` looks for what is otherwise."
    )


def _verdict(result: LogResult) -> str:
    held = [one for test in result.tests for one in test.held]
    off = sum(not one.fits for one in held)
    struck = sum(test.struck_out is not None for test in result.tests)
    counts = [_counted(len(result.tests), "test"), *([f"{struck} struck out"] if struck else [])]
    if not held:
        return f"{', '.join(counts)}: nothing to hold against the design."
    fit = f"{off} of them {'does' if off == 1 else 'do'} not fit the design" if off else "all fit the design"
    return f"{', '.join(counts)}, {_counted(len(held), 'reading')}: {fit}."


def _rows(number: int, test: LogEntry, units: Units) -> list[tuple[str, ...]]:
    """A row for each reading of a test; number and date stand in the first."""
    return [
        (
            str(number) if n == 0 else "", (test.date or "") if n == 0 else "", readings.named(one.figure),
            readings.where(one.tie_on, one.speed_m_s, units),
            readings.stated(one.figure, one.word, one.low, one.high, one.sd, units),
            clean(one.predicted) if isinstance(one.predicted, str)
            else readings.number(one.figure, one.predicted, units),
            readings.off(one.misfit, one.fits),
        )
        for n, one in enumerate(test.held)
    ]  # fmt: skip


def _counted(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"
