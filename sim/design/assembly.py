"""Several bodies measured as one thing, as it was found: what was read of all of them together, which they share.

How the parts share it is `sim.lure.sharing`; here is what the maker writes, and what cannot be.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from pydantic import Field

from sim.design.materials import find
from sim.design.parts import Body
from sim.design.problems import Finding, nearest, printable, shown
from sim.design.quantities import Density, Mass, Volume
from sim.design.readings import Cup, Immersion, Level, Scrap, WaterFill
from sim.design.table import Strict
from sim.message import Message
from sim.remark import Amount
from sim.units import Quantity

HOLLOW = ("cavity", "wall", "water_fill")
SHARED = ("weight", "displaced", "cavity")


class Assembly(Strict):
    """Several bodies weighed, dunked or filled as one: each takes its share of what they do not tell themselves."""

    bodies: list[str] = Field(
        min_length=1,
        max_length=50,
        description="the bodies it is made of; a mirrored one counts twice",
        examples=[["shell", "head"]],
    )
    material: str | None = Field(
        None, description="what they, or their walls, are made of", examples=["soft pvc"]
    )
    density: Density | None = Field(None, description="beats the material's", examples=["1.22 g/cm3"])
    weight: Mass | None = Field(None, description="all of them together, empty and dry", examples=["21.0 g"])
    displaced: Volume | None = Field(
        None, description="outer volume of all of them, dunked with the hollow closed", examples=["31.5 mL"]
    )
    cavity: Volume | None = Field(
        None, description="what their hollows hold together, by water fill", examples=["14 mL"]
    )
    hollow: list[str] = Field(
        default=[],
        max_length=50,
        description="those of them that the cavity is in; all if left out",
        examples=[["shell"]],
    )
    fill: str | None = Field(None, description="material in the cavity; air if left out", examples=["foam"])
    fill_density: Density | None = Field(None, description="beats the fill's", examples=["0.45 g/mL"])
    fill_weight: Mass | None = Field(None, description="weighed fill", examples=["5.0 g"])
    water_fill: WaterFill | None = Field(None, description="readings that give the cavity")
    level: Level | None = Field(None, description="readings that give what they displace")
    cup: Cup | None = Field(None, description="readings that give what they displace")
    immersion: Immersion | None = Field(None, description="readings that give the density of their walls")
    scrap: Scrap | None = Field(None, description="what a scrap did in water and brine: bounds the density")

    def holding(self) -> list[str]:
        """Names of the bodies that the cavity is in."""
        return self.hollow or self.bodies

    def outside_known(self) -> bool:
        """Whether a dunk, or cavity, weight and wall together, tell the outer volume; readings turned into values."""
        dense = self.density is not None or (self.material is not None and find(self.material) is not None)
        return self.displaced is not None or (self.cavity is not None and self.weight is not None and dense)


class SharingBody(Body):
    """A body with its share of what was read of its assembly, made when the design is weighed."""

    home: str  # the assembly's name
    outside_told: bool  # whether something better than sizes tells the volume of the whole


def home_of(assemblies: Mapping[str, Assembly], body: str) -> str | None:
    """Name of the assembly that a body belongs to; None of a body by itself."""
    return next((name for name, one in assemblies.items() if body in one.bodies), None)


def alike(body: Body) -> int:
    """How many of it there are."""
    return 2 if body.mirrored else 1


def own_share(bodies: Mapping[str, Body], one: Assembly, key: str) -> tuple[float, list[str]]:
    """What those bodies that tell a value themselves make of it (SI), and the names of those that do not."""
    told = {name: getattr(bodies[name], key) for name in one.bodies}
    known = math.fsum(alike(bodies[name]) * value.value for name, value in told.items() if value is not None)
    return known, [name for name, value in told.items() if value is None]


def assembly_problems(bodies: Mapping[str, Body], assemblies: Mapping[str, Assembly]) -> Iterator[Finding]:
    """What cannot be: unknown bodies, a body in two of them, more in the parts than in the whole."""
    taken: dict[str, str] = {}
    for name, one in assemblies.items():
        path = ("assembly", name)
        unknown = False
        for key, listed in (("bodies", one.bodies), ("hollow", one.hollow)):
            for k, body in enumerate(listed):
                here = (*path, key, k)
                if body not in bodies:
                    unknown = True
                    near = nearest(body, bodies)
                    hint = (
                        f'did you mean "{near}"?' if near else f"the bodies are {', '.join(bodies) or 'none'}"
                    )
                    yield Finding(here, shown(body), f"there is no body of that name; {hint}")
                elif key == "hollow" and body not in one.bodies:
                    yield Finding(
                        here, shown(body), "it is not among the bodies of this assembly; add it there too"
                    )
                elif key == "bodies" and body in taken:
                    yield Finding(
                        here,
                        shown(body),
                        f"assembly.{printable(taken[body])} has it already; a body belongs to one of them",
                    )
                elif key == "bodies":
                    taken[body] = name
        if not unknown:
            yield from _shares(path, bodies, one)


def _shares(path: tuple[str, str], bodies: Mapping[str, Body], one: Assembly) -> Iterator[Finding]:
    if not any(getattr(one, key) is not None for key in (*SHARED, "material", "density")):
        yield Finding(
            path, "", 'it tells nothing that its bodies could share; write weight = "21.0 g", cavity = "14 mL", '
            'displaced = "31.5 mL" or material = "soft pvc"'
        )  # fmt: skip
    for key in SHARED:
        whole: Quantity | None = getattr(one, key)
        if whole is None:
            continue
        known, rest = own_share(bodies, one, key)
        rest = [name for name in rest if key != "cavity" or name in one.holding()]
        if known > 0.0 and rest and known >= whole.value:
            named = " and ".join(f"body.{b}.{key}" for b in one.bodies if getattr(bodies[b], key) is not None)
            yield Finding(
                (*path, key), shown(whole.text),
                Message(
                    "{named} alone make {known}, which leaves nothing for {rest}; check which of them was read wrong, "
                    "and that it is the whole",
                    named=named, known=Amount(known, whole.dimension), rest=" and ".join(rest),
                ),
            )  # fmt: skip
    fills = [key for key in ("fill", "fill_weight", "fill_density") if getattr(one, key) is not None]
    if (
        fills
        and one.cavity is None
        and not any(getattr(bodies[b], key) for b in one.holding() for key in HOLLOW)
    ):
        yield Finding(
            (*path, fills[0]), shown(str(getattr(getattr(one, fills[0]), "text", getattr(one, fills[0])))),
            'there is nothing to fill; write its cavity = "14 mL", or leave this line out',
        )  # fmt: skip
    for name in one.holding():
        if one.cavity is not None and bodies[name].wall is not None:
            yield Finding(
                (*path, "cavity"), shown(one.cavity.text),
                f"body.{name}.wall tells a hollow as well; leave that line out, or name the bodies that this cavity "
                "is in as hollow",
            )  # fmt: skip
