"""The validation page: every check with its figures, the score, and why the misses miss."""

from __future__ import annotations

from collections.abc import Iterator

from tests.checks.checks import SAME, Figure, Outcome, Status, Subject, Verdict, digits, outcome, subjects
from tests.checks.misses import CAUSES
from tests.decisions.page import chapter

NOTE = "<!-- Written by `python -m tests.checks docs/validation.md`; change the checks, not this file. -->"

OPENING = """\
# Validation: how far the numbers can be trusted

**If you make lures.** Each line below is a question with a known answer, put to drytank: how fast does a lead
ball sink, how deep does a cork float, how hard does the water push on a plate. Somebody else's answer stands
beside ours, with the difference and how much difference would be fair. Most agree. Those that do not are
listed with their size and the reason, because a tool that hides its misses is worth less than a bathtub.
None of these shapes is your lure: where the checks agree, the figure is a good guide to which of two versions
will do better, not a promise to the millimetre.

**If you are an engineer.** Every figure under *ours* comes from the code that runs in a trial, mostly through
the full path from design to right-hand side. Reference libraries are run live where the source says so.
*Exact* is a closed form, *library* a computation by the named library or method, *measured* a body that was made
and measured, by the authors' own data or a published text, *published* any other number confirmed in a published
text. *Memory* is a remembered value: it is shown and gates nothing, unless a library
run live confirms it. *Own tank* is a large-eddy simulation of our own, with its own errors of five to twenty
per cent: it guides, and gates nothing either. Errors are shares of the outside figure where the tolerance is a
share, amounts where it is an amount. A known miss carries its measured error as a mark; if the error moves,
better or worse, the tests fail until the mark is moved, so this page cannot fall behind the code.
Some checks guard a copy rather
than a law, because the simulator holds the same table or a fit to it: densities of materials, plates square
to the flow, places of the lift, added mass of plates, moving and turning, rods across the flow.
Some parts were changed after a check had shown a miss, so that check is no longer a
test by a stranger: the end faces of a body together take 0.9, the middle of the published rods along the flow,
where they took 1.0; the drag of a cylinder across the flow follows the curve that has the plateau of the table
of finite rods; the loss of lift near the surface counts depth by a length that follows our own lattice; a plate
half out of the water is reckoned by its wet piece, and a turning plate carries half the circulation it had, both
by closed forms; the net of panels from which a body's added mass comes had its rings on flat ends placed after a
look at the rod and the block three long. With that net two rows of square prisms end on fell out, and two tests
beside this page changed: prisms are held to 3 % of a much finer net instead of 8 % of that table, a body as thin
as paper to 10 % of a disc (9 % found) instead of 8 %. So read the score subject by subject: the easy ones lift the
total."""

HEAD = "| check | source | standing | published | ours | error | tolerance | verdict |\n" + "|---" * 8 + "|"


def page() -> str:
    """The whole page as Markdown, figures rounded to what the tolerance warrants."""
    parts = [
        NOTE,
        OPENING,
        score(),
        _by_subject(),
        *(_subject(subject) for subject in subjects()),
        _misses(),
        _open(),
        chapter(),
    ]
    return "\n\n".join(part for part in parts if part) + "\n"


def score() -> str:
    """How many checks gate, agree, miss, and are only shown, in one line."""
    found = [outcome(check) for subject in subjects() for check in subject.checks]
    counts = {verdict: sum(one.verdict is verdict for one in found) for verdict in Verdict}
    gating = len(found) - counts[Verdict.SHOWN]
    words = (
        f"**Score: {gating} checks; {counts[Verdict.INSIDE]} inside their tolerance "
        f"({100 * counts[Verdict.INSIDE] // gating} %), {counts[Verdict.MISS]} known misses.** "
        f"{counts[Verdict.SHOWN]} values from memory or from our own numerical tank are shown as well and do not count."
    )
    measured = [one for one in found if one.check.status is Status.MEASURED]
    near = sum(one.verdict is Verdict.INSIDE for one in measured)
    words += f" Of the checks, {len(measured)} are of bodies that were measured; {near} of these are inside."
    if counts[Verdict.BROKEN]:
        words += f" **{counts[Verdict.BROKEN]} checks are broken: the tests say how.**"
    return words


def _by_subject() -> str:
    rows = [
        "| subject | checks | inside | known misses | of the checks measured | of these inside | shown only |",
        "|---" * 7 + "|",
    ]
    for subject in subjects():
        found = [outcome(check).verdict for check in subject.checks]
        shown = found.count(Verdict.SHOWN)
        measured = [outcome(check).verdict for check in subject.checks if check.status is Status.MEASURED]
        counts = (
            len(found) - shown, found.count(Verdict.INSIDE), found.count(Verdict.MISS), len(measured),
            measured.count(Verdict.INSIDE), shown,
        )  # fmt: skip
        rows.append(f"| {subject.title} | " + " | ".join(map(str, counts)) + " |")
    return "\n".join(rows)


def _subject(subject: Subject) -> str:
    rows = "\n".join(_row(outcome(check)) for check in subject.checks)
    return f"## {subject.title}\n\n{subject.about}\n\n{HEAD}\n{rows}"


def _row(one: Outcome) -> str:
    check = one.check
    step = _step(one)
    unit = f" {check.unit}" if check.unit else ""
    verdict = str(one.verdict)
    if one.verdict is Verdict.SHOWN:
        verdict += ", inside" if one.inside else ", outside"
    cells = (
        check.what,
        check.source,
        "memory, confirmed" if check.status is Status.MEMORY and check.gates else str(check.status),
        _figure(one.published, step) + unit,
        _figure(one.ours, step) + unit,
        _error(one),
        _tolerance(one),
        f"**{verdict}**" if one.verdict in (Verdict.MISS, Verdict.BROKEN) else verdict,
    )
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _step(one: Outcome) -> float:
    """A tenth of the tolerance, as an amount: figures are shown no finer."""
    if isinstance(one.published, bool | str):
        return 1.0
    return 0.1 * one.check.tolerance.amount(one.published)


def _figure(value: Figure, step: float) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value if isinstance(value, str) else digits(value, step)


def _error(one: Outcome) -> str:
    if one.check.tolerance == SAME:
        return "none" if one.error == 0.0 else "other way round"
    return _amount(one.error, one, sign=True)


def _tolerance(one: Outcome) -> str:
    return "the same" if one.check.tolerance == SAME else _amount(one.check.tolerance.size, one)


def _amount(size: float, one: Outcome, sign: bool = False) -> str:
    """A share as per cent, a very small one as a power of ten, an amount with its unit."""
    tolerance, unit = one.check.tolerance, ""
    step = 0.1 * tolerance.size
    if tolerance.relative and tolerance.size >= 1e-4:
        size, step, unit = 100.0 * size, 100.0 * step, " %"
    elif not tolerance.relative and one.check.unit:
        unit = f" {one.check.unit}"
    words = digits(size, step)
    return ("+" if sign and size > 0.0 and words != "0" else "") + words + unit


def _misses() -> str:
    known = {check.what: outcome(check) for subject in subjects() for check in subject.checks}
    parts = ["## The misses, and why"]
    for cause in CAUSES:
        lines = (f"- {what}: {_error(known[what])}" for what in cause.errors if what in known)
        parts.append(cause.why + "\n\n" + "\n".join(lines))
    if not CAUSES:
        parts.append("None.")
    return "\n\n".join(parts)


def _open() -> str:
    def lines() -> Iterator[str]:
        for subject in subjects():
            for words in subject.open:
                yield f"- {subject.title}. {words}"

    return "## What is not checked\n\n" + "\n".join(lines())
