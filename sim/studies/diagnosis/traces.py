"""How what was stated bears on one suspect: what each look came to, and what would be found between two looks.

A trace holds the signals of all statements (`Statement.signals`) where a suspect has been looked at, along
its `x`. Between two neighbours they are taken to go straight. What a place costs is what the movement costs
plus, for every signal, half the square of its misfit; past `BEND` deviations only in proportion, so that one
wild reading does not outvote the rest. What all places of a trace say together is its evidence: the chance of what was
stated if this is what is otherwise, over all that it may be (Standing: textbook, the marginal likelihood by a sum).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.studies.diagnosis.suspect import FURTHEST, Suspect
from sim.studies.statements import FAR, Statement

Array = NDArray[np.float64]

A_WORD = 0.2  # steps: nobody mistakes a word that misses by a whole step, five of these
BEND = 5.0  # deviations of a misfit from which it counts only in proportion
FITS = 2.5  # deviations of a misfit within which what was stated still fits
BETWEEN = 16  # places tried between two neighbours
FINE = 64  # places between two neighbours, for the evidence
NEAR = 0.04  # of x: closer than this to a look is no new place
_NORMAL = 0.6745  # median of the size of a standard normal number
_FOURTH = np.array([1.0, -4.0, 6.0, -4.0, 1.0])  # nothing of a smooth cubic is left


class Aims(NamedTuple):
    """Where all signals have to lie, as arrays over the signals, and how sharply."""

    low: Array
    high: Array
    sd: Array

    def misfits(self, signals: Array) -> Array:
        """Signed misfits of signals (..., n), in deviations; `FAR` where there is no answer."""
        out = np.minimum(signals - self.low, 0.0) + np.maximum(signals - self.high, 0.0)
        return np.where(np.isnan(signals), FAR, np.clip(out / self.sd, -1e3, 1e3))

    def blurred(self, blur: Array) -> Aims:
        """With deviations of the signals' own."""
        return self._replace(sd=np.hypot(self.sd, blur))


def aims(statements: Sequence[Statement]) -> Aims:
    """Those of all statements, pull by pull."""
    spans = [s.aim if s.span else s.aim._replace(sd=A_WORD) for s in statements for _ in (s.pulls or (None,))]
    return Aims(*(np.array([span[k] for span in spans]) for k in range(3)))


def penalty(misfits: Array) -> Array:
    """What misfits (..., n) cost together."""
    size = np.abs(misfits)
    return np.asarray(np.where(size <= BEND, 0.5 * size**2, BEND * size - 0.5 * BEND**2).sum(axis=-1))


class Best(NamedTuple):
    """A place on a trace."""

    cost: float
    x: float


@dataclass
class Trace:
    """One suspect and what was found of it; `start` is the design as it stands."""

    suspect: Suspect
    start: Array
    found: dict[float, Array] = field(default_factory=dict)  # x -> signals

    def add(self, x: float, signals: Array) -> None:
        """One more look."""
        self.found[x] = signals

    def looked(self) -> Best | None:
        """The best of the places that were looked at, as `cost` was last computed; None if there is none."""
        return self._looked

    def weighed(self, aims: Aims) -> Best | None:
        """The best place, looked at or between two that were; None if nothing could be built.

        Afterwards `looked` gives the best that was looked at.
        """
        self._looked = self._best(*self._places(), aims)
        return self._best(*self._spread(), aims) if self.suspect.between() else self._looked

    def signals(self, x: float) -> Array:
        """Those at a place that was looked at."""
        return self.found[x]

    def new(self, x: float) -> bool:
        """Whether nobody has looked near `x` yet."""
        return all(abs(x - other) > NEAR for other in self.found)

    _looked: Best | None = None

    def _best(self, xs: Array, signals: Array, aims: Aims) -> Best | None:
        if not len(xs):
            return None
        cost = penalty(aims.misfits(signals)) + np.array([self.suspect.cost(float(x)) for x in xs])
        k = int(np.argmin(cost))
        return Best(float(cost[k]), float(xs[k]))

    def _places(self) -> tuple[Array, Array]:
        xs = sorted(self.found)
        return np.array(xs), np.array([self.found[x] for x in xs]).reshape(len(xs), len(self.start))

    def evidence(self, aims: Aims) -> float:
        """Logarithm of the chance of all that was stated, over everything that the suspect may be; -inf if nothing."""
        if not self.suspect.between():
            xs, signals = self._places()
            weights = np.full(len(xs), self.suspect.mass / max(len(self.suspect.steps), 1))
        else:
            xs, signals = self._spread(FINE)
            widths = np.gradient(xs) if len(xs) > 1 else np.zeros(len(xs))
            weights = widths * np.array([self.suspect.density(float(x)) for x in xs])
        if not len(xs):
            return -math.inf
        logs = np.log(np.maximum(weights, 1e-300)) - penalty(aims.misfits(signals))
        top = float(logs.max())
        return top + math.log(float(np.exp(logs - top).sum()))

    def course(self, places: int) -> tuple[Array, Array]:
        """Places (n,) and the signals (n, signals) there, at most about so many; of a slip its forms and none."""
        if not self.suspect.between():
            return self._places()
        xs, signals = self._spread()
        step = max(1, len(xs) // places)
        return xs[::step], signals[::step]

    def _spread(self, places: int = BETWEEN) -> tuple[Array, Array]:
        """Places between neighbours; a signal without an answer on one side is that of the nearer side."""
        every = {**self.found, 0.0: self.start}
        xs = np.array(sorted(every))
        rows = np.array([every[x] for x in xs.tolist()])
        share = np.linspace(0.0, 1.0, places, endpoint=False)[:, None, None]
        between = rows[:-1] + share * (rows[1:] - rows[:-1])
        nearer = np.where(share < 0.5, rows[:-1], rows[1:])
        between = np.where(np.isnan(between), nearer, between)
        spread = xs[:-1] + share[:, :, 0] * (xs[1:] - xs[:-1])
        flat = between.transpose(1, 0, 2).reshape(-1, rows.shape[1])
        return np.append(spread.T.ravel(), xs[-1]), np.vstack([flat, rows[-1]])


def blur(traces: Sequence[Trace]) -> Array:
    """How far chance throws each signal about: what is left over a smooth course in most of the traces.

    A thrown-about lure answers a little differently to any little change, and no reading of such a figure
    can be held against a suspect more sharply than that. It is the median, over all inputs that move the
    signal at all, of the fourth difference of the grid, over what that difference makes of chance.
    """
    size = len(traces[0].start) if traces else 0
    gain = float(np.linalg.norm(_FOURTH))
    out = np.zeros(size)
    places = (-FURTHEST, -FURTHEST / 2, 0.0, FURTHEST / 2, FURTHEST)
    rows = [
        np.array([trace.start if x == 0.0 else trace.found[x] for x in places])
        for trace in traces
        if all(x == 0.0 or x in trace.found for x in places)
    ]
    if not rows:
        return out
    left = np.abs(np.einsum("k,tkn->tn", _FOURTH, np.array(rows))) / gain / _NORMAL
    for n in range(size):
        moved = left[:, n][np.isfinite(left[:, n]) & (left[:, n] > 0.0)]
        out[n] = float(np.median(moved)) if len(moved) else 0.0
    return out


def told_apart(one: Array, other: Array) -> float:
    """How many deviations of all that was stated lie between two sets of misfits."""
    return float(np.linalg.norm(np.clip(one, -FAR, FAR) - np.clip(other, -FAR, FAR)))
