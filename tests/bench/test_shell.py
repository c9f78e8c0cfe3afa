"""The dense-walled shell, given only by readings: alone, and as a design."""

import math

import pytest

from sim.bench.shell import shell
from sim.bench.uncertainty import flat
from sim.design.load import read
from sim.design.materials import HARD_PLASTICS
from sim.design.verdicts import Shell
from sim.media import water_density
from sim.show.worded import worded
from sim.trials.budget import budget
from sim.trials.results import Verdict
from sim.units import parse
from tests.in_words import in_words

WATER = water_density(20.0)

SHELL = {"weight": "22.14 g", "cavity": "15 mL"}
"""A shell's weight and cavity: common practice, no source. So is the fill of 8.7 g."""

DESIGN = """
name = "shell"
[water]
temperature = "20 C"
[body.main]
length = "45 mm"
width = "36 mm"
height = "40 mm"
weight = "22.14 +- 0.02 g"
cavity = "15 +- 0.3 mL"
fill_weight = "8.7 +- 0.1 g"
scrap = { sank = "fresh water" }
[hook.tail]
at = { back = "45 mm" }
weight = "3.0 g"
[tie_on.nose]
"""


def test_the_cavity_alone_does_not_carry_the_shell() -> None:
    told = Shell(**SHELL, load="8.7 g", sank="fresh water")
    first, why, settles = in_words(told.answer())
    assert first.startswith("Uncertain: about")
    assert "its cavity alone carries 14.97 g, so the wall must push aside at least" in why
    # 22.14 g of wall must make up what 15 mL leave of 30.84 g: the density at which it turns
    turns = 22.14 / (30.84 / (WATER / 1e3) - 15.0)
    assert f"lighter than {turns:.3g} g/cm3" in why
    assert told.extra()["wall_density_flips_at_kg_m3"] == pytest.approx(turns * 1e3, rel=1e-9)
    assert "weigh a scrap of it dry and again hung in water" in settles
    assert f"Below {turns:.3g} g/cm3 the lure floats" in settles


def test_with_hooks_as_well_it_will_sooner_sink() -> None:
    light, heavy = (Shell(**SHELL, load=load, sank="fresh water").extra() for load in ("8.7 g", "12 g"))
    assert heavy["chance_floats"] < 0.5 < light["chance_floats"]
    assert Shell(**SHELL, load="16 g", sank="fresh water").extra()["verdict"] == "sinks"
    assert Shell(**SHELL, load="1 g", sank="fresh water").extra()["verdict"] == "floats"


def test_the_scrap_test_leaves_a_flat_range_up_to_the_heaviest_hard_plastic() -> None:
    told = Shell(**SHELL, load="12 g", sank="fresh water")
    turns = told.extra()["wall_density_flips_at_kg_m3"]
    share = (turns - WATER) / (HARD_PLASTICS[1] - WATER)
    assert told.extra()["chance_floats"] == pytest.approx(share, abs=0.03)


def test_a_second_bath_settles_it() -> None:
    floats = Shell(**SHELL, load="8.7 g", sank="fresh water", floated="200 g/L")
    assert floats.extra()["verdict"] == "floats"
    assert floats.extra()["settled_by"] is None
    measured = Shell(**SHELL, load="8.7 g", wall="1.5 +- 0.01 g/cm3")
    assert measured.extra()["verdict"] == "sinks"


def test_a_wall_near_the_waters_density_is_told_by_a_bath_of_brine() -> None:
    wall = flat(WATER, 1450.0, "density", "1 to 1.45 g/cm3")
    told = shell(parse("22 g", "mass"), parse("15 mL", "volume"), wall, parse("14 g", "mass"), WATER)
    assert told.verdict == "uncertain"
    assert "stir a bath of 1.04 g/cm3" in in_words([told.settles])[0]


def test_a_closed_shell_with_more_cavity_than_weight_floats_whatever_its_wall() -> None:
    told = Shell(weight="10 g", cavity="15 mL", sank="fresh water").extra()
    assert told["verdict"] == "floats"
    assert told["wall_density_flips_at_kg_m3"] is None
    assert "enough whatever the wall is made of" in in_words([told["why"]])[0]


def test_as_a_design_its_budget_says_uncertain_why_what_settles_it_and_where_it_turns() -> None:
    told = budget(read(DESIGN, "lure.toml"))
    weight = 22.14 + 8.7 + 3.0
    assert told.mass_g == pytest.approx(weight)
    assert told.verdict is Verdict.SINKS
    assert told.chance_floats is not None
    assert 0.05 < told.chance_floats < 0.5
    # the hooks displace a little too
    turns = 22.14 / (weight / (WATER / 1e3) - 15.0 - 3.0 / 7.85)
    says = worded(told).settled_by.sentence
    assert says.startswith("Uncertain: nearly all of the doubt is in body.main.density, known only to")
    assert "between 0.998 g/cm3 and 1.45 g/cm3" in says
    assert "Weigh a scrap of it dry and again hung in water" in says
    assert f"below {turns:.2f} g/cm3 it floats." in says
    assert told.settled_by.turns_at_si == pytest.approx(1e3 * turns, rel=5e-3)
    assert [one.value_si for one in told.turning_values if one.wall] == [pytest.approx(1e3 * turns, rel=5e-3)]


def test_the_flat_range_flows_into_the_margins_deviation_and_the_chance() -> None:
    told = budget(read(DESIGN, "lure.toml"))
    sd = (HARD_PLASTICS[1] - WATER) / math.sqrt(12)
    middle = 0.5 * (HARD_PLASTICS[1] + WATER)
    by_hand = WATER * 22.14 / middle**2 * sd  # g
    assert told.margin_sd_g == pytest.approx(math.hypot(by_hand, 0.3), rel=0.1)
    turns = 22.14e3 / (33.84 / (WATER / 1e3) - 15.0 - 3.0 / 7.85)
    assert told.chance_floats == pytest.approx((turns - WATER) / (HARD_PLASTICS[1] - WATER), abs=0.02)


def test_a_wall_that_the_scrap_denies_is_refused() -> None:
    with pytest.raises(ValueError, match="does not fit what the scrap did"):
        Shell(**SHELL, wall="0.95 g/cm3", sank="fresh water")
