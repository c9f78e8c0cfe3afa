"""The weight and volume budget: every part's mass, volume, place and inertia, and their sum.

Measured values of the finished lure beat the sum of its parts; the difference is a row of its own. This is
the cheap half of `build`: no mesh and no element table, so that uncertainty runs can call it often.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from sim.bench.hardware import POINTS
from sim.design.assembly import SharingBody
from sim.design.expand import expanded, with_rattles
from sim.design.model import Design
from sim.design.parts import Thread
from sim.lure import moments
from sim.lure.bodies import BuiltBody, build_body
from sim.lure.lure import Part
from sim.lure.moments import Array, total
from sim.lure.profile import BuildError
from sim.lure.rows import NOTHING, BudgetRow, body_row, fill_row, paint_rows, place_ballast
from sim.lure.sharing import shared
from sim.lure.small import (
    BlobShape,
    PlateShape,
    WireShape,
    build_hanging,
    build_plate,
    build_wire,
)
from sim.remark import Amount, Remark, remark

OVERLAP_POINTS = 24  # along a body's middle, at which it is looked for in another
LONGEST_JOINT, SHARE_JOINT = (
    1e-3,
    0.1,
)  # m, and of its length: so far may bodies reach into each other without a word
MOST_NAMED = 3  # bodies in others that a warning names
ODD_VOLUME = 0.2  # share by which dunked and computed volume may differ without a word


@dataclass(frozen=True)
class Weighed:
    """A design's parts in place and their totals. SI, lure axes."""

    parts: tuple[Part, ...]
    mass: float  # kg
    centre: Array  # of gravity (3,), m
    inertia: Array  # about `centre` (3, 3), kg m2
    volume: float  # m3
    centre_volume: Array  # of buoyancy (3,), m
    bodies: tuple[BuiltBody, ...]
    plates: tuple[PlateShape, ...]
    wires: tuple[WireShape, ...]
    blobs: tuple[BlobShape, ...]  # hooks, fittings, outside ballast
    coats: tuple[float, ...]  # volume of paint on each body, or on each plate if there is no body, m3
    scale: float  # measured over computed volume of the whole lure
    warnings: tuple[Remark, ...]


def weigh(design: Design) -> Weighed:
    """Weigh a design part by part.

    Raises:
        BuildError: a design that cannot be built, in words a maker can act on.
    """
    warnings: list[Remark] = []
    design = with_rattles(shared(expanded(design), warnings))
    bodies = [b for name, spec in design.body.items() for b in build_body(name, spec, warnings)]
    plates = [p for name, spec in design.plate.items() for p in build_plate(name, spec, warnings)]
    wires = [w for name, spec in design.wire.items() for w in build_wire(name, spec, warnings)]
    hanging = [
        b
        for kind, group in (("hook", design.hook), ("fitting", design.fitting))
        for name, spec in group.items()
        for b in build_hanging(name, kind, spec, warnings)
    ]
    if not bodies and not plates and not wires:
        raise BuildError("the design has no body, no plate and no wire; describe at least one, for example "
                         "[body.main]")  # fmt: skip
    balls, holes, inside = place_ballast(design, bodies, warnings)
    _overlaps(bodies, warnings)

    rows: list[BudgetRow] = []
    for k, body in enumerate(bodies):
        rows.append(body_row(body, holes[k], warnings))
    for k, body in enumerate(bodies):
        fill = fill_row(body, inside[k], warnings)
        if fill is not None:
            rows.append(fill)
    paint, coats = paint_rows(design, bodies, plates)
    rows.extend(paint)
    rows.extend(BudgetRow(p.label, "plate", p.mass, p.volume, p.source, p.notes) for p in plates)
    rows.extend(BudgetRow(w.label, "wire", w.mass, w.volume, w.source, w.notes) for w in wires)
    rows.extend(
        BudgetRow(h.label, h.kind, h.mass, h.volume, _source(design, h), points=_points(design, h))
        for h in hanging
    )
    outside = [ball for ball, spec in balls if spec.place == "outside"]
    threaded: dict[str, list[BudgetRow]] = {}
    for ball, spec in balls:
        displaced = ball.volume if spec.place == "outside" else NOTHING
        if isinstance(spec, Thread):
            label = ball.label.replace(ball.label.partition(" (")[0], spec.wire)
            source = "measured" if spec.weighed else "computed"
            threaded.setdefault(label, []).append(BudgetRow(label, "wire", ball.mass, displaced, source))
        else:
            by_form = spec.metal is not None and spec.weight == spec.metal.weight(spec.metal_density())
            source = "computed" if by_form else "measured"
            rows.append(BudgetRow(ball.label, "ballast", ball.mass, displaced, source, rod=ball.rod))
    for pieces in threaded.values():
        rows.append(
            replace(pieces[0], mass=total(p.mass for p in pieces), volume=total(p.volume for p in pieces))
        )
    return _totals(design, rows, bodies, plates, wires, [*hanging, *outside], coats, warnings)


def _points(design: Design, blob: BlobShape) -> int:
    """How many points a hook has, as far as the file says; a treble has three."""
    part = getattr(design, blob.kind).get(blob.label.partition(" (")[0])
    return POINTS.get(part.estimate.kind, 3) if part is not None and part.estimate is not None else 3


def _source(design: Design, blob: BlobShape) -> str:
    """Whether somebody weighed a hook or a fitting, or its weight is estimated from its sizes or its number."""
    part = getattr(design, blob.kind).get(blob.label.partition(" (")[0])
    return "estimated" if part is not None and part.estimated() else "measured"


def _overlaps(bodies: list[BuiltBody], warnings: list[Remark]) -> None:
    """Say where a body sits in another: both push water aside in full, and only one of them can."""
    single = [body for body in bodies if not body.twin]
    if len(single) < 2:
        return
    by_size = sorted(single, key=lambda body: float(body.outer[0]))
    middles = np.array([moments.centre(body.outer) for body in by_size])
    sizes = np.array([_size(body) for body in by_size])
    found = []
    for k, inner in enumerate(by_size):
        apart = np.linalg.norm(middles[k + 1 :] - middles[k], axis=1)
        near = (j for j in np.flatnonzero(apart <= sizes[k + 1 :] + sizes[k]) + k + 1)
        within = ((j, _within(inner, by_size[j])) for j in near if not _one_volume(inner, by_size[j]))
        far = max(LONGEST_JOINT, SHARE_JOINT * inner.profile.length)
        home = next(((by_size[j], reach) for j, reach in within if reach > far), None)
        if home is not None:
            found.append((inner, *home))
    if found:
        inner, outer, reach = found[0]
        more = tuple(
            remark("and_overlap", inner=a.key, reach=Amount(far, "length"), outer=b.key)
            for a, b, far in found[1:MOST_NAMED]
        )
        warnings.append(
            remark(
                "overlap", inner=inner.key, reach=Amount(reach, "length"), outer=outer.key, more=more,
                others=max(len(found) - MOST_NAMED, 0),
            )
        )  # fmt: skip


def _one_volume(one: BuiltBody, other: BuiltBody) -> bool:
    """Whether two bodies were dunked or filled together, so that what they push aside is known."""
    a, b = one.spec, other.spec
    shares = isinstance(a, SharingBody) and isinstance(b, SharingBody) and a.home == b.home
    return shares and getattr(a, "outside_told", False)


def _within(inner: BuiltBody, outer: BuiltBody) -> float:
    """How much of a body's middle line runs inside another, m."""
    s = inner.profile.even(OVERLAP_POINTS)[1:-1]
    points = inner.frame.nose - s[:, None] * inner.frame.along
    return sum(outer.holds(point) for point in points) / len(points) * inner.profile.length


def _size(body: BuiltBody) -> float:
    """No less than half of the largest distance across a body, m."""
    cut = body.profile.at(body.profile.even(8))
    return max(body.profile.length, float(cut.b.max()), float(cut.c.max()))


def _totals(
    design: Design,
    rows: list[BudgetRow],
    bodies: list[BuiltBody],
    plates: list[PlateShape],
    wires: list[WireShape],
    blobs: list[BlobShape],
    coats: list[float],
    warnings: list[Remark],
) -> Weighed:
    mass_sum, volume_sum = total(r.mass for r in rows), total(r.volume for r in rows)
    summed, space = float(mass_sum[0]), float(volume_sum[0])
    centre, buoyancy = moments.centre(mass_sum), moments.centre(volume_sum)
    inertia = moments.inertia(mass_sum)
    parts = [r.part() for r in rows]
    told = design.measured
    mass = told.weight.value if told.weight is not None else summed
    volume = told.displaced.value if told.displaced is not None else space
    if mass <= 0.0:
        raise BuildError("the lure weighs nothing; give at least one part a weight, a material or a density")
    if volume <= 0.0:
        raise BuildError("the lure takes up no room; give at least one body its sizes")
    at = centre
    balanced = told.balance is not None or told.balance_up is not None
    if balanced:
        along = centre[0] if told.balance is None else 0.0 - told.balance.value
        at = np.array([along, centre[1], centre[2] if told.balance_up is None else told.balance_up.value])
    if told.weight is not None or told.displaced is not None or balanced:
        inertia = inertia * (mass / summed if summed > 0.0 else 1.0)
        parts.append(_measured_part(design, parts, summed, space, mass, volume, at, buoyancy, inertia))
        _doubt(design, summed, space, volume, centre, bodies, warnings)
    return Weighed(
        tuple(parts), mass, at, inertia, volume, buoyancy, tuple(bodies), tuple(plates),
        tuple(wires), tuple(blobs), tuple(coats), volume / space, tuple(warnings),
    )  # fmt: skip


def _measured_part(
    design: Design,
    parts: list[Part],
    summed: float,
    space: float,
    mass: float,
    volume: float,
    at: Array,
    buoyancy: Array,
    inertia: Array,
) -> Part:
    """The row that carries what the bench found and the parts do not explain.

    Its mass sits where the whole balances as measured. With a measured balance and hardly any difference in
    weight no such place exists; the row then stands at the centre and the balance alone is taken over.
    """
    told = design.measured
    extra = mass - summed
    first = np.array([_moment(parts, k) for k in range(3)])
    place = at
    if told.balance is None and told.balance_up is None:
        place = at
    elif abs(extra) > 1e-3 * mass:
        place = (mass * at - first) / extra
    notes = []
    if told.weight is not None:
        notes.append(remark("whole_weighed", weight=Amount(mass, "mass"), computed=Amount(summed, "mass")))
    if told.displaced is not None:
        notes.append(
            remark("whole_dunked", volume=Amount(volume, "volume"), computed=Amount(space, "volume"))
        )
    if told.balance is not None and summed > 0.0:
        computed = Amount(-float(first[0]) / summed, "length")
        place_given = Amount(told.balance.value, "length")
        notes.append(remark("whole_balanced", place=place_given, computed=computed))
    if told.balance_up is not None and summed > 0.0:
        computed = Amount(float(first[2]) / summed, "length")
        place_given = Amount(told.balance_up.value, "length")
        notes.append(remark("whole_balanced_up", place=place_given, computed=computed))
    own = inertia - sum((_shifted(p, at) for p in parts), np.zeros((3, 3)))
    gap = place - at
    own = own - extra * (gap @ gap * np.eye(3) - np.outer(gap, gap))
    return Part(
        "measured whole",
        "measured",
        extra,
        volume - space,
        place,
        buoyancy,
        own,
        "measured",
        tuple(notes),
    )


def _moment(parts: list[Part], k: int) -> float:
    return math.fsum(p.mass * float(p.centre[k]) for p in parts)


def _shifted(part: Part, at: Array) -> Array:
    """A part's inertia about `at` (3, 3)."""
    gap = part.centre - at
    return part.inertia + part.mass * (gap @ gap * np.eye(3) - np.outer(gap, gap))


def _doubt(
    design: Design,
    summed: float,
    space: float,
    volume: float,
    centre: Array,
    bodies: list[BuiltBody],
    warnings: list[Remark],
) -> None:
    told = design.measured
    if told.displaced is not None and abs(volume / space - 1.0) > ODD_VOLUME:
        warnings.append(remark("odd_displaced", given=told.displaced.text, computed=Amount(space, "volume")))
    if told.weight is not None and summed > 0.0 and abs(told.weight.value / summed - 1.0) > ODD_VOLUME:
        warnings.append(remark("odd_whole", given=told.weight.text, computed=Amount(summed, "mass")))
    if told.balance is not None and bodies:
        reach = max(b.profile.length for b in bodies)
        if abs(told.balance.value + float(centre[0])) > 0.1 * reach:
            balances = Amount(-float(centre[0]), "length")
            warnings.append(remark("odd_balance", given=told.balance.text, computed=balances))
