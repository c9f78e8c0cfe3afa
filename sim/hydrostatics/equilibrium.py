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
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from sim.elements import VOLUME, Hull
from sim.hydrostatics.flotation import (
    A_CURVE,
    A_ENERGY,
    A_HEIGHT,
    A_PIVOT,
    A_SLOPE,
    ARRIVED,
    LEVEL,
    N_BALANCE,
    N_PARTED,
    balance,
    level_axes,
    next_turn,
    principal,
    turned,
)
from sim.hydrostatics.immersion import N_IMMERSED, face_terms
from sim.hydrostatics.verdict import Turns, Verdict, verdict

Array = NDArray[np.float64]

UPRIGHT = np.array([0.0, 0.0, 1.0])
FIRST_STRIDE = math.radians(5.0)  # so that it rolls from upright and does not jump
NO_ARM = 1e-3
"""A righting arm shorter than this share of the cube root of the volume counts as none, all the way round
(judgement: 0.02 mm on a 10 mL lure, what a hull drawn with flat faces can feign)."""
_ROUGH = 5e-3  # a negative GM larger than this, the same share, cannot be the work of flat faces
_SAME = math.radians(0.5)  # rests closer than this are one


class HydrostaticBalance(NamedTuple):
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


class Floats(Protocol):
    """What hydrostatics needs to know of a lure; a `Lure` and an `StaticLure` know it."""

    @property
    def mass(self) -> float: ...  # kg
    @property
    def centre(self) -> Array: ...  # of gravity (3,), m
    @property
    def volume(self) -> float: ...  # displaced when wholly under, m3
    @property
    def centre_volume(self) -> Array: ...  # of buoyancy when wholly under (3,), m
    @property
    def hulls(self) -> tuple[Hull, ...]: ...
    @property
    def small(self) -> Array: ...  # (k, 10) as in `Lure`


class Floater:
    """A lure in water of one density (kg/m3), ready to be held at any attitude."""

    def __init__(self, lure: Floats, density: float) -> None:
        hulls = lure.hulls
        if len(hulls) == 1:
            self.vertices, self.faces = hulls[0].vertices, hulls[0].faces
        else:
            offsets = np.cumsum([0] + [len(hull.vertices) for hull in hulls])
            self.vertices = np.concatenate([np.zeros((0, 3))] + [hull.vertices for hull in hulls])
            self.faces = np.concatenate(
                [np.zeros((0, 3), dtype=np.int64)]
                + [hull.faces + first for hull, first in zip(hulls, offsets, strict=False)]
            )
        self.faces = self.faces.view()
        self.faces.flags.writeable = False
        self.small = np.ascontiguousarray(lure.small)
        self.centre = lure.centre
        self.centre_volume = lure.centre_volume
        self.floats = verdict(lure.mass, lure.volume, density) is Verdict.FLOATS
        self.size = lure.volume ** (1.0 / 3.0)
        self.terms = face_terms(self.vertices, self.faces)
        self.parted, self.near = np.zeros(N_PARTED), np.empty(len(self.faces), dtype=np.int64)
        # flat faces cut a sliver off round bodies; scaled, so that a lure that just floats still does
        held = float(self.terms[:, 0].sum()) / 6.0 + float(self.small[:, VOLUME].sum())
        self.displaced = lure.mass / density / lure.volume * held
        self._balance = balance.bound(
            self.vertices, self.faces, self.terms, self.small, self.centre, self.parted, self.near,
            np.empty(len(self.vertices)), np.empty(N_IMMERSED), np.empty((3, 3)), self.displaced,
        )  # fmt: skip

    def held(self, up: Array, pivot: Array | None, accuracy: float = 1e-13) -> HydrostaticBalance:
        """Balance of weight and displaced water at an attitude; `pivot` is a point near the surface, if known."""
        if not self.floats:
            pivot = self.centre if pivot is None else pivot
            across = np.eye(3) - np.outer(up, up)
            lever = self.centre - self.centre_volume
            energy = float(lever @ up)
            return HydrostaticBalance(up, None, energy, across @ lever, -energy * across, pivot)
        found, guess = np.empty(N_BALANCE), math.nan if pivot is None else -float(up @ pivot)
        self._balance(up, guess, accuracy, found)
        return HydrostaticBalance(
            up,
            float(found[A_HEIGHT]),
            float(found[A_ENERGY]),
            found[A_SLOPE:A_CURVE],
            found[A_CURVE:A_PIVOT].reshape(3, 3),
            found[A_PIVOT:],
        )


def equilibria(lure: Floats, density: float) -> list[Rest]:
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
    if not floater.floats:
        return [_hanging(floater)]
    first = roll_downhill(floater, UPRIGHT, FIRST_STRIDE)
    others: list[Rest] = []
    for start in _starts():
        found = roll_downhill(floater, start, math.radians(20.0))
        if not any(_same(found, known, floater.size) for known in (first, *others)):
            others.append(found)
    return [first, *sorted(others, key=lambda rest: (round(rest.energy / floater.size, 9), *-rest.up))]


def first_rest(lure: Floats, density: float) -> Rest | None:
    """The stable attitude it rolls into when set down upright: the first of `equilibria`, found alone.

    None for a lure that sinks. The way down from upright is walked each time: a start from the rest of a
    lure much alike would save little and could end at the foot of another slope.
    """
    if verdict(lure.mass, lure.volume, density) is Verdict.SINKS:
        return None
    floater = Floater(lure, density)
    return roll_downhill(floater, UPRIGHT, FIRST_STRIDE) if floater.floats else _hanging(floater)


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
    here = floater.held(_unit(up), None)
    turns = Turns.NOT
    for _ in range(300):
        what, step, lowest = next_turn(here.up, here.slope, here.curve, stride, floater.size)
        if what == ARRIVED:
            break
        if what == LEVEL:
            # a saddle, or as good as level: leave it, to the right or nose up, unless only feigned
            if lowest > -_ROUGH * floater.size:
                turns = _freedom(floater, here)
            if turns is not Turns.NOT:
                break
            step = 0.4 * stride * _rightward(step)
        for _ in range(30):
            there = floater.held(turned(here.up, step), here.pivot)
            if there.energy <= here.energy + tiny:
                break
            step = step / 2.0
        else:
            break
        here = there
    tidy = _tidy(here.up)
    if not np.array_equal(tidy, here.up):
        here = floater.held(tidy, here.pivot)
    trim, heel = level_axes(here.up)
    if turns is Turns.NOT and principal(here.up, here.slope, here.curve)[1][0] < _ROUGH * floater.size:
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


def _freedom(floater: Floater, here: HydrostaticBalance) -> Turns:
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


def _rightward(way: Array) -> Array:
    """The way or its opposite: right side down if that says anything, else nose up, else back up."""
    for value in (way[1], way[0], way[2]):
        if abs(value) > 1e-3:
            return way if value > 0.0 else -way
    return way


def _tidy(up: Array) -> Array:
    """Round-off taken out, so that a symmetric lure sits exactly upright."""
    return _unit(np.where(abs(up) < 1e-9, 0.0, up))


def _unit(vector: Array) -> Array:
    return vector / np.linalg.norm(vector)
