"""The budget: margin, its uncertainty, and the values at which the verdict turns."""

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.design.model import Design
from sim.design.paths import leaves, replaced
from sim.design.priors import drawn, priors
from sim.metrics import Confidence
from sim.show.worded import worded
from sim.trials.budget import budget
from sim.trials.margin import margin_effects, margin_kg
from sim.trials.results import BudgetResult, Verdict
from sim.trials.reweighing import Reweighing

SHELL = {
    "length": "45 mm",
    "width": "36 mm",
    "height": "40 mm",
    "weight": "22.14 +- 0.1 g",
    "cavity": "15 +- 0.5 mL",
    "density": "1.35 +- 0.05 g/cm3",
    "fill_weight": "8.7 +- 0.2 g",
}
"""A shell's weight and cavity, and a fill: common practice, no source."""


def design(**parts) -> Design:
    return Design.model_validate({"name": "test", **parts})


def turns(found: BudgetResult) -> list[str]:
    """Where its verdict turns, in words."""
    return [one.sentence for one in worded(found).turning_values]


def shell(**changes) -> Design:
    return design(body={"main": {**SHELL, **changes}})


def effects_of(made: Design) -> dict[str, float]:
    """What one deviation of each input does to the margin, kg."""
    return {one.input.path: one.kg for one in margin_effects(Reweighing(made))}


def loaded() -> Design:
    return design(
        body={"main": {"length": "70 mm", "width": "16 mm", "height": "20 mm", "material": "basswood"}},
        hook={"belly": {"at": {"back": "25 mm", "up": "-9 mm"}, "weight": "1.3 g"}},
        fitting={"eye": {"weight": "0.2 g"}},
        ballast={"keel": {"at": {"back": "30 mm", "up": "-6 mm"}, "weight": "5 g"}},
        plate={"lip": {"role": "lip", "length": "20 mm", "width": "20 mm", "weight": "0.5 g"}},
        wire={"leg": {"start": {}, "end": {"back": "-20 mm"}, "diameter": "1 mm", "weight": "0.12 g"}},
        paint={"weight": "0.6 g"},
    )


def test_the_margin_is_water_pushed_aside_less_weight() -> None:
    told = budget(shell())
    assert told.mass_g == pytest.approx(30.84, rel=1e-9)
    assert told.displaced_ml == pytest.approx(15.0 + 22.14 / 1.35, rel=1e-9)
    assert told.margin_g == pytest.approx(
        told.displaced_ml * told.water_density_kg_m3 / 1e3 - told.mass_g, rel=1e-9
    )
    assert told.verdict is Verdict.FLOATS
    assert sum(p.mass_g for p in told.parts) == pytest.approx(told.mass_g)
    assert sum(p.displaced_ml for p in told.parts) == pytest.approx(told.displaced_ml)


def test_a_shell_with_a_dense_wall_sinks_and_the_turning_density_is_told() -> None:
    told = budget(shell(density="1.5 g/cm3"))
    assert told.verdict is Verdict.SINKS
    # 15 mL + 22.14 g / rho carries 30.84 g of lure: rho = 22.14 / (30.84 / rho_water - 15)
    flip = 22.14 / (30.84 / (told.water_density_kg_m3 / 1e3) - 15.0)
    assert (
        f"The wall of main would have to be lighter than {flip:.3g} g/cm3 for it to "
        f"float; a scrap of it weighed "
        "dry, and again hung in water, tells."
    ) in turns(told)
    assert budget(shell(density=f"{flip} g/cm3")).margin_g == pytest.approx(0.0, abs=1e-6)


def test_a_shell_whose_wall_turns_at_the_waters_density_is_told_to_drop_a_scrap() -> None:
    # nothing but wall and a little fill: it floats only if the wall itself nearly does
    told = budget(shell(density="1.2 g/cm3", fill_weight="14.5 g", cavity="15 mL"))
    (line,) = [s for s in turns(told) if "wall" in s]
    assert re.search(
        r"If the wall of main were heavier than 1.0[0-9] g/cm3|lighter than 1.0[0-9] g/cm3", line
    )


def test_a_floating_wall_is_told_how_heavy_it_may_get() -> None:
    told = budget(shell(density="1.35 g/cm3"))
    assert any(
        s.startswith("If the wall of main were heavier than 1.39 g/cm3, it would sink") for s in turns(told)
    )


def test_ballast_fill_salt_and_cold_turn_the_verdict_where_they_can() -> None:
    light = budget(loaded())
    (line,) = [s for s in turns(light) if s.startswith("With ballast keel at more than")]
    grams = float(re.search(r"([\d.]+) g", line).group(1))
    at_flip = margin_kg(replaced(loaded(), {"ballast.keel.weight": grams * 1e-3}))
    assert at_flip * 1e3 == pytest.approx(0.0, abs=0.01)
    near = design(measured={"weight": "10.05 g", "displaced": "10 mL"}, body={"main": {
        "length": "50 mm", "width": "20 mm", "height": "20 mm", "material": "pine"}})  # fmt: skip
    told = budget(near)
    assert told.verdict is Verdict.SINKS
    salt = [s for s in turns(told) if s.startswith("In water with more than")]
    assert salt == ["In water with more than 8 g/kg of salt it would float."]
    assert "With the whole lure at less than 9.99 g it would float." in turns(told)
    warm = design(measured={"weight": "9.985 g", "displaced": "10 mL"}, body=dict(near.body),
                  water={"temperature": "10 C"})  # fmt: skip
    assert "In water warmer than 19 C it would sink." in turns(budget(warm))


def test_values_that_cannot_turn_it_are_not_mentioned() -> None:
    cork = design(body={"main": {"length": "50 mm", "width": "20 mm", "height": "20 mm", "material": "cork"}})
    told = budget(cork)
    assert turns(told) == []
    assert told.margin_sd_g > 0.0
    assert told.chance_floats == pytest.approx(1.0, abs=1e-6)


def test_the_margins_deviation_agrees_with_a_thousand_random_builds() -> None:
    made = shell()
    told = budget(made)
    rng = np.random.default_rng(20240601)
    inputs = priors(made, model=False)
    assert {"body.main.weight", "body.main.cavity", "body.main.density", "body.main.fill_weight"} <= {
        one.path for one in inputs if one.given
    }
    draws = [
        margin_kg(replaced(made, drawn(made, inputs, rng.normal(size=len(inputs))))) * 1e3
        for _ in range(1000)
    ]
    assert told.margin_sd_g == pytest.approx(np.std(draws), rel=0.08)
    assert told.chance_floats == pytest.approx(np.mean(np.array(draws) > 0.0), abs=0.04)


@pytest.mark.parametrize("temperature", ["0.4 C", "39.5 C"])
def test_water_at_the_end_of_its_law_is_weighed_from_one_side(temperature) -> None:
    made = design(body={"main": SHELL}, water={"temperature": temperature})
    assert budget(made).margin_sd_g > 0.0


def test_effects_name_the_input_that_matters_most() -> None:
    effects = effects_of(shell())
    assert max(effects, key=lambda path: abs(effects[path])) == "body.main.density"
    assert effects["body.main.fill_weight"] == pytest.approx(-0.2e-3, rel=1e-6)
    # one deviation of weight adds 0.1 g and 0.1 g / 1.35 g/cm3 of wall
    assert effects["body.main.weight"] == pytest.approx(-0.1e-3 * (1.0 - 0.9986 / 1.35), rel=1e-3)


def test_an_input_that_can_only_move_one_way_still_counts() -> None:
    sizes = {"length": "45 mm", "width": "36 mm", "height": "40 mm"}
    tight = design(body={"main": {**sizes, "density": "1.2 g/cm3", "cavity": "33 +- 2 mL"}})
    # two mL more would be more than the whole outside
    assert effects_of(tight)["body.main.cavity"] == pytest.approx(1.2 * 2e-3, rel=1e-6)


@settings(max_examples=60)
@given(
    path=st.sampled_from(
        [
            "hook.belly.weight",
            "fitting.eye.weight",
            "ballast.keel.weight",
            "plate.lip.weight",
            "wire.leg.weight",
        ]
    ),
    more=st.floats(1e-6, 3e-3),
)
def test_more_weight_never_leaves_more_margin(path: str, more: float) -> None:
    made = loaded()
    heavier = replaced(made, {path: leaves(made)[path].value + more})
    assert margin_kg(heavier) < margin_kg(made)


def test_the_centre_of_a_symmetric_lure_is_plain_zero_in_the_table() -> None:
    told = budget(loaded())
    assert str(told.gravity_left_mm) == "0.0"
    assert str(told.buoyancy_left_mm) == "0.0"
    assert {p.left_mm for p in told.parts} == {0.0}


SIZES = {"length": "45 mm", "width": "33 mm", "height": "20 mm"}


def test_three_sizes_alone_give_no_sure_verdict_near_the_edge_and_a_dunk_does() -> None:
    told = budget(design(body={"main": {**SIZES, "weight": "15.2 g"}}))
    assert told.chance_floats is not None
    assert 0.3 < told.chance_floats < 0.7
    assert told.settled_by is not None
    assert (told.settled_by.path, told.settled_by.dimension) == ("body.main.displaced", "volume")
    # the oval of 15.55 mL may hold a tenth more or less, and the calliper adds to that
    assert told.settled_by.sd_si == pytest.approx(1.6e-6, rel=0.1)
    assert told.settled_by.turns_at_si == pytest.approx(15.2e-3 / told.water_density_kg_m3, rel=1e-3)
    (sentence,) = [worded(told).settled_by.sentence.replace("\u00a0", " ")]
    assert "what main pushes aside, known to 1.6 mL" in sentence
    assert "above 15.2 mL it floats" in sentence
    dunked = budget(design(body={"main": {**SIZES, "weight": "15.2 g", "displaced": "15.7 mL"}}))
    assert dunked.chance_floats > 0.95
    assert dunked.settled_by is None


def test_readings_that_exclude_each_other_leave_the_verdict_open_and_name_what_settles_it() -> None:
    told = budget(design(body={"main": {**SIZES, "weight": "21 g", "cavity": "14 mL"}}))
    assert told.verdict is Verdict.UNKNOWN
    assert (told.chance_floats, told.settled_by, told.turning_values) == (None, None, [])
    (one,) = worded(told).conflicts
    assert one.keys == ["weight", "cavity", "sizes"]
    assert one.settled_by == "body.main.displaced"
    assert one.density_kg_m3 == pytest.approx(0.021 / (told.displaced_ml * 1e-6 - 14e-6), rel=1e-9)
    assert "denser than lead. Hang it closed" in one.sentence
    light = budget(design(body={"main": {**SIZES, "weight": "0.01 g", "cavity": "9 mL"}}))
    assert "lighter than any foam" in worded(light).conflicts[0].sentence
    assert budget(shell()).conflicts == []


def test_exact_is_said_only_of_what_was_measured() -> None:
    plain = {"main": {**SIZES, "weight": "15.2 g"}}
    assert budget(design(body=plain)).confidence["margin_g"] is Confidence.CHECKED
    dunked = {"main": {**plain["main"], "displaced": "15.7 mL"}}
    assert budget(design(body=dunked)).confidence["margin_g"] is Confidence.EXACT
    assert budget(loaded()).confidence["mass_g"] is Confidence.CHECKED
    spoon = {"sheet": {"role": "spoon", "length": "50 mm", "width": "20 mm", "material": "brass"}}
    assert budget(design(plate=spoon)).confidence["margin_g"] is Confidence.CHECKED
