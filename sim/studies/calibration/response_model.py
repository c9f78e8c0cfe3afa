"""How the readings of a log answer to what is unknown: runs, side by side, and slopes by differences.

A run is a little rough: a lure that tumbles in the air, or flutters, lands elsewhere when anything changes by a hair.
So the roughness of each reading is measured first, by runs to both sides in random directions; it sets the step of the
differences and shrinks slopes that may be nothing but it. Near the best point the slopes are mended by draws of what
is known (`lessons.lines`); how far each draw is off the line through all other runs counts as doubt of the reading.
A reading that the model throws about by more than four times its own doubt is left out, and said so, unless repeats of
it agree: then the lure itself is not thrown about, and it is used with the doubt that the model has of it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from sim.design.model import Design
from sim.motion.solve import RTOL
from sim.studies.calibration.fit_parameters import FitParameter
from sim.studies.calibration.observations import Observation, ObservedRun, units_of
from sim.studies.calibration.ridge import mend
from sim.studies.engine import run_cases
from sim.studies.statements import FAR, Span
from sim.trials.results import Behaviour, DropMotion

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

PAIRS = 2  # of runs to either side, to see how rough a reading is
ASIDE = 0.25  # deviations of every unknown at once, for these
STEP, LONG_STEP = 0.5, 1.5  # deviations, of a difference; the long one where the reading is rough
SMOOTH = 0.05  # roughness in the reading's own deviations, up to which the short step will do
THROWN = 4.0  # roughness above which a reading says next to nothing and is left out
FAINT = 0.1  # slope in the readings' deviations that is not looked at a second time
SEED = 1  # of the directions
STEADY = (DropMotion.STRAIGHT.value, DropMotion.GLIDE.value, DropMotion.HANGS.value)
"""Ways to fall that go over into each other by degrees; any other is a motion of its own."""
_ASKEW = (Behaviour.OFF_SIDE.value, Behaviour.SPIRALS.value)


@dataclass
class ResponseModel:
    """The lures of a calibration and where their runs are run; what was run once is remembered."""

    texts: Sequence[str]
    designs: Sequence[Design]
    knobs: Sequence[FitParameter]
    readings: Sequence[Observation]
    executor: Executor | None = None
    workers: int = 1
    rtol: float = RTOL
    runs: int = 0
    on_run: Any = None  # called once for each run that is done
    rough: Floats = field(default_factory=lambda: np.zeros(0))  # of each reading, in its own deviations
    least: Floats = field(default_factory=lambda: np.zeros(0))  # by chance alone
    askew: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, dtype=bool))
    mute: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, dtype=bool))  # hardly ever an answer
    _rows: dict[tuple[ObservedRun, tuple[tuple[int, float], ...]], dict[str, Any]] = field(
        default_factory=dict
    )

    _first: dict[tuple[int, ObservedRun], float] = field(
        default_factory=dict
    )  # size of the slopes found first
    _before: Floats = field(default_factory=lambda: np.zeros(0))
    bare: Floats = field(default_factory=lambda: np.zeros(0))  # the slopes found first, chance and all

    def __post_init__(self) -> None:
        self.units = units_of(self.readings)
        self.feels: dict[ObservedRun, list[int]] = {}
        for unit in self.units:
            self.felt(unit)
        if not len(self.rough):
            self.rough = np.zeros(len(self.readings))
        self.least = np.zeros(len(self.readings))
        self.askew = np.zeros(len(self.readings), dtype=bool)
        self.mute = np.zeros(len(self.readings), dtype=bool)
        self.agree = np.array([bool(reading.repeats_agree) for reading in self.readings])

    def felt(self, unit: ObservedRun) -> list[int]:
        """Unknowns that a run can feel; also of a run that nothing was read of."""
        if unit not in self.feels:
            design = self.designs[unit.lure]
            self.feels[unit] = [k for k, knob in enumerate(self.knobs) if knob.felt_by(unit, design)]
        return self.feels[unit]

    def rows(self, wanted: Iterable[tuple[ObservedRun, Floats]]) -> list[dict[str, Any]]:
        """The row of each (unit, point), run where it is not known yet. A run that failed has an empty row."""
        places = [(unit, self._place(unit, z)) for unit, z in wanted]
        missing = [one for one in dict.fromkeys(places) if one not in self._rows]
        cases = [
            unit.case(n, self._changes(unit, place), self.rtol) for n, (unit, place) in enumerate(missing)
        ]
        answers: dict[int, dict[str, Any]] = {}
        for outcome in run_cases(self.texts, cases, self.executor, self.workers):
            answers[outcome.case.number] = dict(outcome.answer)
            self.runs += 1
            if self.on_run:
                self.on_run()
        # kept in the order of asking: sums over all runs must not hang on which worker was first
        self._rows |= {one: answers[n] for n, one in enumerate(missing)}
        return [self._rows[one] for one in places]

    def signals(self, points: Sequence[Floats]) -> Floats:
        """Signals of all readings (points, readings), NaN where there is none."""
        rows = iter(self.rows([(unit, z) for z in points for unit in self.units]))
        out = np.full((len(points), len(self.readings)), math.nan)
        for p in range(len(points)):
            out[p] = self._signals({unit: next(rows) for unit in self.units})
        return out

    def _signals(self, rows: Mapping[ObservedRun, Mapping[str, Any]]) -> list[float]:
        """Signals of all readings; NaN of a unit in another motion than was seen, which tells nothing of this one."""
        another = {
            reading.unit
            for reading in self.readings
            if reading.unit in rows and _in_another_motion(reading, rows[reading.unit])
        }
        return [
            reading.signal(rows[reading.unit])
            if reading.unit in rows and reading.unit not in another
            else math.nan
            for reading in self.readings
        ]

    def _place(self, unit: ObservedRun, z: Floats) -> tuple[tuple[int, float], ...]:
        """What of a point a unit feels."""
        return tuple((k, float(z[k])) for k in self.feels[unit] if z[k])

    def _changes(self, unit: ObservedRun, place: Sequence[tuple[int, float]]) -> dict[str, Any]:
        changes: dict[str, Any] = {}
        for k, z in place:
            changes |= self.knobs[k].changes(unit.lure, z)
        return changes

    # ---- in the readings' own deviations ----------------------------------------------------------------

    def sharpness(self) -> Floats:
        """The deviation that each reading is given: its own, and its roughness."""
        return np.asarray(self.own() * np.sqrt(1.0 + self.rough**2))

    def own(self) -> Floats:
        """The deviation that each reading came with."""
        return np.array([reading.aim.sd for reading in self.readings])

    def used(self) -> NDArray[np.bool_]:
        """Readings that the model repeats well enough, and that speak of a straight lure."""
        return np.asarray(((self.rough <= THROWN) | self.agree) & ~self.askew & ~self.mute)

    def scaled(self, slopes: Floats) -> Floats:
        """Slopes in the deviations of the readings, those left out flat."""
        return np.asarray(np.where(self.used()[:, None], slopes / self.sharpness()[:, None], 0.0))

    def misfits(self, signals: Floats, sharp: Floats | None = None) -> Floats:
        """Misfit of each reading, in its sharpness if no deviations are given; 0 for those left out."""
        sds = self.sharpness() if sharp is None else sharp
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
        own = self.own()
        heard = np.sum(~np.isnan(bent), axis=0)
        rough = np.sqrt(np.nansum(bent**2, axis=0) / np.maximum(6.0 * heard, 1.0)) / own
        if not self.askew.any():
            self.askew = np.array([_goes_askew(r, s) for r, s in zip(self.readings, about[0], strict=True)])
        words = np.array([not reading.measured for reading in self.readings])
        clear = self.clear(about)  # a word that holds by far in all of them is not in doubt
        self.rough = np.where(words & clear, 0.0, rough)
        self.least = np.where(words, 0.0, self.rough)

    def lines(
        self, best: Floats, slopes: Floats, draws: Floats, turned: Sequence[int]
    ) -> tuple[Floats, Floats]:
        """Straight lines through all runs so far, and how far the readings are from them over what is known.

        A difference of a rough reading is half chance, so its slopes are mended by the `draws` (points, knobs) of what
        is known, as far as that predicts each draw from the others better. What is still off counts as roughness
        from then on. Where the lure goes over into another behaviour, that is far.

        Returns:
            By how much the lines go by the value at `best` (readings), and the slopes.
        """
        there = self.signals(list(draws))
        off = there - (self.signals([best])[0] + (draws - best) @ slopes.T)
        own = self.own()
        middle, rough, slopes = np.zeros(len(own)), np.zeros(len(own)), slopes.copy()
        self.mute = np.zeros(len(own), dtype=bool)
        for n, reading in enumerate(self.readings):
            heard = ~np.isnan(off[:, n])
            if 2 * heard.sum() <= len(draws):  # no answer: with so few it is not known how rough it is
                rough[n], self.mute[n] = FAR, True
                continue
            columns = [k for k in turned if k in self.feels[reading.unit]]
            if reading.measured and columns:
                points, values = self._ran(n, draws)
                rest = values - self.signals([best])[0, n] - (points - best) @ slopes[n]
                mended = mend(
                    (draws - best)[heard][:, columns], off[heard, n], (points - best)[:, columns], rest
                )
                slopes[n, columns] += mended.slopes
                middle[n], rough[n] = mended.middle, mended.off / own[n]
            else:
                middle[n] = off[heard, n].mean()
                rough[n] = off[heard, n].std(ddof=1) / own[n]
        words = np.array([not reading.measured for reading in self.readings])
        self.rough = np.where(words & self.clear(there), 0.0, np.maximum(rough, self.least))
        return middle, slopes

    def _ran(self, n: int, but: Floats) -> tuple[Floats, Floats]:
        """Points (runs, knobs) at which a reading was run, but for some, and its signals there."""
        reading, points, values = self.readings[n], [], []
        known = {self._place(reading.unit, z) for z in but}
        for (unit, place), row in self._rows.items():
            mine = unit == reading.unit and place not in known
            value = self._signals({unit: row})[n] if mine else math.nan
            if not math.isnan(value):
                points.append(np.zeros(len(self.knobs)))
                points[-1][[k for k, _ in place]] = [z for _, z in place]
                values.append(value)
        return np.array(points).reshape(-1, len(self.knobs)), np.array(values)

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
        wanted: list[tuple[ObservedRun, Floats]] = []
        steps: list[tuple[int, ObservedRun, float]] = []
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
        answers = self.rows(wanted)
        by: dict[tuple[int, ObservedRun], list[tuple[float, Mapping[str, Any]]]] = {}
        for (k, unit, step), row in zip(steps, answers, strict=True):
            by.setdefault((k, unit), []).append((step, row))
        out = self._before.copy() if not first else np.zeros((len(self.readings), len(self.knobs)))
        bare = np.zeros_like(out)
        for (k, unit), ends in by.items():
            signals = [(step, self._signals({unit: row})) for step, row in ends]
            for n, reading in enumerate(self.readings):
                if reading.unit == unit:
                    rise, run = _rise(here[n], [(step, found[n]) for step, found in signals])
                    out[n, k], bare[n, k] = self._beyond_chance(n, rise) / run, rise / run
            if first:
                mine = [n for n, reading in enumerate(self.readings) if reading.unit == unit]
                self._first[k, unit] = float(np.linalg.norm(out[mine, k] / self.sharpness()[mine]))
        if first:
            self._before, self.bare = out.copy(), bare
        return out

    def forget(self) -> None:
        """Take no slope as known any more: the lure may move in another way now."""
        self._first.clear()

    def _beyond_chance(self, n: int, rise: float) -> float:
        """A rise less what may be nothing but the roughness of the reading."""
        chance = math.sqrt(2.0) * float(self.rough[n]) * self.readings[n].aim.sd
        return max(0.0, 1.0 - (chance / rise) ** 2) * rise if rise else 0.0

    def _steps(self, unit: ObservedRun) -> tuple[float, ...]:
        rough = max(r for r, reading in zip(self.rough, self.readings, strict=True) if reading.unit == unit)
        return (-LONG_STEP, LONG_STEP) if rough > SMOOTH else (STEP,)

    def _counts(self, unit: ObservedRun) -> bool:
        used = self.used()
        return any(u for u, reading in zip(used, self.readings, strict=True) if reading.unit == unit)


def _rise(here: float, ends: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """Rise and run of a difference; no rise where there is no answer."""
    known = [(step, value) for step, value in ends if not math.isnan(value)]
    if math.isnan(here) or not known:
        return 0.0, 1.0
    if len(known) == 2:
        return known[1][1] - known[0][1], known[1][0] - known[0][0]
    return known[0][1] - here, known[0][0]


def _in_another_motion(reading: Observation, row: Mapping[str, Any]) -> bool:
    """Whether a lure fell in another way than was seen, not only by degrees."""
    statement, found = reading.statement, reading.found(row)
    if statement.figure != "drop.motion" or statement.negated or found in (None, statement.word):
        return False
    return not (found in STEADY and statement.word in STEADY)


def _goes_askew(reading: Observation, signal: float) -> bool:
    """It went off to a side, which the lure as drawn does not: one that is a little crooked does."""
    statement = reading.statement
    return statement.word in _ASKEW and not statement.negated and signal < 0.0
