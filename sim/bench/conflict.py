"""Two measurements of one thing that do not agree: how far apart they are, and the slip it looks like."""

from __future__ import annotations

import math
from collections.abc import Mapping

from sim.bench.uncertainty import rounded
from sim.remark import Amount, Remark
from sim.units import Quantity

APART = 3.0
"""Combined deviations by which two values must differ to contradict each other: by chance 1 in 370 do."""

AT_LEAST = 0.02
"""And by this share of the larger: less is not worth a second look at the bench. Judgement."""

_FACTORS: tuple[tuple[float, set[str], str], ...] = (
    (28.349523125, {"mass"}, "one was read in ounces and written as grams, or the other way round"),
    (
        29.5735295625,
        {"volume"},
        "one was read in fluid ounces and written as millilitres, or the other way round",
    ),
    (25.4, {"length"}, "one was read in inches and written as millimetres, or the other way round"),
    (1000.0, set(), "a unit of a thousand is off, such as kg for g or m for mm"),
    (10.0, set(), "a decimal mark is one place off, or cm stands for mm"),
    (100.0, set(), "a decimal mark is two places off"),
    (1.0 / 0.9144, {"length"}, "one was read in yards and written as metres, or the other way round"),
    (2.0, set(), "one counts a pair or a diameter, the other a single one or a radius"),
)
_NEAR = 0.03  # share by which a ratio may miss a factor


def contradiction(
    what: str,
    one: tuple[str, Quantity],
    other: tuple[str, Quantity],
    loads: Mapping[str, Quantity] | None = None,
) -> Remark | None:
    """A sentence on two values that exclude each other, or None if they agree.

    Args:
        what: the thing measured, as in "the volume of body main".
        one, other: how each was found, and its value; the same dimension.
        loads: known quantities, by name, that may have been left on the scale or taken for the value.
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
    doubt = f", {gap / sd:.0f} times what their doubt allows" if sd > 0.0 and gap / sd < 1000.0 else ""
    return Remark(
        "{} is {} {} but {} {}: {} apart{}. {}",
        what, _shown(a), name, _shown(b), other_name, Amount(abs(a.value - b.value), a.dimension), doubt,
        likely_slip(a, b, loads or {}),
    )  # fmt: skip


def likely_slip(a: Quantity, b: Quantity, loads: Mapping[str, Quantity]) -> str:
    """What two contradicting values look like, as a sentence."""
    small, large = sorted((abs(a.value), abs(b.value)))
    for name, load in loads.items():
        if load.dimension == a.dimension and abs(large - small - load.value) <= 0.1 * load.value:
            return f"They differ by about {name}: it was probably left on the scale, or not taken off."
    if small > 0.0:
        for factor, dimensions, slip in _FACTORS:
            if dimensions and a.dimension not in dimensions:
                continue
            if abs(large / small / factor - 1.0) <= _NEAR:
                return f"One is {large / small:.3g} times the other: probably {slip}."
    if a.dimension == "volume":
        return (
            "An air bubble makes a dunked volume too large and a filled cavity too small, and a body that "
            "touches the cup makes it too large: rub it wet, tap it, and measure again."
        )
    if a.dimension == "mass":
        return "Set the scale to zero with nothing on it and weigh both again."
    if a.dimension == "density":
        return "Air bubbles make a scrap seem light: rub it wet and measure again, with a larger piece."
    return "Measure both again, with the unit written beside each reading."


def _shown(quantity: Quantity) -> str | Amount:
    return quantity.text if quantity.flat else Amount(quantity.value, quantity.dimension)
