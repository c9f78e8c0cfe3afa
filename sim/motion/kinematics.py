"""Reading a trajectory: attitudes, points, tension, wetted share, turns. Arrays of states in, arrays out."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.compiled import ROW, TABLE, kernel
from sim.elements import VOLUME
from sim.forces.added import wet_elements
from sim.forces.inputs import K_HEIGHT, K_UP, L_TIE, PROBLEM, T_VOLUME, WET
from sim.forces.line import line_out, line_pull, line_room, line_state
from sim.forces.state import rotation
from sim.motion.equations import SCRATCH, scratch
from sim.motion.problem import unpack

Array = NDArray[np.float64]


def axes(y: Array) -> Array:
    """Body-to-world matrices (k, 3, 3) of states (k, m): v_world = axes @ v_body."""
    q = y[:, 3:7] / np.linalg.norm(y[:, 3:7], axis=1, keepdims=True)
    a, b, c, d = q.T
    return np.stack(
        [
            np.stack([1 - 2 * (c * c + d * d), 2 * (b * c - a * d), 2 * (b * d + a * c)], 1),
            np.stack([2 * (b * c + a * d), 1 - 2 * (b * b + d * d), 2 * (c * d - a * b)], 1),
            np.stack([2 * (b * d - a * c), 2 * (c * d + a * b), 1 - 2 * (b * b + c * c)], 1),
        ],
        1,
    )


def pitch(r: Array) -> Array:
    """Nose-up angle (rad) of matrices (k, 3, 3)."""
    return np.arcsin(np.clip(r[:, 2, 0], -1.0, 1.0))


def roll(r: Array) -> Array:
    """Roll, right side down positive (rad), of matrices (k, 3, 3)."""
    return np.arctan2(r[:, 2, 1], r[:, 2, 2])


def heading(r: Array) -> Array:
    """Compass angle of the nose (rad), 0 along world x, left positive, made continuous."""
    return np.unwrap(np.arctan2(r[:, 1, 0], r[:, 0, 0]))


def points(y: Array, r: Array, point: Array) -> Array:
    """World positions (k, 3) of a point fixed in the body."""
    return np.asarray(y[:, :3] + r @ point)


def height(y: Array, point: Array) -> Array:
    """Height (k,) above still water (m) of a point fixed in the body, for states (k, m)."""
    a, b, c, d = y[:, 3], y[:, 4], y[:, 5], y[:, 6]
    up = 2.0 * (b * d - a * c), 2.0 * (c * d + a * b), a * a - b * b - c * c + d * d
    size = a * a + b * b + c * c + d * d
    return np.asarray(y[:, 2] + (up[0] * point[0] + up[1] * point[1] + up[2] * point[2]) / size)


def spin_world(y: Array, r: Array) -> Array:
    """Angular velocity in world axes (k, 3), rad/s."""
    return np.einsum("kij,kj->ki", r, y[:, 10:13])


def quaternion(heading: float = 0.0, pitch: float = 0.0, roll: float = 0.0) -> tuple[float, ...]:
    """Attitude from heading (left positive), then pitch (nose up), then roll (right side down), rad.

    A true zero angle gives true zeros, so that a symmetric start is symmetric to the last bit.
    """
    ch, sh = np.cos(heading / 2), np.sin(heading / 2)
    cp, sp = np.cos(-pitch / 2), np.sin(-pitch / 2)
    cr, sr = np.cos(roll / 2), np.sin(roll / 2)
    if abs(abs(heading) - np.pi) < 1e-12:
        ch = 0.0
    a, b, c, d = ch * cp, -sh * sp, ch * sp, sh * cp
    return a * cr - b * sr, a * sr + b * cr, c * cr + d * sr, d * cr - c * sr


def tensions(t: Array, y: Array, flat: Array) -> Array:
    """Line tension (N) at times (k,) and states (k, m)."""
    p, found = unpack(flat), np.empty(len(t))
    _tensions(
        np.ascontiguousarray(t), np.ascontiguousarray(y), p, np.empty(y.shape[1]), line_room(p.line), found
    )
    return found


@kernel(ROW, TABLE, PROBLEM, ROW, ROW, ROW)
def _tensions(t, y, p, rate, room, found):
    for i in range(t.shape[0]):
        found[i] = line_pull(t[i], y[i], p, rate, room)[3]


def line_points(t: Array, y: Array, flat: Array) -> Array:
    """Points of the line (k, points, 3), world, from the rod tip to the tie-on point (m).

    At times (k,) and states (k, m); a line that runs off the spool in a cast is straight.
    """
    p = unpack(flat)
    out = [line_out(p.programme, moment)[2:5] for moment in t]
    tips = np.array(out).reshape(-1, 1, 3)
    ends = points(y, axes(y), p.line[L_TIE : L_TIE + 3])[:, None, :]
    between = y[:, line_state(y[0], p.line) :].reshape(len(y), -1, 3)
    return np.concatenate([tips, between, ends], axis=1)


def wet_shares(y: Array, flat: Array) -> Array:
    """Share of the displaced volume that is under water, for states (k, m)."""
    p, found = unpack(flat), np.empty(len(y))
    work = scratch(p)
    work.kin[:] = 0.0  # at rest
    _wet_shares(np.ascontiguousarray(y), p, work, found)
    return found


@kernel(TABLE, PROBLEM, SCRATCH, ROW)
def _wet_shares(y, p, work, found):
    n, kin, wet = p.common.shape[0], work.kin, work.wet
    for i in range(y.shape[0]):
        r = rotation(y[i])
        kin[K_UP], kin[K_UP + 1], kin[K_UP + 2] = r[6], r[7], r[8]
        kin[K_HEIGHT] = y[i, 2]
        wet_elements(
            p.common, p.added, p.whole, wet, kin, p.env, p.coefficients, work.rows[0], work.added, work.growth,
        )  # fmt: skip
        volume = 0.0
        for k in range(n):
            volume += wet[k, WET] * p.common[k, VOLUME]
        found[i] = volume / p.whole[T_VOLUME]
