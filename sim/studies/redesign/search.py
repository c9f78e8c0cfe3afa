"""The search for the smallest change: one lever at a time first, then two, by how far the objectives are off.

Every lever is looked at in a few steps; where a step meets the objectives, the least one that does is found by
halving, and where one nearly does, its neighbours are looked at. Pairs are picked by adding up what
their levers do alone, then looked at themselves; then the best single steps are tried with all other levers.
What is found is made smaller as long as it holds. The number of looks is bounded, and reported.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise, product

import numpy as np

from sim.studies.redesign.step import Change, Lever
from sim.studies.redesign.trial_designs import Attempt

ROOM = 0.25  # misfits of room that is aimed at
SINGLE_WORK = 130.0  # retrieves that the first look at all levers may take
PAIR_WORK = 130.0  # and each of the two looks at pairs
LEAST, PLAIN, MOST = 3, 8, 12  # steps of a lever in the first look, of a plain one at least, of any at most
CLOSER = 8  # levers, or pairs, that are looked at more closely at a time
ROUNDS = 6
PER_LEVER = 8  # steps of each lever that are paired
EACH_ALONE = 4  # levers that meet one objective alone, each tried with those that meet another

Spot = tuple[tuple[int, int], ...]  # (lever, step) of each change
Ask = Callable[[str, Sequence[Attempt]], Sequence[list[float] | None]]
"""Looks at attempts, and says how far inside the objectives each is; None where it cannot be built."""


@dataclass(frozen=True)
class Found:
    """One attempt looked at."""

    spot: Spot
    attempt: Attempt
    rooms: tuple[float, ...]

    @property
    def meets(self) -> bool:
        """Whether it holds at every pull, with the room aimed at."""
        return min(self.rooms) >= ROOM

    @property
    def holds(self) -> bool:
        """Whether it holds at all."""
        return min(self.rooms) >= 0.0

    @property
    def score(self) -> float:
        """How far it is from what is aimed at: the sum of squares."""
        return score(self.rooms)


def score(rooms: Iterable[float]) -> float:
    """Sum of the squares of what is missing to the room aimed at."""
    return math.fsum(max(ROOM - room, 0.0) ** 2 for room in rooms)


class Search:
    """Finds attempts; `ask` looks at them. All that was looked at stays in `known`."""

    def __init__(self, levers: Sequence[Lever], ask: Ask, work: float, counts: Sequence[int] = ()) -> None:
        """`work`: of one look, a retrieve being 1. `counts`: rooms of each objective; one of all if left out."""
        self.levers, self._ask, self.work = list(levers), ask, work
        ends = np.cumsum([0, *counts])
        self._own = [slice(int(a), int(b)) for a, b in pairwise(ends)]
        self.known: dict[Spot, Found | None] = {}
        self._only_bench = False  # of pairs
        self.start = self.look("the lure as it is", [()])[0]

    # ---- looking ------------------------------------------------------------------------------------

    def look(self, what: str, spots: Iterable[Spot]) -> list[Found | None]:
        """Look at these, those not known yet, and give all of them."""
        wanted = list(dict.fromkeys(spots))
        new = [spot for spot in wanted if spot not in self.known]
        attempts = [self.attempt(spot) for spot in new]
        if new:
            for spot, attempt, rooms in zip(new, attempts, self._ask(what, attempts), strict=True):
                self.known[spot] = None if rooms is None else Found(spot, attempt, tuple(rooms))
        return [self.known[spot] for spot in wanted]

    def attempt(self, spot: Spot) -> Attempt:
        """What a spot says to do."""
        return Attempt(tuple(self.step(lever, at) for lever, at in spot))

    def step(self, lever: int, at: int) -> Change:
        return self.levers[lever].steps[at]

    def found(self, changes: int) -> list[Found]:
        """All that hold with so many changes, the smallest first, those with the room aimed at before others."""
        good = [f for f in self.known.values() if f is not None and f.holds and len(f.spot) == changes]
        return sorted(good, key=lambda f: (not f.meets, f.attempt.cost))

    def nearest(self) -> list[Found]:
        """Everything looked at that changes something, the nearest to the objectives first."""
        every = [f for f in self.known.values() if f is not None and f.spot]
        return sorted(every, key=lambda f: (round(f.score, 3), f.attempt.cost))

    # ---- one change ---------------------------------------------------------------------------------

    def singles(self) -> None:
        """Every lever alone."""
        self.look(
            "single changes",
            [
                ((k, at),)
                for k, lever in enumerate(self.levers)
                for at in spread(len(lever.steps), self._many(lever))
            ],
        )
        self._closer()
        self._halved()

    def _many(self, lever: Lever) -> int:
        share = SINGLE_WORK / (self.work * len(self.levers))
        return int(min(max(share, PLAIN if lever.plain else LEAST), MOST))

    def _alone(self, lever: int) -> dict[int, Found | None]:
        """What is known of one lever alone, by step."""
        return {
            spot[0][1]: found for spot, found in self.known.items() if len(spot) == 1 and spot[0][0] == lever
        }

    def _closer(self) -> None:
        """Between the steps looked at, where a lever nearly does it."""
        if self.start is None:
            return
        for _ in range(2):
            wanted: list[tuple[float, Spot]] = []
            for k in range(len(self.levers)):
                known = self._alone(k)
                good = {at: found for at, found in known.items() if found is not None}
                if not good or any(found.meets for found in good.values()):
                    continue
                best = min(good, key=lambda at: good[at].score)
                if good[best].score < 0.9 * self.start.score:
                    wanted += [(good[best].score, ((k, at),)) for at in _between(best, known)]
            wanted.sort(key=lambda item: item[0])
            self.look("single changes, closer", [spot for _, spot in wanted[: 2 * CLOSER]])

    def _halved(self) -> None:
        """The least step of each lever that holds, between one that does and one that does not."""
        for _ in range(ROUNDS):
            wanted: list[tuple[float, Spot]] = []
            for k in range(len(self.levers)):
                known = self._alone(k)
                good = [at for at, found in known.items() if found is not None and found.meets]
                if not good:
                    continue
                least = min(good)
                below = max((at for at in known if at < least), default=-1)
                if least - below > 1:
                    middle = (least + below) // 2
                    wanted.append((self.step(k, below + 1).cost, ((k, middle),)))
            if not wanted:
                return
            wanted.sort(key=lambda item: item[0])
            self.look("the least that does it", [spot for _, spot in wanted[:CLOSER]])

    # ---- two changes --------------------------------------------------------------------------------

    def pairs(self, only_bench: bool = False) -> None:
        """Two levers together: first by what they do alone, then the best with every other.

        Args:
            only_bench: only of what a bench can do to the finished lure.
        """
        if self.start is None:
            return
        self._only_bench = only_bench
        count = max(12, int(PAIR_WORK / self.work))
        self.look("pairs of changes", self._picked(count))
        if not any(found.meets for found in self._two()):
            self.look("pairs of changes, more", self._with_the_best(count))
            for _ in range(2):
                best = sorted(self._two(), key=lambda f: f.score)[:CLOSER]
                self.look("pairs of changes, closer", [s for f in best for s in self._around(f.spot)])
        self._shrunk()

    def _two(self) -> list[Found]:
        return [found for spot, found in self.known.items() if found is not None and len(spot) == 2]

    def _picked(self, count: int) -> list[Spot]:
        """Pairs that should do it if effects add up, the smallest first; then those nearest to it."""
        assert self.start is not None
        singles = [f for k in range(len(self.levers)) for f in self._told(k)]
        if not singles:
            return []
        first = self._of_each()[:count]
        base = np.array(self.start.rooms)
        alone = np.array([f.rooms for f in singles])
        rank: list[tuple[float, Spot]] = []
        for i, one in enumerate(singles):
            sums = alone + (alone[i] - base)
            missing = np.sum(np.maximum(ROOM - sums, 0.0) ** 2, axis=1)
            for j in range(i + 1, len(singles)):
                two = singles[j]
                if self._together(one.spot[0][0], two.spot[0][0]):
                    cost = one.attempt.cost + two.attempt.cost
                    rank.append((float(missing[j]) + 0.01 * cost, (*one.spot, *two.spot)))
        return list(dict.fromkeys([*first, *self._varied(rank, count)]))[: max(count, len(first))]

    def alone(self, objective: int) -> list[Found]:
        """Of each lever the smallest step that meets one objective, whatever becomes of the others; smallest first."""
        own = self._own[objective]
        best: dict[int, Found] = {}
        for found in self.known.values():
            if found is None or len(found.spot) != 1 or min(found.rooms[own]) < 0.0:
                continue
            lever = found.spot[0][0]
            if lever not in best or found.attempt.cost < best[lever].attempt.cost:
                best[lever] = found
        return sorted(best.values(), key=lambda found: found.attempt.cost)

    def _of_each(self) -> list[Spot]:
        """What meets one objective together with what meets another, the smallest first."""
        each = [self.alone(k)[:EACH_ALONE] for k in range(len(self._own))]
        pairs = {
            tuple(sorted((*one.spot, *two.spot))): one.attempt.cost + two.attempt.cost
            for some, others in combinations(each, 2)
            for one, two in product(some, others)
            if self._together(one.spot[0][0], two.spot[0][0])
        }
        return sorted(pairs, key=lambda spot: pairs[spot])

    def _told(self, lever: int) -> list[Found]:
        """A few steps of one lever, well spread, that could be built."""
        good = sorted((f for f in self._alone(lever).values() if f is not None), key=lambda f: f.spot)
        return [good[k] for k in spread(len(good), PER_LEVER)]

    def _varied(self, rank: list[tuple[float, Spot]], count: int) -> list[Spot]:
        """The best, but no more than a few of the same two levers."""
        seen: dict[tuple[int, ...], int] = {}
        out = []
        for _, spot in sorted(rank):
            levers = tuple(lever for lever, _ in spot)
            seen[levers] = seen.get(levers, 0) + 1
            if seen[levers] <= 4:
                out.append(spot)
            if len(out) == count:
                break
        return out

    def _together(self, one: int, two: int) -> bool:
        """Whether two levers can be used together: not the same thing, nor one inside the other."""
        a, b = self.levers[one], self.levers[two]
        if self._only_bench and not (a.at_the_bench and b.at_the_bench):
            return False
        return a.key != b.key and not _overlap(a.steps[-1].changes, b.steps[-1].changes)

    def _with_the_best(self, count: int) -> Iterator[Spot]:
        best: list[Found] = []
        for found in self.nearest():
            if len(found.spot) == 1 and all(found.spot[0][0] != other.spot[0][0] for other in best):
                best.append(found)
            if len(best) == 3:
                break
        each = max(1, int(count / max(1, len(best) * len(self.levers))))
        for found in best:
            for k, lever in enumerate(self.levers):
                if self._together(found.spot[0][0], k):
                    yield from (
                        tuple(sorted((found.spot[0], (k, at)))) for at in spread(len(lever.steps), each)
                    )

    def _around(self, spot: Spot) -> Iterator[Spot]:
        """A step more or less, and a quarter of the lever, of each of the two."""
        for which, (lever, at) in enumerate(spot):
            many = len(self.levers[lever].steps)
            for far in {1, max(1, many // 8)}:
                for to in (at - far, at + far):
                    if 0 <= to < many:
                        yield tuple((lever, to) if k == which else pair for k, pair in enumerate(spot))

    def _shrunk(self) -> None:
        """Pairs that hold, made smaller as long as they do."""
        tips = {f.spot: f for f in sorted(self._two(), key=lambda f: f.attempt.cost) if f.meets}
        tips = dict(list(tips.items())[:CLOSER])
        for _ in range(ROUNDS):
            wanted = {spot: list(self._smaller(spot)) for spot in tips}
            self.look("the least that does it", [s for many in wanted.values() for s in many])
            after: dict[Spot, Found] = {}
            for many in wanted.values():
                good = [f for s in many if (f := self.known[s]) is not None and f.meets]
                if good:
                    least = min(good, key=lambda f: f.attempt.cost)
                    after[least.spot] = least
            if not after:
                return
            tips = after

    def _smaller(self, spot: Spot) -> Iterator[Spot]:
        for which, (lever, at) in enumerate(spot):
            for to in {at // 2, at - 1}:
                if 0 <= to < at:
                    yield tuple((lever, to) if k == which else pair for k, pair in enumerate(spot))

    def larger(self, spot: Spot) -> list[Spot]:
        """The same changes a little farther: tried where the least one does not stand the proof."""
        out: list[Spot] = []
        for far in (1, 2, 4):
            moved = tuple((lever, min(at + far, len(self.levers[lever].steps) - 1)) for lever, at in spot)
            if moved != spot and moved not in out:
                out.append(moved)
        return out

    def roomiest(self, spot: Spot) -> list[Found]:
        """What holds of the same changes, the surest first: at the edge of what holds a proof may fail."""
        same = [lever for lever, _ in spot]
        every = (f for f in self.known.values() if f is not None and f.holds)
        mine = [f for f in every if [lever for lever, _ in f.spot] == same]
        return sorted(mine, key=lambda f: (-min(f.rooms), f.attempt.cost))

    def beside(self, spot: Spot) -> list[Spot]:
        """A step less and a step more of each change, as far as there are such."""
        return [
            tuple((lever, to) if k == which else pair for k, pair in enumerate(spot))
            for which, (lever, at) in enumerate(spot)
            for to in (at - 1, at + 1)
            if 0 <= to < len(self.levers[lever].steps)
        ]


def spread(length: int, many: int) -> list[int]:
    """So many places of a row, closer together at its beginning, its end among them."""
    if many >= length:
        return list(range(length))
    return sorted({max(0, round(length * (k / many) ** 1.6) - 1) for k in range(1, many + 1)})


def _between(best: int, known: Mapping[int, object]) -> list[int]:
    below = max((at for at in known if at < best), default=-1)
    above = min((at for at in known if at > best), default=best)
    middles = {(best + below + 1) // 2, (best + above) // 2}
    return [at for at in middles if at not in known]


def _overlap(one: Mapping[str, object], two: Mapping[str, object]) -> bool:
    return any(a == b or a.startswith(f"{b}.") or b.startswith(f"{a}.") for a in one for b in two)


def names(levers: Sequence[Lever], spot: Spot) -> frozenset[str]:
    """What a spot changes; spots that change the same things are listed once."""
    return frozenset(levers[lever].key for lever, _ in spot)
