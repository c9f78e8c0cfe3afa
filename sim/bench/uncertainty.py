"""Uncertainty: of one reading from its last digit, of a result from its readings.

Law of propagation for independent inputs, first order, by central differences; a reading without a `+-`
counts as rounded to its last digit, which is a flat interval with a standard deviation of digit / sqrt(12).
Source: JCGM 100:2008, Guide to the expression of uncertainty in measurement, 5.1.2, 4.3.7 and F.2.2.1.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace

from sim.message import WordedError
from sim.units import Quantity, UnitError, parse, show

FLAT = math.sqrt(12.0)  # width of a flat interval over its standard deviation

# a number that is not the tail of a unit such as cm3, and its fraction
_LITERAL = re.compile(r"(?<![A-Za-z^/.,\d])(\d+)(?:[.,](\d+))?(?:\s*/\s*(\d+))?")


class ReadingError(WordedError):
    """Readings that cannot be right; the message is one sentence with a way out."""


def digit(quantity: Quantity) -> float:
    """The step of the last written digit, SI: 0.0001 kg for "22.1 g"; 0 if unknown.

    A fraction names a size, it is not rounded to its denominator: of an inch 1/32 (so 1/64 either way), of any
    other unit a quarter of its smallest part. Judgement.

    >>> round(digit(parse("22.1 g", "mass")), 9), round(digit(parse("15 mL", "volume")), 12)
    (0.0001, 1e-06)
    """
    text = quantity.text.split("+-")[0].split("±")[0]
    found = list(_LITERAL.finditer(text))
    if not found:
        return 0.0
    last = found[-1]
    whole, decimals, bottom = last.groups()
    try:
        if bottom is not None:
            least = 32 if quantity.dimension == "length" else 4 * int(bottom)
            return parse(f"1 {text[last.end() :]}", quantity.dimension).value / least if least else 0.0
        places = len(decimals or "")
        more = f"{(int(whole + (decimals or '')) + 1) / 10**places:.{places}f}"
        here = parse(text, quantity.dimension).value
        return abs(parse(text[: last.start()] + more + text[last.end() :], quantity.dimension).value - here)
    except UnitError:
        return 0.0


def rounded(quantity: Quantity) -> Quantity:
    """The reading with the doubt of its last digit where it states none."""
    if quantity.sd > 0.0:
        return quantity
    return replace(quantity, sd=digit(quantity) / FLAT)


def propagate(
    law: Callable[..., float], dimension: str, *readings: Quantity, text: str | None = None
) -> Quantity:
    """`law` of the readings' values, with the deviation that theirs give it. SI.

    Args:
        law: takes one float for each reading; may raise ReadingError.
        text: how to write the result; its value and deviation if left out.
    """
    used = [rounded(r) for r in readings]
    values = [r.value for r in used]
    value = law(*values)
    effects = []
    for k, reading in enumerate(used):
        if reading.sd <= 0.0:
            continue
        step = 1e-3 * reading.sd  # small, so that no law is pushed out of its range
        low, high = list(values), list(values)
        low[k] -= step
        high[k] += step
        try:
            effects.append((law(*high) - law(*low)) / 2e-3)
        except ReadingError:  # a thousandth of its doubt makes it impossible: nothing is known
            effects.append(value)
    return known(value, math.hypot(*effects), dimension, text)


def known(value: float, sd: float, dimension: str, text: str | None = None) -> Quantity:
    """A result with a text of its own, such as "15.13 mL +- 0.04 mL"."""
    written = show(value, dimension, digits=4)
    if sd > 0.0:
        unit = written.split(" ", 1)[1]
        scale = parse(f"1 {unit}", dimension).value
        if dimension == "temperature":
            scale = 1.0
        places = max(0, 1 - math.floor(math.log10(sd / scale)))
        written = f"{value / scale:.{places}f} +- {sd / scale:.{places}f} {unit}"
    return Quantity(value, sd, dimension, written if text is None else text)


def flat(low: float, high: float, dimension: str, text: str) -> Quantity:
    """A value of which only its two ends are known: the middle, with the deviation of a flat interval."""
    return Quantity(0.5 * (low + high), (high - low) / FLAT, dimension, text, flat=True)


def mean(readings: list[Quantity]) -> Quantity:
    """The mean of repeated readings of one thing.

    Its deviation is the larger of what the single readings' doubt gives and of their scatter over sqrt(n)
    (JCGM 100:2008, 4.2.3).
    """
    if not readings:
        raise ReadingError("there is nothing to take the mean of; give at least one reading")
    used = [rounded(r) for r in readings]
    n = len(used)
    middle = math.fsum(r.value for r in used) / n
    stated = math.sqrt(math.fsum(r.sd**2 for r in used)) / n
    scatter = 0.0
    if n > 1:
        scatter = math.sqrt(math.fsum((r.value - middle) ** 2 for r in used) / (n - 1) / n)
    return known(middle, max(stated, scatter), used[0].dimension)


def weighted(readings: list[Quantity]) -> Quantity:
    """The best value from several measurements of one thing, each counted by its own doubt.

    Inverse-variance weights. Where they scatter more than they admit, the deviation grows by the Birge ratio
    (Birge 1932, Phys. Rev. 40, 207). Readings without any doubt count alike.
    """
    if any(r.sd <= 0.0 for r in readings):
        return mean(readings)
    if len(readings) == 1:
        return readings[0]
    weights = [r.sd**-2 for r in readings]
    total = math.fsum(weights)
    middle = math.fsum(w * r.value for w, r in zip(weights, readings, strict=True)) / total
    chi2 = math.fsum(w * (r.value - middle) ** 2 for w, r in zip(weights, readings, strict=True))
    birge = max(1.0, math.sqrt(chi2 / (len(readings) - 1)))
    return known(middle, birge / math.sqrt(total), readings[0].dimension)
