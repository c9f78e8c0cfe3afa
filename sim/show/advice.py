"""The page of `advise`: the next most useful test, and what it would settle."""

from __future__ import annotations

from collections.abc import Sequence

from sim.show import builds
from sim.show.layout import Look, clean, page, paragraph, section
from sim.show.units import Units, in_units
from sim.studies.monte_carlo.advice import Advice, Settles
from sim.studies.monte_carlo.tolerance import QuestionShares

PLAIN = Look()
MOST = 5  # tests on the page
MOST_EACH = 2  # questions told of each
LITTLE = 0.1  # of all the doubt that is open: a test that takes less away is not worth the trip
NO_TEST = "No single test would tell much: what is open hangs on many things at once. Build one and try it."
TELLS = 0.95  # a question of whose deviation more remains is not told
RISES = 0.03  # by less the likeliest answer's share is not worth telling
OFTEN = (
    (0.95, "would settle", "nearly always"),
    (0.7, "would settle", "in most cases"),
    (0.4, "may settle", "in about half of the cases"),
)


def advice(name: str, open_: Sequence[QuestionShares], found: Sequence[Advice], look: Look = PLAIN) -> str:
    """The best test first, then the others by where they are done; `open_`: questions that are not settled."""
    units = look.units
    return page(
        look.paint(paragraph(clean(name)), "head"),
        look.paint(paragraph(best(found, open_, units)), "head"),
        section(look, "Not settled", [builds.capital(builds.sentence(one, units)) for one in open_]),
        section(look, "The next best tests", [sentence(one, units) for one in found[1:MOST]]),
        paragraph(builds.MORE_WELCOME) if any(one.within for one in open_) else "",
        look.paint(paragraph(CAREFUL), "quiet") if found else "",
    )


CAREFUL = (
    "Told from builds that were tried by drytank: each in turn is taken as the truth, the test is read off it with "
    "its error, and the others are weighed by how well they fit. Spread and doubt are standard deviations, as in "
    "`drytank tolerance`: what would be left, over what there is now; of an answer in words, that of a build "
    "giving it or not."
)


def best(found: Sequence[Advice], open_: Sequence[QuestionShares], units: Units) -> str:
    """The first sentence."""
    if found and found[0].takes >= LITTLE:
        return sentence(found[0], units)
    if found:
        return f"{NO_TEST} The best of them: {sentence(found[0], units)}"
    if open_:
        return NO_TEST
    return "There is nothing left to settle: at least 95 of 100 builds agree on every question."


def sentence(one: Advice, units: Units) -> str:
    """What to do and what it would settle."""
    told = [settles for settles in one.settles if _tells(settles)][:MOST_EACH] or one.settles[:1]
    where = "" if one.where == "at the bench" else f" ({one.where})"
    return f"{in_units(one.how, units)}{where}: {' and '.join(_settles(settles, units) for settles in told)}."


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
