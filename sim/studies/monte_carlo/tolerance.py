"""How much of an answer is luck: the same design built many times, each time a little different.

Every input is drawn within what is known of it (`sim.design.priors`), the build goes through the trial,
and the answers are counted: how many builds float, wake, land tail first; between what the figures lie; and
which input causes the spread.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
from pydantic import Field

from sim.coefficients import COEFFICIENTS
from sim.design.model import Design
from sim.design.priors import MODEL, Prior, priors
from sim.remark import Remark, remark
from sim.studies.ensemble import Ensemble, at_hand, touching
from sim.studies.monte_carlo.intervals import half_width, percentiles, wilson
from sim.studies.monte_carlo.measures import Measure, measures
from sim.studies.monte_carlo.questions import Question, matters, numbers, questions
from sim.studies.monte_carlo.sensitivity import Effects, effects
from sim.studies.statements import Statement
from sim.trials.records import Result
from sim.trials.request import AT_REST, Pull, Request, key
from sim.trials.results import SPARE_LIFT, Behaviour

SETTLED = 0.95  # a question that more builds than this answer alike is settled
WITHIN = 5.0  # points of a hundred: half of the interval at which a share is known well enough
AT_HAND = 128  # builds of which weights and rest are tried in passing
TOLD_LEAST = 0.02  # shares of spread below this are not reported
GAVE_UP = Behaviour.UNKNOWN.value


class Share(Result):
    """One answer to a question, and how many builds give it."""

    answer: str = Field(description="the word")
    count: int = Field(description="builds that give it")
    share: float = Field(description="their share of all that could be built")
    low: float = Field(description="95 % interval of that share (Wilson), lower end")
    high: float = Field(description="upper end")


class QuestionShares(Result):
    """One question and its answers."""

    name: str = Field(description="the figure that answers it, with the pull; or a question of your own")
    tie_on: str | None = Field(description="of a retrieve: where the line is tied")
    speed_m_s: float | None = Field(description="of a retrieve: line speed")
    own: bool = Field(description="whether it is a question of your own")
    figure: str = Field(description="the figure that it speaks of")
    within: tuple[float, float] | None = Field(
        description="of one number without +-: between what the figure counts as so; else null"
    )
    nominal: str = Field(description="the answer of the design as it is written")
    answers: list[Share] = Field(description="the most frequent first")
    no_answer: int = Field(description="builds whose run gave up; they count as an answer of their own")


class FigureSpread(Result):
    """One figure over all builds."""

    figure: str = Field(description="its name in the results of a trial")
    tie_on: str | None = Field(description="of a retrieve: where the line is tied")
    speed_m_s: float | None = Field(description="of a retrieve: line speed")
    nominal: float | None = Field(description="of the design as it is written")
    low: float | None = Field(description="5 in 100 builds have less")
    middle: float | None = Field(description="half of the builds have less")
    high: float | None = Field(description="5 in 100 builds have more")
    builds: int = Field(description="builds that have the figure")


class Caused(Result):
    """What share of the spread of one figure, or of the doubt in one question, something causes."""

    name: str = Field(description="the figure or the question")
    share: float = Field(description="of the variance: first-order Sobol index, 0 to 1")
    remains: float = Field(description="deviation that would remain after the measurement, over that now")


class Cause(Result):
    """Something that is not known exactly, and what it does to the answers."""

    what: str = Field("", description="in words")
    how: str = Field("", description="how to know it better")
    kind: str = Field(description="kind of input; `model` of a coefficient, empty of what stands alone")
    part: str = Field(description="of which part; the coefficient, or the key of what stands alone")
    of_the_model: bool = Field(description="whether it is a doubt of the model, not of the lure")
    at_the_bench: bool = Field(description="whether a measurement at the bench makes it better known")
    inputs: list[str] = Field(description="keys that it covers")
    share: float = Field(description="of the spread of what matters, on the average")
    caused: list[Caused] = Field(description="figure by figure, the largest share first")


class Explained(Result):
    """How the causes of one figure were found."""

    name: str = Field(description="the figure or the question")
    by: str = Field(description="`regression`, `classes` (correlation ratio) or `none` (no spread)")
    explained: float = Field(description="share of the variance that single inputs predict for unseen builds")


class InputDoubt(Result):
    """One input and how well it is known."""

    path: str = Field(description="its key, or what all its keys share")
    dimension: str = Field(description="its dimension")
    value_si: float = Field(description="its value, SI; temperature C, salinity g/kg")
    sd_si: float = Field(description="its standard deviation")
    between_si: tuple[float, float] | None = Field(description="its ends, where only these are known")
    value: str = Field("", description="its value in words")
    deviation: str = Field(
        "", description="its standard deviation, or the ends between which it lies, in words"
    )
    given: bool = Field(description="whether you gave it with +- (or calibrated it); else it is usual")
    why: Remark | str = Field(description="where the deviation comes from")


class ToleranceResult(Result):
    """What many builds of one design do."""

    builds: int = Field(description="builds tried")
    not_built: int = Field(description="of them, builds that are impossible")
    reasons: dict[str, int] = Field(description="why, and how many")
    seed: int = Field(description="start of the draws")
    model: bool = Field(description="whether the doubt of the model itself is in it")
    within: float = Field(description="half of the widest 95 % interval of the questions that decide, points")
    enough: bool = Field(description="whether that is as narrow as was requested")
    questions: list[QuestionShares] = Field(description="answered by words")
    figures: list[FigureSpread] = Field(description="answered by numbers")
    causes: list[Cause] = Field(description="of the spread of what matters, the largest share first")
    found_by: list[Explained] = Field(description="how the causes were found")
    inputs: list[InputDoubt] = Field(description="everything that was drawn")


def widest(ensemble: Ensemble, about: Sequence[Statement] = ()) -> float:
    """Half of the widest 95 % interval, in points of a hundred, among the questions that decide.

    These are `about`, or without any all questions that words answer.
    """
    deciding = questions(ensemble.request, about)
    if about:
        deciding = deciding[: len(about)]
    total = len(ensemble.rows)
    return max(
        (
            100.0 * half_width(count, total)
            for question in deciding
            for count in Counter(question.answers(ensemble)).values()
        ),
        default=0.0,
    )


def tolerance(
    ensemble: Ensemble, about: Sequence[Statement] = (), within: float = WITHIN, *, model: bool = True
) -> ToleranceResult:
    """What an ensemble of builds says.

    Raises:
        ValueError: fewer than two builds could be built.
    """
    if len(ensemble.rows) < 2:
        raise ValueError("fewer than two of the builds can be built, so nothing can be said of them")
    every = questions(ensemble.request, about)
    causes, found_by = causes_of(ensemble, about)
    wide = widest(ensemble, about)
    return ToleranceResult(
        builds=ensemble.builds,
        not_built=len(ensemble.failures),
        reasons=dict(Counter(ensemble.failures).most_common()),
        seed=ensemble.seed,
        model=model,
        within=wide,
        enough=wide <= within,
        questions=[shares(ensemble, one) for one in every],
        figures=[_spread(ensemble, figure, pull) for figure, pull in numbers(ensemble.request)],
        causes=causes,
        found_by=found_by,
        inputs=[_doubt(one) for one in ensemble.inputs],
    )


def at_rest(design: Design, builds: int = AT_HAND) -> ToleranceResult | None:
    """How weights and rest differ from build to build by the workshop alone, tried in this very process.

    None where fewer than two of the builds can be built.
    """
    request = Request(AT_REST)
    inputs = touching(priors(design, model=False), request)
    ensemble = at_hand(design, inputs, request, builds)
    return tolerance(ensemble, model=False) if len(ensemble.rows) > 1 else None


def shares(ensemble: Ensemble, question: Question) -> QuestionShares:
    """How many builds give each answer to one question."""
    answers = question.answers(ensemble)
    total = len(answers)
    # of equally frequent answers the one that sorts first, so that the order of builds says nothing
    counted = sorted(Counter(answers).items(), key=lambda item: (-item[1], item[0]))
    found = []
    for word, count in counted:
        low, high = wilson(count, total)
        found.append(Share(answer=word, count=count, share=count / total, low=low, high=high))
    gave_up = sum(
        row.get(key("retrieve.behaviour", pull)) == GAVE_UP
        for pull in _pulls(question)
        for row in ensemble.rows
    )
    return QuestionShares(
        name=question.name,
        tie_on=question.pull.tie_on if question.pull else None,
        speed_m_s=question.pull.speed if question.pull else None,
        own=question.statement is not None,
        figure=question.figure,
        within=question.statement.within if question.statement else None,
        nominal=question.answer(ensemble.nominal),
        answers=found,
        no_answer=gave_up,
    )


def _pulls(question: Question) -> tuple[Pull, ...]:
    if question.statement:
        return question.statement.pulls
    return (question.pull,) if question.pull else ()


def _spread(ensemble: Ensemble, figure: str, pull: Pull | None) -> FigureSpread:
    name = key(figure, pull)
    values = ensemble.column(name)
    finite = values[np.isfinite(values)]
    low, middle, high = percentiles(finite) if len(finite) > 1 else [None, None, None]
    return FigureSpread(
        figure=figure,
        tie_on=pull.tie_on if pull else None,
        speed_m_s=pull.speed if pull else None,
        nominal=ensemble.nominal.get(name),
        low=low,
        middle=middle,
        high=high,
        builds=len(finite),
    )


# ---- causes -------------------------------------------------------------------------------------------


def causes_of(ensemble: Ensemble, about: Sequence[Statement] = ()) -> tuple[list[Cause], list[Explained]]:
    """What causes the spread of the figures that matter and the doubt in the questions that are open.

    With `about`, of these questions alone.
    """
    found = {name: _effects(ensemble, column) for name, column in _what_matters(ensemble, about).items()}
    spread = {name: one for name, one in found.items() if one.by != "none"}
    out = [_cause(ensemble, measure, spread) for measure in measures(ensemble.inputs)]
    explained = [Explained(name=name, by=one.by, explained=one.explained) for name, one in found.items()]
    return sorted((one for one in out if one.caused), key=lambda one: -one.share), explained


def _what_matters(ensemble: Ensemble, about: Sequence[Statement]) -> dict[str, np.ndarray]:
    """Numbers (builds,) whose causes are worth knowing, by name."""
    every = questions(ensemble.request, about)
    columns: dict[str, np.ndarray] = {}
    for one in every[: len(about)] if about else every:
        word, count = Counter(one.answers(ensemble)).most_common(1)[0]
        if count <= SETTLED * len(ensemble.rows) or about:
            columns[one.name] = one.decider(ensemble, word)
    if about:
        return columns
    for figure, pull in numbers(ensemble.request):
        if matters(ensemble, figure, pull) and not (figure == SPARE_LIFT and "budget.verdict" in columns):
            columns[key(figure, pull)] = ensemble.column(key(figure, pull))
    return columns


def _effects(ensemble: Ensemble, column: np.ndarray) -> Effects:
    there = np.isfinite(column)
    return effects(ensemble.deviates[there], column[there], ensemble.together)


def _cause(ensemble: Ensemble, measure: Measure, found: dict[str, Effects]) -> Cause:
    caused = []
    for name, one in found.items():
        share = one.of(measure.inputs)
        if share >= TOLD_LEAST:
            each = np.maximum(one.shares[list(measure.inputs)], 0.0)
            left = float(each @ np.square(measure.leaves) / each.sum()) if each.sum() > 0.0 else 1.0
            caused.append(Caused(name=name, share=share, remains=(1.0 - share * (1.0 - left)) ** 0.5))
    paths = [ensemble.inputs[k].path for k in measure.inputs]
    return Cause(
        kind=measure.kind,
        part=measure.part,
        of_the_model=measure.kind == "model",
        at_the_bench=measure.useful,
        inputs=paths,
        share=sum(one.share for one in caused) / max(len(found), 1),
        caused=sorted(caused, key=lambda one: -one.share),
    )


def _doubt(one: Prior) -> InputDoubt:
    why = one.why
    if one.of_the_model:
        why = remark("of_the_model", why=(why,), does=COEFFICIENTS[one.path.removeprefix(MODEL)].does)
    ends = (one.at(-9.0).value, one.at(9.0).value) if one.value.flat else None
    return InputDoubt(
        path=one.path,
        dimension=one.value.dimension,
        value_si=one.value.value,
        sd_si=one.value.sd,
        between_si=one.between or ends,
        given=one.given,
        why=why,
    )
