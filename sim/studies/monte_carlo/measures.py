"""Inputs grouped by what one sitting at the bench would tell, how to do it, and how well they are known then."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from sim.design.paths import PLACES
from sim.design.priors import MODEL, SHEET, Prior

WORTH_IT = 0.7  # a measurement that leaves more than this of the deviation is not called one

FINER_SIZE, FINER_SHEET, FINER_PLACE = 0.05e-3, 0.01e-3, 0.15e-3  # m
FINER_WEIGHT, FINER_ANGLE, FINER_WARMTH = 1e-5, math.radians(0.5), 0.3  # kg, rad, C
FINER_DENSITY, FINER_VOLUME, FINER_LINE = 0.01, 0.005, 0.02  # shares of the value
"""Standard deviations of a careful measurement of each kind at a kitchen bench. Judgement."""


@dataclass(frozen=True)
class Measure:
    """What one sitting tells: which inputs, how, and what share of each deviation it leaves."""

    kind: str  # "density", "place"; "model" of a coefficient, nothing of what stands alone
    part: str  # "body.main"; the coefficient, or the path of what stands alone
    inputs: tuple[int, ...]  # places in the list of inputs
    leaves: tuple[float, ...]  # deviation afterwards over deviation before, for each; 1: it tells nothing

    @property
    def useful(self) -> bool:
        """Whether it makes anything better known at the bench."""
        return self.kind != "model" and min(self.leaves) <= WORTH_IT


def measures(inputs: Sequence[Prior]) -> list[Measure]:
    """All that could be measured, in the order of the inputs; each coefficient of the model on its own."""
    groups: dict[tuple[str, str], list[int]] = {}
    for k, one in enumerate(inputs):
        groups.setdefault(_group(one), []).append(k)
    return [
        Measure(kind, part, tuple(at), tuple(_leaves(inputs[k]) for k in at))
        for (kind, part), at in groups.items()
    ]


_ALONE = (
    "water.temperature", "water.salinity", "line.diameter", "retrieve.tip", "measured.weight", "measured.displaced",
)  # fmt: skip


def _group(one: Prior) -> tuple[str, str]:
    """Kind and part of what one sitting tells."""
    path = one.path
    if one.of_the_model:
        return "model", path.removeprefix(MODEL)
    if path in _ALONE:
        return "", path
    if path in ("cast.speed", "cast.angle"):
        return "", "cast"
    steps = path.split(".")
    return _kind(one), ".".join(steps[:2]) if len(steps) > 2 else steps[0]


def _kind(one: Prior) -> str:
    steps, last = one.path.split("."), one.path.rsplit(".", 1)[-1]
    if last.startswith("balance"):
        return "balance"
    if any(step in PLACES for step in steps[2:-1]):
        return "place"
    if last == "fill_density":
        return "density of the fill"
    kinds = {"mass": "weight", "density": "density", "angle": "angles", "length": "sizes"}
    if path_of_volume(one.path):
        return "volume"
    return "cavity" if last == "cavity" else kinds.get(one.value.dimension, last.replace("_", " "))


def path_of_volume(path: str) -> bool:
    """Whether an input tells how much a body pushes aside: one dunk tells them all."""
    kind, _, *keys = (*path.split("."), "")
    return kind == "body" and keys[0] in ("length", "width", "height", "fullness", "stations", "side", "top")


def _leaves(one: Prior) -> float:
    """Deviation after a careful measurement over that before, at most 1."""
    value, dimension = one.value, one.value.dimension
    path = one.path
    if one.of_the_model or path.startswith(("cast.", "retrieve.")):
        return 1.0
    if path == "line.diameter":
        after = FINER_LINE * value.value
    elif dimension == "density":
        after = FINER_DENSITY * value.value
    elif dimension == "volume" or path.endswith(".fullness"):
        after = FINER_VOLUME * value.value
    elif dimension == "length" and _kind(one) in ("place", "balance"):
        after = FINER_PLACE
    elif dimension == "length":
        after = FINER_SHEET if value.value < SHEET else FINER_SIZE
    else:
        after = {"mass": FINER_WEIGHT, "angle": FINER_ANGLE, "temperature": FINER_WARMTH}.get(
            dimension, value.sd
        )
    return min(after / value.sd, 1.0) if value.sd > 0.0 else 1.0
