"""Where a fill lies that does not fill its cavity: the pool at its bottom, the lure tilted while it set."""

from __future__ import annotations

import math
from collections import deque
from typing import NamedTuple

import numpy as np

from sim.lure import moments
from sim.lure.bodies import BuiltBody
from sim.lure.moments import Array, Frame
from sim.lure.profile import Sections

ACROSS = 40  # points across a section each way


class Pool(NamedTuple):
    """The lower part of a cavity."""

    volume: float  # m3
    centre: Array  # (3,), lure axes, m
    second: Array  # (3, 3) moments of volume about it, m5


def pool(body: BuiltBody, volume: float, up: Array, across: int = ACROSS) -> Pool:
    """The lower part of a body's cavity that a volume of liquid takes (m3), `up` (3,) being straight up.

    The cavity is its sections: those inside the wall, or the outside scaled about its centre. Each is cut
    into small cells, which fill up in the order of their height; the last one in part.
    Args:
        across: points across a section each way.

    Standing: closed form but for the cells; a sphere and a box to 0.1 % of their size.
    """
    assert body.inner is not None
    spec, profile, frame = body.spec, body.profile, body.frame
    cut = profile.inward(spec.wall.value) if spec.wall is not None else None
    if cut is None:
        turn = np.linspace(0.0, math.pi, 161)
        middle = 0.5 * (turn[1:] + turn[:-1])
        s = profile.start + 0.5 * profile.length * (1.0 - np.cos(middle))
        cut = profile.at(s, 0.5 * profile.length * np.sin(middle) * np.diff(turn))
    cells = _cells(cut, frame, body.inner, up, across)
    k = min(int(np.searchsorted(cells.filled, volume)), len(cells.filled) - 1)
    part = cells.weight[: k + 1].copy()
    part[-1] -= max(cells.filled[k] - volume, 0.0)
    there = cells.points[: k + 1]
    centre = (part @ there) / part.sum()
    off = there - centre
    return Pool(volume, centre, (off * part[:, None]).T @ off)


class _Cells(NamedTuple):
    """Small cells of a cavity in the order in which they fill up."""

    points: Array  # (k, 3), lure axes, m
    weight: Array  # (k,), volume of each, m3
    filled: Array  # (k,), volume up to and with each, m3


_kept: deque[tuple[bytes, _Cells]] = deque(maxlen=4)
"""The cavities cut last: a search pours many fills into one."""


def _cells(cut: Sections, frame: Frame, inner: Array, up: Array, across: int) -> _Cells:
    """The cells of a cavity with the moments `inner` (10,), `across` points across each section of `cut`."""
    key = b"".join(np.asarray(one).tobytes() for one in (*cut, *frame, inner, up, across))
    for other, cells in tuple(_kept):
        if other == key:
            return cells
    u = (np.arange(across) + 0.5) / across * 2.0 - 1.0
    y, z = (w.ravel() for w in np.meshgrid(u, u))
    power = cut.n[:, None]
    within = np.abs(y) ** power + np.abs(z) ** power <= 1.0
    weight = (cut.weight * cut.b * cut.c)[:, None] * within
    local = np.stack(
        [
            np.broadcast_to(-cut.s[:, None], within.shape),
            cut.b[:, None] * y,
            cut.z0[:, None] + cut.c[:, None] * z,
        ],
        axis=-1,
    )[within]
    weight = weight[within]
    points = frame.nose + local @ np.stack([frame.along, frame.left, frame.up])
    # onto the cavity's own volume and centre
    drawn = weight.sum()
    whole = float(inner[0])
    own = (weight @ points) / drawn
    points = moments.centre(inner) + (points - own) * (whole / (4.0 * drawn / across**2)) ** (1.0 / 3.0)
    weight = weight * (whole / drawn)
    order = np.argsort(points @ up, kind="stable")
    cells = _Cells(points[order], weight[order], np.cumsum(weight[order]))
    _kept.append((key, cells))
    return cells


def upward(set_at: float) -> Array:
    """Straight up in lure axes (3,) where the nose is raised by an angle (rad); past a right angle it is belly up."""
    return np.array([math.sin(set_at), 0.0, math.cos(set_at)])
