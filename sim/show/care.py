"""Cautions in words: what can hurt, and whose rules come first."""

from __future__ import annotations

from collections.abc import Iterable

from sim.trials.cautions import Caution, Hazard

SAYS: dict[Hazard, str] = {
    Hazard.LEAD: "Lead is poisonous: wear gloves, wash your hands before you eat, keep its dust and fumes out of the "
    "house. Some waters forbid it: check the local rules.",
    Hazard.MELTED_LEAD: "If you melt lead: outdoors, face and arms covered, moulds bone dry (one drop of water throws "
    "it out), nobody near. Its data sheet has the last word.",
    Hazard.RESIN: "Resin and hardener: gloves, eye protection, an open window, small batches (they heat up). "
    "The product's data sheet has the last word.",
    Hazard.FOAM: "Two-part foam: it rises hard, so leave it a way out; gloves, eye protection, an open window. Never "
    "cut it hot. See its data sheet.",
    Hazard.TOOLS: "Drilling and sawing: clamp the work, never hold it in the hand; eye protection, no gloves or "
    "sleeves near the drill.",
    Hazard.DUST: "Sanding and filler dust: wear a dust mask, and sand wet where you can. "
    "The product's data sheet says which mask.",
    Hazard.EDGES: "Sheet and wire: cut edges are sharp and cut ends fly. Gloves and eye protection; break the edges "
    "with a file before it is fished.",
    Hazard.PAINT: "Paint and clear coat: spray in moving air, away from flames, with the mask on its data sheet.",
    Hazard.HOOKS: "Hooks: cover the points on the bench, wear eye protection when you test. One in past its barb, or "
    "near an eye, is for a doctor to take out.",
    Hazard.CASTING: "Casting: look behind you, keep people out of line, eye protection. Stop at the first thunder, and "
    "stay well away from power lines.",
    Hazard.RULES: "Before you fish: have the licence, and check the local rules of the water (lures, number and barbs "
    "of hooks, lead, seasons).",
    Hazard.SMALL: "Small loose parts: keep them from children and animals.",
}


def sentences(cautions: Iterable[Caution]) -> list[str]:
    """The cautions as sentences."""
    return [SAYS[one.key] for one in cautions]
