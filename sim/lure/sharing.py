"""Bodies measured together: what each of an assembly's parts weighs, displaces and holds.

    outside     in proportion to the volumes of their shapes
    hollow      in proportion to their outsides
    weight      in proportion to what each is made of: volume of its wall times its density

What a body tells itself stands; the rest is shared among those that do not. Totals are kept exactly, so that how the
parts share them decides only where the weight and the lift act. Standing: judgement, exact of parts with walls alike.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from sim.design.assembly import Assembly, SharingBody, alike, own_share
from sim.design.fullness import ONE
from sim.design.materials import find
from sim.design.model import Design
from sim.design.parts import Body
from sim.lure.bodies import build_body, shape_volume
from sim.lure.profile import BuildError
from sim.remark import Amount, Remark, remark
from sim.units import Quantity, show

_PLAIN = Quantity(1000.0, 0.0, "density", "")  # stands in where no density matters


ODD = 0.2  # share by which the volume told and that of the sizes may differ without a word


def shared(design: Design, warnings: list[Remark] | None = None) -> Design:
    """The design with every assembly's readings shared out among its bodies; the same if it has none.

    Args:
        design: with its readings turned into values.
        warnings: grows by what looks like a slip.

    Raises:
        BuildError: readings that leave a body without a wall.
    """
    if not design.assembly:
        return design
    bodies = dict(design.body)
    for name, one in design.assembly.items():
        own = {key: _made_of(bodies[key], name, one) for key in one.bodies}
        bodies |= _shared(name, one, own, warnings if warnings is not None else [])
    return design.model_copy(update={"body": bodies, "assembly": {}})


def _shared(name: str, one: Assembly, bodies: dict[str, Body], warnings: list[Remark]) -> dict[str, Body]:
    outsides = _outsides(name, one, bodies, warnings)
    if one.displaced is not None:
        _, rest = own_share(bodies, one, "displaced")
        bodies |= _told(name, "displaced", one.displaced, {key: outsides[key] for key in rest}, bodies)
    elif one.outside_known():  # the hollow ones by their wall; of a solid one its sizes must tell as much
        for key, body in bodies.items():
            if key not in one.holding() and body.displaced is None:
                full = Quantity(outsides[key] / shape_volume(key, body), 0.0, "factor", "")
                bodies[key] = body.model_copy(update={"fullness": full})
    if one.cavity is not None:
        bodies |= _hollows(name, one, bodies, outsides)
    bodies |= _fills(name, one, bodies)
    if one.weight is not None:
        known, rest = own_share(bodies, one, "weight")
        walls = {key: _wall_mass(key, bodies[key], outsides[key]) for key in rest}
        scale = _over(name, "weight", one.weight.value - known, walls, bodies)
        bodies |= _told(
            name, "weight", one.weight, {key: scale * mass for key, mass in walls.items()}, bodies
        )
    return bodies


def _made_of(body: Body, name: str, one: Assembly) -> Body:
    own = {key: getattr(body, key) for key in type(body).model_fields}
    if body.material is None and body.density is None:
        own |= {"material": one.material, "density": one.density}
    out = SharingBody.model_construct(**own, home=name, outside_told=one.outside_known())
    return out.model_copy(update={"shape": body.shape})


def _outsides(
    name: str, one: Assembly, bodies: Mapping[str, Body], warnings: list[Remark]
) -> dict[str, float]:
    """Outer volume of each body, m3."""
    shapes = {key: shape_volume(key, body) * (body.fullness or ONE).value for key, body in bodies.items()}
    known, rest = own_share(bodies, one, "displaced")
    own = {key: body.displaced.value for key, body in bodies.items() if body.displaced is not None}
    whole = one.displaced.value if one.displaced is not None else _by_the_wall(one, bodies)
    if whole is None or not rest:
        return {**shapes, **own}
    scale = _over(name, "displaced", whole - known, {key: shapes[key] for key in rest}, bodies)
    if abs(scale - 1.0) > ODD:
        sized = known + (whole - known) / scale
        by = "dunk" if one.displaced is not None else "wall"
        warnings.append(
            remark(
                "all_stretched", part=f"assembly.{name}", sized=Amount(sized, "volume"), by=by,
                volume=Amount(whole, "volume"), times=math.sqrt(scale),
            )
        )  # fmt: skip
    return {**{key: scale * shapes[key] for key in rest}, **own}


def _by_the_wall(one: Assembly, bodies: Mapping[str, Body]) -> float | None:
    """Outer volume of all by cavity, weight and what the walls are made of, m3; None where these do not tell it."""
    if not one.outside_known() or one.cavity is None or one.weight is None:
        return None
    known, rest = own_share(bodies, one, "weight")
    own = math.fsum(
        alike(bodies[key]) * weight.value / _density(bodies[key])
        for key in one.bodies
        if (weight := bodies[key].weight) is not None
    )
    middle = math.fsum(_density(bodies[key]) for key in rest) / len(rest) if rest else 1.0
    return one.cavity.value + own + (one.weight.value - known if rest else 0.0) / middle


def _density(body: Body) -> float:
    found = find(body.material) if body.material else None
    return body.density.value if body.density else found.density if found else _PLAIN.value


def _hollows(
    name: str, one: Assembly, bodies: Mapping[str, Body], outsides: Mapping[str, float]
) -> dict[str, Body]:
    assert one.cavity is not None
    known, rest = own_share(bodies, one, "cavity")
    holding = {key: outsides[key] for key in rest if key in one.holding()}
    scale = _over(name, "cavity", one.cavity.value - known, holding, bodies)
    if scale >= 1.0:
        names = " and ".join(holding)
        room = math.fsum(alike(bodies[key]) * volume for key, volume in holding.items())
        raise BuildError(
            "assembly.{name}.cavity = {cavity!r} is not smaller than the whole outside of {bodies}, {room}; both "
            "cannot be true, so it cannot be told whether it floats: dunk it whole with its hollow closed and give "
            "`displaced`, or fill it with water once more; meanwhile `drytank measure thing FILE` tells the odds",
            name=name,
            cavity=one.cavity.text,
            bodies=names,
            room=Amount(room, "volume"),
        )
    return _told(name, "cavity", one.cavity, {key: scale * v for key, v in holding.items()}, bodies)


def _fills(name: str, one: Assembly, bodies: Mapping[str, Body]) -> dict[str, Body]:
    out = {}
    holding = {key: bodies[key] for key in one.holding() if _filled(bodies[key]) is None}
    rooms = {key: body.cavity.value for key, body in holding.items() if body.cavity is not None}
    total = math.fsum(alike(holding[key]) * room for key, room in rooms.items())
    for key, body in holding.items():
        weight = None
        if one.fill_weight is not None and total > 0.0 and key in rooms:
            weight = _part(name, "fill_weight", one.fill_weight, one.fill_weight.value * rooms[key] / total)
        if one.fill is not None or one.fill_density is not None or weight is not None:
            update: dict[str, Any] = {
                "fill": one.fill,
                "fill_density": one.fill_density,
                "fill_weight": weight,
            }
            out[key] = body.model_copy(update=update)
    return out


def _filled(body: Body) -> Any:
    return body.fill or body.fill_density or body.fill_weight


def _wall_mass(key: str, body: Body, outside: float) -> float:
    """Mass of a body's own material by its density, kg, with an outside of that volume (m3)."""
    known = body.density is not None or (body.material is not None and find(body.material) is not None)
    bare = body.model_copy(
        update={
            "displaced": Quantity(outside, 0.0, "volume", show(outside, "volume")),
            "density": body.density if known else _PLAIN,
            "fill": None,
            "fill_weight": None,
            "fill_density": None,
        }
    )
    return float(build_body(key, bare, [])[0].own[0]) * _density(body)


def _over(name: str, key: str, left: float, parts: Mapping[str, float], bodies: Mapping[str, Body]) -> float:
    """By how much the parts have to be scaled to make up what is left."""
    total = math.fsum(alike(bodies[part]) * value for part, value in parts.items())
    if not parts:
        return 1.0
    if left <= 0.0 or total <= 0.0:
        raise BuildError(
            f"assembly.{name}.{key} leaves nothing for {' and '.join(parts)}; check it against what its bodies tell "
            "themselves"
        )
    return left / total


def _told(
    name: str, key: str, whole: Quantity, values: Mapping[str, float], bodies: Mapping[str, Body]
) -> dict[str, Body]:
    """The bodies with their shares of a reading written in."""
    return {
        part: bodies[part].model_copy(update={key: _part(name, key, whole, value)})
        for part, value in values.items()
    }


def _part(name: str, key: str, whole: Quantity, value: float) -> Quantity:
    text = f"{show(value, whole.dimension)}, its share of assembly.{name}.{key}"
    return Quantity(value, whole.sd * value / whole.value if whole.value else 0.0, whole.dimension, text)
