"""Two measurements of one thing that do not agree: how far apart they are, and the slip it looks like."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sim.bench.uncertainty import rounded
from sim.remark import Amount, Remark, remark
from sim.units import Quantity

APART = 3.0
"""Combined deviations by which two values must differ to contradict each other: by chance 1 in 370 do."""

AT_LEAST = 0.02
"""And by this share of the larger: less is not worth a second look at the bench. Judgement."""

_FACTORS: tuple[tuple[float, set[str], str], ...] = (  # dimensions: any if none are named
    (28.349523125, {"mass"}, "ounces"),
    (29.5735295625, {"volume"}, "fluid_ounces"),
    (25.4, {"length"}, "inches"),
    (1000.0, set(), "thousand"),
    (10.0, set(), "ten"),
    (100.0, set(), "hundred"),
    (1.0 / 0.9144, {"length"}, "yards"),
    (2.0, set(), "two"),
)
_NEAR = 0.03  # share by which a ratio may miss a factor


def contradiction(
    what: str,
    part: str,
    one: tuple[str, Quantity],
    other: tuple[str, Quantity],
    loads: Mapping[str, Quantity] | None = None,
) -> Remark | None:
    """How two values exclude each other, or None if they agree.

    Args:
        what: was measured, displaced, cavity, density or balance, or else a reading. part: of what.
        one, other: how each was found, and its value; the same dimension.
        loads: known quantities that may have been left on the scale or taken for the value: own_weight, tare.
    """
    (name, a), (other_name, b) = one, other
    if a.flat and b.flat:
        sd = 0.0
        half = math.sqrt(3.0) * (a.sd + b.sd)
        gap = max(0.0, abs(a.value - b.value) - half)
    else:
        sd = math.hypot(0.0 if a.flat else rounded(a).sd, 0.0 if b.flat else rounded(b).sd)
        flat_half = math.sqrt(3.0) * ((a.sd if a.flat else 0.0) + (b.sd if b.flat else 0.0))
        gap = max(0.0, abs(a.value - b.value) - flat_half)
    larger = max(abs(a.value), abs(b.value))
    if gap <= max(APART * sd, AT_LEAST * larger):
        return None
    return remark(
        "contradiction", what=what, part=part, one=_given(a), one_by=name, other=_given(b), other_by=other_name,
        apart=Amount(abs(a.value - b.value), a.dimension), times=gap / sd if sd > 0.0 else None,
        slip=(likely_slip(a, b, loads or {}),),
    )  # fmt: skip


def likely_slip(a: Quantity, b: Quantity, loads: Mapping[str, Quantity]) -> Remark:
    """What two contradicting values look like."""
    small, large = sorted((abs(a.value), abs(b.value)))
    for name, load in loads.items():
        if load.dimension == a.dimension and abs(large - small - load.value) <= 0.1 * load.value:
            return remark("left_on_scale", load=name)
    if small > 0.0:
        for factor, dimensions, slip in _FACTORS:
            if dimensions and a.dimension not in dimensions:
                continue
            if abs(large / small / factor - 1.0) <= _NEAR:
                return remark("times_the_other", ratio=large / small, factor=slip)
    return remark("measure_again", dimension=a.dimension)


def _given(quantity: Quantity) -> str | Amount:
    return quantity.text if quantity.flat else Amount(quantity.value, quantity.dimension)
