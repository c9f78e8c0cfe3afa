"""Pulled in: its depth along the way, and its wobble with the rate."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from sim.show.figures import labels
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
from sim.trials.recording import Recording

Array = NDArray[np.float64]

LEFT, FOOT = 0.68, 0.5  # in
SWINGS = 8  # of a wobble in the trace
SHOWS = 0.005  # m: less depth is not worth a number
STILL = 2.0  # s of trace where nothing swings
TURN = 360.0  # degrees: a lure whose roll goes farther turns over, and its trace is in turns
SWINGS_LEAST = 1.0  # degrees either way: less is not worth a drawing


@drawn
def retrieve_depth(motion: Recording, units: Units = METRIC) -> Figure:
    """Depth of the lure's middle against its distance from the rod tip; a dot each second."""
    far = units.scales["distance"]
    end = motion.seconds
    how = _how(motion, units)
    away, depth = motion.track(np.linspace(0.0, end, max(int(60 * end), 60)))
    settled = float(motion.track(np.linspace(0.5 * end, end, 200))[1].mean())
    deep = max(float(depth.max()), 0.05)
    small = far if deep * far.factor >= 1.0 else units.short
    says = f"{how}: {_where(settled, units)} in the second half"
    if depth.max() >= SHOWS:
        says += f", {units.depth(float(depth.max()))} at most"
    says += ". A dot a second."
    figure = sheet(2.3 + FOOT, "Depth along the retrieve", says)
    axes = panel(figure, LEFT, FOOT, WIDTH - LEFT - EDGE, 2.3)
    axes.set_xlim(0.0, 1.12 * float(away.max()) * far.factor)
    rise = max(-float(depth.min()), 0.12 * deep)
    bottom = 1.15 * deep * small.factor
    axes.set_ylim(bottom, -1.3 * rise * small.factor)
    axes.axhspan(0.0, bottom, color=WATER, linewidth=0, zorder=0)
    axes.axhline(0.0, color=SURFACE, linewidth=1.2)
    axes.plot(away * far.factor, depth * small.factor, color=LINES[0].colour)
    x, y = motion.track(np.arange(0.0, end, 1.0))
    x, y = x * far.factor, y * small.factor
    axes.plot(x, y, linestyle="none", marker="o", markersize=4, color=LINES[0].colour)
    axes.annotate("start", (x[0], y[0]), (6, -3), textcoords="offset points", va="top")
    axes.set_xlabel(f"Distance from the rod tip ({far.unit})")
    axes.set_ylabel(f"Depth ({small.unit})")
    axes.spines["bottom"].set_visible(False)
    return figure


@drawn
def wobble_trace(motion: Recording, units: Units = METRIC) -> Figure:
    """Yaw and roll of the last swings of a retrieve against time, and their rate."""
    end = motion.seconds
    title = "Wobble"
    if not motion.came_up_to_speed:
        return nothing(title, f"The run ended after {end:.1f} s, before it came up to speed.")
    window = motion.window()
    found = motion.measured()
    looked = float(window[-1] - window[0])
    how = _how(motion, units)
    if not found.wobble and max(_reach(motion, window)) < SWINGS_LEAST:
        return nothing(
            title,
            f"{how}, it does not swing: yaw and roll stay within {SWINGS_LEAST:g} degree of their "
            f"mean in the last {looked:.0f} s.",
        )
    span = min(SWINGS / found.wobble if found.wobble else STILL, looked)
    unit, beats = "degrees", bool(found.wobble)
    says = f"{how}, it swings to no steady beat."
    round_ = [float(np.ptp(angle)) / TURN for angle in motion.swings(window)]
    span = looked if max(round_) > 1.0 else span  # what goes round is seen whole, however it swings meanwhile
    times = np.linspace(end - span, end, 600)
    yaw, roll = motion.swings(times)
    if max(round_) > 1.0:
        unit, beats = "turns", False
        yaw, roll = yaw / TURN, roll / TURN
        about = "it turns over" if round_[1] >= round_[0] else "it goes round in circles"
        says = f"{how}, {about}: {max(round_):.1f} turns in these {span:.1f} s."
    elif found.wobble:
        says = (
            f"{how}, it swings {found.wobble:.1f} times a second: "
            f"yaw {_swing(found.yaw_amplitude)}, roll {_swing(found.roll_amplitude)} either way."
        )
    figure = sheet(2.3 + FOOT, title, says)
    right = 0.55
    axes = panel(figure, LEFT, FOOT, WIDTH - LEFT - right, 2.3)
    axes.set_xlim(times[0], times[-1])
    least = 2.0 if unit == "degrees" else 0.5
    reach = 1.15 * max(float(np.abs(yaw).max()), float(np.abs(roll).max()), least)
    axes.set_ylim(-reach, 1.35 * reach)
    axes.axhline(0.0, color=QUIET, linewidth=0.8)
    apart = 0.16 * reach
    ends = [float(yaw[-1]), float(roll[-1])]
    shift = max(apart - abs(ends[0] - ends[1]), 0.0) / 2 * (1 if ends[0] >= ends[1] else -1)
    for values, ink, name, place in (
        (yaw, LINES[0], "yaw", ends[0] + shift),
        (roll, LINES[1], "roll", ends[1] - shift),
    ):
        axes.plot(times, values, color=ink.colour, linestyle=ink.dashes)
        axes.annotate(
            name, (1.0, place), (6, 0), xycoords=("axes fraction", "data"), textcoords="offset points",
            va="center", color=ink.colour, weight="bold",
        )  # fmt: skip
    if beats and found.wobble:
        _period(axes, times, 1.0 / found.wobble, 1.2 * reach)
    axes.set_xlabel("Time (s)")
    axes.set_ylabel(f"From its mean ({unit})")
    return figure


def _how(motion: Recording, units: Units) -> str:
    """Where it is tied and how fast it is pulled."""
    speed = units.text("speed", motion.line_speed())
    return (
        f"Tied at {labels.short(motion.tie_on)}, pulled at {speed}" if motion.tie_on else f"Pulled at {speed}"
    )


def _period(axes: Axes, times: Array, period: float, level: float) -> None:
    """One swing, measured off."""
    start = times[0] + 0.5 * period
    axes.annotate(
        "", (start + period, level), (start, level),
        arrowprops={
            "arrowstyle": "|-|,widthA=0.25,widthB=0.25", "color": INK, "linewidth": 0.9,
            "shrinkA": 0, "shrinkB": 0,
        },
    )  # fmt: skip
    axes.annotate(
        f"one swing, {period:.2f} s", (start + period, level), (5, 0), textcoords="offset points", va="center"
    )


def _reach(motion: Recording, times: Array) -> tuple[float, float]:
    """Farthest that yaw and roll go from their mean (degrees)."""
    yaw, roll = motion.swings(times)
    return float(np.abs(yaw).max()), float(np.abs(roll).max())


def _swing(degrees: float) -> str:
    return (
        f"{degrees:.0f} degree{'' if round(degrees) == 1 else 's'}"
        if degrees < 180.0
        else "all the way round"
    )


def _where(depth: float, units: Units) -> str:
    return f"{units.depth(depth)} deep" if depth >= SHOWS else "at the surface"
