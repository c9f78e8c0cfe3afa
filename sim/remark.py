"""Sentences whose amounts are told in the reader's units: a remark keeps its amounts apart from its words.

As text a remark is its sentence in metric units, which is what JSON holds; `told` writes it in others.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, NamedTuple

from pydantic_core import core_schema

from sim.units import show


class Amount(NamedTuple):
    """A value (SI) of a dimension of `sim.units`, and to how many figures it is told."""

    value: float
    dimension: str
    digits: int = 3


class Remark(str):
    """Words with `{}` where an amount, or other words, stand.

    >>> odd = Remark("hook.{} weighs {}; check the unit", "tail", Amount(0.5, "mass"))
    >>> odd, odd.told("us")
    ('hook.tail weighs 500 g; check the unit', 'hook.tail weighs 17.6 oz; check the unit')
    """

    words: str
    parts: tuple[str | Amount, ...]

    def __new__(cls, words: str, *parts: str | Amount) -> Remark:
        """words: of this program, without other braces; what a maker wrote stands in `parts`."""
        new = super().__new__(cls, words.format(*_written(parts, "metric")))
        new.words, new.parts = words, parts
        return new

    def __getnewargs__(self) -> tuple[Any, ...]:
        return self.words, *self.parts

    def told(self, system: str) -> str:
        """The sentence; system: of the units, metric or us."""
        return self.words.format(*_written(self.parts, system))

    @classmethod
    def joined(cls, between: str, remarks: Iterable[str]) -> Remark:
        """Several as one, what is empty left out."""
        kept = [one for one in remarks if one]
        return cls(between.join(["{}"] * len(kept)), *kept)

    @classmethod
    def __get_pydantic_core_schema__(cls, source: Any, handler: Any) -> core_schema.CoreSchema:
        return core_schema.json_or_python_schema(
            json_schema=core_schema.str_schema(),
            python_schema=core_schema.no_info_plain_validator_function(
                lambda value: value if isinstance(value, cls) else cls("{}", str(value))
            ),
            serialization=core_schema.plain_serializer_function_ser_schema(str.__str__),
        )


def told(sentence: str, system: str) -> str:
    """A remark in units of a system; any other sentence as it is."""
    return sentence.told(system) if isinstance(sentence, Remark) else sentence


def _written(parts: Iterable[str | Amount], system: str) -> Iterable[str]:
    return (
        show(float(part.value), part.dimension, system, part.digits)
        if isinstance(part, Amount)
        else told(part, system)
        for part in parts
    )
