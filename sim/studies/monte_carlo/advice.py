"""The next most useful test: what it would settle, found from builds that were tried anyway.

The builds are a sample of what may be true. Take each in turn as the truth, let the test be read off it with
its error, and weigh the others by how well they fit that reading: the answers of the weighted builds are what
would be known then. How far they still miss the truth taken, on the average over all truths, is the doubt that is
expected to remain, reported as a deviation like everywhere (expected value of sample information; Lindley, Annals of
Mathematical Statistics 27, 1956, 986-1005; by regression over one sample: Strong, Oakley and Brennan, Medical
Decision Making 34, 2014, 311-326). The weights are those of Nadaraya and of Watson (1964): normal in the
reading, as wide as its error and a bandwidth that leaves each build out in turn. Standing: an estimate, on the
careful side, since a build never counts for itself.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from pydantic import Field

from sim.design.model import Design
from sim.studies.ensemble import Ensemble
from sim.studies.monte_carlo.candidates import Test, candidates
from sim.studies.monte_carlo.questions import Question, matters, numbers, questions
from sim.studies.monte_carlo.sensitivity import Effects, effects
from sim.studies.monte_carlo.tolerance import SETTLED
from sim.studies.statements import Statement
from sim.trials.records import Result
from sim.trials.request import key

Array = NDArray[np.float64]

ENOUGH = 512  # builds that are looked at; more change nothing that is reported
WORTH = 0.03  # a test that takes less than this share of the variance away is not reported
NODES = ((-math.sqrt(3.0), 1 / 6), (0.0, 2 / 3), (math.sqrt(3.0), 1 / 6))  # Gauss-Hermite, for the error
WIDTHS = (0.05, 0.12, 0.3)  # bandwidths tried, in deviations of what is read


class Settles(Result):
    """What one test does to the doubt in one question."""

    question: str = Field(description="the figure that answers it, with the pull; or a question of your own")
    word: str | None = Field(description="the answer that most builds give now; null for a number")
    now: float | None = Field(description="share of builds that give it")
    afterwards: float | None = Field(
        description="share that the likeliest answer has after the test, on the average"
    )
    sure: float | None = Field(description="how often the test leaves an answer of at least 95 in 100")
    remains: float = Field(
        description="deviation that is expected to remain, over that now: 0 settled, 1 no use; of a word, that of a "
        "build doing it (1) or not (0)"
    )


class Advice(Result):
    """A test, and what it would settle."""

    what: str = Field("", description="what it tells")
    how: str = Field("", description="how to do it")
    kind: str = Field(
        description="kind of input; empty of what stands alone and of what the finished lure does"
    )
    part: str = Field(
        description="of which part, or the key of what stands alone; empty of the finished lure"
    )
    where: str = Field(description="at the bench, in a tub or at the water")
    inputs: list[str] = Field(
        description="keys that it makes better known; empty for what the finished lure does"
    )
    figure: str | None = Field(description="figure that it reads; null for inputs")
    error: float | None = Field(description="standard deviation of that reading, in the figure's unit")
    expected: float | None = Field(
        None,
        description="what it would read of the middle one of the builds, in the figure's unit; null for inputs",
    )
    takes: float = Field(
        description="share of the deviation of all open questions together that it takes away"
    )
    settles: list[Settles] = Field(description="question by question, the one that it tells most about first")


@dataclass(frozen=True)
class _Open:
    """One question that is not settled: its answers as columns, and the number that decides it."""

    question: Question | None
    name: str
    word: str | None
    columns: Array  # (builds, words) 1 or 0; or (builds, 1) a number in its deviations
    decider: Array  # (builds,)

    @property
    def doubt(self) -> float:
        """Variance of its answer; of words, the chance that two builds answer differently."""
        return float(self.columns.var(axis=0).sum())


def advise(design: Design, ensemble: Ensemble, about: Sequence[Statement] = ()) -> list[Advice]:
    """Tests ranked by how much of the doubt in the open questions each is expected to take away.

    Open is a question that fewer than 95 builds of 100 answer alike; with `about`, only these are looked at.
    Where all are settled, the numbers whose spread a maker would notice are looked at instead.

    Args:
        design: of the ensemble; its `[calibration]` is in the builds already.
        ensemble: from `sim.studies.ensemble.Builds`, some 64 builds or more.

    Raises:
        ValueError: an ensemble of another design.
    """
    if ensemble.design != design:
        raise ValueError("the builds are of another design; run `Builds` with this one")
    open_ = open_questions(ensemble, about)
    if not open_:
        return []
    whole = math.fsum(one.doubt for one in open_)
    caused = [_effects(ensemble, one.decider) for one in open_]
    out = []
    for test in candidates(ensemble):
        found = [_settles(ensemble, test, one, what) for one, what in zip(open_, caused, strict=True)]
        settled = [(one, settles) for one, settles in zip(open_, found, strict=True) if settles is not None]
        gone = math.fsum(one.doubt * (1.0 - settles.remains**2) for one, settles in settled) / whole
        if gone >= WORTH:
            takes = 1.0 - math.sqrt(max(1.0 - gone, 0.0))
            out.append(_advice(ensemble, test, takes, [settles for _, settles in settled]))
    return sorted(out, key=lambda one: -one.takes)


def open_questions(ensemble: Ensemble, about: Sequence[Statement] = ()) -> list[_Open]:
    """What the builds do not agree on."""
    every = questions(ensemble.request, about)
    found = []
    for one in every[: len(about)] if about else every:
        answers = np.array(one.answers(ensemble))
        counted = Counter(answers.tolist())
        word, count = counted.most_common(1)[0]
        if count < SETTLED * len(answers):
            columns = np.stack([(answers == other).astype(float) for other in sorted(counted)], axis=1)
            found.append(_Open(one, one.name, word, columns, one.decider(ensemble, word)))
    if found or about:
        return found
    for figure, pull in numbers(ensemble.request):
        if matters(ensemble, figure, pull):
            values = ensemble.column(key(figure, pull))
            values = np.where(np.isfinite(values), values, np.nanmedian(values))
            columns = ((values - values.mean()) / values.std())[:, None]
            found.append(_Open(None, key(figure, pull), None, columns, values))
    return found


def _effects(ensemble: Ensemble, decider: Array) -> Effects:
    there = np.isfinite(decider)
    return effects(ensemble.deviates[there], decider[there], ensemble.together)


def _settles(ensemble: Ensemble, test: Test, open_: _Open, caused: Effects) -> Settles | None:
    """What a test does to one question; None if it would only show the answer, or tells nothing of it."""
    if open_.question is not None and test.only_looks(open_.question):
        return None
    if open_.question is None and open_.name == key(test.figure, test.pull):
        return None
    read = _read(ensemble, test, caused)
    if read is None:
        return None
    left, known = remaining(*read, open_.columns)
    remains = math.sqrt(left)
    if open_.word is None:
        return Settles(question=open_.name, word=None, now=None, afterwards=None, sure=None, remains=remains)
    likeliest = known.max(axis=1)
    return Settles(
        question=open_.name,
        word=open_.word,
        now=float(open_.columns.mean(axis=0).max()),
        afterwards=float(likeliest.mean()),
        sure=float((likeliest >= SETTLED).mean()),
        remains=remains,
    )


def _read(ensemble: Ensemble, test: Test, caused: Effects) -> tuple[Array, float] | None:
    """What the test would read of each build (builds,), and the deviation of its error.

    Of several inputs measured together, the sum of what they do to the question.
    """
    if test.measure is None:
        values = ensemble.column(key(test.figure, test.pull))
        return np.where(np.isfinite(values), values, np.nanmedian(values)), test.error(ensemble)
    at, leaves = list(test.measure.inputs), np.array(test.measure.leaves)
    if not caused.of(at) > 0.0:
        return None
    if caused.by != "regression":
        at = [max(at, key=lambda k: float(caused.shares[k]))]
        return ensemble.deviates[:, at[0]], float(leaves[test.measure.inputs.index(at[0])])
    z = ensemble.deviates[:, at]
    does = z @ caused.linear[at] + ((z**2 - 1.0) / math.sqrt(2.0)) @ caused.square[at]
    slopes = caused.linear[at] ** 2 + 2.0 * caused.square[at] ** 2
    return does, float(np.sqrt((slopes * leaves**2).sum()))


def remaining(read: Array, error: float, answers: Array) -> tuple[float, Array]:
    """Doubt that is expected to remain in some answers after a reading, over that before; and what is known then.

    Args:
        read: (n,) what the test would read of each build without error.
        error: standard deviation of its error.
        answers: (n, words) 1 for the answer of a build, else 0; or (n, 1) numbers.

    Returns:
        Share of the variance, 0 to 1; and (readings, words) mean answers of the builds weighted by each reading.
    """
    read, answers = read[:ENOUGH], answers[:ENOUGH]
    spread = float(read.std())
    if spread <= 0.0:
        return 1.0, np.repeat(answers.mean(axis=0)[None], len(read), axis=0)
    before = float(((answers - _others(answers)) ** 2).sum())
    best, known = math.inf, answers
    for width in WIDTHS:
        left, found = _weighed(read, error, width * spread, answers)
        if left < best:
            best, known = left, found
    return (min(best / before, 1.0) if before > 0.0 else 1.0), known


def _others(answers: Array) -> Array:
    """Mean answer of all other builds, for each."""
    n = len(answers)
    return np.asarray((answers.sum(axis=0)[None] - answers) / max(n - 1, 1))


def _weighed(read: Array, error: float, width: float, answers: Array) -> tuple[float, Array]:
    """Square of what is missed when each build is the truth, over the errors of its reading; and what is known.

    The prior weight of one build, spread over all, keeps a reading far from all others from being certain.
    """
    left, known = 0.0, []
    both = math.hypot(error, width)
    others = _others(answers)
    for node, weight in NODES:
        apart = (read[:, None] + node * error - read[None, :]) / both
        fit = np.exp(-0.5 * apart**2)
        np.fill_diagonal(fit, 0.0)
        found = (fit @ answers + others * UNSEEN) / (fit.sum(axis=1, keepdims=True) + UNSEEN)
        left += weight * float(((answers - found) ** 2).sum())
        known.append(found)
    # each node as often as its weight says: one, four, one
    return left, np.concatenate([known[0], known[1], known[1], known[1], known[1], known[2]])


UNSEEN = 0.05


def _advice(ensemble: Ensemble, test: Test, takes: float, settles: list[Settles]) -> Advice:
    inputs = [ensemble.inputs[k].path for k in test.measure.inputs] if test.measure else []
    return Advice(
        kind=test.measure.kind if test.measure else "",
        part=test.measure.part if test.measure else "",
        where=test.where,
        inputs=inputs,
        figure=key(test.figure, test.pull) if test.figure else None,
        error=test.error(ensemble) if test.figure else None,
        expected=float(np.nanmedian(ensemble.column(key(test.figure, test.pull)))) if test.figure else None,
        takes=takes,
        settles=sorted(settles, key=lambda one: one.remains),
    )
