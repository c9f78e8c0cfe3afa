"""Carry out a plan: run what is missing, write each row as it comes."""

from __future__ import annotations

from collections.abc import Collection, Generator
from concurrent.futures import Executor
from pathlib import Path
from typing import Any

from sim.studies import record as records
from sim.studies.engine import run_cases
from sim.studies.plan import Plan
from sim.studies.record import StudyFile


def opened(plan: Plan, path: Path, design: str, *, over: bool = False) -> StudyFile:
    """The record of `plan` at `path`, begun or resumed; `design` names the design in its head.

    Raises:
        RecordError: the file holds something else.
        OSError: it cannot be written.
    """
    about = [f"{plan.name} of {design}", *plan.about()]
    return records.opened(path, plan.digest(), about, plan.headings(), over=over)


def carried_out(
    plan: Plan,
    record: StudyFile | None = None,
    executor: Executor | None = None,
    workers: int | None = None,
    without: Collection[int] = (),
) -> Generator[dict[str, Any], None, None]:
    """Run every case that `record` has not yet, but for those numbered in `without`.

    Each row, by heading, is written before it is handed out.

    Closing the iterator, or any exception, leaves a record that resumes. When all is done it is put in order.
    """
    without = {*without, *(record.done if record else ())}
    headings = plan.headings()
    for outcome in run_cases(plan.text, plan.cases(without), executor, workers):
        cells = plan.row(outcome)
        if record:
            record.add(cells)
        yield dict(zip(headings, cells, strict=True))
    if record:
        record.finish()
