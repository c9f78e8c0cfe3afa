"""Levers on weights: heavier, lighter, moved, left out, or a new one, as far as each has room."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import Any

import numpy as np

from sim.bench.hardware import CUT
from sim.design.model import Design
from sim.design.parts import Ballast, Place
from sim.lure.bodies import BuiltBody
from sim.studies.redesign import clearance as room
from sim.studies.redesign.step import (
    Change,
    Hole,
    Kind,
    Lever,
    Modification,
    as_rod,
    grams,
    mm,
    shifted,
)
from sim.trials.margin import margin_kg
from sim.units import Quantity

HEAVIEST_MORE = 6e-3  # kg that a weight may grow by
NEW_UP_TO = 5e-3  # kg of a new weight
BEYOND = 3e-3  # kg past what makes a lure suspend, where that is more
NEW_AT = {"front": 0.25, "middle": 0.45, "rear": 0.7}  # of the body's length
NEW_DOWN = 0.45  # of the half height below the axis
APART = 8e-3  # m from another weight along the body
FARTHEST = 20  # mm that a weight is moved


def ballast(design: Design, built: list[BuiltBody], named: Collection[str]) -> Iterator[Lever]:
    """Every lever on weights; `named`: those that the file has."""
    sinking = margin_kg(design) + BEYOND
    for name, weight in design.ballast.items():
        if name not in named:
            continue  # a piece of a through wire
        yield from _heavier_lighter(name, weight, built, max(HEAVIEST_MORE, sinking))
        yield from _moved(name, weight, built)
    if built:
        yield from _new_weights(design, built, max(NEW_UP_TO, sinking))


def _heavier_lighter(name: str, weight: Ballast, built: list[BuiltBody], most: float) -> Iterator[Lever]:
    assert weight.weight is not None
    path, now = f"ballast.{name}", weight.weight.value
    keep_whole = {f"{path}.bulk": None, f"{path}.metal": None}

    def step(mass: float) -> Change:
        hole = _drilled(built, weight, mass=mass)
        changes: dict[str, Any] = {f"{path}.weight": grams(mass), **keep_whole}
        if hole is not None and (rod := as_rod(hole)) is not None:
            changes |= {f"{path}.metal": rod, f"{path}.lies": hole.way}
        does = Modification(
            kind=Kind.WEIGH, part=path, to_si=mass, was_si=now, hole=hole,
            cast_in=hole is None and _solid(built, weight),
        )  # fmt: skip
        return Change(does, changes, 1.0 + 1e3 * abs(mass - now))

    lighter = [step(m) for m in reversed(cuts(0.0, now, now)) if _fits(built, weight, mass=m)]
    out = Change(Modification(kind=Kind.LEAVE_OUT, part=path), {path: None}, 1.5 + 1e3 * now)
    yield Lever(f"{path}.weight", "ballast", (*lighter, out), plain=True)
    heavier = [m for m in cuts(now, now + most, now) if _fits(built, weight, mass=m)]
    yield Lever(f"{path}.weight", "ballast", tuple(step(m) for m in heavier), plain=True)


def cuts(low: float, high: float, now: float) -> list[float]:
    """Masses (kg) that can be cut, strictly between two, in order.

    A whole number of `CUT`; within half a gram of what there is `now` also halves of it, taken off with a file.
    """
    fine = 0.5 * CUT
    every = [fine * k for k in range(1, int(high / fine) + 2)]
    inside = [m for m in every if low + 1e-9 < m < high - 1e-9]
    return [m for m in inside if round(m / fine) % 2 == 0 or abs(m - now) < 5e-4]


def _changed(weight: Ballast, mass: float | None, at: Place | None) -> Ballast:
    assert weight.weight is not None
    now = Quantity(weight.weight.value if mass is None else mass, 0.0, "mass")
    return weight.model_copy(update={"weight": now, "at": at or weight.at})


def _fits(
    built: list[BuiltBody], weight: Ballast, *, mass: float | None = None, at: Place | None = None
) -> bool:
    """Whether a weight has its room, changed so. One that is cast in already stays about as heavy."""
    other = _changed(weight, mass, at)
    if room.has_room(built, other):
        return True
    assert weight.weight is not None
    if room.has_room(built, weight) or (mass or 0.0) > room.CAST_IN_MORE * weight.weight.value:
        return False
    body = room.home(built, other)
    return body is not None and body.holds(room.vector(other.at))


def _drilled(
    built: list[BuiltBody], weight: Ballast, *, mass: float | None = None, at: Place | None = None
) -> Hole | None:
    """Which hole a weight drilled into a solid body takes then; None where it takes none."""
    other = _changed(weight, mass, at)
    return room.hole(built, other) if _solid(built, other) else None


def _solid(built: list[BuiltBody], weight: Ballast) -> bool:
    """Whether a weight sits in the stuff of a body, not outside or in a hollow."""
    body = room.home(built, weight)
    return weight.place != "outside" and body is not None and body.inner is None


def _moved(name: str, weight: Ballast, built: list[BuiltBody]) -> Iterator[Lever]:
    ways = {"back": (-1, 1), "up": (1, -1)}
    words = {("back", -1): "forward", ("back", 1): "back", ("up", 1): "up", ("up", -1): "down"}
    for axis, signs in ways.items():
        now = 1e3 * getattr(weight.at, axis).value
        for sign in signs:
            steps = []
            for far in range(1, FARTHEST + 1):
                place = shifted(weight.at, axis, sign * far)
                if _fits(built, weight, at=place):
                    value = mm(now + sign * far)
                    hole = _drilled(built, weight, at=place)
                    does = Modification(
                        kind=Kind.MOVE, part=f"ballast.{name}", to_si=1e-3 * far, way=words[axis, sign],
                        hole=hole, cast_in=hole is None and _solid(built, weight),
                    )  # fmt: skip
                    steps.append(Change(does, {f"ballast.{name}.at.{axis}": value}, 1.5 + far / 10))
            yield Lever(f"ballast.{name}.at.{axis}", "ballast", tuple(steps))


def _new_weights(design: Design, built: list[BuiltBody], most: float) -> Iterator[Lever]:
    body, name = built[0], "trim"
    while name in design.ballast:
        name += "2"
    hollow = body.inner is not None
    for where, share in NEW_AT.items():
        s = body.profile.start + share * body.profile.length
        cut = body.profile.at(np.array([s]))
        at = body.frame.nose - s * body.frame.along
        at = at + (float(cut.z0[0]) - NEW_DOWN * float(cut.c[0])) * body.frame.up
        back, up = round(-1e3 * float(at[0])), round(1e3 * float(at[2]))
        if any(abs(other.at.back.value - 1e-3 * back) < APART for other in design.ballast.values()):
            continue
        place = Place(back=Quantity(1e-3 * back, 0.0, "length"), up=Quantity(1e-3 * up, 0.0, "length"))
        sits = "cavity" if hollow else "drilled"
        steps = []
        for mass in (CUT * k for k in range(1, round(most / CUT) + 1)):
            weight = Ballast(at=place, weight=Quantity(mass, 0.0, "mass"), material="lead", place=sits)
            if room.has_room(built, weight):
                hole = _drilled(built, weight)
                part = {"at": {"back": mm(back), "up": mm(up)}, "weight": grams(mass), "material": "lead"}
                if hollow:
                    part["place"] = sits
                if hole is not None and (rod := as_rod(hole)) is not None:
                    part |= {"metal": rod, "lies": hole.way}
                does = Modification(
                    kind=Kind.FIX_IN if hollow else Kind.DRILL_IN, part=f"ballast.{name}", to_si=mass, way=where,
                    hole=hole,
                )  # fmt: skip
                steps.append(Change(does, {f"ballast.{name}": part}, 2.0 + 1e3 * mass))
        yield Lever(f"ballast.{name}", "ballast", tuple(steps))
