"""Materials and mixes of the maker's own: their densities, by every name that a part may call them."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

from sim.bench.mix import Ingredient, mix_density, shares
from sim.bench.uncertainty import ReadingError, flat, known
from sim.design.materials import HARD_PLASTICS, find
from sim.design.model import Design, Mix, OwnMaterial
from sim.design.problems import Finding, printable
from sim.units import Quantity

Own = Mapping[str, Quantity]  # densities of the design's own materials and mixes, by folded name


def folded(name: str) -> str:
    """A material's name, however it is written."""
    return " ".join(name.lower().replace("_", " ").split())


def own_densities(design: Design, wrong: list[Finding]) -> dict[str, Quantity]:
    """Densities of the design's own materials and mixes by folded name; what tells none goes into `wrong`."""
    out: dict[str, Quantity] = {}
    kinds: tuple[tuple[str, Mapping[str, Any], Callable[[Any], Quantity]], ...] = (
        ("material", design.material, own_density),
        ("mix", design.mix, lambda mix: mix_of(mix, out)),
    )
    for group, parts, density in kinds:
        for name, part in parts.items():
            try:
                out[folded(name)] = density(part)
            except ReadingError as problem:
                wrong.append(Finding((group, name), "", problem.args[0]))
    return out


def own_density(material: OwnMaterial) -> Quantity:
    """Density of a material of the maker's own.

    Raises:
        ReadingError: it tells none, or lightest and heaviest are swapped.
    """
    if material.density is not None:
        return material.density
    if material.immersion is not None:
        return material.immersion.results()["density"]
    if material.cube is not None:
        return material.cube.results()["density"]
    if material.scrap is not None:
        return material.scrap.results()["density"]
    low, high = material.lightest, material.heaviest
    if low is None or high is None:
        raise ReadingError(
            'it has no density; write density = "0.62 g/cm3", or lightest and heaviest, or what a test block '
            'gave: cube = { weight = "4.96 g", length = "20 mm", width = "20 mm", height = "20 mm" }'
        )
    if low.value >= high.value:
        raise ReadingError(f'lightest = "{low.text}" is not less than heaviest = "{high.text}"; swap the two')
    return flat(low.value, high.value, "density", f"{low.text} to {high.text}")


def mix_of(mix: Mix, own: Own | None = None) -> Quantity:
    """Density of a mix: its own as measured, else from its parts, with the +- of theirs.

    Raises:
        ReadingError: a part that is neither parts nor percent, or whose density is not known.
    """
    recipe = recipe_of(mix)
    if mix.density is not None:
        return mix.density
    if mix.cube is not None:
        return mix.cube.results()["density"]
    densities = {part.name: part_density(part.density, part.material, own or {}) for part in mix.parts}
    given = {name: value.value if value is not None else None for name, value in densities.items()}
    parts = [Ingredient(name, share, given[name]) for name, share in recipe.items()]
    density = mix_density(parts)
    # d(1/sum(s/r))/dr = density^2 s / r^2
    spread = [density**2 * p.share / q.value**2 * q.sd for p in parts if (q := densities[p.name]) is not None]
    return known(density, math.hypot(*spread), "density")


def recipe_of(mix: Mix) -> dict[str, float]:
    """Shares of a mix by weight.

    Raises:
        ReadingError: a name twice, or a part that is neither parts nor percent.
    """
    names = [part.name for part in mix.parts]
    if len(set(names)) < len(names):
        raise ReadingError("two parts of the mix have the same name; give each its own")
    for part in mix.parts:
        if (part.parts is None) == (part.percent is None):
            raise ReadingError(
                f"{printable(part.name)}: give either parts, by weight, or percent, of the weight of all "
                f"parts"
            )
    return shares(
        {p.name: p.parts for p in mix.parts if p.parts is not None},
        {p.name: p.percent for p in mix.parts if p.percent is not None},
    )


def part_density(density: Quantity | None, material: str | None, own: Own) -> Quantity | None:
    if density is not None or material is None:
        return density
    if folded(material) in own:
        return own[folded(material)]
    found = find(material)
    if found is None:
        raise ReadingError(
            f'there is no material "{printable(material)}" in the list; give the part its density instead'
        )
    return Quantity(found.density, 0.0, "density", material)


def range_of(material: str | None, own: Own) -> tuple[tuple[float, float], str]:
    """Lightest and heaviest (kg/m3) that a thing of this material may be, and how to call that."""
    if material is None:
        return HARD_PLASTICS, "a hard plastic"
    told = own.get(folded(material))
    if told is not None:
        half = math.sqrt(3.0) if told.flat else 3.0
        return (told.value - half * told.sd, told.value + half * told.sd), printable(material)
    found = find(material)
    if found is None:
        return HARD_PLASTICS, "a hard plastic"  # the unknown name is told of elsewhere
    return (found.low, found.high), printable(material)
