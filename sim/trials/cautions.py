"""What can hurt in the making and fishing of one design, and whose rules to follow."""

from __future__ import annotations

from collections.abc import Iterator

from sim.design.model import Design

_LEAD = {"lead", "solder"}
_RESIN = {"epoxy", "polyurethane", "polyester", "resin", "silicone"}
_FILLER = {"microsphere", "foam"}
_WOOD = {
    "balsa", "basswood", "beech", "birch", "cedar", "cork", "fir", "larch", "maple", "pine", "poplar",
    "redcedar", "spruce", "wood", "yellow-poplar",
}  # fmt: skip
_LEAD_LOW, _LEAD_HIGH = 10500.0, 11800.0  # kg/m3, pure and hardened lead with some slack

LEAD = (
    "Lead is poisonous: wear gloves, wash your hands before you eat, keep its dust and fumes out of the "
    "house. Some waters forbid it: check the local rules."
)
RESIN = (
    "Resin and hardener: gloves, eye protection, an open window, small batches (they heat up). "
    "The product's data sheet has the last word."
)
DUST = (
    "Sanding and filler dust: wear a dust mask, and sand wet where you can. "
    "The product's data sheet says which mask."
)
PAINT = "Paint and clear coat: spray in moving air, away from flames, with the mask on its data sheet."
HOOKS = (
    "Hooks: cover the points on the bench, wear eye protection when you test, and check whether the water "
    "asks for barbless."
)
CAST = (
    "Casting: look behind you, keep people out of line, wear eye protection, and stay well away from power "
    "lines. Follow the rules of the water."
)
SMALL = "Small loose parts: keep them from children and animals."


def cautions(design: Design) -> list[str]:
    """The cautions that apply to what `design` contains, the gravest first."""
    words = set(_words(design))
    holds = {
        LEAD: _has_lead(design, words),
        RESIN: bool(words & _RESIN),
        DUST: bool(words & (_FILLER | _WOOD | _RESIN)),
        PAINT: design.paint is not None,
        HOOKS: bool(design.hook),
        CAST: True,
        SMALL: bool(design.hook or design.fitting or design.ballast or design.rattle),
    }
    return [caution for caution, applies in holds.items() if applies]


def _words(design: Design) -> Iterator[str]:
    """Every word of every material named in the design."""
    groups = (design.body, design.plate, design.wire, design.hook, design.fitting, design.ballast)
    for group in groups:
        for part in group.values():
            for name in (part.material, getattr(part, "fill", None)):
                yield from (name or "").lower().replace("_", " ").split()
    for mix in design.mix.values():
        yield "resin"
        for stirred in mix.parts:
            yield from f"{stirred.name} {stirred.material or ''}".lower().replace("_", " ").split()
            if stirred.percent is not None:
                yield "microsphere"


def _has_lead(design: Design, words: set[str]) -> bool:
    """Ballast is lead unless it says otherwise, by name or by a density that lead cannot have."""
    unnamed = [weight.density for weight in design.ballast.values() if weight.material is None]
    return bool(words & _LEAD) or any(
        density is None or _LEAD_LOW <= density.value <= _LEAD_HIGH for density in unnamed
    )
