"""From a log to readings: each number or word of each test, the run that it is held against, and its misfit."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pydantic import Field

from sim.design import paths
from sim.design.checks import check
from sim.design.log import Logged, LoggedTest
from sim.design.model import Design
from sim.design.problems import DesignError, DesignProblem, shown
from sim.remark import Amount, Remark, remark
from sim.studies.calibration.repeats import by_scatter
from sim.studies.engine import Case
from sim.studies.grammar import StatementError, criteria
from sim.studies.statements import Span, Statement
from sim.trials.records import Result
from sim.trials.request import Pull, Request, key
from sim.trials.results import DISPLACED, METRICS, SINK_RATE, WEIGHT

_DOUBT = re.compile(r"(?:[+＋][-−–‐]|±|\+/-)\s*([0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?! ?[0-9/])")


@dataclass(frozen=True)
class ObservedRun:
    """One run that readings are held against: a part of a trial or a pull, of one lure under some conditions."""

    lure: int
    part: str  # budget, float, drop, cast or retrieve
    pull: Pull | None
    conditions: tuple[tuple[str, Any], ...] = ()  # path -> value of the design, where the test had another

    def case(self, number: int, changes: Mapping[str, Any], rtol: float | None = None) -> Case:
        """The run with some values of the design changed; what the test itself had comes last."""
        request = Request((), (self.pull,), rtol) if self.pull else Request((self.part,), (), rtol)
        return Case(number, request, {**changes, **dict(self.conditions)}, self.lure)


@dataclass(frozen=True)
class Observation:
    """One number or word of one test."""

    lure: int
    test: int  # from 1, as in the log
    statement: Statement
    unit: ObservedRun
    file: str = ""  # the log, and the line of the words in it
    line: int | None = None
    repeats_agree: bool | None = None  # with others of the same figure in the same run; None if it is alone

    @property
    def aim(self) -> Span:
        """Where its signal has to lie."""
        aim = self.statement.aim
        if self.statement.figure != SINK_RATE:
            return aim
        middle = max(abs(end) for end in (aim.low, aim.high) if math.isfinite(end))
        return Span(_squared(aim.low), _squared(aim.high), 2.0 * max(middle, aim.sd) * aim.sd)

    @property
    def measured(self) -> bool:
        """Whether it is a number with its uncertainty; else a word, or a range."""
        return self.statement.span is not None and self.statement.span.reading

    def signal(self, row: Mapping[str, Any]) -> float:
        """The number that decides; NaN where there is none.

        Of a sink rate it is the square, with its sign: what drag and spare lift add up to, so that it is nearly a
        straight line in both, through the rate at which a lure hangs.
        """
        if not row:
            return math.nan
        alone = Statement(**{**self.statement.__dict__, "pulls": (self.unit.pull,) if self.unit.pull else ()})
        signal = alone.signals(row)[0]
        return _squared(signal) if self.statement.figure == SINK_RATE else signal

    def plain(self, signal: float) -> float:
        """A signal in the figure's own unit."""
        if self.statement.figure != SINK_RATE:
            return signal
        return math.copysign(math.sqrt(abs(signal)), signal)

    def found(self, row: Mapping[str, Any]) -> Any:
        """What the run says of the figure."""
        return row.get(key(self.statement.figure, self.unit.pull))


def readings(design: Design, logged: Logged, lure: int = 0) -> list[Observation]:
    """Every reading of a log, in its order, but for tests that are struck out: those may say what they like.

    Repeats without `+-` have the error that their scatter tells.

    Raises:
        DesignError: words that are not understood, keys that the design does not have; every one of them.
    """
    found: list[Observation] = []
    wrong: list[DesignProblem] = []
    for k, test in enumerate(logged.tests):
        if test.struck_out is not None:
            continue
        conditions, bad = _conditions(design, logged, k, test)
        wrong += bad
        try:
            for statement in understood(design, test.said):
                found += _each(logged, lure, k, statement, conditions)
        except StatementError as error:
            wrong.append(logged.problem(k, "said", shown(test.said), str(error)))
    if wrong:
        raise DesignError(wrong)
    return by_scatter(found)


class Struck(Result):
    """A test that is struck out: it stays in the log, and nothing uses it."""

    lure: int = Field(description="which of the files, from 0")
    test: int = Field(description="which test of its log, from 1")
    said: str = Field(description="as it stands in the log")
    why: str = Field(description="why it is struck out")


def struck(logged: Logged, lure: int = 0) -> list[Struck]:
    """The tests of a log that are struck out, in its order."""
    return [
        Struck(lure=lure, test=k + 1, said=test.said, why=test.struck_out)
        for k, test in enumerate(logged.tests)
        if test.struck_out is not None
    ]


def understood(design: Design, text: str) -> list[Statement]:
    """What a test says. A number of a retrieve belongs to one pull.

    Raises:
        StatementError: with what to write instead.
    """
    statements = criteria(design, text)
    for doubt in _DOUBT.findall(text):
        if not float(doubt.replace(",", ".")):
            raise StatementError(
                f'"+- {doubt}" says that this is exact, which no scale and no watch is; write the least that you '
                'could tell apart, as in "+- 0.1", or leave the +- out: then what eye and watch are good for is taken'
            )
    for statement in statements:
        if len(statement.pulls) > 1 and statement.span is not None and statement.span.reading:
            pull = statement.pulls[0]
            raise StatementError(
                f"at which speed? A number that was measured belongs to one pull; add for example "
                f'"at {pull.speed:g} m/s from {pull.tie_on}"'
            )
    return statements


def _squared(rate: float) -> float:
    return math.copysign(rate * rate, rate)


def units_of(found: Iterable[Observation]) -> list[ObservedRun]:
    """The runs that are needed, each once."""
    return list(dict.fromkeys(reading.unit for reading in found))


def _each(
    logged: Logged, lure: int, k: int, statement: Statement, conditions: tuple[tuple[str, Any], ...]
) -> Iterator[Observation]:
    part, line = statement.figure.split(".")[0], logged.line(k, "said")
    for pull in statement.pulls or (None,):
        yield Observation(
            lure, k + 1, statement, ObservedRun(lure, part, pull, conditions), logged.name, line
        )


def _conditions(
    design: Design, logged: Logged, k: int, test: LoggedTest
) -> tuple[tuple[tuple[str, Any], ...], list[DesignProblem]]:
    """What was different in a test, as changes of the design; and what is wrong with that."""
    changes: dict[str, Any] = {}
    wrong: list[DesignProblem] = []
    for name in ("temperature", "salinity"):
        value = getattr(test.water, name)
        if value is not None:
            changes[f"water.{name}"] = value
    for written, text in test.conditions.items():
        try:
            path = paths.found(design, written)
            changes[path] = paths.value(design, path, str(text))
        except paths.PathError as error:
            message = str(error).split(f" = {text}: ", 1)[-1]  # the problem names key and value by itself
            wrong.append(logged.problem(k, f"with/{written}", shown(text), message))
    if not wrong and changes:
        for finding in check(paths.replaced(design, changes)):
            place = ".".join(str(step) for step in finding.path)
            wrong.append(logged.problem(k, "with", "", f"{place}: {finding.message}"))
    return tuple(sorted(changes.items(), key=lambda item: item[0])), wrong


def contradictions(
    design: Design, found: Sequence[Observation], rows: Mapping[ObservedRun, Mapping[str, Any]]
) -> list[Remark]:
    """Weights and dunks of the log that the design does not have, and where to put them."""
    measured = {WEIGHT: design.measured.weight, DISPLACED: design.measured.displaced}
    out = []
    for reading in found:
        figure, span = reading.statement.figure, reading.statement.span
        if figure not in measured or span is None or not span.reading:
            continue
        has = reading.signal(rows[reading.unit])
        if math.isnan(has) or abs(span.misfit(has)) <= 2.0:
            continue
        unit = METRICS[figure].unit
        said, design_has = (Amount(value / unit.factor, unit.dimension) for value in (span.low, has))
        entry = None if measured[figure] else f"{span.low:.4g} +- {span.sd:.2g} {unit.text}"
        key = "weight" if figure == WEIGHT else "displaced"
        out.append(
            remark("log_against_file", test=reading.test, said=said, has=design_has, key=key, entry=entry)
        )
    return out
