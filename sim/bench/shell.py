"""Will a hollow shell float, from readings alone: its weight, its cavity, what is known of its wall.

A shell pushes aside its cavity *and* its wall: volume = cavity + weight / wall density.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from sim.bench.densities import interval
from sim.bench.uncertainty import ReadingError, rounded
from sim.remark import Amount, Remark, remark
from sim.units import Quantity

SURE = 0.95  # a verdict that fewer builds than this bear out is called uncertain; judgement
POINTS = 201  # across a flat interval


@dataclass(frozen=True)
class ShellAnswer:
    """What the readings say. SI."""

    carried: float  # kg, at the middle of what is known
    weight: float  # kg, everything
    margin: float  # kg
    margin_sd: float  # kg
    chance_floats: float
    verdict: str  # floats, sinks, uncertain
    flips_at: float | None  # wall density (kg/m3); heavier than that sinks; None: floats whatever the wall
    why: Remark
    settles: Remark | None  # the one measurement that would tell; None when sure


def shell(
    weight: Quantity,
    cavity: Quantity,
    wall: Quantity,
    load: Quantity | None,
    water: float,
) -> ShellAnswer:
    """Weigh a shell against the water it pushes aside.

    Args:
        weight: the empty shell. cavity: what it holds. wall: its density, perhaps a flat interval.
        load: fill, hooks and all else that it must carry, if anything; its own volume is left out.
        water: density of the water (kg/m3).

    Raises:
        ReadingError: a weight or a cavity of nothing.
    """
    weight, cavity = rounded(weight), rounded(cavity)
    extra = rounded(load) if load is not None else Quantity(0.0, 0.0, "mass")
    if wall.value <= 0.0 or weight.value <= 0.0 or cavity.value <= 0.0:
        raise ReadingError("the shell's weight, its cavity and its wall's density must be more than zero")
    whole = weight.value + extra.value

    def margin(density: float) -> float:
        return water * (cavity.value + weight.value / density) - whole

    def others(density: float) -> float:
        return math.hypot(
            (water / density - 1.0) * weight.sd,
            water * cavity.sd,
            extra.sd,
            0.0 if wall.flat else water * weight.value / density**2 * wall.sd,
        )

    if wall.flat:
        low, high = interval(wall)
        tried = [low + (high - low) * (k + 0.5) / POINTS for k in range(POINTS)]
    else:
        tried = [wall.value]
    chance = math.fsum(_share_above(margin(d), others(d)) for d in tried) / len(tried)
    middle = margin(wall.value)
    spread = math.sqrt(math.fsum((margin(d) - middle) ** 2 + others(d) ** 2 for d in tried) / len(tried))
    short = whole / water - cavity.value
    flips_at = weight.value / short if short > 0.0 else None
    verdict = "floats" if chance >= SURE else "sinks" if chance <= 1.0 - SURE else "uncertain"
    return ShellAnswer(
        middle + whole, whole, middle, spread, chance, verdict, flips_at,
        _why(cavity, wall, whole, water, short, flips_at), _settles(verdict, water, flips_at),
    )  # fmt: skip


def _share_above(value: float, sd: float) -> float:
    if sd <= 0.0:
        return 1.0 if value >= 0.0 else 0.0
    return 0.5 * (1.0 + math.erf(value / sd / math.sqrt(2.0)))


def _why(
    cavity: Quantity, wall: Quantity, whole: float, water: float, short: float, flips: float | None
) -> Remark:
    return remark(
        "shell_carries", weight=Amount(whole, "mass"), carried=Amount(cavity.value * water, "mass"),
        short=Amount(short, "volume"), turns=None if flips is None else Amount(flips, "density"),
        wall=Amount(wall.value, "density"), between=wall.text.replace(" to ", " and ") if wall.flat else "",
    )  # fmt: skip


def _settles(verdict: str, water: float, flips: float | None) -> Remark | None:
    if verdict != "uncertain" or flips is None:
        return None
    in_bath = water < flips <= 1.15 * water
    return remark("settle_in_bath" if in_bath else "settle_by_scrap", turns=Amount(flips, "density"))
