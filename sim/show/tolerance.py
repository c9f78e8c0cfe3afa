"""The page of `tolerance`: how many builds do what, between what the figures lie, and what to measure first."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence

from sim.show import builds
from sim.show.layout import Column, Look, bullets, clean, page, paragraph, section, table
from sim.show.units import Units
from sim.studies.monte_carlo.tolerance import Cause, Caused, QuestionShares, ToleranceResult

PLAIN = Look()
MOST_CAUSES = 3
KEEPS = 0.85  # what leaves more than this of the spread is no help


def tolerance(name: str, result: ToleranceResult, look: Look = PLAIN) -> str:
    """One page: the answers that most builds give, then figures, then what to measure first."""
    units = look.units
    still = [one for one in result.questions if one.tie_on is None]
    said = [builds.capital(builds.sentence(one, units)) + "." for one in still]
    return page(
        look.paint(paragraph(clean(name)), "head"),
        look.paint(paragraph(said[0]) if said else "", "head"),
        paragraph(tried(result)),
        bullets(said[1:]),
        pulled(result.questions, look),
        spreads(result, look),
        section(look, "Measure this first", first(result.causes, units)),
        section(look, "How far the model may be off", of_the_model(result, units)),
        paragraph(" ".join(told(result))),
        look.paint(paragraph(" ".join(known(result))), "quiet"),
    )


def tried(result: ToleranceResult) -> str:
    """How many builds were tried, and what was in doubt."""
    doubt = (
        "and the model's own doubt with them"
        if result.model
        else "the model itself taken as right (--no-model)"
    )
    words = f"{result.builds} builds were tried, each drawn within what is known of every input, {doubt}."
    if result.not_built:
        reasons = list(result.reasons.items())
        why = "; ".join(f"{clean(reason)} ({count})" for reason, count in reasons[:2])
        words += f" {result.not_built} of them cannot be built and are left out of the shares: {why}."
    gave_up = sum(one.no_answer for one in result.questions)
    if gave_up:
        words += f" {gave_up} pulls gave up before an answer; they count as an answer of their own."
    return words


def pulled(questions: Sequence[QuestionShares], look: Look) -> str:
    """The headlines of the retrieves, a row for each pull."""
    units = look.units
    columns = [
        Column("Tie-on", number=False, widest=10),
        Column(f"Speed\n{units.unit('speed')}"),
        Column("Most builds", number=False, widest=20),
        Column("Of\n100"),
        Column("Between"),
        Column("The others", number=False, widest=26),
    ]
    rows = []
    for one in questions:
        if one.tie_on is None:
            continue
        top = one.answers[0]
        others = ", ".join(f"{builds.headline(s.answer)} {builds.of_100(s.share)}" for s in one.answers[1:4])
        rows.append(
            [
                clean(one.tie_on), units.number("speed", one.speed_m_s), builds.headline(top.answer),
                builds.of_100(top.share), builds.between(top), others,
            ]
        )  # fmt: skip
    return table(look, columns, rows) if rows else ""


def spreads(result: ToleranceResult, look: Look) -> str:
    """Figures as written, and between what nine builds of ten lie."""
    units = look.units
    columns = [
        Column("", number=False, widest=30), Column("", number=False), Column("As\nwritten"),
        Column("5 of 100\nbelow"), Column("Middle"), Column("5 of 100\nabove"),
    ]  # fmt: skip
    rows = []
    for one in result.figures:
        if one.figure not in SHOWN or one.middle is None:
            continue
        name = builds.HEADS[one.figure]
        if one.tie_on is not None and one.speed_m_s is not None:
            name += f", {clean(one.tie_on)} {units.number('speed', one.speed_m_s)}"
        numbers = (one.nominal, one.low, one.middle, one.high)
        rows.append(
            [name, builds.figure_unit(one.figure, units),
             *(builds.figure_number(one.figure, value, units) for value in numbers)]
        )  # fmt: skip
    return table(look, columns, rows) if rows else ""


SHOWN = (
    "budget.mass_g", "budget.margin_g", "float.pitch_deg", "float.roll_deg", "float.freeboard_mm",
    "drop.sink_rate_m_s", "cast.range_m", "retrieve.depth_m", "retrieve.wobble_hz",
)  # fmt: skip
"""Figures on the page; JSON and report have them all."""


def first(causes: Sequence[Cause], units: Units) -> list[str]:
    """The measurements at the bench that take most of the spread away."""
    useful = [one for one in causes if one.at_the_bench and any(c.remains <= KEEPS for c in one.caused)]
    return [_cause(one, units) for one in useful[:MOST_CAUSES]]


def _cause(one: Cause, units: Units) -> str:
    most = [c for k, c in enumerate(one.caused[:2]) if not k or c.remains <= KEEPS]
    left = " and ".join(f"{builds.percent(c.remains)} of the spread of {_decides(c, units)}" for c in most)
    return f"{builds.capital(one.what)}. {one.how}: that would leave {left}."


def _decides(one: Caused, units: Units) -> str:
    """The number whose spread is meant: the figure itself, or what stands behind a question."""
    figure, _ = builds.name_and_pull(one.name)
    asks = builds.asks(one.name, units)
    return asks if figure in builds.WORDS else f"what decides {asks}"


def of_the_model(result: ToleranceResult, units: Units) -> list[str]:
    """The coefficients that matter most, and what to do about them."""
    found = [one for one in result.causes if one.of_the_model]
    if not found:
        return []
    out = []
    for one in found[:MOST_CAUSES]:
        most = one.caused[0]
        left = builds.percent(math.sqrt(1.0 - most.share))
        out.append(
            f"{builds.capital(one.what)}: if that were known, {left} of the spread of {_decides(most, units)} would "
            "be left"
        )
    return [*out, f"{found[0].how}."]


def told(result: ToleranceResult) -> list[str]:
    """Who says how well the inputs are known, in short."""
    mine = sum(one.told for one in result.inputs)
    usual = [one for one in result.inputs if not one.told and not one.path.startswith("calibration.")]
    model = sum(one.path.startswith("calibration.") and not one.told for one in result.inputs)
    own = f"; {model} are the model's own" if model else ""
    have = "has" if mine == 1 else "have"
    out = [f"Of {len(result.inputs)} inputs drawn, {mine} {have} the +- that you told{own}."]
    if usual:
        why = Counter(one.why.split(",")[0] for one in usual if " lies between " not in one.why)
        named = ", ".join(f'"{reason}" ({count})' for reason, count in why.most_common(3))
        listed = sum(" lies between " in one.why for one in usual)
        materials = f", {listed} lie anywhere that their material does" if listed else ""
        out.append(
            f"{len(usual)} got what is usual: mostly {named}{materials}. Write +- after a value to tell more."
        )
    return out


def known(result: ToleranceResult) -> list[str]:
    """How sure the shares themselves are."""
    out = [
        f"In brackets: where the share of all possible builds lies, 95 times in 100 (Wilson's interval). "
        f"The widest is give or take {result.within:.0f} of 100."
    ]
    if not result.enough:
        out.append("More builds (--most, --count) narrow it, --about names the question that matters.")
    if any(one.within for one in result.questions):
        out.append(builds.MORE_WELCOME)
    out.append("Spread is told as the standard deviation that would be left, over that now.")
    return [*out, f"Seed {result.seed}: the same file and seed give the same builds."]
