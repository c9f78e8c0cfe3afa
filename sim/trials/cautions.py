"""What can hurt in the making and fishing of one design, as keys; the sentences are `sim.show.care`'s."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from enum import StrEnum

from pydantic import Field

from sim.bench.uncertainty import ReadingError
from sim.design.expand import expanded
from sim.design.model import Design
from sim.trials.records import SENTENCE, Result


class Hazard(StrEnum):
    """What can hurt, the gravest first."""

    LEAD = "lead"
    MELTED_LEAD = "melted lead"
    RESIN = "resin"
    FOAM = "foam"
    TOOLS = "drill and saw"
    DUST = "dust"
    EDGES = "sharp edges"
    PAINT = "paint"
    HOOKS = "hooks"
    CASTING = "casting"
    RULES = "local rules"
    SMALL = "small parts"


class Caution(Result):
    """One thing to take care of."""

    key: Hazard = Field(description="what can hurt")
    sentence: str = SENTENCE


AT_THE_WATER = (Hazard.HOOKS, Hazard.CASTING, Hazard.RULES)
MIXING = (Hazard.RESIN, Hazard.DUST)
FOAMING = (Hazard.RESIN, Hazard.FOAM, Hazard.DUST)

_LEAD = {"lead", "solder"}
_RESIN = {"epoxy", "polyurethane", "polyester", "resin", "silicone"}
_FOAM = {"foam"}
_LEAD_LOW, _LEAD_HIGH = 10500.0, 11800.0  # kg/m3, pure and hardened lead with some slack


def cautions(design: Design) -> list[Caution]:
    """The cautions that apply to what `design` contains, the gravest first."""
    words = set(_words(design))
    holds = {
        Hazard.LEAD: has_lead(design),
        Hazard.RESIN: bool(words & _RESIN),
        Hazard.FOAM: bool(words & _FOAM),
        Hazard.DUST: bool(design.body or design.plate),
        Hazard.PAINT: design.paint is not None,
        Hazard.HOOKS: bool(design.hook),
        Hazard.CASTING: True,
        Hazard.RULES: True,
        Hazard.SMALL: bool(design.hook or design.fitting or design.ballast or design.rattle),
    }
    return told(hazard for hazard, applies in holds.items() if applies)


def in_the_workshop(design: Design) -> list[Caution]:
    """Those of the making: with the tools, the melting and the edges, and without the water."""
    every = [one.key for one in cautions(design) if one.key not in (Hazard.CASTING, Hazard.RULES)]
    making = {
        Hazard.MELTED_LEAD: Hazard.LEAD in every,
        Hazard.TOOLS: bool(design.body or design.plate),
        Hazard.EDGES: bool(design.plate or design.wire),
    }
    return told([*every, *(hazard for hazard, applies in making.items() if applies)])


def told(hazards: Iterable[Hazard]) -> list[Caution]:
    """Cautions of these, each once, the gravest first."""
    wanted = set(hazards)
    return [Caution(key=hazard) for hazard in Hazard if hazard in wanted]


def has_lead(design: Design) -> bool:
    """Whether anything in it is lead: by its name, by a density that only lead has, or ballast that says nothing."""
    try:
        full = expanded(design)
    except ReadingError:
        full = design
    groups = (full.body, full.plate, full.wire, full.hook, full.fitting, full.ballast, full.assembly)
    parts = [part for group in groups for part in group.values()]
    dense = (part.density for part in parts if part.density is not None)
    plain = any(one.material is None and one.density is None for one in full.ballast.values())
    return plain or bool(set(_words(full)) & _LEAD) or any(_LEAD_LOW <= d.value <= _LEAD_HIGH for d in dense)


def _words(design: Design) -> Iterator[str]:
    """Every word of every material named in the design."""
    groups = (
        design.body, design.assembly, design.plate, design.wire, design.hook, design.fitting, design.ballast,
        design.rattle,
    )  # fmt: skip
    for group in groups:
        for part in group.values():
            for name in (part.material, getattr(part, "fill", None)):
                yield from (name or "").lower().replace("_", " ").split()
    for mix in design.mix.values():
        yield "resin"
        for stirred in mix.parts:
            yield from f"{stirred.name} {stirred.material or ''}".lower().replace("_", " ").split()
