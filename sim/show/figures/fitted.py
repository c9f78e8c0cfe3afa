"""Predicted against measured, reading by reading: how far off the model was, and is, in deviations of each."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.figure import Figure

from sim.show import readings
from sim.show.figures import labels
from sim.show.figures.style import EDGE, GRID, INK, PAPER, QUIET, WIDTH, drawn, nothing, panel, sheet
from sim.show.units import METRIC, Units
from sim.studies.lessons.fitted import CalibrationResult, Held

ROW, FOOT, NAMES = 0.42, 0.62, 1.75  # in
FAR = 6.0  # deviations; what is farther off stands at the edge, with its number
BAND = 2.0


@drawn
def predicted_against_measured(result: CalibrationResult, units: Units = METRIC) -> Figure:
    """A row for each reading: hollow as the model came, filled as fitted, nought where they agree."""
    title = "Predicted against measured"
    shown = [one for one in result.tests if not one.left_out]
    if not shown:
        return nothing(title, "No reading could be used.")
    tall = ROW * len(shown) + 0.1
    says = (
        "How far the model is from each test, in the +- of the reading: hollow as it came, filled as fitted. "
        "The grey band is two deviations."
    )
    figure = sheet(tall + FOOT, title, says)
    figure.set_label(f"{title}: {_in_words(shown, units)}.")
    axes = panel(figure, EDGE + NAMES, FOOT, WIDTH - 2 * EDGE - NAMES - 0.1, tall)
    axes.set_xlim(-FAR - 0.7, FAR + 0.7)
    axes.set_ylim(-0.5 - 0.1 / ROW, len(shown) - 0.5)
    axes.set_yticks([])
    axes.spines["left"].set_visible(False)
    axes.set_xticks([-6, -4, -2, 0, 2, 4, 6])
    axes.set_xlabel("Predicted less measured, in its +-")
    axes.axvspan(-BAND, BAND, color=GRID, alpha=0.6, zorder=0)
    axes.axvline(0.0, color=INK, linewidth=1.0, zorder=1)
    several = len(result.lures) > 1
    for k, one in enumerate(shown):
        y = len(shown) - 1 - k
        before, after = _kept(one.off_before), _kept(one.off_after)
        axes.plot([before, after], [y, y], color=QUIET, linewidth=1.0, zorder=2)
        axes.plot([before], [y], "o", markersize=7, markerfacecolor=PAPER, markeredgecolor=INK, zorder=3)
        axes.plot([after], [y], "o", markersize=7, color=INK, zorder=4)
        if abs(one.off_before) > FAR:
            side = 1.0 if one.off_before > 0 else -1.0
            axes.text(
                before - 0.5 * side, y, f"{one.off_before:+.0f}", va="center",
                ha="right" if side > 0 else "left", zorder=5,
                bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 1.0},
            )  # fmt: skip
        axes.text(
            -0.04, y, _name(one, several, units), va="center", ha="right",
            transform=axes.get_yaxis_transform(), linespacing=1.05,
        )  # fmt: skip
    return figure


def _kept(off: float) -> float:
    return max(-FAR, min(FAR, off))


def _name(one: Held, several: bool, units: Units) -> str:
    lure = chr(ord("A") + one.lure) if several else ""
    pull = readings.where(one.pull, one.speed_m_s, units)
    first = f"{lure}{one.test}  {labels.short(one.word or readings.named(one.figure), 18)}"
    return f"{first}\n{labels.short(pull, 22)}" if pull else first


def _in_words(shown: Sequence[Held], units: Units) -> str:
    return "; ".join(
        f"test {one.test}, {one.word or readings.named(one.figure)}, {one.off_before:+.1f} then {one.off_after:+.1f}"
        for one in shown
    )
