"""What the mixing bench answers, as data with units in the names."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from sim.bench import mix
from sim.bench.mix import OFF_RATIO, Ingredient
from sim.remark import Amount, Remark, remark


@dataclass(frozen=True)
class PartAnswer:
    """One part of a mix as it is to be weighed."""

    name: str
    weight_g: float  # in the cup at the end
    exact_g: float  # before rounding to the scale
    off_percent: float  # by which rounding, or over-pouring, misses the recipe
    poured_g: float  # in the cup already
    add_g: float  # still to pour in


@dataclass(frozen=True)
class MixAnswer:
    """A mix weighed out."""

    total_g: float  # exactly the sum of the parts' weights
    needed_g: float  # for the bodies and the waste
    density_kg_m3: float | None
    density_from: str  # measured, computed, unknown
    fills_ml: float | None  # what the total fills as it sets
    parts: tuple[PartAnswer, ...]
    warnings: tuple[Remark, ...]


def mixed(
    recipe: Mapping[str, float],
    wanted_g: float,
    step: Decimal,
    density: float | None,
    density_from: str,
    poured: Mapping[str, Decimal] | None = None,
) -> MixAnswer:
    """Weigh out `wanted_g` of a recipe (shares by weight), or go on from what is in the cup already."""
    there = dict(poured or {})
    weighed = mix.again(recipe, there, wanted_g, step) if there else mix.amounts(recipe, wanted_g, step)
    total = mix.sum_of(weighed)
    return MixAnswer(
        total_g=float(total),
        needed_g=wanted_g,
        density_kg_m3=density,
        density_from=density_from,
        fills_ml=None if density is None else float(total) / density * 1e3,
        parts=tuple(_part(a, there.get(a.name, Decimal(0))) for a in weighed),
        warnings=tuple(_warnings(weighed, float(total), wanted_g)),
    )


def _part(amount: mix.Portion, poured: Decimal) -> PartAnswer:
    return PartAnswer(
        amount.name,
        float(amount.weight),
        amount.exact,
        100.0 * amount.off,
        float(poured),
        float(amount.weight - poured),
    )


def _warnings(weighed: Sequence[mix.Portion], total: float, wanted: float) -> list[Remark]:
    out = [
        remark("off_share", part=a.name, percent=abs(100 * a.off), over=a.off > 0)
        for a in weighed
        if abs(a.off) > OFF_RATIO
    ]
    if total > 1.02 * wanted and any(a.poured for a in weighed):
        grown, more = (Amount(1e-3 * grams, "mass") for grams in (total, total - wanted))
        out.append(remark("mix_grows", total=grown, more=more))
    return out


def density_of(recipe: Mapping[str, float], densities: Mapping[str, float | None]) -> float | None:
    """Density of a mix from its parts (kg/m3), or None if a part's is not known."""
    if any(densities.get(name) is None for name in recipe):
        return None
    return mix.mix_density([Ingredient(name, share, densities[name]) for name, share in recipe.items()])
