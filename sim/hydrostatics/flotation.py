"""The height at which a body floats, and its balance of weight and water at one attitude.

Everything here takes the hulls as `sim.hydrostatics.immersion` does, with the `terms` that `face_terms` finds once
for a body. The physics of the balance is told in `sim.hydrostatics.equilibrium`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from sim.compiled import INDICES, MESH, REAL, ROW, TABLE, compiled, kernel
from sim.hydrostatics.immersion import (
    I_AREA,
    I_AREA_MOMENT,
    I_AREA_SECOND,
    I_MOMENT,
    I_VOLUME,
    N_IMMERSED,
    face_terms,
    rises,
    sliced,
    sorted_out,
)

Array = NDArray[np.float64]
Vector = tuple[float, float, float]

SLACK = 0.03  # of the whole height: faces so near the surface are looked at again as it moves

# --- which faces are near the surface, kept while the body hardly moves (see `sorted_out`) ---------------
Q_COUNT = 0  # how many they are
Q_WET = 1  # sum of the terms of those that stay wholly under (4)
Q_UP = 5  # attitude at which they were parted (3)
Q_HEIGHT = 8  # and height of the origin (m)
Q_SLACK = 9  # how far any vertex may move from there (m); nought before the first time
Q_LOW, Q_HIGH = 10, 11  # reach of the hulls along `up` there (m)
Q_MIDDLE = 12  # centre (3, m) and
Q_FAR = 15  # radius (m) of a ball about all vertices
Q_TIMES = 16  # how often all faces have been parted,
Q_SLICED = 17  # and how often those near the surface have been cut
Q_FOUND = 18  # the height that was found last (m)
N_PARTED = 19

# --- what `balance` returns ---------------------------------------------------------------------------
A_HEIGHT = 0  # of the origin above the surface (m)
A_ENERGY = 1  # over m g (m)
A_SLOPE = 2  # its gradient across `up` (3, m)
A_CURVE = 5  # its second derivatives across `up`, row by row (9, m)
A_PIVOT = 14  # centre of the waterplane (3, m)
N_BALANCE = 17

# --- what `next_turn` says -----------------------------------------------------------------------------
ARRIVED, TURN, LEVEL = 0, 1, 2


def float_height(
    vertices: Array,
    faces: NDArray[np.int64],
    small: Array,
    up: Array,
    volume: float,
    guess: float,
    accuracy: float,
) -> tuple[float, Array]:
    """Height of the origin at which `volume` (m3) is under water, and what is immersed there.

    Newton's steps on the waterplane area, kept inside a bracket: volume never grows with height, so there is
    one answer. `volume` outside what the shapes hold gives the height at which they just touch.

    Args:
        vertices, faces, small, up: as for `sim.hydrostatics.immersion.immersed`.
        volume: to be displaced (m3).
        guess: a height to start from (m); not a number: find one.
        accuracy: largest error of the volume, relative to `volume`.

    Returns:
        height (m) and the (14,) array of `immersed`.
    """
    terms, near = face_terms(vertices, faces), np.empty(len(faces), dtype=np.int64)
    parted, rise, state = np.zeros(N_PARTED), np.empty(len(vertices)), np.empty(N_IMMERSED)
    _height_afloat(vertices, faces, terms, small, up, volume, guess, accuracy, parted, near, rise, state)
    return float(parted[Q_FOUND]), state


@kernel(TABLE, MESH, TABLE, TABLE, ROW, REAL, REAL, REAL, ROW, INDICES, ROW, ROW)
def _height_afloat(vertices, faces, terms, small, up, volume, guess, accuracy, parted, near, rise, state):
    """Put the height into `parted` and what is immersed there into `state` (14,); `rise` (n,) is room."""
    if parted[Q_SLACK] == 0.0:
        _bounded(vertices, parted)
    fresh = math.isnan(guess) or not _still_parted(parted, up, guess)
    risen = fresh
    if fresh:
        rises(vertices, up, rise)
        low, high = _reach(rise)
    else:
        low, high = parted[Q_LOW] - parted[Q_SLACK], parted[Q_HIGH] + parted[Q_SLACK]
    hull_low, hull_high = low, high
    low, high = _small_reach(small, up, low, high)
    under, out_of = -high, -low  # heights: wholly under, wholly out
    width = out_of - under
    if math.isnan(guess):
        guess = _from_share(volume, terms, small, under, out_of)
    height = min(max(guess, under), out_of)
    if fresh:
        _part(terms, faces, rise, hull_low, hull_high, up, height, SLACK * width, parted, near)
    _sliced(vertices, faces, terms, small, up, height, parted, near, state)
    for _ in range(100):
        error = state[I_VOLUME] - volume
        if abs(error) <= accuracy * volume or out_of - under <= 4e-16 * width:
            break
        if error > 0.0:
            under = height
        else:
            out_of = height
        area = state[I_AREA]
        step = height + error / area if area > 0.0 else under
        height = step if under < step < out_of else 0.5 * (under + out_of)
        if not _still_parted(parted, up, height):
            if not risen:
                rises(vertices, up, rise)
                hull_low, hull_high = _reach(rise)
                risen = True
            _part(terms, faces, rise, hull_low, hull_high, up, height, SLACK * width, parted, near)
        _sliced(vertices, faces, terms, small, up, height, parted, near, state)
    parted[Q_FOUND] = height


@compiled
def _from_share(volume, terms, small, under, out_of):
    """Height at which a ball of the same share of its volume would float, stretched to the same reach."""
    hull, rest = 0.0, 0.0
    for f in range(terms.shape[0]):
        hull += terms[f, 0]
    for k in range(small.shape[0]):
        rest += small[k, 9]
    share = min(max(volume / (hull / 6.0 + rest), 0.0), 1.0)
    return out_of + (under - out_of) * (0.5 - math.sin(math.asin(1.0 - 2.0 * share) / 3.0))


@compiled
def _bounded(vertices, parted):
    """Note a ball about all vertices: how far any of them moves as the body turns."""
    for axis in range(3):
        low, high = math.inf, -math.inf
        for i in range(vertices.shape[0]):
            low, high = min(low, vertices[i, axis]), max(high, vertices[i, axis])
        parted[Q_MIDDLE + axis] = 0.5 * (low + high) if low <= high else 0.0
    far = 0.0
    for i in range(vertices.shape[0]):
        x, y = vertices[i, 0] - parted[Q_MIDDLE], vertices[i, 1] - parted[Q_MIDDLE + 1]
        z = vertices[i, 2] - parted[Q_MIDDLE + 2]
        far = max(far, x * x + y * y + z * z)
    parted[Q_FAR] = math.sqrt(far)


@compiled
def _still_parted(parted, up, height):
    """Whether no vertex can have come farther than `Q_SLACK` nearer to the surface, or away from it."""
    dx, dy, dz = up[0] - parted[Q_UP], up[1] - parted[Q_UP + 1], up[2] - parted[Q_UP + 2]
    x, y, z = parted[Q_MIDDLE], parted[Q_MIDDLE + 1], parted[Q_MIDDLE + 2]
    heave = height - parted[Q_HEIGHT] + dx * x + dy * y + dz * z
    turn = parted[Q_FAR] * math.sqrt(dx * dx + dy * dy + dz * dz)
    return abs(heave) + turn < 0.999 * parted[Q_SLACK]


@compiled
def _part(terms, faces, rise, low, high, up, height, slack, parted, near):
    parted[Q_COUNT] = sorted_out(terms, faces, rise, height, slack, near, parted[Q_WET : Q_WET + 4])
    parted[Q_UP], parted[Q_UP + 1], parted[Q_UP + 2] = up[0], up[1], up[2]
    parted[Q_HEIGHT], parted[Q_SLACK], parted[Q_LOW], parted[Q_HIGH] = height, slack, low, high
    parted[Q_TIMES] += 1.0


@compiled
def _sliced(vertices, faces, terms, small, up, height, parted, near, state):
    parted[Q_SLICED] += 1.0
    under = parted[Q_WET : Q_WET + 4]
    sliced(vertices, faces, terms, small, up, height, near, int(parted[Q_COUNT]), under, state)


@compiled
def _reach(rise):
    """Lowest and highest of the vertices along `up`, from the origin (m)."""
    low, high = math.inf, -math.inf
    for i in range(rise.shape[0]):
        low, high = min(low, rise[i]), max(high, rise[i])
    return low, high


@compiled
def _small_reach(small, up, low, high):
    """The same with the small parts."""
    for k in range(small.shape[0]):
        part = small[k]
        qx = part[3] * up[0] + part[6] * up[1] + part[7] * up[2]
        qy = part[6] * up[0] + part[4] * up[1] + part[8] * up[2]
        qz = part[7] * up[0] + part[8] * up[1] + part[5] * up[2]
        half = math.sqrt(max(qx * up[0] + qy * up[1] + qz * up[2], 0.0))
        z = up[0] * part[0] + up[1] * part[1] + up[2] * part[2]
        low, high = min(low, z - half), max(high, z + half)
    return low, high


@kernel(
    TABLE, MESH, TABLE, TABLE, ROW, ROW, INDICES, ROW, ROW, TABLE, REAL, ROW, REAL, REAL, ROW
)  # fmt: skip
def balance(
    vertices, faces, terms, small, centre, parted, near, rise, wet, second, volume, up, guess, accuracy, out
):  # fmt: skip
    """Balance of weight and displaced water at an attitude, free to rise and fall.

    Args:
        vertices, faces, small, up: as for `sim.hydrostatics.immersion.immersed`; terms: of `face_terms`.
        centre: of gravity (3,), m.
        volume, guess, accuracy: as for `float_height`.
        parted, near: (19,) see the names Q_..., and (m,): kept from call to call of one body, noughts at first.
        rise, wet, second: (n,), (14,) and (3, 3), to work in.
        out: (17,) to be filled, see the names A_... of this module.
    """
    _height_afloat(vertices, faces, terms, small, up, volume, guess, accuracy, parted, near, rise, wet)
    height = parted[Q_FOUND]
    out[A_HEIGHT] = height
    lx = centre[0] - wet[I_MOMENT] / volume
    ly = centre[1] - wet[I_MOMENT + 1] / volume
    lz = centre[2] - wet[I_MOMENT + 2] / volume
    energy = lx * up[0] + ly * up[1] + lz * up[2]
    out[A_ENERGY] = energy
    out[A_SLOPE], out[A_SLOPE + 1], out[A_SLOPE + 2] = (
        lx - energy * up[0],
        ly - energy * up[1],
        lz - energy * up[2],
    )
    area = wet[I_AREA]
    for k in range(3):
        out[A_PIVOT + k] = wet[I_AREA_MOMENT + k] / area if area > 0.0 else -height * up[k]
    _own(wet, out[A_PIVOT:], second)
    fx = second[0, 0] * up[0] + second[0, 1] * up[1] + second[0, 2] * up[2]
    fy = second[1, 0] * up[0] + second[1, 1] * up[1] + second[1, 2] * up[2]
    fz = second[2, 0] * up[0] + second[2, 1] * up[1] + second[2, 2] * up[2]
    flat = (fx, fy, fz)
    along = fx * up[0] + fy * up[1] + fz * up[2]
    for i in range(3):
        for j in range(3):
            across = (1.0 if i == j else 0.0) - up[i] * up[j]
            turned = second[i, j] - up[i] * flat[j] - flat[i] * up[j] + along * up[i] * up[j]
            out[A_CURVE + 3 * i + j] = turned / volume - energy * across


def principal(up: Array, slope: Array, curve: Array) -> tuple[list[float], list[float], list[Vector]]:
    """Slopes and curves along the two principal ways across `up`, the lower curve first, and the two ways (unit
    vectors). `slope` (3,) and `curve` (3, 3) as in `balance`."""
    trim, heel = _level_axes(*up.tolist())
    s, matrix = slope.tolist(), curve.tolist()
    tx, ty, tz = _times(matrix, trim)
    hx, hy, hz = _times(matrix, heel)
    a = trim[0] * tx + trim[1] * ty + trim[2] * tz
    b = 0.5 * (trim[0] * hx + trim[1] * hy + trim[2] * hz + heel[0] * tx + heel[1] * ty + heel[2] * tz)
    c = heel[0] * hx + heel[1] * hy + heel[2] * hz
    cos, sin, turn = 1.0, 0.0, 0.0
    if b != 0.0:  # Jacobi's rotation
        ratio = 0.5 * (c - a) / b
        turn = math.copysign(1.0, ratio) / (abs(ratio) + math.sqrt(1.0 + ratio * ratio))
        cos = 1.0 / math.sqrt(1.0 + turn * turn)
        sin = turn * cos
    one = (a - turn * b, _combined(cos, trim, -sin, heel))
    two = (c + turn * b, _combined(sin, trim, cos, heel))
    (low, way), (high, other) = (one, two) if one[0] <= two[0] else (two, one)
    slopes = [w[0] * s[0] + w[1] * s[1] + w[2] * s[2] for w in (way, other)]
    return slopes, [low, high], [way, other]


def next_turn(up: Array, slope: Array, curve: Array, stride: float, size: float) -> tuple[int, Array, float]:
    """What to do at an attitude to roll downhill in energy.

    Args:
        up, slope, curve: (3,), (3,) and (3, 3), as in `balance`.
        stride: largest turn (rad).
        size: length that slopes and curves are held against (m).

    Returns:
        TURN and by how much (3, rad), a Newton's step no longer than `stride`; ARRIVED; or LEVEL, where the
        slope is nought and the ground falls away, with the steepest way down (3, unit vector); and the lower
        curve (m).
    """
    tiny = 1e-12 * size
    slopes, curves, ways = principal(up, slope, curve)
    steepest = max(abs(slopes[0]), abs(slopes[1]))
    if steepest < 1e3 * tiny and curves[0] < -1e3 * tiny:
        return LEVEL, np.array(ways[0]), curves[0]
    one = -slopes[0] / max(abs(curves[0]), 1e-6 * size)
    two = -slopes[1] / max(abs(curves[1]), 1e-6 * size)
    length = math.sqrt(one * one + two * two)
    if steepest < tiny or length < 1e-11:
        return ARRIVED, np.zeros(3), curves[0]
    share = min(1.0, stride / length)
    return TURN, np.array([share * part for part in _combined(one, ways[0], two, ways[1])]), curves[0]


def turned(up: Array, step: Array) -> Array:
    """`up` (3,) turned toward `step` (3,) by its length (rad)."""
    x, y, z = step.tolist()
    angle = math.sqrt(x * x + y * y + z * z)
    if angle == 0.0:
        return up.copy()
    a, b, c = _combined(math.cos(angle), up.tolist(), math.sin(angle) / angle, (x, y, z))
    size = math.sqrt(a * a + b * b + c * c)
    return np.array([a / size, b / size, c / size])


def level_axes(up: Array) -> tuple[Array, Array]:
    """Where `up` moves in the lure's axes when the nose rises, and when the right side goes down: (3,) each."""
    trim, heel = _level_axes(*up.tolist())
    return np.array(trim), np.array(heel)


def _level_axes(x: float, y: float, z: float) -> tuple[Vector, Vector]:
    lean = math.sqrt(y * y + z * z)
    if lean > 0.0:
        trim = (lean, -x * (y / lean), -x * (z / lean))
    else:  # straight up or down: any way is level, this is the one next to it
        trim = (0.0, 0.0, -math.copysign(1.0, x))
    return trim, (y * trim[2] - z * trim[1], z * trim[0] - x * trim[2], x * trim[1] - y * trim[0])


def _combined(a: float, one: Sequence[float], b: float, other: Sequence[float]) -> Vector:
    return a * one[0] + b * other[0], a * one[1] + b * other[1], a * one[2] + b * other[2]


def _times(matrix: Sequence[Sequence[float]], vector: Sequence[float]) -> Vector:
    x, y, z = vector
    (a, b, c), (d, e, f), (g, h, i) = matrix
    return a * x + b * y + c * z, d * x + e * y + f * z, g * x + h * y + i * z


@compiled
def _own(wet, pivot, own):
    """Second moments of the waterplane about its own centre (3, 3), m4; nought if there is none."""
    for i in range(3):
        for j in range(3):
            own[i, j] = 0.0
    if wet[I_AREA] > 0.0:
        own[0, 0], own[1, 1], own[2, 2] = wet[I_AREA_SECOND], wet[I_AREA_SECOND + 1], wet[I_AREA_SECOND + 2]
        own[0, 1], own[0, 2], own[1, 2] = (
            wet[I_AREA_SECOND + 3],
            wet[I_AREA_SECOND + 4],
            wet[I_AREA_SECOND + 5],
        )
        own[1, 0], own[2, 0], own[2, 1] = own[0, 1], own[0, 2], own[1, 2]
        for i in range(3):
            for j in range(3):
                own[i, j] -= wet[I_AREA] * pivot[i] * pivot[j]
