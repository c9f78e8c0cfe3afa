"""Plates in and just below the surface: planing lift, and lift lost near the surface."""

from __future__ import annotations

import math
from functools import partial

from tests.checks import bench, lattice
from tests.checks.checks import Status, Subject, absolute, percent

SUBJECT = Subject(
    "At the surface",
    "A plate that planes is lifted on one face only; a plate just under the surface loses part of its lift, "
    "because the surface gives way. Planing is compared with the standard formula of motor-boat design; "
    "plates below the surface with linear theory and a surface of constant pressure, which is what fast "
    "flow sees.",
    open=(
        "Where a surface-piercing plate sucks air down its back no published number was found for this size.",
        "Boats with a V bottom, and the drag and trim of a whole planing hull, are not modelled.",
    ),
)
check = SUBJECT.check
SAVITSKY = "Savitsky 1964, Marine Technology 1(1), 71-95"
BEAM = 30.0  # mm


def _savitsky(trim: float, wetted: float, speed: float) -> float:
    """Lift coefficient on the beam squared of a flat planing plate; `wetted` is wetted length over beam."""
    froude2 = speed**2 / (9.81 * BEAM / 1e3)
    return trim**1.1 * (0.0120 * math.sqrt(wetted) + 0.0055 * wetted**2.5 / froude2)


def _planing(trim: float, wetted: float, speed: float, whole: float) -> float:
    """The same by the simulator: a plate `whole` times as long as its wetted length, the rest of it dry."""
    sheet = bench.plate(whole * wetted * BEAM, BEAM)
    up = (
        (whole - 1.0) * wetted * BEAM / 1e3 * math.sin(math.radians(trim))
    )  # of the leading edge, the plate's origin
    own = bench.force(
        sheet.elements,
        (speed, 0.0, 0.0),
        pitch=math.radians(trim),
        height=up,
        coefficients={"plate_friction": 0.0},
    )
    return float(own[2] / (0.5 * bench.WATER.density * speed**2 * (BEAM / 1e3) ** 2))


for _whole, _trim, _wetted, _speed in (
    (2.0, 4.0, 1.0, 1.5), (2.0, 10.0, 1.0, 1.5), (2.0, 15.0, 1.0, 1.5), (2.0, 10.0, 2.0, 2.0),
    (1.0, 10.0, 1.0, 1.5), (1.0, 10.0, 2.0, 2.0),
):  # fmt: skip
    check(
        f"planing lift at {_trim:g} degrees and {_speed:g} m/s, 30 mm wide, wet over {_wetted:g} widths, "
        f"{'front half dry' if _whole > 1.0 else 'all of it wet'}",
        source=SAVITSKY, status=Status.PUBLISHED, published=_savitsky(_trim, _wetted, _speed),
        tolerance=percent(20.0),
    )(partial(_planing, _trim, _wetted, _speed, _whole))  # fmt: skip


def _kept(aspect: float, depth: float) -> float:
    """Lift kept by a plate at a small angle, its middle `depth` chords below the surface."""
    sheet = bench.plate(20.0, 20.0 * aspect)
    chord, angle = 0.02, math.radians(0.01)
    lifts = [
        bench.force(
            sheet.elements,
            (1.0, 0.0, 0.0),
            pitch=angle,
            height=-depth * chord,
            coefficients={"near_surface": gain},
        )[2]
        for gain in (1.0, 0.0)
    ]
    return float(lifts[0] / lifts[1])


for _aspect, _depth in ((1.0, 0.25), (1.0, 0.5), (1.0, 1.0), (2.0, 0.5), (0.5, 0.5)):
    check(
        f"lift kept {_depth:g} chords below the surface, plate {_aspect:g} times as wide as long",
        source="vortex lattice with the surface's image, live", status=Status.LIBRARY,
        published=(lambda a=_aspect, d=_depth: lattice.plate(a, d)[0] / lattice.plate(a)[0]),
        tolerance=percent(10.0),
    )(partial(_kept, _aspect, _depth))  # fmt: skip

check(
    "lift kept right at the surface",
    source="thin wing as its depth goes to nought, half: pi against 2 pi, closed form", status=Status.EXACT,
    published=0.5, tolerance=absolute(0.005),
)(partial(_kept, 2.0, 0.002))  # fmt: skip

for _depth in (0.25, 0.5, 1.0):
    check(
        f"lift kept by an endless plate {_depth:g} chords below the surface",
        source="Hough & Moran 1969; Wadlin (from memory)", status=Status.MEMORY,
        published=(16.0 * _depth**2 + 1.0) / (16.0 * _depth**2 + 2.0), tolerance=percent(10.0),
    )(partial(_kept, 1.0, _depth))  # fmt: skip
