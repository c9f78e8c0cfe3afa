"""The report: everything about one design, or two side by side."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from sim.show import builds, pull_sentences, sentences
from sim.show.document import (
    Block,
    Bullets,
    Column,
    Document,
    Facts,
    Fold,
    Paragraph,
    Picture,
    Player,
    Section,
    Sheet,
    Table,
    Tone,
    blocks,
    listed,
    section,
)
from sim.show.pages import speeds, trials
from sim.show.pages.builds import first_of
from sim.show.replay import MOST_SECONDS, replay
from sim.show.replay import text as replay_text
from sim.show.units import US, Units, figures
from sim.studies.compare import unlike
from sim.studies.dossier import Dossier, assumptions
from sim.trials.recording import Recording
from sim.trials.results import DropResult, RetrieveResult, Verdict

MOST_UNLIKE = 6
MOST_MEASURES = 2
FOLDED = 8  # parts, from which on their table is folded
SHEET = "A page for paper, full size when printed at 100 %: measure its bar. `drytank sheet` writes it alone."
TRUST = (
    "Weight, floating and attitude follow from geometry: they are as good as the measurements.",
    "Sink rate, flight and depth rest on measured laws for simple shapes: the order of things is to be trusted "
    "more than the figures, which may be some tens of per cent out.",
    "Wobble, rolling over and spinning hang on small differences: take them as indications.",
)


def report(one: Dossier, other: Dossier | None, units: Units) -> Document:
    """One design, or two side by side."""
    both = [one] if other is None else [one, other]
    budget, floating = one.result.budget, one.result.floating
    return Document(
        " and ".join(each.design.name for each in both),
        blocks(
            Paragraph("" if other is None else _beside(one, other), "quiet"),
            Paragraph(one.design.about),
            [Paragraph(sentence, tone) for sentence, tone in _verdict(one, units)],
            _facts(one, units),
            None if other is None else section("Side by side", _comparison(one, other, units), key="two"),
            section("Replay", _player(both, units), key="replay"),
            section(
                "At rest", Paragraph(sentences.rest(floating, units)), Paragraph(sentences.balance(budget, units)),
                Paragraph(sentences.righting(floating, units)), Paragraph(sentences.other_rests(floating)),
                _at_rest(one, units), key="rest",
            ),
            section(
                "Let go", Paragraph(sentences.drop(one.result.drop, units)),
                Paragraph(sentences.timing(one.result.drop)), trials.countdown(one.result.drop, units),
                _moved(one, "drop", units), key="drop",
            ),
            section("Cast", Paragraph(sentences.cast(one.result.cast, units)), _moved(one, "cast", units), key="cast"),
            section("Pulled", _pulled(one, units), key="pulled"),
            _speeds(one, units),
            section("Weights", _weights(one, units), key="weights"),
            section("How sure", _how_sure(one, units), key="sure"),
            section("What to change", _to_change(one, units), key="change"),
            section("Shop sheet", Paragraph(SHEET, "quiet"), _sheet(one, units), key="shop"),
        ),
        kind="report",
    )  # fmt: skip


def _verdict(one: Dossier, units: Units) -> Iterator[tuple[str, Tone]]:
    """The sentences at the head: does it float, how it lies or sinks, what it does when pulled."""
    result = one.result
    floats = sentences.verdict(result.budget.model_copy(update={"chance_floats": None}), units)
    yield floats, "good" if result.budget.verdict in (Verdict.FLOATS, Verdict.SUSPENDS) else "bad"
    if result.budget.conflicts:
        yield sentences.AS_IF, "head"
    if result.floating.verdict is Verdict.FLOATS:
        yield sentences.rest(result.floating, units), "head"
    else:
        yield sentences.drop(result.drop, units), "head"
    yield _pulled_in_one(result.retrieve), "head"


def _pulled_in_one(runs: Sequence[RetrieveResult]) -> str:
    """One sentence for all tie-on points, the speeds rising."""
    if not runs:
        return "It has no tie-on point, so it was not pulled."
    points = []
    for point in dict.fromkeys(run.tie_on for run in runs):
        mine = sorted((run for run in runs if run.tie_on == point), key=lambda run: run.speed_m_s)
        does = [
            pull_sentences.word(behaviour) for behaviour, _ in groupby(mine, key=lambda run: run.behaviour)
        ]
        points.append(f"from {point} it {', then '.join(does)}")
    faster = " (slow to fast)" if len({run.speed_m_s for run in runs}) > 1 else ""
    return f"Pulled{faster}, {'; '.join(points)}."


def _facts(one: Dossier, units: Units) -> Facts:
    """The figures that a maker looks for first."""
    budget, drop, cast = one.result.budget, one.result.drop, one.result.cast
    rows = [
        ("Weight", units.text("mass", budget.mass_g), ""),
        ("Pushes aside", units.text("volume", budget.displaced_ml), "Displacement"),
        ("To spare", _spare(one, units), "Margin"),
    ]
    if drop.sink_rate_m_s:
        word = "Sink rate" if drop.sink_rate_m_s > 0 else "Rises"
        rows.append((word, _rate(drop, units), word))
    if cast.range_m is not None:
        rows.append(("Cast", units.text("distance", cast.range_m, 2), ""))
    return Facts(tuple(rows))


def _spare(one: Dossier, units: Units) -> str:
    budget = one.result.budget
    give = f" \u00b1 {units.text('mass', budget.margin_sd_g)}" if budget.margin_sd_g > 0 else ""
    return f"{units.text('mass', budget.margin_g)}{give}"


def _rate(drop: DropResult, units: Units) -> str:
    rate = abs(drop.sink_rate_m_s or 0.0)
    return units.text("speed", rate, 2) if units is US else f"{figures(100 * rate, 1, 2)}\u00a0cm/s"


def _at_rest(one: Dossier, units: Units) -> Iterator[Picture]:
    from sim.show.figures import how_it_sits, righting_arms

    floating = one.result.floating
    if floating.pitch_deg is None:
        return
    yield Picture(lambda: how_it_sits(floating, one.lure, units), "sits")
    if floating.righting_heel:
        yield Picture(lambda: righting_arms(floating, units), "arms")


def _moved(one: Dossier, kind: str, units: Units) -> Picture:
    """The way down or up, or the flight."""
    from sim.show.figures import cast_path, drop_strip

    motion = next(each for each in one.recordings if each.kind == kind)
    return Picture(lambda: (drop_strip if kind == "drop" else cast_path)(motion, units), kind)


def _pulled(one: Dossier, units: Units) -> Iterator[Block]:
    """A sentence for each tie-on point, all the runs side by side, and each tie-on point at a middling speed."""
    from sim.show.figures import line_shape, retrieve_depth, wobble_trace

    runs = one.result.retrieve
    yield from (Paragraph(sentence) for sentence in pull_sentences.pulled(runs, units))
    yield from blocks(speeds.chance(one.few, units))
    yield from blocks(trials.runs(runs, units, most=None))
    if one.programmes:
        yield listed("Programmes", pull_sentences.pulled(one.programmes, units))
    points: dict[str, list[Recording]] = {}
    for motion in one.recordings:
        if motion.kind == "pull" and not motion.programme:
            points.setdefault(motion.tie_on, []).append(motion)
    for k, (point, motions) in enumerate(points.items()):
        middle = motions[len(motions) // 2]
        drawn = [
            Picture(lambda make=make, middle=middle: make(middle, units), f"{name}{k}")  # type: ignore[misc]
            for name, make in (("depth", retrieve_depth), ("swing", wobble_trace), ("line", line_shape))
        ]
        why = [s for run in runs if (run.tie_on, run.speed_m_s) == (point, middle.speed)
               for s in pull_sentences.every_cause(run, units)]  # fmt: skip
        head = f"Tied at {point}, pulled at {units.text('speed', middle.speed)}"
        yield section(head, Bullets(tuple(why), note=pull_sentences.SHARES), drawn)


def _speeds(one: Dossier, units: Units) -> Section | None:
    """Speed windows, where there is anything to tie a line to."""
    if one.windows is None or not one.windows.tie_ons:
        return None
    closer = "`drytank windows` looks closer, and at what stays when it is slowed down."
    known = Paragraph(f"{speeds.known(one.windows)} {closer}", "quiet")
    return section("Speeds", speeds.picture(one.windows, units), known, key="speeds")


def _weights(one: Dossier, units: Units) -> tuple[Block, ...]:
    from sim.show.figures import weight_budget

    budget = one.result.budget
    table = trials.parts(budget, units)
    many = len(budget.parts) > FOLDED
    return blocks(
        Paragraph(sentences.weights(budget, units)),
        Fold(f"Weight and volume of all {len(budget.parts)} parts", (table,)) if many else table,
        Paragraph("From: measured, computed, estimated from a size, or a handbook.", "quiet"),
        Bullets(tuple(trials.notes(budget, units))),
        Picture(lambda: weight_budget(budget, units), "budget"),
    )


def _how_sure(one: Dossier, units: Units) -> tuple[Block, ...]:
    """What the figures rest on: the inputs' own spread, what was assumed, where a law was stretched."""
    budget = one.result.budget
    spread = sentences.verdict(budget, units) if budget.margin_sd_g > 0 else (
        "The file gives no \u00b1, so the margin carries none: write what your scale and calliper leave open, "
        'as in "18.4 +- 0.2 g".'
    )  # fmt: skip
    settled = sentences.settling(budget, units)
    spoken = [spread, *filter(None, [settled]), *_over_builds(one, units), sentences.sure(one.result), *TRUST]
    ranges = [f"{label(motion, units)}: {sentences.out_of_range(law)}" for motion, law in one.ranges]
    handbook, guessed = (
        ", ".join(part.name for part in budget.parts if part.source == source)
        for source in ("handbook", "estimated")
    )
    return blocks(
        Bullets(tuple(spoken)),
        listed("Ranges left", ranges) if ranges else Paragraph("No run left the range of the laws it used."),
        section(
            "Taken as usual, not in the file",
            Bullets(tuple(assumptions(one.design, units.name)), keys=True),
            Paragraph(f"Weights from a table of materials: {handbook}." if handbook else ""),
            Paragraph(f"Weights estimated from a size, not weighed: {guessed}." if guessed else ""),
        ),
    )


def _over_builds(one: Dossier, units: Units) -> list[str]:
    """In how many builds of a hundred it floats, and what to measure first."""
    spread = one.spread
    if spread is None:
        return []
    stated = sum(each.given for each in spread.inputs)
    floats = next(each for each in spread.questions if each.name == "budget.verdict")
    known = (
        f"{stated} of the {len(spread.inputs)} inputs drawn as the file tells them, the others as is usual"
    )
    out = [f"{builds.capital(builds.sentence(floats, units))}: of {spread.builds} builds tried, {known}."]
    causes = first_of(spread.causes, units)[:MOST_MEASURES]
    if causes:
        out.append(f"Measure this first. {' '.join(causes)}")
    return [
        *out, "`drytank tolerance` does the same for the cast and every pull; `drytank advise` names the next test.",
    ]  # fmt: skip


def _to_change(one: Dossier, units: Units) -> tuple[Block, ...]:
    """Single values at which the verdict turns, and input to look at again."""
    budget = one.result.budget
    more = (
        '`drytank remedy` looks for the smallest change that does what you want, as in `--want "floats with 2 g to '
        'spare"`; `drytank explain` says what could be behind what you saw at the water.'
    )
    return blocks(
        listed("What would turn the verdict", sentences.turns(budget, units)),
        listed("Look again", sentences.look_again(budget, units)),
        Paragraph(more, "quiet"),
    )


def _sheet(one: Dossier, units: Units) -> Sheet:
    """The shop sheet, which prints on a page of its own at full size."""
    from sim.show.shop import lists, shop_sheet

    paper = "letter" if units is US else "a4"
    floating = one.result.floating
    words = tuple((head, tuple(lines)) for head, lines in lists(one.design, one.lure, floating, units))
    return Sheet(lambda: shop_sheet(one.design, one.lure, floating, paper, units), paper, words)


# ---- two designs, and the replay ----------------------------------------------------------------------


def _beside(one: Dossier, other: Dossier) -> str:
    """What stands beside what, and what makes the two no fair match."""
    words = (
        f"Side by side with {other.design.name} in the replay and in the table of the two; all else on this page is "
        f"about {one.design.name}. Both are pulled as its file says."
    )
    differ = unlike([one.design, other.design])[:MOST_UNLIKE]
    return f"{words} Look again: the files also differ in {', '.join(differ)}." if differ else words


def _comparison(one: Dossier, other: Dossier, units: Units) -> Table:
    """What differs at rest, in the air and on the line."""
    both = (one, other)
    rows = [
        ("Weight", *(units.text("mass", each.result.budget.mass_g) for each in both)),
        ("To spare", *(_spare(each, units) for each in both)),
        ("At rest", *(sentences.rest(each.result.floating, units) for each in both)),
        ("Let go", *(sentences.drop(each.result.drop, units) for each in both)),
        ("Cast", *(sentences.cast(each.result.cast, units) for each in both)),
    ]
    for mine, theirs in zip(one.recordings, other.recordings, strict=True):
        if mine.kind == "pull" and not mine.programme:
            rows.append((label(mine, units), _run(mine, units), _run(theirs, units, mine.tie_on)))
    columns = tuple(Column(head, number=False) for head in ("", one.design.name, other.design.name))
    return Table(columns, tuple(rows), "The two designs", broad=0)


def _run(motion: Recording, units: Units, asked: str = "") -> str:
    run = motion.result
    assert isinstance(run, RetrieveResult)
    depth = pull_sentences.deep(run, units)
    point = f" (tied at {motion.tie_on})" if asked and asked != motion.tie_on else ""
    return f"{trials.does(run)}{depth}{point}"


def label(motion: Recording, units: Units) -> str:
    """What a motion is called where it is chosen."""
    if motion.programme:
        return f"Pulled from {motion.tie_on}, {motion.programme}"
    if motion.kind == "pull":
        return f"Pulled from {motion.tie_on} at {units.text('speed', motion.speed)}"
    return "Let go" if motion.kind == "drop" else "Cast"


def _player(both: Sequence[Dossier], units: Units) -> Player:
    """The motions of all, and what the player needs to say distances and forces as the rest of the page does."""
    motions = both[0].recordings
    scales = {"distance": units.scales["distance"], "short": units.short, "force": units.scales["force"]}
    cut = any(motion.seconds > MOST_SECONDS for motion in motions)
    return Player(
        replay_text(replay([(each.design, each.lure, each.recordings) for each in both])),
        tuple(label(motion, units) for motion in motions),
        tuple(each.design.name for each in both),
        {
            name: {"unit": scale.unit, "factor": scale.factor, "places": scale.places}
            for name, scale in scales.items()
        },
        f"Of longer runs, the first {MOST_SECONDS:g} s are shown." if cut else "",
    )
