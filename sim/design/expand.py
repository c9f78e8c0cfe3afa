"""Readings turned into values: the design as it was written, with every gap that a reading fills filled.

What the maker wrote always stands; a reading only fills a key that is empty. Doing it twice changes nothing.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any, NamedTuple

from sim.bench.hardware import ball
from sim.bench.uncertainty import ReadingError, known, weighted
from sim.design.assembly import Assembly
from sim.design.fullness import as_found
from sim.design.materials import LEAD, at_moisture, find
from sim.design.model import Design, Measured
from sim.design.own import Own, folded, own_densities, part_density, range_of
from sim.design.parts import Ballast, Body, Hanging, Place, Plate, Rattle, Thread, Wire
from sim.design.problems import Finding, printable
from sim.units import Quantity

PIECE, MOST_PIECES = 8e-3, 20  # m: a through wire weighs as a row of balls, so far apart at most


class Expanded(NamedTuple):
    """The filled design, and what stood in the way."""

    design: Design
    problems: list[Finding]


def expanded(design: Design) -> Design:
    """The design with its readings turned into values.

    Raises:
        ReadingError: the first reading that gives none; `sim.design.load` finds them all, with their lines.
    """
    out = expand(design)
    if out.problems:
        first = out.problems[0]
        raise ReadingError(f"{'.'.join(map(str, first.path))}: {first.message}")
    return out.design


def expand(design: Design) -> Expanded:
    """The design with its readings turned into values, and every one that gives none."""
    wrong: list[Finding] = []
    own = own_densities(design, wrong)
    wires, threaded = _through(design, own, wrong)
    groups: dict[str, Any] = {
        "body": _each("body", design.body, lambda b: _body(b, own), wrong),
        "assembly": _each("assembly", design.assembly, lambda a: _assembly(a, own), wrong),
        "plate": _each("plate", design.plate, lambda p: _named(p, own), wrong),
        "wire": _each("wire", wires, lambda w: _named(w, own), wrong),
        "hook": _each("hook", design.hook, lambda h: _hanging(h, own), wrong),
        "fitting": _each("fitting", design.fitting, lambda h: _hanging(h, own), wrong),
        "ballast": _each("ballast", design.ballast, lambda b: _ballast(b, own), wrong),
    }
    if threaded:
        groups["ballast"] = {**groups["ballast"], **threaded}
    for name, rattle in design.rattle.items():
        try:
            if not design.body or rattle.body not in (None, *design.body):
                bodies = ", ".join(design.body) or "none"
                raise ReadingError(f"there is no such body for it to be in; the bodies are {bodies}")
            _balls(rattle, 0.5)
        except ReadingError as problem:
            wrong.append(Finding(("rattle", name), "", problem.args[0]))
    try:
        groups["measured"] = _measured(design.measured)
    except ReadingError as problem:
        wrong.append(Finding(("measured",), "", problem.args[0]))
    changed = {key: value for key, value in groups.items() if value is not getattr(design, key)}
    return Expanded(design.model_copy(update=changed) if changed else design, wrong)


def with_rattles(design: Design, share: float = 0.5) -> Design:
    """The design with its loose balls at rest: 0 all at the front, 1 all at the rear.

    Raises:
        ReadingError: a ball without a weight or a size.
    """
    if not design.rattle:
        return design
    balls = {}
    for name, rattle in design.rattle.items():
        home = design.body.get(rattle.body or next(iter(design.body), ""))
        hollow = home is not None and (home.cavity is not None or home.wall is not None)
        rolled = _balls(rattle, share)
        balls[f"{name}_balls"] = rolled if hollow else rolled.model_copy(update={"place": "drilled"})
    return design.model_copy(update={"ballast": {**design.ballast, **balls}, "rattle": {}})


def _each(group: str, parts: Mapping[str, Any], fill: Callable[[Any], Any], wrong: list[Finding]) -> Any:
    """All parts of a group, filled; the same mapping if nothing changed."""
    out = {}
    for name, part in parts.items():
        try:
            out[name] = fill(part)
        except ReadingError as problem:
            wrong.append(Finding((group, name), "", problem.args[0]))
            out[name] = part
    return parts if all(out[name] is part for name, part in parts.items()) else out


def _with(part: Any, changes: Mapping[str, Any]) -> Any:
    return part.model_copy(update=dict(changes)) if changes else part


def _named(part: Plate | Wire | Hanging | Ballast, own: Own) -> Any:
    """A part whose material is the maker's own gets its density."""
    if part.material is None or part.density is not None or folded(part.material) not in own:
        return part
    return _with(part, {"density": own[folded(part.material)]})


# ---- bodies -------------------------------------------------------------------------------------------


def _body(body: Body, own: Own) -> Body:
    new = _as_read(body, own)
    if body.density is None and body.moisture is not None:
        new["density"] = _moist(body)
    if body.moisture is not None:
        new["moisture"] = None
    if body.soaked is not None:
        new |= {"soaked": None, **_soaked(body, new)}
    read = _with(body, new)
    found = as_found(read) if body.fullness is None else None
    return read if found is None else _with(read, {"fullness": known(found[0], 0.0, "factor")})


def _assembly(whole: Assembly, own: Own) -> Assembly:
    return _with(whole, _as_read(whole, own))


def _as_read(body: Body | Assembly, own: Own) -> dict[str, Any]:
    """What readings fill in: density, fill, cavity and outside."""
    new: dict[str, Any] = {}
    if body.density is None and (density := _body_density(body, own)) is not None:
        new["density"] = density
    if body.fill is not None and body.fill_density is None and folded(body.fill) in own:
        new["fill_density"] = own[folded(body.fill)]
    if body.cavity is None and body.water_fill is not None:
        new["cavity"] = body.water_fill.results()["cavity"]
    if body.displaced is None and (displaced := dunked(body)) is not None:
        new["displaced"] = displaced
    return new


def _body_density(body: Body | Assembly, own: Own) -> Quantity | None:
    if body.immersion is not None:
        return body.immersion.results()["density"]
    if body.scrap is not None:
        return body.scrap.density(*range_of(body.material, own))
    return own.get(folded(body.material)) if body.material is not None else None


def _moist(body: Body) -> Quantity | None:
    assert body.moisture is not None
    found = find(body.material) if body.material else None
    if body.weight is not None:
        raise ReadingError("it was weighed with its moisture in it; leave the line moisture out")
    if found is None or found.group != "wood":
        raise ReadingError(
            "moisture changes the density of a wood from the list of materials; name the wood, or leave it "
            "out"
        )
    value = at_moisture(found.density, body.moisture)
    return Quantity(value, 0.0, "density", f"{value / 1e3:.3g} g/cm3")


def _soaked(body: Body, new: Mapping[str, Any]) -> dict[str, Any]:
    """Water taken up adds weight and no volume."""
    assert body.soaked is not None
    factor = 1.0 + body.soaked / 100.0
    if body.weight is not None:
        return {"weight": _scaled(body.weight, factor)}
    density = new.get("density") or body.density
    if density is None and body.material is not None:
        found = find(body.material)
        density = Quantity(found.density, 0.0, "density") if found else None
    return {} if density is None else {"density": _scaled(density, factor)}


def _scaled(quantity: Quantity, factor: float) -> Quantity:
    out = known(quantity.value * factor, quantity.sd * factor, quantity.dimension)
    return replace(out, flat=quantity.flat)


def dunked(part: Body | Assembly | Measured) -> Quantity | None:
    """What a body or the whole displaces by its readings, all of them together."""
    found = [r.results()["displaced"] for r in (part.level, part.cup) if r is not None]
    return weighted(found) if found else None


def _measured(told: Measured) -> Measured:
    new: dict[str, Any] = {}
    if told.displaced is None and (displaced := dunked(told)) is not None:
        new["displaced"] = displaced
    results = told.poise.results() if told.poise is not None else {}
    if told.balance_up is None and "balance_up" in results:
        new["balance_up"] = results["balance_up"]
    if told.balance is None:
        found = [results[key] for key in ("balance_back", "balance_back_by_scale") if key in results]
        if found:
            new["balance"] = weighted(found)
    return _with(told, new)


# ---- hooks, fittings, ballast -------------------------------------------------------------------------


def _hanging(part: Hanging, own: Own) -> Hanging:
    new: dict[str, Any] = {}
    weight = part.weight
    if weight is None:
        if part.bulk is not None:
            weight = part.bulk.results()["weight"]
        elif part.estimate is not None:
            weight = part.estimate.results()["weight"]
        else:
            raise ReadingError(
                'it has no weight; write weight = "1.3 g", or weigh ten alike: bulk = { weight = "12.4 g", '
                'count = 10 }, or estimate = { kind = "treble", wire = "0.9 mm", gape = "8 mm" }'
            )
        new["weight"] = weight
    return _with(_named(part, own), new | _counted(part, weight))


def _ballast(part: Ballast, own: Own) -> Ballast:
    new: dict[str, Any] = {}
    weight = part.weight
    if weight is None:
        if part.bulk is not None:
            weight = part.bulk.results()["weight"]
        elif part.metal is not None:
            density = part_density(part.density, part.material, own)
            weight = part.metal.weight(density.value if density else LEAD)
        else:
            raise ReadingError(
                'it has no weight; write weight = "2.5 g", or its form: metal = { kind = "ball", across = '
                '"7 mm" }, or weigh ten alike: bulk = { weight = "24 g", count = 10 }'
            )
        new["weight"] = weight
    return _with(_named(part, own), new | _counted(part, weight))


def _counted(part: Hanging | Ballast, weight: Quantity) -> dict[str, Any]:
    """Several alike at one place weigh as one."""
    return {} if part.count == 1 else {"count": 1, "weight": _scaled(weight, part.count)}


def _balls(rattle: Rattle, share: float) -> Ballast:
    found = find(rattle.material)
    if found is None or found.density <= 0.0:
        raise ReadingError(f'there is no material "{printable(rattle.material)}" in the list for a rattle')
    if rattle.weight is not None:
        weight = rattle.weight
    elif rattle.across is not None:
        weight = ball(rattle.across, found.density)
    else:
        raise ReadingError('a rattle needs the weight of one ball, or its size, as in across = "5 mm"')
    return Ballast(
        at=_between(rattle.front, rattle.rear, share),
        weight=_scaled(weight, rattle.count),
        material=rattle.material,
        place="cavity",
        body=rattle.body,
    )


def _between(one: Place, other: Place, share: float) -> Place:
    def way(key: str) -> Quantity:
        a, b = getattr(one, key).value, getattr(other, key).value
        return known(a + share * (b - a), 0.0, "length")

    return Place(back=way("back"), up=way("up"), left=way("left"))


def _through(design: Design, own: Own, wrong: list[Finding]) -> tuple[dict[str, Wire], dict[str, Ballast]]:
    """Wires inside a body as rows of small weights that take its place; the other wires as they are."""
    if all(wire.inside is None for wire in design.wire.values()):
        return design.wire, {}
    outside, inside = {}, {}
    for name, wire in design.wire.items():
        if wire.inside is None:
            outside[name] = wire
            continue
        if wire.inside not in design.body:
            known_bodies = ", ".join(design.body) or "none"
            message = f"there is no body of that name; the bodies are {known_bodies}"
            wrong.append(Finding(("wire", name, "inside"), f'"{printable(wire.inside)}"', message))
            continue
        try:
            inside.update(_row(name, wire, own))
        except ReadingError as problem:
            wrong.append(Finding(("wire", name), "", problem.args[0]))
    return outside, inside


def _row(name: str, wire: Wire, own: Own) -> dict[str, Ballast]:
    ends = [(p.back.value, p.up.value, p.left.value) for p in (wire.start, wire.end)]
    length = math.dist(*ends)
    density = part_density(wire.density, wire.material or "steel", own)
    assert density is not None
    section = math.pi / 4 * wire.diameter.value**2
    weight = wire.weight or Quantity(section * length * density.value, 0.0, "mass")
    pieces = min(max(1, math.ceil(length / PIECE)), MOST_PIECES)
    # the pieces' doubts are taken as independent further on, and must add up to the wire's
    share = known(weight.value / pieces, weight.sd / math.sqrt(pieces), "mass")
    return {
        f"{name}_{k + 1}": Thread(
            wire=name,
            weighed=wire.weight is not None,
            at=_between(wire.start, wire.end, (k + 0.5) / pieces),
            weight=share,
            material=wire.material or "steel",
            density=wire.density or (density if wire.material and folded(wire.material) in own else None),
            place="drilled",
            body=wire.inside,
            mirrored=wire.mirrored,
        )
        for k in range(pieces)
    }
