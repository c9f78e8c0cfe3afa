"""Two things at once: pairs of suspects, tried where no single one explains all that was stated.

What a pair comes to is first taken for the sum of what its two do alone (`superposed`), each along its own trace; the
few pairs that fit best so are then run, and moved once more by what the runs are off that sum.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import NamedTuple

import numpy as np

from sim.studies.diagnosis.suspect import Suspect
from sim.studies.diagnosis.traces import FITS, Aims, Array, Trace, penalty

EACH = 16  # suspects of which pairs are made
PLACES = 41  # of each trace that are tried


class Combination(NamedTuple):
    """Two suspects, where both would have to be, what that costs, and by how much a run is off their sum."""

    one: Suspect
    other: Suspect
    x: float
    y: float
    cost: float
    off: Array  # of all signals; nothing until the pair is run

    @property
    def name(self) -> str:
        """What tells it from all others."""
        return f"{self.one.name} & {self.other.name}"

    def changes(self) -> dict[str, object]:
        """What to put where in the design."""
        return {**self.one.changes(self.x), **self.other.changes(self.y)}


def saves(trace: Trace, aims: Aims, misfits: Array) -> float:
    """How much less one signal that does not fit costs with a suspect, movement and all, where it does most for it.

    Args:
        misfits: of the design as it stands.
    """
    wrong = np.abs(misfits) > FITS
    xs, signals = trace.course(PLACES)
    if not len(xs) or not wrong.any():
        return 0.0
    alone = penalty(aims.misfits(signals)[:, wrong, None])
    moved = np.array([trace.suspect.cost(float(x)) for x in xs])
    return float((penalty(misfits[wrong, None]) - (alone + moved[:, None]).min(axis=0)).max())


def superposed(traces: Sequence[Trace], aims: Aims, start: Array) -> Iterator[Combination]:
    """The best place of each pair of some traces, taken for their sum."""
    tried = [(trace, *trace.course(PLACES)) for trace in traces[:EACH]]
    nothing = np.zeros_like(start)
    for (a, xs, sa), (b, ys, sb) in combinations(tried, 2):
        if set(a.suspect.paths) & set(b.suspect.paths) or not len(xs) or not len(ys):
            continue
        yield _best(a.suspect, b.suspect, (xs, sa), (ys, sb), aims, start, nothing)


def again(
    pair: Combination, traces: dict[str, Trace], aims: Aims, start: Array, signals: Array
) -> Combination:
    """The best place of a pair after a run of it at the present one gave these signals."""
    a, b = traces[pair.one.name], traces[pair.other.name]
    xs, ys = a.course(PLACES), b.course(PLACES)
    i, j = (int(np.argmin(np.abs(x - at))) for (x, _), at in ((xs, pair.x), (ys, pair.y)))
    off = np.nan_to_num(signals - (xs[1][i] + ys[1][j] - start))
    return _best(pair.one, pair.other, xs, ys, aims, start, off)


def _best(
    one: Suspect,
    other: Suspect,
    first: tuple[Array, Array],
    second: tuple[Array, Array],
    aims: Aims,
    start: Array,
    off: Array,
) -> Combination:
    (xs, sa), (ys, sb) = first, second
    both = sa[:, None, :] + sb[None, :, :] - start + off
    moved = np.array([one.cost(float(x)) for x in xs])[:, None] + np.array([other.cost(float(y)) for y in ys])
    cost = penalty(aims.misfits(both)) + moved
    i, j = np.unravel_index(int(np.argmin(cost)), cost.shape)
    return Combination(one, other, float(xs[i]), float(ys[j]), float(cost[i, j]), off)
