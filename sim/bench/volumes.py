"""Volumes from water: what a cavity takes, what a body pushes aside. Readings in, m3 out.

Air's own lift on what lies on the scale (0.1 % of the weight of water) is left out.
"""

from __future__ import annotations

import math

from sim.bench.uncertainty import ReadingError, propagate
from sim.media import water_density
from sim.remark import Amount
from sim.units import Quantity


def cavity(full: Quantity, empty: Quantity, temperature: Quantity) -> Quantity:
    """What a hollow holds: weight full of water less weight empty, over the water's density.

    Raises:
        ReadingError: not heavier full than empty.

    >>> from sim.units import parse
    >>> q = cavity(parse("31.4 g", "mass"), parse("17.4 g", "mass"), parse("20 C", "temperature"))
    >>> round(q.value * 1e6, 3)
    14.025
    """
    if full.value <= empty.value:
        raise ReadingError(
            "it weighs {full:4} full of water and {empty:4} empty, so the water would weigh nothing or less; the two "
            "were probably swapped: weigh it empty first, then full",
            full=Amount(full.value, "mass"),
            empty=Amount(empty.value, "mass"),
        )
    return propagate(lambda f, e, t: (f - e) / water_density(t), "volume", full, empty, temperature)


def poured(water: Quantity, temperature: Quantity) -> Quantity:
    """What a hollow holds, from the weight of the water poured out of it."""
    return propagate(lambda w, t: w / water_density(t), "volume", water, temperature)


def level(before: Quantity, after: Quantity) -> Quantity:
    """Volume pushed aside in a graduated cup: the rise of its level.

    A floating body is pulled under by a sinker that is in the water already when `before` is read, or pushed
    under with a thin needle.

    Raises:
        ReadingError: the level did not rise.
    """
    if after.value <= before.value:
        raise ReadingError(
            "the level stood at {before} before and {after} after, so it did not rise; the two were probably swapped: "
            "`before` is read without the body",
            before=Amount(before.value, "volume"),
            after=Amount(after.value, "volume"),
        )
    return propagate(lambda b, a: a - b, "volume", before, after)


def level_round(across: Quantity, rise: Quantity) -> Quantity:
    """Volume pushed aside in a straight round glass: pi / 4 x (inside width)^2 x rise."""
    return propagate(lambda d, h: math.pi / 4 * d**2 * h, "volume", across, rise)


def cup(before: Quantity | None, after: Quantity, temperature: Quantity, salinity: float = 0.0) -> Quantity:
    """Volume by the suspended-body method: a cup of water on the scale, the body hung wholly under in it.

    The scale carries the water pushed aside: volume = (after - before) / density of the water. The body must
    not touch the cup. A floating body is pulled under by a sinker: `before` is then read with the sinker
    alone hanging under. `before` None is a scale set to zero.

    Raises:
        ReadingError: the scale did not rise.
    """
    zero = before if before is not None else Quantity(0.0, 0.0, "mass")
    if after.value <= zero.value:
        raise ReadingError(
            "the scale showed {before:4} before and {after:4} with the body hung under, so it did not rise; the two "
            "were probably swapped, or the body's own weight hung on the scale",
            before=Amount(zero.value, "mass"),
            after=Amount(after.value, "mass"),
        )
    return propagate(lambda b, a, t: (a - b) / water_density(t, salinity), "volume", zero, after, temperature)
