"""What a search for a remedy answers, as data: what is wanted and met, proposals, what they do to the rest."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import Field

from sim.design.edit import lines
from sim.design.model import Design
from sim.studies.compare import A_WORD, NOTICED, WORDS
from sim.studies.redesign.step import Modification
from sim.studies.redesign.trial_designs import UNDONE, Attempt, Objectives, asked_rooms, denser, holds
from sim.studies.statements import Statement
from sim.trials.cautions import Caution
from sim.trials.records import SENTENCE, Result
from sim.trials.request import Pull, key, whole
from sim.trials.results import METRICS

EITHER_SIDE = tuple(m.name for m in METRICS.values() if m.either_side)
"""Metrics of which chance picks the side: only how far counts."""


class At(Result):
    """What a wanted figure is found to be, in one look."""

    tie_on: str | None = Field(description="where the line is tied; null where nothing is pulled")
    speed_m_s: float | None = Field(description="line speed")
    found: float | str | None = Field(description="the figure, in its own unit; null: no answer")
    does: str | None = Field(
        None, description="that it rolls over, spins, tumbles or skips there; null: it swims"
    )
    room: float = Field(
        description="how far inside what is wanted, in steps you would notice; negative: outside"
    )


class Way(Result):
    """One thing wanted, and how far a lure is that way."""

    text: str = Field(description="as it was stated")
    figure: str = Field(description="the figure of a trial that it speaks of")
    low: float | None = Field(description="least that is wanted, of a number; null: no lower end")
    high: float | None = Field(description="most that is wanted, of a number; null: no upper end")
    within: tuple[float, float] | None = Field(
        description="of one number without +-: between what the figure counts as so; else null"
    )
    met: bool = Field(description="it holds, at every speed looked at")
    at: list[At] = Field(description="each look")


class Changed(Result):
    """One value of the file."""

    path: str = Field(description="where it stands")
    before: str | None = Field(description="what the file says; null: nothing")
    after: str | None = Field(description="what to write; null: take it out")


class SideEffect(Result):
    """One other figure that changes noticeably."""

    figure: str = Field(description="its name, as in the answers of the trials")
    tie_on: str | None = Field(description="of a retrieve: from where")
    speed_m_s: float | None = Field(description="of a retrieve: how fast")
    before: float | str | None = Field(description="of the lure as it is")
    after: float | str | None = Field(description="of the changed lure")
    steps: float = Field(description="how many times what you would notice; 100 for another word")


class Beside(Result):
    """What a little more or less of a change does."""

    change: Modification = Field(description="the change then")
    holds: bool = Field(description="all objectives are still met, as far as the search looked")


class Proposal(Result):
    """One set of changes with its proof."""

    changes: list[Modification] = Field(description="what to do")
    cost: float = Field(description="how big a change it is, in holes drilled afresh; judgement")
    tie_on: str | None = Field(description="where to tie the line instead; null: where it was")
    values: list[Changed] = Field(description="what changes in the file, value by value")
    objectives: list[Way] = Field(description="the objectives, as the rerun of the changed file shows them")
    effects: list[SideEffect] = Field(description="what else changes noticeably, words first")
    beside: list[Beside] = Field(description="a step more and a step less of each change")
    spare_lift_sd_g: float | None = Field(
        description="how well its spare lift is known, one deviation; null: not wanted"
    )
    chance_floats: float | None = Field(
        description="then the chance that it floats, 0 to 1; null: not wanted"
    )
    builds: int = Field(0, description="builds of the changed lure that were tried, each a little different")
    hold: int = Field(0, description="of them, those that do all that is wanted")
    patch: str = Field(description="the change to the file, as a unified diff; empty: none is needed")
    text: str = Field(description="the whole changed file", exclude=True)

    @property
    def met(self) -> bool:
        """Whether the rerun shows all that is wanted."""
        return all(want.met for want in self.objectives)

    @property
    def spoils(self) -> list[SideEffect]:
        """Pulls in which it newly rolls over, spins, spirals, tumbles or skips."""
        return [
            effect
            for effect in self.effects
            if effect.figure == "retrieve.behaviour"
            and effect.after in UNDONE
            and effect.before not in UNDONE
        ]


class DensityNeeded(Result):
    """What a body would have to be made of on top of a change."""

    body: str = Field(description="its name")
    wall: bool = Field(description="it is hollow, and its wall is meant")
    needed_kg_m3: float = Field(description="density at which what is wanted would just be met")
    now_kg_m3: float = Field(description="density of what it is made of")
    sentence: str = SENTENCE


class Alone(Result):
    """One objective by itself: the smallest single change that was found to meet it."""

    text: str = Field(description="as it was stated")
    change: Modification | None = Field(description="null: none of those looked at")


class RemedyResult(Result):
    """What to change so that a lure does what is wanted."""

    objectives: list[str] = Field(description="what is wanted, as it was stated")
    now: list[Way] = Field(description="how the lure as it is stands to that")
    holds_already: bool = Field(description="nothing needs changing")
    proposals: list[Proposal] = Field(description="changes that do it, the smallest first; each was rerun")
    nearest_miss: Proposal | None = Field(description="where nothing does it: what comes nearest")
    blocked: list[DensityNeeded] = Field(
        description="where nothing does it: what outside the allowed changes would"
    )
    alone: list[Alone] = Field(
        default_factory=list,
        description="where nothing does it: what would meet each objective without the others",
    )
    looks: int = Field(description="changed lures looked at")
    cautions: list[Caution] = Field(
        default_factory=list, description="what can hurt in doing what is proposed"
    )


def way(objectives: Objectives, row: Mapping[str, Any], tie_on: str = "") -> list[Way]:
    """How a fine row stands to each want."""
    return [_way(denser(statement), row) for statement in objectives.of(tie_on)]


def _way(statement: Statement, row: Mapping[str, Any]) -> Way:
    pulls: Sequence[Pull | None] = statement.pulls or (None,)
    span = statement.span
    return Way(
        text=statement.text,
        figure=statement.figure,
        low=None if span is None or math.isinf(span.low) else span.low,
        high=None if span is None or math.isinf(span.high) else span.high,
        within=statement.within,
        met=holds(statement, row),
        at=[
            At(
                tie_on=pull.tie_on if pull else None,
                speed_m_s=pull.speed if pull else None,
                found=found,
                does=str(does)
                if (does := pull and row.get(key("retrieve.behaviour", pull))) in UNDONE
                else None,
                room=room,
            )
            for pull, found, room in zip(
                pulls, statement.found(row), asked_rooms(statement, row), strict=True
            )
        ],
    )


def proposal(
    design: Design,
    objectives: Objectives,
    attempt: Attempt,
    text: str,
    changes: Mapping[str, Any],
    before: Mapping[str, Any],
    row: Mapping[str, Any],
    beside: Sequence[tuple[Modification, bool]],
    spare: tuple[float, float | None] | None,
    patch: str,
    after: str,
) -> Proposal:
    """A proposal as its rerun (`row`) shows it.

    Args:
        changes: of the file, as `sim.design.edit` takes them.
        before: figures of the lure as it is.
        beside: a step more or less, and whether it holds.
        spare: deviation of its spare lift (g), and the chance that it floats; None where that is not wanted.
        after: the changed file.
    """
    return Proposal(
        changes=[step.does for step in attempt.steps],
        cost=attempt.cost,
        tie_on=attempt.tie_on or None,
        values=[
            Changed(path=line.path, before=_written(line.before), after=_written(line.after))
            for line in lines(text, changes)
        ],
        objectives=way(objectives, row, attempt.tie_on),
        effects=effects(design, objectives, before, row, attempt.tie_on),
        beside=[Beside(change=does, holds=holds) for does, holds in beside],
        spare_lift_sd_g=None if spare is None else spare[0],
        chance_floats=None if spare is None else spare[1],
        patch=patch,
        text=after,
    )


def _written(value: Any) -> str | None:
    return None if value is None else str(value)


def effects(
    design: Design,
    objectives: Objectives,
    before: Mapping[str, Any],
    after: Mapping[str, Any],
    tie_on: str = "",
) -> list[SideEffect]:
    """Figures of a trial that differ noticeably and are not wanted themselves, words first."""
    wanted = {
        key(s.figure, pull) for s in map(denser, objectives.of(tie_on)) for pull in (s.pulls or (None,))
    }
    own = {f"{pull.tie_on} {pull.speed:.6g}" for pull in whole(design).pulls}
    out = []
    for name in before:
        figure, _, pull = name.partition(" ")
        if name in wanted or name not in after or (pull and pull not in own):
            continue
        steps = _steps(figure, before[name], after[name])
        if steps >= 1.0:
            where, _, speed = pull.partition(" ")
            out.append(
                SideEffect(
                    figure=figure,
                    tie_on=where or None,
                    speed_m_s=float(speed) if speed else None,
                    before=before[name],
                    after=after[name],
                    steps=steps,
                )
            )
    return sorted(out, key=lambda effect: -effect.steps)


def _steps(figure: str, before: Any, after: Any) -> float:
    if figure in WORDS:
        return A_WORD if before != after else 0.0
    if figure not in NOTICED:
        return 0.0
    if before is None or after is None:
        return 0.0 if before is after else 1.0
    if figure in EITHER_SIDE:
        before, after = abs(before), abs(after)
    return float(abs(after - before)) / NOTICED[figure]
