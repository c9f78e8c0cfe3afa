"""The pages that the commands write: functions from results to text. The verdict comes first."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from sim.show import sentences
from sim.show.layout import Column, Look, bullets, clean, page, paragraph, section, table
from sim.show.units import in_units
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

PLAIN = Look()
_LABEL = 9  # columns of the margin in which "At rest" and its like hang


def budget(name: str, result: BudgetResult, look: Look = PLAIN) -> str:
    """Weights and volumes, part by part."""
    return page(
        _title(name, look),
        _verdict(result, look),
        paragraph(in_units(result.settled_by or "", look.units)),
        paragraph(f"{sentences.weights(result, look.units)} {sentences.balance(result, look.units)}"),
        _parts(result, look),
        _notes(result, look),
        section(look, "What would turn the verdict", sentences.turns(result, look.units)),
        section(look, "Look again", result.warnings),
    )


def floating(name: str, result: FloatResult, look: Look = PLAIN, drawing: str = "") -> str:
    """How it sits at rest, with a drawing if one is handed in."""
    return page(
        _title(name, look),
        _answer(sentences.rest(result, look.units), look),
        drawing,
        paragraph(result.tub or ""),
        paragraph(sentences.righting(result, look.units)),
        paragraph(" ".join(result.other_rests)),
    )


def drop(name: str, result: DropResult, look: Look = PLAIN) -> str:
    """What it does when it is let go, with a table to count down by."""
    return page(
        _title(name, look),
        _answer(sentences.drop(result, look.units), look),
        paragraph(sentences.timing(result)),
        _countdown(result, look),
    )


def cast(name: str, result: CastResult, look: Look = PLAIN) -> str:
    """How far it flies and how it lands."""
    return page(_title(name, look), _answer(sentences.cast(result, look.units), look))


def retrieve(
    name: str, results: Sequence[RetrieveResult], look: Look = PLAIN, seconds: float | None = None
) -> str:
    """What it does when it is pulled, for each tie-on point and speed; `seconds` is how long a steady pull lasts."""
    return page(
        _title(name, look),
        bullets(sentences.pulled(results, look.units)),
        _runs(results, look),
        _way(results, look, seconds),
        _why(results, look),
    )


def trial(result: TrialResult, look: Look = PLAIN, luck: str = "") -> str:
    """One screen: verdict, sentences, one table, cautions; `luck` is what hangs on it (`builds.luck`)."""
    units = look.units
    labelled = [
        ("Weight", sentences.weights(result.budget, units)),
        ("At rest", sentences.rest(result.floating, units)),
        ("Let go", sentences.drop(result.drop, units)),
        ("Cast", sentences.cast(result.cast, units)),
    ]
    pulled = sentences.pulled(result.retrieve, units)
    labelled += [("Pulled" if k == 0 else "", sentence) for k, sentence in enumerate(pulled)]
    labelled.append(("How sure", sentences.sure(result)))
    labelled += [("Luck", luck)] if luck else []
    return page(
        _title(result.design, look),
        _verdict(result.budget, look),
        paragraph(in_units(result.budget.settled_by or "", units)),
        "\n".join(paragraph(text, label, _LABEL) for label, text in labelled),
        _runs(result.retrieve, look),
        section(look, "What would turn the verdict", sentences.turns(result.budget, units)[:3]),
        section(look, "Look again", [*result.budget.warnings, *sentences.outside(result)]),
        section(look, "Take care", result.cautions),
    )


def _title(name: str, look: Look) -> str:
    return look.paint(paragraph(clean(name)), "head")


def _answer(text: str, look: Look) -> str:
    return look.paint(paragraph(text), "head")


def _verdict(result: BudgetResult, look: Look) -> str:
    style = "bad" if result.verdict is Verdict.SINKS else "good"
    return look.paint(paragraph(sentences.verdict(result, look.units)), style)


def _parts(result: BudgetResult, look: Look) -> str:
    units = look.units
    mass, volume, size = units.unit("mass"), units.unit("volume"), units.unit("size")
    columns = [
        Column("Part", number=False, widest=28),
        Column(f"Weight\n{mass}"),
        Column(f"Displaces\n{volume}"),
        Column(f"Back\n{size}"),
        Column(f"Up\n{size}"),
        Column(f"Left\n{size}"),
        Column("From", number=False),
    ]
    lines = [
        (p.name, p.mass_g, p.displaced_ml, p.back_mm, p.up_mm, p.left_mm, p.source) for p in result.parts
    ]
    lines.append((
        "Whole lure", result.mass_g, result.displaced_ml,
        result.gravity_back_mm, result.gravity_up_mm, result.gravity_left_mm, "",
    ))  # fmt: skip
    rows = [
        [
            name,
            units.number("mass", grams),
            units.number("volume", millilitres),
            *(units.number("size", place) for place in (back, up, left)),
            source,
        ]
        for name, grams, millilitres, back, up, left, source in lines
    ]
    return table(look, columns, rows, totals=1)


def _notes(result: BudgetResult, look: Look) -> str:
    return section(look, "Notes", [f"{part.name}: {part.note}" for part in result.parts if part.note])


def _countdown(result: DropResult, look: Look, most: int = 10) -> str:
    """Seconds against depth, side by side, thinned to what fits a line."""
    step = -(-len(result.countdown) // most)
    points = result.countdown[step - 1 :: step] if step else []
    if not points:
        return ""
    columns = [Column("Count", number=False), *(Column(f"{seconds:g} s") for seconds, _ in points)]
    depths = [look.units.number("distance", depth) for _, depth in points]
    return table(look, columns, [[f"Depth {look.units.unit('distance')}", *depths]])


def _runs(results: Sequence[RetrieveResult], look: Look) -> str:
    units = look.units
    leaning = any(abs(run.roll_deg or 0.0) > sentences.LEANS for run in results)
    columns = [
        Column("Tie-on", number=False, widest=10),
        Column(f"Speed\n{units.unit('speed')}"),
        Column("It", number=False, widest=16 if leaning else 21),
        Column(f"Depth\n{units.unit('distance')}"),
        Column("Nose\ndeg"),
        *([Column("Lean\ndeg")] if leaning else []),
        Column("Roll\ndeg"),
        Column("Yaw\ndeg"),
        Column("Wobble\n/s"),
        Column(f"Pull\n{units.unit('force')}"),
    ]
    rows = []
    for k, run in enumerate(results):
        again = k > 0 and results[k - 1].tie_on == run.tie_on
        rows.append(
            [
                "" if again else run.tie_on,
                units.number("speed", run.speed_m_s) if run.programme is None else clean(run.programme),
                _does(run),
                units.number("distance", run.depth_m),
                _whole(run.pitch_deg, sign=True),
                *([_whole(run.roll_deg, sign=True)] if leaning else []),
                _swing(run.roll_amplitude_deg),
                _swing(run.yaw_amplitude_deg),
                "-" if run.wobble_hz is None else f"{run.wobble_hz:.1f}",
                units.number("force", run.tension_n),
            ]
        )
    key = f"Nose + up; {'lean + right side down; ' if leaning else ''}roll, yaw either way; pull at the lure."
    return f"{table(look, columns, rows)}\n{look.paint(key, 'quiet')}"


def _why(results: Sequence[RetrieveResult], look: Look) -> str:
    told = sentences.causes(results, look.units)
    return f"{section(look, 'Why', told)}\n{look.paint(paragraph(sentences.SHARES), 'quiet')}" if told else ""


def _way(results: Sequence[RetrieveResult], look: Look, seconds: float | None, most: int = 8) -> str:
    """Depth against the distance still to go, for every run."""
    units = look.units
    per = units.scales["distance"].factor
    far = max((place[0] for run in results for place in run.depths_m[:1]), default=0.0) * per
    step = next((s for s in (1, 2, 5, 10, 20, 50) if far / s <= most), 100)
    marks = [step * k for k in range(int(far / step), 0, -1)]
    rows = []
    for k, run in enumerate(results):
        if len(run.depths_m) > 1:
            depths = [_depth_at(run, mark / per) for mark in marks]
            again = k > 0 and results[k - 1].tie_on == run.tie_on
            pace = units.number("speed", run.speed_m_s) if run.programme is None else clean(run.programme)
            point = "" if again else run.tie_on
            rows.append([point, pace, *(units.number("distance", depth) for depth in depths)])
    if not rows:
        return ""
    far_off = [Column(f"{mark} {units.unit('distance')}") for mark in marks]
    columns = [Column("Tie-on", number=False), Column(units.unit("speed")), *far_off]
    head = f"Depth ({units.unit('distance')}) with so far to go"
    ends = "-: not reached before the pull ends."
    if seconds is not None and any(run.programme is None for run in results):
        ends = f"-: not reached. A pull is followed for {seconds:g} s (`duration` in [retrieve])."
    return f"{look.paint(head, 'head')}\n{table(look, columns, rows)}\n{look.paint(ends, 'quiet')}"


def _depth_at(run: RetrieveResult, distance: float) -> float | None:
    """Depth where it was last so far away, between the places that are told; None where it has not been."""
    for (far, deep), (near, shallow) in reversed(list(pairwise(run.depths_m))):
        if near <= distance <= far and far > near:
            return deep + (shallow - deep) * (far - distance) / (far - near)
    return None


def _does(run: RetrieveResult, most: int = 2) -> str:
    """Headline and the first of what else holds, in as few words as go into a table."""
    also = ("no action" if b is Behaviour.DRAGS else b.value for b in run.also[:most])
    return ", ".join((run.behaviour.value.split(":")[0], *also))


def _whole(angle: float | None, sign: bool = False) -> str:
    if angle is None:
        return "-"
    whole = round(angle)
    return f"{whole:+d}" if sign and whole else str(whole)


def _swing(angle: float | None) -> str:
    """Either way from the middle; a lure that swings past half a turn goes round."""
    return "round" if angle is not None and angle > 180.0 else _whole(angle)
