"""Whether a weight has room where it is to sit, and in which hole: what a maker can drill, with walls left.

A weight drilled into a solid body is a round rod in a straight hole, up and down or from side to side, or a
ball, in a hole of one of the common drills that comes in from below. Standing: geometry; what wall is left and
how flat a rod may be is judgement.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from sim.bench.hardware import DRILL_PLAY, DRILLS
from sim.design.model import Design
from sim.design.parts import Ballast
from sim.lure.bodies import BuiltBody, build_body, vector
from sim.lure.moments import Array
from sim.lure.sharing import shared
from sim.studies.redesign.step import Hole

WALL = 1e-3  # m of body left beside a hole
FLATTEST = 0.5  # length of a rod over its diameter
CAST_IN_MORE = 1.25  # a weight that no drilled hole takes is cast in; so much heavier may it become


def bodies(design: Design) -> list[BuiltBody]:
    """The bodies of a design, in place.

    Raises:
        BuildError: one that cannot be built.
    """
    return [built for name, spec in shared(design).body.items() for built in build_body(name, spec, [])]


def home(built: list[BuiltBody], weight: Ballast) -> BuiltBody | None:
    """The body that a weight sits in."""
    return next((body for body in built if weight.body in (None, body.key)), None)


def has_room(built: list[BuiltBody], weight: Ballast) -> bool:
    """Whether a weight can sit at its place: hung outside, laid in a hollow, or drilled in."""
    if weight.place == "outside":
        return True
    body = home(built, weight)
    if body is None or not body.holds(vector(weight.at)):
        return False
    return body.inner is not None or hole(built, weight) is not None


def hole(built: list[BuiltBody], weight: Ballast) -> Hole | None:
    """The smallest common drill whose hole takes a weight within a solid body; None if there is none.

    Raises:
        ValueError: a weight without its mass.
    """
    body = home(built, weight)
    if body is None:
        return None
    if weight.weight is None:
        raise ValueError("a weight needs its mass before a hole can be looked for")
    volume = weight.weight.value / weight.metal_density()
    drills = np.array(DRILLS)
    rods = drills - DRILL_PLAY
    long = volume / (math.pi / 4 * rods**2)
    ball = (6 * volume / math.pi) ** (1 / 3)
    sizes = {
        "up": (drills / 2, drills / 2, long / 2),
        "across": (drills / 2, long / 2, drills / 2),
        "ball": (drills / 2, drills / 2, drills / 2),
    }
    every = (np.concatenate(half) for half in zip(*sizes.values(), strict=True))
    good = dict(zip(sizes, np.split(_inside(body, weight, *every), len(sizes)), strict=True))
    for k, drill in enumerate(drills):
        for way in ("up", "across"):
            if good[way][k] and long[k] >= FLATTEST * rods[k]:
                return Hole(drill_mm=1e3 * float(drill), deep_mm=1e3 * float(long[k]), way=way)
        if good["ball"][k] and rods[k] - 0.5e-3 < ball <= rods[k]:
            return Hole(drill_mm=1e3 * float(drill), deep_mm=1e3 * ball, way="ball")
    return None


def _inside(body: BuiltBody, weight: Ballast, dx: Array, dy: Array, dz: Array) -> NDArray[np.bool_]:
    """Whether holes of these half sizes (n,), along, across and up, have their room in the body's sections.

    A hole comes in from below, so of its lower end only the middle must lie inside; half way up and at its
    upper end it needs a wall on either side.
    """
    d = vector(weight.at) - body.frame.nose
    s, y, z = -float(d @ body.frame.along), abs(float(d @ body.frame.left)), float(d @ body.frame.up)
    at = s + np.concatenate([-dx, dx])
    good = (at >= body.profile.start) & (at <= body.profile.end)
    cut = body.profile.at(np.clip(at, body.profile.start, body.profile.end))
    wide, high = np.maximum(cut.b, 1e-9), np.maximum(cut.c, 1e-9)
    beside, tall = np.tile(y + dy + WALL, 2), np.tile(dz, 2)
    for across, height in ((y, z - tall), (beside, z), (beside, z + tall)):
        out, up = across / wide, np.abs(height - cut.z0) / high
        with np.errstate(over="ignore"):
            good &= (np.maximum(out, up) <= 1.0) & (out**cut.n + up**cut.n <= 1.0)
    return np.asarray(good.reshape(2, -1).all(axis=0))
