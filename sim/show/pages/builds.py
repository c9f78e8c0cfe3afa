"""The pages of many builds: how many do what and what to measure first; what to test next."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from sim.metrics import Use
from sim.show import bench_tests, builds, care, inputs, remarks, values
from sim.show.document import (
    Brief,
    Bullets,
    Column,
    Document,
    Paragraph,
    Picture,
    Roomy,
    Table,
    blocks,
    listed,
    section,
)
from sim.show.units import Units
from sim.studies.monte_carlo.advice import Advice, Settles
from sim.studies.monte_carlo.tolerance import SETTLED, Cause, Caused, QuestionShares, ToleranceResult
from sim.trials.cautions import Caution
from sim.trials.results import METRICS

if TYPE_CHECKING:
    from matplotlib.figure import Figure

MOST_FIRST, MOST_CAUSES = 3, 20  # causes in sentences, and in the table; JSON has them all
KEEPS = 0.85  # what leaves more than this of the spread is no help


# ---- tolerance ----------------------------------------------------------------------------------------


def tolerance(name: str, result: ToleranceResult, units: Units) -> Document:
    """The answers that most builds give, then figures, then what to measure first."""

    def picture() -> Figure:
        from sim.show.figures.spread import spread

        return spread(result, units)

    pulls = [one for one in result.questions if one.tie_on is not None]
    spoken = [
        f"{builds.capital(builds.sentence(one, units))}." for one in result.questions if one.tie_on is None
    ]
    first, *rest = spoken or [""]
    known = Paragraph(" ".join(_known(result)), "quiet")
    return Document(
        name,
        blocks(
            Paragraph(first, "head"),
            Brief((Paragraph(tried(result)),)),
            Brief(blocks(Bullets(tuple(rest)))),
            Roomy(blocks(*(Paragraph(one, "head") for one in rest), Paragraph(_alike(pulls, units), "head"))),
            section("The picture", Picture(picture, "picture"), key="picture"),
            section("Pulled", _pulls(pulls, units), bare=True, key="pulled"),
            section(
                "Every figure",
                Brief(blocks(_spreads(result, units, brief=True))),
                Roomy(blocks(_spreads(result, units))),
                bare=True,
                key="figures",
            ),
            section("Measure this first", Bullets(tuple(first_of(result.causes, units))), key="measure"),
            section("How far the model may be off", Bullets(tuple(_model(result, units))), key="model"),
            section("What causes the spread", Roomy(blocks(_causes(result, units))), key="causes"),
            section(
                "What was drawn", Paragraph(" ".join(_drawn(result, units))), Roomy(blocks(_inputs(result, units))),
                bare=True, key="inputs",
            ),
            section("How sure this is", Roomy((Paragraph(tried(result)),)), known, bare=True, key="known"),
        ),
        asks="how much is luck",
        seed=result.seed,
    )  # fmt: skip


def tried(result: ToleranceResult) -> str:
    """How many builds were tried, and what was in doubt."""
    doubt = (
        "and the model's own doubt with them"
        if result.model
        else "the model itself taken as right (--no-model)"
    )
    words = f"{result.builds} builds were tried, each drawn within what is known of every input, {doubt}."
    if result.not_built:
        why = "; ".join(f"{reason} ({count})" for reason, count in list(result.reasons.items())[:2])
        words += f" {result.not_built} of them cannot be built and are left out of the shares: {why}."
    gave_up = sum(one.no_answer for one in result.questions)
    if gave_up:
        words += f" {gave_up} pulls gave up before an answer; they count as an answer of their own."
    return words


def _alike(pulls: Sequence[QuestionShares], units: Units) -> str:
    """In how many pulls nearly all builds do the same, and which is the least sure."""
    if not pulls:
        return ""
    sure = sum(one.answers[0].share >= SETTLED for one in pulls)
    least = min(pulls, key=lambda one: one.answers[0].share)
    same = "every pull" if sure == len(pulls) else f"{sure or 'none'} of {len(pulls)} pulls"
    return (
        f"Pulled, at least {100 * SETTLED:.0f} of 100 builds do the same in {same}; the least sure: "
        f"{builds.sentence(least, units)}."
    )


def _pulls(pulls: Sequence[QuestionShares], units: Units) -> Table:
    """The headlines of the retrieves, a row for each pull."""
    columns = (
        Column("Tie-on", number=False, widest=10),
        Column("Speed", units.unit("speed")),
        Column("Most builds", number=False, widest=20),
        Column("Of\n100"),
        Column("Between"),
        Column("The others", number=False, widest=26),
    )
    rows = [
        (
            one.tie_on or "", units.number("speed", one.speed_m_s), values.headline(one.answers[0].answer),
            builds.of_100(one.answers[0].share), builds.between(one.answers[0]),
            ", ".join(f"{values.headline(s.answer)} {builds.of_100(s.share)}" for s in one.answers[1:]),
        )
        for one in pulls
    ]  # fmt: skip
    return Table(columns, tuple(rows), "What so many of 100 builds do when pulled", broad=5)


def _spreads(result: ToleranceResult, units: Units, brief: bool = False) -> Table:
    """Figures as written, and between what nine builds of ten lie; `brief`: those that a terminal shows."""
    columns = (
        Column("", number=False, widest=30), Column("Unit", number=False), Column("As\nwritten"),
        Column("5 of 100\nbelow"), Column("Middle"), Column("5 of 100\nabove"),
    )  # fmt: skip
    rows = []
    for one in result.figures:
        if brief and (Use.BUILDS_PAGE not in METRICS[one.figure].uses or one.middle is None):
            continue
        name = METRICS[one.figure].heading
        if one.tie_on is not None and one.speed_m_s is not None:
            name += f", {one.tie_on} {units.number('speed', one.speed_m_s)}"
        numbers = (one.nominal, one.low, one.middle, one.high)
        cells = [values.number(one.figure, value, units) for value in numbers]
        rows.append((name, values.unit(one.figure, units), *cells))
    return Table(columns, tuple(rows), "Figures of the builds", broad=0)


def first_of(causes: Sequence[Cause], units: Units) -> list[str]:
    """The measurements at the bench that take most of the spread away."""
    useful = [one for one in causes if one.at_the_bench and any(c.remains <= KEEPS for c in one.caused)]
    return [_measure(one, units) for one in useful[:MOST_FIRST]]


def _measure(one: Cause, units: Units) -> str:
    most = [c for k, c in enumerate(one.caused[:2]) if not k or c.remains <= KEEPS]
    left = " and ".join(f"{builds.percent(c.remains)} of the spread of {_decides(c, units)}" for c in most)
    return f"{_what(one, units)}. {bench_tests.how(one, units)}: that would leave {left}."


def _decides(one: Caused, units: Units) -> str:
    """The number whose spread is meant: the figure itself, or what stands behind a question."""
    figure, _ = builds.name_and_pull(one.name)
    asks = builds.asks(one.name, units)
    return asks if figure in METRICS and not METRICS[figure].word else f"what decides {asks}"


def _what(one: Cause | Advice, units: Units) -> str:
    return builds.capital(bench_tests.what(one, units))


def _model(result: ToleranceResult, units: Units) -> list[str]:
    """The coefficients that matter most, and what to do about them."""
    found = [one for one in result.causes if one.of_the_model]
    out = []
    for one in found[:MOST_FIRST]:
        most = one.caused[0]
        left = builds.percent(math.sqrt(1.0 - most.share))
        out.append(
            f"{_what(one, units)}: if that were known, {left} of the spread of {_decides(most, units)} would be left"
        )
    return [*out, *(f"{bench_tests.how(one, units)}." for one in found[:1])]


def _causes(result: ToleranceResult, units: Units) -> Table:
    rows = []
    for one in result.causes[:MOST_CAUSES]:
        most = [f"{builds.percent(_left(one, c))} of {builds.asks(c.name, units)}" for c in one.caused[:3]]
        rows.append((_what(one, units), bench_tests.how(one, units), "; ".join(most)))
    heads = ("Not known", "How to know it better", "Spread that would be left")
    columns = tuple(Column(head, number=False) for head in heads)
    return Table(columns, tuple(rows), "What matters most first", broad=2)


def _left(one: Cause, caused: Caused) -> float:
    """Deviation that would be left, over that now: after the measurement; where there is none, if it were known."""
    return caused.remains if one.at_the_bench else math.sqrt(1.0 - caused.share)


def _inputs(result: ToleranceResult, units: Units) -> Table:
    """Inputs known equally well and for the same reason share a row: there are dozens of them."""
    alike: dict[tuple[str, str], list[str]] = {}
    for one in result.inputs:
        why = f"{'' if one.given else 'usual: '}{remarks.sentence(one.why, units)}"
        value = inputs.value(one.value_si, one.dimension, units)
        alike.setdefault((why, inputs.known_to(one, units)), []).append(f"{one.path} {value}")
    rows = tuple((builds.capital(why), known, ", ".join(keys)) for (why, known), keys in alike.items())
    columns = tuple(Column(head, number=False) for head in ("", "Known to", "Keys"))
    return Table(columns, rows, "Inputs, and how well they are known", broad=2)


def _drawn(result: ToleranceResult, units: Units) -> list[str]:
    """Who says how well the inputs are known, in short."""
    mine = sum(one.given for one in result.inputs)
    usual = [one for one in result.inputs if not one.given and not one.path.startswith("calibration.")]
    model = sum(one.path.startswith("calibration.") and not one.given for one in result.inputs)
    own = f"; {model} are the model's own" if model else ""
    have = "has" if mine == 1 else "have"
    out = [f"Of {len(result.inputs)} inputs drawn, {mine} {have} the +- that you told{own}."]
    if usual:
        reasons = [one.why for one in usual if isinstance(one.why, str) or one.why.key != "material_range"]
        why = Counter(remarks.sentence(one, units).split(",")[0] for one in reasons)
        named = ", ".join(f'"{reason}" ({count})' for reason, count in why.most_common(3))
        count = len(usual) - len(reasons)
        materials = f", {count} lie anywhere that their material does" if count else ""
        out.append(
            f"{len(usual)} got what is usual: mostly {named}{materials}. Write +- after a value to tell more."
        )
    return out


def _known(result: ToleranceResult) -> list[str]:
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


# ---- advise -------------------------------------------------------------------------------------------

MOST_TESTS = 5  # on a terminal
MOST_EACH = 2  # questions named with each
LITTLE = 0.1  # of all the doubt that is open: a test that takes less away is not worth the trip
NO_TEST = "No single test would tell much: what is open hangs on many things at once. Build one and try it."
TELLS = 0.95  # a question of whose deviation more remains is not named
RISES = 0.03  # by less the likeliest answer's share is not worth a word
OFTEN = (
    (0.95, "would settle", "nearly always"),
    (0.7, "would settle", "in most cases"),
    (0.4, "may settle", "in about half of the cases"),
)
CAREFUL = (
    "Told from builds that were tried by drytank: each in turn is taken as the truth, the test is read off it with "
    "its error, and the others are weighed by how well they fit. Spread and doubt are standard deviations, as in "
    "`drytank tolerance`: what would be left, over what there is now; of an answer in words, that of a build "
    "giving it or not."
)


def advice(
    name: str,
    open_: Sequence[QuestionShares],
    found: Sequence[Advice],
    units: Units,
    seed: int | None = None,
    cautions: Sequence[Caution] = (),
    first: Sequence[str] = (),
) -> Document:
    """The best test first, then the others by where they are done.

    Args:
        open_: questions that are not settled.
        cautions: of the tests, for a terminal; a file has those of the whole lure at its end.
        first: what the log contradicts, which is settled before any new test.
    """
    others = [_test(one, units) for one in found[1:]]
    more = builds.MORE_WELCOME if any(one.within for one in open_) else ""
    few, rest = (Bullets(tuple(part)) for part in (others[: MOST_TESTS - 1], others[MOST_TESTS - 1 :]))
    return Document(
        name,
        blocks(
            [Paragraph(words, "head") for words in first[:1]],
            section("In the log, to settle too", Bullets(tuple(first[1:])), key="log"),
            Paragraph(f"{'Then: ' if first else ''}{_best(found, open_, units)}", "" if first else "head"),
            section(
                "Not settled", Bullets(tuple(builds.capital(builds.sentence(one, units)) for one in open_)), key="open"
            ),
            section("The next best tests", few, Roomy(blocks(rest)), key="tests"),
            section("What each takes away", Roomy(blocks(_takes(found, units))), key="takes"),
            Brief(blocks(listed("Take care", care.sentences(cautions)) if cautions else None)),
            section(
                "How sure this is", Paragraph(more), Paragraph(CAREFUL if found else "", "quiet"),
                bare=True, key="known",
            ),
        ),
        asks="what to test next",
        seed=seed,
    )  # fmt: skip


def _best(found: Sequence[Advice], open_: Sequence[QuestionShares], units: Units) -> str:
    """The first sentence."""
    if found and found[0].takes >= LITTLE:
        return _test(found[0], units)
    if found:
        return f"{NO_TEST} The best of them: {_test(found[0], units)}"
    if open_:
        return NO_TEST
    return "There is nothing left to settle: at least 95 of 100 builds agree on every question."


def _takes(found: Sequence[Advice], units: Units) -> Table:
    columns = (
        Column("Test", number=False), Column("Where", number=False), Column("Takes of all doubt"),
        Column("Doubt that remains", number=False),
    )  # fmt: skip
    rows = [
        (
            _what(one, units), one.where, builds.percent(one.takes),
            "; ".join(f"{builds.percent(s.remains)} of {builds.asks(s.question, units)}" for s in one.settles[:3]),
        )
        for one in found
    ]  # fmt: skip
    return Table(columns, tuple(rows), "Tests", broad=3)


def _test(one: Advice, units: Units) -> str:
    """What to do and what it would settle."""
    stated = [settles for settles in one.settles if _tells(settles)][:MOST_EACH] or one.settles[:1]
    where = "" if one.where == "at the bench" else f" ({one.where})"
    return f"{bench_tests.how(one, units)}{where}: {' and '.join(_settles(settles, units) for settles in stated)}."


def _settles(one: Settles, units: Units) -> str:
    question = builds.asks(one.question, units)
    if one.now is None or one.afterwards is None or one.sure is None:
        return f"it would leave about {builds.percent(one.remains)} of the spread of {question}"
    now = f"now {builds.of_100(one.now)} of 100"
    for least, settles, often in OFTEN:
        if one.sure >= least:
            return f"it {settles} {question} ({now}; afterwards at least 95 either way {often})"
    if one.afterwards - one.now < RISES:
        return f"it would take {builds.percent(1.0 - one.remains)} of the doubt in {question} away ({now})"
    after = f"afterwards {builds.of_100(one.afterwards)} on the average"
    return f"it would tell more of {question} ({now}; {after})"


def _tells(one: Settles) -> bool:
    """Whether a question is worth naming: most of its doubt may stay, but not nearly all."""
    if one.remains > TELLS:
        return False
    often = one.sure is not None and one.sure >= OFTEN[-1][0]
    return one.now is None or often or (one.afterwards or 0.0) - one.now >= RISES
