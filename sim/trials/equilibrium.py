"""Where a floating body comes to rest: hydrostatics as rolling downhill in energy.

At any attitude the body finds the height at which it displaces its own weight; what is then left of the
energy, over m g, is the height of G over B, a function of the attitude alone. With u straight up in the
lure's axes, V the displaced volume and S the second moments of the waterplane about its own centre:

    e = (G - B) . u,    grad e = G - B,    Hess e = S / V - e      (both across u)

Closed form: the gradient by the envelope theorem, the Hessian as the textbook's metacentric height,
GM = I / V - BG. Stable rests are minima; they are found with Newton's steps, shortened so that the body rolls
and does not jump, and kicked off saddles.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.build.lure import Lure
from sim.forces.immersion import I_AREA, I_AREA_MOMENT, I_AREA_SECOND, I_MOMENT, afloat, whole
from sim.trials.results import Verdict
from sim.trials.verdict import verdict

Array = NDArray[np.float64]

UPRIGHT = np.array([0.0, 0.0, 1.0])
NO_ARM = 1e-3
"""A righting arm shorter than this share of the cube root of the volume counts as none, all the way round
(judgement: 0.02 mm on a 10 mL lure, what a hull drawn with flat faces can feign)."""
_ROUGH = 5e-3  # a negative GM larger than this, the same share, cannot be the work of flat faces
_SAME = math.radians(0.5)  # rests closer than this are one


class Turns(Enum):
    """In which ways a rest has no preference."""

    NOT = "it keeps its attitude"
    AXIS = "it turns freely about its long axis"
    ANY = "it stays at any attitude"


class Balance(NamedTuple):
    """A body held at one attitude, free to rise and fall. Lengths in m, lure axes."""

    up: Array  # (3,) unit vector straight up
    height: float | None  # of the origin above the surface; None wholly under
    energy: float  # over m g: G over B
    slope: Array  # (3,) gradient of the energy, across `up`
    curve: Array  # (3, 3) its second derivatives, across `up`
    pivot: Array  # (3,) centre of the waterplane


@dataclass(frozen=True)
class Rest:
    """A stable attitude. Lengths in m, lure axes."""

    up: Array  # (3,) unit vector straight up
    height: float | None  # of the origin above the surface; None wholly under
    energy: float  # over m g: G over B; the lowest is the most settled
    trim_gm: float  # metacentric heights, nose up and down
    heel_gm: float  # and about the level line fore and aft
    turns: Turns

    @property
    def pitch(self) -> float:
        """Nose up positive (rad)."""
        return math.asin(max(-1.0, min(1.0, float(self.up[0]))))

    @property
    def roll(self) -> float:
        """Right side down positive, about the lure's own axis (rad); 0 when it stands on end."""
        if math.hypot(self.up[1], self.up[2]) < 1e-6:
            return 0.0
        return math.atan2(self.up[1], self.up[2])


class Floater:
    """What hydrostatics needs of a lure in water of one density (kg/m3)."""

    def __init__(self, lure: Lure, density: float) -> None:
        offsets = np.cumsum([0] + [len(hull.vertices) for hull in lure.hulls])
        self.vertices = np.concatenate([np.zeros((0, 3))] + [hull.vertices for hull in lure.hulls])
        self.faces = np.concatenate(
            [np.zeros((0, 3), dtype=np.int64)]
            + [hull.faces + first for hull, first in zip(lure.hulls, offsets, strict=False)]
        )
        self.small = np.ascontiguousarray(lure.small)
        self.centre = lure.centre
        self.centre_volume = lure.centre_volume
        self.afloat = verdict(lure.mass, lure.volume, density) is Verdict.FLOATS
        # flat faces cut a sliver off round bodies; scaled, so that a lure that just floats still does
        self.displaced = lure.mass / density / lure.volume * whole(self.vertices, self.faces, self.small)
        self.size = lure.volume ** (1.0 / 3.0)

    def held(self, up: Array, pivot: Array, accuracy: float = 1e-13) -> Balance:
        """Balance of weight and displaced water at an attitude; `pivot` is a point near the surface."""
        across = np.eye(3) - np.outer(up, up)
        if not self.afloat:
            lever = self.centre - self.centre_volume
            energy = float(lever @ up)
            return Balance(up, None, energy, across @ lever, -energy * across, pivot)
        guess = -float(up @ pivot)
        height, wet = afloat(self.vertices, self.faces, self.small, up, self.displaced, guess, accuracy)
        lever = self.centre - wet[I_MOMENT : I_MOMENT + 3] / self.displaced
        energy = float(lever @ up)
        curve = -energy * across
        if wet[I_AREA] > 0.0:
            pivot = wet[I_AREA_MOMENT : I_AREA_MOMENT + 3] / wet[I_AREA]
            xx, yy, zz, xy, xz, yz = wet[I_AREA_SECOND : I_AREA_SECOND + 6]
            second = np.array([[xx, xy, xz], [xy, yy, yz], [xz, yz, zz]])
            second -= wet[I_AREA] * np.outer(pivot, pivot)
            curve += across @ second @ across / self.displaced
        return Balance(up, float(height), energy, across @ lever, curve, pivot)


def equilibria(lure: Lure, density: float) -> list[Rest]:
    """Stable attitudes in still water; first the one it rolls into when set down upright.

    Args:
        lure: as built.
        density: of the water (kg/m3).

    Returns:
        None for a lure that sinks; one for a lure that suspends, wholly under; else all that were found
        from the six sides, the eight corners and upright leant over, the lower in energy the earlier.
    """
    if verdict(lure.mass, lure.volume, density) is Verdict.SINKS:
        return []
    floater = Floater(lure, density)
    if not floater.afloat:
        return [_hanging(floater)]
    first = roll_downhill(floater, UPRIGHT, math.radians(5.0))
    others: list[Rest] = []
    for start in _starts():
        found = roll_downhill(floater, start, math.radians(20.0))
        if not any(_same(found, known, floater.size) for known in (first, *others)):
            others.append(found)
    return [first, *sorted(others, key=lambda rest: (round(rest.energy / floater.size, 9), *-rest.up))]


def _hanging(floater: Floater) -> Rest:
    lever = floater.centre_volume - floater.centre
    arm = float(np.linalg.norm(lever))
    if arm < NO_ARM * floater.size:
        return Rest(UPRIGHT, None, -arm, arm, arm, Turns.ANY)
    up = _tidy(lever / arm)
    turns = _freedom(floater, floater.held(up, up))
    return Rest(up, None, -arm, arm, arm, turns)


def _starts() -> Iterable[Array]:
    corners = [(x, y, z) for x in (1, -1, 0) for y in (1, -1, 0) for z in (1, -1, 0)]
    for corner in corners:
        if sum(map(abs, corner)) in (1, 3):
            yield _unit(np.array(corner, dtype=float))
    for lean in ((0.4, 0.0), (-0.4, 0.0), (0.0, 0.4), (0.0, -0.4)):
        yield _unit(np.array([*lean, 1.0]))


def roll_downhill(floater: Floater, up: Array, stride: float) -> Rest:
    """The stable rest below an attitude, in turns of at most `stride` (rad)."""
    tiny = 1e-12 * floater.size
    here = floater.held(_unit(up), floater.centre)
    turns = Turns.NOT
    for _ in range(300):
        slopes, curves, ways = _principal(here)
        lowest = int(np.argmin(curves))
        if max(abs(slopes)) < 1e3 * tiny and curves[lowest] < -1e3 * tiny:
            # a saddle, or as good as level: leave it, to the right or nose up, unless only feigned
            if curves[lowest] > -_ROUGH * floater.size:
                turns = _freedom(floater, here)
            if turns is not Turns.NOT:
                break
            step = 0.4 * stride * _rightward(ways[lowest])
        else:
            if max(abs(slopes)) < tiny:
                break
            amounts = -slopes / np.maximum(abs(curves), 1e-6 * floater.size)
            step = amounts @ ways
            length = float(np.linalg.norm(step))
            if length < 1e-11:
                break
            step *= min(1.0, stride / length)
        for _ in range(30):
            there = floater.held(_turned(here.up, step), here.pivot)
            if there.energy <= here.energy + tiny:
                break
            step = step / 2.0
        else:
            break
        here = there
    here = floater.held(_tidy(here.up), here.pivot)
    trim, heel = level_axes(here.up)
    if turns is Turns.NOT and min(_principal(here)[1]) < _ROUGH * floater.size:
        turns = _freedom(floater, here)
    trim_gm = 0.0 if turns is Turns.ANY else float(trim @ here.curve @ trim)
    heel_gm = 0.0 if turns is not Turns.NOT else float(heel @ here.curve @ heel)
    return Rest(here.up, here.height, here.energy, trim_gm, heel_gm, turns)


def righting_arms(floater: Floater, rest: Rest, way: Array, angles: Iterable[float]) -> list[float]:
    """Lever that brings it back (m) after a turn by each angle (rad) toward `way`, the other turn held."""
    arms = []
    pivot = floater.centre
    for angle in angles:
        up = math.cos(angle) * rest.up + math.sin(angle) * way
        toward = math.cos(angle) * way - math.sin(angle) * rest.up
        there = floater.held(up, pivot, 1e-9)
        pivot = there.pivot
        arms.append(math.copysign(1.0, angle) * float(there.slope @ toward))
    return arms


def level_axes(up: Array) -> tuple[Array, Array]:
    """Where `up` moves in the lure's axes when the nose rises, and when the right side goes down."""
    ahead = np.array([1.0, 0.0, 0.0]) - up[0] * up
    length = float(np.linalg.norm(ahead))
    trim = ahead / length if length > 1e-6 else np.array([0.0, 0.0, -math.copysign(1.0, up[0])])
    return trim, np.cross(up, trim)


def _freedom(floater: Floater, here: Balance) -> Turns:
    """Whether turning it, about its long axis or any way, meets a righting arm worth the name."""
    limit = NO_ARM * floater.size
    up = here.up
    angles = np.radians([17.0, 71.0, 129.0, 163.0, 211.0, 263.0, 317.0])  # no section's corners fall in step

    def arm(turned: Array, toward: Array) -> float:
        return abs(float(floater.held(turned, here.pivot, 1e-7).slope @ toward))

    if all(
        arm(math.cos(a) * up + math.sin(a) * way, math.cos(a) * way - math.sin(a) * up) < limit
        for way in level_axes(up)
        for a in angles
    ):
        return Turns.ANY
    radius, roll = math.hypot(up[1], up[2]), math.atan2(up[1], up[2])
    if radius > 0.02 and all(
        arm(
            np.array([up[0], radius * math.sin(roll + a), radius * math.cos(roll + a)]),
            np.array([0.0, radius * math.cos(roll + a), -radius * math.sin(roll + a)]),
        )
        < limit
        for a in angles
    ):
        return Turns.AXIS
    return Turns.NOT


def _same(a: Rest, b: Rest, size: float) -> bool:
    if float(np.linalg.norm(a.up - b.up)) < _SAME:
        return True
    alike = abs(a.energy - b.energy) < NO_ARM * size and a.turns is b.turns
    if a.turns is Turns.AXIS:
        return alike and abs(a.pitch - b.pitch) < _SAME
    return alike and a.turns is Turns.ANY


def _principal(here: Balance) -> tuple[Array, Array, Array]:
    """Slopes and curves along the two principal ways, and the ways (2, 3)."""
    trim, heel = level_axes(here.up)
    basis = np.array([trim, heel])
    flat = basis @ here.curve @ basis.T
    curves, turned = np.linalg.eigh(0.5 * (flat + flat.T))
    ways = turned.T @ basis
    return ways @ here.slope, curves, ways


def _rightward(way: Array) -> Array:
    """The way or its opposite: right side down if that says anything, else nose up, else back up."""
    for value in (way[1], way[0], way[2]):
        if abs(value) > 1e-3:
            return way if value > 0.0 else -way
    return way


def _turned(up: Array, step: Array) -> Array:
    angle = float(np.linalg.norm(step))
    return _unit(math.cos(angle) * up + math.sin(angle) / angle * step) if angle > 0.0 else up


def _tidy(up: Array) -> Array:
    """Round-off taken out, so that a symmetric lure sits exactly upright."""
    return _unit(np.where(abs(up) < 1e-9, 0.0, up))


def _unit(vector: Array) -> Array:
    return vector / np.linalg.norm(vector)
