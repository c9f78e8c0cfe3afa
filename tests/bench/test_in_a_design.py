# ruff: noqa: E501  (long lines are messages)
"""Readings as tables of a design file: what they fill, what they refuse, what they contradict."""

import math
import re
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel

from sim.design.expand import expand, expanded, with_rattles
from sim.design.load import DesignError, read, warnings
from sim.design.model import Design
from sim.design.paths import leaves
from sim.lure import build
from sim.lure.weigh import weigh
from sim.media import water_density
from sim.show.worded import worded
from sim.trials.budget import budget
from sim.trials.cautions import Hazard, cautions
from sim.trials.floating import rest
from tests.in_words import in_words

BODY = """name = "bench"
[body.main]
length = "60 mm"
width = "20 mm"
height = "24 mm"
{body}
[tie_on.nose]
"""


def made(body: str = 'material = "cedar"', more: str = "") -> Design:
    return read(BODY.format(body=body) + more, "lure.toml")


def refused(body: str = 'material = "cedar"', more: str = "") -> str:
    with pytest.raises(DesignError) as error:
        made(body, more)
    return str(error.value)


def test_water_fill_and_cup_fill_the_gaps() -> None:
    design = made(
        'weight = "9 g"\nwater_fill = { full = "15.0 g", empty = "9.0 g" }\n'
        'cup = { after = "13.1 g", temperature = "20 C" }\nmaterial = "abs"'
    )
    body = design.body["main"]
    assert body.cavity.value == pytest.approx(6e-3 / water_density(20.0))
    assert body.cavity.sd > 0.0
    assert body.displaced.value == pytest.approx(13.1e-3 / water_density(20.0))
    assert {"body.main.cavity", "body.main.displaced"} <= set(leaves(design))
    assert not any("water_fill" in path or "cup" in path for path in leaves(design))


def test_what_is_written_stands_and_a_reading_against_it_is_told() -> None:
    design = made('material = "cedar"\ndisplaced = "15.0 +- 0.1 mL"\ncup = { after = "20.0 +- 0.1 g" }')
    assert design.body["main"].displaced.value == pytest.approx(15e-6)
    (told,) = [w for w in in_words(warnings(design)) if "hung in a cup" in w]
    assert told.startswith(
        "What body.main displaces is 15.0 mL as written but 20.0 mL hung in a cup on the scale"
    )
    assert "An air bubble" in told


def test_level_and_cup_together_give_one_value_and_are_held_against_each_other() -> None:
    agree = made(
        'material = "cedar"\nlevel = { before = "50 mL", after = "65 mL" }\ncup = { after = "15.1 g" }'
    )
    assert agree.body["main"].displaced.value == pytest.approx(15.1e-6, rel=0.01)
    assert warnings(agree) == []
    apart = made(
        'material = "cedar"\nlevel = { before = "50 mL", after = "80 mL" }\ncup = { after = "15.1 g" }'
    )
    (told,) = in_words(warnings(apart))
    assert "30.0 mL by the rise of the level but 15.1 mL hung in a cup" in told
    assert "One is 1.98 times the other" in told


def test_a_cavity_taken_for_the_whole_is_recognised() -> None:
    design = made('weight = "17 g"\nmaterial = "abs"\ncavity = "12.0 mL"\ndisplaced = "12.6 mL"')
    (told,) = [w for w in in_words(warnings(design)) if "taken for what it displaces" in w]
    assert "leaves a wall of 28.3 g/cm3 for its 17.0 g" in told
    assert "at least 11.1 mL more" in told


def test_a_weighed_scrap_against_a_written_density_is_told() -> None:
    design = made('density = "1.05 +- 0.01 g/cm3"\nimmersion = { air = "6.00 g", hung = "1.00 g" }')
    assert any(
        "1.05 g/cm3 as written but 1.20 g/cm3 weighed in water" in w for w in in_words(warnings(design))
    )


def test_hooks_by_the_dozen_by_estimate_and_by_count() -> None:
    design = made(
        more="""
[hook.belly]
bulk = { weight = "12.4 g", count = 10 }
count = 2
[hook.tail]
estimate = { kind = "treble", wire = "0.9 mm", gape = "8 mm" }
[fitting.eye]
estimate = { kind = "swivel", number = "7" }
"""
    )
    assert design.hook["belly"].weight.value == pytest.approx(2.48e-3)
    assert 0.4e-3 < design.hook["tail"].weight.value < 1.3e-3
    assert design.hook["tail"].weight.sd > 0.05e-3
    assert expanded(design) == design  # a count is not taken twice


def test_ballast_by_its_form_weighs_in_its_metal() -> None:
    design = made(
        more="""
[ballast.chin]
at = { back = "20 mm" }
metal = { kind = "ball", across = "5 mm" }
material = "tungsten"
count = 2
"""
    )
    assert design.ballast["chin"].weight.value == pytest.approx(2 * math.pi / 6 * 0.005**3 * 19300)


def test_a_through_wire_weighs_what_it_weighs_and_takes_the_woods_place() -> None:
    bare = weigh(made())
    design = made(
        more="""
[wire.through]
start = { back = "0 mm" }
end = { back = "60 mm" }
diameter = "1.2 mm"
material = "stainless"
inside = "main"
"""
    )
    wire = math.pi / 4 * 0.0012**2 * 0.06
    assert design.wire == {}
    whole = weigh(design)
    assert whole.volume == pytest.approx(bare.volume)
    assert whole.mass - bare.mass == pytest.approx(wire * (7900 - 358), rel=1e-6)
    # of a row of eight balls, the inertia of the rod to a percent
    gain = whole.inertia[2, 2] - bare.inertia[2, 2]
    assert gain == pytest.approx(wire * (7900 - 358) * 0.06**2 / 12, rel=0.02)
    (row,) = [part for part in whole.parts if part.kind == "wire"]
    assert (row.name, row.source) == ("wire through", "computed")
    assert row.mass == pytest.approx(wire * 7900, rel=1e-6)
    assert whole.warnings == bare.warnings


def test_a_through_wire_pushes_water_aside_where_it_comes_out() -> None:
    bare = weigh(made())
    design = made(
        more="""
[wire.through]
start = { back = "-18 mm" }
end = { back = "62 mm" }
diameter = "1.2 mm"
inside = "main"
"""
    )
    whole = weigh(design)
    out = math.pi / 4 * 0.0012**2 * 0.016  # two of ten pieces have their middle ahead of the nose
    assert whole.volume - bare.volume == pytest.approx(out, rel=1e-6)
    assert whole.warnings == bare.warnings


def test_own_materials_and_mixes_are_named_by_parts() -> None:
    design = made(
        'material = "cork-mix"\ncavity = "5 mL"\nfill = "light"',
        """
[material.cork-mix]
lightest = "0.30 g/cm3"
heaviest = "0.40 g/cm3"
[mix.light]
parts = [
    { name = "resin", parts = 1, density = "1.10 g/cm3" },
    { name = "hardener", parts = 1, density = "1.00 g/cm3" },
    { name = "spheres", percent = 10, density = "0.15 g/cm3" },
]
""",
    )
    body = design.body["main"]
    assert body.density.flat
    assert body.density.value == pytest.approx(350.0)
    by_hand = 2.2 / (1 / 1100 + 1 / 1000 + 0.2 / 150)
    assert body.fill_density.value == pytest.approx(by_hand)
    assert {Hazard.RESIN, Hazard.DUST} <= {one.key for one in cautions(design)}


def test_moist_and_soaked_wood_is_heavier_by_its_water() -> None:
    dry = weigh(made('material = "cedar"'))
    moist = weigh(made('material = "cedar"\nmoisture = 20'))
    assert moist.mass / dry.mass == pytest.approx(1.20 / 1.12)  # Wood Handbook ch. 4; from memory
    soaked = weigh(made('weight = "6 g"\nsoaked = 5'))
    assert soaked.mass == pytest.approx(6.3e-3)
    assert soaked.volume == pytest.approx(dry.volume)


def test_a_rattle_rests_at_two_places_and_the_range_of_the_balance_point_is_told() -> None:
    more = """
[rattle.chamber]
front = { back = "20 mm" }
rear = { back = "40 mm" }
across = "4 mm"
count = 3
"""
    design = made('material = "abs"\ncavity = "9 mL"', more)
    told = budget(design)
    assert told.warnings == []
    balls = 3 * math.pi / 6 * 0.004**3 * 7850 * 1e3
    front, rear = told.rattle_back_mm
    assert rear - front == pytest.approx(20.0 * balls / told.mass_g, rel=1e-6)
    assert front < told.gravity_back_mm < rear
    assert with_rattles(made()) == made()
    assert budget(made()).rattle_back_mm is None


def test_two_ways_to_find_the_balance_point_are_taken_together() -> None:
    design = made(
        more="""
[measured]
poise = { back = ["33.5 mm", "34.5 mm"], up = "-2 mm", whole = "20 g", on_scale = "11.2 g", span = "60 mm" }
"""
    )
    assert 33.5e-3 < design.measured.balance.value < 34.5e-3
    assert weigh(design).centre[2] == pytest.approx(-2e-3)
    assert weigh(design).centre[0] == pytest.approx(-design.measured.balance.value)


@pytest.mark.parametrize(
    ("body", "more", "says"),
    [
        ('material = "abs"\nwater_fill = { full = "9 g", empty = "15 g" }', "", "lure.toml:7: body.main.water_fill: "
         "it weighs 9.000 g full of water and 15.00 g empty"),
        ('material = "abs"\nwater_fill = { full = "9 g" }', "", "body.main.water_fill: give full and empty, or water"),
        ('material = "abs"\nwater_fill = { water = "300 g" }', "", "must be smaller; check both"),
        ('scrap = { sank = "60 g/L", floated = "fresh water" }', "", "the two were probably swapped"),
        ('scrap = { sank = "soup" }', "", "this names no bath; write"),
        ('scrap = { floated = "0.79 g/cm3" }', "", "body.main: the scrap floated at 0.7900 g/cm3, and a hard plastic is at least"),
        ('immersion = { air = "5 g", hung = "6 g" }', "", "water can only take weight away"),
        ('immersion = { air = "-5 g", hung = "1 g" }', "", "is negative; write it as a positive number"),
        ('immersion = { air = "5 g", hung = "1 g", temperature = "80 C" }', "", "is not between freezing and 40 C"),
        ('material = "abs"\nmoisture = 9', "", "moisture changes the density of a wood"),
        ('weight = "5 g"\nmoisture = 9', "", "leave the line moisture out"),
        ('material = "cedar"', "[hook.belly]\n", "lure.toml:8: hook.belly: it has no weight; write weight ="),
        ('material = "cedar"', "[ballast.x]\nat = {}\n", "ballast.x: it has no weight; write weight ="),
        ('material = "cedar"', "[hook.x]\nbulk = { weight = \"12 g\", count = 0 }\n", "hook.x.bulk.count = 0: this must be 1 or more"),
        ('material = "cedar"', "[hook.x]\nestimate = { kind = \"trebel\" }\n", 'did you mean "treble"?'),
        ('material = "cedar"', "[hook.x]\nestimate = { kind = \"treble\", wire = \"1 mm\" }\n", "gape is missing"),
        ('material = "mine"', "[material.mine]\nnote = \"?\"\n", "material.mine: it has no density; write density ="),
        ('material = "mine"', '[material.mine]\nlightest = "0.9 g/cm3"\nheaviest = "0.3 g/cm3"\n', "swap the two"),
        ('material = "cedar"', '[mix.m]\nparts = [{ name = "a" }]\n', "a: give either parts, by weight, or percent"),
        ('material = "cedar"', '[rattle.r]\nfront = {}\nrear = {}\nweight = "1 g"\nbody = "x"\n', "the bodies are main"),
        ('material = "cedar"', '[rattle.r]\nfront = {}\nrear = {}\n', "rattle.r: a rattle needs the weight of one ball"),
        ('material = "cedar"', '[wire.w]\nstart = {}\nend = { back = "9 mm" }\ndiameter = "1 mm"\ninside = "mian"\n',
         'wire.w.inside = "mian": there is no body of that name; the bodies are main'),
    ],
)  # fmt: skip
def test_bad_readings_are_refused_with_their_place_and_a_way_out(body: str, more: str, says: str) -> None:
    assert says in refused(body, more)


def test_all_bad_readings_come_in_one_go() -> None:
    text = refused('immersion = { air = "5 g", hung = "6 g" }', "[hook.belly]\n[hook.tail]\n")
    assert text.count("lure.toml:") == 3


@settings(max_examples=50)
@given(
    full=st.floats(10.0, 40.0),
    empty=st.floats(5.0, 9.0),
    temperature=st.floats(1.0, 39.0),
    again=st.booleans(),
)
def test_expanding_twice_is_expanding_once(
    full: float, empty: float, temperature: float, again: bool
) -> None:
    raw = Design.model_validate({"name": "x", "body": {"b": {
        "length": "60 mm", "width": "40 mm", "height": "40 mm", "weight": f"{empty} g", "material": "abs",
        "water_fill": {"full": f"{full} g", "empty": f"{empty} g", "temperature": f"{temperature} C"},
        "soaked": 3.0 if again else None}}})  # fmt: skip
    once = expand(raw).design
    assert expand(once).design is once
    assert weigh(raw).mass == weigh(once).mass


@pytest.mark.parametrize("page", ["measure", "mix"])
def test_the_file_shown_in_the_how_to_page_reads_without_a_complaint(page: str) -> None:
    text = (Path(__file__).parents[2] / "docs" / "how-to" / f"{page}.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```toml\n(.*?)```", text, re.DOTALL)
    assert blocks
    sizes = 'length = "60 mm"\nwidth = "30 mm"\nheight = "30 mm"\nweight = "12 g"\nmaterial = "abs"'
    for block in blocks:
        design = read(f'name = "page"\n{block.replace("# ...", sizes)}\n[tie_on.nose]\n', "page.toml")
        told = budget(design)
        assert told.warnings == []
        assert told.mass_g > 0.0


NUMBERS = st.sampled_from(["0", "0.001", "0.5", "3", "12.4", "60", "2000", "-4", "1e9", "nan"])
UNITS = st.sampled_from(["g", "mL", "mm", "C", "g/cm3", "g/L", "kg/m3", "deg", ""])
VALUES = st.tuples(NUMBERS, UNITS, st.sampled_from(["", " +- 1", " +- 50 %"])).map(
    lambda t: f"{t[0]}{t[2] if '%' not in t[2] else ''} {t[1]}{t[2] if '%' in t[2] else ''}".strip()
)
BLOCKS = {
    "body.b": ("water_fill", "level", "cup", "immersion", "scrap"),
    "hook.h": ("bulk", "estimate"),
    "ballast.a": ("bulk", "metal"),
    "material.m": ("cube", "immersion", "scrap"),
    "measured": ("level", "cup", "poise", "tub"),
}
KEYS = st.sampled_from(
    ["full", "empty", "water", "temperature", "salinity", "before", "after", "across", "rise", "air", "hung", "gain",
     "sinker", "air_density", "sank", "floated", "weight", "length", "width", "height", "thickness", "wire", "gape",
     "kind", "count", "turns", "number", "back", "up", "whole", "on_scale", "span"]
)  # fmt: skip


@settings(max_examples=300)
@given(data=st.data())
def test_any_readings_whatever_end_in_a_budget_or_a_sentence(data: st.DataObject) -> None:
    raw: dict = {
        "name": "any",
        "body": {
            "b": {"length": "60 mm", "width": "20 mm", "height": "24 mm", "material": "m", "weight": "9 g"}
        },
        "hook": {"h": {}},
        "ballast": {"a": {"at": {}}},
        "material": {"m": {}},
        "measured": {},
    }
    if data.draw(st.booleans()):
        del raw["body"]["b"]["weight"]
    kinds = st.sampled_from(["treble", "ball", "rod", "split ring", "swivel", "fresh water", "7"])
    for table, blocks in BLOCKS.items():
        group, _, name = table.partition(".")
        home = raw[group][name] if name else raw[group]
        known = Design.model_fields[group].annotation
        for block in data.draw(st.lists(st.sampled_from(blocks), unique=True, max_size=2), label=table):
            model = _model_of(known, block)
            own = st.sampled_from(sorted(model.model_fields))
            keys = data.draw(st.lists(st.one_of(own, own, own, KEYS), unique=True, max_size=4))
            home[block] = {
                key: data.draw(st.one_of(VALUES, VALUES, kinds, st.integers(-1, 30))) for key in keys
            }
    try:
        design = read(_toml(raw), "any.toml")
    except DesignError as problem:
        assert str(problem)
        return
    try:
        told = budget(design)
    except ValueError as problem:  # a sentence of the build
        assert "[" in str(problem) or " " in str(problem)
        return
    assert math.isfinite(told.margin_g)
    assert math.isfinite(told.margin_sd_g)


def _model_of(annotation: object, key: str) -> type[BaseModel]:
    kinds = [kind for kind in (annotation, *get_args(annotation)) if hasattr(kind, "model_fields")]
    inner = kinds[0].model_fields[key].annotation
    return next(kind for kind in get_args(inner) if hasattr(kind, "model_fields"))


def _toml(raw: dict) -> str:
    lines = [f'name = "{raw["name"]}"']
    for group, parts in raw.items():
        if group == "name":
            continue
        tables = (
            {f"{group}.{name}": part for name, part in parts.items()}
            if group != "measured"
            else {group: parts}
        )
        for title, part in tables.items():
            lines += [f"[{title}]", *(f"{key} = {_value(value)}" for key, value in part.items())]
    return "\n".join([*lines, "[tie_on.nose]", ""])


def _value(value: object) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_value(inner)}" for key, inner in value.items()) + " }"
    return f'"{value}"' if isinstance(value, str) else str(value)


def test_what_the_tub_showed_is_held_against_how_it_should_float() -> None:
    def told(tail_depth: str) -> str:
        design = made(
            more=f'[measured]\ntub = {{ nose_depth = "8 mm", tail_depth = "{tail_depth}", apart = "40 mm" }}\n'
        )
        tub = worded(rest(design, build(design))).tub
        return "" if tub is None else tub.sentence

    assert told("8 mm") == "In the tub its nose was up by 0.0 degrees, which agrees."
    tilted = told("12 mm")
    assert "5.7 degrees more than the answer" in tilted
    assert "farther aft" in tilted
    assert rest(made(), build(made())).tub is None
