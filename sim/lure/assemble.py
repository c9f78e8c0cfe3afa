"""From a design to a `Lure`: weighed parts, element tables for the compiled code, and closed hulls."""

from __future__ import annotations

import math

import numpy as np

from sim import elements as e
from sim.design.model import Design
from sim.elements import Hull
from sim.lure import added_mass as am
from sim.lure.bodies import tie_on_point
from sim.lure.lure import Lure
from sim.lure.moments import Array
from sim.lure.plates import FREE, SHED_LEAST, common_row, faces, plate_added, plate_place, plate_row
from sim.lure.small import BlobShape, WireShape
from sim.lure.strips import STRIPS, body_rows
from sim.lure.weigh import Weighed, weigh

WIRE_PIECE = 6  # a wire longer than this share of the lure is cut
MOST_PIECES = 4

BLOB_CARRIED = 0.5
"""Added mass of a hook, fitting or outside weight over its volume, alike in every direction: a ball's value
(Lamb, Art. 92); a bent wire's would be up to twice that across and none along. Standing: judgement."""


def build(design: Design, strips: int = STRIPS, with_hulls: bool = True) -> Lure:
    """Build a design.

    Args:
        strips: strips along each body.
        with_hulls: meshes of the bodies, for hydrostatics and drawing; the dearest part, and not needed to
        swim.

    Raises:
        BuildError: a design that cannot be built, in words a maker can act on.
    """
    whole = weigh(design)
    room = volumes(whole)
    elements = _elements(whole, room, strips)
    hulls: tuple[Hull, ...] = ()
    if with_hulls:
        hulls = tuple(b.hull(v) for b, v in zip(whole.bodies, room, strict=True))
    return _lure(design, whole, elements, hulls)


def _lure(design: Design, whole: Weighed, elements: e.Elements, hulls: tuple[Hull, ...]) -> Lure:
    nose, tail = _reach(whole)
    return Lure(
        design.name,
        whole.parts,
        whole.mass,
        whole.centre,
        whole.volume,
        whole.centre_volume,
        elements,
        hulls,
        small_rows(whole),
        {name: tie_on_point(tie) for name, tie in design.tie_on.items()},
        nose - tail,
        (nose, tail),
        whole.warnings,
    )


def outside(design: Design) -> Lure:
    """What is seen of a design: weights, hulls, plates and wires, but nothing that the water does to its bodies.

    It needs next to no compiled code; it is for drawing, not for swimming.

    Raises:
        BuildError: a design that cannot be built, in words a maker can act on.
    """
    whole = weigh(design)
    hulls = tuple(b.hull(v) for b, v in zip(whole.bodies, volumes(whole), strict=True))
    return _lure(design, whole, _elements(whole, None, STRIPS), hulls)


def volumes(whole: Weighed) -> list[float]:
    """What each body displaces with its paint, or as dunked, m3."""
    return [(float(b.outer[0]) + whole.coats[k]) * whole.scale for k, b in enumerate(whole.bodies)]


def small_rows(whole: Weighed) -> Array:
    """Rows of `common` of all that displaces water beside the bodies: plates, wires, blobs (k, N_COMMON)."""
    rows = [plate_place(plate, _plate_volume(whole, k)) for k, plate in enumerate(whole.plates)]
    if whole.wires:
        nose, tail = _reach(whole)
        for wire in whole.wires:
            pieces = _pieces(wire, nose - tail)
            rows += [_wire_place(wire, k, pieces, whole.scale) for k in range(pieces)]
    rows += [_blob_place(blob, whole.scale) for blob in whole.blobs]
    table = _table(rows, e.N_COMMON)
    return np.ascontiguousarray(table[table[:, e.VOLUME] > 0.0])


def _plate_volume(whole: Weighed, k: int) -> float:
    coat = 0.0 if whole.bodies else whole.coats[k]
    return (float(whole.plates[k].volume[0]) + coat) * whole.scale


def _elements(whole: Weighed, room: list[float] | None, strips: int) -> e.Elements:
    """The tables; each body displaces its `room` (m3), and without any they are those of all but the bodies."""
    common: list[Array] = []
    added: list[Array] = []
    bodies: list[Array] = []
    strip_rows: list[Array] = []
    planes: list[tuple[Array, Array]] = []
    for body, volume in zip(whole.bodies, room, strict=True) if room is not None else ():
        rows = body_rows(body, volume, strips)
        rows.body[e.B_FIRST] = len(bodies) * strips
        rows.body[e.B_LAST] = (len(bodies) + 1) * strips
        bodies.append(rows.body)
        common.extend(rows.common)
        added.extend(rows.added)
        strip_rows.extend(rows.strips)
        if rows.plane is not None:
            planes.append(rows.plane)
    plates: list[Array] = []
    oscillators = 0
    nose, tail = _reach(whole)
    for k, plate in enumerate(whole.plates):
        place, carried = plate_place(plate, _plate_volume(whole, k)), plate_added(plate)
        sheds = plate.role in ("lip", *FREE) and min(plate.length, plate.width) > SHED_LEAST * (nose - tail)
        plates.append(plate_row(plate, len(common), oscillators if sheds else -1))
        oscillators += sheds
        common.append(place)
        added.append(carried)
    for place, row in planes:
        row[e.P_ROW] = len(common)
        plates.append(row)
        common.append(place)
        added.append(np.zeros(e.N_ADDED))
    for place, row, sheds in _paired_faces(whole):
        row[e.P_ROW] = len(common)
        row[e.P_SHED] = oscillators if sheds else -1
        oscillators += sheds
        plates.append(row)
        common.append(place)
        added.append(np.zeros(e.N_ADDED))
    wires: list[Array] = []
    for wire in whole.wires:
        pieces = _pieces(wire, nose - tail)
        for k in range(pieces):
            place, (carried, row) = _wire_place(wire, k, pieces, whole.scale), _wire(wire, k, pieces)
            row[e.W_ROW] = len(common)
            wires.append(row)
            common.append(place)
            added.append(carried)
    blobs: list[Array] = []
    for blob in whole.blobs:
        blobs.append(np.array([len(common), blob.cda, blob.across, float(blob.mass[0])]))
        common.append(_blob_place(blob, whole.scale))
        added.append(_blob_added(blob))
    return e.Elements(
        _table(common, e.N_COMMON),
        _table(added, e.N_ADDED),
        _table(bodies, e.N_BODY),
        _table(strip_rows, e.N_STRIP),
        _table(plates, e.N_PLATE),
        _table(wires, e.N_WIRE),
        _table(blobs, e.N_BLOB),
        rigid_body(whole.mass, whole.centre, whole.inertia),
    )


def _table(rows: list[Array], columns: int) -> Array:
    return np.ascontiguousarray(np.array(rows, dtype=float).reshape(len(rows), columns))


def _paired_faces(whole: Weighed) -> list[tuple[Array, Array, bool]]:
    """End faces of all bodies, twins beside each other."""
    out: list[tuple[Array, Array, bool]] = []
    k = 0
    while k < len(whole.bodies):
        here = faces(whole.bodies[k])
        twin = k + 1 < len(whole.bodies) and whole.bodies[k + 1].twin
        there = faces(whole.bodies[k + 1]) if twin else []
        for i, face in enumerate(here):
            out.append(face)
            if twin:
                out.append(there[i])
        k += 2 if twin else 1
    return out


def _pieces(wire: WireShape, length: float) -> int:
    run = math.dist(wire.start, wire.end)
    return min(max(math.ceil(WIRE_PIECE * run / length - 1e-9), 1), MOST_PIECES)


def _piece(wire: WireShape, k: int, pieces: int) -> tuple[Array, Array, float]:
    """Middle (3,), direction (3,) and length of one piece of a wire."""
    run = (wire.end - wire.start) / pieces
    length = math.sqrt(float(run @ run))
    return wire.start + (k + 0.5) * run, run / length, length


def _wire_place(wire: WireShape, k: int, pieces: int, scale: float) -> Array:
    """The row of `common` of one piece of a wire."""
    r, t, length = _piece(wire, k, pieces)
    across = np.eye(3) - np.outer(t, t)
    q = np.outer(t, t) * (0.5 * length) ** 2 + across * (0.5 * wire.diameter) ** 2
    return common_row(r, q, float(wire.volume[0]) / pieces * scale)


def _wire(wire: WireShape, k: int, pieces: int) -> tuple[Array, Array]:
    """The rows of `added` and `wires` of one piece of a wire."""
    r, t, length = _piece(wire, k, pieces)
    radius = 0.5 * wire.diameter
    across = np.eye(3) - np.outer(t, t)
    # flow across a cylinder carries its own volume (Newman 1977, table 4.3); turning, spread along its length
    carried = np.zeros((6, 6))
    mass = math.pi * radius**2 * length
    lever = np.array(
        [[0.0, r[2], -r[1]], [-r[2], 0.0, r[0]], [r[1], -r[0], 0.0]]
    )  # v + w x r = [I, lever] nu
    carried[:3, :3] = mass * across
    carried[:3, 3:] = mass * across @ lever
    carried[3:, :3] = carried[:3, 3:].T
    carried[3:, 3:] = lever.T @ (mass * across) @ lever + mass * length**2 / 12.0 * across
    return am.packed(carried), np.array([0.0, *t, length, wire.diameter])


def _blob_place(blob: BlobShape, scale: float) -> Array:
    """The row of `common` of a hook, fitting or weight."""
    run = np.eye(3) * blob.half if blob.rod is None else 0.5 * blob.rod.run[:, None]
    return common_row(blob.at, run @ run.T, float(blob.volume[0]) * scale)


def _blob_added(blob: BlobShape) -> Array:
    """The row of `added` of a hook, fitting or weight."""
    carried = np.array([BLOB_CARRIED * float(blob.volume[0])])
    return sum(
        (am.moved(carried, axis, blob.at[None, :])[0] for axis in np.eye(3)),
        np.zeros(e.N_ADDED),
    )


def rigid_body(mass: float, centre: Array, inertia: Array) -> Array:
    """Rigid-body mass matrix about the origin (6, 6): (p, h) = M (v, omega)."""
    x, y, z = centre
    s = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    out = np.zeros((6, 6))
    out[:3, :3] = mass * np.eye(3)
    out[:3, 3:], out[3:, :3] = -mass * s, mass * s
    out[3:, 3:] = inertia - mass * s @ s
    return out


def _reach(whole: Weighed) -> tuple[float, float]:
    """Largest and smallest x of bodies, plates, wires and hangers, m."""
    x: list[float] = []
    for body in whole.bodies:
        cut = body.profile.at(np.linspace(body.profile.start, body.profile.end, 41))
        middle = body.frame.nose[0] - cut.s * body.frame.along[0] + cut.z0 * body.frame.up[0]
        side = cut.c * abs(body.frame.up[0])
        x += [float((middle + side).max()), float((middle - side).min())]
    for plate in whole.plates:
        half = 0.5 * plate.length * abs(plate.c[0]) + 0.5 * plate.width * abs(plate.s[0])
        x += [float(plate.r[0] + half), float(plate.r[0] - half)]
    for wire in whole.wires:
        x += [float(wire.start[0]), float(wire.end[0])]
    x += [float(blob.at[0]) for blob in whole.blobs]
    if max(x) - min(x) > 0.0:
        return max(x), min(x)
    half = max(float(w.diameter) for w in whole.wires) if whole.wires else 1e-3
    return max(x) + half, min(x) - half
