"""What an `explain` search came to, as data: the statements, groups of causes, what else would be different."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from enum import StrEnum
from typing import Any

import numpy as np
from pydantic import Field

from sim.remark import Remark
from sim.studies.compare import NOTICED, WORDS
from sim.studies.diagnosis.diagnose import Explain, Reach
from sim.studies.diagnosis.suspect import FURTHEST, Mishap, Moved
from sim.studies.diagnosis.traces import FITS, Array, Best
from sim.studies.statements import Statement
from sim.trials.records import Result
from sim.trials.request import Pull, key, whole

BETTER = 2.0  # cost that a cause must save to be proposed: it fits seven times as well as nothing
MOST_PAIRS = 3  # pairs that are kept
MOST_ELSE = 4  # other differences that are kept of a cause


class ExplanationVerdict(StrEnum):
    """What the search says on the whole."""

    PREDICTED = "predicted"
    EXPLAINED = "explained"
    TOGETHER = "explained by two together"
    PARTLY = "partly explained"
    NOTHING = "not explained"


class StatementCheck(Result):
    """One thing that was stated, against the design as it stands."""

    text: str = Field(description="as it was stated")
    figure: str = Field(description="the figure that it speaks of")
    within: tuple[float, float] | None = Field(
        description="of one number without +-: between what the figure counts as so; else null"
    )
    predicted: list[str | float | None] = Field(
        description="that figure of the design as it stands, for each pull that is meant"
    )
    holds: bool = Field(description="whether the design as it stands does just that")
    fits: bool = Field(description="whether the design as it stands does that, within errors of reading")
    sure: float | None = Field(
        description="share of builds that would do it, to first order; null for a reading"
    )


class Elsewhere(Result):
    """A figure that nothing was stated of, and that would be different too."""

    figure: str = Field(description="which figure")
    tie_on: str | None = Field(description="of a retrieve: from where")
    speed_m_s: float | None = Field(description="of a retrieve: how fast")
    predicted: str | float | None = Field(description="of the design as it stands, or of the other cause")
    then: str | float | None = Field(description="if this is the cause")
    steps: float = Field(description="difference in steps that a maker would notice")


class CauseFound(Result):
    """One thing that would explain what was stated."""

    name: str = Field(description="path of the input, or a name of its own for another slip")
    kind: str = Field(description="input, model or slip")
    moved: Moved = Field(description="what it is and what it would have to be")
    deviations: float | None = Field(description="how far that is, in deviations; null for a slip")
    known: Remark | str = Field(description="how well it is known, and who says so")
    mishap: Mishap | None = Field(description="what must have happened, if that is no deviation but a slip")
    flips_at_si: float | None = Field(description="value from which on the prediction is what was stated")
    cost: float = Field(description="half the squares of movement and misfits; the least is likeliest")
    moving: float = Field(description="how much of the cost is its movement")
    share: float = Field(
        description="chance of it among everything tried one at a time, by all that was stated"
    )
    explained: list[str] = Field(
        description="what was stated, does not fit the design as it stands, and fits it"
    )
    unexplained: list[str] = Field(description="what was stated and does not fit it")
    elsewhere: list[Elsewhere] = Field(description="what else would be different, the most noticeable first")
    sentence: str = Field("", description="what must be so, and what to do to know")


class Alike(Result):
    """Causes that nothing stated can distinguish; mostly just one."""

    causes: list[CauseFound] = Field(description="the likeliest first")
    apart: list[Elsewhere] = Field(
        description="what would tell the first two apart: the second's figure against the first's"
    )


class Together(Result):
    """Two things that explain together what no single one does."""

    causes: list[CauseFound] = Field(description="the two")
    cost: float = Field(
        description="as of a single cause: of both movements and of the misfits that are left"
    )
    unexplained: list[str] = Field(description="what was stated and does not fit them")


class Explanation(Result):
    """Everything that was found."""

    verdict: ExplanationVerdict = Field(description="on the whole")
    observed: list[StatementCheck] = Field(description="what was stated")
    groups: list[Alike] = Field(description="causes that explain some of it, the likeliest first")
    pairs: list[Together] = Field(
        description="two things at once, the cheapest first; tried where no single cause explains all"
    )
    not_it: list[str] = Field(description="what was tried and does not explain it")
    impossible: list[str] = Field(description="what could not be tried, and why")
    cost_as_designed: float = Field(description="what the misfits of the design as it stands cost")
    looks: int = Field(description="designs that were run")


def explanation(search: Explain) -> Explanation:
    """What a finished search came to."""
    weights = _weights(search)
    groups = [
        Alike(causes=[_cause(search, reach, weights) for reach in kept], apart=_apart(search, kept))
        for group in search.groups
        if (kept := [reach for reach in group if _explained(search, reach.misfits)])
    ]
    proposed = {cause.name for group in groups for cause in group.causes}
    pairs = _pairs(search, groups, weights)
    return Explanation(
        verdict=_verdict(search, groups, pairs),
        observed=[_check(search, k, statement) for k, statement in enumerate(search.statements)],
        groups=groups,
        pairs=pairs,
        not_it=[one.name for one in search.suspects if one.name not in proposed | set(search.failed)],
        impossible=[f"{name}: {why}" for name, why in search.failed.items()],
        cost_as_designed=search.costs_as_it_is,
        looks=search.looks,
    )


def _verdict(search: Explain, groups: Sequence[Alike], pairs: Sequence[Together]) -> ExplanationVerdict:
    if search.predicted:
        return ExplanationVerdict.PREDICTED
    if pairs and not pairs[0].unexplained and not search.explained:
        return ExplanationVerdict.TOGETHER
    if not groups or search.costs_as_it_is - groups[0].causes[0].cost < BETTER:
        return ExplanationVerdict.NOTHING
    left = set(groups[0].causes[0].unexplained)
    if {statement.text for statement in search.statements if not statement.holds(search.start)} <= left:
        return ExplanationVerdict.NOTHING  # the nearest does none of what was seen
    return ExplanationVerdict.PARTLY if left else ExplanationVerdict.EXPLAINED


def _weights(search: Explain) -> dict[str, float]:
    """Share of each suspect among all, by its evidence."""
    logs = {reach.suspect.name: reach.evidence for reach in search.reached}
    most = max(logs.values(), default=0.0)
    raw = {name: math.exp(log - most) for name, log in logs.items()}
    whole_ = math.fsum(raw.values())
    return {name: weight / whole_ for name, weight in raw.items()}


# ---- the statements -----------------------------------------------------------------------------------


def _check(search: Explain, k: int, statement: Statement) -> StatementCheck:
    at = _places(search.statements, k)
    off = search.misfits_as_it_is[at]
    return StatementCheck(
        text=statement.text,
        figure=statement.figure,
        within=statement.within,
        predicted=statement.found(search.start),
        holds=statement.holds(search.start),
        fits=bool(np.all(np.abs(off) <= FITS)),
        sure=_sure(search, statement, at),
    )


def _places(statements: Sequence[Statement], k: int) -> slice:
    """Where the signals of the k-th statement stand among all."""
    sizes = [len(statement.pulls) or 1 for statement in statements]
    return slice(sum(sizes[:k]), sum(sizes[: k + 1]))


def _sure(search: Explain, statement: Statement, at: slice) -> float | None:
    """Share of builds that bear a word or a range out, if every input moved its margin in proportion."""
    if statement.span is not None and statement.span.reading:
        return None
    margins = np.array(statement.margins(search.start))
    variance: Array = np.zeros(len(margins))
    two = FURTHEST / 2
    for trace in search.traces.values():
        if trace.suspect.between() and two in trace.found and -two in trace.found:
            slope = (trace.found[two][at] - trace.found[-two][at]) / (2.0 * two) / statement.aim.sd
            variance += np.nan_to_num(slope) ** 2
    spread = np.sqrt(variance + search.chance[at] ** 2)
    return float(min(_below(m / s) if s > 0.0 else float(m >= 0.0)
                     for m, s in zip(margins, spread, strict=True)))  # fmt: skip


def _below(z: float) -> float:
    return 0.5 * (1.0 + math.erf(z / math.sqrt(2.0)))


# ---- the causes ---------------------------------------------------------------------------------------


def _cause(search: Explain, reach: Reach, weights: Mapping[str, float], alone: bool = True) -> CauseFound:
    suspect, x = reach.suspect, reach.at.x
    slip = suspect.beyond(x)
    flip = search.flips.get(suspect.name) if alone else None
    return CauseFound(
        name=suspect.name,
        kind=suspect.kind if slip is None else "slip",
        moved=suspect.moved(x),
        deviations=None if suspect.uncertain is None or abs(x) > FURTHEST else x,
        known=suspect.uncertain.why if suspect.uncertain else "",
        mishap=slip.what if slip else None,
        flips_at_si=None if flip is None else suspect.value(flip),
        cost=reach.at.cost,
        moving=suspect.cost(x),
        share=weights.get(suspect.name, 0.0),
        explained=_explained(search, reach.misfits),
        unexplained=_unfit(search, reach.misfits),
        elsewhere=_elsewhere(search, search.wholes.get(""), search.wholes.get(suspect.name)) if alone else [],
    )


def _unfit(search: Explain, misfits: Array) -> list[str]:
    """What was stated and does not fit."""
    return [
        statement.text
        for k, statement in enumerate(search.statements)
        if np.any(np.abs(misfits[_places(search.statements, k)]) > FITS)
    ]


def _explained(search: Explain, misfits: Array) -> list[str]:
    """What was stated, does not fit the design as it stands, and fits here."""
    left = set(_unfit(search, misfits))
    return [text for text in _unfit(search, search.misfits_as_it_is) if text not in left]


# ---- two at once --------------------------------------------------------------------------------------


def _pairs(search: Explain, groups: Sequence[Alike], weights: Mapping[str, float]) -> list[Together]:
    """Pairs that are enough better than the best single cause, or than none."""
    least = min([search.costs_as_it_is, *(cause.cost for group in groups for cause in group.causes)])
    best = min((len(cause.unexplained) for group in groups for cause in group.causes), default=None)
    return [
        Together(
            causes=[
                _cause(search, Reach(one, Best(pair.cost, x), misfits, -math.inf), weights, alone=False)
                for one, x in ((pair.one, pair.x), (pair.other, pair.y))
            ],
            cost=pair.cost,
            unexplained=_unfit(search, misfits),
        )
        for pair, misfits in search.pairs
        if least - pair.cost >= BETTER and (best is None or len(_unfit(search, misfits)) < best)
    ][:MOST_PAIRS]


# ---- what else would be different ---------------------------------------------------------------------


def _elsewhere(
    search: Explain, one: Mapping[str, Any] | None, other: Mapping[str, Any] | None
) -> list[Elsewhere]:
    """Metrics of which nothing was stated and that two rows have noticeably different, the most so first."""
    if one is None or other is None:
        return []
    stated = {key(s.figure, pull) for s in search.statements for pull in (s.pulls or (None,))}
    found = []
    asks = whole(search.design)
    for figure in (*WORDS, *NOTICED):
        for pull in asks.pulls if figure.startswith("retrieve.") else (None,):
            at = key(figure, pull)
            if at in stated or at not in one or at not in other:
                continue
            steps = _steps(figure, one[at], other[at])
            if steps >= 1.0:
                found.append(_difference(figure, pull, one[at], other[at], steps))
    return sorted(found, key=lambda each: -each.steps)[:MOST_ELSE]


def _steps(figure: str, one: Any, other: Any) -> float:
    if figure in WORDS:
        return 3.0 if one != other else 0.0
    if one is None or other is None:
        return 0.0
    return abs(other - one) / NOTICED[figure]


def _difference(figure: str, pull: Pull | None, one: Any, other: Any, steps: float) -> Elsewhere:
    return Elsewhere(
        figure=figure,
        tie_on=pull.tie_on if pull else None,
        speed_m_s=pull.speed if pull else None,
        predicted=one,
        then=other,
        steps=steps,
    )


def _apart(search: Explain, group: Sequence[Reach]) -> list[Elsewhere]:
    """What would tell the first two of a group apart."""
    if len(group) < 2:
        return []
    one, other = (search.wholes.get(reach.suspect.name) for reach in group[:2])
    return _elsewhere(search, one, other)
