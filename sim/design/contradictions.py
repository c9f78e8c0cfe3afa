"""Two measurements of one thing that exclude each other, with the likely slip."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from sim.bench.conflict import contradiction
from sim.bench.uncertainty import ReadingError, rounded
from sim.design.assembly import SHARED, Assembly, alike, own_share
from sim.design.model import Design
from sim.design.own import range_of
from sim.design.parts import Body
from sim.design.problems import printable
from sim.remark import Amount, Remark, remark
from sim.units import Quantity

Told = tuple[str, Quantity]  # how it was found (a key of `sim.bench.conflict`), and what it gave

TOO_DENSE = 3000.0  # kg/m3: no plastic, resin or wood of a shell is heavier


def contradictions(design: Design) -> Iterator[Remark]:
    """Everything measured twice, with different answers. `design` has its readings turned into values."""
    for name, body in design.body.items():
        key = f"body.{name}"
        yield from _pairs("displaced", key, _dunks(body), _loads(body))
        yield from _pairs("cavity", key, _cavities(body), _loads(body))
        yield from _pairs("density", key, list(_densities(body)), {})
        yield from _taken_for_the_whole(key, body)
    for name, together in design.assembly.items():
        key = f"assembly.{name}"
        yield from _pairs("displaced", key, _dunks(together), {})
        yield from _pairs("cavity", key, _cavities(together), {})
        yield from _pairs("density", key, list(_densities(together)), {})
        for reading in SHARED:
            yield from _pairs("reading", f"{key}.{reading}", _parts(design, together, reading), {})
    whole = design.measured
    yield from _pairs("displaced", "the whole lure", _dunks(whole), {})
    balances = [("written", whole.balance)] if whole.balance is not None else []
    if whole.poise is not None:
        found = whole.poise.results()
        ways = {"balance_back": "edge", "balance_back_by_scale": "on_scale"}
        balances += [(way, found[key]) for key, way in ways.items() if key in found]
    yield from _pairs("balance", "", balances, {})


def _pairs(what: str, part: str, told: Sequence[Told], loads: dict[str, Quantity]) -> Iterator[Remark]:
    """The first value against each later one."""
    for other in told[1:]:
        found = contradiction(what, part, told[0], other, loads)
        if found is not None:
            yield found


def _parts(design: Design, one: Assembly, key: str) -> list[Told]:
    """A reading of the whole and the same of all its parts, where each of them tells it."""
    whole = getattr(one, key)
    known, rest = own_share(design.body, one, key)
    if whole is None or rest:
        return []
    parts = [(alike(design.body[name]), getattr(design.body[name], key)) for name in one.bodies]
    sd = math.hypot(*(count * rounded(value).sd for count, value in parts))
    return [("whole", whole), ("bodies", Quantity(known, sd, whole.dimension))]


def _dunks(part: object) -> list[Told]:
    found = [
        (way, reading.results()["displaced"])
        for way in ("level", "cup")
        if (reading := getattr(part, way)) is not None
    ]
    written = getattr(part, "displaced", None)
    if written is not None and all(q.value != written.value for _, q in found) and len(found) < 2:
        found.insert(0, ("written", written))
    return found


def _cavities(body: Body | Assembly) -> list[Told]:
    if body.water_fill is None or body.cavity is None:
        return []
    return [("written", body.cavity), ("water_fill", body.water_fill.results()["cavity"])]


def _densities(body: Body | Assembly) -> Iterator[Told]:
    if body.density is not None:
        yield "written", body.density
    if body.immersion is not None:
        yield "immersion", body.immersion.results()["density"]
    if body.scrap is not None:
        try:
            yield "scrap", body.scrap.density(*range_of(body.material, {}))
        except ReadingError:
            return
    wall = wall_density(body)
    if wall is not None:
        yield "parts", wall


def wall_density(body: Body | Assembly) -> Quantity | None:
    """Density of the body, or of its wall, from its weight and what it displaces; None if not told."""
    if body.weight is None or body.displaced is None:
        return None
    inner = body.cavity.value if body.cavity is not None else 0.0
    if getattr(body, "wall", None) is not None and body.cavity is None:
        return None
    room = body.displaced.value - inner
    if room <= 0.0:
        return None
    value = body.weight.value / room
    doubt = math.hypot(
        rounded(body.displaced).sd, rounded(body.cavity).sd if body.cavity is not None else 0.0
    )
    sd = value * math.hypot(rounded(body.weight).sd / body.weight.value, doubt / room)
    return Quantity(value, sd, "density")


def _taken_for_the_whole(key: str, body: Body) -> Iterator[Remark]:
    """A hollow body that displaces hardly more than its cavity holds."""
    wall = wall_density(body)
    if wall is None or body.cavity is None or body.displaced is None or body.weight is None:
        return
    metal = body.density is not None and body.density.value > TOO_DENSE
    if wall.value - 2 * wall.sd > TOO_DENSE and not metal:
        missing = body.weight.value / 1450.0 + body.cavity.value - body.displaced.value
        yield remark(
            "cavity_for_whole", part=key, displaced=printable(body.displaced.text),
            cavity=printable(body.cavity.text), wall=Amount(wall.value, "density"),
            weight=Amount(body.weight.value, "mass"), missing=Amount(missing, "volume"),
        )  # fmt: skip


def _loads(body: Body) -> dict[str, Quantity]:
    """What may have been left on the scale, as volumes of water."""
    out = {}
    if body.weight is not None:
        out["own_weight"] = Quantity(body.weight.value / 1000.0, 0.0, "volume")
    return out
