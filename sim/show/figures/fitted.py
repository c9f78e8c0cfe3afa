"""Predicted against measured, reading by reading: how far off the model was, and is, in deviations of each."""

from __future__ import annotations

import math
from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from sim.show import readings
from sim.show.figures import labels
from sim.show.figures.style import EDGE, GRID, INK, LINES, PAPER, QUIET, WIDTH, drawn, nothing, panel, sheet
from sim.show.units import METRIC, Units
from sim.studies.calibration.fitted import CalibrationResult, Residual

NAMES = 1.4  # in: at most for the names
FOOT, GAP = 0.62, 0.12  # in: under all, and between names, rows and numbers
FAR = 6.0  # deviations; what is farther off stands at the edge, with its number
BAND = 2.0
LEAST_ROW, NAME_LINE = 0.34, 0.15  # in: for a reading with a name of one line, and more for each line more


@drawn
def predicted_against_measured(result: CalibrationResult, units: Units = METRIC) -> Figure:
    """A row for each reading: hollow as the model came, filled as the file then says, a stroke as fitted."""
    title = "Predicted against measured"
    shown = result.tests
    if all(one.left_out for one in shown):
        return nothing(title, "No reading could be used.")
    left, right = (_room([line for one in shown for line in _far(one, side)]) for side in (-1, 1))
    says = (
        "How far the model is from each test, in the +- of the reading: hollow as it came, filled with what goes "
        "into the file, stroke with the bench turned along as well. The grey band is two deviations."
    )
    if any(_far(one, side) for one in shown for side in (-1, 1)):
        says += f" Farther off than {FAR:.0f}: at the edge, with its number."
    several = len(result.lures) > 1
    names = [_name(one, several, units) for one in shown]
    row = LEAST_ROW + NAME_LINE * (max(map(len, names)) - 1)
    tall = row * len(shown) + 0.1
    figure = sheet(tall + FOOT, title, says)
    figure.set_label(f"{title}: {_in_words(shown)}.")
    named = EDGE + max(labels.width_in(line) for lines in names for line in lines)
    start = named + GAP + left
    axes = panel(figure, start, FOOT, WIDTH - EDGE - start - right, tall)
    _scale(axes, len(shown), 0.1 / row)
    for k, (one, lines) in enumerate(zip(shown, names, strict=True)):
        y = len(shown) - 1 - k
        figure.text(
            named / WIDTH, (FOOT + (y + 0.5) * row + 0.1) / figure.get_figheight(),
            "\n".join(lines), va="center", ha="right", linespacing=1.05,
        )  # fmt: skip
        _reading(axes, one, y)
    return figure


def _room(numbers: Sequence[str]) -> float:
    """Width of a margin for these, in."""
    return max((labels.width_in(one) for one in numbers), default=0.0) + GAP


def _scale(axes: Axes, rows: int, under: float) -> None:
    axes.set_xlim(-FAR - 0.7, FAR + 0.7)
    axes.set_ylim(-0.5 - under, rows - 0.5)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    axes.set_xticks([-6, -2, 0, 2, 6])
    axes.set_xlabel("Predicted less measured, in its +-")
    axes.axvspan(-BAND, BAND, color=GRID, alpha=0.6, zorder=0)
    axes.axvline(0.0, color=INK, linewidth=1.0, zorder=1)


def _reading(axes: Axes, one: Residual, y: float) -> None:
    """Its marks, or a word where it was left out."""
    if one.left_out:
        axes.text(
            0.0,
            y,
            "left out",
            ha="center",
            va="center",
            bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 2},
        )
        return
    before, after = _kept(one.off_before), _kept(one.off_after)
    axes.plot([before, after], [y, y], color=QUIET, linewidth=1.0, zorder=2)
    axes.plot([before], [y], "o", markersize=7, markerfacecolor=PAPER, markeredgecolor=INK, zorder=3)
    axes.plot([after], [y], "o", markersize=7, color=INK, zorder=4)
    fitted = _kept(one.off_fitted)
    axes.plot([fitted], [y], "|", markersize=15, markeredgewidth=2.0, color=LINES[1].colour, zorder=3.5)
    for side in (-1, 1):
        if stated := _far(one, side):
            axes.text(
                side * (FAR + 0.8),
                y,
                "\n".join(stated),
                va="center",
                ha="left" if side > 0 else "right",
                linespacing=1.05,
            )


def _far(one: Residual, side: int) -> list[str]:
    """Numbers of what is farther off on one side than the scale goes, a line each."""
    if one.left_out:
        return []
    before, after = (_number(off) if side * off > FAR else "" for off in (one.off_before, one.off_after))
    return [*filter(None, [before, after and f"now {after}"])]


def _number(off: float) -> str:
    return f"{off:+.0f}" if math.isfinite(off) else "?"


def _kept(off: float) -> float:
    return max(-FAR, min(FAR, off))


def _name(one: Residual, several: bool, units: Units) -> list[str]:
    lure = chr(ord("A") + one.lure) if several else ""
    pull = readings.where(one.pull, one.speed_m_s, units)
    first = labels.lines_of(f"{lure}{one.test}: {one.word or readings.named(one.figure)}", NAMES)
    return [*first, *labels.lines_of(pull, NAMES)] if pull else first


def _in_words(shown: Sequence[Residual]) -> str:
    return "; ".join(
        f"test {one.test}, {one.word or readings.named(one.figure)}, "
        + (
            "left out"
            if one.left_out
            else f"{one.off_before:+.1f} then {one.off_after:+.1f}, fitted {one.off_fitted:+.1f}"
        )
        for one in shown
    )
