"""Every test of a log held against what the design says today."""

from __future__ import annotations

import math
from collections.abc import Sequence
from concurrent.futures import Executor

from pydantic import Field

from sim.design.log import Logged
from sim.design.model import Design
from sim.remark import Remark
from sim.studies.calibration.gross_errors import Slip, slips, sound
from sim.studies.calibration.observations import Observation, contradictions, readings, units_of
from sim.studies.engine import run_cases
from sim.trials.records import Result


class Prediction(Result):
    """One reading of a test, and what the design says of it."""

    test: int = Field(description="which test of the log, from 1")
    figure: str = Field(description="the figure of the results that it speaks of")
    tie_on: str | None = Field(description="tie-on point; null where nothing is pulled")
    speed_m_s: float | None = Field(description="line speed; null where nothing is pulled")
    word: str | None = Field(description="the behaviour or verdict seen; null for a number")
    low: float | None = Field(description="least value that fits; null for none, or for a word")
    high: float | None = Field(description="greatest value that fits")
    sd: float | None = Field(description="standard deviation of the reading")
    predicted: float | str | None = Field(description="what the design says; null if it has no answer")
    misfit: float = Field(description="how far off, in deviations of the reading; 0 fits")
    fits: bool = Field(description="whether it fits: a reading within two of its deviations")


class LogEntry(Result):
    """One test as it stands in the log."""

    date: str | None = Field(description="when")
    said: str = Field(description="what was seen or measured")
    conditions: list[str] = Field(description="what was not as the design has it")
    note: str = Field(description="anything else")
    struck_out: str | None = Field(description="why it is struck out; null if it is used")
    held: list[Prediction] = Field(
        description="each reading of it against the design; none of a test that is struck out"
    )


class LogResult(Result):
    """A log and what the design says of it."""

    design: str = Field(description="name of the design")
    tests: list[LogEntry] = Field(description="in the order of the log")
    notes: list[Remark | str] = Field(description="weights and volumes that contradict the design")
    slips: list[Slip] = Field(description="values that are far from all the design says")


def held_against(
    design: Design, text: str, logged: Logged, executor: Executor | None = None, workers: int = 1
) -> LogResult:
    """Run what the log speaks of and hold it against each test.

    Args:
        text: of the design, as `run_cases` takes it.

    Raises:
        DesignError: the log says what is not understood.
    """
    found = readings(design, logged)
    units = units_of(found)
    cases = [unit.case(n, {}) for n, unit in enumerate(units)]
    rows = {units[o.case.number]: dict(o.answer) for o in run_cases(text, cases, executor, workers)}
    tests = [
        LogEntry(
            date=test.date.isoformat() if test.date else None,
            said=test.said,
            conditions=_conditions(found, k + 1),
            note=test.note,
            struck_out=test.struck_out,
            held=[_held(reading, rows[reading.unit]) for reading in found if reading.test == k + 1],
        )
        for k, test in enumerate(logged.tests)
    ]
    slipped = slips(design, found, rows)
    notes = contradictions(design, sound(found, slipped), rows)
    return LogResult(design=design.name, tests=tests, notes=[*notes], slips=slipped)


def slipped_in(design: Design, text: str, logged: Logged, test: int) -> list[Slip]:
    """What looks like a slip in the tests from one on (from 1). A pull at a speed that looks like one is not run."""
    mine = [reading for reading in readings(design, logged) if reading.test >= test]
    units = units_of(sound(mine, slips(design, mine, {})))
    cases = [unit.case(n, {}) for n, unit in enumerate(units)]
    rows = {units[o.case.number]: dict(o.answer) for o in run_cases(text, cases, workers=1)}
    return slips(design, mine, rows)


def _held(reading: Observation, row: dict[str, object]) -> Prediction:
    statement = reading.statement
    span = statement.span
    signal = reading.signal(row)
    misfit = reading.aim.misfit(signal) if math.isfinite(signal) else math.inf
    found = reading.found(row)
    return Prediction(
        test=reading.test,
        figure=statement.figure,
        tie_on=reading.unit.pull.tie_on if reading.unit.pull else None,
        speed_m_s=reading.unit.pull.speed if reading.unit.pull else None,
        word=statement.word,
        low=span.low if span and math.isfinite(span.low) else None,
        high=span.high if span and math.isfinite(span.high) else None,
        sd=span.sd if span else None,
        predicted=found if isinstance(found, float | str) else None,
        misfit=misfit,
        fits=abs(misfit) <= (2.0 if reading.measured else 1e-9),
    )


def _conditions(found: Sequence[Observation], test: int) -> list[str]:
    unit = next((reading.unit for reading in found if reading.test == test), None)
    if unit is None:
        return []
    return [f"{path} {getattr(value, 'text', value)}" for path, value in unit.conditions]
