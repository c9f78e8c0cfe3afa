"""Plates, wires, hooks, fittings and ballast in place: geometry, mass and volume, twins beside each other."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from sim.design.parts import Ballast, Hanging, Plate, Wire
from sim.design.plate_axes import plate_axes
from sim.lure import moments
from sim.lure.bodies import Stuff, check_weight, sides, stuff_of, vector
from sim.lure.lure import Rod
from sim.lure.moments import MIRROR_VECTOR, Array
from sim.lure.profile import BuildError
from sim.remark import Amount, Remark, remark

FITTING_CDA = 0.3
"""Drag area of a fitting over the square of its size: wire about a tenth of its size thick, bent across half of
it in every direction, at Cd 1. Standing: judgement."""

TREBLE_WIRE, TREBLE_SIDE, TREBLE_BEHIND = 5.8, 3.7, 1.2
"""Length of wire in a treble over its size (three shanks, bends as half circles 0.4 wide, points of 0.4), and what of
it is seen from the side and from behind. The wire's thickness follows from the hook's volume, its Cd is 1 (a
cylinder's between Re 300 and 3000, `cylinder_cd`). Geometry of a round-bend treble; the outline is judgement."""

HEAVIEST = 50e-3  # kg, of a hook or fitting without a word; judgement
HOOK_SIZE, HOOK_MASS = 18e-3, 1.3e-3
"""A treble of 18 mm weighs about 1.3 g (common practice, no source); others of the same shape follow from
their weight when their size is not given. Standing: judgement."""

UPRIGHT = 1e-9  # a sheet whose normal points no more up than this stands upright

BALL_CD = 0.45  # outside ballast as a ball: Clift's sphere between Re 1e3 and 1e5


@dataclass(frozen=True)
class PlateShape:
    """A flat plate in place. c root to tip, s across, n = c x s."""

    label: str
    role: str
    r: Array  # centre of area (3,)
    c: Array
    s: Array
    n: Array
    length: float
    width: float
    thickness: float
    area: float
    reach_c: float  # radius of gyration of its area along c and along s
    reach_s: float
    oval: bool
    camber: float  # bulge of its middle toward +n, bent along c; and across, along s
    cup: float
    mass: Array  # mass moments (10,)
    volume: Array  # volume moments (10,)
    source: str
    notes: tuple[Remark, ...]

    def mirrored(self, label: str) -> PlateShape:
        """The mirror image; s is turned so that n = c x s stays true."""
        return replace(
            self,
            label=label,
            r=self.r * MIRROR_VECTOR,
            c=self.c * MIRROR_VECTOR,
            s=0.0 - self.s * MIRROR_VECTOR,
            n=self.n * MIRROR_VECTOR,
            mass=moments.mirrored(self.mass),
            volume=moments.mirrored(self.volume),
        )


@dataclass(frozen=True)
class WireShape:
    """A straight wire in place."""

    label: str
    start: Array
    end: Array
    diameter: float
    mass: Array
    volume: Array
    source: str
    notes: tuple[Remark, ...]

    def mirrored(self, label: str) -> WireShape:
        """The mirror image."""
        return replace(
            self,
            label=label,
            start=self.start * MIRROR_VECTOR,
            end=self.end * MIRROR_VECTOR,
            mass=moments.mirrored(self.mass),
            volume=moments.mirrored(self.volume),
        )


@dataclass(frozen=True)
class BlobShape:
    """A hook, a fitting or a weight: a lump at a point."""

    label: str
    kind: str  # hook, fitting, ballast
    at: Array
    mass: Array
    volume: Array  # of its own material, whether or not it displaces water
    cda: float  # drag area, any direction, m2
    across: float  # further drag area of a hook square to the stream, m2
    half: float  # half its extent, m
    rod: Rod | None = None  # what it is, if not a lump

    def mirrored(self, label: str) -> BlobShape:
        """The mirror image."""
        rod = self.rod
        return replace(
            self,
            rod=None if rod is None else Rod(rod.start * MIRROR_VECTOR, rod.end * MIRROR_VECTOR, rod.across),
            label=label,
            at=self.at * MIRROR_VECTOR,
            mass=moments.mirrored(self.mass),
            volume=moments.mirrored(self.volume),
        )


def _weight(
    key: str, weight: float | None, volume: float, stuff: Stuff, warnings: list[Remark]
) -> tuple[float, str, tuple[Remark, ...]]:
    """Mass, source and notes of a part given by weight, by density, or both."""
    computed = volume * stuff.density
    if weight is None:
        return computed, stuff.source, ()
    check_weight(f"{key}.weight", weight, volume, stuff, warnings)
    note = remark("weighed", weight=Amount(weight, "mass"), computed=Amount(computed, "mass"))
    return weight, "measured", (note,)


def build_plate(name: str, spec: Plate, warnings: list[Remark]) -> list[PlateShape]:
    """The plate, and its twin if it has one.

    A rounded outline ends in half an oval whose depth is half the width, or the whole length if that is less; an
    oval one is an ellipse.
    """
    key = f"plate.{name}"
    oval_shape = spec.outline == "oval"
    length, width, thickness = spec.length.value, spec.width.value, spec.thickness.value
    c, s = (np.array(axis) for axis in plate_axes(spec))
    n = moments.cross(c, s)
    depth = min(0.5 * width, length) if spec.outline == "round" else 0.0
    straight, oval = width * (length - depth), 0.25 * math.pi * width * depth
    area = straight + oval
    reach = 0.5 * straight * (length - depth) + oval * (length - depth + 4.0 * depth / (3.0 * math.pi))
    middle = reach / area
    # second moments of area about the centre: along c (rectangle + half oval about the root), along s
    flat = 4.0 * depth / (3.0 * math.pi)
    own = math.pi * width * depth**3 / 16.0 - oval * flat**2
    cc = straight * (length - depth) ** 2 / 3.0 + own + oval * (length - depth + flat) ** 2 - area * middle**2
    ss = width**3 * (length - depth) / 12.0 + math.pi * depth * width**3 / 64.0
    if oval_shape:
        area, middle = 0.25 * math.pi * length * width, 0.5 * length
        cc, ss = area * length**2 / 16.0, area * width**2 / 16.0
    r = vector(spec.root) + middle * c
    second = thickness * (
        cc * np.outer(c, c) + ss * np.outer(s, s) + area * thickness**2 / 12.0 * np.outer(n, n)
    )
    volume = moments.about_point(r, area * thickness, second)
    stuff = stuff_of(f"{key}.material", spec.material, spec.density, "polycarbonate")
    assert stuff is not None  # there is a default
    weight = None if spec.weight is None else spec.weight.value
    mass, source, notes = _weight(key, weight, area * thickness, stuff, warnings)
    toward = 1.0 if n[2] > UPRIGHT or (abs(n[2]) <= UPRIGHT and n[1] >= 0.0) else -1.0
    camber, cup = toward * spec.camber.value, toward * spec.cup.value
    for field, bulge, across in (("camber", camber, length), ("cup", cup, width)):
        if abs(bulge) > 0.5 * across:
            raise BuildError(
                "{key} is {bulge:3g}, more than half of the {across:3g} it is bent over; give how far the middle "
                "stands out from the line between the two edges",
                key=f"{key}.{field}",
                bulge=Amount(abs(bulge), "length"),
                across=Amount(across, "length"),
            )
    plate = PlateShape(
        name, spec.role, r, c, s, n, length, width, thickness, area,
        math.sqrt(cc / area), math.sqrt(ss / area), oval_shape, camber, cup,
        volume * (mass / (area * thickness)), volume, source, notes,
    )  # fmt: skip
    if not spec.mirrored:
        return [plate]
    here, there = sides(key, spec.root.left.value, warnings)
    return [replace(plate, label=name + here), plate.mirrored(name + there)]


def build_wire(name: str, spec: Wire, warnings: list[Remark]) -> list[WireShape]:
    """The wire, and its twin if it has one."""
    key = f"wire.{name}"
    start, end, diameter = vector(spec.start), vector(spec.end), spec.diameter.value
    length = math.dist(start, end)
    if length <= 0.0:
        raise BuildError(f"{key} starts and ends at the same place; give two different places")
    volume = 0.25 * math.pi * diameter**2 * length
    stuff = stuff_of(f"{key}.material", spec.material, spec.density, "steel")
    assert stuff is not None  # there is a default
    weight = None if spec.weight is None else spec.weight.value
    mass, source, notes = _weight(key, weight, volume, stuff, warnings)
    solid = moments.of_rod(start, end, volume, diameter)
    wire = WireShape(name, start, end, diameter, solid * (mass / volume), solid, source, notes)
    if not spec.mirrored:
        return [wire]
    here, there = sides(key, spec.start.left.value + spec.end.left.value, warnings)
    return [replace(wire, label=name + here), wire.mirrored(name + there)]


def _drag_areas(kind: str, size: float, volume: float) -> tuple[float, float]:
    """Drag areas (m2) of a hook or fitting: any direction, and a hook's more when square to the stream."""
    if kind != "hook":
        return FITTING_CDA * size**2, 0.0
    wire = math.sqrt(4.0 * volume / (math.pi * TREBLE_WIRE * size))
    return TREBLE_BEHIND * size * wire, (TREBLE_SIDE - TREBLE_BEHIND) * size * wire


def build_hanging(name: str, kind: str, spec: Hanging, warnings: list[Remark]) -> list[BlobShape]:
    """A hook or fitting: all its weight at the point it hangs from, and its twin if it has one."""
    key = f"{kind}.{name}"
    assert spec.weight is not None  # readings have been turned into values
    mass = spec.weight.value
    stuff = stuff_of(f"{key}.material", spec.material, spec.density, "steel")
    assert stuff is not None  # there is a default
    if mass > HEAVIEST:
        warnings.append(remark("heavy_part", part=key, weight=Amount(mass, "mass")))
    size = spec.size.value if spec.size is not None else HOOK_SIZE * (mass / HOOK_MASS) ** (1.0 / 3.0)
    at = vector(spec.at)
    blob = BlobShape(
        name,
        kind,
        at,
        moments.of_point(at, mass),
        moments.of_point(at, mass / stuff.density),
        *_drag_areas(kind, size, mass / stuff.density),
        0.5 * size,
    )
    if not spec.mirrored:
        return [blob]
    here, there = sides(key, spec.at.left.value, warnings)
    return [replace(blob, label=name + here), blob.mirrored(name + there)]


def build_ballast(name: str, spec: Ballast, warnings: list[Remark]) -> list[BlobShape]:
    """A weight as a rod if it is told as one, else as a ball of its material; and its twin if it has one."""
    key = f"ballast.{name}"
    stuff = stuff_of(f"{key}.material", spec.material, spec.density, "lead")
    assert stuff is not None  # there is a default
    assert spec.weight is not None  # readings have been turned into values
    mass, at = spec.weight.value, vector(spec.at)
    volume = mass / stuff.density
    ball = moments.of_sphere(at, volume)
    radius = (0.75 * volume / math.pi) ** (1.0 / 3.0)
    cda = BALL_CD * math.pi * radius**2
    blob = BlobShape(name, "ballast", at, ball * stuff.density, ball, cda, 0.0, radius)
    sizes = spec.rod()
    if sizes is not None:
        across, length = sizes
        half = 0.5 * length * np.array(spec.way())
        rod = Rod(at - half, at + half, across)
        solid = moments.of_rod(rod.start, rod.end, volume, across)
        blob = replace(
            blob, mass=solid * stuff.density, volume=solid, half=0.5 * math.hypot(length, across), rod=rod
        )
    if not spec.mirrored:
        return [blob]
    here, there = sides(key, spec.at.left.value, warnings)
    return [replace(blob, label=name + here), blob.mirrored(name + there)]
