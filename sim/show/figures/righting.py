"""Righting arms: what brings it back when it is rolled, or its nose pushed up or down."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from sim.show import sentences
from sim.show.figures.style import EDGE, INK, LINES, QUIET, WIDTH, drawn, nothing, panel, sheet
from sim.show.units import METRIC, Units
from sim.trials.results import FloatResult, RightingPoint, Verdict

TITLE = "What brings it back"
LEFT, FOOT, TALL = 0.7, 0.5, 1.35  # in, of each of the two panels
THOUSANDS = 700.0  # arms from which a scale has numbers of four digits, which want more room
BACK, OVER = "#e3eef3", "#f4e6db"


@drawn
def righting_arms(result: FloatResult, units: Units = METRIC) -> Figure:
    """Righting arm against the angle it is turned from rest: rolled to a side, and nose up or down."""
    if not result.righting_heel or not result.righting_trim:
        return nothing(TITLE, "It sinks: no place of rest at the surface to come back to.")
    figure = sheet(2 * (TALL + FOOT), TITLE, f"{holds(result, units)}{sentences.righting(result, units)}")
    turned = (
        (result.righting_heel, "Rolled, right side down + (degrees)", 45),
        (result.righting_trim, "Turned, nose up + (degrees)", 45),
    )
    longest = units.scales["size"].factor * max(abs(p.arm_mm) for points, *_ in turned for p in points)
    edge = LEFT if longest < THOUSANDS else LEFT + 0.12
    for k, (points, axis, step) in enumerate(turned):
        axes = panel(figure, edge, FOOT + (1 - k) * (TALL + FOOT), WIDTH - edge - EDGE, TALL)
        _curve(axes, points, units)
        axes.set_xticks(range(round(points[0].angle_deg), round(points[-1].angle_deg) + 1, step))
        axes.set_xlabel(axis)
        axes.set_ylabel(f"Arm ({units.unit('size')})")
    return figure


def holds(result: FloatResult, units: Units) -> str:
    """What keeps a lure upright that is all under water; nothing where the surface has a part in it."""
    arm = result.heel_gm_mm
    if result.verdict is Verdict.FLOATS or arm is None:
        return ""
    if abs(arm) < sentences.NEUTRAL:
        return "It hangs wholly under water, its lift acts at its balance point: nothing holds it upright. "
    return (
        f"It hangs wholly under water, like a pendulum: the lift acts {units.text('size', abs(arm))} "
        f"{'above' if arm > 0 else 'below'} the balance point, and this arm alone holds it. "
    )


def _curve(axes: Axes, points: Sequence[RightingPoint], units: Units) -> None:
    factor = units.scales["size"].factor
    angles = np.array([point.angle_deg for point in points])
    arms = np.array([point.arm_mm for point in points]) * factor
    reach = max(1.15 * float(np.abs(arms).max()), 0.05 * factor)
    axes.set_xlim(angles[0], angles[-1])
    low = -max(-1.25 * float(arms.min()), 0.45 * reach)
    axes.set_ylim(low, 1.25 * reach)
    axes.axhspan(0.0, 1.25 * reach, color=BACK, linewidth=0, zorder=0)
    axes.axhspan(low, 0.0, color=OVER, linewidth=0, zorder=0)
    axes.axhline(0.0, color=QUIET, linewidth=0.8)
    axes.plot(angles, arms, color=LINES[0].colour)
    axes.plot([0.0], [0.0], marker="o", color=INK, markersize=4)
    left = angles[0] + 0.03 * (angles[-1] - angles[0])
    axes.text(left, 1.2 * reach, "brings it back", va="top")
    axes.text(left, 0.95 * low, "carries it on", va="bottom")
