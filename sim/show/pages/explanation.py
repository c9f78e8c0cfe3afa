"""The page of `explain`: the verdict, the causes that fit, what would tell them apart, what it is not."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from sim.show import remarks, suspect_words
from sim.show.builds import at_pull, read_as
from sim.show.document import (
    Block,
    Brief,
    Bullets,
    Column,
    Document,
    Paragraph,
    Picture,
    Roomy,
    Section,
    Table,
    blocks,
    section,
)
from sim.show.layout import clean
from sim.show.suspect_words import MISHAPS
from sim.show.units import METRIC, Units
from sim.show.values import amount, headline, words
from sim.studies.diagnosis.explanation import (
    Alike,
    CauseFound,
    Elsewhere,
    Explanation,
    ExplanationVerdict,
    StatementCheck,
    Together,
)

if TYPE_CHECKING:
    from matplotlib.figure import Figure

MOST = 6  # groups on the page; JSON has all
MOST_ALIKE = 6  # causes of a group
MOST_NOT = 12  # names of what it is not
FEW, FIRST, PAIRS = 4, 3, 2  # on one screen: statements, causes, pairs
LIKELY = 0.05  # groups whose causes weigh less than this together are left out, but for the first three


def explanation(name: str, found: Explanation, units: Units, *, every: bool = False) -> Document:
    """The page, verdict first; on a terminal one screen of it, unless `every` is wanted there too."""
    groups = shown(found)

    def picture() -> Figure:
        from sim.show.figures.suspects import bars

        return bars(groups, found, units)

    whole = blocks(
        section("What was said", Bullets(tuple(spoken(one, units) for one in found.observed)), key="said"),
        section("The picture", Picture(picture, "picture") if groups else None),
        section("What would explain it, the likeliest first", _table(groups, units), key="causes"),
        section("Two things together", Bullets(tuple(together(one, units) for one in found.pairs)), key="pairs"),
        section(
            "More about these", Bullets(tuple(line for group in groups for line in more(group, units))), key="more"
        ),
        section("What it is not", Bullets(tuple(not_it(found))), key="rest"),
        section("How sure this is", Paragraph(careful(found), "quiet"), bare=True, key="known"),
    )  # fmt: skip
    head = Paragraph(verdict(found, units), "head")
    rest = whole if every else blocks(*_brief(found, groups, units), Roomy(whole))
    return Document(name, blocks(head, rest), asks="why did it do that?")


def _brief(found: Explanation, groups: Sequence[Alike], units: Units) -> tuple[Block, ...]:
    """One screen of it: what does not fit, the first causes and what to do to know, pairs, what `--all` shows."""
    said = sorted(found.observed, key=lambda one: one.fits)
    lines = [spoken(one, units) for one in said[:FEW]]
    if len(said) > FEW:
        lines.append(f"{len(said) - FEW} more, of which {sum(not one.fits for one in said[FEW:])} do not fit")
    every = [cause for group in groups for cause in group.causes]
    first = sorted(every, key=lambda cause: -cause.share)[:FIRST]
    known = list(
        dict.fromkeys(f"{suspect_words.name(one)}: {suspect_words.how_to_know(one)}" for one in first)
    )
    left = len(every) - len(first)
    more_ = f"{left} more cause{'s' if left != 1 else ''}, " if left > 0 else ""
    return blocks(
        Brief((Section("What was said", (Bullets(tuple(lines)),)),)),
        Brief(blocks(_table([Alike(causes=first, apart=[])] if first else [], units, brief=True))),
        Brief(blocks(Section("To know", (Bullets(tuple(known)),)) if first else None)),
        Brief(blocks(
            Section("Two things together", (Bullets(tuple(together(one, units) for one in found.pairs[:PAIRS])),))
            if found.pairs else None
        )),
        Brief((Paragraph(f"{found.looks} designs were run. --all shows {more_}what it is not, how sure this is."),)),
    )  # fmt: skip


def together(one: Together, units: Units) -> str:
    """Two causes that explain together what no single one does."""
    a, b = (f"{suspect_words.name(cause)} {_moved(cause, units)}".strip() for cause in one.causes)
    left = f"; not explained: {_listed(clean(text) for text in one.unexplained)}" if one.unexplained else ""
    return f"{a} and {b}{left}"


def _moved(cause: CauseFound, units: Units) -> str:
    was, to = suspect_words.was(cause, units), suspect_words.becomes(cause, units)
    return f"{was} -> {to}" if was else f"({to})"


def shown(found: Explanation) -> list[Alike]:
    """The groups that are worth a reader's time; none where nothing has to be explained."""
    if found.verdict in (ExplanationVerdict.PREDICTED, ExplanationVerdict.NOTHING):
        return []
    if found.verdict is ExplanationVerdict.TOGETHER:
        return found.groups[:FIRST]
    heavy = [group for k, group in enumerate(found.groups)
             if k < 3 or sum(cause.share for cause in group.causes) >= LIKELY]  # fmt: skip
    return [group for group in heavy if found.cost_as_designed > group.causes[0].cost][:MOST]


# ---- the verdict --------------------------------------------------------------------------------------


def verdict(found: Explanation, units: Units = METRIC) -> str:
    """One or two sentences."""
    if found.verdict is ExplanationVerdict.PREDICTED:
        return _predicted(found)
    if found.verdict is ExplanationVerdict.NOTHING:
        return (
            "Nothing within reason explains this, no single cause and no two together. Look whether the file describes "
            "the lure you swam and whether what was said can all be true; say more, and measure the whole lure."
        )
    if found.verdict is ExplanationVerdict.TOGETHER:
        words = " ".join(suspect_words.how_to_know(cause) for cause in found.pairs[0].causes)
        return (
            "No single cause explains all of this. Perhaps two things came together: "
            f"{together(found.pairs[0], units)}. {words}"
        )
    first = found.groups[0]
    best = first.causes[0]
    head = "Most likely" if sum(cause.share for cause in first.causes) >= 0.5 else "Perhaps"
    partly = (
        f" This does not explain: {_listed(clean(one) for one in best.unexplained)}."
        if found.verdict is ExplanationVerdict.PARTLY
        else ""
    )
    others = len(first.causes) - 1
    alike = (
        f" What was said cannot tell this from {others} other cause{'s' if others > 1 else ''} below."
        if others
        else ""
    )
    return f"{head} {suspect_words.sentence(best, units)}{partly}{alike}"


def _predicted(found: Explanation) -> str:
    sure = [one.sure for one in found.observed if one.sure is not None]
    text = "Nothing needs explaining: the design as it stands does what was said"
    if not sure:
        return f"{text}, within the errors of reading."
    share = min(sure)
    if not all(one.holds for one in found.observed):
        return (
            f"It hangs on a hair: predicted otherwise, but so nearly that about {100.0 * share:.0f} of 100 builds of "
            "this design would do what was said. No cause need be looked for."
        )
    if share >= 0.95:
        return f"{text}, and hardly any build of it would not."
    return f"{text}. About {100.0 * share:.0f} of 100 builds would, so that a little decides it."


def how_likely(cause: CauseFound) -> str:
    """How far it has to be off, against how well it is known."""
    if cause.mishap:
        return f"a slip: {MISHAPS[cause.mishap]}"
    if cause.deviations is None:
        return "a slip"
    far = abs(cause.deviations)
    if far < 0.05:
        return "as told"
    if far <= 1.0:
        return "well within its +-"
    if far <= 2.0:
        return "within what its +- allows"
    return f"{far:.1f} times its +-: " + ("seldom" if far <= 3.0 else "hardly by chance")


# ---- what was said ------------------------------------------------------------------------------------


def spoken(one: StatementCheck, units: Units) -> str:
    """One statement against the design as it stands."""
    values = list(dict.fromkeys(figure(one.figure, value, units) for value in one.predicted))
    stated = "holds" if one.holds else "nearly holds" if one.fits else "does not fit"
    return (
        f'"{clean(one.text)}"{read_as(one.figure, one.within, units)} {stated}: predicted {_listed(values)}'
    )


def figure(name: str, value: str | float | None, units: Units) -> str:
    """A figure with its unit."""
    if value is None:
        return "no answer"
    if isinstance(value, str):
        return headline(value)
    return amount(name, value, units)


# ---- the causes ---------------------------------------------------------------------------------------


def _table(groups: Sequence[Alike], units: Units, *, brief: bool = False) -> Table:
    columns = (
        Column("Group", once=True, roomy=brief),
        Column("What", number=False, widest=27),
        Column("As designed", number=False, widest=11),
        Column("Would be", number=False, widest=17),
        Column("Turns at", number=False, widest=11),
        Column("Likely,\nof 100", roomy=not brief),
    )
    rows = []
    for k, group in enumerate(groups, 1):
        for cause in group.causes[:MOST_ALIKE]:
            rows.append((
                str(k), suspect_words.name(cause), suspect_words.was(cause, units),
                suspect_words.becomes(cause, units), suspect_words.flips_at(cause, units),
                f"{100.0 * cause.share:.0f}",
            ))  # fmt: skip
    return Table(columns, tuple(rows), "Causes in groups: those of one group cannot be told apart", broad=1)


def more(group: Alike, units: Units) -> list[str]:
    """About each cause of a group: how likely, what else would be different, how to know."""
    out = []
    for cause in group.causes[:MOST_ALIKE]:
        why = f" ({remarks.sentence(cause.known, units)})" if cause.known and not cause.mishap else ""
        line = f"{suspect_words.name(cause)}: {how_likely(cause)}{why}. {suspect_words.how_to_know(cause)}"
        if cause.elsewhere:
            line += f" Then also {_listed(elsewhere(one, units) for one in cause.elsewhere[:2])}."
        if cause.unexplained:
            line += f" It does not explain: {_listed(clean(one) for one in cause.unexplained)}."
        out.append(line)
    if len(group.causes) > MOST_ALIKE:
        out.append(f"{len(group.causes) - MOST_ALIKE} more fit as well, each less likely.")
    if group.apart:
        one, other = (_name(cause.name) for cause in group.causes[:2])
        telling = _listed(_against(each, units) for each in group.apart[:2])
        out.append(f"What would tell {one} from {other}: {telling}.")
    return out


def elsewhere(one: Elsewhere, units: Units) -> str:
    """A figure that would be different too."""
    return (
        f"{_words(one)}{_where(one, units)} would be {figure(one.figure, one.then, units)}, "
        f"not {figure(one.figure, one.predicted, units)}"
    )


def _against(one: Elsewhere, units: Units) -> str:
    return (
        f"{_words(one)}{_where(one, units)} ({figure(one.figure, one.predicted, units)} against "
        f"{figure(one.figure, one.then, units)})"
    )


_OTHER_WORDS = {
    "budget.verdict": "whether it floats", "drop.motion": "the way it falls", "cast.lands": "the way it lands",
}  # fmt: skip


def _words(one: Elsewhere) -> str:
    return _OTHER_WORDS.get(one.figure) or words(one.figure)


def _where(one: Elsewhere, units: Units) -> str:
    if one.tie_on is None or one.speed_m_s is None:
        return ""
    return f" {at_pull(one.tie_on, one.speed_m_s, units)}"


# ---- the rest -----------------------------------------------------------------------------------------


def not_it(found: Explanation) -> list[str]:
    """What was tried in vain."""
    if found.verdict is ExplanationVerdict.PREDICTED:
        return []
    out = []
    if found.not_it:
        names = [_name(one) for one in found.not_it]
        rest = f" and {len(names) - MOST_NOT} more" if len(names) > MOST_NOT else ""
        out.append(
            f"Tried as far as is within reason, and no better than chance: {', '.join(names[:MOST_NOT])}{rest}."
        )
    return out + [f"Could not be tried: {clean(one)}." for one in found.impossible]


def _name(name: str) -> str:
    return name.removeprefix("slip.").replace("_", " ") if name.startswith("slip.") else name


def careful(found: Explanation) -> str:
    """What this rests on."""
    return (
        f"{found.looks} designs were run, each with one thing otherwise, up to four deviations or as far as a slip "
        "goes. They are ranked by how likely all that was said is with each; how often slips happen is judgement. "
        "Two at once are tried where no single one explains all."
    )


def _listed(items: Iterable[str]) -> str:
    every = list(items)
    return " and ".join([", ".join(every[:-1]), every[-1]] if len(every) > 1 else every)
