"""Which way a lip, fin, tail or blade points: its angle, skew and roll as directions."""

from __future__ import annotations

import math

from sim.design.parts import Plate

Direction = tuple[float, float, float]  # toward the nose, left, up: the lure's own axes


def plate_axes(plate: Plate) -> tuple[Direction, Direction]:
    """Unit vectors along the length, root to free edge, and across; a lip leads forward, all else aft."""
    forward = 1.0 if plate.role == "lip" else -1.0
    ca, sa = cos_sin(plate.angle.value)
    ck, sk = cos_sin(forward * plate.skew.value)
    cx, cy, cz = forward * ca * ck, forward * ca * sk, 0.0 - sa
    sx, sy, sz = 0.0 - sk, ck, 0.0
    nx, ny, nz = cy * sz - cz * sy, cz * sx - cx * sz, cx * sy - cy * sx
    if plate.roll is not None:
        roll = plate.roll.value
    else:
        roll = 0.5 * math.pi if plate.role == "fin" else 0.0
    cr, sr = cos_sin(roll)
    return (cx, cy, cz), (sx * cr + nx * sr, sy * cr + ny * sr, sz * cr + nz * sr)


def cos_sin(angle: float) -> tuple[float, float]:
    """Cosine and sine, exact zeros at quarter turns."""
    c, s = math.cos(angle), math.sin(angle)
    return (0.0 if abs(c) < 1e-15 else c), (0.0 if abs(s) < 1e-15 else s)
