"""Hypothesis strategies over the design language: dicts as a TOML reader gives them, every value legal.

`designs()` draws whole lures, mostly of a size that somebody could make, sometimes at the edges of what is
legal. `to_toml` writes a dict as the text of a design file.
"""

from __future__ import annotations

import math
from typing import Any

from hypothesis import strategies as st

from sim.design.materials import MATERIALS
from sim.units import UNITS, parse

_UNITS = {
    "length": ("mm", "cm", "m", "in", "ft"),
    "mass": ("g", "kg", "oz", "lb", "grain"),
    "volume": ("mL", "cc", "L", "fl oz"),
    "speed": ("m/s", "km/h", "mph", "ft/s"),
    "angle": ("deg", "rad"),
    "temperature": ("C", "F", "K"),
    "density": ("g/cm3", "kg/m3", "lb/ft3"),
    "salinity": ("g/kg", "ppt"),
    "force": ("lb", "kg", "N"),
    "time": ("s", "min"),
    "factor": ("x", "times"),
}
_SOLIDS = sorted(name for name, material in MATERIALS.items() if material.density > 0)
_FILLS = [*_SOLIDS, "air"]

names = st.from_regex(r"[A-Za-z][A-Za-z0-9_-]{0,9}", fullmatch=True)
texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)


@st.composite
def _written(draw: st.DrawFn, si: float, dimension: str, spread: bool = True) -> str:
    """A value of SI size `si` as some maker would write it."""
    unit = draw(st.sampled_from(_UNITS[dimension]))
    scale, offset = UNITS[dimension][unit]
    number = f"{(si - offset) / scale:.6g}"
    if draw(st.booleans()):
        decimals = number.partition(".")[2].partition("e")[0]
        number = number.replace(".", ",") if len(decimals) != 3 else number  # three look like thousands
    sure = f" +- {draw(st.integers(1, 20))} %" if spread and draw(st.integers(0, 4)) == 0 else ""
    return f"{number} {unit}" if not sure else f"{number}{sure} {unit}"


def evenly(low: float, high: float, dimension: str) -> st.SearchStrategy[str]:
    """Quantities from `low` to `high`, SI, any sign."""
    spread = dimension != "temperature"
    return st.floats(low, high).flatmap(lambda value: _written(round(value, 6), dimension, spread))


def sizes(
    dimension: str, usual: tuple[float, float], legal: tuple[float, float] | None = None
) -> st.SearchStrategy[str]:
    """Quantities above zero, spread over the powers of ten; three in four within the usual range, SI."""

    def within(span: tuple[float, float]) -> st.SearchStrategy[float]:
        return st.floats(math.log(span[0]), math.log(span[1])).map(math.exp)

    value = within(usual)
    if legal is not None:
        value = st.one_of(value, value, value, within(legal))
    return value.flatmap(lambda si: _written(si, dimension))


LENGTHS = ((2e-3, 0.25), (2e-6, 1.9))  # usual and legal, m
THIN = ((3e-4, 3e-3), (2e-6, 0.1))
MASSES = ((1e-4, 0.1), (2e-8, 19.0))  # kg
length = sizes("length", *LENGTHS)
thin = sizes("length", *THIN)
mass = sizes("mass", *MASSES)
density = sizes("density", (100.0, 11000.0), (1.0, 24000.0))
offset = st.one_of(evenly(-0.05, 0.05, "length"), evenly(-0.05, 0.05, "length"), evenly(-1.9, 1.9, "length"))
angle = st.one_of(evenly(-1.5, 1.5, "angle"), evenly(-6.28, 6.28, "angle"))
solid = st.sampled_from(_SOLIDS)


def _table(required: dict[str, Any] | None = None, **optional: Any) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries(required or {}, optional=optional)


places = _table(back=offset, up=offset, left=offset)
_stuff = {"material": solid, "density": density, "weight": mass}
_twin = {"mirrored": st.booleans()}

plates = _table(
    {"role": st.sampled_from(["lip", "fin", "tail", "blade", "spoon"]), "length": length, "width": length},
    root=places,
    thickness=thin,
    angle=angle,
    roll=angle,
    skew=angle,
    outline=st.sampled_from(["straight", "round"]),
    **_twin,
    **_stuff,
)
hangings = _table({"weight": mass}, at=places, size=length, material=solid, density=density, **_twin)


@st.composite
def wires(draw: st.DrawFn) -> dict[str, Any]:
    """A wire whose ends are apart."""
    begin = draw(st.floats(-0.1, 0.3))
    run = math.exp(draw(st.floats(math.log(1e-4), math.log(0.5))))
    start, end = draw(places), draw(places)
    start["back"], end["back"] = f"{begin:.6f} m", f"{begin + run:.6f} m"
    return {"start": start, "end": end, "diameter": draw(thin), **draw(_table(**_twin, **_stuff))}


@st.composite
def bodies(draw: st.DrawFn) -> dict[str, Any]:
    """An ellipsoid or stations, solid or hollow, weighed or not."""
    span = draw(st.sampled_from([LENGTHS[0], LENGTHS[0], LENGTHS[0], LENGTHS[1]]))
    within = st.floats(math.log(span[0]), math.log(span[1])).map(math.exp)
    long, wide, high = (draw(within) for _ in range(3))
    body: dict[str, Any] = draw(
        _table(
            exponent=st.one_of(st.just(2), st.floats(1.0, 50.0)),
            at=places,
            angle=angle,
            displaced=sizes("volume", (1e-6, 1e-4), (2e-10, 0.09)),
            **_twin,
        )
    )
    known = [_table({key: value}) for key, value in _stuff.items()]
    body |= draw(st.one_of(known))
    if draw(st.booleans()):
        body |= {"shape": "ellipsoid"} if draw(st.booleans()) else {}
        body |= {"length": f"{long:.6g} m", "width": f"{wide:.6g} m", "height": f"{high:.6g} m"}
    else:
        body |= {"shape": "stations", "stations": draw(_stations(long, wide, high))}
    if min(long, wide, high) > 3e-3 and draw(st.integers(0, 2)) == 0:
        body |= draw(_hollows(body, long, wide, high))
    return body


@st.composite
def _hollows(draw: st.DrawFn, body: dict[str, Any], long: float, wide: float, high: float) -> dict[str, Any]:
    """A wall or a cavity that the body has room for, and what is in it."""
    share = draw(st.floats(0.02, 0.9))
    if draw(st.booleans()):
        hollow = {"wall": f"{0.5 * share * min(long, wide, high):.6g} m"}
    elif "displaced" in body:
        hollow = {"cavity": f"{max(share * parse(body['displaced'], 'volume').value, 1.01e-10):.6g} m3"}
    else:  # the slimmest ellipsoid, with diamonds for sections, fills a third of its box
        hollow = {"cavity": f"{min(share * long * wide * high / 3, 0.09):.6g} m3"}
    return hollow | draw(_table(fill=st.sampled_from(_FILLS), fill_density=density, fill_weight=mass))


@st.composite
def _stations(draw: st.DrawFn, long: float, wide: float, high: float) -> list[dict[str, Any]]:
    count = draw(st.integers(2, 8))
    fullest = draw(st.integers(0, count - 1))
    share = st.one_of(st.just(0.0), st.floats(0.01, 1.0))
    rows = []
    for k in range(count):
        across, upward = (1.0, 1.0) if k == fullest else (draw(share), draw(share))
        row = {
            "back": f"{max(long, 1e-4) * k / (count - 1):.9f} m",
            "width": f"{wide * across:.6g} m" if wide * across > 1e-6 else "0 mm",
            "height": f"{high * upward:.6g} m" if high * upward > 1e-6 else "0 mm",
        }
        rows.append(row | draw(_table(up=evenly(-0.02, 0.02, "length"), exponent=st.floats(1.0, 50.0))))
    return rows


def _named(
    part: st.SearchStrategy[dict[str, Any]], fewest: int, most: int
) -> st.SearchStrategy[dict[str, Any]]:
    return st.dictionaries(names, part, min_size=fewest, max_size=most)


waters = _table(
    kind=st.sampled_from(["fresh", "salt"]),
    salinity=evenly(0.0, 41.9, "salinity").filter(lambda text: "+-" not in text),
    temperature=evenly(0.01, 39.9, "temperature"),
    depth=sizes("length", (0.5, 20.0), (0.05, 290.0)),
    current=evenly(-1.0, 1.0, "speed"),
    current_toward=angle,
)
lines = _table(
    material=st.sampled_from(["nylon", "fluorocarbon", "braid"]),
    diameter=sizes("length", (1e-4, 6e-4), (1e-5, 4.9e-3)),
    strength=sizes("force", (5.0, 500.0)),
    leader=_table(
        {"diameter": sizes("length", (1e-4, 1e-3)), "length": sizes("length", (0.1, 3.0))},
        material=st.sampled_from(["nylon", "fluorocarbon", "braid"]),
    ),
)
steps = st.one_of(
    _table({"do": st.just("wind"), "time": sizes("time", (0.1, 3.0)), "speed": sizes("speed", (0.1, 2.0))}),
    _table({"do": st.just("pause"), "time": sizes("time", (0.1, 3.0))}),
    _table(
        {
            "do": st.sampled_from(["twitch", "sweep"]),
            "time": sizes("time", (0.1, 2.0)),
            "pull": sizes("length", (0.05, 1.5)),
        },
        toward=st.sampled_from(["back", "left", "right"]),
    ),
    _table({"do": st.just("tip"), "time": sizes("time", (0.1, 2.0)), "height": sizes("length", (0.1, 3.0))}),
)
programmes = _table(
    {"steps": st.lists(steps, min_size=1, max_size=4)},
    count=sizes("time", (0.5, 5.0)),
    repeat=st.integers(1, 3),
)
casts = _table(
    speed=sizes("speed", (8.0, 40.0), (2e-3, 99.0)),
    angle=evenly(-0.34, 1.57, "angle"),
    rod=sizes("length", (0.5, 4.5), (0.01, 19.0)),
    drop=sizes("length", (0.05, 1.5), (0.01, 19.0)),
    height=sizes("length", (0.3, 5.0), (0.01, 19.0)),
    wind=evenly(-15.0, 15.0, "speed"),
    crosswind=evenly(-15.0, 15.0, "speed"),
)
retrieves = _table(
    speeds=st.lists(sizes("speed", (0.1, 2.0), (2e-3, 90.0)), min_size=1, max_size=3),
    tip=sizes("length", (0.1, 3.0), (0.01, 19.0)),
    distance=sizes("length", (3.0, 40.0), (0.05, 290.0)),
    duration=sizes("time", (1.0, 12.0), (0.02, 60.0)),
    programme=st.dictionaries(names, programmes, max_size=2),
)
eyes = st.one_of(
    _table(at=places),
    _table({"arm": sizes("length", (1e-3, 1e-2)), "bend": evenly(-1.5, 1.5, "angle")}, at=places),
)
paints = st.one_of(_table({"weight": mass}, density=density), _table({"thickness": thin}, density=density))


@st.composite
def designs(draw: st.DrawFn) -> dict[str, Any]:
    """A whole design that `sim.design.load.read` takes, as a dict."""
    kind = draw(st.sampled_from(["body", "body", "body", "plate", "wire"]))  # what it is sure to have
    design: dict[str, Any] = {
        "name": draw(texts.filter(bool)),
        "body": draw(_named(bodies(), kind == "body", 2)),
        "plate": draw(_named(plates, kind == "plate", 2)),
        "wire": draw(_named(wires(), kind == "wire", 2)),
        "hook": draw(_named(hangings, 0, 2)),
        "fitting": draw(_named(hangings, 0, 2)),
        "tie_on": draw(_named(eyes, 1, 2)),
    }
    weights = _table({"at": places, "weight": mass}, material=solid, density=density, **_twin)
    design["ballast"] = draw(_named(weights, 0, 2))
    for weight in design["ballast"].values():
        homes = st.sampled_from(["drilled", "cavity", "outside"]) if design["body"] else st.just("outside")
        weight["place"] = draw(homes)
        if weight["place"] != "outside" and draw(st.booleans()):
            weight["body"] = draw(st.sampled_from(sorted(design["body"])))
    design |= draw(
        _table(
            about=texts, water=waters, line=lines, cast=casts, retrieve=retrieves, paint=paints,
            measured=_table(weight=mass, displaced=sizes("volume", (1e-6, 1e-4), (2e-10, 0.09))),
        )
    )  # fmt: skip
    return design


def to_toml(design: dict[str, Any]) -> str:
    """The text of a design file: headings for tables, inline tables inside lists and below parts."""
    plain = {key: value for key, value in design.items() if not isinstance(value, dict)}
    text = "".join(f"{key} = {_value(value)}\n" for key, value in plain.items())
    for key, table in design.items():
        if not isinstance(table, dict):
            continue
        parts = {name: part for name, part in table.items() if isinstance(part, dict)}
        if key in ("body", "plate", "wire", "hook", "fitting", "ballast", "tie_on"):
            for name, part in parts.items():
                text += f"\n[{key}.{name}]\n" + "".join(f"{k} = {_value(v)}\n" for k, v in part.items())
        else:
            text += f"\n[{key}]\n" + "".join(f"{k} = {_value(v)}\n" for k, v in table.items())
    return text


def _value(value: Any) -> str:
    if isinstance(value, str):
        return '"' + "".join(_escaped(c) for c in value) + '"'
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_value(item)}" for key, item in value.items()) + " }"
    return repr(value)


def _escaped(character: str) -> str:
    if character in '"\\':
        return "\\" + character
    return character if character.isprintable() else f"\\U{ord(character):08x}"
