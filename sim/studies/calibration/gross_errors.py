"""Values of a log so far from all the design says that a unit or a decimal point may have slipped.

Whether it did only the maker knows: nothing is refused or left out because of it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import Field

from sim.design.model import Design
from sim.studies.calibration.observations import Observation, ObservedRun
from sim.trials.records import Result
from sim.trials.results import METRICS

TIMES = 5.0  # as much, or as little, as the design says: no model is off by that. Judgement
PACE = "line speed"


class Slip(Result):
    """A value of a test that is far from what the design says of it."""

    file: str = Field(description="the log")
    line: int | None = Field(description="line of the test's words in it")
    test: int = Field(description="which test of the log, from 1")
    said: str = Field(description="as it stands in the log")
    figure: str = Field(
        description="the figure of the results; or line speed, held against those of the design"
    )
    seen: float = Field(description="what the log says, in the figure's unit")
    design: float = Field(description="what the design says; of a line speed, the nearest one of the file")
    times: float = Field(description="how many times as much the log says")


def slips(
    design: Design, found: Sequence[Observation], rows: Mapping[ObservedRun, Mapping[str, Any]]
) -> list[Slip]:
    """Everything in some readings that looks like a slip, in their order.

    Args:
        rows: of the units that were run; a reading of another is held against nothing but the speeds of the design.
    """
    out: dict[tuple[int, str], Slip] = {}
    for reading in found:
        for slip in (_too_fast(design, reading), _too_much(reading, rows.get(reading.unit, {}))):
            if slip is not None:
                out.setdefault((slip.test, slip.figure), slip)
    return list(out.values())


def sound(found: Sequence[Observation], slipped: Sequence[Slip]) -> list[Observation]:
    """The readings in which nothing looks like a slip."""
    doubted = {(slip.test, slip.figure) for slip in slipped}
    return [
        reading
        for reading in found
        if doubted.isdisjoint({(reading.test, reading.statement.figure), (reading.test, PACE)})
    ]


def off_by(seen: float, design: float) -> float | None:
    """How many times as much was seen as the design says, where that is far; else None."""
    if not (seen and design and math.isfinite(seen) and math.isfinite(design)):
        return None
    times = abs(seen / design)
    return times if max(times, 1.0 / times) >= TIMES else None


def _too_fast(design: Design, reading: Observation) -> Slip | None:
    """A pull at a speed that the file has nothing like."""
    paces = design.retrieve.paces()
    if reading.unit.pull is None or not paces:
        return None
    speed = reading.unit.pull.speed
    near = min(paces, key=lambda pace: abs(math.log(pace / speed)))
    return _slip(reading, PACE, speed, near)


def _too_much(reading: Observation, row: Mapping[str, Any]) -> Slip | None:
    figure, span, says = reading.statement.figure, reading.statement.span, reading.found(row)
    enough = METRICS[figure].gross
    if enough is None or span is None or not isinstance(says, int | float):
        return None
    seen = min(max(float(says), span.low), span.high)  # the nearest that it may be
    return _slip(reading, figure, seen, float(says)) if abs(seen - says) > enough else None


def _slip(reading: Observation, figure: str, seen: float, design: float) -> Slip | None:
    times = off_by(seen, design)
    if times is None:
        return None
    return Slip(
        file=reading.file, line=reading.line, test=reading.test, said=reading.statement.text, figure=figure,
        seen=seen, design=design, times=times,
    )  # fmt: skip
