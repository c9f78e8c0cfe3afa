"""A body's outside as the maker told it: three sizes, stations, or an outline drawn from the side and above."""

from __future__ import annotations

import math

import numpy as np

from sim.design.outline import OutlineError, OutlineLines, Point, seen_from_side, seen_from_top
from sim.design.parts import Body
from sim.lure.profile import Array, BuildError, Profile, merged, monotone, rounded

DRAWN = 40  # places along an outline at which it is read, besides those of its own points


def read(name: str, body: Body) -> Profile:
    """The outside of a body of sections.

    Raises:
        BuildError: sizes missing, stations out of order, no outline, or nothing inside.
    """
    key = f"body.{name}"
    if body.shape == "ellipsoid":
        return _ellipsoid(key, body)
    return _outline(key, body) if body.shape == "outline" else _stations(key, body)


def _ellipsoid(key: str, body: Body) -> Profile:
    missing = [k for k in ("length", "width", "height") if getattr(body, k) is None]
    if missing or body.length is None or body.width is None or body.height is None:
        raise BuildError(f'{key} has no {" and no ".join(missing)}; write for example length = "70 mm"')
    return Profile(
        np.array([0.0, body.length.value]),
        0.5 * body.width.value,
        0.5 * body.height.value,
        None,
        np.full(2, body.exponent),
    )


def _stations(key: str, body: Body) -> Profile:
    rows = body.stations
    if len(rows) < 2:
        raise BuildError(f"{key} has {len(rows)} stations; give at least two, from nose to tail")
    knots = np.array([r.back.value for r in rows])
    if np.any(np.diff(knots) <= 0.0):
        at = int(np.argmax(np.diff(knots) <= 0.0)) + 1
        raise BuildError(
            f"{key}.stations[{at}].back = {rows[at].back.text!r} is not behind the station before it; "
            "list stations from nose to tail, each farther back than the last"
        )
    widths, heights = (
        np.array([0.5 * r.width.value for r in rows]),
        np.array([0.5 * r.height.value for r in rows]),
    )
    if not np.any(widths * heights > 0.0):
        raise BuildError(f"{key} encloses nothing: no station has both a width and a height above zero")
    centres = np.array([r.up.value for r in rows])
    return Profile(
        knots,
        rounded(knots, widths),
        rounded(knots, heights),
        monotone(knots, centres) if centres.any() else None,
        np.array([body.exponent if r.exponent is None else r.exponent for r in rows]),
    )


def _outline(key: str, body: Body) -> Profile:
    """Sections whose height and middle are those of the side view and whose width is that of the top view.

    The two views count from nose to tail of the side view. Standing: the drawn points exactly, judgement
    between them (a smooth line that neither overshoots nor dips).
    """
    try:
        side = seen_from_side([(p.back.value, p.up.value) for p in body.side])
        top = seen_from_top([(p.back.value, p.left.value) for p in body.top])
    except OutlineError as fault:
        raise BuildError("{key}: {fault}", key=key, fault=fault.args[0]) from fault
    start, end = side.high[0][0], side.high[-1][0]
    own = merged([back for line in side for back, _ in line])
    widths = _places(top, start, end)
    turn = np.linspace(0.0, math.pi, DRAWN + 1)
    even = start + 0.5 * (end - start) * (1.0 - np.cos(turn))
    knots = merged(own, widths, even)
    knots = knots[np.concatenate([[True], np.diff(knots) > 1e-6 * (end - start)])]
    knots[-1] = end
    high, low = (_smooth(line, knots) for line in side)
    shift = (end - start) / (top.high[-1][0] - top.high[0][0])
    left, right = (
        _smooth([(start + (back - top.high[0][0]) * shift, across) for back, across in line], knots)
        for line in top
    )
    heights, halves = 0.5 * np.maximum(high - low, 0.0), 0.5 * np.maximum(left - right, 0.0)
    if not np.any(heights * halves > 0.0):
        raise BuildError(f"{key} encloses nothing: its outlines have no height or no width")
    middle = 0.5 * (high + low)
    return Profile(
        knots,
        rounded(knots, halves),
        rounded(knots, heights),
        monotone(knots, middle) if middle.any() else None,
        np.full(len(knots), body.exponent),
    )


def _places(lines: OutlineLines, start: float, end: float) -> Array:
    """The places of a view's points along the body, its ends laid upon those of the other view."""
    backs = merged([back for line in lines for back, _ in line])
    return start + (backs - backs[0]) * (end - start) / (backs[-1] - backs[0])


def _smooth(line: list[Point], s: Array) -> Array:
    """The line through points, at `s`: monotone cubics in the angle of a circle over the length, in which a
    round end is smooth."""
    back, across = np.array(line).T
    length = back[-1] - back[0]

    def angle(at: Array) -> Array:
        return np.arccos(np.clip(1.0 - 2.0 * (at - back[0]) / length, -1.0, 1.0))

    if len(back) == 2:
        return np.interp(s, back, across)
    from scipy.interpolate import PchipInterpolator  # brings half of scipy along: only where it is needed

    return np.asarray(PchipInterpolator(angle(back), across)(angle(s)))
