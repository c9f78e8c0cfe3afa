"""The pages of `tolerance` and `advise`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sim.show import builds
from sim.show import tolerance as text
from sim.show.advice import best, sentence
from sim.show.figures.spread import spread
from sim.show.layout import clean
from sim.show.report.frame import Part
from sim.show.report.markup import Html, join, listed, table, tag
from sim.show.report.sections import BEHAVIOURS
from sim.show.report.study import figure_of, study_page
from sim.show.report.terms import Terms
from sim.show.units import Units
from sim.studies.builds.advice import Advice
from sim.studies.builds.tolerance import QuestionShares, ToleranceResult

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
    said = [builds.capital(builds.sentence(one, units)) + "." for one in result.questions]
    answer = [terms.marked(one, *BEHAVIOURS) for one in said]
    parts: list[Part] = [("picture", "The picture", figure_of(spread(result, units), "picture"))]
    first = text.first(result.causes, units)
    if first:
        parts.append(("measure", "Measure this first", listed([_plain(one) for one in first])))
    model = text.of_the_model(result, units)
    if model:
        parts.append(("model", "How far the model may be off", listed([_plain(one) for one in model])))
    parts += [
        ("figures", "Every figure", _figures(result, units)),
        ("causes", "What causes the spread", _causes(result, units)),
        ("inputs", "What was drawn", _inputs(result)),
        (
            "known",
            "How sure this is",
            join(tag("p", one) for one in (text.tried(result), *text.known(result))),
        ),
    ]
    return study_page(f"{name}: so many builds", answer, parts, source, result.seed, cautions=cautions)


def _figures(result: ToleranceResult, units: Units) -> Html:
    rows = []
    for one in result.figures:
        where = (
            builds.at_pull(one.tie_on, one.speed_m_s, units)
            if one.tie_on is not None and one.speed_m_s is not None
            else ""
        )
        numbers = (one.nominal, one.low, one.middle, one.high)
        told = [builds.figure_number(one.figure, value, units) for value in numbers]
        rows.append(
            [f"{builds.WORDS[one.figure]} ({builds.figure_unit(one.figure, units)}) {where}".strip(), *told]
        )
    heads = ("", "As written", "5 of 100 below", "Middle", "5 of 100 above")
    return table("Figures of the builds", heads, rows, numbers=(1, 2, 3, 4), broad=0)


def _causes(result: ToleranceResult, units: Units) -> Html:
    rows = []
    for one in result.causes[:MOST_CAUSES]:
        most = "; ".join(f"{builds.percent(c.share)} of {builds.asks(c.name, units)}" for c in one.caused[:3])
        rows.append([builds.capital(clean(one.what)), builds.percent(one.share), most, _plain(one.how)])
    heads = ("What is not known", "Of all", "Most", "How to know it better")
    return table("Shares of the spread of what matters", heads, rows, numbers=(1,), broad=2)


def _inputs(result: ToleranceResult) -> Html:
    rows = [
        [one.path, one.value, one.deviation, "you" if one.told else "usual", one.why] for one in result.inputs
    ]
    return table("Inputs", ("Key", "Value", "Known to", "Told by", "Why"), rows, broad=4)


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
    answer = [terms.marked(_plain(best(found, open_, units)), *BEHAVIOURS)]
    parts: list[Part] = []
    if open_:
        told = [builds.capital(builds.sentence(one, units)) for one in open_]
        parts.append(("open", "Not settled", listed(told)))
    if found:
        parts.append(
            ("tests", "Tests, the most useful first", listed([_plain(sentence(one, units)) for one in found]))
        )
        rows = [
            [builds.capital(one.what), one.where, builds.percent(one.takes),
             "; ".join(f"{builds.percent(s.remains)} of {builds.asks(s.question, units)}" for s in one.settles[:3])]
            for one in found
        ]  # fmt: skip
        heads = ("Test", "Where", "Takes of all doubt", "Doubt that remains")
        parts.append(("takes", "What each takes away", table("Tests", heads, rows, numbers=(2,), broad=3)))
    return study_page(f"{name}: what to test next", answer, parts, source, seed, cautions=cautions)


def _plain(sentence: str) -> str:
    """A sentence without the marks that set a command apart in text."""
    return sentence.replace("`", "")
