"""What to change so that a lure does what is wanted: the smallest change found, and proof that it does.

A proposal is shown only after a rerun of the changed file: a whole trial at the tolerance of a single trial, and
what is wanted at more speeds than the search looked at; and only if some of a few builds do it too. Where nothing
allowed does it, the nearest miss is reported, and what stands in the way.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from typing import Any, NamedTuple, TypeVar

from sim.design.edit import edited, patch
from sim.design.model import Design
from sim.design.priors import priors
from sim.studies.engine import Case, CaseError, run_cases
from sim.studies.ensemble import NOMINAL, Builds, few_deviates, touching
from sim.studies.redesign import remeasured
from sim.studies.redesign.blocked import too_dense
from sim.studies.redesign.levers import GROUPS, levers
from sim.studies.redesign.proposals import Alone, DensityNeeded, Proposal, RemedyResult, Way, proposal, way
from sim.studies.redesign.search import Found, Search, Spot, names
from sim.studies.redesign.step import Kind, hazards
from sim.studies.redesign.trial_designs import (
    Attempt,
    Objectives,
    Tried,
    as_filed,
    carried_out,
    holds,
    swimming,
)
from sim.trials.budget import budget
from sim.trials.cautions import Caution, has_lead

T = TypeVar("T")
Watch = Callable[[str, Iterable[T], int], Iterable[T]]
"""Shows how far a piece of work is: what it is, the things as they come, how many there will be."""

SHOWN = 3  # proposals
PROOFS = 5  # rounds of them, each of up to `SHOWN`
BUILDS = 16  # of each proposal, by the tolerance of the workshop alone; judgement
HAIR = 0.05  # misfits by which a proof has to show more than is wanted

Row = Mapping[str, Any]


def unwatched(what: str, things: Iterable[T], total: int) -> Iterable[T]:
    """Things as they come."""
    return things


def remedy(
    text: str,
    design: Design,
    objectives: Objectives,
    *,
    allow: Iterable[str] = GROUPS,
    keep: Sequence[str] = (),
    pairs: bool = True,
    executor: Executor | None = None,
    workers: int = 1,
    watch: Watch[Any] = unwatched,
    name: str = "lure.toml",
    rest: bool = True,
    written: str | None = None,
) -> RemedyResult:
    """The smallest changes that make a design do what is wanted.

    Args:
        text: the design file's text; `design` is what it says.
        allow: groups of `levers.GROUPS` that may be changed.
        keep: paths, or beginnings of them, that stay.
        pairs: whether two changes together are looked at where one does not do it.
        name: of the file, in patches.
        rest: whether proposals tell what else they change, and what a step more or less does: a whole trial each.
        written: the file as the maker wrote it, for the patches, where `text` is not that.

    Raises:
        BuildError: the design cannot be built as it is.
        sim.studies.engine.StudyError: a worker died.
    """
    original = text if written is None else written
    return _Remedy(text, design, objectives, executor, workers, watch, name, rest, original).found(
        set(allow), keep, pairs
    )


def _split(waiting: Sequence[Found], bench: bool) -> tuple[list[Found], list[Found]]:
    """The next to be proved and the rest: the smallest, and of what a bench can do one at least unless there is one."""
    first = [] if bench else [found for found in waiting if found.attempt.at_the_bench][:1]
    order = [*first, *(found for found in waiting if found not in first)]
    return order[:SHOWN], order[SHOWN:]


class BuildCount(NamedTuple):
    """Builds of a changed lure: how many there are, do all that is wanted, and swim where something is wanted."""

    made: int = 0
    hold: int = 0
    swim: int = 0


class _Remedy:
    """One search with its proofs."""

    def __init__(
        self, text: str, design: Design, objectives: Objectives, executor: Executor | None, workers: int,
        watch: Watch[Any], name: str, rest: bool, written: str,
    ) -> None:  # fmt: skip
        self.text, self.design, self.objectives, self.name, self.rest = text, design, objectives, name, rest
        self._executor, self._workers, self._watch = executor, workers, watch
        self.written = written
        self._proofs: dict[Spot, Row | None] = {}
        self._builds: dict[Spot, BuildCount] = {}
        self.looks = 0

    def found(self, allow: set[str], keep: Sequence[str], pairs: bool) -> RemedyResult:
        stands = self._rows("the lure as it is", [Attempt()], fine=True)[0]
        if stands is None:
            raise CaseError("the lure as it is cannot be looked at")
        now = way(self.objectives, stands)
        if all(want.met for want in now):
            return self._result(now, [])
        points, file = self.objectives.points(), as_filed(self.text)
        every = levers(self.design, points, self.objectives.free, allow, keep, file)
        search = Search(every, self._ask, self.objectives.work, self.objectives.counts())
        search.singles()
        proved = self._proved(search, 1)
        if pairs and not any(found.attempt.at_the_bench for found, _ in proved):
            search.pairs(only_bench=bool(proved))
            two = self._proved(search, 2)
            bench = [pair for pair in two if pair[0].attempt.at_the_bench][:1]
            proved = [*bench, *proved][:SHOWN] if proved else two
        if proved:
            return self._result(now, self._proposals(search, proved))
        return self._missed(search, now)

    # ---- looking ------------------------------------------------------------------------------------

    def _ask(self, what: str, attempts: Sequence[Attempt]) -> list[list[float] | None]:
        """How far inside the objectives attempts are, at the rough tolerance of a search."""
        rows = self._rows(what, attempts)
        return [
            None if row is None else self.objectives.rooms(row, attempt.tie_on)
            for attempt, row in zip(attempts, rows, strict=True)
        ]

    def _rows(self, what: str, attempts: Sequence[Attempt], fine: bool = False) -> list[Row | None]:
        cases = [
            Case(k, Tried(self.text, self._changes(one), self.objectives.request(one.tie_on, fine)))
            for k, one in enumerate(attempts)
        ]
        return self._run(what, cases)

    def _wholes(self, attempts: Sequence[Attempt]) -> list[Row | None]:
        """Whole trials, at the tolerance of one."""
        cases = [Case(k, Tried(self.text, self._changes(one), None)) for k, one in enumerate(attempts)]
        return self._run("whole trials", cases)

    def _run(self, what: str, cases: Sequence[Case], text: str = "") -> list[Row | None]:
        rows: list[Row | None] = [None] * len(cases)
        outcomes = run_cases(text or self.text, cases, self._executor, self._workers)
        for outcome in self._watch(what, outcomes, len(cases)):
            rows[outcome.case.number] = None if outcome.failure else outcome.answer
            self.looks += 1
        return rows

    def _changes(self, attempt: Attempt) -> dict[str, Any]:
        """The changes, and what follows from them for what was measured of the whole."""
        changes = attempt.changes
        if changes and remeasured.measured(self.design):
            try:
                changes |= remeasured.moved(self.design, carried_out(self.text, changes))
            except ValueError:  # it cannot be built: its run will say so
                return changes
        return changes

    # ---- proving ------------------------------------------------------------------------------------

    def _proved(self, search: Search, changes: int) -> list[tuple[Found, Row]]:
        """Found attempts that stand the proof, the smallest first; one for each set of things changed."""
        waiting = list(self._smallest(search, search.found(changes)))
        good: dict[frozenset[str], tuple[Found, Row]] = {}
        for _ in range(PROOFS):
            bench = any(found.attempt.at_the_bench for found, _ in good.values())
            if len(good) >= SHOWN:  # only what a bench can do is still looked for
                waiting = [] if bench else [found for found in waiting if found.attempt.at_the_bench]
            batch, waiting = _split(waiting, bench)
            if not batch:
                break
            failed = []
            for found, row in zip(batch, self._prove(batch), strict=True):
                if row is not None and self._stands(row, found.attempt.tie_on) and self._sound(found):
                    here = names(search.levers, found.spot)
                    if here not in good or found.attempt.cost < good[here][0].attempt.cost:
                        good[here] = found, row
                else:
                    failed.append(found)
            farther = [f for found in failed for f in self._farther(search, found)]
            left = {f.spot: f for f in (*farther, *waiting) if names(search.levers, f.spot) not in good}
            waiting = sorted(left.values(), key=lambda f: f.attempt.cost)
        every = sorted(good.values(), key=lambda pair: pair[0].attempt.cost)
        first = [pair for pair in every if pair[0].attempt.at_the_bench][:1]
        return [*first, *(pair for pair in every if pair not in first)][:SHOWN]

    def _stands(self, row: Row, tie_on: str) -> bool:
        """Whether a fine row shows all that is wanted, and not by a hair."""
        return self.objectives.met(row, tie_on) and min(self.objectives.rooms(row, tie_on, fine=True)) >= HAIR

    def _sound(self, found: Found) -> bool:
        """Whether some builds of a change do it, and most swim where something is wanted, whatever else they do."""
        if not self.rest:
            return True
        built = self._built(found)
        return (built.hold > 0 or not built.made) and 2 * built.swim >= built.made

    def _smallest(self, search: Search, every: Sequence[Found]) -> Iterator[Found]:
        seen: set[frozenset[str]] = set()
        for found in every:
            here = names(search.levers, found.spot)
            if here not in seen:
                seen.add(here)
                yield found

    def _farther(self, search: Search, found: Found) -> list[Found]:
        """The same changes, a little larger, that hold in the search, and the surest of all; none twice."""
        larger = search.look("a little more of it", search.larger(found.spot))
        new = [f for f in larger if f is not None and f.holds and f.spot not in self._proofs][:2]
        sure = [f for f in search.roomiest(found.spot) if f.spot not in self._proofs and f not in new]
        return new + sure[:1]

    def _prove(self, batch: Sequence[Found]) -> list[Row | None]:
        new = [found for found in batch if found.spot not in self._proofs]
        rows = self._rows("the proof", [found.attempt for found in new], fine=True)
        self._proofs |= {found.spot: row for found, row in zip(new, rows, strict=True)}
        return [self._proofs[found.spot] for found in batch]

    # ---- telling ------------------------------------------------------------------------------------

    def _proposals(self, search: Search, proved: Sequence[tuple[Found, Row]]) -> list[Proposal]:
        """Found attempts with their proofs, and with all that they do besides."""
        before: Row | None = None
        after: list[Row | None] = [None] * len(proved)
        held = [BuildCount()] * len(proved)
        if self.rest:
            surest = [self._surest(search, found, row) for found, row in proved]
            proved, held = [(found, row) for found, row, _ in surest], [count for _, _, count in surest]
            beside = [spot for found, _ in proved for spot in search.beside(found.spot)]
            search.look("a step more, a step less", beside)
            before, *after = self._wholes([Attempt(), *(found.attempt for found, _ in proved)])
        proposals = [
            self._proposal(search, found, before or {}, {**(whole or {}), **row}, count)
            for (found, row), whole, count in zip(proved, after, held, strict=True)
        ]
        # the smallest that most builds do, that spoils nothing, and that the bench can do, first
        return sorted(
            proposals,
            key=lambda one: (
                not all(change.at_the_bench for change in one.changes),
                bool(one.spoils),
                2 * one.hold < one.builds,
            ),
        )

    def _surest(self, search: Search, found: Found, row: Row) -> tuple[Found, Row, BuildCount]:
        """A proposal and its builds, or more of the same change if fewer than half of them hold and of that more do."""
        if not self.objectives.met(row, found.attempt.tie_on):
            return found, row, BuildCount()
        held = self._built(found)
        if 2 * held.hold >= held.made:
            return found, row, held
        search.look("a little more of it", search.larger(found.spot))
        other = search.roomiest(found.spot)[0]
        proof = self._prove([other])[0]
        if other.spot == found.spot or proof is None or not self._stands(proof, other.attempt.tie_on):
            return found, row, held
        more = self._built(other)
        better = more.hold > held.hold and self._sound(other)
        return (other, proof, more) if better else (found, row, held)

    def _built(self, found: Found) -> BuildCount:
        """A few builds of the changed lure, by the tolerance of the workshop alone."""
        if found.spot in self._builds:
            return self._builds[found.spot]
        attempt = found.attempt
        text = edited(self.text, self._changes(attempt))
        design = carried_out(self.text, self._changes(attempt))
        request = self.objectives.request(attempt.tie_on)
        builds = Builds(
            text, design, touching(priors(design, model=False), request), request, deviates=few_deviates
        )
        rows = self._run("builds of a proposal", list(builds.cases(BUILDS)), text)[NOMINAL + 1 :]
        made = [row for row in rows if row is not None]
        statements = self.objectives.of(attempt.tie_on)
        hold = sum(all(holds(one, row) for one in statements) for row in made)
        swim = sum(all(min(swimming(one, row)) >= 0.0 for one in statements) for row in made)
        self._builds[found.spot] = BuildCount(len(made), hold, swim)
        return self._builds[found.spot]

    def _proposal(self, search: Search, found: Found, before: Row, row: Row, held: BuildCount) -> Proposal:
        changes = self._changes(found.attempt)
        beside = []
        for spot in search.beside(found.spot):
            if spot in search.known:
                other, moved = search.known[spot], next(pair for pair in spot if pair not in found.spot)
                beside.append((search.step(*moved).does, other is not None and other.holds))
        after = edited(self.written, changes)
        spare = None
        if self.rest and any(s.figure.startswith("budget.") for s in self.objectives.of("")):
            sure = budget(carried_out(self.text, changes))
            spare = sure.margin_sd_g, sure.chance_floats
        return proposal(
            self.design, self.objectives, found.attempt, self.written, changes, before, row, beside, spare,
            patch(self.written, after, self.name), after,
        ).model_copy(update={"builds": held.made, "hold": held.hold})  # fmt: skip

    def _missed(self, search: Search, now: list[Way]) -> RemedyResult:
        """The nearest miss, run as a proposal is; and what outside the levers would turn it."""
        start = search.start
        near = [f for f in search.nearest() if start is None or f.score < start.score][:1]
        proved = [(f, row) for f, row in zip(near, self._prove(near), strict=True) if row is not None]
        miss = self._proposals(search, proved)
        design = carried_out(self.text, self._changes(proved[0][0].attempt)) if proved else self.design
        missing = [] if miss and miss[0].met else [want for want in now if not want.met]
        blocked = [needed for want in missing for needed in too_dense(design, want)]
        alone = []
        for k, statement in enumerate(self.objectives.of("")):
            found = search.alone(k)[:1] if len(now) > 1 else []
            alone += [Alone(text=statement.text, change=one.attempt.steps[0].does) for one in found]
            alone += [Alone(text=statement.text, change=None)] if not found and not now[k].met else []
        return self._result(now, [], miss[0] if miss else None, blocked, alone)

    def _result(
        self, now: list[Way], proposals: list[Proposal], miss: Proposal | None = None,
        blocked: Sequence[DensityNeeded] = (), alone: Sequence[Alone] = (),
    ) -> RemedyResult:  # fmt: skip
        return RemedyResult(
            objectives=list(self.objectives.texts),
            now=now,
            holds_already=all(want.met for want in now),
            proposals=proposals,
            nearest_miss=miss,
            blocked=list(blocked),
            alone=list(alone),
            looks=self.looks,
            cautions=self._cautions([*proposals, *([miss] if miss is not None else [])]),
        )

    def _cautions(self, shown: Sequence[Proposal]) -> list[Caution]:
        """What can hurt in doing what is shown."""
        changes = [change for one in shown for change in one.changes]
        new = any(change.kind in (Kind.DRILL_IN, Kind.FIX_IN) for change in changes)
        return hazards(changes, new or has_lead(self.design))
