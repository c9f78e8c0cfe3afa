"""What all results of trials have in common, and the small records that several of them hold.

Values of inputs are SI, as a design holds them: temperatures in degrees Celsius, salinities in g/kg. `sentence` is
empty until `sim.show.worded` fills it for JSON.
"""

from __future__ import annotations

from html import escape
from typing import Any

from pydantic import BaseModel, ConfigDict, Field


class Result(BaseModel):
    """What all results have in common: they are data, and show themselves in short."""

    model_config = ConfigDict(frozen=True, populate_by_name=True, defer_build=True)

    def record(self) -> dict[str, Any]:
        """Its plain values by key, for a row of a data frame; words in a list are joined, tables left out."""
        row = {}
        for key in type(self).model_fields:
            value = getattr(self, key)
            if isinstance(value, list) and value and all(isinstance(item, str) for item in value):
                value = "; ".join(map(str, value))
            if value is None or isinstance(value, str | int | float):
                row[key] = str(value) if isinstance(value, str) else value
        return row

    def __repr__(self) -> str:
        row = self.record()
        stated = row.get("sentence") or ", ".join(
            f"{key}={value:.4g}" if isinstance(value, float) else f"{key}={value}"
            for key, value in list(row.items())[:6]
        )
        return f"<{type(self).__name__}: {stated}>"

    def _repr_html_(self) -> str:
        """A table for a notebook."""
        rows = "".join(
            f"<tr><td>{escape(key)}</td><td>{escape(str(value))}</td>"
            f"<td>{escape(type(self).model_fields[key].description or '')}</td></tr>"
            for key, value in self.record().items()
        )
        return f"<table><caption>{escape(type(self).__name__)}</caption>{rows}</table>"


SENTENCE = Field("", description="the same in words")


class TurningValue(Result):
    """A value of one input at which the verdict turns, all else as it is."""

    path: str = Field(description="key of the input")
    value_si: float = Field(description="where it turns, SI; temperature C, salinity g/kg")
    dimension: str = Field(description="mass, density, salinity or temperature")
    wall: bool = Field(False, description="of a density: it is that of the wall of a hollow body")
    material: str | None = Field(None, description="of a density: the material that the file names")
    sentence: str = SENTENCE


class Settling(Result):
    """The measurement that would take most of the doubt out of an uncertain verdict."""

    path: str = Field(description="key of the input to measure")
    dimension: str = Field(description="its dimension")
    share: float = Field(description="of the variance of the margin that this input causes")
    sd_si: float = Field(description="its standard deviation, SI; temperature C")
    between_si: tuple[float, float] | None = Field(description="its ends, where only these are known")
    turns_at_si: float | None = Field(description="value at which the verdict turns; null if it is far away")
    floats_above: bool = Field(description="whether the lure floats above that value, or below it")
    sentence: str = SENTENCE


class OtherRest(Result):
    """Another attitude in which it can stay."""

    pitch_deg: float = Field(description="nose up positive")
    roll_deg: float = Field(description="right side down positive")
    lower: float = Field(
        description="how much lower its balance point then is against the lift, over the lure's size; positive is "
        "more settled there"
    )
    sentence: str = SENTENCE


class TubCheck(Result):
    """The attitude read in a tub, held against the answer."""

    pitch_deg: float = Field(description="as it was read, nose up positive")
    off_deg: float | None = Field(
        description="the answer less the reading; null if the answer is that it sinks"
    )
    agrees: bool = Field(description="within what reading and tub are sure to")
    sentence: str = SENTENCE


class OutOfRange(Result):
    """A law that a run used outside the range that it was measured over."""

    law: str = Field(description="what the law is for")
    below: float = Field(description="share of the time that the flow was slower, 0 to 1")
    above: float = Field(description="share of the time that it was faster")
    sentence: str = SENTENCE


class Conflict(Result):
    """Readings of one body that cannot all be true, and the one that settles it."""

    body: str = Field(description="its name in the design; of several measured as one, `assembly.NAME`")
    keys: list[str] = Field(description="what excludes each other: weight, cavity, wall, displaced, sizes")
    hollow: bool = Field(description="whether what they leave is a wall")
    density_kg_m3: float = Field(description="density that they leave for it")
    too_dense: bool = Field(description="denser than lead (a wall) or any metal; else lighter than foam")
    settled_by: str = Field(description="key of the reading that settles it")
    sentence: str = SENTENCE
