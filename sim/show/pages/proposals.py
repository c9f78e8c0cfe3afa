"""The page of `remedy`: what to change first, then what it does to the rest, how sure it is, and the patch."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sim.show import care, changes
from sim.show.builds import MORE_WELCOME, read_as
from sim.show.document import (
    Brief,
    Bullets,
    Column,
    Document,
    Paragraph,
    Roomy,
    Section,
    Table,
    Verbatim,
    blocks,
    listed,
    section,
)
from sim.show.layout import clean
from sim.show.units import METRIC, Units
from sim.show.values import found as value
from sim.show.values import short, words
from sim.studies.compare import WORDS
from sim.studies.monte_carlo.intervals import wilson
from sim.studies.redesign.proposals import At, Beside, Changed, Proposal, RemedyResult, SideEffect, Way

KEYS = ("one", "two", "three")  # keys of the proposals in a file
MOST_EFFECTS = 6
MOST_LINES = 8
WELL, NEARLY = 1.0, 0.25  # misfits of room

_SUBJECTS = {
    "budget.verdict": "in the water", "drop.motion": "let go", "cast.lands": "it lands",
    "retrieve.behaviour": "pulled",
}  # fmt: skip


def remedy(name: str, found: RemedyResult, units: Units) -> Document:
    """The answer, the wants as they are now, each proposal, and its patch."""
    good = bool(found.proposals) or found.holds_already
    shown = [
        _proposal(f"{k}. ", key, one, units)
        for k, (key, one) in enumerate(zip(KEYS, found.proposals, strict=False), 1)
    ]
    if not shown and found.nearest_miss:
        shown = [_proposal("Nearest: ", "nearest", found.nearest_miss, units)]
    first = found.proposals[0].patch if found.proposals else ""
    return Document(
        name,
        blocks(
            Paragraph(answer(found, units), "good" if good else "bad"),
            _now(found, units),
            shown,
            section(
                "What stands in the way", Bullets(tuple(in_the_way(found, units))), key="way",
            ),
            section("The first as a patch of the file", Brief(blocks(Verbatim(first)))),
            Brief(blocks(listed("Take care", care.sentences(found.cautions)) if found.cautions else None)),
            section("How sure this is", Paragraph(stated(found), "quiet"), bare=True, key="sure"),
        ),
        asks="what to change",
    )  # fmt: skip


def answer(found: RemedyResult, units: Units) -> str:
    """The first sentence: what to do, or that nothing does it."""
    if found.holds_already:
        stand = _joined([stands(want, units) for want in found.now])
        return f"Nothing needs changing: {stand}.{understood(found, units)}"
    if found.proposals:
        first = found.proposals[0]
        then = f"{heading(first, units)}: then {_joined([stands(w, units) for w in first.objectives])}."
        return f"{then} {spoilt(first, units)}".rstrip()
    if found.nearest_miss is None:
        stand = _joined([stands(want, units) for want in found.now if not want.met])
        return f"Nothing that may be changed comes any nearer than the lure as it is: {stand}."
    miss = found.nearest_miss
    short = [stands(want, units) for want in miss.objectives if not want.met]
    built = in_builds(miss)
    why = _joined(short) or f"{built[0].lower()}{built[1:-1]}"
    return f"Nothing that may be changed does it. The nearest is to {_does(miss, units)}: then still not, since {why}."


def in_the_way(found: RemedyResult, units: Units) -> Iterator[str]:
    """Why nothing does it: what each want would take by itself, and what nothing here changes."""
    for one in found.alone:
        by = (
            "no single change that was looked at does it"
            if one.change is None
            else changes.does(one.change, units)
        )
        yield f'"{clean(one.text)}" by itself: {by}.'
    if len([one for one in found.alone if one.change is not None]) > 1:
        yield "Together they were not found to hold: what helps one spoils the other."
    yield from (changes.density_needed(one, units) for one in found.blocked)


def spoilt(one: Proposal, units: Units) -> str:
    """A warning, where a proposal makes the lure do what nobody wants."""
    pulls = [f"{effect.after}{_where(effect.tie_on, effect.speed_m_s, units)}" for effect in one.spoils]
    return f"But it then {_joined(pulls)}." if pulls else ""


def stated(found: RemedyResult) -> str:
    """How much was looked at, and what the proof of a proposal is."""
    lures = "1 changed lure" if found.looks == 1 else f"{found.looks} lures"
    if found.holds_already:
        return "Run as a trial does, a range of speeds at nine of them."
    return (
        f"{lures} looked at. Each proposal was run again as a whole trial, a range of speeds at nine of them; "
        "other changes may do it too. A few builds a little different were tried of each; once the patch is in, "
        "`drytank tolerance` counts more. What none of them does is no proposal, nor what rolls over, spins or leaves "
        "the water where something is wanted of it. It is the model's answer: try it on one before you make ten."
    )


def stands(want: Way, units: Units) -> str:
    """A want with what is found: `"wakes" does not hold (it rolls over at 0.50 m/s)`."""
    if want.met and want.figure in WORDS and len(want.at) == 1:
        return f'"{clean(want.text)}" holds'
    return f'"{clean(want.text)}" {"holds" if want.met else "does not hold"} ({_found(want, units)})'


def understood(found: RemedyResult, units: Units) -> str:
    """How numbers that came alone were read, with a blank before it; nothing where there are none."""
    read = [
        f'"{clean(want.text)}"{read_as(want.figure, want.within, units)}' for want in found.now if want.within
    ]
    return f" Mind {_joined(read)}. {MORE_WELCOME}" if read else ""


def _found(want: Way, units: Units) -> str:
    if want.figure in WORDS:
        return _found_words(want, units)
    wild = [at for at in want.at if at.does]
    if wild:
        return f"it {short(wild[0].does)}{_where(wild[0].tie_on, wild[0].speed_m_s, units)}"
    values = [value(want.figure, at.found, units) for at in want.at]
    if len(values) == 1:
        return values[0]
    out = [at for at in want.at if at.room < 0.0] or list(want.at)
    worst = min(out, key=lambda at: at.room)
    return f"{value(want.figure, worst.found, units)}{_where(worst.tie_on, worst.speed_m_s, units)}"


def _found_words(want: Way, units: Units) -> str:
    bad = [at for at in want.at if at.room < 0.0]
    if len(want.at) == 1:
        return f"it {short(want.at[0].found)}"
    if not bad:
        return f"at all {len(want.at)} speeds looked at, {_sure(min(at.room for at in want.at))}"
    words = dict.fromkeys(short(at.found) for at in bad)
    speeds = _speeds(bad, want.at, units)
    return f"it {' or '.join(words)} {speeds}"


def _speeds(bad: Sequence[At], every: Sequence[At], units: Units) -> str:
    """The speeds of some looks, as a range."""
    slow, fast = bad[0].speed_m_s or 0.0, bad[-1].speed_m_s or 0.0
    low, high = units.number("speed", slow), units.text("speed", fast)
    if len(bad) == len(every):
        return "at all of them"
    return f"at {high}" if len(bad) == 1 else f"from {low} to {high}"


def _sure(room: float) -> str:
    return "with room" if room >= NEARLY else "with little room"


# ---- blocks -------------------------------------------------------------------------------------------


def _now(found: RemedyResult, units: Units) -> Section:
    objectives = tuple(stands(want, units) for want in found.now)
    if found.holds_already:  # the answer says it
        return section("Wanted, and as it is", Roomy((Bullets(objectives),)), key="now")
    return section(
        "Wanted, and as it is", Bullets(objectives, note=understood(found, units).strip()), key="now"
    )


def _proposal(number: str, key: str, one: Proposal, units: Units) -> Section:
    """What it changes and does: in few lines, or with a row for each value and effect."""
    values = [Paragraph(f"   {line}") for line in written(one)]
    cells = [(c.path, c.before or "not told", c.after or "taken out") for c in one.values]
    effects = [effect_cells(effect, units) for effect in one.effects]
    return section(
        f"{number}{heading(one, units)}",
        Brief(blocks(values, Bullets(tuple(details(one, units))))),
        Roomy(
            blocks(
                Bullets(tuple(details(one, units, effects=False))),
                Paragraph("As a patch of the file:" if one.patch else "", "quiet"),
                Verbatim(one.patch, "As a patch of the file", one.text if one.patch else ""),
                _before_after("In the file", cells),
                _before_after("What else changes noticeably", effects),
                None if effects else Paragraph(rest((), units)),
            )
        ),
        key=key,
    )


def _before_after(caption: str, rows: Sequence[tuple[str, str, str]]) -> Table:
    columns = tuple(Column(head, number=False) for head in ("", "Now", "Then"))
    return Table(columns, tuple(rows), caption, broad=0)


def written(one: Proposal) -> list[str]:
    """The values of the file, before and after, on a line each; a part taken out or put in as one."""
    out: dict[str, str] = {}
    for changed in one.values:
        out.setdefault(*_line(changed, one.values))
    lines = list(out.values())
    more = len(lines) - MOST_LINES
    return lines if more <= 1 else [*lines[:MOST_LINES], f"and {more} more values; see the patch"]


def _line(changed: Changed, every: Sequence[Changed]) -> tuple[str, str]:
    part = ".".join(changed.path.split(".")[:2])
    mine = [other for other in every if other.path.startswith(f"{part}.")]
    if len(mine) > 1 and part.split(".")[0] in ("ballast", "hook"):
        if all(other.after is None for other in mine):
            return part, f"[{part}] -> taken out"
        if all(other.before is None for other in mine):
            return part, f"[{part}] is new: " + ", ".join(f"{_end(o.path)} {o.after}" for o in mine)
    before = "not told" if changed.before is None else changed.before
    after = "taken out" if changed.after is None else changed.after
    return changed.path, f"{changed.path}: {before} -> {after}"


def _end(path: str) -> str:
    return path.rpartition(".")[2]


def heading(one: Proposal, units: Units = METRIC) -> str:
    """The changes of a proposal, as a heading."""
    return _capital(_does(one, units))


def _does(one: Proposal, units: Units) -> str:
    return _joined([changes.does(step, units) for step in one.changes])


def details(one: Proposal, units: Units, effects: bool = True) -> Iterator[str]:
    """What it then does, what else changes, how sure it is."""
    if one.spoils:
        yield spoilt(one, units)
    yield from (changes.hole(step.hole, units) for step in one.changes if step.hole)
    if one.tie_on:
        yield f"The file needs no change for it: tie the line to {one.tie_on}."
    for want in one.objectives:
        yield _capital(stands(want, units))
    if effects:
        yield rest(one.effects, units)
    if one.builds:
        yield in_builds(one)
    near = steadiness(one.beside, units)
    if near and one.met:
        yield near
    if one.met and one.spare_lift_sd_g:
        yield spare_lift(one, units)


def in_builds(one: Proposal) -> str:
    """In how many of the builds that were tried it holds, and between what the share of all lies."""
    low, high = wilson(one.hold, one.builds)
    return (
        f"Of {one.builds} builds made so, each a little different, {one.hold} do it ({100 * low:.0f} to "
        f"{100 * high:.0f} of 100)."
    )


def rest(effects: Sequence[SideEffect], units: Units) -> str:
    """What else changes, in a sentence, the most noticeable first."""
    if not effects:
        return "Nothing else changes by as much as you would notice."
    stated = [effect(one, units) for one in effects[:MOST_EFFECTS]]
    more = len(effects) - len(stated)
    return f"It also changes: {'; '.join(stated)}{f'; and {more} more' if more > 0 else ''}."


def effect(one: SideEffect, units: Units) -> str:
    """One other figure before and after, in words."""
    what, before, after = effect_cells(one, units)
    return f"{what}{',' if one.figure in WORDS else ''} {before} becomes {after}"


def effect_cells(one: SideEffect, units: Units) -> tuple[str, str, str]:
    """One other figure: what, before, after."""
    where = _where(one.tie_on, one.speed_m_s, units)
    what = _SUBJECTS[one.figure] if one.figure in WORDS else words(one.figure)
    if one.figure == "retrieve.behaviour":
        what, where = where.strip(), ""
    return f"{what}{where}", value(one.figure, one.before, units), value(one.figure, one.after, units)


def spare_lift(one: Proposal, units: Units) -> str:
    """How sure the spare lift is, from what is known of every input."""
    doubt = f"Its spare lift is known to {units.text('mass', one.spare_lift_sd_g or 0.0)}"
    if one.chance_floats is None or not 0.05 < one.chance_floats < 0.95:
        return f"{doubt}."
    return f"{doubt}: {100 * one.chance_floats:.0f} of 100 made so would float."


def steadiness(beside: Sequence[Beside], units: Units) -> str:
    """Whether a step more or less still does it."""
    if not beside:
        return ""
    holds, fails = (
        [changes.does(b.change, units) for b in beside if b.holds is which] for which in (True, False)
    )
    if not fails:
        return "A step more or less of it does it too."
    if not holds:
        return f"It has to be just so: not enough is to {_joined(fails, 'or to')}."
    return f"Enough is also to {_joined(holds, 'or to')}; not enough is to {_joined(fails, 'or to')}."


def _where(tie_on: str | None, speed: float | None, units: Units) -> str:
    return f" from {tie_on} at {units.text('speed', speed)}" if tie_on and speed is not None else ""


def _joined(items: Sequence[str], last: str = "and") -> str:
    return f" {last} ".join(filter(None, [", ".join(items[:-1]), items[-1]])) if items else ""


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]
