"""Found things, invented: closed shapes with a known truth, read as a maker would, and what is said of them.

`python -m tests.decisions.found_things` prints how far three sizes miss the volume of such shapes.
"""

from __future__ import annotations

import math
from functools import cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.bench.found import FoundThing, ImpossibleError, afloat, next_reading, posterior, with_reading
from sim.units import Quantity

Array = NDArray[np.float64]

COUNT, SEED = 200, 20261127
FULLNESS_SEED = (
    7  # of the shapes from which the prior of `sim.bench.found` was chosen, other than those tried here
)
KINDS = ("egg", "block", "can", "drop", "figure")
WATER = 998.6  # kg/m3
SCALE, CUP, CALLIPER = 0.1e-3, 0.3e-6, 0.2e-3  # errors of reading: kg, m3, m


class Truth(NamedTuple):
    """One thing as it is. SI."""

    kind: str
    extents: Array  # (3,) m
    volume: float
    wall: float  # density
    cavity: float
    weight: float
    fill: float
    load: float

    @property
    def margin(self) -> float:
        """Spare lift with its fill and its load, kg."""
        return WATER * self.volume - self.weight - self.fill - self.load


@cache
def _sphere() -> tuple[Array, NDArray[np.int64]]:
    import trimesh

    ball = trimesh.creation.icosphere(subdivisions=4)
    return np.asarray(ball.vertices, dtype=float), np.asarray(ball.faces)


def mesh(draw: np.random.Generator, kind: str) -> tuple[Array, NDArray[np.int64]]:
    """Corners (k, 3) and faces of one closed mesh without holes, star-shaped about its middle; its length along x."""
    ways, faces = _sphere()
    length = draw.uniform(0.03, 0.11)
    half = 0.5 * length * np.array([1.0, draw.uniform(0.25, 0.8), draw.uniform(0.25, 0.8)])
    across, along = {
        "egg": lambda: (draw.uniform(1.8, 2.6),) * 2,
        "block": lambda: (draw.uniform(2.5, 8.0),) * 2,
        "can": lambda: (2.0, draw.uniform(4.0, 10.0)),
        "drop": lambda: (2.0, draw.uniform(1.2, 2.2)),
        "figure": lambda: (draw.uniform(1.8, 4.0), draw.uniform(1.8, 4.0)),
    }[kind]()
    d = np.abs(ways) / half
    radius = ((d[:, 1] ** across + d[:, 2] ** across) ** (along / across) + d[:, 0] ** along) ** (
        -1.0 / along
    )
    points = ways * radius[:, None]
    if kind == "drop":
        back = np.clip(0.5 * (points[:, 0] / half[0] + 1.0), 0.0, 1.0)
        points[:, 1:] *= (1.0 - draw.uniform(0.2, 0.8) * back ** draw.uniform(0.7, 2.0))[:, None]
    if kind == "figure":  # legs, a head, a dent
        for _ in range(draw.integers(2, 7)):
            there = draw.normal(size=3)
            near = np.exp(-(1.0 - ways @ (there / np.linalg.norm(there))) / draw.uniform(0.12, 0.5) ** 2)
            points *= (1.0 + draw.uniform(-0.15, 0.7) * near)[:, None]
    return points, faces


def enclosed(points: Array, faces: NDArray[np.int64]) -> float:
    """Volume of a closed mesh, m3."""
    a, b, c = (points[faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum()) / 6.0


def shape(draw: np.random.Generator, kind: str) -> tuple[Array, float]:
    """Extents (3,) and volume of one such mesh."""
    points, faces = mesh(draw, kind)
    return np.ptp(points, axis=0), enclosed(points, faces)


def truth(draw: np.random.Generator) -> Truth:
    """A hollow thing of some plastic, with or without a fill, and what it must carry."""
    kind = str(draw.choice(KINDS))
    extents, volume = shape(draw, kind)
    wall = draw.uniform(900.0, 1600.0)
    cavity = volume * draw.uniform(0.3, 0.75)
    weight = wall * (volume - cavity)
    fill = float(draw.choice([0.0, 0.3, 0.7, 1.0])) * cavity * draw.uniform(300.0, 1100.0)
    load = max(draw.uniform(0.0, 0.35) * (WATER * volume - weight), 0.5e-3)
    return Truth(kind, extents, volume, wall, cavity, weight, fill, load)


def readings(true: Truth, draw: np.random.Generator) -> FoundThing:
    """The thing as a maker reads it: most have sizes and a filled cavity, some a guess or a scrap of the wall."""
    sizes = tuple(
        Quantity(round(float(extent + draw.normal(0.0, CALLIPER)), 4), 1e-4, "length")
        for extent in true.extents
    )
    wall = None
    how = draw.choice(["nothing", "guess", "scrap"], p=[0.4, 0.4, 0.2])
    if how == "guess":
        low = true.wall * draw.uniform(0.85, 1.0)
        high = max(low * draw.uniform(1.02, 1.3), 1.005 * true.wall)
        wall = Quantity(0.5 * (low + high), (high - low) / math.sqrt(12.0), "density", "", True)
    elif how == "scrap":
        wall = _read(true.wall, 0.02 * true.wall, "density", draw)
    has_cavity = draw.random() < 0.8
    has_sizes = not has_cavity or draw.random() < 0.85
    return FoundThing(
        weight=_read(true.weight, SCALE, "mass", draw),
        cavity=_read(true.cavity, CUP, "volume", draw) if has_cavity else None,
        sizes=(sizes[0], sizes[1], sizes[2]) if has_sizes else None,
        wall=wall,
        load=_read(true.load, SCALE, "mass", draw),
        fill=_read(true.fill, SCALE, "mass", draw) if true.fill > 0.0 else None,
    )


def case(number: int) -> dict[str, Any]:
    """One thing: what is said of it, what was measured next, what is said then, and what is true."""
    draw = np.random.default_rng([SEED, number])
    true = truth(draw)
    thing = readings(true, draw)
    try:
        left = posterior(thing)
        first = afloat(thing, left, WATER, filled=True, loaded=True)
        step = next_reading(thing, left, WATER)
        assert step is not None
        value, error, dimension = {
            "displaced": (true.volume, max(0.01 * true.volume, 0.15e-6), "volume"),
            "wall": (true.wall, 0.015 * true.wall, "density"),
            "cavity": (true.cavity, CUP, "volume"),
        }[step.reading]
        then = with_reading(thing, step.reading, _read(value, error, dimension, draw))
        second = afloat(then, posterior(then), WATER, filled=True, loaded=True)
    except ImpossibleError as problem:
        return {"kind": true.kind, "impossible": str(problem)}
    return {
        "kind": true.kind,
        "covered": bool(first.low <= true.margin <= first.high),
        "verdict": first.verdict,
        "wrong": first.verdict != "uncertain" and (first.verdict == "floats") != (true.margin > 0.0),
        "next": step.reading,
        "falls": second.margin_sd < first.margin_sd,
        "then": second.verdict,
        "then_wrong": second.verdict != "uncertain" and (second.verdict == "floats") != (true.margin > 0.0),
    }


def summary(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """Shares over all cases; those refused as impossible count as neither covered nor settled."""
    count = len(rows)
    sure = [row for row in rows if row.get("verdict", "uncertain") != "uncertain"]

    def share(key: str) -> float:
        return sum(bool(row.get(key)) for row in rows) / count

    return {
        "things": count,
        "refused_though_true": sum("impossible" in row for row in rows),
        "interval_holds": share("covered"),
        "sure": len(sure),
        "sure_but_wrong": sum(row["wrong"] for row in sure),
        "doubt_falls": share("falls"),
        "settled_after_one_reading": sum(row.get("then", "uncertain") != "uncertain" for row in rows) / count,
        "wrong_after_one_reading": sum(bool(row.get("then_wrong")) for row in rows),
    }


def section(written: dict[str, Any]) -> str:
    """The paragraph of the validation page."""
    s = written["summary"]
    return (
        "### Things as found\n\n"
        f"{s['things']} invented closed shapes (egg, block, can, drop, figure with limbs) with walls of 0.9 to 1.6 "
        "g/cm3, a cavity, a fill and a load, read as a maker would: three sizes, a scale, a cup, for some a guess or a "
        "scrap of the wall. `measure thing` is asked whether the finished thing floats. Its 90 % intervals of the "
        f"spare lift held in {100 * s['interval_holds']:.1f} %; of {s['sure']} verdicts given as sure "
        f"{s['sure_but_wrong']} were wrong; after the one reading that it names first the doubt fell in "
        f"{100 * s['doubt_falls']:.1f} % and the verdict was settled in {100 * s['settled_after_one_reading']:.1f} % "
        f"({s['wrong_after_one_reading']} of these wrong); {s['refused_though_true']} true readings were refused as "
        "impossible."
    )


def _read(value: float, error: float, dimension: str, draw: np.random.Generator) -> Quantity:
    return Quantity(value + float(draw.normal(0.0, error)), error, dimension)


def fullness(seed: int = FULLNESS_SEED, count: int = 200) -> dict[str, Array]:
    """Volume over that of the ellipsoid with the same three sizes, by kind of shape."""
    draw = np.random.default_rng(seed)
    found: dict[str, list[float]] = {kind: [] for kind in KINDS}
    for k in range(count):
        kind = KINDS[k % len(KINDS)]
        extents, volume = shape(draw, kind)
        found[kind].append(volume / (math.pi / 6.0 * float(np.prod(extents))))
    return {kind: np.array(values) for kind, values in found.items()}


if __name__ == "__main__":
    table = fullness()
    table["all"] = np.concatenate(list(table.values()))
    for name, values in table.items():
        logs = np.log(values)
        print(
            f"{name:8} median {np.median(values):.2f}  deviation of the logarithm {logs.std():.2f}  "
            f"from {values.min():.2f} to {values.max():.2f}"
        )
