"""Lures put together by hand for looking at drawings: hulls and tables only, nothing weighed."""

import numpy as np

from sim.elements import (
    N_ADDED,
    N_BLOB,
    N_BODY,
    N_COMMON,
    N_PLATE,
    N_STRIP,
    N_WIRE,
    P_C,
    P_LENGTH,
    P_N,
    P_OPEN,
    P_R,
    P_S,
    P_WIDTH,
    RX,
    W_DIAMETER,
    W_LENGTH,
    W_ROW,
    W_T,
    Elements,
    Hull,
)  # fmt: skip
from sim.lure.lure import Lure, Part


def turned(profile, around=24):
    """Hull from rows (back, half width, half height, up), mm: elliptic sections, pointed ends."""
    angles = np.linspace(0, 2 * np.pi, around, endpoint=False)
    rings = [
        np.column_stack([np.full(around, -b), w * np.sin(angles), u + h * np.cos(angles)])
        for b, w, h, u in profile
    ]
    faces = []
    for k in range(len(rings) - 1):
        for i in range(around):
            j = (i + 1) % around
            a, b, c, d = k * around + i, k * around + j, (k + 1) * around + j, (k + 1) * around + i
            faces += [(a, b, c), (a, c, d)]
    return Hull(np.vstack(rings) / 1000, np.array(faces))


def ellipsoid(length, width, height, steps=40):
    t = (1 - np.cos(np.linspace(0, np.pi, steps))) / 2
    s = np.sqrt(np.clip(4 * t * (1 - t), 0, None))
    return turned([(length * a, width / 2 * b, height / 2 * b, 0.0) for a, b in zip(t, s, strict=True)])


def plate(root, length, width, down_deg, upright=False, forward=True):
    """Row of the plate table: grown from `root` (mm), turned down; forward like a lip or backward."""
    row = np.zeros(N_PLATE)
    a = np.radians(down_deg)
    along = np.array([(1 if forward else -1) * np.cos(a), 0.0, -np.sin(a)])
    across = np.array([0.0, 1.0, 0.0])
    if upright:
        across = np.cross(along, across)
    row[P_R : P_R + 3] = np.array(root) / 1000 + along * length / 2000
    row[P_C : P_C + 3], row[P_S : P_S + 3] = along, across
    row[P_N : P_N + 3] = np.cross(along, across)
    row[P_LENGTH], row[P_WIDTH], row[P_OPEN] = length / 1000, width / 1000, 1.0
    return row


def lure(hulls=(), plates=(), wires=(), hooks=(), tie_ons=None, centre=(-30, 0, -3)):
    """A `Lure` of the given pieces; places in mm in lure axes."""
    common = np.zeros((len(wires), N_COMMON))
    rows = np.zeros((len(wires), N_WIRE))
    for k, (start, end) in enumerate(wires):
        a, b = np.array(start) / 1000, np.array(end) / 1000
        common[k, RX : RX + 3] = (a + b) / 2
        rows[k, W_ROW], rows[k, W_LENGTH], rows[k, W_DIAMETER] = k, np.linalg.norm(b - a), 0.001
        rows[k, W_T : W_T + 3] = (b - a) / np.linalg.norm(b - a)
    elements = Elements(
        common, np.zeros((len(wires), N_ADDED)), np.zeros((0, N_BODY)), np.zeros((0, N_STRIP)),
        np.array(plates).reshape(-1, N_PLATE), rows, np.zeros((0, N_BLOB)), np.eye(6),
    )  # fmt: skip
    spot = [np.array(h) / 1000 for h in hooks]
    parts = tuple(
        Part(f"hook {k}", "hook", 0.001, 1e-7, at, at, np.zeros((3, 3)), "measured")
        for k, at in enumerate(spot)
    )
    points = {name: np.array(at) / 1000 for name, at in (tie_ons or {"nose": (0, 0, 0)}).items()}
    middle = np.array(centre) / 1000
    return Lure(
        "shape", parts, 0.01, middle, 1.2e-5, middle, elements, tuple(hulls), np.zeros((0, 10)), points, 0.07,
        (0.0, -0.07), (),
    )  # fmt: skip


RUNNER = lure(
    [ellipsoid(70, 18, 22)],
    [plate((-6, 0, -6), 22, 20, 35)],
    hooks=[(-28, 0, -11), (-70, 0, 0)],
    tie_ons={"nose": (0, 0, 0), "lip": (4, 0, -12)},
)
MINNOW = lure(
    [
        turned(
            [
                (0, 0, 0, 0),
                (4, 3, 4, 0),
                (15, 6, 8, 1),
                (40, 6, 8, 1),
                (80, 4, 5, 0),
                (105, 2, 2, 0),
                (110, 0, 0, 0),
            ]
        )
    ],
    [plate((-3, 0, -4), 9, 10, 40)],
    hooks=[(-30, 0, -8), (-62, 0, -6), (-110, 0, 0)],
    centre=(-50, 0, -2),
)
SPOON = lure([], [plate((0, 0, 0), 60, 22, 0, forward=False)], hooks=[(-60, 0, 0)], centre=(-32, 0, 0))
FINNED = lure(
    [turned([(0, 4, 5, 0), (10, 9, 12, 0), (30, 10, 14, 0), (55, 5, 7, 0), (60, 3, 4, 0)])],
    [
        plate((-58, 0, 0), 18, 22, 0, upright=True, forward=False),
        plate((-30, 0, 12), 10, 12, -60, True, False),
    ],
    [((-30, 0, -13), (-40, 0, -28))],
    hooks=[(-25, 0, -14)],
)
BLOCK = lure(
    [turned([(0, 0, 0, 0), (0.01, 12, 15, 0), (40, 12, 15, 0), (40.01, 0, 0, 0)])], centre=(-20, 0, -4)
)
