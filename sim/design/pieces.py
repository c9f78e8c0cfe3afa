"""Readings of small parts, weighed by the dozen or told by a calliper: tables, and words of `measure`."""

from __future__ import annotations

from typing import ClassVar, Literal

from pydantic import Field

from sim.bench import hardware
from sim.bench.uncertainty import ReadingError
from sim.design.materials import LEAD, find
from sim.design.problems import printable
from sim.design.quantities import Mass, Size
from sim.design.readings import Reading, Results
from sim.remark import Amount, Remark, remark
from sim.units import Quantity


class Bulk(Reading):
    """Weight of one of many alike, weighed together."""

    example: ClassVar[str] = 'weight="12.4 g" count=10'
    weight: Mass = Field(description="of all together", examples=["12.4 g"])
    count: int = Field(ge=1, le=10_000, description="how many lay on the scale", examples=[10])

    def results(self) -> Results:
        return {"weight": hardware.each(self.weight, self.count)}


class Estimate(Reading):
    """A fitting or hook that was not weighed: what a calliper or its number tells. Typical; measure yours."""

    example: ClassVar[str] = 'kind=treble wire="0.9 mm" gape="8 mm"'
    kind: Literal["single", "double", "treble", "split ring", "ring", "screw eye", "swivel"] = Field(
        description="what it is", examples=["treble"]
    )
    wire: Size | None = Field(None, description="diameter of its wire", examples=["0.9 mm"])
    gape: Size | None = Field(None, description="of a hook, point to shank", examples=["8 mm"])
    across: Size | None = Field(None, description="outside of a ring or an eye", examples=["6 mm"])
    length: Size | None = Field(None, description="shank of a screw eye", examples=["14 mm"])
    number: str | None = Field(
        None,
        max_length=4,
        description="of a swivel, or size of a hook instead of wire and gape",
        examples=["7"],
    )

    def results(self) -> Results:
        needs = {"split ring": ("wire", "across"), "ring": ("wire", "across"), "swivel": ("number",),
                 "screw eye": ("wire", "across", "length")}.get(self.kind, ("wire", "gape"))  # fmt: skip
        missing = [key for key in needs if getattr(self, key) is None]
        by_size = self.kind in hardware.POINTS and self.number is not None
        if by_size and len(missing) < len(needs):
            raise ReadingError(f"give the size of a {self.kind}, or its wire and gape; not parts of both")
        if missing and not by_size:
            other = ', or its size, as in number = "6"' if self.kind in hardware.POINTS else ""
            raise ReadingError(
                f"a {self.kind} needs {' and '.join(needs)}{other}; {' and '.join(missing)} is missing"
            )
        return {"weight": self._weight()}

    def _weight(self) -> Quantity:
        if self.kind == "swivel":
            return hardware.swivel(self.number or "")
        if self.kind in hardware.POINTS and self.number is not None:
            return hardware.hook_by_size(self.kind, self.number)
        assert self.wire is not None
        if self.kind in hardware.POINTS:
            assert self.gape is not None
            return hardware.hook(self.kind, self.wire, self.gape)
        assert self.across is not None
        if self.kind == "split ring":
            return hardware.split_ring(self.across, self.wire)
        if self.kind == "ring":
            return hardware.solid_ring(self.across, self.wire)
        assert self.length is not None
        return hardware.screw_eye(self.wire, self.length, self.across)

    def remarks(self) -> list[Remark]:
        return [remark("typical")]


class Metal(Reading):
    """A piece of ballast by its sizes: ball, rod, wire wound on, strip of tape or sheet."""

    example: ClassVar[str] = 'kind=rod across="4 mm" length="12 mm" material=lead'
    kind: Literal["ball", "rod", "wrap", "strip"] = Field(description="its form", examples=["ball"])
    across: Size | None = Field(
        None, description="of a ball or rod; of what a wire is wound on", examples=["5 mm"]
    )
    length: Size | None = Field(None, description="of a rod or strip", examples=["12 mm"])
    wire: Size | None = Field(None, description="diameter of a wire wound on", examples=["0.8 mm"])
    turns: int | None = Field(None, ge=1, le=1000, description="of a wire wound on", examples=[12])
    width: Size | None = Field(None, description="of a strip", examples=["6 mm"])
    thickness: Size | None = Field(None, description="of a strip", examples=["0.4 mm"])

    def results(self) -> Results:
        needs = {"ball": ("across",), "rod": ("across", "length"), "wrap": ("wire", "turns", "across"),
                 "strip": ("length", "width", "thickness")}[self.kind]  # fmt: skip
        missing = [key for key in needs if getattr(self, key) is None]
        if missing:
            raise ReadingError(
                f"a {self.kind} needs {' and '.join(needs)}; {' and '.join(missing)} is missing"
            )
        return {"weight": self.weight(LEAD)}

    def weight(self, density: float) -> Quantity:
        """Weight of the piece in a metal of this density (kg/m3)."""
        if self.kind == "ball" and self.across:
            return hardware.ball(self.across, density)
        if self.kind == "rod" and self.across and self.length:
            return hardware.rod(self.across, self.length, density)
        if self.kind == "wrap" and self.wire and self.across and self.turns:
            return hardware.wrap(self.wire, self.turns, self.across, density)
        assert self.length is not None
        assert self.width is not None
        assert self.thickness is not None
        return hardware.strip(self.length, self.width, self.thickness, density)

    @property
    def drill(self) -> float | None:
        """The smallest common drill for a ball or rod, m."""
        return hardware.drill_for(self.across.value) if self.kind in ("ball", "rod") and self.across else None

    @property
    def hole(self) -> float | None:
        """Depth of the hole that takes all of a ball or rod, m."""
        size = self.length if self.kind == "rod" else self.across
        return size.value if self.kind in ("ball", "rod") and size else None


class MetalOf(Metal):
    """A piece of ballast by its sizes: ball, rod, wire wound on, strip of tape or sheet."""

    material: str | None = Field(
        None, description="what it is made of; lead if left out", examples=["tungsten"]
    )

    def results(self) -> Results:
        super().results()
        found = find(self.material or "lead")
        if found is None or found.density <= 0.0:
            raise ReadingError(
                f'there is no such material as "{printable(self.material or "")}"; `drytank materials` '
                f"lists them"
            )
        return {"weight": self.weight(found.density)}

    def remarks(self) -> list[Remark]:
        out = []
        if self.drill is not None and self.hole is not None:
            out.append(remark("drill", drill=Amount(self.drill, "length"), depth=Amount(self.hole, "length")))
        if self.material is None or "lead" in self.material.lower():
            out.append(remark("lead"))
        return out
