"""Volumes and densities from water: worked examples, closed forms, and readings that cannot be."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.bench import densities, volumes
from sim.bench.uncertainty import ReadingError
from sim.media import water_density
from sim.units import Quantity, parse

ROOM = parse("20 C", "temperature")


def g(text: str) -> Quantity:
    return parse(text, "mass")


def test_the_worked_example_of_iso_1183_comes_out_to_all_digits():
    # closed form (Archimedes); ISO 1183-1 method A: 12.3456 g in air, 2.3456 g in water of 998.2072 kg/m3
    assert densities.immersion_density(12.3456e-3, 2.3456e-3, 998.2072) == pytest.approx(1232.347, abs=5e-4)
    corrected = densities.immersion_density(12.3456e-3, 2.3456e-3, 998.2072, air=1.2)
    assert corrected == pytest.approx(1232.065, abs=5e-4)


def test_d792_is_specific_gravity_times_997_5():
    # ASTM D792, method A: a / (a + w - b), density = sp gr 23/23 x 997.5
    assert densities.specific_gravity(6.0, 1.0) == pytest.approx(1.2, rel=1e-12)
    assert densities.specific_gravity(4.0, 3.0, 5.0) == pytest.approx(4.0 / 6.0, rel=1e-12)
    assert densities.d792_density(6.0, 1.0) == pytest.approx(1197.0, rel=1e-12)


@given(
    density=st.floats(50.0, 12000.0),
    volume=st.floats(1e-6, 1e-4),
    temperature=st.floats(1.0, 39.0),
    sinker=st.floats(0.0, 0.2),
    air=st.floats(0.0, 1.3),
)
def test_what_archimedes_would_show_gives_the_density_back(density, volume, temperature, sinker, air):
    water = water_density(temperature)
    in_air, hung = (density - air) * volume, (density - water) * volume + sinker
    found = densities.immersion_density(in_air, hung, water, sinker, air)
    assert found == pytest.approx(density, rel=1e-9)


def test_warm_and_cold_water_give_the_same_density():
    volume, density = 5e-6, 1180.0
    for celsius in (4.0, 20.0, 35.0):
        hung = (density - water_density(celsius)) * volume
        found = densities.by_immersion(
            Quantity(density * volume, 1e-6, "mass"),
            Quantity(hung, 1e-6, "mass"),
            Quantity(celsius, 0.5, "temperature"),
        )
        assert found.value == pytest.approx(density, rel=1e-9)
    by_cup = densities.by_cup(
        Quantity(density * volume, 1e-6, "mass"),
        Quantity(water_density(20.0) * volume, 1e-6, "mass"),
        ROOM,
    )
    assert by_cup.value == pytest.approx(density, rel=1e-9)


def test_a_cavity_and_a_dunk_are_weights_of_water_over_its_density():
    cavity = volumes.cavity(g("31.4 g"), g("17.4 g"), ROOM)
    assert cavity.value == pytest.approx(14.0e-3 / water_density(20.0), rel=1e-12)
    assert cavity.sd == pytest.approx(math.sqrt(2) * 1e-4 / math.sqrt(12) / 998.2, rel=1e-2)
    assert volumes.poured(g("14 g"), ROOM).value == pytest.approx(cavity.value, rel=1e-12)
    sunk = volumes.cup(g("8.2 g"), g("31.3 g"), ROOM)
    assert sunk.value == pytest.approx(23.1e-3 / water_density(20.0), rel=1e-12)
    salt = volumes.cup(None, g("23.1 g"), ROOM, 35.0)
    assert salt.value == pytest.approx(23.1e-3 / water_density(20.0, 35.0), rel=1e-12)


def test_a_round_glass_is_a_cylinder():
    rise = volumes.level_round(parse("62 mm", "length"), parse("7.5 mm", "length"))
    assert rise.value == pytest.approx(math.pi / 4 * 0.062**2 * 0.0075, rel=1e-12)
    assert volumes.level(parse("60 mL", "volume"), parse("83 mL", "volume")).value == pytest.approx(23e-6)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: volumes.cavity(g("17 g"), g("31 g"), ROOM), "the two were probably swapped: weigh it empty"),
        (lambda: volumes.cup(g("9 g"), g("3 g"), ROOM), "so it did not rise; the two were probably swapped"),
        (
            lambda: volumes.level(parse("83 mL", "volume"), parse("60 mL", "volume")),
            "`before` is read without the body",
        ),
        (lambda: densities.immersion_density(2.0, 6.0, 1000.0), "water can only take weight away"),
        (lambda: densities.immersion_density(0.0, -1.0, 1000.0), "weigh it dry, before the water"),
        (lambda: densities.by_immersion(g("10 g"), g("9.9999 g"), ROOM), "heavier than any metal"),
        (
            lambda: densities.cube(g("0.01 g"), *[parse("50 mm", "length")] * 3),
            "lighter than any foam; check the unit",
        ),
    ],
)
def test_readings_that_no_real_thing_gives_get_one_sentence(call, says):
    with pytest.raises(ReadingError) as error:
        call()
    assert says in str(error.value)
    assert "\n" not in str(error.value)


def test_a_scrap_between_two_baths_lies_between_them():
    told = densities.bracket([998.0], [1050.0], (895.0, 1450.0), "a hard plastic")
    assert densities.interval(told) == (pytest.approx(998.0), pytest.approx(1050.0))
    assert told.flat
    open_end = densities.bracket([998.0], [], (895.0, 1450.0), "a hard plastic")
    assert densities.interval(open_end) == (pytest.approx(998.0), pytest.approx(1450.0))


@pytest.mark.parametrize(
    ("sank", "floated", "says"),
    [
        ([1050.0], [998.0], "what sinks is the heavier: the two were probably swapped"),
        ([1500.0], [], "a hard plastic is at most 1.450 g/cm3"),
        ([], [800.0], "a hard plastic is at least 0.8950 g/cm3"),
        ([], [], "say what the scrap did"),
    ],
)
def test_a_scrap_that_contradicts_itself_or_its_stuff_is_refused(sank, floated, says):
    with pytest.raises(ReadingError, match=says):
        densities.bracket(sank, floated, (895.0, 1450.0), "a hard plastic")
