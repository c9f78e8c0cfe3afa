"""Bodies: which outer volume counts, what the wall and the cavity take of it, and which densities apply.

Outer volume: as dunked, else cavity + shell weight / wall density, else the shape. The shape is stretched
sideways, width and height alike, to carry it. A hollow body displaces its cavity and its wall.
"""

from __future__ import annotations

import difflib
import math
from collections import deque
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sim.design.assembly import SharingBody
from sim.design.fullness import ONE, outside_by
from sim.design.materials import MATERIALS, Material, find
from sim.design.parts import Body, Place, TieOn
from sim.design.plate_axes import cos_sin
from sim.elements import Hull
from sim.lure import moments
from sim.lure.hull import hull
from sim.lure.mesh import MeshShape, mesh_shape
from sim.lure.moments import Array, Frame
from sim.lure.outside import read
from sim.lure.profile import BuildError, Profile, Sections, perimeter, section_shape
from sim.remark import Amount, Remark, remark
from sim.units import Quantity

STRETCH_LIMIT = 1.1  # sideways stretch worth a warning: a fifth of the volume
DRAWN_WIDER = 1.25  # times its sizes: what is marked out on such a drawing lies elsewhere on the thing
NEARLY_ALL = 0.92  # share of the outside that a real cavity hardly reaches
DENSEST = 20000.0  # kg/m3, a little above tungsten


@dataclass(frozen=True)
class Stuff:
    """What something is made of: density in kg/m3 and where it comes from."""

    density: float
    source: str  # computed (the maker gave it) or handbook
    material: Material | None


@dataclass(frozen=True)
class BuiltBody:
    """One body, or one of two twins, in place."""

    key: str  # its name in the design
    label: str  # its name in the tables: "main", "leg (left)"
    spec: Body
    profile: Profile  # stretched to its own outer volume
    frame: Frame
    outer: Array  # moments of the outside (10,)
    inner: Array | None  # moments of the cavity
    stuff: Stuff | None
    twin: bool  # the mirror image
    mesh: MeshShape | None = None  # the outside itself, where it was told by a mesh, likewise stretched

    @property
    def own(self) -> Array:
        """Moments of the body's own material: the whole, or the wall and its infill."""
        return self.outer if self.room is None else self.outer - self.room

    @property
    def room(self) -> Array | None:
        """Moments of what is free in the cavity: all of it, or what infill leaves."""
        if self.inner is None or self.spec.infill is None:
            return self.inner
        return self.inner * (1.0 - self.spec.infill / 100.0)

    def hull(self, volume: float) -> Hull:
        """The outside as a closed surface in lure axes, enclosing `volume` (m3)."""
        if self.mesh is not None:
            return self.mesh.hull(self.frame, volume)
        return hull(self.profile, self.frame, volume)

    @cached_property
    def skin(self) -> float:
        """Surface area, flat ends included, m2."""
        if self.mesh is not None:
            return self.mesh.skin
        return float(self.rings[1].sum()) + sum(end_areas(self.profile))

    @cached_property
    def rings(self) -> tuple[Sections, Array]:
        """Sections along the body and the surface area at each, as `skin_areas` gives them."""
        return skin_areas(self.profile)[:2]

    def holds(self, *points: Array) -> bool:
        """Whether all points (3,) in lure axes lie inside the outside surface."""
        d = np.array(points) - self.frame.nose
        if self.mesh is not None:
            axes = np.stack([self.frame.along, self.frame.left, self.frame.up])
            return all(self.mesh.holds(axes @ one) for one in d)
        s, y, z = -(d @ self.frame.along), abs(d @ self.frame.left), d @ self.frame.up
        if not (self.profile.start <= s.min() and s.max() <= self.profile.end):
            return False
        cut = self.profile.at(s)
        z = abs(z - cut.z0)
        inside = zip(y.tolist(), z.tolist(), cut.b.tolist(), cut.c.tolist(), cut.n.tolist(), strict=True)
        return all(
            0.0 < b >= y and 0.0 < c >= z and (y / b) ** n + (z / c) ** n <= 1.0 for y, z, b, c, n in inside
        )


def vector(place: Place) -> Array:
    """A place of the design in lure axes (3,), m."""
    return np.array([0.0 - place.back.value, place.left.value, place.up.value])


def tie_on_point(tie: TieOn) -> Array:
    """Where the line pulls, lure axes (3,), m: a bent eye swings about its foot, an arm's length behind."""
    at = vector(tie.at)
    if tie.arm is None or tie.bend.value == 0.0:
        return at
    arm, bend = tie.arm.value, tie.bend.value
    return at + np.array([-arm * (1.0 - math.cos(bend)), arm * math.sin(bend), 0.0])


def sides(key: str, left: float, warnings: list[Remark]) -> tuple[str, str]:
    """Labels for a part and its twin; warns if the twin would sit in the same place."""
    if left == 0.0:
        warnings.append(remark("twin_in_place", part=key))
    return (" (right)", " (left)") if left < 0.0 else (" (left)", " (right)")


def stuff_of(key: str, material: str | None, density: Quantity | None, default: str | None) -> Stuff | None:
    """Density of a part: the maker's own, else the named material's, else the default's, else None.

    Raises:
        BuildError: a material that is not in the list.
    """
    name = material or default
    found = find(name) if name else None
    if material and found is None and density is None:
        near = difflib.get_close_matches(material.lower(), MATERIALS, n=1)
        hint = f"did you mean {near[0]!r}? " if near else ""
        raise BuildError(
            f"{key} = {material!r} is not a known material; {hint}"
            'Otherwise give its density, for example density = "0.62 g/cm3"'
        )
    if density is not None:
        return Stuff(density.value, "computed", found if material else None)
    return Stuff(found.density, "handbook", found) if found else None


def grams(mass: float) -> str:
    """A mass in words."""
    return f"{mass * 1e3:.2f} g"


def check_weight(key: str, mass: float, volume: float, stuff: Stuff | None, warnings: list[Remark]) -> None:
    """Warn when a weight and a volume cannot belong together."""
    if volume <= 0.0 or mass <= 0.0:
        return
    implied = mass / volume
    heavy = 1.25 * max(stuff.density, stuff.material.high if stuff.material else 0.0) if stuff else DENSEST
    light = 0.6 * min(stuff.density, stuff.material.low if stuff.material else math.inf) if stuff else 0.0
    if implied > min(heavy, DENSEST) or implied < light:
        warnings.append(
            remark(
                "odd_weight", part=key, heavier=implied > light, weight=Amount(mass, "mass"),
                volume=Amount(volume, "volume"), density=Amount(implied, "density"),
                made_of=Amount(stuff.density, "density") if stuff else None,
            )
        )  # fmt: skip


_built: deque[tuple[str, Body, list[BuiltBody], list[Remark]]] = deque(maxlen=8)
"""The bodies built last: a budget weighs a design again for every doubt in it, and few of them are in its bodies."""


def build_body(name: str, spec: Body, warnings: list[Remark]) -> list[BuiltBody]:
    """The body, and its twin if it has one; what is said of it is added to `warnings`.

    Raises:
        BuildError: nothing to weigh it by, or a cavity as large as the outside.
    """
    for other, like, bodies, said in tuple(_built):
        if like is spec and other == name:
            warnings.extend(said)
            return list(bodies)
    said = []
    bodies = _body(name, spec, said)
    if spec.file is None:  # a file may have changed meanwhile
        _built.append((name, spec, bodies, said))
    warnings.extend(said)
    return list(bodies)


def _body(name: str, spec: Body, warnings: list[Remark]) -> list[BuiltBody]:
    key = f"body.{name}"
    mesh, profile = _shape(name, spec)
    frame = _frame(spec)
    stuff = stuff_of(f"{key}.material", spec.material, spec.density, None)
    if stuff is None and spec.weight is None:
        raise BuildError(
            f'{key} has no weight, no density and no material; give one, for example material = "balsa"'
        )
    if mesh is None:
        outer = moments.of_sections(profile.sections(), frame)
        shaped = float(outer[0])
    else:
        shaped = mesh.solid.volume
        warnings.extend(mesh.warnings)
    by = outside_by(spec)
    if spec.displaced is not None:
        volume, told = spec.displaced.value, "displaced"
    elif spec.cavity is not None and spec.weight is not None and stuff is not None:  # by == "wall"
        volume, told = spec.cavity.value + spec.weight.value / stuff.density, "wall"
    else:
        volume, told = shaped * (spec.fullness or ONE).value, "sizes"
    stretch = math.sqrt(volume / shaped)
    single = not isinstance(spec, SharingBody)  # of several measured as one `sim.lure.sharing` says it once
    if single and by != "sizes" and not 1.0 / STRETCH_LIMIT <= stretch <= STRETCH_LIMIT:
        warnings.append(
            remark(
                "stretched", part=key, sized=Amount(shaped, "volume"), by=told, volume=Amount(volume, "volume"),
                times=stretch,
            )
        )  # fmt: skip
    if by == "sizes" and mesh is None and stretch > DRAWN_WIDER:
        warnings.append(remark("drawn_fuller", part=key, times=stretch))
    if single and spec.cavity is not None and spec.weight is not None and by == "sizes":
        warnings.append(remark("outside_by_sizes", part=key))
    if single and spec.cavity is not None and spec.cavity.value > NEARLY_ALL * shaped:
        warnings.append(remark("hardly_a_wall", part=key, percent=100 * spec.cavity.value / shaped))
    if mesh is None and stretch != 1.0:
        profile = profile.stretched(stretch)
        outer = moments.of_sections(profile.sections(), frame)
    if mesh is not None:
        mesh = mesh.stretched(stretch)
        profile = mesh.profile
        outer = moments.from_local(*mesh.solid, frame)
    outer = outer * (volume / outer[0])
    inner = _cavity(key, spec, profile, mesh, frame, outer, warnings)
    if inner is None and (spec.fill or spec.fill_weight or spec.fill_density):
        warnings.append(remark("nothing_to_fill", part=key))
    body = BuiltBody(name, name, spec, profile, frame, outer, inner, stuff, False, mesh)
    bodies = [body]
    if spec.mirrored:
        here, there = sides(key, spec.at.left.value, warnings)
        twin = replace(
            body,
            label=name + there,
            frame=frame._replace(nose=frame.nose * moments.MIRROR_VECTOR),
            outer=moments.mirrored(outer),
            inner=None if inner is None else moments.mirrored(inner),
            twin=True,
            mesh=None if mesh is None else mesh.mirrored(),
        )
        bodies = [replace(body, label=name + here), twin]
    if spec.weight is not None:
        check_weight(f"{key}.weight", spec.weight.value, float(bodies[0].own[0]), stuff, warnings)
    return bodies


def shape_volume(name: str, spec: Body) -> float:
    """Volume of a body as its sizes, sections or mesh tell it, m3.

    Raises:
        BuildError: a shape that encloses nothing.
    """
    mesh, profile = _shape(name, spec)
    return (
        mesh.solid.volume
        if mesh is not None
        else float(moments.of_sections(profile.sections(), _frame(spec))[0])
    )


def _shape(name: str, spec: Body) -> tuple[MeshShape | None, Profile]:
    mesh = mesh_shape(f"body.{name}", spec) if spec.shape == "mesh" else None
    return mesh, read(name, spec) if mesh is None else mesh.profile


def _frame(spec: Body) -> Frame:
    c, s = cos_sin(spec.angle.value)
    return Frame(
        vector(spec.at), np.array([c, 0.0, s]), np.array([0.0, 1.0, 0.0]), np.array([0.0 - s, 0.0, c])
    )


def _cavity(
    key: str,
    spec: Body,
    profile: Profile,
    mesh: MeshShape | None,
    frame: Frame,
    outer: Array,
    warnings: list[Remark],
) -> Array | None:
    inner = None
    if mesh is not None and mesh.hollow is not None:
        if spec.wall is not None:
            raise BuildError(
                "{key}.wall = {wall!r}, but its mesh has a hollow of {hollow:3g} inside already; leave out the wall, "
                "or export the outside alone",
                key=key,
                wall=spec.wall.text,
                hollow=Amount(mesh.hollow.volume, "volume"),
            )
        inner = moments.from_local(*mesh.hollow, frame)
    if spec.wall is None and spec.cavity is None:
        return inner
    if spec.wall is not None:
        cut = profile.inward(spec.wall.value)
        if cut is not None:
            inner = moments.of_sections(cut, frame)
            if mesh is not None:
                inner = _laid_into(mesh, profile, frame, inner)
        elif spec.cavity is None:
            warnings.append(remark("no_hollow", part=key, wall=spec.wall.text))
            return None
    if spec.cavity is None:
        return inner
    cavity = spec.cavity.value
    if cavity >= outer[0]:
        what = {
            "sizes": f"its sizes as {'an oval' if spec.shape == 'ellipsoid' else 'told'}",
            "wall": "its wall",
        }.get(outside_by(spec), "its dunk")
        raise BuildError(
            "{key}.cavity = {cavity!r} is not smaller than the whole outside, {outside:3g} by {what}; both cannot be "
            "true, so it cannot be told whether it floats: dunk it closed and give `displaced`, or fill it with water "
            "once more",
            key=key,
            cavity=spec.cavity.text,
            outside=Amount(float(outer[0]), "volume"),
            what=what,
        )
    if inner is None:
        return moments.scaled_about_centre(outer, cavity / float(outer[0]))
    if not 1.0 / STRETCH_LIMIT <= math.sqrt(cavity / inner[0]) <= STRETCH_LIMIT:
        warnings.append(
            remark(
                "wall_or_cavity", part=key, wall=spec.wall.text if spec.wall else "",
                inside=Amount(float(inner[0]), "volume"), cavity=Amount(cavity, "volume"),
            )
        )  # fmt: skip
    return moments.scaled_about_centre(inner, cavity / float(inner[0]))


def _laid_into(mesh: MeshShape, profile: Profile, frame: Frame, inner: Array) -> Array:
    """The hollow of a mesh's sections, put right by how the sections' own solid differs from the mesh.

    Standing: exact where the sections are superellipses (ovals, boxes); judgement elsewhere.
    """
    drawn = moments.of_sections(profile.sections(), frame)
    true = moments.from_local(*mesh.solid, frame)
    share = true[0] / drawn[0]
    at = moments.centre(inner) + moments.centre(true) - moments.centre(drawn)
    return moments.about_point(at, inner[0] * share, moments.spread(inner) * share)


def skin_areas(profile: Profile, edges: Array | None = None) -> tuple[Sections, Array, NDArray[np.intp]]:
    """Sections along the body, surface area at each, and the interval of `edges` each belongs to.

    Girth times the slant of the outline, without flat ends. Standing: exact for spheres, cylinders and
    blocks; within 3 % for ellipsoids up to 1:2 in section.
    """
    s, weight, owner = profile.eighths if edges is None else profile.nodes(edges)
    cut, hb, hc = profile.sloped(s)
    safe_b, safe_c = np.maximum(cut.b, 1e-12), np.maximum(cut.c, 1e-12)
    slant2 = 1.0 + 0.5 * ((hb / safe_b) ** 2 + (hc / safe_c) ** 2)
    area = perimeter(cut.b, cut.c, cut.n) * np.sqrt(slant2) * weight
    return cut, area, owner


def end_areas(profile: Profile) -> tuple[float, float]:
    """Areas of the flat nose and tail faces, m2; zero where the body runs out to a point or an edge."""
    cut = profile.at(np.array([profile.start, profile.end]))
    area = section_shape(cut.n).area * cut.b * cut.c
    return float(area[0]), float(area[1])
