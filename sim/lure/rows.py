"""Rows of the budget: bodies less what is drilled out of them, their fill, the weights in them, the paint."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.design.assembly import SharingBody
from sim.design.model import Design
from sim.design.parts import Ballast, Thread
from sim.lure import moments
from sim.lure.bodies import BuiltBody, stuff_of
from sim.lure.lure import Part, Rod
from sim.lure.moments import Array, total
from sim.lure.pool import pool, upward
from sim.lure.profile import BuildError
from sim.lure.small import BlobShape, PlateShape, build_ballast
from sim.remark import Amount, Fact, Remark, remark


@dataclass(frozen=True)
class BudgetRow:
    """A part before it is a `Part`: mass and volume moments (10,)."""

    name: str
    kind: str
    mass: Array
    volume: Array
    source: str
    notes: tuple[Remark, ...] = ()
    rod: Rod | None = None
    points: int = 3

    def part(self) -> Part:
        at = moments.centre(self.mass) if self.mass[0] > 0.0 else moments.centre(self.volume)
        return Part(
            f"{self.kind} {self.name}",
            self.kind,
            float(self.mass[0]),
            float(self.volume[0]),
            at,
            moments.centre(self.volume) if self.volume[0] > 0.0 else at,
            moments.inertia(self.mass),
            self.source,
            self.notes,
            self.rod,
            self.points,
        )


NOTHING = np.zeros(10)


NEARLY = 0.9  # of its radius that a weight must have room for: a place is told to a millimetre


def place_ballast(
    design: Design, bodies: list[BuiltBody], warnings: list[Remark]
) -> tuple[list[tuple[BlobShape, Ballast]], list[list[BlobShape]], list[list[BlobShape]]]:
    """All weights, and for every body those drilled into it and those lying in its cavity."""
    balls: list[tuple[BlobShape, Ballast]] = []
    holes: list[list[BlobShape]] = [[] for _ in bodies]
    inside: list[list[BlobShape]] = [[] for _ in bodies]
    for name, spec in design.ballast.items():
        key = f"ballast.{name}"
        shapes = build_ballast(name, spec, warnings)
        if spec.place == "outside":
            balls.extend((shape, spec) for shape in shapes)
            continue
        wanted = spec.body if spec.body is not None else next(iter(design.body), None)
        homes = [k for k, b in enumerate(bodies) if b.key == wanted]
        if not homes:
            names = ", ".join(design.body) or "none"
            raise BuildError(
                f"{key} sits in body {wanted!r}, which the design does not have (it has: {names}); name one "
                'of them in `body`, or set place = "outside"'
            )
        for i, shape in enumerate(shapes):
            home = homes[min(i, len(homes) - 1)]
            body = bodies[home]
            thread = isinstance(spec, Thread)
            if thread and not body.holds(shape.at):  # where the wire comes out it displaces water
                balls.append((shape, spec.model_copy(update={"place": "outside"})))
                continue
            balls.append((shape, spec))
            if not body.holds(shape.at):
                warnings.append(remark("ballast_outside", part=key, body=body.key))
            elif not thread and _sticks_out(shape, body):
                warnings.append(remark("ballast_no_room", part=key, body=body.key, **_size(shape)))
            if spec.place == "cavity" and body.inner is None:
                warnings.append(remark("ballast_in_solid", part=key, body=body.key))
            (holes if body.inner is None else inside)[home].append(shape)
    return balls, holes, inside


def room_to_fill(design: Design, bodies: list[BuiltBody], name: str) -> float:
    """What a body's hollow takes of a fill, m3: less its infill and the weights that lie in it; 0 of a solid one."""
    place = next(k for k, body in enumerate(bodies) if body.key == name)
    room = bodies[place].room
    if room is None:
        return 0.0
    _, _, inside = place_ballast(design, bodies, [])
    return max(float(room[0]) - sum(float(one.volume[0]) for one in inside[place]), 0.0)


def _size(shape: BlobShape) -> dict[str, Fact]:
    """Width of a ball, or width and length of a rod."""
    if shape.rod is None:
        return {"across": Amount(2.0 * shape.half, "length"), "length": None}
    length = float(np.linalg.norm(shape.rod.run))
    return {"across": Amount(shape.rod.across, "length"), "length": Amount(length, "length")}


def _sticks_out(shape: BlobShape, body: BuiltBody) -> bool:
    """Whether a weight comes through the outside. Of a rod the ends of its middle line and its sides half way count."""
    if shape.rod is not None:
        run = shape.rod.run
        t = run / np.linalg.norm(run)
        sides = NEARLY * 0.5 * shape.rod.across * (np.eye(3) - np.outer(t, t))
        reach = np.vstack([0.5 * NEARLY * run, sides])
    else:
        reach = NEARLY * shape.half * np.eye(3)
    return not body.holds(*(shape.at + reach), *(shape.at - reach))


def body_row(body: BuiltBody, holes: list[BlobShape], warnings: list[Remark]) -> BudgetRow:
    own, spec = body.own, body.spec
    if isinstance(spec, SharingBody) and spec.weight is not None and "assembly." in spec.weight.text:
        share = (remark("share", assembly=spec.home),)
        return BudgetRow(
            body.label, "body", own * (spec.weight.value / own[0]), body.outer, "measured", share
        )
    if spec.weight is not None:
        notes = []
        if body.stuff is not None:
            by_density = Amount(float(own[0]) * body.stuff.density, "mass")
            notes.append(remark("weighed", weight=Amount(spec.weight.value, "mass"), computed=by_density))
        if spec.displaced is not None:
            notes.append(remark("dunked", volume=Amount(spec.displaced.value, "volume")))
        mass = own * (spec.weight.value / own[0])
        return BudgetRow(body.label, "body", mass, body.outer, "measured", tuple(notes))
    assert body.stuff is not None  # build_body has seen to it
    left = total([own, *(-h.volume for h in holes)])
    if left[0] <= 0.0:
        raise BuildError(
            "the ballast drilled into body.{body} takes up more room than the body has, {room:3g}; use less, or a "
            "heavier metal",
            body=body.key,
            room=Amount(float(own[0]), "volume"),
        )
    drilled = (remark("drilled_out", volume=Amount(float(own[0] - left[0]), "volume")),) if holes else ()
    return BudgetRow(body.label, "body", left * body.stuff.density, body.outer, body.stuff.source, drilled)


def fill_row(body: BuiltBody, inside: list[BlobShape], warnings: list[Remark]) -> BudgetRow | None:
    """What the cavity holds; weights that lie in it push a poured fill aside, not a weighed one."""
    spec = body.spec
    room = body.room
    if room is None or room[0] <= 0.0:
        return None
    stuff = stuff_of(f"body.{body.key}.fill", spec.fill, spec.fill_density, None)
    lies = None if stuff is None else _pooled(body, room, stuff.density)
    if lies is not None:
        return BudgetRow(body.label, "fill", lies, NOTHING, "measured", (remark("pooled"),))
    if spec.fill_weight is not None:
        computed = None if stuff is None else Amount(float(room[0]) * stuff.density, "mass")
        notes = () if computed is None else (remark("fill_computed", computed=computed),)
        mass = room * (spec.fill_weight.value / room[0])
        return BudgetRow(body.label, "fill", mass, NOTHING, "measured", notes)
    left = total([room, *(-h.volume for h in inside)])
    if left[0] < 0.0 and not body.twin:
        warnings.append(remark("ballast_too_large", body=body.key, room=Amount(float(room[0]), "volume")))
    if stuff is None or left[0] <= 0.0 or stuff.density <= 0.0:
        return None
    return BudgetRow(body.label, "fill", left * stuff.density, NOTHING, stuff.source)


def _pooled(body: BuiltBody, room: Array, density: float) -> Array | None:
    """Mass moments of a weighed fill that does not fill its room and lies as it set; None of any other."""
    spec = body.spec
    if spec.fill_set is None or spec.fill_weight is None or density <= 0.0:
        return None
    volume = spec.fill_weight.value / density
    if not 0.0 < volume < float(room[0]):
        return None
    lies = pool(body, volume, upward(spec.fill_set.value))
    return moments.about_point(lies.centre, volume, lies.second) * density


def paint_rows(
    design: Design, bodies: list[BuiltBody], plates: list[PlateShape]
) -> tuple[list[BudgetRow], list[float]]:
    """Paint as an even skin over the bodies, or over both faces of the plates if there is no body.

    Returns its rows, and its volume on each of them: what they displace is grown by that much.
    """
    paint = design.paint
    coats = [0.0] * (len(bodies) or len(plates))
    if paint is None or (paint.weight is None and paint.thickness is None):
        return [], coats
    areas = [b.skin for b in bodies] if bodies else [2.0 * p.area for p in plates]
    if not areas:
        return [], coats
    density = paint.density.value
    if paint.weight is not None:
        mass, source = paint.weight.value, "measured"
    else:
        assert paint.thickness is not None
        mass, source = paint.thickness.value * sum(areas) * density, "computed"
    rows = []
    for k, area in enumerate(areas):
        share = mass * area / sum(areas)
        if bodies:
            body = bodies[k]
            spread = moments.of_skin(*body.rings, body.frame)
            # the water it pushes aside counts at the body's own middle, where the grown hull has it
            room = moments.of_point(moments.centre(body.outer), share / density)
            label = body.label
        else:
            spread, label = plates[k].volume, plates[k].label
            room = moments.of_point(plates[k].r, share / density)
        coats[k] = share / density
        rows.append(BudgetRow(label, "paint", spread * (share / spread[0]), room, source))
    return rows, coats
