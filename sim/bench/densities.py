"""Densities: by weighing under water, from a test block, and between baths a scrap sank or floated in."""

from __future__ import annotations

import math

from sim.bench.brine import brine_density
from sim.bench.uncertainty import ReadingError, flat, propagate
from sim.media import water_density
from sim.remark import Amount
from sim.units import Quantity, show

D792_WATER = 997.5
"""kg/m3, water at 23 C as ASTM D792 takes it. D792 says of itself that it is not equivalent to ISO 1183."""

LIGHTEST, HEAVIEST = 5.0, 23000.0  # kg/m3, of anything a lure is made of: foam, and a little above tungsten


def immersion_density(
    in_air: float, immersed: float, liquid: float, sinker: float = 0.0, air: float = 0.0
) -> float:
    """Density of a solid weighed in air and again hung in a liquid, kg/m3.

    rho = a (rho_liquid - rho_air) / (a + w - b) + rho_air; with no sinker and no air this is
    a rho_liquid / (a - b).
    Source: ISO 1183-1 method A (immersion); Archimedes, closed form.

    Args:
        in_air: a, weight in air (kg). immersed: b, weight hung in the liquid, sinker and all (kg).
        liquid: rho_liquid (kg/m3). sinker: w, weight of the sinker or wire alone in the liquid (kg).
        air: rho_air (kg/m3); about 1.2 to correct for the air's lift, 0 to leave that out.

    >>> round(immersion_density(12.3456e-3, 2.3456e-3, 998.2072), 3)
    1232.347
    """
    if in_air <= 0.0:
        raise ReadingError("its weight in air must be more than zero; weigh it dry, before the water")
    lost = in_air + sinker - immersed
    if lost <= 0.0:
        raise ReadingError(
            "hung in water it weighs {hung} and in air {dry}, but water can only take weight away; the two were "
            "probably swapped, or the sinker's own weight is missing",
            hung=Amount(immersed, "mass"),
            dry=Amount(in_air, "mass"),
        )
    return in_air * (liquid - air) / lost + air


def specific_gravity(a: float, b: float, w: float = 0.0) -> float:
    """Specific gravity 23/23 C: a / (a + w - b). Source: ASTM D792, method A (plastics in water).

    a weight in air, b hung in water with wire and sinker, w wire and sinker alone hung in water.
    """
    return immersion_density(a, b, 1.0, w)


def d792_density(a: float, b: float, w: float = 0.0) -> float:
    """Density at 23 C, kg/m3: specific gravity x 997.5. Source: ASTM D792, method A."""
    return specific_gravity(a, b, w) * D792_WATER


def by_immersion(
    in_air: Quantity,
    immersed: Quantity,
    temperature: Quantity,
    sinker: Quantity | None = None,
    salinity: float = 0.0,
    air: float = 0.0,
) -> Quantity:
    """`immersion_density` of readings, in water of a temperature, with its deviation.

    Raises:
        ReadingError: readings that no solid gives.
    """
    hung = sinker if sinker is not None else Quantity(0.0, 0.0, "mass")
    out = propagate(
        lambda a, b, t, w: immersion_density(a, b, water_density(t, salinity), w, air),
        "density",
        in_air,
        immersed,
        temperature,
        hung,
    )
    return plausible(out)


def by_cup(in_air: Quantity, gain: Quantity, temperature: Quantity, salinity: float = 0.0) -> Quantity:
    """Density from the weight in air and the gain of a cup of water in which it hangs wholly under."""
    if gain.value <= 0.0:
        raise ReadingError("the cup must gain weight when the body hangs under; set the scale to zero first")
    return plausible(
        propagate(lambda a, g, t: a * water_density(t, salinity) / g, "density", in_air, gain, temperature)
    )


def cube(weight: Quantity, length: Quantity, width: Quantity, height: Quantity) -> Quantity:
    """Density of a test block from its weight and three sizes."""
    return plausible(propagate(lambda m, x, y, z: m / (x * y * z), "density", weight, length, width, height))


def plausible(density: Quantity) -> Quantity:
    """The density itself, if anything a lure is made of has it.

    Raises:
        ReadingError: lighter than any foam or heavier than any metal.
    """
    if not LIGHTEST <= density.value <= HEAVIEST:
        which = "lighter than any foam" if density.value < LIGHTEST else "heavier than any metal"
        raise ReadingError(
            f"this gives {show(density.value, 'density')}, which is {which}; check the unit and the decimal "
            "mark of every reading, and that the scale was set to zero"
        )
    return density


def bath_density(salt: float, temperature: float) -> float:
    """Density of a bath, kg/m3: `salt` in kg of table salt stirred into a m3 of fresh water (g per litre)."""
    return brine_density(salt, temperature)


def bracket(sank: list[float], floated: list[float], default: tuple[float, float], what: str) -> Quantity:
    """Density of a scrap that sank in some baths and floated in others: a flat interval between them.

    Where one side is missing, the end of `default` (kg/m3) stands for it: the range of what it is made of.

    Args:
        sank, floated: densities of the baths (kg/m3).
        default: lightest and heaviest it may plausibly be. what: whose range that is, for messages.

    Raises:
        ReadingError: nothing given, contradictory results, or an empty interval.
    """
    if not sank and not floated:
        raise ReadingError('say what the scrap did, as in sank = "fresh water" or floated = "60 g/L"')
    low, high = max([*sank, default[0]]), min([*floated, default[1]])
    if sank and floated and max(sank) >= min(floated):
        raise ReadingError(
            f"the scrap sank at {show(max(sank), 'density', digits=4)} and floated at "
            f"{show(min(floated), 'density', digits=4)}, but what sinks is the heavier: the two were "
            f"probably "
            "swapped, or a bubble clung to the scrap; rub it wet and try again"
        )
    if sank and max(sank) >= default[1]:
        raise ReadingError(
            f"the scrap sank at {show(max(sank), 'density', digits=4)}, and {what} is at most "
            f"{show(default[1], 'density', digits=4)}; name another material, or weigh the scrap in water"
        )
    if floated and min(floated) <= default[0]:
        raise ReadingError(
            f"the scrap floated at {show(min(floated), 'density', digits=4)}, and {what} is at least "
            f"{show(default[0], 'density', digits=4)}; name another material, or press out the air and try "
            f"again"
        )
    low = max(sank) if sank else default[0]
    high = min(floated) if floated else default[1]
    ends = f"{low / 1e3:.4g} to {high / 1e3:.4g} g/cm3"
    return flat(low, high, "density", ends)


def interval(density: Quantity) -> tuple[float, float]:
    """The ends of a flat interval."""
    half = math.sqrt(3.0) * density.sd
    return density.value - half, density.value + half
