"""The page of `explain`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sim.show import explain as text
from sim.show.figures.suspects import bars
from sim.show.layout import clean
from sim.show.report.frame import Part
from sim.show.report.sections import BEHAVIOURS
from sim.show.report.study import figure_of, study_page
from sim.show.units import Units, in_units
from sim.show.writers.markup import Html, listed, table, tag, told
from sim.show.writers.terms import Terms
from sim.studies.diagnosis.explanation import Alike, Explanation


def explain_page(
    name: str, found: Explanation, source: Mapping[str, str], cautions: Sequence[str], units: Units
) -> str:
    """What could be otherwise, as one HTML page. source: text of the design file by its name."""
    terms = Terms()
    answer = [terms.marked(text.verdict(found, units), *BEHAVIOURS)]
    groups = text.shown(found)
    parts: list[Part] = []
    if groups:
        parts += [
            ("picture", "The picture", figure_of(bars(groups, found, units), "picture")),
            ("causes", "What would explain it", _causes(groups, units)),
            (
                "more",
                "More about these",
                listed([one for group in groups for one in text.more(group, units)]),
            ),
        ]
    parts.append(("said", "What was said", listed([text.said(one, units) for one in found.told])))
    rest = text.not_it(found)
    if rest:
        parts.append(("rest", "What it is not", listed(rest)))
    parts.append(("known", "How sure this is", tag("p", told(text.careful(found)))))
    return study_page(f"{clean(name)}: why did it do that?", answer, parts, source, cautions=cautions)


def _causes(groups: Sequence[Alike], units: Units) -> Html:
    rows = []
    for k, group in enumerate(groups, 1):
        for cause in group.causes[: text.MOST_ALIKE]:
            slip = cause.name.startswith("slip.")
            values = ("" if slip else cause.moves_from, cause.moves_to, cause.flips_at or "")
            rows.append(
                (
                    str(k),
                    cause.says if slip else cause.name,
                    *(in_units(value, units) for value in values),
                    f"{100.0 * cause.share:.0f}",
                )
            )
    heads = ("Group", "What", "As designed", "Would be", "Turns at", "Likely, of 100")
    return table(
        "Causes in groups: those of one group cannot be told apart", heads, rows, numbers=(5,), broad=1
    )
