"""A body's outline as drawn: the two lines that run from nose to tail, taken from points all round it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import NamedTuple

from sim.message import Message
from sim.remark import Amount

CLOSEST = 1e-6  # m: along the body, two places nearer to each other than this are the same

Point = tuple[float, float]  # back, and up or left, m


class OutlineLines(NamedTuple):
    """The outline's two lines, each from nose to tail, every point farther back than the last."""

    high: list[Point]  # the back, or the left side
    low: list[Point]  # the belly, or the right side


class OutlineError(ValueError):
    """Points that are no outline; `at` is the number of the point that shows it, or None for all of them."""

    def __init__(self, at: int | None, message: str) -> None:
        super().__init__(message)
        self.at = at


def seen_from_side(points: Sequence[Point]) -> OutlineLines:
    """The back and the belly of an outline given all round.

    Raises:
        OutlineError: too few points, no length, or a line that turns back on its way.
    """
    _long_enough(points)
    ring = list(range(len(points)))
    nose = min(ring, key=lambda k: points[k][0])
    ring = ring[nose:] + ring[:nose]
    tail = max(ring, key=lambda k: points[k][0])
    cut = ring.index(tail)
    one = ring[: cut + 1]
    other = [ring[0], *reversed(ring[cut:])]
    lines = [_line(points, way) for way in (one, other)]
    lines.sort(key=lambda line: _mean(line))
    low, high = lines
    return OutlineLines(_outermost(high, max), _outermost(low, min))


def seen_from_top(points: Sequence[Point]) -> OutlineLines:
    """The left and the right side of an outline given all round, or of one half of it, told twice then.

    Raises:
        OutlineError: too few points, no length, or a line that turns back on its way.
    """
    sides = {left > 0.0 for _, left in points if abs(left) > CLOSEST}
    if len(sides) == 2:
        return seen_from_side(points)
    _long_enough(points, 2)
    way = list(range(len(points)))
    if points[way[0]][0] > points[way[-1]][0]:
        way.reverse()
    half = _outermost([(back, abs(left)) for back, left in _line(points, way)], max)
    return OutlineLines(half, [(back, -left) for back, left in half])


def _long_enough(points: Sequence[Point], least: int = 3) -> None:
    if len(points) < least:
        raise OutlineError(None, f"there are {len(points)} points and it takes {least} or more")
    backs = [back for back, _ in points]
    if max(backs) - min(backs) < CLOSEST:
        raise OutlineError(None, "all points are equally far back, so the outline has no length")


def _line(points: Sequence[Point], way: Sequence[int]) -> list[Point]:
    """The points along `way`, which must lead from nose to tail without turning back."""
    for before, here in pairwise(way):
        if points[here][0] < points[before][0] - CLOSEST:
            raise OutlineError(
                here,
                Message(
                    "the outline turns back here, from {there:4g} to {here:4g} behind the nose; list the points in "
                    "their order round the body, once along the back and once along the belly",
                    there=Amount(points[before][0], "length"),
                    here=Amount(points[here][0], "length"),
                ),
            )
    return [points[k] for k in way]


def _mean(line: Sequence[Point]) -> float:
    """Mean height of a line over its length."""
    area = sum(0.5 * (a[1] + b[1]) * (b[0] - a[0]) for a, b in pairwise(line))
    run = line[-1][0] - line[0][0]
    return area / run if run > 0.0 else 0.0


def _outermost(line: Sequence[Point], pick: Callable[[float, float], float]) -> list[Point]:
    """One point for each place along the body: the outermost, at a flat end or a step."""
    out: list[Point] = []
    for back, across in line:
        if out and back - out[-1][0] < CLOSEST:
            out[-1] = (out[-1][0], pick(out[-1][1], across))
        else:
            out.append((back, across))
    return out
