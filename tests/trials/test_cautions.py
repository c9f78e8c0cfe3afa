"""Cautions: those that apply, no others, and always deferring to local rules and data sheets."""

import tomllib

import pytest

from sim.design.model import Design
from sim.design.starter import STARTER
from sim.show.care import SAYS
from sim.trials import cautions as c
from sim.trials.cautions import Hazard


def design(text):
    return Design.model_validate(tomllib.loads('name = "x"\n' + text))


def making(text):
    return [one.key for one in c.in_the_workshop(design(text))]


def keys(text):
    made = design(text) if isinstance(text, str) else Design.model_validate(text)
    return [one.key for one in c.cautions(made)]


BODY = '[body.main]\nlength = "70 mm"\nwidth = "18 mm"\nheight = "22 mm"\n'
WEIGHT = '[ballast.keel]\nat = {back = "30 mm"}\nweight = "2 g"\n'


def test_the_starter_design_gets_the_cautions_of_wood_lead_paint_and_hooks():
    assert keys(tomllib.loads(STARTER)) == [
        Hazard.LEAD, Hazard.DUST, Hazard.PAINT, Hazard.HOOKS, Hazard.CASTING, Hazard.RULES, Hazard.SMALL,
    ]  # fmt: skip


def test_every_solid_makes_dust_and_every_sheet_and_wire_has_edges():
    assert keys(BODY + 'material = "abs"\n') == [Hazard.DUST, Hazard.CASTING, Hazard.RULES]
    blade = '[plate.blade]\nrole = "spoon"\nlength = "40 mm"\nwidth = "15 mm"\n'
    assert {Hazard.DUST, Hazard.EDGES} <= set(making(blade))
    arm = '[wire.arm]\nstart = {back = "0 mm"}\nend = {back = "30 mm"}\ndiameter = "1 mm"\n'
    assert Hazard.EDGES in making(BODY + 'material = "abs"\n' + arm)


def test_the_sheet_is_about_the_workshop_and_not_about_the_water():
    assert making(BODY + 'material = "abs"\n') == [Hazard.TOOLS, Hazard.DUST]


@pytest.mark.parametrize(
    ("ballast", "lead"),
    [
        ("", True),
        ('material = "lead"', True),
        ('material = "hard_lead"', True),
        ('material = "solder"', True),
        ('density = "11.0 g/cm3"', True),
        ('material = "tungsten"', False),
        ('density = "8.5 g/cm3"', False),
    ],
)
def test_ballast_is_lead_unless_it_says_otherwise(ballast, lead):
    assert (Hazard.LEAD in keys(BODY + WEIGHT + ballast)) is lead


@pytest.mark.parametrize("fill", ["epoxy", "microsphere resin", "Polyurethane_Foam", "polyester resin"])
def test_a_poured_fill_brings_the_cautions_of_resin_and_of_its_dust(fill):
    found = keys(BODY + f'material = "abs"\nwall = "1 mm"\nfill = "{fill}"\n')
    assert {Hazard.RESIN, Hazard.DUST} <= set(found)
    assert (Hazard.FOAM in found) is ("foam" in fill.lower())


def test_lead_in_a_wire_or_a_fitting_counts():
    assert Hazard.LEAD in keys(BODY + '[fitting.shot]\nweight = "1 g"\nmaterial = "lead"\n')


def test_lead_in_a_rattle_and_under_a_material_of_ones_own_counts():
    solid = BODY + 'material = "abs"\n'
    rattle = '[rattle.box]\nfront = {back = "10 mm"}\nrear = {back = "20 mm"}\nweight = "0.5 g"\nmaterial = '
    assert Hazard.LEAD in keys(solid + rattle + '"lead"\n')
    assert Hazard.LEAD not in keys(solid + rattle + '"steel"\n')
    own = '[material.sinkers]\ndensity = "11.2 g/cm3"\n'
    assert {Hazard.LEAD, Hazard.MELTED_LEAD} <= set(making(solid + WEIGHT + 'material = "sinkers"\n' + own))
    assert Hazard.LEAD not in keys(solid + WEIGHT + 'material = "sinkers"\n' + own.replace("11.2", "8.5"))


OF_ITSELF = (
    Hazard.TOOLS,
    Hazard.EDGES,
    Hazard.HOOKS,
    Hazard.CASTING,
    Hazard.SMALL,
)


def test_each_caution_defers_to_rules_or_data_sheets_where_there_are_any():
    for key, says in SAYS.items():
        assert key in OF_ITSELF or any(word in says for word in ("local rules", "data sheet")), key


def test_the_words_name_what_can_be_done():
    assert "dry" in SAYS[Hazard.MELTED_LEAD]
    assert "doctor" in SAYS[Hazard.HOOKS]
    assert "clamp" in SAYS[Hazard.TOOLS]
    assert "thunder" in SAYS[Hazard.CASTING]
    assert "power lines" in SAYS[Hazard.CASTING]
    assert "licence" in SAYS[Hazard.RULES]


def test_every_hazard_has_words_and_none_takes_more_than_two_lines_of_the_page():
    from sim.show.layout import bullets

    assert set(SAYS) == set(Hazard)
    for says in SAYS.values():
        assert len(bullets([says]).splitlines()) <= 2
