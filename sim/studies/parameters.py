"""What a study changes: `lip.angle=30deg..60deg` or `belly.weight=1g,2g,3g`, read against a design."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from sim.design import paths
from sim.design.model import Design
from sim.design.paths import PathError
from sim.units import UNITS, Quantity

SPEED = "speed"  # the line speed of a retrieve, which is no single key of the file
SAMPLINGS = ("sobol", "latin")
Sampling = Literal["sobol", "latin"]

_COLUMN_UNITS = {  # ending of a heading, unit
    "length": ("mm", "mm"), "mass": ("g", "g"), "volume": ("ml", "mL"), "speed": ("m_s", "m/s"),
    "angle": ("deg", "deg"), "temperature": ("c", "C"), "density": ("g_cm3", "g/cm3"),
    "salinity": ("g_kg", "g/kg"), "force": ("n", "N"), "time": ("s", "s"), "factor": ("x", "x"),
}  # fmt: skip
_LONG = ("m", "m")  # for lengths of a metre and more


@dataclass(frozen=True)
class Parameter:
    """One thing that a study changes, and what to."""

    path: str  # full, or `SPEED`
    written: str  # as the maker names it
    values: tuple[Any, ...]  # each of them, or the two ends of a range
    ranges: bool = False
    steps: int = 1  # values of a range in a full grid

    def __len__(self) -> int:
        return self.steps if self.ranges else len(self.values)

    def levels(self) -> list[Any]:
        """Every value of a full grid, in order."""
        if not self.ranges:
            return list(self.values)
        if self.steps == 1:
            return [self.at(0.5)]
        return [self.at(k / (self.steps - 1)) for k in range(self.steps)]

    def at(self, share: float) -> Any:
        """The value at a share (0 to 1) of the range, or of the list."""
        if not self.ranges:
            return self.values[min(int(share * len(self.values)), len(self.values) - 1)]
        low, high = self.values
        if isinstance(low, Quantity):
            return replace(low, value=low.value + share * (high.value - low.value), text="")
        return low + share * (high - low)

    @property
    def heading(self) -> str:
        """Name of its column: the path and the unit."""
        unit = self._unit()
        return f"{self.path}_{unit[0]}" if unit else self.path

    @property
    def unit(self) -> str:
        """Unit of `cell`, as a reader writes it; empty for pure numbers and words."""
        unit = self._unit()
        return unit[1] if unit else ""

    def cell(self, value: Any) -> Any:
        """A value in the unit of the heading."""
        unit = self._unit()
        if unit is None:
            return str(value).lower() if isinstance(value, bool) else value
        scale, offset = UNITS[value.dimension][unit[1]]
        return float(f"{(value.value - offset) / scale:.12g}")

    def text(self, value: Any) -> str:
        """A value with its unit, as a maker would write it."""
        if isinstance(value, Quantity):
            return value.text or f"{self.cell(value):.4g} {self.unit}"
        return str(self.cell(value))

    def _unit(self) -> tuple[str, str] | None:
        first = self.values[0]
        if not isinstance(first, Quantity):
            return None
        if first.dimension == "length" and max(abs(v.value) for v in self.values) >= 1.0:
            return _LONG
        return _COLUMN_UNITS[first.dimension]


def read(design: Design, written: str, steps: int = 1) -> Parameter:
    """`PATH=A..B` or `PATH=A,B,C`, checked as the design file is.

    Raises:
        PathError: with what to write instead.
    """
    name, equals, text = (piece.strip() for piece in written.partition("="))
    if not equals or not name or not text:
        raise PathError(
            "write a path, an equals sign and values, as in lip.angle=30deg..60deg or lip.angle=30deg,45deg"
        )
    path = SPEED if name == SPEED else paths.found(design, name)
    where = "retrieve.speeds.0" if path == SPEED else path
    ends = text.split("..")
    if len(ends) == 2:
        low, high = (paths.value(design, where, end.strip()) for end in ends)
        numbers = isinstance(low, Quantity) or (isinstance(low, int | float) and not isinstance(low, bool))
        if not numbers:
            raise PathError(
                f"{path} has no numbers between {ends[0].strip()} and {ends[1].strip()}; list them"
            )
        if low == high:
            raise PathError(f"both ends of this range are {ends[0].strip()}; write two different ones")
        return Parameter(path, name, (low, high), ranges=True, steps=steps)
    pieces = [piece.strip() for piece in text.split(",")]
    try:
        values = tuple(paths.value(design, where, piece) for piece in pieces)
    except PathError as error:
        if len(pieces) == 1:
            raise
        raise PathError(
            f"{error} (a comma parts two values here: write each with its unit, and a point for decimals)"
        ) from error
    return Parameter(path, name, values)


def grid(parameters: Sequence[Parameter]) -> Iterator[tuple[Any, ...]]:
    """Every combination of the values, the last parameter changing fastest."""
    return itertools.product(*(parameter.levels() for parameter in parameters))


def sampled(
    parameters: Sequence[Parameter], count: int, seed: int, sampling: Sampling = "sobol"
) -> Iterator[tuple[Any, ...]]:
    """`count` combinations spread evenly by a quasi-random sequence; the same for the same seed.

    Sobol's sequence, scrambled (Owen 1998), or a Latin hypercube (McKay, Beckman & Conover 1979), by scipy.
    """
    import numpy as np
    from scipy.stats import qmc

    draw = np.random.default_rng(seed)
    if sampling == "latin":
        shares = qmc.LatinHypercube(len(parameters), seed=draw).random(count)
    else:
        whole = 1 << max(count - 1, 0).bit_length()  # the sequence is balanced at powers of two
        shares = qmc.Sobol(len(parameters), seed=draw).random(whole)[:count]
    for row in shares:
        yield tuple(p.at(float(share)) for p, share in zip(parameters, row, strict=True))
