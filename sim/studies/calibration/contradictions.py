"""What a log contradicts: its own repeats, or what the builds of a design can do. That is settled first."""

from __future__ import annotations

import math
from collections.abc import Sequence
from enum import StrEnum

import numpy as np
from pydantic import Field

from sim.studies.calibration.observations import Observation
from sim.studies.ensemble import Ensemble
from sim.trials.records import Result
from sim.trials.request import key

FAR = 3.0  # deviations of reading and builds together, from which a reading contradicts the design


class Against(StrEnum):
    """What a reading of a log is against."""

    REPEATS = "repeats of it"
    DESIGN = "the design"


class Contradiction(Result):
    """Readings of a log that cannot all be so, or one that the builds of the design cannot do."""

    against: Against = Field(description="what it is against")
    tests: list[int] = Field(description="which tests of the log, from 1")
    said: list[str] = Field(description="as they stand in the log")
    figure: str = Field(description="the figure that they speak of")
    predicted: float | None = Field(description="of the design as it stands; null for repeats")
    off: float = Field(description="how far off, in deviations")


def contradictions_with(ensemble: Ensemble, found: Sequence[Observation]) -> list[Contradiction]:
    """Those of a log, the farthest off first; of figures that the builds were asked for, in the design's own water."""
    groups: dict[object, list[Observation]] = {}
    for one in found:
        if one.repeats_agree is False:
            groups.setdefault((one.unit, one.statement.figure), []).append(one)
    out = [_repeats(group) for group in groups.values()]
    for one in found:
        if one.measured and one.repeats_agree is not False and not one.unit.conditions:
            against = _design(ensemble, one)
            out += [against] if against else []
    return sorted(out, key=lambda each: -each.off)


def _repeats(group: Sequence[Observation]) -> Contradiction:
    spans = [one.statement.aim for one in group]
    low, high = min(spans, key=lambda span: span.low), max(spans, key=lambda span: span.low)
    return Contradiction(
        against=Against.REPEATS, tests=[one.test for one in group], said=[one.statement.text for one in group],
        figure=group[0].statement.figure, predicted=None, off=(high.low - low.low) / math.hypot(low.sd, high.sd),
    )  # fmt: skip


def _design(ensemble: Ensemble, one: Observation) -> Contradiction | None:
    """A reading that is farther from the design than its own doubt and that of the builds together allow."""
    figure, pull = one.statement.figure, one.unit.pull
    if key(figure, pull) not in ensemble.nominal:
        return None
    values = np.array([one.signal(row) for row in ensemble.rows])
    here = one.signal(ensemble.nominal)
    there = values[np.isfinite(values)]
    if not math.isfinite(here) or len(there) < 2:
        return None
    off = abs(one.aim.low - here) / math.hypot(one.aim.sd, float(there.std()))
    if off <= FAR:
        return None
    return Contradiction(
        against=Against.DESIGN, tests=[one.test], said=[one.statement.text], figure=figure,
        predicted=one.plain(here), off=off,
    )  # fmt: skip
