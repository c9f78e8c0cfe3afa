"""How far the ways to tell a body miss its volume, over invented closed shapes with a known truth.

`python -m tests.decisions.shapes_told` prints the table of docs/notes/doubt-of-shape.md.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from sim.design.parts import Body, Place, Station
from sim.lure.bodies import build_body
from sim.units import Quantity
from tests.decisions.found_things import FULLNESS_SEED, KINDS, Array, enclosed, mesh

COUNT = 200
SECTIONS = (3, 5, 8, 12)
TURNED = "turned"


def _mm(value: float) -> Quantity:
    return Quantity(float(value), 0.0, "length")


def spans(points: Array, faces: NDArray[np.int64], at: Array) -> Array:
    """Lowest and highest y and z (k, 4) of a closed mesh's sections at the places `at` along x."""
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    one, other = points[edges[:, 0]], points[edges[:, 1]]
    out = np.zeros((len(at), 4))
    for k, x in enumerate(at):
        across = (one[:, 0] - x) * (other[:, 0] - x) < 0.0
        a, b = one[across], other[across]
        if not len(a):
            continue
        cut = a + ((x - a[:, 0]) / (b[:, 0] - a[:, 0]))[:, None] * (b - a)
        out[k] = cut[:, 1].min(), cut[:, 1].max(), cut[:, 2].min(), cut[:, 2].max()
    return out


def by_stations(points: Array, faces: NDArray[np.int64], count: int, exponent: float = 2.0) -> Body:
    """A body as a calliper tells it: so many sections evenly along, and its two ends."""
    nose, tail = points[:, 0].max(), points[:, 0].min()
    at = np.linspace(nose, tail, count + 2)
    cut = spans(points, faces, at)
    return Body(
        shape="stations",
        exponent=exponent,
        density=Quantity(900.0, 0.0, "density"),
        stations=[
            Station(
                back=_mm(nose - x),
                width=_mm(right - left),
                height=_mm(high - low),
                up=_mm(0.5 * (high + low)),
            )
            for x, (left, right, low, high) in zip(at, cut, strict=True)
        ],
    )


def by_outline(points: Array, faces: NDArray[np.int64], count: int = 24) -> Body:
    """A body as its side and top views tell it."""
    nose, tail = points[:, 0].max(), points[:, 0].min()
    at = np.linspace(nose, tail, count + 2)
    cut = spans(points, faces, at)
    inner = slice(1, -1)
    side = [
        Place(back=_mm(nose - x), up=_mm(z))
        for x, z in [
            (nose, 0.0),
            *zip(at[inner], cut[inner, 3], strict=True),
            (tail, 0.0),
            *zip(at[inner][::-1], cut[inner, 2][::-1], strict=True),
        ]
    ]
    half = 0.5 * (cut[:, 1] - cut[:, 0])
    top = [
        Place(back=_mm(nose - x), left=_mm(y))
        for x, y in [(nose, 0.0), *zip(at[inner], half[inner], strict=True), (tail, 0.0)]
    ]
    return Body(shape="outline", density=Quantity(900.0, 0.0, "density"), side=side, top=top)


def told_volume(body: Body) -> float:
    """What the program makes of it, m3."""
    return float(build_body("main", body, [])[0].outer[0])


def misses(seed: int = FULLNESS_SEED, count: int = COUNT) -> dict[tuple[str, str], Array]:
    """True volume over told volume, by way of telling and kind of shape."""
    draw = np.random.default_rng(seed)
    found: dict[tuple[str, str], list[float]] = {}
    for k in range(count):
        kind = KINDS[k % len(KINDS)]
        points, faces = mesh(draw, kind)
        true = enclosed(points, faces)
        ways = {f"{n} sections": by_stations(points, faces, n) for n in SECTIONS}
        ways["outline"] = by_outline(points, faces)
        if kind == "can":  # its own sections are round: what a lathe leaves
            round_ = points.copy()
            round_[:, 2] *= np.ptp(points[:, 1]) / np.ptp(points[:, 2])
            for n in SECTIONS:
                ratio = enclosed(round_, faces) / told_volume(by_stations(round_, faces, n))
                found.setdefault((f"{n} sections", TURNED), []).append(ratio)
        for way, body in ways.items():
            found.setdefault((way, kind), []).append(true / told_volume(body))
    return {key: np.array(values) for key, values in found.items()}


if __name__ == "__main__":
    table = misses()
    for way in dict.fromkeys(way for way, _ in table):
        pooled = np.concatenate(
            [values for (one, kind), values in table.items() if one == way and kind != TURNED]
        )
        for kind, values in [*((k, v) for (one, k), v in table.items() if one == way), ("all", pooled)]:
            logs = np.log(values)
            print(
                f"{way:12} {kind:8} median {math.exp(float(np.median(logs))):.3f}  deviation {logs.std():.3f}  "
                f"from {values.min():.2f} to {values.max():.2f}"
            )
