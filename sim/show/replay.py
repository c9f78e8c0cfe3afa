"""The motion as poses for the player of a report: plain data, small enough to send to a friend.

Every table is written as whole numbers of 8 or 16 bits between the least and the largest of its column, in
base 64: `value = low + step * whole`. `unpack` reads it back; the player does the same.
"""

from __future__ import annotations

import base64
import json
import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.design.model import Design
from sim.elements import Hull
from sim.lure.lure import Lure
from sim.show.outline import plates, wires
from sim.show.solid import solid
from sim.trials.recording import Recording

Array = NDArray[np.float64]

MOST_BYTES = 280_000  # of one report's whole replay
MOST_SECONDS = 20.0  # of one motion
FINENESS = ((60, True), (45, True), (30, True), (20, True), (20, False))  # poses a second; with forces?
LINE_EVERY = 15  # poses between two shapes of the line
FORCE_EVERY = 2  # poses between two sets of forces
SHOWN = 0.02  # share of the greatest force, below which one is not drawn
LIGHT = 17, 7  # of a body that a page draws afresh with each change
GRIDS = ((2, (27, 9)), (6, (17, 7)), (math.inf, (11, 5)))  # up to so many bodies: cells along and across each
HOOK_SIZE = 0.018  # m, of a hook without a size


def replay(
    entries: Sequence[tuple[Design, Lure, Sequence[Recording]]], most: int = MOST_BYTES
) -> dict[str, Any]:
    """Data of the player for one design or several that have the same motions in the same order.

    Poses are thinned, the largest table first, until the JSON text is no longer than `most` bytes or nothing is
    left to thin.
    """
    fine = [[0] * len(runs) for _, _, runs in entries]
    shapes = [_shape(design, lure, _cells(lure)) for design, lure, _ in entries]
    written = [[_motion(motion, *FINENESS[0]) for motion in runs] for _, _, runs in entries]
    while True:
        data = {"designs": [{**s, "motions": own} for s, own in zip(shapes, written, strict=True)]}
        sizes = [
            (len(text(motion)), k, j)
            for k, own in enumerate(written)
            for j, motion in enumerate(own)
            if fine[k][j] + 1 < len(FINENESS)
        ]
        if not sizes or len(text(data)) <= most:
            return data
        _, k, j = max(sizes)
        fine[k][j] += 1
        written[k][j] = _motion(entries[k][2][j], *FINENESS[fine[k][j]])


def alone(design: Design, lure: Lure, motion: Recording) -> dict[str, Any]:
    """One motion without its forces, of a body with few faces: soon made, soon drawn."""
    cells = min(LIGHT, _cells(lure))
    return {"designs": [{**_shape(design, lure, cells), "motions": [_motion(motion, FINENESS[0][0], False)]}]}


def text(data: dict[str, Any]) -> str:
    """The data as compact JSON that is safe inside a `<script>` element."""
    compact = json.dumps(data, separators=(",", ":"), allow_nan=False)
    return compact.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")


# ---- tables of numbers --------------------------------------------------------------------------------

_KINDS = {8: "<u1", 16: "<u2"}  # low byte first


def pack(values: NDArray[Any], bits: int = 16) -> dict[str, Any]:
    """A table (rows, columns) as whole numbers, column by column to the size of what is in it.

    A column that never changes is told by its `low` and a step of 0 alone.
    """
    values = np.asarray(values, dtype=float).reshape(len(values), -1)
    top = 2**bits - 1
    low = values.min(axis=0) if len(values) else np.zeros(values.shape[1])
    step = (values.max(axis=0) - low) / top if len(values) else np.zeros(values.shape[1])
    varies = step > 0.0
    whole = np.rint((values - low)[:, varies] / step[varies])
    raw = whole.astype(_KINDS[bits]).tobytes()
    return {
        "rows": len(values),
        "bits": bits,
        "low": [float(f"{v:.9g}") for v in low],
        "step": [float(f"{v:.9g}") for v in step],
        "data": base64.b64encode(raw).decode("ascii"),
    }


def unpack(table: dict[str, Any]) -> Array:
    """The values (rows, columns) of a packed table, to within half a step."""
    raw = base64.b64decode(table["data"])
    low, step = np.array(table["low"]), np.array(table["step"])
    values = np.tile(low, (table["rows"], 1))
    varies = step > 0.0
    whole = np.frombuffer(raw, dtype=_KINDS[table["bits"]]).reshape(table["rows"], -1)
    values[:, varies] += step[varies] * whole
    return values


# ---- the lure -----------------------------------------------------------------------------------------


def _cells(lure: Lure) -> tuple[int, int]:
    return next(cells for most, cells in GRIDS if len(lure.hulls) <= most)


@lru_cache(maxsize=16)
def _body(vertices: bytes, faces: bytes, along: int, across: int) -> dict[str, Any]:
    """A hull with few faces, kept: what is changed of a lure is seldom its body."""
    hull = Hull(np.frombuffer(vertices).reshape(-1, 3), np.frombuffer(faces, dtype=np.int64).reshape(-1, 3))
    light = solid(hull, along, across)
    return {
        "vertices": pack(light.vertices),
        "faces": pack(light.faces),
        "tones": pack(light.tones[:, None], 8),
    }


def _shape(design: Design, lure: Lure, cells: tuple[int, int]) -> dict[str, Any]:
    """What is to be drawn of a lure, in its own axes, m; its bodies on so many cells along and across."""
    bodies = [_body(hull.vertices.tobytes(), hull.faces.tobytes(), *cells) for hull in lure.hulls]
    hooks = []
    for part in lure.parts:
        if part.kind == "hook":
            stated = design.hook[part.name.split()[1]].size
            size = stated.value if stated else HOOK_SIZE
            hooks.append({"at": _short(part.centre), "size": size, "points": part.points})
    return {
        "name": design.name,
        "length": round(max(lure.length, 0.01), 5),
        "middle": _short(np.array([0.5 * sum(lure.nose_to_tail), 0.0, 0.0])),
        "floor": -design.water.depth.value,
        "bodies": bodies,
        "plates": [[_short(corner) for corner in rim] for rim in plates(lure)],
        "wires": [[_short(end) for end in ends] for ends in wires(lure)],
        "hooks": hooks,
    }


def _short(point: Array) -> list[float]:
    return [round(float(value), 5) for value in point]


# ---- one motion ---------------------------------------------------------------------------------------


def _motion(motion: Recording, rate: int, forces: bool) -> dict[str, Any]:
    """Poses, line and forces of one run."""
    end = min(motion.seconds, MOST_SECONDS)
    times = np.linspace(0.0, end, max(2, int(end * rate) + 1))
    y = motion.states(times)
    attitude = _joined(y[:, 3:7] / np.linalg.norm(y[:, 3:7], axis=1, keepdims=True))
    written: dict[str, Any] = {
        "kind": motion.kind,
        "tie": motion.tie_on,
        "speed": motion.speed,
        "seconds": round(end, 4),
        "poses": pack(np.column_stack([y[:, :3], attitude, motion.tensions(times)])),
        "forces": _forces(motion, times[::FORCE_EVERY]) if forces else [],
        "force_every": FORCE_EVERY,
    }
    if motion.tied:
        written["tie_at"] = _short(motion.tie_point)
        written["line"] = pack(motion.lines(times[::LINE_EVERY]))
        written["line_every"] = LINE_EVERY
    return written


def _joined(quaternions: Array) -> Array:
    """The same attitudes with signs that do not jump."""
    turns = np.sum(quaternions[1:] * quaternions[:-1], axis=1)
    signs = np.concatenate([[1.0], np.cumprod(np.where(turns < 0.0, -1.0, 1.0))])
    return np.asarray(quaternions * signs[:, None])


def _forces(motion: Recording, times: Array) -> list[dict[str, Any]]:
    """Forces by source at times (k,); what hardly comes to `SHOWN` of the greatest is left out."""
    found = motion.forces(times)
    largest = [float(np.quantile(np.linalg.norm(one.newton, axis=1), 0.98)) for one in found]
    return [
        {"name": one.name, "at": _short(one.at), "newton": pack(one.newton)}
        for one, size in zip(found, largest, strict=True)
        if size > SHOWN * max(largest)
    ]
