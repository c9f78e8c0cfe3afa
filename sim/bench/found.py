"""A thing as found: how much water it pushes aside, and whether it floats, from whatever readings are at hand.

What is not known is the volume V of the whole outside. Each reading bears on it:

    dunked        V itself
    three sizes   V = k (pi/6) L W H, with k the fullness of a shape that nobody described
    weight m, cavity c, wall density rho        V = c + m / rho

V is drawn from the most direct of these and weighted by the others (importance sampling over a fixed
low-discrepancy set, so the same readings always give the same answer): Bayes' rule with the priors below. V
never exceeds the box of the three sizes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sim.bench.densities import HEAVIEST
from sim.bench.uncertainty import ReadingError, rounded
from sim.units import Quantity

Array = NDArray[np.float64]

FULLNESS, FULLNESS_SD = 1.15, 0.27
"""Volume of a thing over that of the ellipsoid with its three sizes: median, and deviation of the logarithm.
From the misses of 200 invented closed shapes (docs/notes/doubt-of-shape.md); an oval has 1, a can 1.5, a box 1.91."""
BOX = 6.0 / math.pi  # fullness of a box; nothing is fuller
PLASTIC, PLASTIC_SD, OTHER = (1150.0, 0.18, 0.1)
"""Wall of a hollow thing of which nobody said what it is: hard or soft plastic (kg/m3, deviation of the logarithm),
and the chance that it is anything else, from foam to heavy metal, evenly in the logarithm. Judgement."""
LIGHTEST_WALL, DENSEST_WALL = 15.0, 11350.0  # kg/m3: expanded foam; lead
DUNK, DUNK_LEAST = (
    0.01,
    0.15e-6,
)  # error of a careful dunk: share, and least (m3: half a division of a small cup)
SCRAP = 0.015  # relative error of a scrap's density, weighed dry and hung in water
FILL = 0.1e-3  # kg: error of a cavity by the weight of its water, two readings of a kitchen scale
TAPE = 0.2e-3  # m: error of a calliper on a thing with edges
SURE = 0.95  # a verdict that fewer than this share bear out is uncertain; judgement
POINTS = 4096
_LEAST_EVIDENCE = 1e-3  # mean likelihood below which the readings exclude each other: beyond 3.3 deviations


@dataclass(frozen=True)
class FoundThing:
    """Readings of a thing as found. None: not measured. Values with their doubt, SI."""

    weight: Quantity  # empty, as found
    cavity: Quantity | None = None
    sizes: tuple[Quantity, Quantity, Quantity] | None = None
    wall: Quantity | None = None  # density of what it is made of, perhaps a flat interval
    displaced: Quantity | None = None  # whole outside, as dunked with the cavity closed
    load: Quantity | None = None  # hooks, eyes and all else that it must carry
    fill: Quantity | None = None  # mass poured in
    solid: bool = False


@dataclass(frozen=True)
class Posterior:
    """Draws of what the readings leave open, with weights that sum to 1. SI; arrays of shape (k,)."""

    weights: Array
    volume: Array
    mass: Array  # empty
    wall: Array  # density; nan where nothing tells it
    cavity: Array

    def mean(self, values: Array) -> float:
        """Weighted mean."""
        return float(self.weights @ values)

    def sd(self, values: Array) -> float:
        """Weighted standard deviation."""
        middle = self.mean(values)
        return math.sqrt(max(float(self.weights @ (values - middle) ** 2), 0.0))

    def quantile(self, values: Array, share: float) -> float:
        """Weighted quantile."""
        order = np.argsort(values)
        heaped = np.cumsum(self.weights[order]) - 0.5 * self.weights[order]
        return float(np.interp(share, heaped, values[order]))


@dataclass(frozen=True)
class Afloat:
    """One state of the thing, in one water. SI."""

    margin: float  # kg, mean
    margin_sd: float
    low: float  # 5th percentile
    high: float  # 95th
    chance_floats: float

    @property
    def verdict(self) -> str:
        """floats, sinks or uncertain."""
        if self.chance_floats >= SURE:
            return "floats"
        return "sinks" if self.chance_floats <= 1.0 - SURE else "uncertain"


@dataclass(frozen=True)
class Next:
    """The reading that takes most of the doubt away, and the result that turns the verdict."""

    reading: str  # displaced, wall, cavity, sizes
    left: float  # share of the margin's deviation that stays
    floats_above: (
        float | None
    )  # SI; None where floating asks for less than `floats_below`, or nothing turns it
    floats_below: float | None


class ImpossibleError(ReadingError):
    """Readings that cannot all be true."""

    def __init__(self, message: str, readings: tuple[str, ...], settled_by: str) -> None:
        super().__init__(message)
        self.readings, self.settled_by = readings, settled_by


def posterior(thing: FoundThing) -> Posterior:
    """What the readings leave open of volume, mass, wall and cavity.

    Raises:
        ImpossibleError: readings that exclude each other.
        ReadingError: nothing from which the volume follows.
    """
    z = _deviates()
    mass = _drawn(rounded(thing.weight), z[0])
    cavity = np.zeros(POINTS) if thing.solid else np.full(POINTS, np.nan)
    if thing.cavity is not None:
        cavity = _drawn(rounded(thing.cavity), z[1])
    known = np.isfinite(cavity[0])
    box = _box(thing, z) if thing.sizes is not None else None
    likelihood = np.ones(POINTS)
    if thing.displaced is not None:
        volume = _drawn(rounded(thing.displaced), z[2])
        if known:
            likelihood = _wall_likelihood(thing, mass / np.maximum(volume - cavity, 1e-12), volume > cavity)
        likelihood = likelihood * _size_likelihood(box, volume)
    elif known and (thing.wall is not None or not thing.solid):
        volume = cavity + mass / _wall_drawn(thing, z[2])
        likelihood = _size_likelihood(box, volume)
    elif box is not None:
        volume = box / BOX * _fullness(z[2])
        if known:  # solid
            likelihood = _wall_likelihood(thing, mass / volume, volume > 0.0)
    else:
        raise ReadingError(
            "its weight alone does not tell what it pushes aside; give what it is made of and its cavity, its three "
            "sizes, or dunk it"
        )
    total = float(likelihood.sum())
    if total < _LEAST_EVIDENCE * POINTS:
        raise _excluded(thing)
    wall = mass / np.maximum(volume - cavity, 1e-12) if known else np.full(POINTS, np.nan)
    return Posterior(likelihood / total, volume, mass, wall, cavity)


def afloat(
    thing: FoundThing, left: Posterior, water: float, *, filled: bool = False, loaded: bool = False
) -> Afloat:
    """Spare lift of the closed thing in a water of density `water` (kg/m3), empty or filled, bare or with its load."""
    margin = _margin(thing, left, water, filled, loaded)
    chance = left.mean((margin > 0.0).astype(float))
    return Afloat(
        left.mean(margin), left.sd(margin), left.quantile(margin, 0.05), left.quantile(margin, 0.95), chance
    )


def next_reading(thing: FoundThing, left: Posterior, water: float) -> Next | None:
    """Of the readings not yet made, the one that leaves least doubt in the margin of the finished thing.

    Linear: what stays of the variance is 1 - r^2, r being the correlation of the margin with the reading and its
    error. The result at which the verdict turns is where the regression line crosses zero.
    """
    margin = _margin(thing, left, water, True, True)
    sd = left.sd(margin)
    if sd <= 0.0:
        return None
    open_to: dict[str, tuple[Array, float]] = {}
    if thing.displaced is None:
        open_to["displaced"] = left.volume, max(DUNK * left.mean(left.volume), DUNK_LEAST)
    if (thing.wall is None or thing.wall.flat) and np.isfinite(left.wall[0]):
        open_to["wall"] = left.wall, SCRAP * left.mean(left.wall)
    if thing.cavity is None and not thing.solid and np.isfinite(left.cavity[0]):
        open_to["cavity"] = left.cavity, FILL / water
    found = []
    for name, (values, error) in open_to.items():
        spread = left.sd(values)
        if spread <= 0.0:
            continue
        about = left.mean((values - left.mean(values)) * (margin - left.mean(margin)))
        slope = about / (spread**2 + error**2)
        kept = math.sqrt(max(1.0 - slope * about / sd**2, 0.0))
        turn = left.mean(values) - left.mean(margin) * spread**2 / about if about != 0.0 else None
        rises = about > 0.0
        found.append(Next(name, kept, turn if rises else None, None if rises else turn))
    return min(found, key=lambda one: one.left) if found else None


def with_reading(thing: FoundThing, name: str, value: Quantity) -> FoundThing:
    """The thing with one more reading made: `name` is one of those that `Next` names."""
    if name == "displaced":
        return replace(thing, displaced=value)
    return replace(thing, wall=value) if name == "wall" else replace(thing, cavity=value)


def _margin(thing: FoundThing, left: Posterior, water: float, filled: bool, loaded: bool) -> Array:
    margin = water * left.volume - left.mass
    z = _deviates()
    if filled and thing.fill is not None:
        margin = margin - _drawn(rounded(thing.fill), z[3])
    if loaded and thing.load is not None:
        margin = margin - _drawn(rounded(thing.load), z[4])
    return np.asarray(margin)


def _box(thing: FoundThing, z: Array) -> Array:
    assert thing.sizes is not None
    out = np.ones(POINTS)
    for k, size in enumerate(thing.sizes):
        used = rounded(size)
        out = out * _drawn(replace(used, sd=math.hypot(used.sd, TAPE)), z[5 + k])
    return out


def _fullness(z: Array) -> Array:
    """Fullness of a shape that nobody described, cut off at that of a box."""
    drawn = FULLNESS * np.exp(FULLNESS_SD * z)
    over = drawn > BOX
    # what lies beyond a box is folded back below it, so that every draw is a shape that can be
    return np.where(over, BOX * BOX / drawn, drawn)


def _size_likelihood(box: Array | None, volume: Array) -> Array:
    """How likely such sizes are for a thing of this volume, 1 at the likeliest; nothing is larger than its box."""
    if box is None:
        return np.ones(POINTS)
    full = volume / box * BOX
    off = np.log(np.maximum(full, 1e-9) / FULLNESS) / FULLNESS_SD
    return np.where((full > 0.0) & (full <= BOX), np.exp(-0.5 * off * off), 0.0)


def _wall_likelihood(thing: FoundThing, wall: Array, possible: NDArray[np.bool_]) -> Array:
    """How likely a wall of this density is, 1 at the likeliest."""
    inside = possible & (wall > 0.0)
    if thing.wall is not None:
        given = rounded(thing.wall)
        if given.flat:
            half = math.sqrt(3.0) * given.sd
            soft = np.maximum(np.abs(wall - given.value) - half, 0.0) / (0.02 * given.value)
        else:
            soft = (wall - given.value) / max(given.sd, 0.005 * given.value)
        return np.where(inside, np.exp(-0.5 * soft * soft), 0.0)
    plastic = np.exp(-0.5 * (np.log(np.maximum(wall, 1e-9) / PLASTIC) / PLASTIC_SD) ** 2)
    span = math.log(DENSEST_WALL / LIGHTEST_WALL)
    ratio = OTHER / (1.0 - OTHER) * PLASTIC_SD * math.sqrt(2.0 * math.pi) / span
    other = np.where((wall > LIGHTEST_WALL) & (wall < DENSEST_WALL), ratio, 0.0)
    return np.where(inside, (plastic + other) / (1.0 + ratio), 0.0)


def _wall_drawn(thing: FoundThing, z: Array) -> Array:
    if thing.wall is not None:
        return np.maximum(_drawn(rounded(thing.wall), z), LIGHTEST_WALL)
    share = _normal_share(z)
    span = math.log(DENSEST_WALL / LIGHTEST_WALL)
    other = LIGHTEST_WALL * np.exp(span * np.clip(share / OTHER, 0.0, 1.0))
    inner = np.clip((share - OTHER) / (1.0 - OTHER), 1e-6, 1.0 - 1e-6)
    return np.where(share < OTHER, other, PLASTIC * np.exp(PLASTIC_SD * _normal_at(inner)))


def _excluded(thing: FoundThing) -> ImpossibleError:
    """Say which readings exclude each other, and which one more would settle it."""
    given = [
        ("sizes", thing.sizes is not None),
        ("weight", True),
        ("cavity", thing.cavity is not None),
        ("wall", thing.wall is not None),
        ("displaced", thing.displaced is not None),
    ]
    names = tuple(name for name, there in given if there)
    if thing.displaced is None:
        settles, how = (
            "displaced",
            "dunk it whole with its hollows closed and give what it pushes aside as displaced",
        )
    else:
        settles, how = "cavity", "fill it with water once more and weigh that"
    return ImpossibleError(
        f"cannot be told: {', '.join(names[:-1])} and {names[-1]} cannot all be true; {_why(thing)}. "
        f"To settle it, {how}",
        names,
        settles,
    )


def _why(thing: FoundThing) -> str:
    if thing.sizes is None or thing.cavity is None:
        return "they leave no volume that fits them all"
    box = math.prod(size.value for size in thing.sizes)
    if thing.cavity.value >= box:
        return "the cavity would not fit into a box of these sizes"
    wall = thing.weight.value / (box - thing.cavity.value)
    if wall > HEAVIEST:
        return "even a box of these sizes would leave a wall denser than any metal"
    return "a box of these sizes has no room for that cavity and a wall of that weight"


def _drawn(quantity: Quantity, z: Array) -> Array:
    if quantity.flat:
        half = math.sqrt(3.0) * quantity.sd
        return np.asarray(quantity.value + half * (2.0 * _normal_share(z) - 1.0))
    return np.asarray(quantity.value + quantity.sd * z)


@cache
def _deviates() -> Array:
    """Standard normal deviates (8, POINTS): the additive recurrence of the generalised golden ratio.

    Roberts 2018, "The unreasonable effectiveness of quasirandom sequences"; x^9 = x + 1.
    """
    golden = 1.0
    for _ in range(60):
        golden = (1.0 + golden) ** (1.0 / 9.0)
    steps = golden ** -np.arange(1.0, 9.0)
    points = (0.5 + np.outer(steps, np.arange(1, POINTS + 1))) % 1.0
    return _normal_at(np.clip(points, 1e-6, 1.0 - 1e-6))


def _normal_share(z: Array) -> Array:
    return np.array([0.5 * math.erfc(-value / math.sqrt(2.0)) for value in z])


def _normal_at(share: Array) -> Array:
    from statistics import NormalDist

    normal = NormalDist()
    return np.array([normal.inv_cdf(float(value)) for value in np.ravel(share)]).reshape(share.shape)
