"""Figures in the reader's units. Results keep their own unit; this is the one place that turns them over.

A *kind* is a quantity in the unit that the results use: `mass` g, `volume` mL, `size` mm, `distance` m,
`speed` m/s, `force` N.
"""

from __future__ import annotations

from dataclasses import dataclass

from sim.metrics import Scale as Kind

NO_BREAK = "\u00a0"


@dataclass(frozen=True)
class Scale:
    """One kind of quantity in one unit."""

    unit: str
    factor: float  # from the result's unit to this one
    places: int  # decimal places in a table; never more than this in a sentence

    def number(self, value: float) -> str:
        """For a table: always the same number of places."""
        return _fixed(value * self.factor, self.places)

    def text(self, value: float, significant: int = 3) -> str:
        """For a sentence: so many figures at most, and the unit, which no line break may part from it."""
        return f"{figures(value * self.factor, self.places, significant)}{NO_BREAK}{self.unit}"


@dataclass(frozen=True)
class Units:
    """One system of units: a scale for every kind."""

    name: str
    scales: dict[Kind, Scale]
    short: Scale  # for distances too small for the unit of `distance`

    def text(self, kind: Kind, value: float, significant: int = 3) -> str:
        """Value with its unit, for a sentence."""
        return self.scales[kind].text(value, significant)

    def number(self, kind: Kind, value: float | None) -> str:
        """Value without its unit, for a table; a dash where there is none."""
        return "-" if value is None else self.scales[kind].number(value)

    def unit(self, kind: Kind) -> str:
        """Name of the unit, for the head of a column."""
        return self.scales[kind].unit

    def depth(self, metres: float, significant: int = 3) -> str:
        """A distance in water, in the small unit where that reads better; as sharp as a table has it."""
        large = self.scales["distance"]
        return (
            large.text(metres, significant) if abs(metres * large.factor) >= 1.0 else self.short.text(metres)
        )

    def depths(self, low: float, high: float) -> tuple[str, str]:
        """The ends of a range of distances in water, both in one unit."""
        scale = self.of_depths(high)
        return scale.text(low), scale.text(high)

    def of_depths(self, deepest: float) -> Scale:
        """The unit in which distances in water up to one (m) read best."""
        large = self.scales["distance"]
        return large if abs(deepest * large.factor) >= 1.0 else self.short


METRIC = Units(
    "metric",
    {
        "mass": Scale("g", 1.0, 2),
        "volume": Scale("mL", 1.0, 2),
        "size": Scale("mm", 1.0, 1),
        "distance": Scale("m", 1.0, 2),
        "speed": Scale("m/s", 1.0, 2),
        "force": Scale("N", 1.0, 2),
    },
    Scale("cm", 100.0, 0),
)
US = Units(
    "us",
    {
        "mass": Scale("oz", 1 / 28.349523125, 3),  # avoirdupois, exact
        "volume": Scale("fl oz", 1 / 29.5735295625, 3),  # US fluid ounce, exact
        "size": Scale("in", 1 / 25.4, 2),
        "distance": Scale("ft", 1 / 0.3048, 1),
        "speed": Scale("ft/s", 1 / 0.3048, 2),
        "force": Scale("lbf", 1 / 4.4482216152605, 3),
    },
    Scale("in", 1 / 0.0254, 0),
)
SYSTEMS = {units.name: units for units in (METRIC, US)}


def figures(value: float, places: int, significant: int = 3) -> str:
    """`value` to so many figures, but no more than `places` decimals, and never below whole numbers."""
    power = int(f"{value:.{significant - 1}e}".split("e")[1])  # of the first figure, once rounded
    return _fixed(value, max(0, min(places, significant - 1 - power)))


def _fixed(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    return text.lstrip("-") if float(text) == 0 else text
