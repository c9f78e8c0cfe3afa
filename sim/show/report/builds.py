"""The pages of `tolerance` and `advise`."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from sim.show import builds
from sim.show import tolerance as text
from sim.show.advice import CAREFUL, best, sentence
from sim.show.figures.spread import spread
from sim.show.layout import clean
from sim.show.report.frame import Part
from sim.show.report.sections import BEHAVIOURS
from sim.show.report.study import figure_of, study_page
from sim.show.units import Units
from sim.show.writers.markup import Html, join, listed, table, tag, told
from sim.show.writers.terms import Terms
from sim.studies.monte_carlo.advice import Advice
from sim.studies.monte_carlo.tolerance import SETTLED, Cause, Caused, QuestionShares, ToleranceResult

MOST_CAUSES = 20  # rows; JSON has them all


def tolerance_page(
    name: str,
    result: ToleranceResult,
    source: Mapping[str, str],
    cautions: Sequence[str],
    units: Units,
) -> str:
    """How many builds do what, as one HTML page. source: design file by its name."""
    terms = Terms()
    answer = [terms.marked(one, *BEHAVIOURS) for one in _answer(result.questions, units)]
    pulls = [one for one in result.questions if one.tie_on is not None]
    parts: list[Part] = [("picture", "The picture", figure_of(spread(result, units), "picture"))]
    first = text.first(result.causes, units)
    if first:
        parts.append(("measure", "Measure this first", listed(first)))
    model = text.of_the_model(result, units)
    if model:
        parts.append(("model", "How far the model may be off", listed(model)))
    if pulls:
        parts.append(("pulled", "Pulled", _pulled(pulls, units, terms)))
    parts += [
        ("figures", "Every figure", _figures(result, units)),
        ("causes", "What causes the spread", _causes(result, units)),
        ("inputs", "What was drawn", _inputs(result)),
        ("known", "How sure this is", _paragraphs((text.tried(result), *text.known(result)))),
    ]
    return study_page(f"{name}: how much is luck", answer, parts, source, result.seed, cautions=cautions)


def _answer(questions: Sequence[QuestionShares], units: Units) -> list[str]:
    """What most builds do: a sentence for each question but the pulls, of which one tells the least sure."""
    said = [builds.sentence(one, units) for one in questions if one.tie_on is None]
    pulls = [one for one in questions if one.tie_on is not None]
    if pulls:
        sure = sum(one.answers[0].share >= SETTLED for one in pulls)
        least = min(pulls, key=lambda one: one.answers[0].share)
        alike = "every pull" if sure == len(pulls) else f"{sure or 'none'} of {len(pulls)} pulls"
        said.append(
            f"pulled, at least {100 * SETTLED:.0f} of 100 builds do the same in {alike}; the least sure: "
            f"{builds.sentence(least, units)}"
        )
    return [f"{builds.capital(one)}." for one in said]


def _pulled(pulls: Sequence[QuestionShares], units: Units, terms: Terms) -> Html:
    rows = [
        [
            clean(one.tie_on or ""), units.number("speed", one.speed_m_s),
            terms.marked(builds.headline(one.answers[0].answer), *BEHAVIOURS),
            f"{builds.of_100(one.answers[0].share)} ({builds.between(one.answers[0])})",
            ", ".join(f"{builds.headline(s.answer)} {builds.of_100(s.share)}" for s in one.answers[1:]),
        ]
        for one in pulls
    ]  # fmt: skip
    heads = ("Tie-on", f"Speed, {units.unit('speed')}", "Most builds", "Of 100", "The others")
    return table("What so many of 100 builds do when pulled", heads, rows, numbers=(1, 3), broad=4)


def _figures(result: ToleranceResult, units: Units) -> Html:
    rows = []
    for one in result.figures:
        where = (
            builds.at_pull(one.tie_on, one.speed_m_s, units)
            if one.tie_on is not None and one.speed_m_s is not None
            else ""
        )
        numbers = (one.nominal, one.low, one.middle, one.high)
        row = [builds.figure_number(one.figure, value, units) for value in numbers]
        rows.append(
            [f"{builds.HEADS[one.figure]} ({builds.figure_unit(one.figure, units)}) {where}".strip(), *row]
        )
    heads = ("", "As written", "5 of 100 below", "Middle", "5 of 100 above")
    return table("Figures of the builds", heads, rows, numbers=(1, 2, 3, 4), broad=0)


def _causes(result: ToleranceResult, units: Units) -> Html:
    rows = []
    for one in result.causes[:MOST_CAUSES]:
        most = [
            f"{builds.percent(_left(one, each))} of {builds.asks(each.name, units)}"
            for each in one.caused[:3]
        ]
        rows.append([builds.capital(clean(one.what)), one.how, "; ".join(most)])
    heads = ("Not known", "How to know it better", "Spread that would be left")
    return table("What matters most first", heads, rows, broad=2)


def _left(one: Cause, caused: Caused) -> float:
    """Deviation that would be left, over that now: after the measurement; where none is told, if it were known."""
    return caused.remains if one.at_the_bench else math.sqrt(1.0 - caused.share)


def _inputs(result: ToleranceResult) -> Html:
    """Inputs known equally well and for the same reason share a row: there are dozens of them."""
    alike: dict[tuple[str, str], list[str]] = {}
    for one in result.inputs:
        why = one.why if one.told else f"usual: {one.why}"
        alike.setdefault((why, one.deviation), []).append(f"{one.path} {one.value}")
    rows = [[builds.capital(why), known, ", ".join(keys)] for (why, known), keys in alike.items()]
    return table("Inputs, and how well they are known", ("", "Known to", "Keys"), rows, broad=2)


def advice_page(
    name: str,
    open_: Sequence[QuestionShares],
    found: Sequence[Advice],
    source: Mapping[str, str],
    seed: int,
    cautions: Sequence[str],
    units: Units,
) -> str:
    """The next most useful test, as one HTML page. source: design file by its name."""
    terms = Terms()
    answer = [terms.marked(best(found, open_, units), *BEHAVIOURS)]
    parts: list[Part] = []
    if open_:
        still = [builds.capital(builds.sentence(one, units)) for one in open_]
        parts.append(("open", "Not settled", listed(still)))
    if found[1:]:
        parts.append(("tests", "The next best tests", listed([sentence(one, units) for one in found[1:]])))
    if found:
        rows = [
            [builds.capital(one.what), one.where, builds.percent(one.takes),
             "; ".join(f"{builds.percent(s.remains)} of {builds.asks(s.question, units)}" for s in one.settles[:3])]
            for one in found
        ]  # fmt: skip
        heads = ("Test", "Where", "Takes of all doubt", "Doubt that remains")
        parts.append(("takes", "What each takes away", table("Tests", heads, rows, numbers=(2,), broad=3)))
        parts.append(("known", "How sure this is", _careful(open_)))
    return study_page(f"{name}: what to test next", answer, parts, source, seed, cautions=cautions)


def _careful(open_: Sequence[QuestionShares]) -> Html:
    more = [builds.MORE_WELCOME] if any(one.within for one in open_) else []
    return _paragraphs([CAREFUL, *more])


def _paragraphs(sentences: Iterable[str]) -> Html:
    return join(tag("p", told(sentence)) for sentence in sentences)
