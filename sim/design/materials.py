"""Densities of what lures are made of, with where each number comes from and how far it can be trusted.

`published`: confirmed in the named publication, or two handbooks agree. `memory`: one handbook only, or
remembered. `user should measure`: the name covers so wide a range that a scale and a cup beat any table.
Woods are air-dry at 12 % moisture: 1000 x specific gravity (oven-dry mass, volume at 12 %) x 1.12.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Status = Literal["published", "memory", "user should measure"]
Group = Literal["wood", "metal", "plastic", "resin, foam, glass"]

WOOD = "USDA Wood Handbook, FPL-GTR-190 (2010), table 5-3a, specific gravity x 1.12"
ENGINEERS_EDGE = "Engineers Edge, Properties of plastic materials"
BOLZ = "Bolz & Tuve, Handbook of Tables for Applied Engineering Science, 2nd ed., CRC 1973"
ASM = "American Society for Metals, Metals Handbook vol. 1, 8th ed. 1961, p. 52"
MACHINERY = "Oberg, Jones & Horton, Machinery's Handbook, 21st ed. 1979, p. 2270"
COMMON = "common practice, no source"


@dataclass(frozen=True)
class Material:
    """One material. `low` and `high` bracket what a maker is likely to hold in the hand."""

    name: str
    density: float  # kg/m3
    low: float  # kg/m3
    high: float  # kg/m3
    source: str
    status: Status
    group: Group


_Row = tuple[str, float, float, float, str, Status]

_WOODS: tuple[_Row, ...] = (
    (
        "balsa",
        160,
        100,
        250,
        BOLZ + ", p. 178: 0.110 to 0.140 g/cm3, sold also heavier",
        "user should measure",
    ),
    ("basswood", 414, 350, 480, WOOD, "memory"),
    ("cedar", 358, 310, 420, WOOD + " (western redcedar)", "memory"),
    ("western redcedar", 358, 310, 420, WOOD, "memory"),
    ("northern white cedar", 347, 300, 400, WOOD, "memory"),
    ("atlantic white cedar", 358, 310, 420, WOOD, "memory"),
    ("eastern redcedar", 526, 460, 600, WOOD, "memory"),
    ("yellow cedar", 493, 430, 560, WOOD, "memory"),
    ("port orford cedar", 482, 420, 550, WOOD, "memory"),
    ("pine", 420, 350, 560, WOOD + " (white to red pine)", "user should measure"),
    ("eastern white pine", 392, 340, 450, WOOD, "memory"),
    ("western white pine", 392, 340, 450, WOOD, "memory"),
    ("sugar pine", 403, 350, 460, WOOD, "memory"),
    ("ponderosa pine", 448, 390, 510, WOOD, "memory"),
    ("red pine", 515, 450, 590, WOOD, "memory"),
    ("longleaf pine", 661, 580, 750, WOOD, "memory"),
    ("maple", 706, 530, 800, WOOD + " (sugar maple)", "memory"),
    ("sugar maple", 706, 620, 800, WOOD, "memory"),
    ("red maple", 605, 530, 690, WOOD, "memory"),
    ("silver maple", 526, 460, 600, WOOD, "memory"),
    ("beech", 717, 630, 810, WOOD, "memory"),
    ("birch", 616, 540, 700, WOOD + " (paper birch)", "memory"),
    ("poplar", 470, 410, 540, WOOD + " (yellow-poplar)", "memory"),
    ("spruce", 448, 390, 510, WOOD + " (Sitka spruce)", "memory"),
    (
        "douglas fir",
        538,
        470,
        610,
        "Oregon Wood Innovation Center, specific gravity 0.48 x 1.12",
        "published",
    ),
    ("larch", 582, 510, 660, "Oregon Wood Innovation Center, specific gravity 0.52 x 1.12", "published"),
    ("cork", 240, 220, 260, BOLZ + ", p. 178; Marks, 7th ed. 1967, p. 6-7", "published"),
)
_METALS: tuple[_Row, ...] = (
    ("lead", 11340, 11300, 11350, ASM + "; Marks, 7th ed. 1967, p. 6-7", "published"),
    ("hard lead", 10880, 10660, 11040, ASM + " (6 % antimony)", "memory"),
    ("tin", 7310, 7260, 7320, "Emsley, The Elements, Oxford 1989; " + BOLZ, "published"),
    ("tungsten", 19300, 17000, 19350, ASM + "; Emsley 1989. Sintered alloy is lighter", "published"),
    ("tungsten putty", 9000, 6000, 11000, COMMON, "user should measure"),
    ("bismuth", 9750, 9700, 9800, "Emsley, The Elements, Oxford 1989; " + BOLZ, "published"),
    ("zinc", 7133, 6600, 7140, ASM + "; Emsley 1989. Casting alloys are lighter", "published"),
    ("steel", 7850, 7750, 7900, "Tension Technology International, yarn properties, steel wire", "published"),
    ("stainless", 7900, 7700, 8020, ASM + " (304)", "memory"),
    ("brass", 8500, 8360, 8750, ASM + " (free machining)", "memory"),
    ("copper", 8960, 8900, 8970, COMMON, "memory"),
    ("aluminium", 2700, 2650, 2800, BOLZ + "; " + MACHINERY, "published"),
    ("titanium", 4500, 4400, 4520, COMMON, "memory"),
    ("solder", 8400, 7300, 8900, MACHINERY + ", p. 2196 (63 Pb 37 Sn)", "memory"),
)
_PLASTICS: tuple[_Row, ...] = (
    ("abs", 1040, 1030, 1080, ENGINEERS_EDGE, "published"),
    ("pvc", 1390, 1350, 1450, ENGINEERS_EDGE + " (rigid)", "published"),
    ("soft pvc", 1250, 1150, 1350, BOLZ + ", p. 137 (plasticised)", "memory"),
    ("polycarbonate", 1200, 1190, 1220, BOLZ + ", p. 137", "memory"),
    ("acrylic", 1200, 1170, 1200, BOLZ + ", p. 137", "memory"),
    ("polystyrene", 1050, 1040, 1080, BOLZ + ", p. 137", "memory"),
    ("nylon", 1140, 1130, 1150, ENGINEERS_EDGE + " (extruded 6/6)", "published"),
    ("pom", 1410, 1400, 1430, ENGINEERS_EDGE, "published"),
    ("hdpe", 953, 941, 965, ENGINEERS_EDGE, "published"),
    ("ldpe", 915, 910, 930, ENGINEERS_EDGE, "published"),
    ("polypropylene", 905, 895, 920, COMMON, "memory"),
    ("pla", 1240, 1200, 1260, COMMON + "; a print holds air between its lines", "memory"),
    ("petg", 1270, 1230, 1290, COMMON + "; a print holds air between its lines", "memory"),
    ("pvdf", 1770, 1750, 1780, ENGINEERS_EDGE, "published"),
    ("silicone", 1150, 1050, 1300, COMMON, "user should measure"),
)
_RESINS: tuple[_Row, ...] = (
    ("epoxy", 1115, 1100, 1200, BOLZ + ", p. 137 (unfilled)", "memory"),
    ("polyurethane", 1050, 1020, 1250, ENGINEERS_EDGE + " (solid)", "published"),
    ("polyester resin", 1200, 1100, 1300, COMMON, "memory"),
    ("microsphere resin", 700, 450, 950, COMMON, "user should measure"),
    ("foam", 60, 30, 500, COMMON + "; rigid polyurethane foam runs from 30 to 500", "user should measure"),
    ("polyurethane foam", 60, 30, 500, COMMON, "user should measure"),
    ("expanded polystyrene", 40, 15, 60, COMMON, "memory"),
    ("glass", 2500, 2460, 2580, BOLZ + ", p. 177 (window glass)", "memory"),
    ("air", 0.0, 0.0, 1.3, "its weight is left out here, as a scale leaves it out", "memory"),
)

_GROUPS: tuple[tuple[Group, tuple[_Row, ...]], ...] = (
    ("wood", _WOODS),
    ("metal", _METALS),
    ("plastic", _PLASTICS),
    ("resin, foam, glass", _RESINS),
)

MATERIALS: dict[str, Material] = {row[0]: Material(*row, group) for group, rows in _GROUPS for row in rows}

_ALIASES = {
    "red cedar": "western redcedar",
    "white cedar": "northern white cedar",
    "white pine": "eastern white pine",
    "antimonial lead": "hard lead",
    "stainless steel": "stainless",
    "aluminum": "aluminium",
    "acetal": "pom",
    "pc": "polycarbonate",
    "eps": "expanded polystyrene",
    "yellow-poplar": "poplar",
}
MATERIALS |= {alias: MATERIALS[name] for alias, name in _ALIASES.items()}


_MOULDED = (
    "abs", "acrylic", "hdpe", "ldpe", "nylon", "petg", "pla", "polycarbonate", "polypropylene", "polystyrene",
    "pom", "pvc",
)  # fmt: skip

HARD_PLASTICS = (
    min(MATERIALS[name].low for name in _MOULDED),
    max(MATERIALS[name].high for name in _MOULDED),
)
"""kg/m3: the range of unfilled hard plastics that things are moulded and printed from, out of the list."""

DRY_AIR_MOISTURE = 12.0  # percent of the oven-dry weight, at which the woods of the list are told
FIBRE_SATURATION = 30.0  # percent; above it wood holds water in its pores. Wood Handbook ch. 4; from memory


def at_moisture(density: float, percent: float) -> float:
    """Density of a wood (kg/m3, as listed at 12 %) at another moisture content, percent of its dry weight.

    density x (1 + M) / 1.12: the water in the wood weighs, and the swelling, a few percent of volume, is left
    out. Source: USDA Wood Handbook, FPL-GTR-190, ch. 4; from memory. Range 0 to 30 %.

    >>> round(at_moisture(358.0, 20.0), 1)
    383.6
    """
    return density * (1.0 + percent / 100.0) / (1.0 + DRY_AIR_MOISTURE / 100.0)


def find(name: str) -> Material | None:
    """The material of that name; case, underscores and extra blanks do not matter. None if unknown."""
    return MATERIALS.get(" ".join(name.lower().replace("_", " ").split()))


LEAD = MATERIALS["lead"].density
"""kg/m3, for a weight that does not say what it is of."""
