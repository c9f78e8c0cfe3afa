"""Margin over warmth and salt."""

import pytest

from sim.design.model import Design
from sim.media import water_density
from sim.trials.budget import budget
from sim.trials.results import Verdict
from sim.trials.water_table import hangs_at, water_table

MINNOW = Design.model_validate({
    "name": "minnow",
    "body": {"main": {"length": "60 mm", "width": "12 mm", "height": "15 mm", "density": "0.998 g/cm3"}},
    "water": {"temperature": "15 C", "salinity": "3 g/kg"},
})  # fmt: skip


def test_the_table_holds_the_budgets_own_margin():
    told = water_table(MINNOW)
    assert told.margin_g == pytest.approx(budget(MINNOW).margin_g, rel=1e-12)
    row = next(row for row in told.rows if row.temperature_c == 15.0)
    column = [c.salinity_g_kg for c in told.columns].index(3.0)
    assert row.margins_g[column] == told.margin_g


def test_colder_and_salter_water_carries_more():
    told = water_table(MINNOW)
    for row in told.rows:
        assert row.margins_g == sorted(row.margins_g)
    for k in range(len(told.columns)):
        margins = [row.margins_g[k] for row in told.rows]
        assert margins == sorted(margins, reverse=True)


def test_the_temperature_at_which_it_hangs_has_its_density():
    for salt in (0.0, 3.0, 35.0):
        celsius = hangs_at(998.0, salt)
        if celsius is None:
            assert salt == 35.0  # the sea is heavier than that up to 40 C
        else:
            assert water_density(celsius, salt) == pytest.approx(998.0, abs=1e-6)
    assert hangs_at(1001.0, 0.0) is None


def test_salt_water_below_its_freezing_point_is_ice():
    told = water_table(MINNOW, temperatures=[-1.5, 10.0], salinities=[0.0, 35.0])
    assert told.rows[0].temperature_c == -1.5
    assert told.rows[0].margins_g[0] is None
    assert told.rows[0].margins_g[-1] is not None
    assert told.columns[-1].verdict_here is Verdict.FLOATS
