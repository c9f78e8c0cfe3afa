"""The page of `remedy`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sim.show import remedy as text
from sim.show.layout import clean
from sim.show.report.frame import Part
from sim.show.report.sections import BEHAVIOURS
from sim.show.report.study import study_page
from sim.show.units import Units, in_units
from sim.show.writers.markup import Html, code, join, listed, table, tag, told
from sim.show.writers.terms import Terms
from sim.studies.redesign.proposals import Proposal, RemedyResult

NUMBERS = ("one", "two", "three")


def remedy_page(
    name: str, found: RemedyResult, source: Mapping[str, str], cautions: Sequence[str], units: Units
) -> str:
    """What to change, as one HTML page. source: design file by its name."""
    terms = Terms()
    answer = [terms.marked(text.answer(found, units), *BEHAVIOURS, "spare lift")]
    parts: list[Part] = [("now", "Wanted, and as it is", _now(found, units))]
    for k, (key, one) in enumerate(zip(NUMBERS, found.proposals, strict=False), 1):
        parts.append((key, f"{k}. {text.heading(one, units)}", _proposal(one, terms, units)))
    if found.nearest_miss is not None:
        miss = found.nearest_miss
        parts.append(("nearest", f"Nearest: {text.heading(miss, units)}", _proposal(miss, terms, units)))
    if found.blocked:
        parts.append(("way", "What stands in the way", listed(in_units(one, units) for one in found.blocked)))
    parts.append(("sure", "How sure this is", tag("p", told(text.told(found)))))
    return study_page(f"{clean(name)}: what to change", answer, parts, source, cautions=cautions)


def _now(found: RemedyResult, units: Units) -> Html:
    read = "" if found.holds_already else text.understood(found, units).strip()
    return join([listed(text.stands(want, units) for want in found.now), tag("p", read) if read else ""])


def _proposal(one: Proposal, terms: Terms, units: Units) -> Html:
    said = [terms.marked(sentence, *BEHAVIOURS) for sentence in text.details(one, units, effects=False)]
    rows = [text.line(changed) for changed in one.values]
    values = table("In the file", ("", "Now", "Then"), rows, broad=0) if rows else Html()
    effects = [text.effect_cells(effect, units) for effect in one.effects]
    rest = (
        table("What else changes noticeably", ("", "Now", "Then"), effects, broad=0)
        if effects
        else tag("p", text.rest((), units))
    )
    return join([listed(said), values, rest, _patch(one) if one.patch else ""])


def _patch(one: Proposal) -> Html:
    said = "As a patch of the file"
    return join(
        [tag("p", f"{said}:", class_="quiet"), tag("pre", code(one.patch), tabindex=0, aria_label=said)]
    )
