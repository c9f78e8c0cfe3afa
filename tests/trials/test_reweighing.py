"""A changed value costs one part weighed again, and gives what weighing everything again would give."""

from importlib import import_module
from pathlib import Path

import pytest

from sim.design.expand import expanded
from sim.design.load import load
from sim.design.paths import leaves, replaced
from sim.lure.profile import BuildError
from sim.trials.budget import budget
from sim.trials.margin import margin_effects, margin_kg
from sim.trials.reweighing import Reweighing
from sim.units import Quantity
from tests.in_words import in_words
from tests.lure.makers import OVAL, design

DEMOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))
LOADED = {
    "main": OVAL | {"density": "0.4 g/cm3", "wall": "1.5 mm", "fill_density": "0.1 g/cm3"},
    "tail": OVAL | {"weight": "3 g", "at": {"back": "80 mm"}, "mirrored": True},
}
RICH = [
    design(
        body=LOADED,
        plate={"lip": {"role": "lip", "length": "20 mm", "width": "15 mm", "density": "1.2 g/cm3"}},
        wire={
            "w": {"start": {"back": "0 mm"}, "end": {"back": "60 mm"}, "diameter": "1 mm", "inside": "main"}
        },
        hook={"h": {"weight": "2 g", "at": {"back": "30 mm"}}},
        ballast={
            "in": {"weight": "1 g", "at": {"back": "20 mm"}, "place": "cavity"},
            "out": {"weight": "1 g", "at": {"back": "30 mm"}, "place": "outside"},
        },
        rattle={"r": {"weight": "0.2 g", "count": 2, "front": {"back": "20 mm"}, "rear": {"back": "30 mm"}}},
        **more,
    )
    for more in (
        {},
        {"paint": {"thickness": "0.2 mm"}},
        {"paint": {"weight": "0.5 g"}},
        {"measured": {"weight": "20 g"}},
        {"measured": {"displaced": "21 mL", "balance": "30 mm"}},
    )
]


def same_as_the_whole(drawn):
    drawn = expanded(drawn)
    again = Reweighing(drawn)
    assert again.margin == pytest.approx(margin_kg(drawn), rel=1e-12)
    for path, quantity in leaves(drawn).items():
        value = Quantity(1.07 * quantity.value + 1e-4, 0.0, quantity.dimension)
        try:
            whole = margin_kg(replaced(drawn, {path: value}))
        except BuildError:
            assert again.with_value(path, value.value, value.dimension) is None
            continue
        assert again.with_changes({path: value}) == pytest.approx(whole, rel=1e-9, abs=1e-12), path


@pytest.mark.parametrize("file", DEMOS, ids=lambda file: file.stem)
def test_every_value_of_every_demo_gives_the_margin_of_the_whole_weighed_again(file):
    same_as_the_whole(load(file))


@pytest.mark.parametrize("number", range(len(RICH)))
def test_so_it_does_where_parts_sit_in_parts_and_the_whole_was_measured(number):
    same_as_the_whole(RICH[number])


def test_several_changes_at_once_add_up():
    drawn = expanded(RICH[0])
    changes = {
        "body.main.density": Quantity(500.0, 0.0, "density"),
        "ballast.in.weight": Quantity(2e-3, 0.0, "mass"),
        "water.temperature": Quantity(4.0, 0.0, "temperature"),
    }
    assert Reweighing(drawn).with_changes(changes) == pytest.approx(
        margin_kg(replaced(drawn, changes)), rel=1e-12
    )


def bodies(count, apart):
    part = {"length": "30 mm", "width": "8 mm", "height": "9 mm", "density": "0.4 +- 0.02 g/cm3"}
    return design(body={f"b{k}": part | {"at": {"back": f"{apart * k} mm"}} for k in range(count)})


@pytest.mark.parametrize("apart", [0, 40])
def test_the_cost_of_a_budget_is_linear_in_the_parts(apart, monkeypatch):
    built = []

    def counting(name, *rest):
        built.append(name)
        return build(name, *rest)

    weighing = import_module("sim.lure.weigh")  # the package has a function of the same name
    build = weighing.build_body
    monkeypatch.setattr(weighing, "build_body", counting)
    cost = []
    for count in (10, 20, 40):
        built.clear()
        budget(bodies(count, apart))
        cost.append(len(built))
    assert cost[2] - cost[1] <= 2 * (cost[1] - cost[0]) + 10
    assert cost[2] < 40 * 30


def test_bodies_in_bodies_are_told_in_one_warning():
    found = [w for w in in_words(budget(bodies(21, 0)).warnings) if "both count in full" in w]
    assert len(found) == 1
    assert "and 17 others into others" in found[0]
    (two,) = (w for w in in_words(budget(bodies(2, 0)).warnings) if "both count in full" in w)
    assert "others" not in two


def test_a_body_is_not_worked_out_again_for_a_doubt_that_is_none_of_its_own(monkeypatch):
    lure, module, calls = load(DEMOS[-2]), import_module("sim.lure.bodies"), []
    again, make = Reweighing(lure), module._body
    monkeypatch.setattr(module, "_body", lambda *words: calls.append(words) or make(*words))
    own = {f"body.{name}" for name in lure.body}
    effects = margin_effects(again)
    others = [one for one in effects if ".".join(one.input.path.split(".")[:2]) not in own]
    assert len(others) > 5
    assert 0 < len(calls) <= 2 * (len(effects) - len(others)) + len(lure.body)
