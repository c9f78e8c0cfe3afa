"""What the tests of a log teach: coefficients of the model and the thrower, fitted to them with their errors.

The unknowns (`lessons.knobs`) are deviations `z` from the design as drawn and the model as it comes. The best point
is where the squared misfits of the readings and the squared deviations together are least; what is known there is
prior and readings put together (`lessons.posterior`). Bench inputs are unknowns too, so that a lure that is a
little heavier than its file is not taken for a fault of the model; only what was asked for is reported.

What is then reported of each coefficient, `sim.studies.calibration.findings` says.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from sim.design.edit import edited
from sim.design.model import Design
from sim.studies.calibration.findings import taught
from sim.studies.calibration.fit_parameters import THROWER, FitParameter, fit_parameters, stripped
from sim.studies.calibration.fitted import CalibrationResult
from sim.studies.calibration.observations import Observation, Struck
from sim.studies.calibration.posterior import Learnt, LinearModel, combined, surprise
from sim.studies.calibration.response_model import ResponseModel
from sim.studies.calibration.write_back import measured_before, whole_changes

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

FELT = 0.15  # slope of all readings together, in their deviations, below which an unknown is not turned
FARTHEST = 4.0  # prior deviations
FINE, MOST_STEPS = 0.02, 8  # of the search
DRAWN, ROUNDS = 12, 2  # points of what is known at which the straight lines are tried, and how often
MENDED = 10  # times that the mean of what is known is put right by what the runs say there
STARTS, SEED = 24, 1  # points tried where the search ended badly
NEAR = 1.0  # prior deviations in which slopes are not found again


@dataclass(frozen=True)
class Given:
    """The lures of a calibration: text and design of each, the readings of all their logs, and what is struck out."""

    texts: Sequence[str]
    designs: Sequence[Design]
    readings: Sequence[Observation]
    struck: Sequence[Struck] = ()


def calibrate(
    given: Given,
    wanted: Sequence[str] | None = None,
    executor: Executor | None = None,
    workers: int = 1,
    on_run: Callable[[], None] | None = None,
) -> CalibrationResult:
    """Fit what is wanted to the readings.

    Args:
        wanted: names of coefficients, or `cast.speed`; left out: all coefficients, and the thrower if there are
            casts.
        executor, workers: where the runs are run, as `run_cases` takes them.
        on_run: called after each run.
    """
    designs = [stripped(design) for design in given.designs]
    every = fit_parameters(designs)
    texts = [_stripped_text(*three) for three in zip(given.texts, given.designs, designs, strict=True)]
    response = ResponseModel(texts, designs, every, given.readings, executor, workers, on_run=on_run)
    names = _wanted(given, every, wanted)
    nothing = np.zeros(len(every))
    response.weigh(nothing)
    first = response.slopes(nothing, range(len(every)))
    felt, touched = _felt(response, first, nothing), _felt(response, response.bare, nothing)
    turned = _worth_turning(felt)
    best, slopes = _search(response, turned, nothing, first)
    if (
        turned and _disagree(response, best) > 1.0
    ):  # perhaps it swims in another way altogether: begin elsewhere
        turned, best, slopes = _again(response, turned, best, slopes)
    learnt = _learnt(response, turned, best, slopes)
    return taught(given.designs, given.struck, response, names, learnt, felt, touched)


def _stripped_text(text: str, original: Design, design: Design) -> str:
    """The file without its calibration, thrower and whole lure as they were."""
    changes: dict[str, Any] = {"calibration": None}
    if "cast_speed_before" in text:
        changes[THROWER] = design.cast.speed.text
    if "measured_before" in text:
        changes |= whole_changes(original, measured_before(original))
    return edited(text, changes)


def _wanted(given: Given, every: Sequence[FitParameter], wanted: Sequence[str] | None) -> list[str]:
    if wanted is not None:
        return list(wanted)
    casts = any(reading.unit.part == "cast" for reading in given.readings)
    return [knob.name for knob in every if knob.coefficient] + ([THROWER] if casts else [])


# ---- the search ---------------------------------------------------------------------------------------


def _felt(response: ResponseModel, slopes: Floats, at: Floats) -> Floats:
    """How far a deviation of each unknown moves all readings together; words and ranges if their edge is in reach."""
    scaled = response.scaled(slopes)
    signals = response.signals([at])[0]
    for n, reading in enumerate(response.readings):
        if not reading.measured and not math.isnan(signals[n]):
            inside = min(signals[n] - reading.aim.low, reading.aim.high - signals[n]) / reading.aim.sd
            if inside > 3.0 * float(np.linalg.norm(scaled[n])):
                scaled[n] = 0.0
    return np.asarray(np.linalg.norm(scaled, axis=0))


def _worth_turning(felt: Floats) -> list[int]:
    return [int(k) for k in np.flatnonzero(felt > FELT)]


def _elsewhere(response: ResponseModel, turned: Sequence[int]) -> Floats:
    """The best of some points drawn from the prior."""
    rng = np.random.default_rng(SEED)
    points = np.zeros((STARTS, len(response.knobs)))
    points[:, list(turned)] = rng.standard_normal((STARTS, len(turned)))
    off = [
        float(np.sum(response.misfits(signals) ** 2) + z @ z)
        for z, signals in zip(points, response.signals(list(points)), strict=True)
    ]
    return np.asarray(points[int(np.argmin(off))])


def _search(
    response: ResponseModel, turned: Sequence[int], start: Floats, first: Floats
) -> tuple[Floats, Floats]:
    """The point of least misfit from a start, and the slopes there. `first`: the slopes at the start."""
    from scipy.optimize import least_squares

    whole = np.zeros(len(response.knobs))
    if not turned:
        return whole, first
    last = [(start[list(turned)], first)]

    def spread(z: Floats) -> Floats:
        out = np.zeros(len(response.knobs))
        out[list(turned)] = z
        return out

    def misfits(z: Floats) -> Floats:
        return np.concatenate([response.misfits(response.signals([spread(z)])[0]), z])

    def slopes_at(z: Floats) -> Floats:
        """A slope over half a deviation is good for as much around it."""
        for at, known in last:
            if float(np.max(np.abs(z - at))) <= NEAR:
                return known
        last.append((z.copy(), response.slopes(spread(z), turned)))
        return last[-1][1]

    def jacobian(z: Floats) -> Floats:
        off = response.misfits(response.signals([spread(z)])[0])
        scaled = response.scaled(slopes_at(z))[:, list(turned)]
        measured = np.array([reading.measured for reading in response.readings])
        live = np.where(measured | (off != 0.0), 1.0, 0.0)
        return np.vstack([scaled * live[:, None], np.eye(len(turned))])

    found = least_squares(
        misfits, start[list(turned)], jac=jacobian, bounds=(-FARTHEST, FARTHEST),
        xtol=FINE, ftol=1e-3, gtol=1e-3, max_nfev=MOST_STEPS,
    )  # fmt: skip
    return spread(found.x), slopes_at(found.x)


def _again(
    response: ResponseModel, turned: list[int], best: Floats, slopes: Floats
) -> tuple[list[int], Floats, Floats]:
    """The better of one search and another from elsewhere, where other unknowns may be felt: (turned, best, slopes)."""
    before, rough, least = _disagree(response, best), response.rough, response.least
    start = _elsewhere(response, turned)
    response.weigh(start)
    response.forget()
    first = response.slopes(start, range(len(response.knobs)))
    felt = sorted({*turned, *_worth_turning(_felt(response, first, start))})
    other, slopes_there = _search(response, felt, start, first)
    if _disagree(response, other) < before:
        return felt, other, slopes_there
    response.rough, response.least = rough, least
    return turned, best, slopes


def _learnt(response: ResponseModel, turned: list[int], best: Floats, slopes: Floats) -> Learnt:
    """What is known about the best point, first by the differences there, then by lines through what is known."""
    found = _known(response, best, slopes, turned, np.zeros(len(response.readings)))
    if not turned:
        return found
    rng = np.random.default_rng(SEED)
    draws = np.zeros((0, len(response.knobs)))
    for _ in range(ROUNDS):
        known = found.known
        more = rng.standard_normal(
            (DRAWN, len(response.knobs))
        )  # what is not turned is in doubt all the same
        more[:, turned] = rng.multivariate_normal(known.mean, known.cov, DRAWN, method="eigh")
        draws = np.vstack([draws, np.clip(more, -FARTHEST, FARTHEST)])
        middle, lines = response.lines(best, slopes, draws, turned)
        found = _known(response, best, lines, turned, middle)
    return _put_right(response, found)


def _put_right(response: ResponseModel, found: Learnt) -> Learnt:
    """The mean moved to where the runs themselves, not the lines, meet prior and readings best (Gauss-Newton, damped).

    Repeats that agree are met by their own doubt there: that the model is rough about them is no doubt of theirs.
    """
    sharp = np.where(response.agree, response.own(), response.sharpness())
    best, least, share = found, _squares(response, found.mean, sharp), 1.0
    for _ in range(MENDED):
        here, heard = best.known.mean, best.heard
        signals = response.signals([best.mean])[0][heard]
        there = LinearModel(here, signals, best.lines.slopes, best.lines.aims, sharp[heard])
        step = combined(there, here).mean - here
        moved = replace(best, known=replace(best.known, mean=here + share * step))
        squares = _squares(response, moved.mean, sharp)
        if squares < least:
            best, least = moved, squares  # a step that was too long here is too long there
        else:
            share *= 0.5
    return best


def _squares(response: ResponseModel, point: Floats, sharp: Floats) -> float:
    """Squared misfits, by these deviations of the readings, and squared deviations at a point."""
    off = response.misfits(response.signals([point])[0], sharp)
    return float(np.sum(off**2) + np.sum(point**2))


def _disagree(response: ResponseModel, best: Floats) -> float:
    """By how much all readings would have to be wider; 1 if they agree."""
    return surprise(*_misfit(response, best))


def _misfit(response: ResponseModel, best: Floats) -> tuple[float, int]:
    """Squared misfits and deviations at a point, and how many readings have a say there."""
    used, off = response.used(), response.misfits(response.signals([best])[0])
    count = sum(
        bool(use and (reading.measured or miss))
        for reading, use, miss in zip(response.readings, used, off, strict=True)
    )
    return float(np.sum(off**2) + np.sum(best**2)), count


def _known(
    response: ResponseModel, best: Floats, slopes: Floats, turned: list[int], middle: Floats
) -> Learnt:
    """What is known of the unknowns that were turned, and the misfit at the best point."""
    signals = response.signals([best])[0] + middle
    heard = response.used() & ~np.isnan(signals)
    aims = [reading.aim for reading, use in zip(response.readings, heard, strict=True) if use]
    lines = LinearModel(
        best[turned], signals[heard], slopes[heard][:, turned], aims, response.sharpness()[heard]
    )
    chi_square, count = _misfit(response, best)
    known = combined(lines, best[turned], surprise(chi_square, count))
    return Learnt(known, turned, slopes, lines, [int(n) for n in np.flatnonzero(heard)], chi_square)
