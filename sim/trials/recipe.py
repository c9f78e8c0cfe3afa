"""What is mixed for a lure: from the parts that are named, or from the mix that fills a body of its design."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from sim.bench import mix
from sim.bench.answers import density_of
from sim.bench.uncertainty import ReadingError
from sim.design.assembly import alike
from sim.design.expand import expanded, with_rattles
from sim.design.model import Design
from sim.design.own import Mix, folded, mix_of, own_density, recipe_of
from sim.lure.rows import room_to_fill
from sim.lure.weigh import weigh

WASTE = 10.0  # percent that stays in the cup; judgement


class RecipePart(NamedTuple):
    """One part of a mix: its amount, by weight or as a percentage of all parts, and its density (kg/m3) if known."""

    name: str
    amount: float
    percent: bool
    density: float | None


class Recipe(NamedTuple):
    """Shares by weight, the density of the mix (kg/m3) and where it comes from: measured, computed, unknown."""

    shares: dict[str, float]
    density: float | None
    density_from: str

    def measured(self, density: float) -> Recipe:
        """The same mix, its density (kg/m3) measured on a test block."""
        return Recipe(self.shares, density, "measured")

    def foamed(self, liquid: float | None, rise: float, packing: float) -> Recipe:
        """The same mix after it has foamed.

        Args:
            liquid: density before it foams, kg/m3.
            rise, packing: times its volume when free to rise, and times more than just fills the cavity.

        Raises:
            ReadingError: the density of the liquid is not known.
        """
        if liquid is None:
            raise ReadingError(
                "--rise needs the density of the liquid before it foams; write it behind each part, as in "
                "a=1@1.1g/cm3 b=1@1.2g/cm3"
            )
        return Recipe(self.shares, mix.foam_weight(1.0, liquid, rise, packing)[1], "computed")


def of_parts(parts: Sequence[RecipePart], by_volume: bool = False) -> Recipe:
    """The recipe of parts that are named one by one.

    Raises:
        ReadingError: parts of one name, or without the densities that volumes need.
    """
    if len({part.name for part in parts}) < len(parts):
        raise ReadingError("two parts have the same name; give each its own")
    known = {part.name: part.density for part in parts if part.density is not None}
    if by_volume:
        if len(known) < len(parts) or any(part.percent for part in parts):
            raise ReadingError(
                "--by-volume needs the true density of every part and no percentages, as in "
                "resin=3@1.1g/cm3 spheres=1@0.15g/cm3"
            )
        shares = mix.by_volume({part.name: part.amount for part in parts}, known)
    else:
        shares = mix.shares(
            {part.name: part.amount for part in parts if not part.percent},
            {part.name: part.amount for part in parts if part.percent},
        )
    density = density_of(shares, {part.name: part.density for part in parts})
    return Recipe(shares, density, "unknown" if density is None else "computed")


def hollow_body(design: Design, name: str | None = None) -> str:
    """The body to be filled, or the assembly: the one that is named, or the first hollow one.

    Raises:
        ReadingError: there is no such body.
    """
    if name is not None:
        if name not in (*design.body, *design.assembly):
            known = ", ".join((*design.body, *design.assembly)) or "none"
            raise ReadingError(f"--body {name}: the design has no body of that name. It has: {known}.")
        return name
    hollow = [key for key, one in design.assembly.items() if one.cavity is not None]
    hollow += [key for key, body in design.body.items() if body.cavity is not None or body.wall is not None]
    if not hollow:
        raise ReadingError('there is no hollow body; write its cavity = "12 mL" or its wall = "1.5 mm"')
    return hollow[0]


def mix_in(design: Design, body: str) -> Mix | None:
    """The mix of the design that fills a body, if one does."""
    fill = (design.body.get(body) or design.assembly[body]).fill
    return {folded(key): found for key, found in design.mix.items()}.get(folded(fill)) if fill else None


def of_body(design: Design, body: str) -> Recipe:
    """The recipe of the mix that fills a body.

    Raises:
        ReadingError: no mix of the design fills it.
    """
    found = mix_in(design, body)
    if found is None:
        known = ", ".join(design.mix) or "none"
        raise ReadingError(
            f"body.{body} is not filled with a mix of the file (it has: {known}); write [mix.NAME] and "
            'fill = "NAME", or give the parts on the command line'
        )
    own = {folded(key): own_density(material) for key, material in design.material.items()}
    measured = found.density is not None or found.cube is not None
    return Recipe(recipe_of(found), mix_of(found, own).value, "measured" if measured else "computed")


def cavity(design: Design, body: str) -> tuple[float, float]:
    """What the cavity of a body takes (m3), the weights in it left out, and the waste that its mix plans for (percent).

    Raises:
        ReadingError: the body is solid.
        BuildError: the design cannot be built.
    """
    design = with_rattles(expanded(design))
    bodies = list(weigh(design).bodies)
    single = body in design.body
    parts = [body] if single else design.assembly[body].holding()
    if all(b.inner is None for b in bodies if b.key in parts):
        raise ReadingError(f'body.{body} is solid, so there is nothing to fill; give its cavity = "12 mL"')
    found = mix_in(design, body)
    each = {part: room_to_fill(design, bodies, part) for part in parts}
    room = each[body] if single else math.fsum(alike(design.body[part]) * one for part, one in each.items())
    return room, found.waste if found else WASTE
