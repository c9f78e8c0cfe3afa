"""Made-up makers: what they hold in their hands, what they read off it, and the design file they write.

A demo design is the drawing. What the maker holds differs from it: everything that is measured lies anywhere
in its last digit and its usual deviation about the drawing; what is not measured (where a hook ends up, how a
lip is skewed, a wood that is known by name, the coefficients of the model) is drawn from what is usual. Each
measurement is read with its error: half of them written with `+-`, the others rounded to the last digit that
the drawing gives and left without. The file holds the readings and nothing else of the truth.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import tomlkit

from sim.design.edit import edited
from sim.design.load import DesignError, read
from sim.design.model import Design
from sim.design.priors import Prior, last_digit, priors
from sim.lure import BuildError, build
from sim.studies.engine import CaseError, changed

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))
TRIES = 20
_NUMBER = re.compile(r"(-?[0-9]+)(?:\.([0-9]+))? *([A-Za-z%/0-9]+)")


@dataclass(frozen=True)
class Maker:
    """One maker: the file, and the lure that is really there."""

    name: str  # of the drawing
    text: str  # of the design file that the maker writes
    design: Design  # as read from it
    truth: Design  # the lure in hand, in the water that is there, under the forces that there are


def maker(seed: int, k: int) -> Maker:
    """The k-th maker of a study."""
    file = SCENARIOS[k % len(SCENARIOS)]
    draw = np.random.default_rng([seed, k])
    text = file.read_text(encoding="utf-8")
    for _ in range(TRIES):
        try:
            return _drawn(file.stem, text, draw)
        except (DesignError, BuildError, CaseError):
            continue  # a lure that cannot be, or readings that contradict each other: the maker starts again
    raise RuntimeError(f"maker {k} of {file.name} never comes to a lure that can be built")


def _drawn(name: str, text: str, draw: np.random.Generator) -> Maker:
    drawing = read(text, name)
    file = tomlkit.parse(text)
    written: dict[str, Any] = {}
    true: dict[str, float] = {}
    for one in priors(drawing, model=False):
        found = _NUMBER.fullmatch(one.value.text)
        if _stands(file, one.path) and found and one.value.value and not one.value.flat and not one.paths:
            true[one.path], written[one.path] = _measured(one, found, draw)
    text = edited(text, written)
    design = read(text, name)
    changes: dict[str, Any] = {}
    for one in priors(design):
        drawn = one.changes(float(draw.standard_normal()))
        changes |= (
            {one.path: replace(one.value, value=true[one.path], text="")} if one.path in true else drawn
        )
    truth = changed(design, changes)
    build(truth)
    build(design)
    return Maker(name, text, design, truth)


def _measured(one: Prior, found: re.Match[str], draw: np.random.Generator) -> tuple[float, str]:
    """What is there (SI), and what the maker writes of it."""
    places, unit = len(found[2] or ""), found[3]
    number = float(found[1] + "." + (found[2] or "0"))
    scale = one.value.value / number
    digit = last_digit(one.value)
    true = one.at(float(draw.standard_normal())).value + float(draw.uniform(-0.5, 0.5)) * digit
    there = replace(one, value=replace(one.value, value=true))
    if one.given or draw.random() < 0.5:
        sd = one.value.sd
        reading = there.at(float(draw.standard_normal())).value
        return true, f"{reading / scale:.{places + 2}f} +- {sd / abs(scale):.3g} {unit}"
    besides = math.sqrt(max(one.value.sd**2 - digit**2 / 12.0, 0.0))
    reading = true + besides * float(draw.standard_normal())
    return true, f"{reading / scale:.{places}f} {unit}"


def _stands(file: Any, path: str) -> bool:
    node = file
    for step in path.split("."):
        if isinstance(node, list):
            if not step.isdecimal() or int(step) >= len(node):
                return False
            node = node[int(step)]
        elif step in node:
            node = node[step]
        else:
            return False
    return isinstance(node, str)
