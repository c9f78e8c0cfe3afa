"""Added mass: closed forms, a table of plates, and a boundary-element library as judge of other shapes."""

from __future__ import annotations

import math
from functools import cache, partial

import numpy as np

from sim.design.parts import Body
from sim.lure import added_mass as am
from sim.lure.lure import Lure
from tests.checks import bench, judge
from tests.checks.checks import Status, Subject, absolute, percent, relative
from tests.lure.makers import stations

SUBJECT = Subject(
    "Water carried along (added mass)",
    "A body that speeds up, slows down or turns in water must move some of that water too. For ellipsoids "
    "the amount is known exactly; plates have a published table; for other bodies a boundary-element "
    "program is run beside the simulator, on two meshes, and extrapolated.",
)
LAMB = "Lamb 1932, Hydrodynamics, 6th ed., Art. 114-115"
check = SUBJECT.check


# ---- ellipsoids in closed form ------------------------------------------------------------------------


def _spheroid(ratio: float) -> tuple[float, float, float]:
    """Lamb's factors of a long spheroid by logarithms, not by the integrals that the simulator uses."""
    e2 = 1.0 - ratio**-2
    e = math.sqrt(e2)
    log = math.log((1.0 + e) / (1.0 - e))
    a = 2.0 * (1.0 - e2) / e**3 * (0.5 * log - e)
    b = 1.0 / e2 - (1.0 - e2) / (2.0 * e**3) * log
    turning = e2**2 * (b - a) / ((2.0 - e2) * (2.0 * e2 - (2.0 - e2) * (b - a)))
    return a / (2.0 - a), b / (2.0 - b), turning


def _factor(axes: tuple[float, float, float], which: int) -> float:
    k, turning = am.ellipsoid(*axes)
    return float(np.concatenate([k, turning])[which])


for _ratio in (2.0, 4.0, 10.0):
    for _i, (_way, _which) in enumerate((("along its axis", 0), ("across its axis", 1), ("turning", 4))):
        check(
            f"a spheroid {_ratio:g} times as long as wide, {_way}",
            source=LAMB + ", by logarithms", status=Status.EXACT, published=_spheroid(_ratio)[_i],
            tolerance=relative(1e-6),
        )(partial(_factor, (_ratio, 1.0, 1.0), _which))  # fmt: skip

for _ratio, _k1, _k2 in ((2.0, 0.209, 0.702), (3.99, 0.082, 0.860), (9.97, 0.021, 0.960)):
    for _value, _which, _way in ((_k1, 0, "along"), (_k2, 1, "across")):
        check(
            f"Lamb's printed table at {_ratio:g}, {_way}", source=LAMB + ", printed table",
            status=Status.PUBLISHED, published=_value, tolerance=absolute(0.003),
        )(partial(_factor, (_ratio, 1.0, 1.0), _which))  # fmt: skip

for _axes, _factors in (
    ((3.0, 1.0, 0.5), (0.07221, 0.43574, 1.69655, 0.42735, 1.30866, 0.26803)),
    ((4.0, 1.5, 1.0), (0.10692, 0.55121, 1.21271, 0.14857, 0.81575, 0.29692)),
):
    for _which, _value in enumerate(_factors):
        _way = ("moving along a", "along b", "along c", "turning about a", "about b", "about c")[_which]
        check(
            f"an ellipsoid of half sizes {_axes[0]:g}, {_axes[1]:g}, {_axes[2]:g}, {_way}",
            source=LAMB, status=Status.EXACT, published=_value, tolerance=absolute(1e-5),
        )(partial(_factor, _axes, _which))  # fmt: skip


@check(
    "the three integrals of any ellipsoid add up to two",
    source=LAMB, status=Status.EXACT, published=2.0, tolerance=relative(1e-6),
)  # fmt: skip
def _sum_of_integrals() -> float:
    k, _ = am.ellipsoid(3.1, 1.3, 0.4)
    return float((2.0 * k / (1.0 + k)).sum())


check(
    "a sphere carries half the water it displaces",
    source="Lamb 1932, Art. 92", status=Status.EXACT, published=0.5, tolerance=relative(1e-6),
)(partial(_factor, (1.0, 1.0, 1.0), 0))  # fmt: skip


def _disc(thin: float, turning: bool) -> float:
    k, swirl = am.ellipsoid(1.0, 1.0, thin)
    volume = 4.0 / 3.0 * math.pi * thin
    return float(swirl[0] * volume * (1.0 + thin**2) / 5.0 if turning else k[2] * volume)


for _thin, _turning, _value, _size in (
    (1e-6, False, 8.0 / 3.0, 1e-5), (0.1, False, 2.5904, 2e-5), (1e-6, True, 16.0 / 45.0, 1e-5),
    (0.1, True, 0.3403, 2e-4),
):  # fmt: skip
    check(
        f"a disc {'of no thickness' if _thin < 1e-3 else f'{_thin:g} of its radius thick (half)'}, "
        f"{'turning about a diameter' if _turning else 'moving square to its face'}, on radius one",
        source="Lamb 1932, Art. 102 and 108 (articles from memory), limit of the ellipsoid",
        status=Status.EXACT, published=_value, tolerance=relative(_size),
    )(partial(_disc, _thin, _turning))  # fmt: skip


# ---- plates -------------------------------------------------------------------------------------------

DNV = "DNV-RP-H103 2011, table A-2 (from memory)"
TABLE = {1.0: 0.579, 2.0: 0.757, 4.0: 0.872, 8.0: 0.934}
JUDGED = (1.0, 2.0, 4.0)


def _plate_factor(ratio: float) -> float:
    return am.plate(ratio, 1.0, ratio)[0] / (0.25 * math.pi * ratio)


def _judged_factor(ratio: float) -> float:
    return float(judge.of_plate(ratio)[2]) / (0.25 * math.pi * ratio)


for _ratio, _value in TABLE.items():
    _judge = partial(_judged_factor, _ratio) if _ratio in JUDGED else None
    check(
        f"a plate {_ratio:g} times as long as wide, moving square to itself",
        source=DNV + ("; confirmed live by capytaine 3.0.0" if _judge else ""), status=Status.MEMORY,
        published=_value, tolerance=percent(2.0), confirmed=_judge,
    )(partial(_plate_factor, _ratio))  # fmt: skip

check(
    "an endless plate moving square to itself",
    source="Newman 1977, table 4.3: a plate of width 2a carries pi a2", status=Status.EXACT, published=1.0,
    tolerance=percent(0.1),
)(partial(_plate_factor, 1e4))  # fmt: skip


def _plate_swirl(ratio: float, about_long: bool) -> float:
    mass, along, across = am.plate(ratio, 1.0, ratio)
    return float(mass * (across if about_long else along))


for _ratio in JUDGED:
    for _about_long in (True, False):
        if _ratio == 1.0 and not _about_long:
            continue
        check(
            f"a plate {_ratio:g} times as long as wide, turning about its "
            f"{'long' if _about_long else 'short'} axis",
            source="capytaine 3.0.0, live, two meshes and extrapolation", status=Status.LIBRARY,
            published=(lambda r=_ratio, i=3 if _about_long else 4: float(judge.of_plate(r)[i])),
            tolerance=percent(5.0),
        )(partial(_plate_swirl, _ratio, _about_long))  # fmt: skip


# ---- bodies of stations -------------------------------------------------------------------------------

BODIES: dict[str, tuple[str, Body]] = {
    "oval": (
        "an ellipsoid 60 x 10 x 20 mm",
        Body.model_validate({"length": "60 mm", "width": "10 mm", "height": "20 mm", "density": "1 g/cm3"}),
    ),
    "minnow": (
        "a slim minnow of six stations",
        stations((0, 2, 2), (8, 9, 11), (25, 12, 16), (45, 10, 14), (65, 5, 8), (80, 1.5, 5)),
    ),
    "blunt": (
        "a blunt-nosed body tapering aft",
        stations((0, 18, 18), (20, 20, 20), (40, 17, 17), (60, 9, 10), (70, 2, 3)),
    ),
    "rod": ("a flat-ended rod three diameters long", stations((0, 20, 20), (60, 20, 20))),
    "block": ("a square block three widths long", stations((0, 20, 20), (60, 20, 20), exponent=50)),
}  # fmt: skip
WAYS = ("ahead", "sideways", "up and down", "in roll", "in pitch", "in yaw")
COUPLING = "sideways and yaw together"


@cache
def _built(name: str) -> Lure:
    from sim.lure import build
    from tests.lure.makers import design

    return build(design(body={"main": BODIES[name][1]}), with_hulls=False)


@cache
def _judged(name: str) -> np.ndarray:
    lure = _built(name)
    return judge.of_body(BODIES[name][1], lure.volume, lure.centre_volume)


@cache
def _ours(name: str) -> np.ndarray:
    return bench.carried(_built(name))


def _share(matrix: np.ndarray, lure: Lure, i: int, j: int) -> float:
    """On the displaced volume, and for turning on that times the length, squared."""
    return float(matrix[i, j] / (lure.volume * lure.length ** ((i > 2) + (j > 2))))


for _name, (_words, _) in BODIES.items():
    _pairs = [(way, k, k) for k, way in enumerate(WAYS)]
    if _name in ("rod", "block"):  # round or square: sideways is up and down, yaw is pitch
        _pairs = [_pairs[0], _pairs[1], _pairs[4]]
    if _name in ("blunt",):
        _pairs = [_pairs[0], _pairs[1], _pairs[2], _pairs[4], _pairs[5]]
    if _name in ("minnow", "blunt"):
        _pairs.append((COUPLING, 1, 5))
    for _way, _i, _j in _pairs:
        check(
            f"{_words}, {_way}",
            source="capytaine 3.0.0, live, two meshes and extrapolation", status=Status.LIBRARY,
            published=(lambda n=_name, i=_i, j=_j: _share(_judged(n), _built(n), i, j)),
            tolerance=percent(5.0),
        )(lambda n=_name, i=_i, j=_j: _share(_ours(n), _built(n), i, j))  # fmt: skip


# ---- square prisms end on -----------------------------------------------------------------------------


def _prism(ratio: float) -> float:
    lure = bench.turned((0.0, 20.0, 20.0), (20.0 * ratio, 20.0, 20.0), exponent=50.0)
    return _share(bench.carried(lure), lure, 0, 0)


for _ratio, _value in ((1.0, 0.68), (2.0, 0.36), (3.0, 0.24)):
    check(
        f"a square prism {_ratio:g} widths long, moving end on",
        source="DNV-RP-H103 2011, table A-2; it stands 6 to 7 % above potential flow",
        status=Status.PUBLISHED, published=_value, tolerance=percent(8.0),
    )(partial(_prism, _ratio))  # fmt: skip
