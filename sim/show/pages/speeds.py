"""Speed windows as text: a bar for each tie-on point, and the same in sentences."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sim.show.builds import in_a_few
from sim.show.document import (
    Block,
    Brief,
    Bullets,
    Column,
    Document,
    Paragraph,
    Picture,
    Roomy,
    Table,
    Verbatim,
    blocks,
    given,
    section,
)
from sim.show.layout import WIDTH, clean
from sim.show.units import NO_BREAK, Units
from sim.studies.monte_carlo.tolerance import QuestionShares
from sim.studies.windows import Edge, TieOnWindows, Window, WindowsResult
from sim.trials.results import Behaviour

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_LABEL = 12  # columns for the name of a tie-on point
_MARKS = {
    Behaviour.WAKES: "w", Behaviour.RUNS: "r", Behaviour.DIVES: "D", Behaviour.HOPS: "h", Behaviour.SKIPS: "s",
    Behaviour.ROLLS_OVER: "O", Behaviour.SPINS: "S", Behaviour.SPIRALS: "P", Behaviour.TUMBLES: "T",
    Behaviour.OFF_SIDE: "/", Behaviour.BOTTOM: "_", Behaviour.UNKNOWN: "?",
}  # fmt: skip


def chance(few: Sequence[QuestionShares], units: Units) -> Paragraph:
    """Pulls of which a few builds give several answers, with the share of each; empty if there are none."""
    found = [in_a_few(one, units) for one in few if len(one.answers) > 1]
    return Paragraph(f"Chance decides {'; '.join(found)}." if found else "")


def speeds(
    name: str,
    result: WindowsResult,
    units: Units,
    asked: Sequence[tuple[str, str]] = (),
    few: Sequence[QuestionShares] = (),
) -> Document:
    """Bars first, then a sentence for each tie-on point, then what depends on where it comes from.

    few: shares of a few builds for speeds of the design at which one build decides nothing.
    """
    spoken = [sentence(point, units) for point in result.tie_ons]
    back = [line for point in result.tie_ons for line in slowing(point, units)]
    return Document(
        name,
        blocks(
            Brief(bars(result, units)),
            Brief(blocks(Bullets(tuple(spoken)))),
            Roomy(tuple(Paragraph(one, "head") for one in spoken)),
            chance(few, units),
            section("The picture", picture(result, units), Paragraph(known(result), "quiet"), key="picture", bare=True),
            section("The windows", Roomy((_table(result, units),)), key="table"),
            section("Slowing down", Bullets(tuple(back)), bare=True, key="slowing"),
            given(asked),
        ),
        asks="speed windows",
    )  # fmt: skip


def picture(result: WindowsResult, units: Units) -> Picture:
    """The bars, drawn."""

    def draw() -> Figure:
        from sim.show.figures.windows import bars, speed_windows

        return speed_windows(bars(result), units)

    return Picture(draw, "speeds")


def _table(result: WindowsResult, units: Units) -> Table:
    unit = units.unit("speed")
    columns = (
        Column("Tie-on", number=False), Column("From", unit), Column("To", unit), Column("It", number=False),
        Column("Retrieves"),
    )  # fmt: skip
    rows = tuple(
        (
            each.tie_on, units.number("speed", window.low_m_s), units.number("speed", window.high_m_s),
            words(window, units), str(window.runs),
        )
        for each in result.tie_ons
        for window in each.windows
    )  # fmt: skip
    return Table(columns, rows, "What it does at which speed", broad=3)


def known(result: WindowsResult) -> str:
    """How sharp the edges are and what may have been missed, in a sentence or two."""
    runs = sum(point.runs + point.back_runs for point in result.tie_ons)
    edges = [edge.give_or_take_m_s / edge.speed_m_s for point in result.tie_ons for edge in point.edges]
    share = max([result.share, *edges])  # more where the limit on the runs came first
    return (
        f"Edges are halved down to {100 * share:.2g}{NO_BREAK}%; it took {runs} retrieves. A window narrower "
        "than the first steps may have been missed, and where a lure is thrown about chance moves an edge."
    )


def bars(result: WindowsResult, units: Units) -> tuple[Block, ...]:
    """One bar a tie-on point, speed from left to right, and the key."""
    wide = WIDTH - _LABEL
    rows = []
    for point in result.tie_ons:
        speeds = [_speed_at(result, (k + 0.5) / wide) for k in range(wide)]
        marks = "".join(_MARKS.get(_at(point.windows, speed).behaviour, "-") for speed in speeds)
        rows.append(f"{clean(point.tie_on)[: _LABEL - 1]:{_LABEL}}{marks}")
    ends = [units.number("speed", s) for s in (result.low_m_s, _speed_at(result, 0.5), result.high_m_s)]
    last = f"{ends[2]} {units.unit('speed')}"
    axis = f"{ends[0]}{ends[1]:^{2 * (wide // 2 - len(ends[0]))}}"[: wide - len(last)]
    seen = [b for b in Behaviour if any(w.behaviour is b for p in result.tie_ons for w in p.windows)]
    key = ", ".join(f"{_MARKS.get(b, '-')} {b.value}" for b in seen)
    lines = [*rows, f"{'':{_LABEL}}{axis:{wide - len(last)}}{last}"]
    return Verbatim("\n".join(lines)), Paragraph(key)


def _speed_at(result: WindowsResult, part: float) -> float:
    return result.low_m_s + part * (result.high_m_s - result.low_m_s)


def _at(windows: list[Window], speed: float) -> Window:
    return next((window for window in windows if speed <= window.high_m_s), windows[-1])


def sentence(point: TieOnWindows, units: Units) -> str:
    """The windows of one tie-on point in a sentence."""
    does = []
    for window in point.windows:
        low, high = units.number("speed", window.low_m_s), units.number("speed", window.high_m_s)
        does.append(f"{words(window, units)} from {low} to {high}")
    return f"Tied at {point.tie_on}, it {'; '.join(does)} {units.unit('speed')}."


def words(window: Window, units: Units) -> str:
    """What it does in one window, without a subject."""
    if window.behaviour is Behaviour.UNKNOWN:
        return "could not be followed"
    stated = window.behaviour.value
    if window.behaviour is Behaviour.DIVES and window.depth_low_m is not None:
        low, high = units.depths(window.depth_low_m, window.depth_high_m or 0.0)
        stated += f" to {low}" if low == high else f" to between {low} and {high}"
    extra = [b.value for b in (Behaviour.WOBBLES, Behaviour.ROCKS) if b in window.also]
    spoilt = (Behaviour.ROLLS_OVER, Behaviour.TUMBLES, Behaviour.SPINS)
    if Behaviour.DRAGS in window.also and window.behaviour not in spoilt:
        extra = ["no action"]
    return f"{stated} ({', '.join(extra)})" if extra else stated


def slowing(point: TieOnWindows, units: Units) -> list[str]:
    """What goes on when the lure is slowed down again, a sentence for each such edge."""
    return [_back(point.tie_on, edge, units) for edge in point.edges if edge.stays]


def _back(name: str, edge: Edge, units: Units) -> str:
    up = units.text("speed", edge.speed_m_s)
    if edge.slowing_m_s is None:
        till = "however far it is slowed down within one retrieve"
    else:
        till = f"until it is slowed down to {units.text('speed', edge.slowing_m_s)}"
    return f"Tied at {name}: what begins at {up} speeding up does not end there slowing down, but goes on {till}."
