"""How the readings of a log answer to what is unknown: runs, side by side, and slopes by differences.

A run is a little rough: a lure that tumbles in the air, or flutters, lands elsewhere when anything changes by a hair.
So the roughness of each reading is measured first, by runs to both sides in random directions; it counts as doubt
of the reading, sets the step of the differences, and shrinks slopes that may be nothing but it. A reading that the
model throws about by more than its own doubt is left out, and said so.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from sim.design.model import Design
from sim.studies.engine import run_cases
from sim.studies.knobs import Knob
from sim.studies.logged import Reading, Unit, units_of
from sim.studies.looks import ROUGH
from sim.studies.statements import FAR, Span
from sim.trials.results import Behaviour

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

PAIRS = 2  # of runs to either side, to see how rough a reading is
ASIDE = 0.25  # deviations of every unknown at once, for these
STEP, LONG_STEP = 0.5, 1.5  # deviations, of a difference; the long one where the reading is rough
SMOOTH = 0.05  # roughness in the reading's own deviations, up to which the short step will do
THROWN = 2.0  # roughness above which a reading says next to nothing and is left out
FAINT = 0.1  # slope in the readings' deviations that is not looked at a second time
SEED = 1  # of the directions
_ASKEW = (Behaviour.OFF_SIDE.value, Behaviour.SPIRALS.value)


@dataclass
class Tank:
    """The lures of a calibration and where their runs are run; what was run once is remembered."""

    texts: Sequence[str]
    designs: Sequence[Design]
    knobs: Sequence[Knob]
    readings: Sequence[Reading]
    executor: Executor | None = None
    workers: int = 1
    rtol: float = ROUGH
    runs: int = 0
    told: Any = None  # called once for each run that is done
    rough: Floats = field(default_factory=lambda: np.zeros(0))  # of each reading, in its own deviations
    askew: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, dtype=bool))
    _rows: dict[tuple[Unit, tuple[tuple[int, float], ...]], dict[str, Any]] = field(default_factory=dict)

    _first: dict[tuple[int, Unit], float] = field(default_factory=dict)  # size of the slopes found first
    _before: Floats = field(default_factory=lambda: np.zeros(0))

    def __post_init__(self) -> None:
        self.units = units_of(self.readings)
        self.feels = {
            unit: [k for k, knob in enumerate(self.knobs) if knob.felt_by(unit, self.designs[unit.lure])]
            for unit in self.units
        }
        if not len(self.rough):
            self.rough = np.zeros(len(self.readings))
        self.askew = np.zeros(len(self.readings), dtype=bool)

    def rows(self, wanted: Iterable[tuple[Unit, Floats]]) -> list[dict[str, Any]]:
        """The row of each (unit, point), run where it is not known yet. A run that failed has an empty row."""
        asked = [(unit, self._place(unit, z)) for unit, z in wanted]
        missing = [one for one in dict.fromkeys(asked) if one not in self._rows]
        cases = [
            unit.case(n, self._changes(unit, place), self.rtol) for n, (unit, place) in enumerate(missing)
        ]
        for outcome in run_cases(self.texts, cases, self.executor, self.workers):
            self._rows[missing[outcome.case.number]] = dict(outcome.answer)
            self.runs += 1
            if self.told:
                self.told()
        return [self._rows[one] for one in asked]

    def signals(self, points: Sequence[Floats]) -> Floats:
        """Signals of all readings (points, readings), NaN where there is none."""
        rows = iter(self.rows([(unit, z) for z in points for unit in self.units]))
        out = np.full((len(points), len(self.readings)), math.nan)
        for p in range(len(points)):
            found = {unit: next(rows) for unit in self.units}
            out[p] = [reading.signal(found[reading.unit]) for reading in self.readings]
        return out

    def _place(self, unit: Unit, z: Floats) -> tuple[tuple[int, float], ...]:
        """What of a point a unit feels."""
        return tuple((k, float(z[k])) for k in self.feels[unit] if z[k])

    def _changes(self, unit: Unit, place: Sequence[tuple[int, float]]) -> dict[str, Any]:
        changes: dict[str, Any] = {}
        for k, z in place:
            changes |= self.knobs[k].changes(unit.lure, z)
        return changes

    # ---- in the readings' own deviations ----------------------------------------------------------------

    def sharpness(self) -> Floats:
        """The deviation that each reading is given: its own, and its roughness."""
        own = np.array([reading.aim.sd for reading in self.readings])
        return np.asarray(own * np.sqrt(1.0 + self.rough**2))

    def used(self) -> NDArray[np.bool_]:
        """Readings that the model repeats well enough, and that speak of a straight lure."""
        return np.asarray((self.rough <= THROWN) & ~self.askew)

    def scaled(self, slopes: Floats) -> Floats:
        """Slopes in the deviations of the readings, those left out flat."""
        return np.asarray(np.where(self.used()[:, None], slopes / self.sharpness()[:, None], 0.0))

    def misfits(self, signals: Floats) -> Floats:
        """Misfit of each reading, 0 for those left out."""
        sds = self.sharpness()
        off = [
            FAR if math.isnan(s) else Span(reading.aim.low, reading.aim.high, float(sd)).misfit(float(s))
            for reading, s, sd in zip(self.readings, signals, sds, strict=True)
        ]
        return np.where(self.used(), np.array(off), 0.0)

    def weigh(self, z: Floats, pairs: int = PAIRS) -> None:
        """Measure how rough each reading is about a point."""
        rng = np.random.default_rng(SEED)
        aside = [ASIDE * rng.choice((-1.0, 1.0), len(self.knobs)) for _ in range(pairs)]
        about = self.signals([z, *(z + d for d in aside), *(z - d for d in aside)])
        bent = about[1 : 1 + pairs] + about[1 + pairs :] - 2.0 * about[0]
        own = np.array([reading.aim.sd for reading in self.readings])
        lost = np.isnan(bent)
        rough = np.sqrt(np.mean(np.where(lost, (FAR * own) ** 2, bent**2), axis=0) / 6.0) / own
        if not self.askew.any():
            self.askew = np.array([_goes_askew(r, s) for r, s in zip(self.readings, about[0], strict=True)])
        words = np.array([not reading.measured for reading in self.readings])
        clear = self.clear(about)  # a word that holds by far in all of them is not in doubt
        self.rough = np.where(words & clear, 0.0, rough)

    def bent(self, best: Floats, slopes: Floats, draws: Floats) -> Floats:
        """Measure how far the readings are from straight lines about a point, over draws of what is known there.

        Where the lure goes over into another motion, that is far. It counts as roughness from then on; the mean of it
        (readings), by which the lines should be moved, comes back.
        """
        there = self.signals(list(draws))
        off = there - (self.signals([best])[0] + (draws - best) @ slopes.T)
        own = np.array([reading.aim.sd for reading in self.readings])
        lost = np.isnan(off)
        middle = np.where(lost.all(axis=0), 0.0, np.nanmean(np.where(lost.all(axis=0), 0.0, off), axis=0))
        far = np.sqrt(np.mean(np.where(lost, (FAR * own) ** 2, (off - middle) ** 2), axis=0)) / own
        words = np.array([not reading.measured for reading in self.readings])
        far *= math.sqrt(len(draws) / (len(draws) - 1.0))
        # few draws tell little of a wild reading, so the greater of both looks counts
        self.rough = np.where(words & self.clear(there), 0.0, np.maximum(far, self.rough))
        return np.asarray(middle)

    def clear(self, signals: Floats) -> NDArray[np.bool_]:
        """Which ranges and words are kept by more than their step at all of some points (points, readings)."""
        out = []
        for k, reading in enumerate(self.readings):
            span, mine = reading.aim, signals[:, k]
            inside = np.minimum(mine - span.low, span.high - mine)
            out.append(bool(np.all(inside > span.sd)))  # NaN is not
        return np.array(out)

    def slopes(self, z: Floats, among: Sequence[int]) -> Floats:
        """Slopes of the signals (readings, knobs), in each reading's own unit, at a point; 0 if not `among`."""
        here = self.signals([z])[0]
        first = not self._first
        wanted: list[tuple[Unit, Floats]] = []
        steps: list[tuple[int, Unit, float]] = []
        for k in among:
            for unit in self.units:
                if k not in self.feels[unit] or not self.knobs[k].turned_in(unit) or not self._counts(unit):
                    continue
                if not first and self._first.get((k, unit), 1.0) < FAINT:
                    continue
                for step in self._steps(unit):
                    there = z.copy()
                    there[k] += step
                    wanted.append((unit, there))
                    steps.append((k, unit, step))
        found = self.rows(wanted)
        by: dict[tuple[int, Unit], list[tuple[float, Mapping[str, Any]]]] = {}
        for (k, unit, step), row in zip(steps, found, strict=True):
            by.setdefault((k, unit), []).append((step, row))
        out = self._before.copy() if not first else np.zeros((len(self.readings), len(self.knobs)))
        for (k, unit), ends in by.items():
            for n, reading in enumerate(self.readings):
                if reading.unit == unit:
                    out[n, k] = self._slope(n, here[n], [(step, reading.signal(row)) for step, row in ends])
            if first:
                mine = [n for n, reading in enumerate(self.readings) if reading.unit == unit]
                self._first[k, unit] = float(np.linalg.norm(out[mine, k] / self.sharpness()[mine]))
        if first:
            self._before = out.copy()
        return out

    def _slope(self, n: int, here: float, ends: Sequence[tuple[float, float]]) -> float:
        known = [(step, value) for step, value in ends if not math.isnan(value)]
        if math.isnan(here) or not known:
            return 0.0
        if len(known) == 2:
            rise, run = known[1][1] - known[0][1], known[1][0] - known[0][0]
        else:
            rise, run = known[0][1] - here, known[0][0]
        chance = math.sqrt(2.0) * float(self.rough[n]) * self.readings[n].aim.sd
        return max(0.0, 1.0 - (chance / rise) ** 2) * rise / run if rise else 0.0

    def _steps(self, unit: Unit) -> tuple[float, ...]:
        rough = max(r for r, reading in zip(self.rough, self.readings, strict=True) if reading.unit == unit)
        return (-LONG_STEP, LONG_STEP) if rough > SMOOTH else (STEP,)

    def _counts(self, unit: Unit) -> bool:
        used = self.used()
        return any(u for u, reading in zip(used, self.readings, strict=True) if reading.unit == unit)


def _goes_askew(reading: Reading, signal: float) -> bool:
    """It went off to a side, which the lure as drawn does not: one that is a little crooked does."""
    statement = reading.statement
    return statement.word in _ASKEW and not statement.negated and signal < 0.0
