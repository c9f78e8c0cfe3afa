"""What a design must satisfy beyond its single values. Every check is a plain function over the design.

What only shows once the lure is built (a wall that leaves no hollow in an odd shape) is left to the build.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Mapping

from sim.design.assembly import Assembly, assembly_problems, home_of
from sim.design.extent import extent, outer_sizes, point
from sim.design.materials import MATERIALS, find
from sim.design.model import Design
from sim.design.parts import Ballast, Body, Hanging, Plate, Wire
from sim.design.problems import Finding, nearest, shown
from sim.design.programmes import programme_problems
from sim.design.shapes import shape_problems
from sim.media import SALTIEST, SEAWATER, WARMEST, freezing_point
from sim.message import Message
from sim.remark import Amount
from sim.units import Quantity

Findings = Iterator[Finding]

STEEPEST_DOWN, STEEPEST_UP = math.radians(-20.0), math.radians(90.0)  # of a cast's path
THICKEST_LINE = 5e-3  # m
MOST_BENT = math.radians(90.0) + 1e-9  # of a tie-on eye
CLOSEST = 1e-6  # m: two places nearer to each other than this are the same
MOST_PARTS = 200


def check(design: Design, broken: Collection[str] = ()) -> Findings:
    """Everything impossible in `design`.

    Args:
        broken: sections that could be read only in part; checks that need them whole are left out.
    """
    yield from _water(design)
    for name, body in design.body.items():
        yield from _body(("body", name), body, design)
    yield from assembly_problems(design.body, design.assembly)
    for name, wire in design.wire.items():
        yield from _wire(("wire", name), wire)
    yield from _materials(design)
    yield from _line(design)
    yield from _cast(design)
    yield from _tie_ons(design)
    yield from programme_problems(design)
    for needed, whole in _OF_THE_WHOLE:
        if not needed & set(broken):
            yield from whole(design)


def _given(path: tuple[str | int, ...], value: Quantity | str, message: str) -> Finding:
    return Finding(path, shown(value.text if isinstance(value, Quantity) else value), message)


# --- one section at a time -----------------------------------------------------------------------------


def _water(design: Design) -> Findings:
    water = design.water
    salt = water.salinity.value if water.salinity else SEAWATER if water.kind == "salt" else 0.0
    if water.salinity and salt > SALTIEST:
        yield _given(
            ("water", "salinity"),
            water.salinity,
            f"the laws for water hold up to {SALTIEST:g} g/kg; the sea has about {SEAWATER:g}: write "
            f'"{SEAWATER:g} g/kg"',
        )
        salt = SALTIEST
    t = water.temperature.value
    ice = freezing_point(salt)
    if t < ice:
        why = (
            "water with {salt:g} g/kg of salt freezes at {ice:2g}"
            if salt
            else "fresh water freezes at {ice:2g}"
        )
    elif t >= 100.0:
        why = "this water boils"
    elif t > WARMEST:
        why = "the laws for water hold up to {warmest:6g}"
    else:
        return
    facts = {"salt": salt, "ice": Amount(ice, "temperature"), "warmest": Amount(WARMEST, "temperature")}
    yield _given(
        ("water", "temperature"), water.temperature, Message(f'{why}; write for example "18 C"', **facts)
    )


def _body(path: tuple[str, str], body: Body, design: Design) -> Findings:
    yield from shape_problems(path, body)
    home = design.assembly.get(home_of(design.assembly, path[1]) or "")
    shares = home is not None and any((home.weight, home.density, home.material))
    if body.weight is None and body.density is None and body.material is None and not shares:
        yield Finding(
            path,
            "",
            'it has no weight, no density and no material; write what is known, as in weight = "5.2 g" or '
            'material = "cedar"',
        )
    yield from _as_set(path, body)
    if home is None or home.cavity is None or path[1] not in home.holding():
        yield from _hollow(path, body)


def _as_set(path: tuple[str, str], body: Body) -> Findings:
    if body.fill_set is not None and body.fill_weight is None:
        yield _given(
            (*path, "fill_set"), body.fill_set, 'it tells how a part fill lay, but not how much was poured; write its '
            'fill_weight = "4 g" too, or leave this line out'
        )  # fmt: skip


def _hollow(path: tuple[str, str], body: Body) -> Findings:
    if body.wall is None and body.cavity is None:
        if body.shape == "mesh":
            return  # its file may have a hollow inside
        for key in ("fill", "fill_weight", "fill_density"):
            value = getattr(body, key)
            if value is not None:
                yield _given(
                    (*path, key), value, 'a solid body has nothing to fill; write its wall = "1.5 mm" or its '
                    'cavity = "18 mL", or leave this line out'
                )  # fmt: skip
        return
    sizes = outer_sizes(body)
    if sizes is None:
        return
    if body.wall is not None and 2 * body.wall.value >= min(sizes) and body.displaced is None:
        yield _given(
            (*path, "wall"),
            body.wall,
            Message(
                "two such walls are as much as the whole body's {across}, so no hollow is left; write a thinner wall, "
                "or leave it out for a solid body",
                across=Amount(min(sizes), "length"),
            ),
        )
    if body.cavity is None:
        return
    outside = body.displaced.value if body.displaced else None
    told = "as dunked"
    if outside is None and (body.weight is None or (body.density is None and body.material is None)):
        outside, told = _volume_at_most(body, sizes), "by its sizes"
    if outside is not None and body.cavity.value >= outside:
        yield _given(
            (*path, "cavity"),
            body.cavity,
            Message(
                "the outside, {outside} {told}, is the hollow and the wall together, so the hollow must be smaller; "
                "check both, or dunk the body and write what it displaced",
                outside=Amount(outside, "volume"),
                told=told,
            ),
        )


def _volume_at_most(body: Body, sizes: tuple[float, float, float]) -> float:
    """Volume inside, m3: of an ellipsoid exactly, of stations the box around them."""
    box = sizes[0] * sizes[1] * sizes[2]
    if body.shape != "ellipsoid":
        return box
    n = body.exponent
    section = math.gamma(1 + 1 / n) ** 2 / math.gamma(1 + 2 / n)  # of a superellipse, over its box
    return 2 / 3 * section * box


def _wire(path: tuple[str, str], wire: Wire) -> Findings:
    if math.dist(point(wire.start), point(wire.end)) < CLOSEST:
        yield Finding(
            path, "", "it starts and ends at the same place; give its end another place than its start"
        )


def _materials(design: Design) -> Findings:
    """Names that are in no list, where the part has no density of its own."""
    groups: Mapping[str, Mapping[str, Body | Assembly | Plate | Wire | Hanging | Ballast]] = {
        "body": design.body,
        "plate": design.plate,
        "wire": design.wire,
        "hook": design.hook,
        "fitting": design.fitting,
        "ballast": design.ballast,
        "assembly": design.assembly,
    }
    for group, parts in groups.items():
        for name, part in parts.items():
            if part.material is not None and part.density is None:
                yield from _material((group, name, "material"), part.material, "density")
            if isinstance(part, Body | Assembly) and part.fill is not None and not part.fill_density:
                yield from _material((group, name, "fill"), part.fill, "fill_density")


def _material(path: tuple[str, str, str], name: str, density: str) -> Findings:
    found = find(name)
    if found is not None:
        if found.density == 0.0 and density == "density":
            yield _given(path, name, "only a hollow can be filled with it; write what the part is made of")
        return
    near = nearest(name, MATERIALS)
    hint = f'did you mean "{near}"? Otherwise' if near else "to use a material of your own"
    yield _given(
        path, name, f'there is no such material in the list; {hint} give its {density} = "0.62 g/cm3"'
    )


def _paint(design: Design) -> Findings:
    paint = design.paint
    if paint is not None and paint.weight is None and paint.thickness is None:
        yield Finding(
            ("paint",),
            "",
            'it has neither a weight nor a thickness; write the gain on the scale, weight = "0.6 g", or '
            'thickness = "0.15 mm"',
        )


def _line(design: Design) -> Findings:
    diameter = design.line.diameter
    if diameter.value > THICKEST_LINE:
        yield _given(
            ("line", "diameter"), diameter, 'this is a rope, not a line; write for example "0.28 mm"'
        )
    leader = design.line.leader
    if leader is not None and leader.diameter.value > THICKEST_LINE:
        yield _given(
            ("line", "leader", "diameter"),
            leader.diameter,
            'this is a rope, not a leader; write for example "0.35 mm"',
        )


def _cast(design: Design) -> Findings:
    if not STEEPEST_DOWN - 1e-9 <= design.cast.angle.value <= STEEPEST_UP + 1e-9:
        yield _given(
            ("cast", "angle"),
            design.cast.angle,
            'a cast leaves between 20 deg below level and 90 deg, straight up; write for example "40 deg"',
        )


def _tie_ons(design: Design) -> Findings:
    for name, tie in design.tie_on.items():
        if tie.bend.value != 0.0 and tie.arm is None:
            yield Finding(
                ("tie_on", name),
                "",
                'its eye is bent, but how long is it? Write for example arm = "5 mm"',
            )
        if abs(tie.bend.value) > MOST_BENT:
            yield _given(
                ("tie_on", name, "bend"), tie.bend, "an eye can be bent by 90 deg at most, to either side"
            )


# --- parts against each other --------------------------------------------------------------------------


def _something_to_swim(design: Design) -> Findings:
    if not (design.body or design.plate or design.wire):
        yield Finding(
            (),
            "",
            "the lure has no volume: it has no body, no plate and no wire; write [body.main] and below it "
            'length = "70 mm", width = "18 mm", height = "22 mm", material = "cedar"',
        )


def _some_tie_on(design: Design) -> Findings:
    if not design.tie_on:
        yield Finding(
            (),
            "",
            "there is no point to tie the line to; write [tie_on.nose] and below it "
            'at = { back = "0 mm", up = "0 mm" }',
        )


def _ballast_in_a_body(design: Design) -> Findings:
    for name, weight in design.ballast.items():
        if weight.place == "outside" and weight.body is None:
            continue
        path = ("ballast", name, "body")
        if not design.body:
            yield Finding(path[:2], "", 'there is no body for it to sit in; write place = "outside"')
        elif weight.body is not None and weight.body not in design.body:
            near = nearest(weight.body, design.body)
            hint = f'did you mean "{near}"?' if near else f"the bodies are {_listed(list(design.body))}"
            yield _given(path, weight.body, f"there is no body of that name; {hint}")


def _balance_on_the_lure(design: Design) -> Findings:
    balance = design.measured.balance
    box = extent(design) if balance is not None else None
    if balance is None or box is None:
        return
    nose, tail = box[0]
    spare = 0.02 * (tail - nose)
    if not nose - spare <= balance.value <= tail + spare:
        yield _given(
            ("measured", "balance"),
            balance,
            Message(
                "the lure reaches from {nose} to {tail} behind the nose and can only balance in between; measure "
                "again from the tip of the nose",
                nose=Amount(nose, "length"),
                tail=Amount(tail, "length"),
            ),
        )


def _not_too_many(design: Design) -> Findings:
    groups = (
        design.body,
        design.plate,
        design.wire,
        design.hook,
        design.fitting,
        design.ballast,
        design.tie_on,
    )
    count = sum(len(group) for group in groups)
    if count > MOST_PARTS:
        yield Finding((), "", f"the lure has {count} parts; {MOST_PARTS} is the most that can be worked with")


_OF_THE_WHOLE: tuple[tuple[set[str], Callable[[Design], Findings]], ...] = (
    ({"body", "plate", "wire"}, _something_to_swim),
    ({"tie_on"}, _some_tie_on),
    ({"paint"}, _paint),
    ({"body", "ballast"}, _ballast_in_a_body),
    ({"body", "plate", "wire", "hook", "fitting", "ballast", "measured"}, _balance_on_the_lure),
    (set(), _not_too_many),
)


def _listed(words: list[str]) -> str:
    return " and ".join(filter(None, [", ".join(words[:-1]), words[-1]]))
