"""The line's shape between the lure and the rod tip, bent by the water it is pulled through."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray
from scipy.optimize import brentq

from sim.forces.inputs import L_TIE
from sim.forces.line import MOST_BEND, bend, line_out, line_pull
from sim.lure.lure import Lure
from sim.motion import kinematics as reading
from sim.motion.problem import unpack
from sim.motion.solve import Trajectory
from sim.show.figures.style import (
    EDGE,
    INK,
    LINES,
    QUIET,
    SURFACE,
    WATER,
    WIDTH,
    drawn,
    nothing,
    panel,
    sheet,
)
from sim.show.units import METRIC, Units

Array = NDArray[np.float64]

LEFT, FOOT, TALL = 0.68, 0.5, 2.2  # in


@drawn
def line_shape(run: Trajectory, lure: Lure, units: Units = METRIC, at: float | None = None) -> Figure:
    """The line at one moment of a retrieve (s; half way through if left out), depths stretched to be seen.

    `lure` is not needed; all figures of a run are called alike.
    """
    moment = 0.5 * float(run.t[-1]) if at is None else at
    title = "The line in the water"
    level, depth, height, pull, drag = pulled(run, moment)
    if pull <= 0.0:
        return nothing(title, f"After {moment:.1f} s the line is slack.")
    away, deep = shape(level, depth, height, pull, drag)
    cosine, sine = bend(level, depth, height, pull, drag)
    factor = units.scales["distance"].factor
    steep = math.degrees(math.atan2(sine, cosine))
    straight = math.degrees(math.atan2(height + depth, level))
    bent = steep - straight >= 1.0
    beside = f"; a straight line would at {straight:.0f}" if bent else ", as a straight line would"
    says = (
        f"After {moment:.1f} s it pulls with {units.text('force', pull)} and leaves the lure "
        f"{steep:.0f} degrees above level{beside}."
    )
    figure = sheet(TALL + FOOT, title, says)
    axes = panel(figure, LEFT, FOOT, WIDTH - LEFT - EDGE, TALL)
    span = height + max(depth, 0.25 * height)
    bottom, top = span - height + 0.18 * span, -height - 0.16 * span
    axes.set_xlim(-0.03 * level * factor, 1.06 * level * factor)
    axes.set_ylim(bottom * factor, top * factor)
    axes.axhspan(0.0, bottom * factor, color=WATER, linewidth=0, zorder=0)
    axes.axhline(0.0, color=SURFACE, linewidth=1.2)
    if bent:
        axes.plot(
            [0.0, level * factor], [-height * factor, depth * factor], color=QUIET, linewidth=0.9,
            linestyle=(0, (4, 3)),
        )  # fmt: skip
        middle = (height + 0.5 * depth) / (height + depth)  # half way down
        axes.annotate(
            "straight", (middle * level * factor, (-height + middle * (depth + height)) * factor), (-5, -5),
            textcoords="offset points", ha="right", va="top", color=QUIET,
        )  # fmt: skip
    axes.plot(away * factor, deep * factor, color=LINES[0].colour)
    axes.plot(level * factor, depth * factor, marker="o", markersize=6, color=INK)
    axes.annotate(
        "lure", (level * factor, depth * factor), (0, -6), textcoords="offset points", ha="center", va="top"
    )
    axes.annotate("rod tip", (0.0, -height * factor), (6, 4), textcoords="offset points", va="bottom")
    axes.set_xlabel(f"Distance from the rod tip ({units.unit('distance')})")
    axes.set_ylabel(f"Depth ({units.unit('distance')})")
    axes.spines["bottom"].set_visible(False)
    return figure


def pulled(run: Trajectory, moment: float) -> tuple[float, float, float, float, float]:
    """What bends the line at one moment of a retrieve, as `sim.forces.line.bend` takes it.

    The drag is the one with which `bend` gives the direction in which the run's own line pulls.

    Returns:
        level distance to the rod tip, depth of the tie-on point, height of the rod tip (m), pull (N) and
        cross-flow drag of the line (N/m).
    """
    problem = unpack(run.flat)
    y = run.at([moment])
    place = reading.points(y, reading.axes(y), problem.line[L_TIE : L_TIE + 3])[0]
    _, _, tip_x, tip_y, tip_z, *_ = line_out(problem.programme, moment)
    level = math.hypot(tip_x - place[0], tip_y - place[1])
    depth, height = -float(place[2]), float(tip_z)
    _, _, rise, pull = line_pull(moment, y[0], problem)
    if depth <= 0.0 or pull <= 0.0:
        return level, depth, height, pull, 0.0

    def astray(ratio: float) -> float:
        return float(bend(level, depth, height, pull, ratio * pull / depth)[1]) - rise / pull

    if astray(-MOST_BEND) * astray(MOST_BEND) > 0.0:
        return level, depth, height, pull, 0.0
    return level, depth, height, pull, brentq(astray, -MOST_BEND, MOST_BEND) * pull / depth


def shape(
    level: float, depth: float, height: float, pull: float, drag: float, points: int = 80
) -> tuple[Array, Array]:
    """Distance from the rod tip and depth (m) along the line, from the rod tip to the lure.

    The curve whose end directions `bend` gives: under water the tangent t of half its angle grows from the
    surface down as e^(z/a), a = pull/drag, so x(z) = a/2 ((1 - e^(-z/a))/t0 - t0 (e^(z/a) - 1)); straight
    in the air. Standing: closed form (Pode 1951, DTMB 687).
    """
    if depth <= 0.0:
        return np.array([0.0, level]), np.array([-height, depth])
    cosine, sine = bend(level, depth, height, pull, drag)
    tau = sine / (1.0 + cosine)
    z = np.linspace(0.0, depth, points)
    ratio = min(max(depth * drag / pull, -MOST_BEND), MOST_BEND)
    if abs(ratio) < 1e-9:
        run = z * cosine / sine
    else:
        a, top = depth / ratio, tau * math.exp(-ratio)
        run = 0.5 * a * (-np.expm1(-z / a) / top - top * np.expm1(z / a))
    return np.concatenate([[0.0], level - run[-1] + run]), np.concatenate([[-height], z])
