"""Where it balances, how it lies in the tub: readings of lengths and of two supports."""

from __future__ import annotations

import math

from sim.bench.uncertainty import ReadingError, propagate
from sim.remark import Amount
from sim.units import Quantity


def on_two_supports(whole: Quantity, on_scale: Quantity, span: Quantity) -> Quantity:
    """Distance of the balance point from a fixed support, one end resting on that, the other on a scale.

    Moments about the fixed support: span x on_scale / whole. Closed form.

    Raises:
        ReadingError: the scale carries more than the whole weighs.
    """
    if on_scale.value >= whole.value:
        raise ReadingError(
            "the scale carries {carried} of a whole that weighs {whole}, but the other end must carry some of it; the "
            "two were probably swapped",
            carried=Amount(on_scale.value, "mass"),
            whole=Amount(whole.value, "mass"),
        )
    return propagate(lambda w, p, s: s * p / w, "length", whole, on_scale, span)


def trim(nose_depth: Quantity, tail_depth: Quantity, apart: Quantity) -> Quantity:
    """Nose-up angle of a floating body from how deep two marks lie, so far apart along it.

    sin(pitch) = (tail_depth - nose_depth) / apart. Closed form.

    Raises:
        ReadingError: the depths differ by more than the marks are apart.
    """
    if abs(tail_depth.value - nose_depth.value) >= apart.value:
        raise ReadingError(
            "the marks are {apart} apart, so their depths cannot differ by {depths}; check the units",
            apart=Amount(apart.value, "length"),
            depths=Amount(abs(tail_depth.value - nose_depth.value), "length"),
        )
    return propagate(lambda n, t, s: math.asin((t - n) / s), "angle", nose_depth, tail_depth, apart)


def draught(nose_depth: Quantity, tail_depth: Quantity) -> Quantity:
    """Depth of the middle between two marks under the surface."""
    return propagate(lambda n, t: 0.5 * (n + t), "length", nose_depth, tail_depth)
