"""The margin between lift and weight: its deviation, the chance of floating, and what would settle it.

Every input counts with what is known of it, or usual for it (`sim.design.priors`): readings, sizes, the range of a
material, and how far a body may differ from the shape that tells it.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import product
from statistics import NormalDist
from typing import NamedTuple

from sim.design.assembly import alike, home_of
from sim.design.fullness import outside_by
from sim.design.model import Design
from sim.design.priors import SKEWED, Prior, priors
from sim.lure.profile import BuildError
from sim.lure.weigh import weigh
from sim.numerics import root
from sim.trials.records import Settling
from sim.trials.reweighing import PARTS, Reweighing
from sim.trials.scene import medium
from sim.units import Quantity

STEP_LIMIT = 0.3
"""Largest step, as a share of the value, by which an input is moved to find what it does to the margin."""

SURE = 0.95  # a verdict that fewer builds than this bear out is uncertain; judgement
NODES = (
    7  # values of each input that is walked through for which the lure is weighed; linear between and beyond
)
POINTS = {1: 61, 2: 15}  # across each of one or two such inputs
WALKED = 0.05  # share of the variance from which an input that is not normal is walked through
FAR = 4.0  # deviations within which a value that turns the verdict is worth telling


def margin_kg(design: Design) -> float:
    """Spare lift of a design in its own water, kg."""
    whole = weigh(design)
    return medium(design).density * whole.volume - whole.mass


class Effect(NamedTuple):
    """What one deviation of an input does to the margin, kg; signed."""

    input: Prior
    kg: float


def margin_effects(again: Reweighing) -> list[Effect]:
    """Of every input that is not known exactly, by central differences."""
    found = []
    for one in priors(again.design, model=False):
        if one.path.split(".")[0] not in (*PARTS, "paint", "measured", "water"):
            continue
        kg = _effect(again, one)
        if kg != 0.0:
            found.append(Effect(one, kg))
    return found


def _effect(again: Reweighing, one: Prior) -> float:
    value, sd = one.value.value, one.value.sd
    z = 1.0
    if value != 0.0 and one.value.dimension not in ("temperature", "angle"):
        z = min(z, STEP_LIMIT * abs(value) / sd)
    more, less = _moved(again, one, z), _moved(again, one, -z)
    if more is not None and less is not None:
        return (more - less) * sd / (one.at(z).value - one.at(-z).value)
    side, there = (z, more) if more is not None else (-z, less)
    if there is None:
        return 0.0
    return (there - again.margin) * sd / (one.at(side).value - value)  # one side stands for both


def _moved(again: Reweighing, one: Prior, z: float) -> float | None:
    try:
        return again.with_changes(one.changes(z))
    except BuildError:
        return None


def deviation(effects: Iterable[Effect]) -> float:
    """Standard deviation of the margin (kg), the inputs independent."""
    return math.hypot(*(one.kg for one in effects))


def chance_floats(again: Reweighing, effects: Sequence[Effect]) -> float | None:
    """Share of builds whose margin is positive; None where no input has a doubt.

    An input that is not normal (only its two ends known, or as wide as to be skewed) is walked through, the two
    that matter most if there are more; all others together shift the margin normally.
    """
    sd = deviation(effects)
    if sd <= 0.0:
        return None
    odd = sorted(
        (one for one in effects if _odd(one.input) and one.kg**2 > WALKED * sd**2),
        key=lambda one: -abs(one.kg),
    )[:2]
    rest = deviation(one for one in effects if one not in odd)
    if not odd:
        return _share_above(again.margin, rest)
    normal, found = NormalDist(), []
    nodes = [normal.inv_cdf((k + 0.5) / NODES) for k in range(NODES)]
    table: dict[tuple[int, ...], float] = {}
    for at in product(range(NODES), repeat=len(odd)):
        changes: dict[str, Quantity] = {}
        for one, k in zip(odd, at, strict=True):
            changes |= one.input.changes(nodes[k])
        try:
            table[at] = again.with_changes(changes)
        except BuildError:
            continue  # no such thing can be
    points = POINTS[len(odd)]
    steps = [_between(nodes, normal.inv_cdf((k + 0.5) / points)) for k in range(points)]
    for place in product(steps, repeat=len(odd)):
        margin = _read(table, place)
        if margin is not None:
            found.append(_share_above(margin, rest))
    return math.fsum(found) / len(found) if found else None


def _between(nodes: Sequence[float], z: float) -> tuple[int, float]:
    """The interval of the nodes that z lies in or nearest to, and how far along it, as a share."""
    k = min(max(bisect_right(nodes, z) - 1, 0), len(nodes) - 2)
    return k, (z - nodes[k]) / (nodes[k + 1] - nodes[k])


def _read(table: Mapping[tuple[int, ...], float], place: Sequence[tuple[int, float]]) -> float | None:
    """Linear between the margins at the corners; None where a corner could not be built."""
    total = 0.0
    for corner in product((0, 1), repeat=len(place)):
        value = table.get(tuple(k + more for (k, _), more in zip(place, corner, strict=True)))
        if value is None:
            return None
        total += value * math.prod(t if more else 1.0 - t for (_, t), more in zip(place, corner, strict=True))
    return total


def _odd(one: Prior) -> bool:
    return one.value.flat or one.between is not None or one.value.sd > SKEWED * abs(one.value.value)


def _share_above(value: float, sd: float) -> float:
    if sd <= 0.0:
        return 1.0 if value >= 0.0 else 0.0
    return 0.5 * (1.0 + math.erf(value / sd / math.sqrt(2.0)))


def settled_by(again: Reweighing, chance: float | None, effects: Sequence[Effect]) -> Settling | None:
    """The one measurement that takes most of the doubt out of an uncertain verdict; None if it is sure.

    Sizes and fullness of a body go together: one dunk tells its volume.
    """
    if chance is None or not 1.0 - SURE < chance < SURE:
        return None
    groups: dict[str, list[Effect]] = {}
    for one in effects:
        groups.setdefault(_measured_as(again.design, one.input.path), []).append(one)
    path, most = max(groups.items(), key=lambda item: deviation(item[1]))
    one = max(most, key=lambda each: abs(each.kg))
    given, dimension, per = one.input, one.input.value.dimension, 1.0
    full = next((each for each in most if each.input.path.endswith(".fullness")), None)
    if path.startswith("assembly.") and path.endswith(".displaced"):
        return _by_one_dunk(again, path, deviation(most), deviation(effects))
    if full is not None:  # all that tells the volume, as if it were fullness
        sd = deviation(most) / abs(full.kg) * full.input.value.sd
        one, given = full, replace(full.input, value=replace(full.input.value, sd=sd))
        dimension, per = "volume", again.outside[path.split(".")[1]] / given.value.value
    else:
        path = given.path
    half = math.sqrt(3.0) * given.value.sd
    ends = given.between or (
        (given.value.value - half, given.value.value + half) if given.value.flat else None
    )
    turns = _turns_at(again, given)
    return Settling(
        path=path,
        dimension=dimension,
        share=deviation(most) ** 2 / deviation(effects) ** 2,
        sd_si=per * given.value.sd,
        between_si=ends,
        turns_at_si=None if turns is None else per * turns,
        floats_above=one.kg >= 0.0,
    )


def _by_one_dunk(again: Reweighing, path: str, sd: float, whole: float) -> Settling:
    """A dunk of several bodies together. Where they are weighed, the margin grows with their volume as water weighs."""
    together = again.design.assembly[path.split(".")[1]]
    volume = math.fsum(alike(again.design.body[name]) * again.outside[name] for name in together.bodies)
    weighed = together.weight is not None
    return Settling(
        path=path,
        dimension="volume",
        share=sd**2 / whole**2,
        sd_si=sd / again.density,
        between_si=None,
        turns_at_si=volume - again.margin / again.density if weighed else None,
        floats_above=True,
    )


_OF_ITS_VOLUME = ("length", "width", "height", "fullness", "stations", "side", "top")


def _measured_as(design: Design, path: str) -> str:
    """What would be measured to know an input: of sizes that tell a body's volume, that volume."""
    kind, name, key = (*path.split("."), "", "")[:3]
    if kind != "body" or key not in _OF_ITS_VOLUME or outside_by(design.body[name]) != "sizes":
        return path
    together = home_of(design.assembly, name)
    return f"body.{name}.displaced" if together is None else f"assembly.{together}.displaced"


def _turns_at(again: Reweighing, one: Prior) -> float | None:
    """The value of one input at which the margin is zero, within `FAR` deviations."""
    if one.paths:
        return None
    value, sd = one.value.value, one.value.sd

    def margin(there: float) -> float:
        return again.with_changes({one.path: Quantity(there, 0.0, one.value.dimension, "")})

    low, high = value - FAR * sd, value + FAR * sd
    if one.value.dimension != "temperature":
        low = max(low, 0.05 * value)
    try:
        return root(margin, low, high, 1e-7 * (high - low)) if margin(low) * margin(high) < 0.0 else None
    except BuildError:
        return None
