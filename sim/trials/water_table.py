"""Margin against the warmth and the salt of the water: what a suspending lure lives on."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import Field

from sim.design.model import Design
from sim.hydrostatics.verdict import verdict
from sim.lure.weigh import weigh
from sim.media import SALTIEST, WARMEST, freezing_point, water_density
from sim.trials.records import Result
from sim.trials.results import Verdict
from sim.trials.scene import salinity

TEMPERATURES = (4.0, 8.0, 12.0, 16.0, 20.0, 24.0, 28.0)  # C
SALINITIES = (0.0, 5.0, 15.0, 35.0)  # g/kg: fresh, brackish, half-salt, sea


class WaterRow(Result):
    """One temperature of the table."""

    temperature_c: float = Field(description="of the water")
    margins_g: list[float | None] = Field(description="spare lift in each salinity; null where it is ice")


class WaterColumn(Result):
    """One salinity of the table."""

    salinity_g_kg: float = Field(description="of the water")
    hangs_at_c: float | None = Field(
        description="temperature at which it neither sinks nor rises; null if there is none"
    )
    verdict_here: Verdict | None = Field(description="at the design's own temperature")


class WaterTable(Result):
    """Spare lift against temperature and salinity."""

    mass_g: float = Field(description="whole weight in air")
    displaced_ml: float = Field(description="water pushed aside when wholly under")
    temperature_c: float = Field(description="of the design's own water")
    salinity_g_kg: float = Field(description="of the design's own water")
    margin_g: float = Field(description="in the design's own water")
    columns: list[WaterColumn] = Field(description="one for each salinity")
    rows: list[WaterRow] = Field(description="one for each temperature")


def water_table(
    design: Design,
    temperatures: Sequence[float] = TEMPERATURES,
    salinities: Sequence[float] = SALINITIES,
) -> WaterTable:
    """The margin over a range of waters. The lure itself is taken to keep its volume.

    Its own swelling with warmth is left out. From memory: a hard plastic grows by about 0.2 % in volume over
    10 C and water between 15 and 25 C by 0.2 % as well, so that a solid plastic lure changes by less than the
    table says; wood and metal grow a third to a half as much.

    Args:
        temperatures: C. salinities: g/kg; the design's own is added to both if it is not among them.
    """
    whole = weigh(design)
    here = design.water.temperature.value, salinity(design)
    warmths = sorted({*temperatures, here[0]})
    salts = sorted({*salinities, here[1]})

    def margin(t: float, s: float) -> float | None:
        if not freezing_point(s) <= t <= WARMEST or s > SALTIEST:
            return None
        return (water_density(t, s) * whole.volume - whole.mass) * 1e3

    own = margin(*here)
    assert own is not None  # the design's water has been checked
    return WaterTable(
        mass_g=whole.mass * 1e3,
        displaced_ml=whole.volume * 1e6,
        temperature_c=here[0],
        salinity_g_kg=here[1],
        margin_g=own,
        columns=[
            WaterColumn(
                salinity_g_kg=s,
                hangs_at_c=hangs_at(whole.mass / whole.volume, s),
                verdict_here=None
                if margin(here[0], s) is None
                else verdict(whole.mass, whole.volume, water_density(here[0], s)),
            )
            for s in salts
        ],
        rows=[WaterRow(temperature_c=t, margins_g=[margin(t, s) for s in salts]) for t in warmths],
    )


def hangs_at(density: float, salt: float) -> float | None:
    """The temperature (C) above 4 C at which water of this salinity has this density (kg/m3), or None.

    Fresh water is heaviest at 4 C, so colder than that the same density comes once more; a maker fishes the
    warm side.
    """
    low, high = max(4.0, freezing_point(salt)), WARMEST
    if not water_density(high, salt) <= density <= water_density(low, salt):
        return None
    for _ in range(50):  # halving: above 4 C warmer water is always lighter
        middle = 0.5 * (low + high)
        low, high = (middle, high) if water_density(middle, salt) > density else (low, middle)
    return 0.5 * (low + high)
