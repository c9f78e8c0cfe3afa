"""Cautions: those that apply, no others, and always deferring to local rules and data sheets."""

import tomllib

import pytest

from sim.design.model import Design
from sim.design.starter import STARTER
from sim.trials import cautions as c


def design(text):
    return Design.model_validate(tomllib.loads('name = "x"\n' + text))


BODY = '[body.main]\nlength = "70 mm"\nwidth = "18 mm"\nheight = "22 mm"\n'
WEIGHT = '[ballast.keel]\nat = {back = "30 mm"}\nweight = "2 g"\n'


def test_the_starter_design_gets_the_cautions_of_wood_lead_paint_and_hooks():
    found = c.cautions(Design.model_validate(tomllib.loads(STARTER)))
    assert found == [c.LEAD, c.DUST, c.PAINT, c.HOOKS, c.CAST, c.SMALL]


def test_a_bare_plastic_body_gets_the_casting_caution_alone():
    assert c.cautions(design(BODY + 'material = "abs"\n')) == [c.CAST]


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
    assert (c.LEAD in c.cautions(design(BODY + WEIGHT + ballast))) is lead


@pytest.mark.parametrize("fill", ["epoxy", "microsphere resin", "Polyurethane_Foam", "polyester resin"])
def test_a_poured_fill_brings_the_cautions_of_resin_and_of_its_dust(fill):
    found = c.cautions(design(BODY + f'material = "abs"\nwall = "1 mm"\nfill = "{fill}"\n'))
    assert found[:2] == [c.RESIN, c.DUST]


def test_lead_in_a_wire_or_a_fitting_counts():
    assert c.LEAD in c.cautions(design(BODY + '[fitting.shot]\nweight = "1 g"\nmaterial = "lead"\n'))


def test_each_caution_defers_to_rules_or_data_sheets_where_there_are_any():
    for caution in (c.LEAD, c.RESIN, c.DUST, c.PAINT, c.HOOKS, c.CAST):
        assert any(
            word in caution for word in ("local rules", "data sheet", "rules of the water", "water asks")
        )


def test_no_caution_takes_more_than_two_lines_of_the_page():
    from sim.show.layout import bullets

    for caution in (c.LEAD, c.RESIN, c.DUST, c.PAINT, c.HOOKS, c.CAST, c.SMALL):
        assert len(bullets([caution]).splitlines()) <= 2
