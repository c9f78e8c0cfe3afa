"""Weights, balance and immersed volume of lures against a mesh library that knows nothing of stations."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from sim.design.load import load
from sim.design.model import Design
from sim.hydrostatics.immersion import I_MOMENT, I_VOLUME, immersed
from sim.lure import build
from sim.lure.lure import Lure
from sim.lure.weigh import weigh
from tests.checks.checks import Status, Subject, absolute, relative
from tests.hulls import NO_SMALL
from tests.lure.makers import design, stations

SUBJECT = Subject(
    "Shapes",
    "The budget weighs a body by integrating its stations; the float trial cuts a closed mesh at the water. "
    "Both are held against trimesh, which takes the finished mesh, builds the lid of a cut and integrates "
    "over triangles.",
)
check = SUBJECT.check
TRIMESH = "trimesh 5.2.0, live"
MINNOW = ((0, 2, 2), (8, 9, 11), (25, 12, 16), (45, 10, 14), (65, 5, 8), (80, 1.5, 5))
SCENARIO = Path(__file__).parents[2] / "scenarios" / "last_skittle.toml"


@cache
def _design() -> Design:
    return design(body={"main": stations(*MINNOW, density="600 kg/m3", exponent=2.6)})


@cache
def _lure() -> Lure:
    return build(_design())


def _mesh(lure: Lure) -> Any:
    import trimesh

    return trimesh.Trimesh(lure.hulls[0].vertices, lure.hulls[0].faces, process=False)


check(
    "volume of a minnow of six stations",
    source=TRIMESH, status=Status.LIBRARY, published=lambda: 1e6 * float(_mesh(_lure()).volume),
    tolerance=relative(1e-6), unit="mL",
)(lambda: 1e6 * weigh(_design()).volume)  # fmt: skip
check(
    "skin of the minnow",
    source=TRIMESH, status=Status.LIBRARY, published=lambda: 1e4 * float(_mesh(_lure()).area),
    tolerance=relative(0.02), unit="cm2",
)(lambda: 1e4 * float(weigh(_design()).bodies[0].skin))  # fmt: skip
check(
    "balance point of the minnow, behind the nose",
    source=TRIMESH, status=Status.LIBRARY, published=lambda: -1e3 * float(_mesh(_lure()).center_mass[0]),
    tolerance=absolute(0.01), unit="mm",
)(lambda: -1e3 * float(weigh(_design()).centre[0]))  # fmt: skip
for _i, _words in enumerate(("roll", "pitch", "yaw")):
    check(
        f"moment of inertia of the minnow in {_words}",
        source=TRIMESH, status=Status.LIBRARY,
        published=(lambda i=_i: 600.0 * 1e7 * float(_mesh(_lure()).moment_inertia[i, i])),
        tolerance=relative(2e-3), unit="g cm2",
    )(lambda i=_i: 1e7 * float(weigh(_design()).inertia[i, i]))  # fmt: skip


@cache
def _scenario() -> Lure:
    return build(load(SCENARIO))


PLANES = (
    ("level, a third under", (0.0, 0.0, 1.0), 0.33),
    ("nose down 30 degrees, half under", (-0.5, 0.0, 0.866025), 0.5),
    ("on its side and askew, two thirds under", (0.2, 0.9, 0.3), 0.66),
)  # fmt: skip


@cache
def _cut(which: int) -> tuple[float, np.ndarray, float, np.ndarray]:
    """Immersed volume and its first moments, by trimesh and by ours, for a plane through the first hull."""
    hull = _scenario().hulls[0]
    up = np.array(PLANES[which][1]) / np.linalg.norm(PLANES[which][1])
    along = hull.vertices @ up
    height = -float(along.min() + PLANES[which][2] * np.ptp(along))
    part = _mesh(_scenario()).slice_plane(-height * up, -up, cap=True)
    ours = immersed(hull.vertices, hull.faces, NO_SMALL, up, height)
    return (
        float(part.volume),
        part.volume * part.center_mass,
        float(ours[I_VOLUME]),
        ours[I_MOMENT : I_MOMENT + 3],
    )


for _k, (_words, _, _) in enumerate(PLANES):
    check(
        f"volume under water of last_skittle's body, {_words}",
        source=TRIMESH + ", cut with a lid", status=Status.LIBRARY, published=(lambda k=_k: 1e6 * _cut(k)[0]),
        tolerance=relative(1e-6), unit="mL",
    )(lambda k=_k: 1e6 * _cut(k)[2])  # fmt: skip
    check(
        f"middle of that volume, fore and aft, {_words}",
        source=TRIMESH + ", cut with a lid", status=Status.LIBRARY,
        published=(lambda k=_k: 1e3 * float(_cut(k)[1][0] / _cut(k)[0])), tolerance=relative(1e-6), unit="mm",
    )(lambda k=_k: 1e3 * float(_cut(k)[3][0] / _cut(k)[2]))  # fmt: skip
