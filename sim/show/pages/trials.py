"""The pages of one design: what it weighs, how it sits, what it does when let go, cast and pulled."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from sim.show import care, pull_sentences, remarks, sentences
from sim.show.document import (
    Block,
    Brief,
    Bullets,
    Column,
    Document,
    Labelled,
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
from sim.show.units import Units
from sim.trials.results import (
    Behaviour,
    BudgetResult,
    CastResult,
    DropResult,
    FloatResult,
    RetrieveResult,
    TrialResult,
    Verdict,
)

MOST_COUNTS = 10  # seconds of a count-down that fit a line
MOST_ALSO = 2  # behaviours after the headline that go into a table on a terminal
MOST_MARKS = 8  # distances along a retrieve
MOST_TURNS = 3  # values that turn the verdict, where all is on one screen


def budget(name: str, result: BudgetResult, units: Units) -> Document:
    """Weights and volumes, part by part."""
    return Document(
        name,
        blocks(
            verdict(result, units),
            Paragraph(sentences.settling(result, units)),
            Paragraph(f"{sentences.weights(result, units)} {sentences.balance(result, units)}"),
            section("Weights", parts(result, units), bare=True),
            listed("Notes", notes(result, units)),
            listed("What would turn the verdict", sentences.turns(result, units)),
            listed("Look again", sentences.look_again(result, units)),
        ),
    )


def floating(name: str, result: FloatResult, units: Units, drawing: str = "") -> Document:
    """How it sits at rest, with a drawing if one is handed in."""
    return Document(
        name,
        blocks(
            Paragraph(sentences.rest(result, units), "head"),
            Verbatim(drawing, "Side view"),
            Paragraph(sentences.in_the_tub(result.tub) if result.tub else ""),
            Paragraph(sentences.righting(result, units)),
            Paragraph(sentences.other_rests(result)),
        ),
    )


def drop(name: str, result: DropResult, units: Units) -> Document:
    """What it does when it is let go, with a table to count down by."""
    return Document(
        name,
        blocks(
            Paragraph(sentences.drop(result, units), "head"),
            Paragraph(sentences.timing(result)),
            countdown(result, units),
        ),
    )


def cast(name: str, result: CastResult, units: Units) -> Document:
    """How far it flies and how it lands."""
    return Document(name, (Paragraph(sentences.cast(result, units), "head"),))


def retrieve(
    name: str, results: Sequence[RetrieveResult], units: Units, seconds: float | None = None
) -> Document:
    """What it does when it is pulled, for each tie-on point and speed; `seconds` is how long a steady pull lasts."""
    why = pull_sentences.causes(results, units)
    return Document(
        name,
        blocks(
            Bullets(tuple(pull_sentences.pulled(results, units))),
            section("Pulls", runs(results, units), bare=True),
            way(results, units, seconds),
            section("Why", Bullets(tuple(why), note=pull_sentences.SHARES) if why else None),
        ),
    )


def trial(result: TrialResult, units: Units, luck: str = "") -> Document:
    """One screen: verdict, sentences, one table, cautions; `luck` is what hangs on it (`builds.luck`)."""
    pulled = pull_sentences.pulled(result.retrieve, units)
    rows = [
        ("Weight", sentences.weights(result.budget, units)),
        ("At rest", sentences.rest(result.floating, units)),
        ("Let go", sentences.drop(result.drop, units)),
        ("Cast", sentences.cast(result.cast, units)),
        *(("" if k else "Pulled", sentence) for k, sentence in enumerate(pulled)),
        ("How sure", sentences.sure(result)),
        *([("Luck", luck)] if luck else []),
    ]
    return Document(
        result.design,
        blocks(
            verdict(result.budget, units),
            Paragraph(sentences.settling(result.budget, units)),
            Paragraph(sentences.AS_IF if result.budget.conflicts else ""),
            Labelled(tuple(rows)),
            section("Pulls", runs(result.retrieve, units), bare=True),
            listed("What would turn the verdict", sentences.turns(result.budget, units)[:MOST_TURNS]),
            listed("Look again", [*sentences.look_again(result.budget, units), *sentences.outside(result)]),
            listed("Take care", care.sentences(result.cautions)),
        ),
    )


# ---- pieces, which the report uses too ----------------------------------------------------------------


def verdict(result: BudgetResult, units: Units) -> Paragraph:
    """The first sentence of all."""
    good = result.verdict in (Verdict.FLOATS, Verdict.SUSPENDS)
    return Paragraph(sentences.verdict(result, units), "good" if good else "bad")


def parts(result: BudgetResult, units: Units) -> Table:
    """Weight, volume and place of every part."""
    mass, volume, size = units.unit("mass"), units.unit("volume"), units.unit("size")
    columns = (
        Column("Part", number=False, widest=28),
        Column("Weight", mass),
        Column("Displaces", volume),
        *(Column(way, size) for way in ("Back", "Up", "Left")),
        Column("From", number=False),
    )
    lines = [
        (p.name, p.mass_g, p.displaced_ml, p.back_mm, p.up_mm, p.left_mm, p.source) for p in result.parts
    ]
    middle = (result.gravity_back_mm, result.gravity_up_mm, result.gravity_left_mm)
    lines.append(("Whole lure", result.mass_g, result.displaced_ml, *middle, ""))
    rows = [
        (
            name,
            units.number("mass", grams),
            units.number("volume", millilitres),
            *(units.number("size", place) for place in places),
            source,
        )
        for name, grams, millilitres, *places, source in lines
    ]
    return Table(columns, tuple(rows), "Weight and volume, part by part", totals=1, broad=0)


def notes(result: BudgetResult, units: Units) -> list[str]:
    """What was measured against what was computed."""
    named: dict[str, list[str]] = {}
    for part in result.parts:
        if part.note:
            named.setdefault(remarks.note(part.note, units), []).append(part.name)
    return [f"{', '.join(names)}: {note}" for note, names in named.items()]


def countdown(result: DropResult, units: Units) -> tuple[Block, ...]:
    """Seconds against depth: all of them, or side by side and thinned to what fits a line."""
    if not result.countdown:
        return ()
    unit = units.unit("distance")
    every = tuple((f"{seconds:g}", units.number("distance", depth)) for seconds, depth in result.countdown)
    step = -(-len(every) // MOST_COUNTS)
    few = every[step - 1 :: step]
    heads = (Column("Count", number=False), *(Column(f"{seconds} s") for seconds, _ in few))
    return (
        Brief((Table(heads, ((f"Depth {unit}", *(depth for _, depth in few)),)),)),
        Roomy((Table((Column("Seconds"), Column("Depth", unit)), every, "Count-down: depth after so many seconds"),)),
    )  # fmt: skip


def runs(results: Sequence[RetrieveResult], units: Units, most: int | None = MOST_ALSO) -> Table:
    """Every pull as a row; the headline with so many of the behaviours beside it."""
    leaning = any(abs(run.roll_deg or 0.0) > pull_sentences.LEANS for run in results)
    columns = (
        Column("Tie-on", number=False, widest=10, once=True),
        Column("Speed", units.unit("speed")),
        Column("It", number=False, widest=16 if leaning else 21),
        Column("Depth", units.unit("distance")),
        Column("Nose", "deg"),
        *([Column("Lean", "deg")] if leaning else []),
        Column("Roll", "deg"),
        Column("Yaw", "deg"),
        Column("Wobble", "/s"),
        Column("Pull", units.unit("force")),
    )
    rows = [
        (
            run.tie_on,
            pace(run, units),
            does(run, most),
            units.number("distance", run.depth_m),
            _whole(run.pitch_deg, sign=True),
            *([_whole(run.roll_deg, sign=True)] if leaning else []),
            _swing(run.roll_amplitude_deg),
            _swing(run.yaw_amplitude_deg),
            "-" if run.wobble_hz is None else f"{run.wobble_hz:.1f}",
            units.number("force", run.tension_n),
        )
        for run in results
    ]
    key = f"Nose + up; {'lean + right side down; ' if leaning else ''}roll, yaw either way; pull at the lure."
    return Table(columns, tuple(rows), "What each tie-on point does at each speed", broad=2, note=key)


def pace(run: RetrieveResult, units: Units) -> str:
    """Its speed, or what is done with it."""
    return units.number("speed", run.speed_m_s) if run.programme is None else clean(run.programme)


def way(results: Sequence[RetrieveResult], units: Units, seconds: float | None) -> Section | None:
    """Depth against the distance still to go, for every run."""
    per = units.scales["distance"].factor
    unit = units.unit("distance")
    far = max((place[0] for run in results for place in run.depths_m[:1]), default=0.0) * per
    step = next((s for s in (1, 2, 5, 10, 20, 50) if far / s <= MOST_MARKS), 100)
    marks = [step * k for k in range(int(far / step), 0, -1)]
    rows = [
        (
            run.tie_on,
            pace(run, units),
            *(units.number("distance", _depth_at(run, mark / per)) for mark in marks),
        )
        for run in results
        if len(run.depths_m) > 1
    ]
    if not rows:
        return None
    columns = (
        Column("Tie-on", number=False, once=True),
        Column(units.unit("speed")),
        *(Column(f"{mark} {unit}") for mark in marks),
    )
    ends = "-: not reached before the pull ends."
    if seconds is not None and any(run.programme is None for run in results):
        ends = f"-: not reached. A pull is followed for {seconds:g} s (`duration` in [retrieve])."
    return section(f"Depth ({unit}) with so far to go", Table(columns, tuple(rows), note=ends, broad=0))


def _depth_at(run: RetrieveResult, distance: float) -> float | None:
    """Depth where it was last so far away, between the places that are known; None where it has not been."""
    for (far, deep), (near, shallow) in reversed(list(pairwise(run.depths_m))):
        if near <= distance <= far and far > near:
            return deep + (shallow - deep) * (far - distance) / (far - near)
    return None


def does(run: RetrieveResult, most: int | None = None) -> str:
    """Headline and what else holds, in as few words as go into a table."""
    also = ("no action" if b is Behaviour.DRAGS else b.value for b in run.also[:most])
    return ", ".join((pull_sentences.word(run.behaviour), *also))


def _whole(angle: float | None, sign: bool = False) -> str:
    if angle is None:
        return "-"
    whole = round(angle)
    return f"{whole:+d}" if sign and whole else str(whole)


def _swing(angle: float | None) -> str:
    """Either way from the middle; a lure that swings past half a turn goes round."""
    return "round" if angle is not None and angle > 180.0 else _whole(angle)
