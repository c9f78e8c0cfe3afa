"""The line's shape between the lure and the rod tip, bent by the water it is pulled through."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from sim.forces.inputs import L_TIE
from sim.forces.line import MOST_BEND, bend, line_out, line_pull
from sim.motion import kinematics
from sim.motion.problem import unpack
from sim.motion.solve import Trajectory

Array = NDArray[np.float64]

WET_POINTS = 5  # of a replayed line between lure and surface


class LineShape(NamedTuple):
    """The line at one moment: lengths in m, angles in degrees above level."""

    moment: float  # s
    level: float  # from the tie-on point to the rod tip
    depth: float  # of the tie-on point
    height: float  # of the rod tip
    pull: float  # N
    steep: float  # how the line leaves the lure
    straight: float  # how a straight line would
    away: Array  # (n,) distance from the rod tip, from the rod tip to the lure
    deep: Array  # (n,) depth there


def line_shape(run: Trajectory, moment: float) -> LineShape:
    """The line at one moment of a retrieve."""
    level, depth, height, pull, drag = pulled(run, moment)
    straight = math.degrees(math.atan2(height + depth, level))
    if pull <= 0.0:
        nothing = np.empty(0)
        return LineShape(moment, level, depth, height, pull, straight, straight, nothing, nothing)
    away, deep = shape(level, depth, height, pull, drag)
    cosine, sine = bend(level, depth, height, pull, drag)
    steep = math.degrees(math.atan2(sine, cosine))
    return LineShape(moment, level, depth, height, pull, steep, straight, away, deep)


def pulled(run: Trajectory, moment: float) -> tuple[float, float, float, float, float]:
    """What bends the line at one moment of a retrieve, as `sim.forces.line.bend` takes it.

    The drag is the one with which `bend` gives the direction in which the run's own line pulls.

    Returns:
        level distance to the rod tip, depth of the tie-on point, height of the rod tip (m), pull (N) and
        cross-flow drag of the line (N/m).
    """
    problem = unpack(run.flat)
    y = run.at([moment])
    place = kinematics.points(y, kinematics.axes(y), problem.line[L_TIE : L_TIE + 3])[0]
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


def replayed(run: Trajectory, times: Array, y: Array, tie: Array, bent: bool) -> Array:
    """Shapes of the line (k, 3 + WET_POINTS).

    The rod tip (m), then how far along the level way to it the line has come at equal steps from the lure's
    depth up to the surface (0 while it is tied above the water).
    """
    problem = unpack(run.flat)
    at = kinematics.points(y, kinematics.axes(y), tie)
    if bent:
        tips = np.array([line_out(problem.programme, t)[2:5] for t in times])
    else:  # running off the spool: the rod is held still
        tips = np.repeat(problem.programme[:1, 2:5], len(times), axis=0)
    shares = np.zeros((len(times), WET_POINTS))
    for k, (point, tip) in enumerate(zip(at, tips, strict=True)):
        if point[2] > -1e-4 or tip[2] <= 0.0:
            continue
        shares[k] = np.arange(1, WET_POINTS + 1) / WET_POINTS * point[2] / (point[2] - tip[2])  # straight
        x, across, up, pull = line_pull(times[k], y[k], problem) if bent else (0.0, 0.0, 0.0, 0.0)
        if pull > 0.0:
            shares[k] = wet_shape(
                float(np.hypot(*(tip - point)[:2])), -point[2], tip[2], math.atan2(up, math.hypot(x, across))
            )
    return np.column_stack([tips, shares])


def wet_shape(level: float, depth: float, height: float, slope: float, points: int = WET_POINTS) -> Array:
    """Course (points,) of a line that is bent in the water and straight above it.

    The closed form behind `sim.forces.line.bend`: tan(phi/2) grows by e^(z/a) with the depth z. Of all such
    curves from the lure to the rod tip, the one that leaves the lure at `slope` (rad above level).

    Returns:
        The share of the level way from lure to rod tip, at equal steps of depth up to the surface.
    """
    low, high = -MOST_BEND, MOST_BEND
    aim = math.tan(0.5 * slope)
    for _ in range(40):
        ratio = 0.5 * (low + high)
        if _at_surface(level, depth, height, ratio) * math.exp(ratio) < aim:
            low = ratio
        else:
            high = ratio
    ratio = ratio if abs(ratio) > 1e-6 else 1e-6
    surface = _at_surface(level, depth, height, ratio)
    end = surface * math.exp(ratio)
    tau = end * np.exp(-ratio * np.arange(1, points + 1) / points)
    run = 0.5 * depth / ratio * ((1.0 / tau + tau) - (1.0 / end + end))
    return np.asarray(run / max(level, 1e-9))


def _at_surface(level: float, depth: float, height: float, ratio: float) -> float:
    """tan(phi/2) where the line leaves the water, for depth/a = `ratio`."""
    grow = math.exp(ratio)
    reach = depth if abs(ratio) < 1e-9 else depth * (1.0 - 1.0 / grow) / ratio
    rise = height + reach
    return rise / (level + math.sqrt(level * level + rise * (height + reach * grow)))
