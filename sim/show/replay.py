"""The motion as poses for the player of a report: plain data, small enough to send to a friend.

Every table is written as whole numbers of 8 or 16 bits between the least and the largest of its column, in
base 64: `value = low + step * whole`. `unpack` reads it back; the player does the same.
"""

from __future__ import annotations

import base64
import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.design.model import Design
from sim.elements import P_R
from sim.forces import account
from sim.forces.inputs import L_MODE, L_TIE
from sim.forces.line import MOST_BEND, line_out, line_pull
from sim.lure.lure import Lure
from sim.motion import kinematics as reading
from sim.motion.breakdown import breakdown
from sim.motion.problem import unpack as unpack_problem
from sim.motion.solve import Trajectory
from sim.show.outline import plates, wires
from sim.show.solid import solid
from sim.trials import cast, drop, retrieve

Array = NDArray[np.float64]

MOST_BYTES = 280_000  # of one report's whole replay
MOST_PULLS, MOST_FOLLOWED = 12, 4  # steady retrieves and programmes in one replay
MOST_SECONDS = 20.0  # of one motion
FINENESS = ((60, True), (45, True), (30, True), (20, True), (20, False))  # poses a second; with forces?
LINE_EVERY = 5  # poses between two shapes of the line
FORCE_EVERY = 2  # poses between two sets of forces
SEEN = 0.02  # share of the greatest force, below which one is not drawn
WET_POINTS = 5  # of the line between lure and surface
GRIDS = ((2, (27, 9)), (6, (17, 7)), (math.inf, (11, 5)))  # up to so many bodies: cells along and across each
HOOK_SIZE = 0.018  # m, of a hook without a size


@dataclass(frozen=True)
class Motion:
    """One run to be replayed."""

    kind: str  # pull, drop, cast
    run: Trajectory
    tie_on: str = ""
    speed: float = 0.0  # m/s, of a steady pull
    programme: str = ""  # or the name of what the angler does


def motions(design: Design, lure: Lure, like: Sequence[Motion] = ()) -> list[Motion]:
    """The retrieves, the drop and the cast of one design.

    like: motions of another design to be run in step with: the same speeds and programmes (which the design must
    have), from the tie-on points of the same names, or from the first one where there is none.
    """
    wanted = [m for m in like if m.kind == "pull"]
    asked = [(m.tie_on, m.speed, m.programme) for m in wanted] if like else _asked(design, lure)
    return [
        *(_pull(design, lure, tie, speed, programme) for tie, speed, programme in asked),
        Motion("drop", drop.run(design, lure)),
        Motion("cast", cast.run(design, lure)),
    ]


def _asked(design: Design, lure: Lure) -> list[tuple[str, float, str]]:
    """Tie-on point with speed or programme of every retrieve to be shown."""
    points = list(lure.tie_ons)[:MOST_PULLS]
    each = max(1, MOST_PULLS // max(len(points), 1))
    steady = [(point, speed, "") for point in points for speed in _thinned(design.retrieve.paces(), each)]
    followed = [(point, 0.0, name) for point in points for name in design.retrieve.programme]
    return [*steady, *followed[:MOST_FOLLOWED]]


def _pull(design: Design, lure: Lure, tie_on: str, speed: float, programme: str) -> Motion:
    tie_on = tie_on if tie_on in lure.tie_ons else next(iter(lure.tie_ons))
    if programme:
        run = retrieve.follow(design, lure, tie_on, programme).run
    else:
        run = retrieve.run(design, lure, tie_on, speed)
    return Motion("pull", run, tie_on, speed, programme)


def _thinned(values: Sequence[float], most: int) -> list[float]:
    """At most so many of the values, evenly spread, both ends among them."""
    if len(values) <= most:
        return list(values)
    picked = np.linspace(0, len(values) - 1, most).round().astype(int)
    return [values[k] for k in picked]


def replay(
    entries: Sequence[tuple[Design, Lure, Sequence[Motion]]], most: int = MOST_BYTES
) -> dict[str, Any]:
    """Data of the player for one design or several that have the same motions in the same order.

    Poses are thinned, the largest table first, until the JSON text is no longer than `most` bytes or nothing is
    left to thin.
    """
    fine = [[0] * len(runs) for _, _, runs in entries]
    shapes = [_shape(design, lure) for design, lure, _ in entries]
    written = [[_motion(lure, motion, *FINENESS[0]) for motion in runs] for _, lure, runs in entries]
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
        _, lure, runs = entries[k]
        written[k][j] = _motion(lure, runs[j], *FINENESS[fine[k][j]])


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


def _shape(design: Design, lure: Lure) -> dict[str, Any]:
    """What is to be drawn of a lure, in its own axes, m."""
    bodies = []
    along, across = next(cells for most, cells in GRIDS if len(lure.hulls) <= most)
    for hull in lure.hulls:
        light = solid(hull, along, across)
        bodies.append(
            {
                "vertices": pack(light.vertices),
                "faces": pack(light.faces),
                "tones": pack(light.tones[:, None], 8),
            }
        )
    hooks = []
    for part in lure.parts:
        if part.kind == "hook":
            told = design.hook[part.name.split()[1]].size
            hooks.append({"at": _short(part.centre), "size": told.value if told else HOOK_SIZE})
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


def _motion(lure: Lure, motion: Motion, rate: int, forces: bool) -> dict[str, Any]:
    """Poses, line and forces of one run."""
    run = motion.run
    end = min(float(run.t[-1]), MOST_SECONDS)
    count = max(2, int(end * rate) + 1)
    times = np.linspace(0.0, end, count)
    y = run.at(times)
    y[:, 3:7] = _joined(y[:, 3:7] / np.linalg.norm(y[:, 3:7], axis=1, keepdims=True))
    tension = reading.tensions(times, y, run.flat)
    said: dict[str, Any] = {
        "kind": motion.kind,
        "tie": motion.tie_on,
        "speed": motion.speed,
        "seconds": round(end, 4),
        "poses": pack(np.column_stack([y[:, :7], tension])),
        "forces": _forces(lure, run, times[::FORCE_EVERY], y[::FORCE_EVERY]) if forces else [],
        "force_every": FORCE_EVERY,
    }
    if run_has_line(run):
        tie = lure.tie_ons[motion.tie_on or next(iter(lure.tie_ons))]
        said["tie_at"] = _short(tie)
        said["line"] = pack(_line(run, times[::LINE_EVERY], y[::LINE_EVERY], tie, motion.kind == "pull"))
        said["line_every"] = LINE_EVERY
    return said


def _joined(quaternions: Array) -> Array:
    """The same attitudes with signs that do not jump."""
    turns = np.sum(quaternions[1:] * quaternions[:-1], axis=1)
    signs = np.concatenate([[1.0], np.cumprod(np.where(turns < 0.0, -1.0, 1.0))])
    return np.asarray(quaternions * signs[:, None])


def _forces(lure: Lure, run: Trajectory, times: Array, y: Array) -> list[dict[str, Any]]:
    """Forces by source at times (k,): name, place in lure axes (m), force in world axes (N).

    Each is drawn from the middle of what it acts on; what hardly comes to `SEEN` of the greatest is left
    out.
    Inertia is no force that one could point at, and has no arrow.
    """
    found = np.einsum(
        "kij,knj->kni", reading.axes(y), breakdown(times, y, run.flat)[:, :, :3]
    )  # (k, sources, 3), world axes
    table = lure.elements.plates
    names = [part.name for part in lure.parts if part.kind == "plate"]
    flow = account.PLATES + np.arange(len(table))
    on_plates = found[:, flow] + found[:, flow + len(table)]  # the flow on each and the vortices behind it
    faces = on_plates[:, len(names) :].sum(axis=1)  # blunt ends come after the plates
    body = found[:, account.BODIES] + found[:, account.ENTRY] + faces
    hangers = [part.centre for part in lure.parts if part.kind in ("hook", "fitting")]
    sources = [
        ("weight", lure.centre, found[:, account.WEIGHT]),
        ("lift of the water", lure.centre_volume, found[:, account.BUOYANCY]),
        ("flow on the body", lure.centre_volume, body),
        *((f"flow on {name}", table[k, P_R : P_R + 3], on_plates[:, k]) for k, name in enumerate(names)),
        ("flow on hooks and fittings", np.mean(hangers or [lure.centre], axis=0), found[:, account.HOOKS]),
        ("flow on wires", lure.centre, found[:, account.WIRES]),
    ]
    if run_has_line(run):
        tie = unpack_problem(run.flat).line[L_TIE : L_TIE + 3]
        sources.insert(0, ("line", tie, found[:, account.LINE]))
    largest = [float(np.quantile(np.linalg.norm(force, axis=1), 0.98)) for _, _, force in sources]
    return [
        {"name": name, "at": _short(at), "newton": pack(force)}
        for (name, at, force), size in zip(sources, largest, strict=True)
        if size > SEEN * max(largest)
    ]


def run_has_line(run: Trajectory) -> bool:
    """Whether anything was tied on in this run."""
    return bool(unpack_problem(run.flat).line[L_MODE] != 0.0)


def _line(run: Trajectory, times: Array, y: Array, tie: Array, bent: bool) -> Array:
    """Shapes of the line (k, 3 + WET_POINTS).

    The rod tip (m), then how far along the level way to it the line has come at equal steps from the lure's
    depth up to the surface (0 while it is tied above the water).
    """
    problem = unpack_problem(run.flat)
    at = reading.points(y, reading.axes(y), tie)
    if bent:
        tips = np.array([line_out(problem.programme, t)[2:5] for t in times])
    else:  # running off the spool: the rod is held still
        tips = np.repeat(problem.programme[:1, 2:5], len(times), axis=0)
    shares = np.zeros((len(times), WET_POINTS))
    for k, (point, tip) in enumerate(zip(at, tips, strict=True)):
        if point[2] > -1e-4 or tip[2] <= 0.0:
            continue
        shares[k] = np.arange(1, WET_POINTS + 1) / WET_POINTS * point[2] / (point[2] - tip[2])  # straight
        x, across, up, pull = line_pull(times[k], y[k], problem) if bent else (0.0, 0.0, 0.0, 0.0)
        if pull > 0.0:
            shares[k] = wet_shape(
                float(np.hypot(*(tip - point)[:2])), -point[2], tip[2], math.atan2(up, math.hypot(x, across))
            )
    return np.column_stack([tips, shares])


def wet_shape(level: float, depth: float, height: float, slope: float, points: int = WET_POINTS) -> Array:
    """Course (points,) of a line that is bent in the water and straight above it.

    The closed form behind `sim.forces.line.bend`: tan(phi/2) grows by e^(z/a) with the depth z. Of all such
    curves from the lure to the rod tip, the one that leaves the lure at `slope` (rad above level).

    Returns:
        The share of the level way from lure to rod tip, at equal steps of depth up to the surface.
    """
    low, high = -MOST_BEND, MOST_BEND
    aim = math.tan(0.5 * slope)
    for _ in range(40):
        ratio = 0.5 * (low + high)
        if _at_surface(level, depth, height, ratio) * math.exp(ratio) < aim:
            low = ratio
        else:
            high = ratio
    ratio = ratio if abs(ratio) > 1e-6 else 1e-6
    surface = _at_surface(level, depth, height, ratio)
    end = surface * math.exp(ratio)
    tau = end * np.exp(-ratio * np.arange(1, points + 1) / points)
    run = 0.5 * depth / ratio * ((1.0 / tau + tau) - (1.0 / end + end))
    return np.asarray(run / max(level, 1e-9))


def _at_surface(level: float, depth: float, height: float, ratio: float) -> float:
    """tan(phi/2) where the line leaves the water, for depth/a = `ratio`."""
    grow = math.exp(ratio)
    reach = depth if abs(ratio) < 1e-9 else depth * (1.0 - 1.0 / grow) / ratio
    rise = height + reach
    return rise / (level + math.sqrt(level * level + rise * (height + reach * grow)))
