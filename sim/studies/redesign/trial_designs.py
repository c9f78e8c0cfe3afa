"""Changed designs tried against what is wanted: a text with changes carried out, as the loader would read it.

What is tried is the changed *text*: what a proposal says to write is exactly what was run.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import pairwise
from typing import Any

from sim.design.edit import altered
from sim.design.model import Design
from sim.studies.engine import CaseError
from sim.studies.grammar import SWEEP, criteria
from sim.studies.redesign import clearance as room
from sim.studies.redesign.step import Change
from sim.studies.statements import FAR, SPOILS, Statement
from sim.trials.request import Pull, Request, key, together, whole
from sim.trials.results import Behaviour

UNDONE = tuple(behaviour.value for behaviour in (*SPOILS, Behaviour.SKIPS))
"""What no lure is wanted to do, unless it is asked for: roll over, spin, spiral, tumble, leave the water."""
DENSER = 4  # times as many speeds of a wanted range in the proof as in the search
WEIGHTS = {"budget": 0.15, "float": 0.6, "drop": 0.5, "cast": 0.4}  # work of a look, a retrieve being 1


@dataclass(frozen=True)
class Attempt:
    """Steps taken together."""

    steps: tuple[Change, ...] = ()

    @property
    def changes(self) -> dict[str, Any]:
        """What the file says then, by path."""
        return {path: value for step in self.steps for path, value in step.changes.items()}

    @property
    def cost(self) -> float:
        """How big a change it is; a second change is one more thing to do."""
        return sum(step.cost for step in self.steps) + max(len(self.steps) - 1, 0)

    @property
    def at_the_bench(self) -> bool:
        """Whether all of it is done to the finished lure at a bench."""
        return all(step.does.at_the_bench for step in self.steps)

    @property
    def tie_on(self) -> str:
        """Where the line is tied then; empty: where it was."""
        return next((step.tie_on for step in self.steps if step.tie_on), "")

    @property
    def name(self) -> str:
        """Tells attempts apart."""
        return repr((sorted(self.changes.items(), key=str), self.tie_on))


@dataclass(frozen=True)
class Objectives:
    """What is wanted, as a maker stated it, held against a design."""

    texts: tuple[str, ...]
    statements: Mapping[str, tuple[Statement, ...]] = field(compare=False)  # by where the line is tied
    free: bool  # whether it is left open where the line is tied

    @staticmethod
    def read(design: Design, texts: Sequence[str]) -> Objectives:
        """All that `texts` say.

        Raises:
            sim.studies.grammar.StatementError: words that say nothing about a lure.
        """
        first = tuple(s for text in texts for s in criteria(design, text))
        known = {"": first}
        for name in design.tie_on:
            order = {name: design.tie_on[name], **design.tie_on}
            turned = design.model_copy(update={"tie_on": order})
            known[name] = tuple(s for text in texts for s in criteria(turned, text))
        free = any(other != first for other in known.values())
        return Objectives(tuple(texts), known, free)

    def of(self, tie_on: str) -> tuple[Statement, ...]:
        """The statements, the line tied there where nothing else is stated."""
        return self.statements[tie_on]

    def points(self) -> list[str]:
        """Tie-on points that are spoken of."""
        return list(dict.fromkeys(pull.tie_on for s in self.of("") for pull in s.pulls))

    def counts(self) -> list[int]:
        """How many of the rooms belong to each statement, in order."""
        return [max(len(statement.pulls), 1) for statement in self.of("")]

    def request(self, tie_on: str = "", fine: bool = False) -> Request:
        """What has to be looked at; `fine`: a wanted range at more speeds."""
        stated = self.of(tie_on)
        return together(one.request() for one in (denser(s) if fine else s for s in stated))

    @property
    def work(self) -> float:
        """Of one look, a retrieve being 1."""
        request = self.request()
        return len(request.pulls) + sum(WEIGHTS[part] for part in request.parts)

    def rooms(self, row: Mapping[str, Any], tie_on: str = "", fine: bool = False) -> list[float]:
        """How far inside each want a row is, pull by pull."""
        return [left for s in self.of(tie_on) for left in asked_rooms(denser(s) if fine else s, row)]

    def met(self, row: Mapping[str, Any], tie_on: str = "") -> bool:
        """Whether a fine row shows all of them, and a lure that swims."""
        return all(holds(denser(s), row) for s in self.of(tie_on))


def asked_rooms(statement: Statement, row: Mapping[str, Any]) -> list[float]:
    """How far inside what is asked a row is, pull by pull: the statement, and that the lure swims meanwhile."""
    return [
        min(left, swims) for left, swims in zip(rooms(statement, row), swimming(statement, row), strict=True)
    ]


def holds(statement: Statement, row: Mapping[str, Any]) -> bool:
    """Whether a statement holds of a lure that swims in every pull."""
    return statement.holds(row) and min(swimming(statement, row), default=0.0) >= 0.0


def swimming(statement: Statement, row: Mapping[str, Any]) -> list[float]:
    """By how much the lure swims, pull by pull: negative where it rolls over, spins or leaves the water.

    Whoever wants a depth or a wobble wants a lure that swims. Where nothing is pulled, or such a thing itself is
    wanted, there is nothing to ask: infinite.
    """
    if not statement.pulls or (statement.word in UNDONE and not statement.negated):
        return [math.inf] * max(len(statement.pulls), 1)
    return [_swims(row, pull) for pull in statement.pulls]


def _swims(row: Mapping[str, Any], pull: Pull) -> float:
    margins = row.get(key("retrieve.margins", pull))
    if not margins:
        return -FAR
    if str(row.get(key("retrieve.behaviour", pull))) in UNDONE:
        return -FAR
    return max(min(-margins[word] for word in UNDONE if word in margins), -FAR)


def rooms(statement: Statement, row: Mapping[str, Any]) -> list[float]:
    """How far inside a statement a row is, pull by pull; a reading's two deviations count as half a misfit."""
    margins = statement.margins(row)
    if statement.span is not None and statement.span.reading:
        return [margin if margin < 0.0 else 0.25 * margin for margin in margins]
    return margins


def denser(statement: Statement) -> Statement:
    """A statement about a range of speeds, held at more speeds of that range; any other as it is."""
    pulls = statement.pulls
    if len(pulls) != SWEEP or len({pull.tie_on for pull in pulls}) != 1:
        return statement
    ratios = [b.speed / a.speed for a, b in pairwise(pulls)]
    if not math.isclose(ratios[0], ratios[-1], rel_tol=1e-9) or ratios[0] <= 1.0:
        return statement
    step = ratios[0] ** (1.0 / DENSER)
    many = [Pull(pulls[0].tie_on, pulls[0].speed * step**k) for k in range(DENSER * (SWEEP - 1) + 1)]
    return replace(statement, pulls=tuple(many))


@dataclass(frozen=True)
class Tried:
    """A question for `engine.run_cases`: the figures of a text with changes, whatever design it is handed."""

    text: str
    changes: Mapping[str, Any]
    request: Request | None  # None: all that a trial asks

    def __call__(self, _: Design) -> Mapping[str, Any]:
        """The row of figures.

        Raises:
            CaseError: the changed design is impossible, or a weight has no room in it.
            BuildError: it cannot be built.
        """
        design = carried_out(self.text, self.changes)
        if any(path.startswith("body.") for path in self.changes):
            _room_for_all(_sound(self.text), design)  # levers see to it where the body stays as it is
        return (self.request or whole(design))(design)


def carried_out(text: str, changes: Mapping[str, Any]) -> Design:
    """The design that a text with changes is, checked as a file is.

    Raises:
        CaseError: it is impossible.
    """
    from pydantic import ValidationError

    from sim.design.checks import check
    from sim.design.expand import expand

    try:
        changed = Design.model_validate(altered(_tables(text), changes))
    except (ValidationError, KeyError) as error:
        raise CaseError(str(error)) from error
    design, wrong = expand(changed)
    for finding in (*wrong, *check(design)):
        raise CaseError(f"{'.'.join(map(str, finding.path))}: {finding.message}")
    return design


def as_filed(text: str) -> Design:
    """The design as the file has it: no reading turned into a value yet."""
    return Design.model_validate(_tables(text))


@lru_cache(maxsize=8)
def _tables(text: str) -> dict[str, Any]:
    from sim.design.syntax import tables

    return tables(text)


@lru_cache(maxsize=8)
def _sound(text: str) -> Design:
    return carried_out(text, {})


def _room_for_all(before: Design, after: Design) -> None:
    """Every weight that had its room has it still."""
    had, has = room.bodies(before), room.bodies(after)
    for name, weight in after.ballast.items():
        old = before.ballast.get(name)
        if (old is None or room.has_room(had, old)) and not room.has_room(has, weight):
            raise CaseError(f"ballast.{name} has no room in its body")
