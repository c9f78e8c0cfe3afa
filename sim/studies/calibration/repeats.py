"""Repeats: readings of one figure in one run, and what their scatter says of their error.

A reading that came without `+-` is given what eye and watch are usually good for. Where it was taken more than once,
the scatter of the repeats says it better: both are pooled, the usual error counting as much as `TRUST` repeats more.

Standing: textbook (pooled variance; the usual error is a scaled inverse chi-square prior). `TRUST` is judgement.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sim.studies.calibration.observations import Observation

TRUST = 1.0  # degrees of freedom of the usual error
AGREE = 2.0  # deviations from their mean within which repeats agree, by the errors that they came with


def by_scatter(found: Sequence[Observation]) -> list[Observation]:
    """Readings, those taken more than once marked, and without `+-` with the error that their scatter tells."""
    out = list(found)
    for places in _groups(found):
        if len(places) > 1:
            agree = _agree([found[n] for n in places])
            for n in places:
                out[n] = replace(out[n], repeats_agree=agree)
        bare = [n for n in places if not found[n].statement.doubted]
        if len(bare) < 2:
            continue
        spans = [found[n].statement.aim for n in bare]
        middle = sum(span.low for span in spans) / len(spans)
        scatter = sum((span.low - middle) ** 2 for span in spans)
        for n, span in zip(bare, spans, strict=True):
            sd = math.sqrt((TRUST * span.sd**2 + scatter) / (TRUST + len(bare) - 1.0))
            out[n] = replace(out[n], statement=replace(out[n].statement, span=span._replace(sd=sd)))
    return out


def _agree(repeats: Sequence[Observation]) -> bool:
    spans = [one.statement.aim for one in repeats]
    middle = sum(span.low for span in spans) / len(spans)
    share = math.sqrt(1.0 - 1.0 / len(spans))  # of a deviation that is left from the mean of them all
    return all(abs(span.low - middle) <= AGREE * share * span.sd for span in spans)


def _groups(found: Sequence[Observation]) -> Iterator[list[int]]:
    """Places of the numbers that were read of one figure in one run."""
    groups: dict[object, list[int]] = {}
    for n, one in enumerate(found):
        if one.measured:
            groups.setdefault((one.unit, one.statement.figure, one.statement.toward), []).append(n)
    yield from groups.values()
