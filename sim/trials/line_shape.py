"""The line's shape between the lure and the rod tip, bent by the water it is pulled through."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.lure.profile import monotone
from sim.motion import kinematics
from sim.motion.solve import Trajectory

Array = NDArray[np.float64]

REPLAYED = 5  # points of a replayed line, with the rod tip and without the lure


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
    y = run.at([moment])
    away, deep = shape(kinematics.line_points(np.array([moment]), y, run.flat)[0])
    level, depth, height = float(away[-1]), float(deep[-1]), -float(deep[0])
    pull = float(kinematics.tensions(np.array([moment]), y, run.flat)[0])
    steep = math.degrees(math.atan2(deep[-1] - deep[-2], away[-1] - away[-2]))
    straight = math.degrees(math.atan2(height + depth, level))
    return LineShape(moment, level, depth, height, pull, steep, straight, away, deep)


def shape(points: Array, drawn: int = 80) -> tuple[Array, Array]:
    """Distance from the rod tip and depth (m) along the line, a smooth curve through its points (n, 3)."""
    away = np.hypot(points[:, 0] - points[0, 0], points[:, 1] - points[0, 1])
    along = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    at = np.linspace(0.0, along[-1], drawn)
    return monotone(along, away).at(at)[0], monotone(along, -points[:, 2]).at(at)[0]


def replayed(run: Trajectory, times: Array, y: Array) -> Array:
    """Shapes of the line (k, 3 points), world: the rod tip and points down to the lure, itself left out (m)."""
    shapes = kinematics.line_points(times, y, run.flat)[:, :-1]
    last = shapes.shape[1] - 1
    drawn = np.unique(np.linspace(0, last, min(REPLAYED, last + 1)).round().astype(int))
    return np.asarray(shapes[:, drawn].reshape(len(times), -1))
