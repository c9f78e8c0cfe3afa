"""Why did it do that? Causes that could explain all that was seen together, the likeliest first.

Every suspect (`sim.studies.diagnosis.suspects`) is moved on its own along a coarse grid, all in one batch,
looking only at what the statements need. The place on each trace (`sim.studies.diagnosis.traces`) at which the
movement and the misfits cost least together is where it would have to be; the best few are looked at again
there, and the rest ranked anew, until nothing new is looked at. Suspects are then ranked by their evidence: how likely
all that was stated is, over everything that each may be, under priors that are the deviations of the inputs and, for
slips, judgement. Suspects whose predictions of everything that was stated lie within `ALIKE` deviations of each other
cannot be distinguished by it; they are reported as one group. Where no single one explains all, pairs are tried
(`sim.studies.diagnosis.pairs`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Executor
from contextlib import nullcontext
from typing import Any, NamedTuple

import numpy as np

from sim.design.model import Design
from sim.studies.diagnosis.pairs import Combination, again, saves, superposed
from sim.studies.diagnosis.suspect import Suspect
from sim.studies.diagnosis.suspects import suspects
from sim.studies.diagnosis.traces import FITS, Aims, Array, Best, Trace, aims, blur, penalty, told_apart
from sim.studies.engine import Case, processes, run_cases
from sim.studies.statements import Statement
from sim.trials.request import together, whole

ROUNDS, BEST = 5, 8  # times that the best are looked at again, and how many of them
HALVINGS = 6  # of the way from as designed to where the cause must be, to find where the prediction flips
PAIRED, MENDED = 6, 2  # pairs of causes that are run, and how often
FLIPPED = 6  # causes of which that is looked at
WHOLE = 4  # causes of which everything else is looked at too
ALIKE = 2.0  # deviations of all that was stated together: the wrong one of two fits better one time in six
REASON = 12.5  # a cost beyond which nothing is proposed: five deviations


class Reach(NamedTuple):
    """A suspect and where it would have to be."""

    suspect: Suspect
    at: Best
    misfits: Array  # of all signals, there
    evidence: float  # logarithm of how likely all that was stated is, over everything that it may be


class Explain:
    """The search: iterate over `run`, which counts, then take what it found.

    `known` may hold looks of earlier searches of the same design, by (suspect, x); new ones are put there.
    """

    def __init__(
        self,
        text: str,
        design: Design,
        statements: Sequence[Statement],
        known: dict[tuple[str, float], Mapping[str, Any]] | None = None,
        *,
        deep: bool = True,
    ) -> None:
        """`deep`: also find where predictions flip, and what else would be different."""
        self.text, self.design, self.statements, self.deep = text, design, list(statements), deep
        self.request = together(statement.request() for statement in statements)
        self.suspects = [one for one in suspects(design) if one.matters(self.request)]
        self.known = {} if known is None else known
        self.aims: Aims = aims(statements)
        self.traces: dict[str, Trace] = {}
        self.chance: Array = np.zeros(0)  # deviation of each signal by chance
        self.misfits_as_it_is: Array = np.zeros(0)
        self.start: Mapping[str, Any] = {}  # figures of the design as it stands
        self.reached: list[Reach] = []
        self.groups: list[list[Reach]] = []
        self.pairs: list[tuple[Combination, Array]] = []  # with the misfits of their runs
        self.flips: dict[str, float] = {}
        self.wholes: dict[str, Mapping[str, Any]] = {}
        self.failed: dict[str, str] = {}
        self.looks = 0

    def __len__(self) -> int:
        """Looks, at the most."""
        more = FLIPPED * HALVINGS + WHOLE + 1 + PAIRED * MENDED if self.deep else 0
        return 1 + sum(len(one.grid()) for one in self.suspects) + ROUNDS * BEST + more

    def run(self, executor: Executor | None = None, workers: int = 1) -> Iterator[int]:
        """Do the work; yields the number of looks so far."""
        with nullcontext(executor) if executor is not None else processes(workers) as pool:
            self._pool, self._workers = pool, workers
            yield from self._look([(None, 0.0)])
            start = self._signals(self.known["", 0.0])
            self.start = self.known["", 0.0]
            self.traces = {one.name: Trace(one, start) for one in self.suspects}
            yield from self._look([(one, x) for one in self.suspects for x in one.grid()])
            self.chance = blur([trace for trace in self.traces.values() if trace.suspect.between()])
            self.aims = self.aims.blurred(self.chance)
            self.misfits_as_it_is = self.aims.misfits(start)
            for _ in range(ROUNDS):
                wanted = self._wanted()
                if not wanted:
                    break
                yield from self._look(wanted)
            self.reached = self._reached()
            self.groups = _grouped(self.reached)
            if self.deep and not self.predicted and not self.explained:
                yield from self._in_pairs()
            if self.deep:
                yield from self._deeper()

    @property
    def predicted(self) -> bool:
        """Whether the design as it stands already does all that was stated."""
        return bool(np.all(np.abs(self.misfits_as_it_is) <= FITS))

    @property
    def costs_as_it_is(self) -> float:
        """What the misfits of the design as it stands cost."""
        return float(penalty(self.misfits_as_it_is))

    @property
    def explained(self) -> bool:
        """Whether a single cause fits everything that was stated."""
        return any(np.all(np.abs(reach.misfits) <= FITS) for reach in self.reached)

    # ---- looking ----------------------------------------------------------------------------------

    def _signals(self, row: Mapping[str, Any]) -> Array:
        return np.array([signal for statement in self.statements for signal in statement.signals(row)])

    def _look(self, places: Sequence[tuple[Suspect | None, float]]) -> Iterator[int]:
        """Look at places, unless they are known, and put what is found on the traces."""
        rows = [(_name(one), x) for one, x in places]
        todo = [k for k, row in enumerate(rows) if row not in self.known]
        cases = (Case(k, self.request, one.changes(x) if (one := places[k][0]) else {})
                 for k, x in ((k, places[k][1]) for k in todo))  # fmt: skip
        for outcome in run_cases(self.text, cases, self._pool, self._workers):
            name, x = rows[outcome.case.number]
            self.known[name, x] = {"failure": outcome.failure} if outcome.failure else dict(outcome.answer)
            self.looks += 1
            yield self.looks
        for name, x in rows:
            row = self.known[name, x]
            if "failure" in row:
                self.failed[name] = str(row["failure"])
            elif name:
                self.traces[name].add(x, self._signals(row))

    def _wanted(self) -> list[tuple[Suspect | None, float]]:
        """The best places of the best suspects, where nobody has looked yet."""
        found = [(trace, best) for trace in self.traces.values() if (best := trace.weighed(self.aims))]
        found.sort(key=lambda pair: pair[1].cost)
        return [
            (trace.suspect, best.x)
            for trace, best in found[:BEST]
            if best.x and trace.suspect.between() and trace.new(best.x)
        ]

    def _reached(self) -> list[Reach]:
        """Every suspect where it fits best of the places looked at, the best first."""
        out = []
        for trace in self.traces.values():
            trace.weighed(self.aims)
            best = trace.looked()
            if best is not None:
                misfits = self.aims.misfits(trace.signals(best.x))
                out.append(Reach(trace.suspect, best, misfits, trace.evidence(self.aims)))
        return sorted(out, key=lambda reach: -reach.evidence)

    # ---- two at once ------------------------------------------------------------------------------

    def _in_pairs(self) -> Iterator[int]:
        """Pairs of the suspects that each do something about what does not fit, the cheapest first."""
        saved = {name: saves(trace, self.aims, self.misfits_as_it_is) for name, trace in self.traces.items()}
        helpful = sorted((name for name in saved if saved[name] > 0.0), key=lambda name: -saved[name])
        start = self._signals(self.start)
        tried = superposed([self.traces[name] for name in helpful], self.aims, start)
        best = sorted(tried, key=lambda pair: pair.cost)[:PAIRED]
        found: dict[str, tuple[Combination, Array]] = {}
        for _ in range(MENDED):
            cases = [Case(k, self.request, pair.changes()) for k, pair in enumerate(best)]
            for outcome in run_cases(self.text, cases, self._pool, self._workers):
                pair = best[outcome.case.number]
                self.looks += 1
                if not outcome.failure:
                    signals = self._signals(outcome.answer)
                    misfits = self.aims.misfits(signals)
                    moved = pair.one.cost(pair.x) + pair.other.cost(pair.y)
                    ran = pair._replace(cost=float(penalty(misfits)) + moved)
                    if pair.name not in found or ran.cost < found[pair.name][0].cost:
                        found[pair.name] = ran, misfits
                    best[outcome.case.number] = again(pair, self.traces, self.aims, start, signals)
                yield self.looks
        self.pairs = sorted(found.values(), key=lambda each: each[0].cost)

    # ---- more about the best ----------------------------------------------------------------------

    def _deeper(self) -> Iterator[int]:
        first = [reach for group in self.groups for reach in group][: max(FLIPPED, WHOLE)]
        yield from self._flips([r for r in first[:FLIPPED] if r.suspect.between() and r.at.x])
        asks = whole(self.design)
        cases = [Case(0, asks, {})] + [
            Case(k, asks, reach.suspect.changes(reach.at.x)) for k, reach in enumerate(first[:WHOLE], 1)
        ]
        names = ["", *(reach.suspect.name for reach in first[:WHOLE])]
        for outcome in run_cases(self.text, cases, self._pool, self._workers):
            self.looks += 1
            if not outcome.failure:
                self.wholes[names[outcome.case.number]] = dict(outcome.answer)
            yield self.looks

    def _flips(self, reaches: Sequence[Reach]) -> Iterator[int]:
        """Halve the way to where each cause must be, until it is known where all that was stated comes true."""
        ends = {}
        for reach in reaches:
            row = self.known[reach.suspect.name, reach.at.x]
            turned = [s for s in self.statements if not s.holds(self.start) and s.holds(row)]
            if turned:
                ends[reach.suspect.name] = (reach.suspect, 0.0, reach.at.x, turned)
        for _ in range(HALVINGS):
            wanted = [(one, 0.5 * (low + high)) for one, low, high, _ in ends.values()]
            yield from self._look(wanted)
            for one, middle in wanted:
                _, low, high, turned = ends[one.name]
                row = self.known[one.name, middle]
                holds = "failure" not in row and all(statement.holds(row) for statement in turned)
                ends[one.name] = (one, low, middle, turned) if holds else (one, middle, high, turned)
        self.flips = {name: high for name, (_, _, high, _) in ends.items()}


def _name(one: Suspect | None) -> str:
    return one.name if one else ""


def _grouped(reaches: Sequence[Reach]) -> list[list[Reach]]:
    """Suspects that nothing stated can tell from the first of their group, in the order of their evidence."""
    groups: list[list[Reach]] = []
    for reach in reaches:
        if reaches[0].evidence - reach.evidence > REASON:
            break
        for group in groups:
            if told_apart(group[0].misfits, reach.misfits) <= ALIKE:
                group.append(reach)
                break
        else:
            groups.append([reach])
    return groups
