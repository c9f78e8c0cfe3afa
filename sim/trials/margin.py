"""The margin between lift and weight: its deviation, the chance of floating, and what would settle it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import product

from sim.design.model import Design
from sim.design.paths import leaves
from sim.lure.profile import BuildError
from sim.lure.weigh import weigh
from sim.numerics import root
from sim.trials.records import Settling
from sim.trials.reweighing import Reweighing
from sim.trials.scene import medium
from sim.units import Quantity

STEP_LIMIT = 0.3
"""Largest step, as a share of the value, by which an input is moved to find what it does to the margin."""

SURE = 0.95  # a verdict that fewer builds than this bear out is uncertain; judgement
POINTS = {1: 61, 2: 15}  # across each of one or two flat intervals


def margin_kg(design: Design) -> float:
    """Spare lift of a design in its own water, kg."""
    whole = weigh(design)
    return medium(design).density * whole.volume - whole.mass


def margin_sd(design: Design) -> float:
    """Standard deviation of the margin (kg) from every input with a +-, by central differences."""
    return math.sqrt(math.fsum(effect**2 for effect in margin_effects(design).values()))


def margin_effects(design: Design, again: Reweighing | None = None) -> dict[str, float]:
    """What one deviation of each uncertain input does to the margin (kg), by path; signed."""
    again = again or Reweighing(design)
    out = {}
    for path, quantity in leaves(again.design).items():
        if quantity.sd <= 0.0:
            continue
        step = quantity.sd
        if quantity.value != 0.0 and quantity.dimension not in ("temperature", "angle"):
            step = min(step, STEP_LIMIT * abs(quantity.value))
        more = again.with_value(path, quantity.value + step, quantity.dimension)
        less = again.with_value(path, quantity.value - step, quantity.dimension)
        if more is not None and less is not None:
            out[path] = 0.5 * (more - less) * quantity.sd / step
        elif more is not None or less is not None:  # one side cannot be built: the other stands for both
            one, sign = (more, 1.0) if more is not None else (less, -1.0)
            assert one is not None
            out[path] = sign * (one - again.margin) * quantity.sd / step
    return out


def chance_floats(again: Reweighing, effects: Mapping[str, float]) -> float | None:
    """Share of builds whose margin is positive; None where no input has a doubt.

    A flat input (only its two ends known) is walked through from end to end, the two that matter most if
    there are more; all others together shift the margin normally.

    Args:
        effects: of one deviation of each input (kg), as `margin_effects`.
    """
    inputs = leaves(again.design)
    flats = sorted((p for p in effects if inputs[p].flat), key=lambda p: -abs(effects[p]))[:2]
    rest = math.hypot(*(effect for path, effect in effects.items() if path not in flats))
    if not flats:
        return _share_above(again.margin, rest) if rest > 0.0 else None
    found = []
    for values in product(*(_across(inputs[path], POINTS[len(flats)]) for path in flats)):
        try:
            there = again.with_changes(
                {p: Quantity(v, 0.0, inputs[p].dimension, "") for p, v in zip(flats, values, strict=True)}
            )
        except BuildError:
            continue
        found.append(_share_above(there, rest))
    return math.fsum(found) / len(found) if found else None


def _across(quantity: Quantity, points: int) -> list[float]:
    """Middles of equal steps through a flat interval."""
    half = math.sqrt(3.0) * quantity.sd
    return [quantity.value + half * (2.0 * (k + 0.5) / points - 1.0) for k in range(points)]


def _share_above(value: float, sd: float) -> float:
    if sd <= 0.0:
        return 1.0 if value >= 0.0 else 0.0
    return 0.5 * (1.0 + math.erf(value / sd / math.sqrt(2.0)))


def settled_by(again: Reweighing, chance: float | None, effects: Mapping[str, float]) -> Settling | None:
    """The one measurement that takes most of the doubt out of an uncertain verdict; None if it is sure."""
    if chance is None or not 1.0 - SURE < chance < SURE:
        return None
    path = max(effects, key=lambda p: abs(effects[p]))
    given = leaves(again.design)[path]
    half = math.sqrt(3.0) * given.sd
    return Settling(
        path=path,
        dimension=given.dimension,
        share=effects[path] ** 2 / math.fsum(e**2 for e in effects.values()),
        sd_si=given.sd,
        between_si=(given.value - half, given.value + half) if given.flat else None,
        turns_at_si=_turns_at(again, path, given),
        floats_above=effects[path] >= 0.0,
    )


def _turns_at(again: Reweighing, path: str, given: Quantity) -> float | None:
    """The value of one input at which the margin is zero, within four deviations."""

    def margin(value: float) -> float:
        return again.with_changes({path: Quantity(value, 0.0, given.dimension, "")})

    low, high = given.value - 4.0 * given.sd, given.value + 4.0 * given.sd
    if given.dimension != "temperature":
        low = max(low, 0.05 * given.value)
    try:
        return root(margin, low, high, 1e-7 * (high - low)) if margin(low) * margin(high) < 0.0 else None
    except BuildError:
        return None
