"""A reading of a log in words and units: its figure, what was measured, what the model says."""

from __future__ import annotations

import math
from collections.abc import Sequence

from sim.design.problems import DesignProblem, shown
from sim.show import values
from sim.show.layout import clean
from sim.show.units import NO_BREAK, Units
from sim.studies.calibration.gross_errors import PACE, Slip
from sim.trials.results import METRICS


def named(figure: str) -> str:
    """The metric in a word or two."""
    metric = METRICS.get(figure)
    if metric is None or metric.word:
        return metric.noun if metric else figure
    return metric.head.replace("\n", " ").lower()


def where(tie_on: str | None, speed: float | None, units: Units) -> str:
    """The pull, or nothing."""
    if tie_on is None or speed is None:
        return ""
    return f"{clean(tie_on)} {units.number('speed', speed)}"


def number(figure: str, value: float | None, units: Units) -> str:
    """A value without its unit, one place finer than a table has it, but for what is sharp enough there."""
    scale = METRICS[figure].unit.scale
    return values.number(figure, value, units, more=0 if scale and scale not in ("size", "speed") else 1)


def unit(figure: str, units: Units) -> str:
    """Unit of a metric."""
    return values.unit(figure, units)


def stated(
    figure: str, word: str | None, low: float | None, high: float | None, sd: float | None, units: Units
) -> str:
    """What was measured, with its unit: `4.20 +- 0.20 m`, `at least 25 m`, or the word."""
    if word is not None:
        return clean(word)
    end = f" {unit(figure, units)}".rstrip()
    if low is not None and low == high:
        return f"{number(figure, low, units)} +- {_doubt(figure, sd, units)}{end}"
    if low is not None and high is not None:
        return f"{number(figure, low, units)}..{number(figure, high, units)}{end}"
    if low is not None:
        return f"at least {number(figure, low, units)}{end}"
    return f"at most {number(figure, high, units)}{end}"


def _doubt(figure: str, sd: float | None, units: Units) -> str:
    """A deviation, never as nought."""
    shown = number(figure, sd, units)
    if not sd or float(shown):
        return shown
    plain = values.scaled(figure, sd, units)
    return f"{plain:.{-math.floor(math.log10(plain))}f}"


def off(misfit: float, fits: bool) -> str:
    """How far off, in deviations; `?` where there is no answer."""
    if math.isinf(misfit):
        return "?"
    if fits and abs(misfit) < 1e-9:
        return "fits"
    return f"{misfit:+.1f}" if abs(misfit) < 100.0 else f"{misfit:+.0f}"


def slips(every: Sequence[Slip], units: Units) -> list[str]:
    """Values that are far from all the design says, each with its place; the last says what to do about it."""
    out = [_slip(one, units) for one in every]
    way = 'If it did, put it right in the log, or strike it out with a line struck_out = "why" in that [[test]].'
    return [*out[:-1], f"{out[-1]} {way}"] if out else []


def _slip(one: Slip, units: Units) -> str:
    if one.figure == PACE:
        seen, says = (units.text("speed", pace).replace(NO_BREAK, " ") for pace in (one.seen, one.design))
        seen = f"the line at {seen}"
    else:
        end = f" {unit(one.figure, units)}"
        seen, says = (number(one.figure, abs(value), units) + end for value in (one.seen, one.design))
    message = f"{seen}, {_share(one.times)} the {says} of the design; did the unit or the decimal point slip?"
    return clean(str(DesignProblem(one.file, one.line, f"test.{one.test}.said", shown(one.said), message)))


def _share(times: float) -> str:
    """`9.9 times`, `1/10 of`."""
    large = max(times, 1.0 / times)
    stated = f"{large:.0f}" if large >= 10.0 else f"{large:.1f}"
    return f"{stated} times" if times > 1.0 else f"1/{stated} of"
