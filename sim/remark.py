"""What is noticed of a design or of readings, as data: which remark it is, and its facts.

`sim.show.remarks` has the words, and writes amounts in the reader's units.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from sim.units import show


class Amount(NamedTuple):
    """A value (SI) of a dimension of `sim.units`."""

    value: float
    dimension: str


Fact = str | bool | int | float | Amount | tuple["Remark", ...] | None
"""What a remark is told with. Remarks in it are told with it, one after the other."""


@dataclass(frozen=True)
class Remark:
    """Something noticed, by its key in the words of `sim.show.remarks`."""

    key: str
    facts: dict[str, Fact]


def remark(key: str, /, **facts: Fact) -> Remark:
    """A remark with its facts by name."""
    return Remark(key, facts)


class Shown:
    """An amount as a field of words: `{}` to three figures, `{:2}` to two, `{:4g}` without noughts at the end.

    >>> "{0}, {0:2}, {1:4g}".format(Shown(Amount(0.5, "mass"), "us"), Shown(Amount(0.02, "mass"), "metric"))
    '17.6 oz, 18 oz, 20 g'
    """

    def __init__(self, amount: Amount, system: str) -> None:
        self.amount, self.system = amount, system

    def __format__(self, spec: str) -> str:
        figures = int(spec.removesuffix("g") or 3)
        text = show(float(self.amount.value), self.amount.dimension, self.system, figures)
        number, _, unit = text.partition(" ")
        return f"{float(number):.{figures}g} {unit}" if spec.endswith("g") else text
