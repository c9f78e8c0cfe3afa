"""Many builds at a glance: how many of a hundred do what, and between what the figures lie."""

from __future__ import annotations

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from sim.metrics import Use
from sim.show import builds, values
from sim.show.figures import labels
from sim.show.figures.fills import FILLS, SPARE, fill_of
from sim.show.figures.style import EDGE, INK, LINE, LINES, QUIET, WIDTH, drawn, nothing, panel, sheet
from sim.show.layout import clean
from sim.show.units import METRIC, Units
from sim.studies.monte_carlo.tolerance import FigureSpread, QuestionShares, Share, ToleranceResult
from sim.trials.results import METRICS

TITLE = "What so many builds do"
KNOWN = {str(word) for word in FILLS}
BAR, TOP, ROOM = 0.3, 0.22, 0.18  # in: a bar of shares, its heading over it, and from one to the next
LEADER = 0.14  # in, from a bar to the names under it
HEAD = 0.08  # in, between the heading and the first bar
LINE_ROW = 0.5  # in, of a spread
GAP = 0.2  # in, between the two


@drawn
def spread(result: ToleranceResult, units: Units = METRIC) -> Figure:
    """A bar of a hundred builds for each question; below, figures from their 5th to their 95th percentile."""
    stated = [
        one for one in result.figures if Use.PICTURE in METRICS[one.figure].uses and one.middle is not None
    ]
    if not result.questions and not stated:
        return nothing(TITLE, "Nothing was asked that a word or a number answers.")
    wide = WIDTH - 2 * EDGE
    bars = sum(_tall(one, wide, units) for one in result.questions)
    lines = LINE_ROW * len(stated)
    says = f"{result.builds} builds. Bars: how many of 100 do what." + (
        " Lines: nine builds of ten lie between the ends; stroke: the middle; dot: the design as written."
        if stated
        else ""
    )
    figure = sheet(HEAD + bars + GAP + lines + EDGE, TITLE, says)
    figure.set_label(f"{TITLE}: " + "; ".join(builds.sentence(one, units) for one in result.questions) + ".")
    if result.questions:
        axes = _board(panel(figure, EDGE, EDGE + lines + GAP, wide, bars), wide, bars)
        top = bars
        for one in result.questions:
            _shares(axes, one, top, wide, units)
            top -= _tall(one, wide, units)
    if stated:
        axes = _board(panel(figure, EDGE, EDGE, wide, lines), wide, lines)
        for k, line in enumerate(stated):
            _spread(axes, line, lines - k * LINE_ROW, wide, units)
    return figure


def _board(axes: Axes, wide: float, tall: float) -> Axes:
    """Data units are inches."""
    axes.set_axis_off()
    axes.set_xlim(0.0, wide)
    axes.set_ylim(0.0, tall)
    return axes


def _tall(one: QuestionShares, wide: float, units: Units) -> float:
    """Height of a bar with its heading and the names under it, in."""
    outside = [_named(share) for share in one.answers if not _fits(_named(share), share, wide)]
    names = LEADER + labels.ROW * labels.rows_for(outside, wide) if outside else 0.0
    return TOP + LINE * (len(_head(one, wide, units)) - 1) + BAR + names + ROOM


def _named(share: Share) -> str:
    return f"{values.headline(share.answer)} {builds.of_100(share.share)}"


def _fits(text: str, share: Share, wide: float) -> bool:
    return labels.width_in(text) + 0.12 < share.share * wide


def _shares(axes: Axes, one: QuestionShares, top: float, wide: float, units: Units) -> None:
    """A head, and a bar cut by the answers; each named inside, or under it where it is too narrow."""
    head = _head(one, wide, units)
    for k, line in enumerate(head):
        axes.text(0.0, top - 0.02 - LINE * k, line, weight="bold", va="top")
    foot, left = top - TOP - LINE * (len(head) - 1) - BAR, 0.0
    outside = []
    for k, share in enumerate(one.answers):
        width = share.share * wide
        fill = fill_of(share.answer) if share.answer in KNOWN else SPARE[k % len(SPARE)]
        axes.add_patch(
            Rectangle((left, foot), width, BAR, facecolor=fill.colour, hatch=fill.hatch, edgecolor=INK,
                      linewidth=0.8, zorder=3)
        )  # fmt: skip
        middle, text = left + 0.5 * width, _named(share)
        if _fits(text, share, wide):
            axes.text(
                middle, foot + 0.5 * BAR, text, ha="center", va="center", zorder=5,
                bbox={"facecolor": fill.colour, "edgecolor": "none", "pad": 1.2},
            )  # fmt: skip
        else:
            outside.append(labels.Named(middle, foot, text))
        left += width
    labels.row(axes, outside, foot - LEADER, 0.0, wide, 1.0, above=False)


def _head(one: QuestionShares, wide: float, units: Units) -> list[str]:
    if one.own:
        return labels.lines_of(clean(one.name), 0.87 * wide)  # bold letters are wider
    if one.tie_on is not None and one.speed_m_s is not None:
        return [f"Tied at {labels.short(one.tie_on)}, {units.text('speed', one.speed_m_s, 2)}"]
    known = {"budget.verdict": "In water", "cast.lands": "Cast", "drop.motion": "Let go"}
    return [known.get(one.name, one.name)]


def _spread(axes: Axes, one: FigureSpread, top: float, wide: float, units: Units) -> None:
    """One figure on its own scale: numbers at the ends, a stroke in the middle, a dot as written."""
    low, middle, high = (
        values.scaled(one.figure, v, units) for v in (one.low or 0.0, one.middle or 0.0, one.high or 0.0)
    )
    name = METRICS[one.figure].heading
    if one.tie_on is not None and one.speed_m_s is not None:
        name += f", {labels.short(one.tie_on)} {units.text('speed', one.speed_m_s, 2)}"
    axes.text(0.0, top - 0.02, f"{name} ({values.unit(one.figure, units)})", va="top")
    ends = [values.number(one.figure, value, units) for value in (one.low, one.high)]
    left, right = 0.75, wide - 0.75
    at = top - 0.33
    axes.text(left - 0.1, at, ends[0], ha="right", va="center", color=INK)
    axes.text(right + 0.1, at, ends[1], ha="left", va="center", color=INK)
    span = max(high - low, 1e-12)
    axes.plot([left, right], [at, at], color=LINES[0].colour, linewidth=3.0, solid_capstyle="butt")
    place = left + (middle - low) / span * (right - left)
    axes.plot([place, place], [at - 0.08, at + 0.08], color=LINES[0].colour, linewidth=1.8)
    if one.nominal is not None:
        written = left + (values.scaled(one.figure, one.nominal, units) - low) / span * (right - left)
        inside = min(max(written, left - 0.06), right + 0.06)  # outside nine of ten: at the very end
        axes.plot(
            [inside], [at], marker="o", markersize=6, color=LINES[1].colour, markeredgecolor=QUIET, zorder=5
        )
