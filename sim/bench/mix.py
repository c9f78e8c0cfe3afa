"""Mixing by weight: the density of a mix, amounts that the scale can show and that add up, and mixing again
after too much of one part went in.

Amounts are counted in steps of the scale, so that the rounded parts add up to the rounded whole exactly.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from sim.bench.uncertainty import ReadingError
from sim.remark import Amount

OFF_RATIO = 0.05
"""Share by which a rounded amount may miss its recipe before it is worth saying; judgement: most two-part
resins set well within 5 % of their ratio, some need 2 %. The data sheet has the last word."""

LOOSE_PACKING = 0.6
"""Share of a heap of spheres that is sphere, poured loosely (random packing 0.56 to 0.64; from memory)."""


@dataclass(frozen=True)
class Ingredient:
    """One part of a recipe: its share of the whole by weight, and its true density (kg/m3) if known."""

    name: str
    share: float
    density: float | None = None


@dataclass(frozen=True)
class Portion:
    """One part as it is to be weighed."""

    name: str
    weight: Decimal  # g, a whole number of the scale's steps
    exact: float  # g, before rounding
    poured: bool = False  # it is in the cup already

    @property
    def off(self) -> float:
        """Share by which rounding misses the recipe; negative is too little."""
        return float(self.weight) / self.exact - 1.0 if self.exact > 0.0 else 0.0


def shares(parts: Mapping[str, float], percents: Mapping[str, float] | None = None) -> dict[str, float]:
    """Shares of the whole by weight, adding up to 1.

    Args:
        parts: amounts by weight of the resin's own parts, in any unit.
        percents: fillers as a percentage of the weight of all `parts` together.

    Raises:
        ReadingError: no parts, or an amount that is not above zero.

    >>> {k: round(v, 4) for k, v in shares({"resin": 1, "hardener": 1}, {"spheres": 10}).items()}
    {'resin': 0.4545, 'hardener': 0.4545, 'spheres': 0.0909}
    """
    if not parts:
        raise ReadingError("a mix needs at least one part by weight, as in resin=1")
    for name, amount in (*parts.items(), *(percents or {}).items()):
        if not (amount > 0.0 and math.isfinite(amount)):
            raise ReadingError(
                f"{name} = {amount:g} must be more than zero; leave the part out, or correct it"
            )
    base = math.fsum(parts.values())
    weights = dict(parts) | {name: base * p / 100.0 for name, p in (percents or {}).items()}
    total = math.fsum(weights.values())
    return {name: weight / total for name, weight in weights.items()}


def mix_density(parts: Sequence[Ingredient]) -> float:
    """Density of a mix without air in it, kg/m3: 1 / sum(share / density). Volumes add (closed form).

    Raises:
        ReadingError: a part without a density.
    """
    for part in parts:
        if part.density is None:
            raise ReadingError(
                f"the density of {part.name} is not known, so the mix's cannot be worked out; write it "
                f"behind "
                f"an @, as in {part.name}=1@1.1g/cm3, or weigh a test cube and give the mix a density of "
                f"its own"
            )
        if part.density <= 0.0:
            raise ReadingError(f"the density of {part.name} must be more than zero")
    return 1.0 / math.fsum(p.share / p.density for p in parts if p.density is not None)


def by_volume(volumes: Mapping[str, float], densities: Mapping[str, float]) -> dict[str, float]:
    """Shares by weight of parts given by volume.

    Spheres count by their true density, which leaves out the air between them: a cup of loose spheres holds
    only about `LOOSE_PACKING` of its volume in spheres.
    """
    weights = {name: volume * densities[name] for name, volume in volumes.items()}
    return shares(weights)


def needed(volume: float, density: float, bodies: int = 1, waste: float = 0.0) -> float:
    """Weight of mix for so many bodies, kg.

    Args:
        volume: of one cavity (m3). density: of the mix as it sets (kg/m3).
        waste: share that stays in the cup and in the sprue.

    Raises:
        ReadingError: no bodies, or an impossible waste.
    """
    if bodies < 1:
        raise ReadingError("there must be at least one body to fill")
    if not 0.0 <= waste <= 2.0:
        raise ReadingError(f"a waste of {100 * waste:g} % is not between 0 and 200 %; 10 % is common")
    return bodies * volume * density * (1.0 + waste)


def amounts(recipe: Mapping[str, float], total: float, step: Decimal) -> list[Portion]:
    """Weights of all parts (g) for `total` g of mix, in steps of the scale; they add up to it exactly.

    The total is rounded up to a step; what rounding leaves goes to the parts that lost most (largest
    remainders), so that no part is off by a whole step.

    Raises:
        ReadingError: so little that a part would not move the scale.
    """
    if step <= 0:
        raise ReadingError("the scale's step must be more than zero, as in 0.1 g")
    steps = math.ceil(total / float(step) - 1e-9)
    exact = {name: share * steps for name, share in recipe.items()}
    counted = {name: math.floor(value + 1e-12) for name, value in exact.items()}
    left = steps - sum(counted.values())
    for name in sorted(exact, key=lambda n: counted[n] - exact[n])[:left]:
        counted[name] += 1
    none = [name for name, count in counted.items() if count == 0]
    if none:
        smallest = min(recipe.values())
        raise ReadingError(
            "of {part} there would be only {there:2g}, less than the scale's {step:6g} shows; mix at least {least:3g} "
            "in all, or use a finer scale",
            part=none[0],
            there=Amount(1e-3 * exact[none[0]] * float(step), "mass"),
            step=Amount(1e-3 * float(step), "mass"),
            least=Amount(1e-3 * float(step) / smallest, "mass"),
        )
    return [Portion(name, counted[name] * step, exact[name] * float(step)) for name in recipe]


def again(
    recipe: Mapping[str, float], poured: Mapping[str, Decimal], total: float, step: Decimal
) -> list[Portion]:
    """Weights (g) after some parts went in already, perhaps too much of them: the others follow.

    The mix grows until no part is above its share; parts that are in the cup with less than they then need
    are topped up. If nothing is over-poured, the total stays as it was.

    Args:
        poured: g of what is in the cup, by part.
        total: g of mix that was planned.

    Raises:
        ReadingError: a part that the recipe does not have, or a negative weight.
    """
    for name, weight in poured.items():
        if name not in recipe:
            raise ReadingError(f"there is no part {name!r} in this mix; its parts are {', '.join(recipe)}")
        if weight < 0:
            raise ReadingError(f"{name}: what is in the cup cannot weigh less than nothing; write its weight")
    if step <= 0:
        raise ReadingError("the scale's step must be more than zero, as in 0.1 g")
    whole = max([total, *(float(weight) / recipe[name] for name, weight in poured.items())])
    out = []
    for name, share in recipe.items():
        exact = share * whole
        there = poured.get(name)
        if there is None:
            out.append(Portion(name, round(exact / float(step)) * step, exact))
        else:
            more = max(0, round((exact - float(there)) / float(step)))
            out.append(Portion(name, there + more * step, exact, poured=True))
    return out


def too_much(
    recipe: Mapping[str, float], total: float, step: Decimal, over: Mapping[str, Decimal]
) -> dict[str, Decimal]:
    """What is in the cup (g) of parts that were poured too much by so many grams.

    Raises:
        ReadingError: a part that the recipe does not have.
    """
    planned = {one.name: one.weight for one in amounts(recipe, total, step)}
    for name in over:
        if name not in planned:
            raise ReadingError(f"there is no part {name!r} in this mix; its parts are {', '.join(recipe)}")
    return {name: planned[name] + more for name, more in over.items()}


def sum_of(parts: Sequence[Portion]) -> Decimal:
    """The whole, g: exactly the sum of its parts."""
    return sum((part.weight for part in parts), Decimal(0))


def foam_weight(volume: float, liquid: float, rise: float, packing: float = 1.0) -> tuple[float, float]:
    """Weight of liquid that foams up to fill a cavity (kg), and the foam's density (kg/m3).

    Args:
        volume: of the cavity (m3). liquid: density of the unfoamed mix (kg/m3).
        rise: how many times its volume it becomes when free to rise.
        packing: more than 1 pours in more than just fills it, which makes the foam denser and its skin firm.

    Raises:
        ReadingError: a foam that does not rise, or packing below 1 or above what the liquid fills.
    """
    if rise <= 1.0:
        raise ReadingError(
            f"a rise of {rise:g} means that it does not foam; the packet tells it, often 3 to 25"
        )
    if not 1.0 <= packing <= rise:
        raise ReadingError(f"packing must lie between 1 and the rise, {rise:g}; 1.1 to 1.3 is common")
    density = liquid / rise * packing
    return volume * density, density
