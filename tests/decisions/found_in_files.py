"""The same found things written into a design file, and what `budget` says of them."""

from __future__ import annotations

from typing import Any

import numpy as np

from sim.bench.found import FoundThing
from sim.design.fishing import Water
from sim.design.model import Design
from sim.design.parts import Body, Hanging
from sim.lure.profile import BuildError
from sim.trials.budget import budget
from sim.trials.margin import SURE
from sim.units import Quantity
from tests.decisions.found_things import COUNT, SEED, readings, truth

__all__ = ["COUNT", "SEED", "case", "section", "summary"]
NINE_IN_TEN = 1.645  # deviations


def in_a_file(thing: FoundThing) -> Design | None:
    """The readings as a design file has them; None without sizes, which a file must have."""
    if thing.sizes is None:
        return None
    assert thing.load is not None
    length, width, height = thing.sizes
    hollow = thing.cavity is not None  # of a body without a hollow the file's density is that of all of it
    body = Body(
        length=length, width=width, height=height, weight=thing.weight, cavity=thing.cavity,
        density=thing.wall if hollow else None, fill_weight=thing.fill if hollow else None,
    )  # fmt: skip
    load = Hanging(weight=thing.load, density=Quantity(1e9, 0.0, "density"))  # it displaces nothing here
    return Design(
        name="found",
        body={"it": body},
        hook={"all": load},
        water=Water(temperature=Quantity(18.0, 0.0, "temperature")),
    )


def case(number: int) -> dict[str, Any]:
    """What `budget` says of one thing, and whether that is right."""
    draw = np.random.default_rng([SEED, number])
    true = truth(draw)
    design = in_a_file(readings(true, draw))
    if design is None or (true.fill and design.body["it"].cavity is None):
        return {"skipped": True}  # no sizes, or a fill and nothing that it is in
    try:
        found = budget(design)
    except BuildError as problem:
        return {"refused": str(problem)}
    chance = found.chance_floats
    sure = chance is not None and not 1.0 - SURE < chance < SURE
    return {
        "sure": sure,
        "wrong": bool(sure and (chance is not None and chance > 0.5) != (true.margin > 0.0)),
        "impossible": bool(found.conflicts),
        "hollow": design.body["it"].cavity is not None,
        "names_next": bool(found.conflicts) or found.settled_by is not None,
        "covered": bool(abs(1e3 * true.margin - found.margin_g) <= NINE_IN_TEN * found.margin_sd_g),
    }


def summary(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """Counts over all things that a file can tell of."""
    tried = [row for row in rows if "skipped" not in row]
    built = [row for row in tried if "refused" not in row]
    told = [row for row in built if not row["impossible"]]
    sure = [row for row in told if row["sure"]]
    hollow = [row for row in told if row["hollow"]]
    return {
        "things": len(tried),
        "refused": len(tried) - len(built),
        "cannot_be_told": len(built) - len(told),
        "sure": len(sure),
        "sure_but_wrong": sum(row["wrong"] for row in sure),
        "unsure_and_names_next": sum(row["names_next"] for row in told if not row["sure"]),
        "interval_holds": sum(row["covered"] for row in told) / max(len(told), 1),
        "hollow": len(hollow),
        "hollow_holds": sum(row["covered"] for row in hollow) / max(len(hollow), 1),
        "sizes_alone": len(told) - len(hollow),
        "sizes_alone_hold": sum(row["covered"] for row in told if not row["hollow"]),
    }


def section(written: dict[str, Any]) -> str:
    """The paragraph of the validation page."""
    s = written["summary"]
    unsure = s["things"] - s["refused"] - s["cannot_be_told"] - s["sure"]
    return (
        "### Things as found, in a design file\n\n"
        f"{s['things']} of these things have three sizes and can be written into a design file. `budget` gave a sure "
        f"verdict for {s['sure']}, and {s['sure_but_wrong']} of these were wrong; {unsure} were uncertain, and for "
        f"{s['unsure_and_names_next']} of them it named the reading that settles it; for {s['cannot_be_told']} it said "
        f"that sizes, weight and cavity cannot all be true, and {s['refused']} were refused, because an oval of these "
        "sizes is smaller than the cavity: both with the advice to dunk it. The true spare lift lay "
        f"within 1.645 deviations in {100 * s['interval_holds']:.0f} % (85 to 95 are wished). Of the "
        f"{s['hollow']} of these whose cavity is told it did in {100 * s['hollow_holds']:.0f} %: they have the "
        "fullness that `measure thing` makes of the same readings. "
        f"{s['sizes_alone']} tell three sizes and a weight and no more, which in a file says an oval and solid; these "
        f"are none, and {s['sizes_alone_hold']} of them hold."
    )
