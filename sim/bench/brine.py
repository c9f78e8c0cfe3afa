"""Brine: the density of table salt in water, and how much salt makes a bath of a wanted density.

From the table of specific volumes in Rogers & Pitzer 1982, Volumetric properties of aqueous sodium chloride
solutions, J. Phys. Chem. Ref. Data 11, 15 (as printed in the CRC Handbook of Chemistry and Physics), at 100
kPa. What is interpolated is the volume that a mole of salt adds, which changes little: linearly in
temperature and in the square root of molality. Range 0 to 40 C, 0 to 6.1 mol/kg (356 g of salt to a kg of water:
all that dissolves); above 5 mol/kg, where the table ends, the last straight line goes on.
Standing: published table, within 0.1 kg/m3 of the handbook's densities at 20 C; 0.3 kg/m3 at 26 %.
"""

from __future__ import annotations

import math
from bisect import bisect_right

from sim.bench.uncertainty import ReadingError
from sim.media import WARMEST, water_density
from sim.remark import Amount

MOLAR = 0.05844277  # kg/mol, sodium chloride
MOST_MOLAL = 6.1  # mol/kg, all that dissolves at 0 to 40 C

_TEMPERATURES = (0.0, 10.0, 20.0, 25.0, 30.0, 40.0)  # C
_MOLALITIES = (0.1, 0.25, 0.5, 0.75, 1.0, 2.0, 3.0, 4.0, 5.0)  # mol/kg
_VOLUMES = (  # cm3/g, a row for each temperature
    (0.995732, 0.989259, 0.978889, 0.968991, 0.959525, 0.925426, 0.896292, 0.870996, 0.848646),
    (0.995998, 0.989781, 0.979804, 0.970256, 0.961101, 0.927905, 0.899262, 0.874201, 0.851958),
    (0.997620, 0.991564, 0.981833, 0.972505, 0.963544, 0.930909, 0.902565, 0.877643, 0.855469),
    (0.998834, 0.992832, 0.983185, 0.973932, 0.965038, 0.932590, 0.904339, 0.879457, 0.857301),
    (1.000279, 0.994319, 0.984735, 0.975539, 0.966694, 0.934382, 0.906194, 0.881334, 0.859185),
    (1.003796, 0.997883, 0.988374, 0.979243, 0.970455, 0.938287, 0.910145, 0.885276, 0.863108),
)


def brine_density(salt: float, temperature: float) -> float:
    """Density of `salt` kg of table salt in a m3 of fresh water (the same number as g in a litre), kg/m3.

    Raises:
        ReadingError: outside 0 to 40 C, negative, or more salt than the table holds.

    >>> round(brine_density(0.0, 20.0), 2), round(brine_density(110.91, 20.0), 0)
    (998.21, 1071.0)
    """
    if not 0.0 <= temperature <= WARMEST:
        raise ReadingError(
            "a bath of {bath:6g} is outside {coldest:6g} to {warmest:6g}; let it come to room warmth",
            bath=Amount(temperature, "temperature"),
            coldest=Amount(0.0, "temperature"),
            warmest=Amount(WARMEST, "temperature"),
        )
    if salt < 0.0:
        raise ReadingError("salt cannot be less than nothing; write the grams stirred into a litre of water")
    fresh = water_density(temperature)
    molality = salt / MOLAR / fresh
    if molality > MOST_MOLAL:
        most = math.floor(MOST_MOLAL * MOLAR * fresh)
        raise ReadingError(
            f"{salt:g} g of salt in a litre is more than the {most} g that dissolve; for "
            "a heavier scrap weigh it in air and hung in water instead"
        )
    if molality == 0.0:
        return fresh
    added = _interpolated(temperature, max(molality, _MOLALITIES[0]))
    return (1.0 + molality * MOLAR) / (1.0 / fresh + molality * added)


def salt_for(density: float, temperature: float) -> float:
    """Table salt to stir into a m3 of fresh water for a bath of this density, kg (g in a litre).

    Raises:
        ReadingError: a density that salt water does not reach.
    """
    fresh = water_density(temperature)
    most = MOST_MOLAL * MOLAR * fresh * (1.0 - 1e-9)
    heaviest = brine_density(most, temperature)
    if not fresh <= density <= heaviest:
        raise ReadingError(
            "salt water of {warmth:6g} can have {fresh:4} to {heaviest:4}, not {wanted:4}",
            warmth=Amount(temperature, "temperature"),
            fresh=Amount(fresh, "density"),
            heaviest=Amount(heaviest, "density"),
            wanted=Amount(density, "density"),
        )
    low, high = 0.0, most
    for _ in range(60):  # halving: the density rises with the salt
        middle = 0.5 * (low + high)
        low, high = (middle, high) if brine_density(middle, temperature) < density else (low, middle)
    return 0.5 * (low + high)


def _interpolated(temperature: float, molality: float) -> float:
    """The volume that a mole of salt adds to the water, m3/mol."""
    i = min(max(bisect_right(_TEMPERATURES, temperature) - 1, 0), len(_TEMPERATURES) - 2)
    j = min(max(bisect_right(_MOLALITIES, molality) - 1, 0), len(_MOLALITIES) - 2)
    t = (temperature - _TEMPERATURES[i]) / (_TEMPERATURES[i + 1] - _TEMPERATURES[i])
    roots = [math.sqrt(m) for m in _MOLALITIES[j : j + 2]]
    u = (math.sqrt(molality) - roots[0]) / (roots[1] - roots[0])
    rows = [(1 - u) * _apparent(k, j) + u * _apparent(k, j + 1) for k in (i, i + 1)]
    return (1 - t) * rows[0] + t * rows[1]


def _apparent(i: int, j: int) -> float:
    molality = _MOLALITIES[j]
    whole = _VOLUMES[i][j] * 1e-3 * (1.0 + molality * MOLAR)
    return (whole - 1.0 / water_density(_TEMPERATURES[i])) / molality
