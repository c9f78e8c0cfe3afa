"""What a maker may change to mend a lure, in sizes that exist, and how big a change each one is.

A lever is one thing changed one way, from the least step to the most. Each step says what to write in the file
(by path, as `sim.design.edit` takes it) and what it costs: how big a change a maker feels it is, in the work of
drilling one hole afresh. The costs, and how far a lever reaches, are judgement; so is that a body which has been
weighed or dunked exists already and is not carved to another size.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from sim.bench.hardware import LINES, OF_A_TREBLE, TREBLES, hook_by_size
from sim.design.assembly import Assembly, alike
from sim.design.materials import find
from sim.design.model import Design, MixPart
from sim.design.own import folded
from sim.design.parts import Body, Hanging, Plate
from sim.lure.bodies import BuiltBody
from sim.lure.rows import room_to_fill
from sim.studies import eyes
from sim.studies.redesign import clearance as room
from sim.studies.redesign.scaling import scaled
from sim.studies.redesign.step import FOAM, Change, Kind, Lever, Modification, grams, mm, shifted
from sim.studies.redesign.weights import ballast

GROUPS = ("ballast", "lip", "fin", "tie-on", "hooks", "fill", "scale", "line")

AT_EDGE = 3e-3  # m from the edge of a blade: what hangs there goes along with it
EYE_FARTHEST = 12  # mm that an eye is moved
HARDLY = 0.9  # times as heavy: a hook nearer than that to the one there is no other hook
SHEETS = (0.5, 0.8, 1.0, 1.2, 1.5, 2.0, 2.5, 3.0)  # mm, thicknesses of sheet; from memory
FILLS = (0.05, 0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0, 1.1)  # g/mL
FILLERS = (5, 10, 15, 20, 25, 30, 35, 40, 50, 60, 70, 80, 100)  # percent of the weight of all parts
SCALES = (2, 4, 6, 8, 10, 12, 15, 18, 20, 25, 30)  # percent


def levers(
    design: Design,
    points: Sequence[str],
    free: bool,
    allow: Iterable[str] = GROUPS,
    keep: Sequence[str] = (),
    file: Design | None = None,
) -> list[Lever]:
    """Every lever of a design.

    Args:
        points: tie-on points that the request speaks of; only these are moved.
        free: whether the request leaves open where the line is tied.
        allow: groups of levers, of `GROUPS`.
        keep: paths, or beginnings of them, that stay as they are.
        file: the design as the file has it, where `design` has through wires and readings turned into values.

    Raises:
        BuildError: a design that cannot be built.
    """
    allowed, file = set(allow), file or design
    built = room.bodies(design)
    makers: dict[str, Callable[[], Iterator[Lever]]] = {
        "ballast": lambda: ballast(design, built, file.ballast),
        "lip": lambda: _plates(design, ("lip",)),
        "fin": lambda: _plates(design, ("fin", "tail", "blade", "spoon")),
        "tie-on": lambda: _tie_ons(design, built, points, free),
        "hooks": lambda: _hooks(design),
        "fill": lambda: _fills(design, built, file),
        "scale": lambda: _scales(file),
        "line": lambda: _lines(design),
    }
    found = [lever for group in GROUPS if group in allowed for lever in makers[group]()]
    return [lever for lever in (_kept(lever, keep) for lever in found) if lever.steps]


def _kept(lever: Lever, keep: Sequence[str]) -> Lever:
    def free(step: Change) -> bool:
        return not any(
            path == kept or path.startswith(f"{kept}.") or kept.startswith(f"{path}.")
            for path in (*step.changes, *step.besides)
            for kept in keep
        )

    return replace(lever, steps=tuple(step for step in lever.steps if free(step)))


def _resized(kind: Kind, part: str, to_mm: float, was_mm: float, way: str = "") -> Modification:
    return Modification(kind=kind, part=part, to_si=1e-3 * to_mm, was_si=1e-3 * was_mm, way=way)


# ---- plates, hooks, eyes ------------------------------------------------------------------------------


def _plates(design: Design, roles: Sequence[str]) -> Iterator[Lever]:
    for name, plate in design.plate.items():
        if plate.role not in roles:
            continue
        group = "lip" if plate.role == "lip" else "fin"
        if plate.role == "lip":
            yield from _angles(name, plate)
        for size in ("length", "width"):
            yield from _sizes(design, name, size, group)
        if plate.role == "spoon":
            yield from _sheets(name, plate)


def _angles(name: str, plate: Plate) -> Iterator[Lever]:
    now = float(np.degrees(plate.angle.value))
    path = f"plate.{name}.angle"
    for ends in (range(int(np.floor(now + 1e-9)) + 1, 101), range(int(np.ceil(now - 1e-9)) - 1, 4, -1)):
        steps = [
            Change(
                Modification(
                    kind=Kind.TURN, part=f"plate.{name}", to_si=math.radians(deg), was_si=plate.angle.value
                ),
                {path: f"{deg} deg"}, 1.5 + abs(deg - now) / 10,
            )
            for deg in ends
            if abs(deg - now) <= 40
        ]  # fmt: skip
        yield Lever(path, "lip", tuple(steps))


def _sizes(design: Design, name: str, size: str, group: str) -> Iterator[Lever]:
    plate = design.plate[name]
    now = 1e3 * getattr(plate, size).value
    path = f"plate.{name}.{size}"
    weighed = {f"plate.{name}.weight": None} if plate.weight is not None else {}
    halves = [
        0.5 * k for k in range(max(4, int(now)), int(3 * now) + 1)
    ]  # half the size to half as much again
    up = [x for x in halves if x > now + 1e-6]
    down = [x for x in reversed(halves) if x < now - 1e-6]
    word = {"length": ("longer", "shorter"), "width": ("wider", "narrower")}[size]
    for values, more in ((up, word[0]), (down, word[1])):
        steps = [
            Change(
                _resized(Kind.RESIZE, f"plate.{name}", x, now, more),
                {path: mm(x), **weighed, **(_behind(design, plate, x - now) if size == "length" else {})},
                1.5 + abs(x - now) / 4,
            )
            for x in values
        ]
        yield Lever(path, group, tuple(steps))


def _behind(design: Design, plate: Plate, longer: float) -> dict[str, str]:
    """Places of all that hangs at the far edge of a blade or behind it, which go along when it is `longer` (mm)."""
    if plate.role != "spoon":
        return {}
    back, up = math.cos(plate.angle.value), -math.sin(plate.angle.value)
    edge = plate.root.back.value + back * plate.length.value - AT_EDGE
    hung = {
        f"{group}.{name}.at": part.at
        for group in ("hook", "fitting", "ballast", "tie_on")
        for name, part in getattr(design, group).items()
    }
    hung |= {f"plate.{name}.root": other.root for name, other in design.plate.items() if other is not plate}
    return {
        f"{path}.{axis}": mm(1e3 * getattr(place, axis).value + way * longer)
        for path, place in hung.items()
        for axis, way in (("back", back), ("up", up))
        if place.back.value >= edge and abs(way * longer) >= 0.05
    }


def _sheets(name: str, plate: Plate) -> Iterator[Lever]:
    now, path = 1e3 * plate.thickness.value, f"plate.{name}.thickness"
    weighed = {f"plate.{name}.weight": None} if plate.weight is not None else {}
    up, down = [t for t in SHEETS if t > now + 1e-6], [t for t in reversed(SHEETS) if t < now - 1e-6]
    for values in (up, down):
        steps = [
            Change(_resized(Kind.SHEET, f"plate.{name}", t, now), {path: mm(t), **weighed}, 3.0 + k)
            for k, t in enumerate(values)
        ]
        yield Lever(path, "fin", tuple(steps))


def _hooks(design: Design) -> Iterator[Lever]:
    for name, hook in design.hook.items():
        assert hook.weight is not None
        path, now = f"hook.{name}", hook.weight.value
        kind = hook.estimate.kind if hook.estimate is not None else "treble"
        kind = kind if kind in OF_A_TREBLE else "treble"
        sizes = [(number, hook_by_size(kind, number).value) for number in TREBLES]
        lighter = [_hook(path, hook, kind, *one) for one in reversed(sizes) if one[1] < HARDLY * now]
        off = Change(Modification(kind=Kind.LEAVE_OFF, part=path), {path: None}, 4.0 + 1e3 * now)
        yield Lever(path, "hooks", (*lighter, off))
        heavier = (one for one in sizes if now < HARDLY * one[1] and one[1] < 2.0 * now + 1e-3)
        yield Lever(path, "hooks", tuple(_hook(path, hook, kind, *one) for one in heavier))


def _hook(path: str, hook: Hanging, kind: str, number: str, mass: float) -> Change:
    """A hook of another size, as the packet names it; it weighs what such a one usually does."""
    assert hook.weight is not None
    now = hook.weight.value
    estimate = {"kind": kind, "number": number}
    changes: dict[str, Any] = {f"{path}.weight": None, f"{path}.bulk": None, f"{path}.estimate": estimate}
    if hook.size is not None:  # hooks are alike in shape
        changes[f"{path}.size"] = mm(0.5 * round(2e3 * hook.size.value * (mass / now) ** (1 / 3)))
    does = Modification(kind=Kind.HANG, part=path, to_si=mass, was_si=now, way=f"{kind} of size {number}")
    return Change(does, changes, 0.5 + 2e3 * abs(mass - now))


def _tie_ons(design: Design, built: list[BuiltBody], points: Sequence[str], free: bool) -> Iterator[Lever]:
    if free and points:
        others = [name for name in design.tie_on if name != points[0]]
        steps = tuple(
            Change(Modification(kind=Kind.TIE_TO, part=points[0], way=name), {}, 0.5, name, ("tie_on",))
            for name in others
        )
        yield Lever("tie-on", "tie-on", steps[:1])
        for step in steps[1:]:
            yield Lever("tie-on", "tie-on", (step,))
    words = {("back", -1): "forward", ("back", 1): "back", ("up", 1): "up", ("up", -1): "down"}
    for name in points:
        eye = design.tie_on[name]
        for (axis, sign), word in words.items():
            steps = tuple(
                Change(
                    Modification(
                        kind=Kind.MOVE_EYE,
                        part=name,
                        to_si=1e-3 * far,
                        way=word,
                    ),
                    {f"tie_on.{name}.at.{axis}": mm(1e3 * getattr(eye.at, axis).value + sign * far)},
                    1.0 + far / 5,
                )
                for far in range(1, EYE_FARTHEST + 1)
                if eyes.can_be(room.vector(shifted(eye.at, axis, sign * far)), design, built)
            )
            yield Lever(f"tie_on.{name}.at.{axis}", "tie-on", steps)


# ---- the whole ----------------------------------------------------------------------------------------


def _fills(design: Design, built: list[BuiltBody], file: Design) -> Iterator[Lever]:
    parts: dict[str, Body | Assembly] = {f"body.{name}": one for name, one in design.body.items()}
    parts |= {f"assembly.{name}": one for name, one in design.assembly.items()}
    for path, body in parts.items():
        now = _fill_density(body)
        if now is None:
            continue
        whole = {f"{path}.fill_weight": None} if body.fill_weight is not None else {}
        fill = {} if body.fill is not None else {f"{path}.fill": "foam"}

        empty = {f"{path}.fill": None, f"{path}.fill_density": None, f"{path}.fill_set": None, **whole}
        if isinstance(body, Assembly):
            del empty[f"{path}.fill_set"]
        left = _room(design, built, path.split(".")[1])
        leave = Change(Modification(kind=Kind.EMPTY, part=path), empty, 2.5)
        mixed = _filler(file, path)
        densities = FILLS if mixed is None else [d for d in FILLS if 1e3 * d <= FOAM]
        lighter = [
            _filled(path, {**fill, **whole}, d, now, left) for d in reversed(densities) if d < now - 1e-6
        ]
        if now > 0.0:
            lighter.append(leave)
        yield Lever(f"{path}.fill", "fill", tuple(lighter))
        denser = tuple(_filled(path, {**fill, **whole}, d, now, left) for d in densities if d > now + 1e-6)
        yield Lever(f"{path}.fill", "fill", denser)
        if mixed is not None:
            yield from _stirred(f"{path}.fill", *mixed)
        if isinstance(body, Body) and now > 0.0 and body.fill_weight is None:
            yield Lever(f"{path}.fill", "fill", tuple(_part_filled(path, now, left)))


def _filler(file: Design, path: str) -> tuple[str, int, MixPart] | None:
    """The mix that fills a part, if its density follows from its parts, and the filler stirred into it."""
    group, name = path.split(".")
    fill = getattr(file, group)[name].fill
    for key, mix in file.mix.items():
        if fill is None or folded(key) != folded(fill) or mix.density is not None or mix.cube is not None:
            continue
        found = next(((k, part) for k, part in enumerate(mix.parts) if part.percent is not None), None)
        return None if found is None else (key, *found)
    return None


def _stirred(fill: str, mix: str, place: int, part: MixPart) -> Iterator[Lever]:
    """More of the filler, or less."""
    now = part.percent or 0.0
    path = f"mix.{mix}.parts.{place}.percent"
    for shares in ([p for p in FILLERS if p > now], [p for p in reversed(FILLERS) if p < now]):
        steps = tuple(
            Change(
                Modification(kind=Kind.FILLER, part=f"mix.{mix}", to_si=float(p), was_si=now, way=part.name),
                {path: p}, 1.5 + abs(p - now) / 20, besides=(fill,),
            )
            for p in shares
        )  # fmt: skip
        yield Lever(path, "fill", steps)


def _part_filled(path: str, density: float, left: float) -> Iterator[Change]:
    """Less of the same fill, poured lying level (g/mL, m3)."""
    for tenths in range(9, 0, -1):
        volume = 0.1 * tenths * left
        weight = round(1e3 * density * volume, 4)  # kg, to what a kitchen scale shows
        does = Modification(
            kind=Kind.POUR, part=path, to_si=weight, was_si=1e3 * density * left, room_m3=volume
        )
        yield Change(
            does,
            {f"{path}.fill_weight": grams(weight), f"{path}.fill_set": "0 deg"},
            1.5 + 0.1 * (10 - tenths),
        )


def _room(design: Design, built: list[BuiltBody], name: str) -> float:
    """What a body, or all of an assembly, takes of a fill, m3."""
    if name in design.body:
        return room_to_fill(design, built, name)
    bodies = design.assembly[name].holding()
    return math.fsum(alike(design.body[one]) * room_to_fill(design, built, one) for one in bodies)


def _filled(path: str, besides: Mapping[str, Any], density: float, now: float, left: float) -> Change:
    changes = {f"{path}.fill_density": f"{density:g} g/mL", **besides}
    does = Modification(kind=Kind.FILL, part=path, to_si=1e3 * density, was_si=1e3 * now, room_m3=left)
    return Change(does, changes, 2.0 + 2 * abs(density - now))


def _fill_density(body: Body | Assembly) -> float | None:
    """g/mL in the cavity, as far as the file tells; None for a solid body or a weighed fill without one."""
    if getattr(body, "wall", None) is None and body.cavity is None:
        return None
    if body.fill_density is not None:
        return 1e-3 * body.fill_density.value
    if body.fill_weight is not None and body.cavity is not None:
        return 1e-3 * body.fill_weight.value / body.cavity.value
    if body.fill_weight is not None:
        return None
    known = find(body.fill) if body.fill else None
    return 1e-3 * known.density if known is not None else 0.0


def _scales(design: Design) -> Iterator[Lever]:
    for sign, word in ((1, "larger"), (-1, "smaller")):
        steps = []
        for percent in SCALES:
            changes = scaled(design, 1.0 + 0.01 * sign * percent)
            if changes and percent < 25 * (2 + sign):
                does = Modification(kind=Kind.SCALE, part="body", to_si=0.01 * percent, way=word)
                steps.append(Change(does, changes, 4.0 + percent / 5))
        yield Lever("scale", "scale", tuple(steps))


def _lines(design: Design) -> Iterator[Lever]:
    now = 1e3 * design.line.diameter.value
    up, down = [x for x in LINES if x > now + 1e-6], [x for x in reversed(LINES) if x < now - 1e-6]
    for values in (up, down):
        steps = [
            Change(_resized(Kind.LINE, "line", x, now), {"line.diameter": mm(x)}, 0.5 + 0.5 * (k + 1))
            for k, x in enumerate(values)
            if x <= 2.5 * now
        ]
        yield Lever("line.diameter", "line", tuple(steps))
