"""Outlines of a lure from any side: the projections that drawings in text, figures and the replay share.

A *view* is two unit vectors in the lure's own axes: what points to the right on the page and what points up.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.elements import P_AREA, P_C, P_LENGTH, P_OPEN, P_R, P_S, P_WIDTH, RX, W_LENGTH, W_ROW, W_T, Hull
from sim.lure.lure import Lure

Array = NDArray[np.float64]

FINE = 5e-5  # m: an outline's corner nearer than this to the straight line between its neighbours is left out
ARC = 17  # points of a rounded edge
EDGE_ON = 1e-14  # m2: a face that shows less than this is seen edge on


class View(NamedTuple):
    """Where a drawing is seen from: unit vectors (3,) in lure axes."""

    right: Array
    up: Array

    def seen(self, points: Array) -> Array:
        """Points (n, 3) on the page (n, 2): to the right and up, m."""
        return np.column_stack([points @ self.right, points @ self.up])


SIDE = View(np.array([-1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0]))  # from its left, nose to the left
TOP = View(np.array([-1.0, 0.0, 0.0]), np.array([0.0, -1.0, 0.0]))  # from above, nose to the left
FRONT = View(np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0]))  # nose toward you


def ahead(up: Array) -> Array:
    """Level direction (3,) in which the nose points; the back of the lure when it stands on its tail.

    Raises:
        ValueError: `up` is no unit vector.
    """
    for axis in (np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, -1.0])):
        level = axis - (axis @ up) * up
        if np.linalg.norm(level) > 1e-3:
            return np.asarray(level / np.linalg.norm(level))
    raise ValueError("not a unit vector")


def from_side(up: Array) -> View:
    """The lure as it lies with `up` (3,) straight up, seen level from its left: nose to the left."""
    return View(-ahead(up), up)


def from_front(up: Array) -> View:
    """The same, seen level from ahead: its left is on the right."""
    return View(np.cross(up, ahead(up)), up)


def plates(lure: Lure) -> list[Array]:
    """Rim (n, 3) of every plate, from its root round the free edge. Blunt ends of bodies are no plates."""
    rims = []
    for row in lure.elements.plates:
        if row[P_OPEN] == 0.0:
            continue
        length, half = row[P_LENGTH], 0.5 * row[P_WIDTH]
        along, across = row[P_C : P_C + 3], row[P_S : P_S + 3]
        if 0.0 < row[P_AREA] < (1.0 - 1e-6) * 2.0 * half * length:  # rounded: it ends in half an oval
            depth = min(half, length)
            turn = np.linspace(0.0, np.pi, ARC)
            edge = np.column_stack([length - depth + depth * np.sin(turn), -half * np.cos(turn)])
            rim = np.vstack([[0.0, -half], edge, [0.0, half]])
            oval = 0.5 * np.pi * half * depth
            flat = 2.0 * half * (length - depth)
            middle = 0.5 * flat * (length - depth) + oval * (length - depth + 4.0 * depth / (3.0 * np.pi))
            middle /= row[P_AREA]
        else:
            rim = np.array([[0.0, -half], [length, -half], [length, half], [0.0, half]])
            middle = 0.5 * length
        root = row[P_R : P_R + 3] - middle * along
        rims.append(root + rim[:, :1] * along + rim[:, 1:] * across)
    return rims


def wires(lure: Lure) -> list[Array]:
    """Both ends (2, 3) of every wire."""
    ends = []
    for row in lure.elements.wires:
        centre = lure.elements.common[int(row[W_ROW]), RX : RX + 3]
        half = row[W_T : W_T + 3] * row[W_LENGTH] / 2
        ends.append(np.array([centre - half, centre + half]))
    return ends


def silhouette(hull: Hull, view: View) -> list[Array]:
    """Closed loops (n, 2) around what a hull covers on the page, m; filled by the non-zero rule.

    The rim of the faces that are turned to the viewer. Over every point that the hull covers lies at least
    one such face, so the loops wind round it at least once, and round no other, however hollow the shape.
    """
    at = view.seen(hull.vertices)
    a, b, c = (at[hull.faces[:, k]] for k in range(3))
    turn = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    facing = hull.faces[turn > EDGE_ON]
    start, end = facing.ravel(), np.roll(facing, -1, axis=1).ravel()
    count = len(at)
    lone = ~np.isin(start * count + end, end * count + start)
    ways: dict[int, list[int]] = {}
    for p, q in zip(start[lone].tolist(), end[lone].tolist(), strict=True):
        ways.setdefault(p, []).append(q)
    loops = []
    while ways:
        first = next(iter(ways))
        loop, here = [first], _step(ways, first)
        while here != first:
            loop.append(here)
            here = _step(ways, here)
        loops.append(thinned(at[loop]))
    return [loop for loop in loops if len(loop) > 2]


def _step(ways: dict[int, list[int]], here: int) -> int:
    """Walk on along the rim, never twice along one edge."""
    there = ways[here].pop()
    if not ways[here]:
        del ways[here]
    return there


def thinned(loop: Array, fine: float = FINE) -> Array:
    """A closed loop (n, 2) without the corners that stand out less than `fine` (Douglas and Peucker 1973)."""
    far = int(np.argmax(np.linalg.norm(loop - loop[0], axis=1)))
    keep = {0, far}
    closed = np.vstack([loop, loop[:1]])
    spans = [(0, far), (far, len(loop))]
    while spans:
        first, last = spans.pop()
        if last - first < 2:
            continue
        chord = closed[last] - closed[first]
        away = closed[first + 1 : last] - closed[first]
        # to the chord itself, not to the endless line through it: a loop may turn back past the chord's end
        share = np.clip(away @ chord / max(float(chord @ chord), 1e-30), 0.0, 1.0)
        out = np.hypot(*(away - share[:, None] * chord).T)
        worst = int(np.argmax(out))
        if out[worst] > fine:
            middle = first + 1 + worst
            keep.add(middle)
            spans += [(first, middle), (middle, last)]
    return np.asarray(loop[sorted(keep)])


def below(loop: Array, level: float = 0.0) -> Array:
    """The part of a closed loop (n, 2) that lies under a level line, as one loop; empty (0, 2) if none does.

    Cut by Sutherland and Hodgman's rule (1974): pieces that fall apart stay joined along the line, which
    changes nothing of what is filled.
    """
    out: list[Array] = []
    for p, q in zip(np.roll(loop, 1, axis=0), loop, strict=True):
        if (p[1] <= level) != (q[1] <= level):
            out.append(p + (q - p) * (level - p[1]) / (q[1] - p[1]))
        if q[1] <= level:
            out.append(q)
    return np.array(out).reshape(-1, 2)
