"""Densities of what lures are made of, against handbooks."""

from __future__ import annotations

from functools import partial

from sim.design.materials import find
from sim.trials.scene import LINES
from tests.checks.checks import Status, Subject, percent

SUBJECT = Subject(
    "Materials",
    "Densities the design file knows by name, against handbooks in which the number was confirmed. Woods "
    "are known here from memory of the handbook's table: they are shown, and a scale and a cup beat any "
    "table anyway.",
)
check = SUBJECT.check
EE = "Engineers Edge, Properties of plastic materials"
TTI = "Tension Technology International, Synthetic fibre yarn properties, table 1"
ASM = "American Society for Metals, Metals Handbook vol. 1, 8th ed. 1961, p. 52"
WOOD = "USDA Wood Handbook, FPL-GTR-190 (2010), table 5-3a (from memory)"
OWIC = "Oregon Wood Innovation Center, specific gravity, at 12 % moisture"


def _density(name: str) -> float:
    found = find(name)
    assert found is not None, name
    return found.density


for _name, _value, _size, _source in (
    ("lead", 11340.0, 0.2, ASM + "; Marks, 7th ed. 1967, p. 6-7"),
    ("tin", 7310.0, 0.5, "Emsley, The Elements, Oxford 1989"),
    ("tungsten", 19300.0, 0.5, ASM + "; Emsley 1989"),
    ("bismuth", 9747.0, 0.5, "Emsley, The Elements, Oxford 1989"),
    ("zinc", 7133.0, 0.5, ASM + "; Emsley 1989"),
    ("aluminium", 2698.9, 0.5, ASM + " (pure)"),
    ("steel", 7850.0, 1.0, TTI + ", steel wire"),
    ("abs", 1040.0, 1.0, EE + ", 1030 to 1050"),
    ("pvc", 1390.0, 1.0, EE + " (rigid)"),
    ("pom", 1410.0, 1.0, EE),
    ("nylon", 1140.0, 1.0, EE + " (extruded 6/6)"),
    ("pvdf", 1770.0, 1.0, EE),
    ("hdpe", 953.0, 1.3, EE + ", 941 to 965"),
    ("ldpe", 915.0, 0.6, EE + ", 910 to 920"),
    ("polyurethane", 1050.0, 1.0, EE + " (solid)"),
    ("cork", 240.0, 8.4, "Bolz & Tuve 1973, p. 178; Marks 1967, p. 6-7: 220 to 260"),
    ("douglas fir", 0.48 * 1120.0, 1.0, OWIC),
    ("larch", 0.52 * 1120.0, 1.0, OWIC),
):
    check(
        f"density of {_name}",
        source=_source, status=Status.PUBLISHED, published=_value, tolerance=percent(_size), unit="kg/m3",
    )(partial(_density, _name))  # fmt: skip
for _name, _value in (
    ("basswood", 414.0),
    ("western redcedar", 358.0),
    ("eastern white pine", 392.0),
    ("beech", 717.0),
):
    check(
        f"density of {_name}",
        source=WOOD, status=Status.MEMORY, published=_value, tolerance=percent(5.0), unit="kg/m3",
    )(partial(_density, _name))  # fmt: skip
check(
    "density of balsa",
    source="Bolz & Tuve 1973, p. 178, 110 to 140 (from memory)", status=Status.MEMORY, published=125.0,
    tolerance=percent(12.0), unit="kg/m3",
)(partial(_density, "balsa"))  # fmt: skip
for _name, _value, _source, _size in (
    ("nylon", 1140.0, TTI, 1.0),
    ("fluorocarbon", 1770.0, EE + ", PVDF", 1.0),
    ("braid", 955.0, TTI + ", HMPE 0.94 to 0.97", 1.7),
):
    check(
        f"density of {_name} line",
        source=_source, status=Status.PUBLISHED, published=_value, tolerance=percent(_size), unit="kg/m3",
    )(lambda n=_name: LINES[n].density)  # fmt: skip
check(
    "stiffness of braid over that of its fibre",
    source="20 to 40 % because of the braid angle (from memory); fibre 120 GPa, " + TTI, status=Status.MEMORY,
    published=0.3, tolerance=percent(34.0),
)(lambda: LINES["braid"].modulus / 120e9)  # fmt: skip
