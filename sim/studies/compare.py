"""The same work for several designs, side by side, with the differences that matter first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, field
from typing import Any

from sim.design import paths
from sim.design.model import Design
from sim.metrics import Use
from sim.studies.engine import Case, run_cases
from sim.studies.parameters import Parameter, grid
from sim.trials.request import CURVE, FAILURE, STILL, Pull, Request
from sim.trials.results import METRICS

SURROUNDINGS = ("water", "line", "cast", "retrieve")

NOTICED = {m.name: m.noticed for m in METRICS.values() if m.noticed is not None}
"""The least difference of each metric that a maker would notice at the water or the bench."""

WORDS = ("retrieve.behaviour", "budget.verdict", "drop.motion", "cast.lands")
A_WORD = 100.0  # noticeable steps that another word counts for: before any number, it is another lure


@dataclass(frozen=True)
class Variant:
    """One of the designs compared: a text, and changes to it."""

    label: str
    design: int = 0  # which of the texts
    changes: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class ComparisonRow:
    """The figures of one variant; of a retrieve, from one tie-on point at one speed."""

    variant: str
    figures: Mapping[str, Any]  # by the full names of the metrics
    tie_on: str = ""
    speed_m_s: float | None = None
    curve: Sequence[tuple[float, float]] = ()  # m to the rod tip, m deep
    failure: str = ""


@dataclass(frozen=True)
class Comparison:
    """All rows, in the order of the variants, and the figures that differ, the most noticeable first."""

    subject: str  # what distinguishes the variants, as the head of a column
    still: tuple[ComparisonRow, ...]
    pulled: tuple[ComparisonRow, ...]  # by speed, then tie-on point, then variant
    differences: Mapping[str, float]  # figure -> spread in noticeable steps


def variants(parameters: Sequence[Parameter]) -> list[Variant]:
    """Every combination of the overrides, named by their values."""
    out = []
    for values in grid(parameters):
        label = ", ".join(p.text(value) for p, value in zip(parameters, values, strict=True))
        out.append(Variant(label, 0, {p.path: value for p, value in zip(parameters, values, strict=True)}))
    return out


class Compare:
    """A comparison to be carried out: iterate over `run`, which counts, then take the `result`."""

    def __init__(
        self,
        texts: Sequence[str],
        designs: Sequence[Design],
        variants: Sequence[Variant],
        subject: str,
        speeds: Sequence[float],
        tie_ons: Sequence[str] | None = None,
        curves: bool = False,
    ) -> None:
        """`tie_ons` left out: every one that a design has. `speeds` in m/s, the same for all."""
        self.texts, self.variants, self.subject = tuple(texts), list(variants), subject
        self._wanted: list[tuple[Variant, Request]] = [(v, Request(STILL)) for v in self.variants]
        names = list(dict.fromkeys(name for design in designs for name in design.tie_on))
        for speed in speeds:
            for name in names if tie_ons is None else tie_ons:
                self._wanted += [
                    (v, Request((), (Pull(name, speed),), curve=curves))
                    for v in self.variants
                    if name in designs[v.design].tie_on
                ]
        self._rows: dict[int, ComparisonRow] = {}

    def __len__(self) -> int:
        return len(self._wanted)

    def run(self, executor: Executor | None = None, workers: int | None = None) -> Iterator[int]:
        """Do the work; yields the number of each case as it is done."""
        cases = (
            Case(number, ask, variant.changes, variant.design)
            for number, (variant, ask) in enumerate(self._wanted)
        )
        for outcome in run_cases(self.texts, cases, executor, workers):
            number = outcome.case.number
            variant, ask = self._wanted[number]
            pull = ask.pulls[0] if ask.pulls else None
            row = {name.partition(" ")[0]: value for name, value in outcome.answer.items()}
            curve, failure = row.get(CURVE, ()), outcome.failure or row.get(FAILURE, "")
            row = {
                name: value
                for name, value in row.items()
                if name in METRICS and Use.RUNS in METRICS[name].uses
            }
            self._rows[number] = ComparisonRow(
                variant.label, row, pull.tie_on if pull else "", pull.speed if pull else None, curve, failure
            )
            yield number

    def result(self) -> Comparison:
        """What has been found."""
        rows = [self._rows[number] for number in sorted(self._rows)]
        still = tuple(row for row in rows if row.speed_m_s is None)
        pulled = tuple(row for row in rows if row.speed_m_s is not None)
        return Comparison(self.subject, still, pulled, _ranked(still, pulled))


def unlike(designs: Sequence[Design]) -> list[str]:
    """Keys of the water, the line, the cast and the retrieve in which designs differ: unequal conditions."""
    seen: list[dict[str, Any]] = [
        {
            path: value
            for path, value in paths.keys(design).items()
            if path.split(".")[0] in SURROUNDINGS and not path.startswith("retrieve.speeds.")
        }
        for design in designs
    ]
    every = dict.fromkeys(path for keys in seen for path in keys)
    return [path for path in every if any(keys.get(path) != seen[0].get(path) for keys in seen[1:])]


def _ranked(still: Sequence[ComparisonRow], pulled: Sequence[ComparisonRow]) -> dict[str, float]:
    by_speed: dict[float | None, list[ComparisonRow]] = {}
    for row in pulled:
        by_speed.setdefault(row.speed_m_s, []).append(row)
    found: dict[str, float] = {}
    for rows in [still, *by_speed.values()]:
        for name in [*WORDS, *(m.name for m in METRICS.values() if m.noticed)]:
            values = [row.figures[name] for row in rows if name in row.figures]
            spread = _words(values) if name in WORDS else _numbers(values, METRICS[name].noticed or 1.0)
            found[name] = max(found.get(name, 0.0), spread)
    return dict(sorted(found.items(), key=lambda item: -item[1]))


def _words(values: Sequence[Any]) -> float:
    return A_WORD * max(len(set(values)) - 1, 0)


def _numbers(values: Sequence[Any], step: float) -> float:
    known = [value for value in values if value is not None]
    spread = (max(known) - min(known)) / step if known else 0.0
    return spread + (1.0 if known and len(known) < len(values) else 0.0)
