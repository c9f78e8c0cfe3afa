"""A body told by a mesh file: read, set on the lure's axes, weighed, and cut to sections for the strips.

Volume, centroid and inertia are those of the polyhedron, in closed form, and so is the hull that floats. For
what the water does to it in motion the mesh is turned to sections: each with its true width, height and
middle, and the superellipse exponent that gives its true area.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.design.parts import Body
from sim.elements import Hull
from sim.lure.hull import mesh_moments
from sim.lure.mesh_check import check_closed, shells, welded
from sim.lure.mesh_cut import cuts, overlap
from sim.lure.mesh_file import read_mesh
from sim.lure.moments import Frame
from sim.lure.profile import (
    GAUSS_W,
    GAUSS_X,
    Array,
    BuildError,
    Profile,
    merged,
    monotone,
    rounded,
    section_shape,
)
from sim.message import Message
from sim.remark import Amount, Remark, remark

Faces = NDArray[np.int64]

SECTIONS = 48  # intervals between sections, closer together toward the ends
END = 1e-4  # of the length: how far inside the last section is taken
FLAT = 0.6  # an end is flat where that section is so much of its neighbour's size
EVEN = 1e-4  # a mesh whose left and right differ by less than this share of its width is taken as symmetric
SHORTEST, LONGEST = 2e-3, 1.0  # m: bodies of lures and of their parts
GUESSED_SHORTEST, GUESSED_LONGEST = 8e-3, 0.6  # m: where the unit has to be guessed
MANY_FACES = 50_000
MOST_STEPS = 40

UNITS = {"mm": 1e-3, "cm": 1e-2, "in": 0.0254, "m": 1.0}


class MeshSolid(NamedTuple):
    """Volume (m3), first moments (3,) and second moments (3, 3) about the body's nose, in its own axes."""

    volume: float
    first: Array
    second: Array


class Slab(NamedTuple):
    """What lies between two planes across the body: volume, centroid (3,) and variance (3, 3), stacked."""

    volume: Array
    at: Array
    cov: Array


@dataclass(frozen=True, eq=False)
class MeshShape:
    """A closed mesh in the body's own axes: nose at the origin, x ahead, y left, z out of the back. SI."""

    vertices: Array  # (n, 3)
    faces: Faces  # (m, 3), counter-clockwise seen from outside
    solid: MeshSolid
    hollow: MeshSolid | None  # of hollows that the file itself has
    skin: float  # m2
    profile: Profile
    symmetric: bool
    warnings: tuple[Remark, ...]

    @property
    def _middle(self) -> Array:
        """Where its long axis through the centroid meets the plane of the nose."""
        return np.asarray(self.solid.first / self.solid.volume * np.array([0.0, 1.0, 1.0]))

    def stretched(self, factor: float) -> MeshShape:
        """The same body, width and height multiplied by `factor` about its long axis through the centroid."""
        if factor == 1.0:
            return self
        middle, lateral = self._middle, np.array([1.0, factor, factor])
        vertices = middle + (self.vertices - middle) * lateral
        hollow = self.hollow
        if hollow is not None:
            hollow = _about(_solid_about(hollow, middle, lateral), middle)
        return replace(
            self,
            vertices=vertices,
            solid=_solid(vertices, self.faces, self.symmetric),
            hollow=hollow,
            skin=self.skin * factor,
            profile=self.profile.stretched(factor),
        )

    def mirrored(self) -> MeshShape:
        """Its twin on the other side."""
        flip = np.array([1.0, -1.0, 1.0])
        turn = np.outer(flip, flip)

        def twin(solid: MeshSolid) -> MeshSolid:
            return MeshSolid(solid.volume, solid.first * flip, solid.second * turn)

        return replace(
            self,
            vertices=self.vertices * flip,
            faces=np.ascontiguousarray(self.faces[:, ::-1]),
            solid=twin(self.solid),
            hollow=None if self.hollow is None else twin(self.hollow),
        )

    def hull(self, frame: Frame, volume: float) -> Hull:
        """The mesh in lure axes, stretched to enclose `volume` (m3)."""
        factor = math.sqrt(volume / self.solid.volume)
        grown = self._middle + (self.vertices - self._middle) * np.array([1.0, factor, factor])
        axes = np.stack([frame.along, frame.left, frame.up])
        return Hull(np.ascontiguousarray(frame.nose + grown @ axes), self.faces)

    def slabs(self, edges: Array) -> Slab:
        """The body between neighbouring planes at `edges` (n + 1,), told as places behind the nose.

        Sections at Gauss points between the planes and the mesh's own steps, then scaled to the whole volume.
        """
        planes = merged(edges, self._steps())
        planes = planes[(planes >= edges[0]) & (planes <= edges[-1])]
        half, middle = 0.5 * np.diff(planes), 0.5 * (planes[1:] + planes[:-1])
        s = (middle[:, None] + half[:, None] * GAUSS_X).ravel()
        cut = cuts(self.vertices, self.faces, -s)
        weight = (half[:, None] * GAUSS_W).ravel()
        count = len(edges) - 1
        owner = np.clip(np.searchsorted(edges, s, side="right") - 1, 0, count - 1)

        def summed(values: Array) -> Array:
            return np.bincount(owner, weights=values * weight, minlength=count).astype(np.float64)

        volume = summed(cut.area)
        safe = np.where(volume > 0.0, volume, 1.0)
        x = -s
        first = [summed(x * cut.area), summed(cut.y), summed(cut.z)]
        at = np.stack(first, axis=1) / safe[:, None]
        second = np.zeros((count, 3, 3))
        for i, j, values in (
            (0, 0, x * x * cut.area), (1, 1, cut.yy), (2, 2, cut.zz),
            (0, 1, x * cut.y), (0, 2, x * cut.z), (1, 2, cut.yz),
        ):  # fmt: skip
            second[:, i, j] = second[:, j, i] = summed(values)
        cov = second / safe[:, None, None] - at[:, :, None] * at[:, None, :]
        if self.symmetric:
            at[:, 1] = 0.0
            cov[:, 0, 1] = cov[:, 1, 0] = cov[:, 1, 2] = cov[:, 2, 1] = 0.0
        return Slab(volume * (self.solid.volume / math.fsum(volume)), at, cov)

    def _steps(self) -> Array:
        """Places behind the nose of faces that stand across the body, where its section jumps; the largest."""
        corner = self.vertices[self.faces]
        length = float(np.ptp(self.vertices[:, 0]))
        across = np.ptp(corner[:, :, 0], axis=1) < 1e-6 * length
        flat = corner[across]
        area = np.linalg.norm(np.cross(flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]), axis=1)
        place, home = np.unique(np.round(-flat[:, 0, 0] / length, 6), return_inverse=True)
        total = np.bincount(home, weights=area, minlength=len(place))
        return np.asarray(place[np.argsort(-total)[:MOST_STEPS]] * length)

    def holds(self, point: Array) -> bool:
        """Whether a point (3,) of the body's own axes lies inside: by the solid angle of all faces."""
        a, b, c = (self.vertices[self.faces[:, k]] - point for k in range(3))
        la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
        top = np.einsum("ij,ij->i", a, np.cross(b, c))
        rest = la * lb * lc + np.sum(a * b, 1) * lc + np.sum(b * c, 1) * la + np.sum(c * a, 1) * lb
        return bool(np.arctan2(top, rest).sum() > math.pi)  # half of 4 pi, each term half a solid angle


def _solid(vertices: Array, faces: Faces, symmetric: bool) -> MeshSolid:
    volume, at, spread = mesh_moments(vertices, faces)
    if symmetric:
        at = at * np.array([1.0, 0.0, 1.0])
        spread = spread * np.array([[1.0, 0.0, 1.0], [0.0, 1.0, 0.0], [1.0, 0.0, 1.0]])
    return MeshSolid(volume, volume * at, spread + volume * np.outer(at, at))


def _solid_about(solid: MeshSolid, point: Array, lateral: Array) -> MeshSolid:
    """Moments about `point`, of the solid stretched by `lateral` from there."""
    v, p = solid.volume, point
    first = solid.first - v * p
    second = solid.second - np.outer(p, solid.first) - np.outer(solid.first, p) + v * np.outer(p, p)
    grown = float(lateral.prod())
    return MeshSolid(v * grown, first * lateral * grown, second * np.outer(lateral, lateral) * grown)


def _about(solid: MeshSolid, point: Array) -> MeshSolid:
    """Moments about the nose, from those about `point`."""
    v, p = solid.volume, point
    return MeshSolid(
        v,
        solid.first + v * p,
        solid.second + np.outer(p, solid.first) + np.outer(solid.first, p) + v * np.outer(p, p),
    )


def mesh_shape(key: str, body: Body) -> MeshShape:
    """The mesh of a body whose `shape` is "mesh". Read once and remembered until the file changes.

    Raises:
        BuildError: no file, one that cannot be read, or no closed body in it, with the way out.
    """
    if body.file is None:
        raise BuildError(f'{key} is a mesh without a file; write for example file = "body.stl"')
    try:
        stat = Path(body.file).stat()
        stamp = (stat.st_mtime_ns, stat.st_size)
    except (OSError, ValueError):
        stamp = (0, 0)
    length = None if body.length is None else body.length.value
    return _shape(key, body.file, stamp, body.units, body.nose_along, body.back_along, length)


@lru_cache(maxsize=16)
def _shape(
    key: str,
    file: str,
    stamp: tuple[int, int],
    units: str | None,
    nose_along: str,
    back_along: str,
    length: float | None,
) -> MeshShape:
    name = f'{key}.file = "{Path(file).name}"'
    soup = read_mesh(f"{key}.file", file)
    turned = soup.corners @ _axes(nose_along, back_along).T
    run = float(np.ptp(turned[:, :, 0]))
    size = float(np.ptp(turned.reshape(-1, 3), axis=0).max())
    if run <= 1e-9 * size:
        raise BuildError(f"{name}: the mesh is flat from nose to tail; check nose_along and the file")
    if length is not None:
        scale = length / run
    else:
        scale = _unit(name, units, soup.unit, run)
    if size * scale > LONGEST:
        raise BuildError(
            "{name}: at a length of {length:3g} from nose to tail the mesh is {across:3g} across, and a lure is "
            "{longest:3g} at most; does its nose point along another axis of the file, as in "
            'nose_along = "+{axis}", or is the length another one?',
            name=name,
            length=Amount(run * scale, "length"),
            across=Amount(size * scale, "length"),
            longest=Amount(LONGEST, "length"),
            axis=_longest_axis(soup.corners),
        )
    vertices, faces = welded(turned * scale)
    if not len(faces):
        raise BuildError(
            f"{name}: a corner of the mesh lies so far out that all the rest of it is a single point beside it; "
            "the file is damaged, export it again"
        )
    # so far as messages go: behind the foremost point, above and left of the middle of the box
    low, high = vertices.min(axis=0), vertices.max(axis=0)
    vertices = vertices - np.array([high[0], 0.5 * (low[1] + high[1]), 0.5 * (low[2] + high[2])])
    check_closed(name, vertices, faces, _where)
    vertices, faces, inner = _outside(name, vertices, faces)
    planes: Array = -(run * scale) * (np.arange(40, dtype=np.float64) + 0.4871) / 40.0
    twice = overlap(vertices, faces if inner is None else np.concatenate([faces, inner]), planes)
    if twice is not None:
        raise BuildError(
            "{name}: the mesh runs through itself: it encloses the place {where} twice or inside out; join its pieces "
            "into one solid in your drawing program (union, or boolean add) and export it again",
            name=name,
            where=_where(np.array(twice)),
        )
    vertices = vertices - np.array([0.0, 0.0, _nose_height(vertices, faces)])
    span = np.ptp(vertices, axis=0)
    volume, at, spread = mesh_moments(vertices, faces)
    width = float(span[1])
    symmetric = bool(
        abs(at[1]) < EVEN * width
        and abs(spread[0, 1]) < EVEN * width * span[0] * volume
        and abs(spread[1, 2]) < EVEN * width * span[2] * volume
    )
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    skin = 0.5 * float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum())
    return MeshShape(
        np.ascontiguousarray(vertices),
        np.ascontiguousarray(faces),
        _solid(vertices, faces, symmetric),
        None if inner is None else _solid(vertices, inner[:, ::-1], symmetric),
        skin,
        _profile(vertices, faces),
        symmetric,
        tuple(_doubts(key, faces, span, nose_along, back_along)),
    )


def _longest_axis(corners: Array) -> str:
    return "xyz"[int(np.argmax(np.ptp(corners.reshape(-1, 3), axis=0)))]


def _axes(nose: str, back: str) -> Array:
    """Rows: the body's x, y and z in the file's axes."""
    ahead, up = (
        np.where(np.arange(3) == "xyz".index(a[1]), 1.0 if a[0] == "+" else -1.0, 0.0) for a in (nose, back)
    )
    return np.stack([ahead, np.cross(up, ahead), up])


def _unit(name: str, units: str | None, told: float | None, run: float) -> float:
    """Metres to one unit of the file, given or found out."""
    if units is not None or told is not None:
        unit = UNITS[units] if units is not None else float(told or 0.0)
        if SHORTEST <= run * unit <= LONGEST:
            return unit
        given = f'units = "{units}"' if units is not None else "the file's own unit"
        better = [u for u, metres in UNITS.items() if GUESSED_SHORTEST <= run * metres <= GUESSED_LONGEST]
        hint = f'did you mean {better[0]}? Write units = "{better[0]}"' if better else _scale_it()
        raise BuildError(
            "{name}: with {given} the body is {length:3g} long; {hint}",
            name=name,
            given=given,
            length=Amount(run * unit, "length"),
            hint=hint,
        )
    if GUESSED_SHORTEST <= run * UNITS["mm"] <= GUESSED_LONGEST:
        return UNITS["mm"]
    likely = {
        u: Amount(run * metres, "length")
        for u, metres in UNITS.items()
        if GUESSED_SHORTEST <= run * metres <= GUESSED_LONGEST
    }
    hint = " or ".join(f'units = "{u}" ({{{u}:3g}} long)' for u in likely) or _scale_it()
    raise BuildError(
        "{name}: the file does not tell its unit, and as millimetres the body would be {length:3g} long; write {hint}",
        name=name,
        length=Amount(run * UNITS["mm"], "length"),
        hint=Message(hint, **likely),
    )


def _scale_it() -> str:
    return 'its true length, as in length = "70 mm", and the mesh is scaled to it'


def _where(point: Array) -> Message:
    """A point in words, before the nose's own height is known."""
    side = f", {{left:2g}} to the {'left' if point[1] > 0 else 'right'}" if abs(point[1]) > 5e-5 else ""
    back, left, up = (Amount(float(value), "length") for value in (-point[0], abs(point[1]), abs(point[2])))
    way = "above" if point[2] >= 0 else "below"
    return Message(
        f"{{back:3g}} behind the nose, {{up:2g}} {way} mid-height{side}", back=back, left=left, up=up
    )


def _outside(name: str, vertices: Array, faces: Faces) -> tuple[Array, Faces, Faces | None]:
    """Faces of the outside turned outward, and those of hollows inside it, as they stand (turned inward)."""
    piece = shells(vertices, faces)
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    six = np.einsum("ij,ij->i", a, np.cross(b, c))
    volumes = np.bincount(piece, weights=six) / 6.0
    box = float(np.prod(np.ptp(vertices, axis=0)))
    largest = float(volumes[np.argmax(np.abs(volumes))])
    if abs(largest) < 1e-6 * box or box == 0.0:
        raise BuildError(
            f"{name}: the mesh encloses nothing; give the sheet a thickness in your drawing program, or tell it "
            "as a plate"
        )
    if largest < 0.0:
        faces, volumes = faces[:, ::-1], -volumes  # all of it is inside out, which harms nothing
    hollow = volumes[piece] < 0.0
    return vertices, faces[~hollow], faces[hollow] if hollow.any() else None


def _nose_height(vertices: Array, faces: Faces) -> float:
    """Height of the middle of the section just behind the nose."""
    cut = cuts(vertices, faces, np.array([-END * float(np.ptp(vertices[:, 0]))]))
    if cut.area[0] <= 0.0:
        return float(vertices[np.argmax(vertices[:, 0]), 2])
    return float(cut.z[0] / cut.area[0])


_EXPONENTS = np.geomspace(1.0, 50.0, 400)
_AREAS = section_shape(_EXPONENTS).area


def _profile(vertices: Array, faces: Faces) -> Profile:
    """Sections of a mesh: its true widths, heights and middles, and the exponents that give its areas."""
    length = float(np.ptp(vertices[:, 0]))
    turn = np.linspace(0.0, math.pi, SECTIONS + 1)
    knots = 0.5 * length * (1.0 - np.cos(turn))
    knots[-1] = length
    at = knots.copy()
    at[0], at[-1] = END * length, (1.0 - END) * length
    cut = cuts(vertices, faces, -at)
    b, c = 0.5 * (cut.left - cut.right), 0.5 * (cut.high - cut.low)
    ratio = cut.area / np.maximum(b * c, 1e-30)
    n = np.interp(ratio, _AREAS, _EXPONENTS)
    for half in (b, c):
        for end, beside in ((0, 1), (-1, -2)):
            if half[end] < FLAT * half[beside]:
                half[end] = 0.0
    n[0], n[-1] = n[1], n[-2]
    return Profile(
        knots, rounded(knots, b), rounded(knots, c), monotone(knots, 0.5 * (cut.high + cut.low)), n
    )


def _doubts(key: str, faces: Faces, span: Array, nose: str, back: str) -> list[Remark]:
    out = []
    longest = int(np.argmax(span))
    if span[longest] > 1.2 * span[0]:
        third = ({"x", "y", "z"} - {nose[1], back[1]}).pop()
        axis = (nose[1], third, back[1])[longest]
        out.append(
            remark(
                "mesh_across", part=key, across=Amount(float(span[longest]), "length"),
                way=("", "wide", "tall")[longest], length=Amount(float(span[0]), "length"), axis=axis,
            )
        )  # fmt: skip
    if len(faces) > MANY_FACES:
        out.append(remark("mesh_of_many", part=key, faces=len(faces)))
    return out
