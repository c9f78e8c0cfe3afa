"""Quantities as makers write them."""

import math

import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from sim.units import LONGEST, UNITS, Quantity, UnitError, parse, show

OUNCE, POUND, INCH = 28.349523125e-3, 0.45359237, 0.0254  # kg, kg, m: exact by definition
TWO_WAYS = (
    "can be read in two ways; leave out marks and blanks between thousands and use a point for decimals, "
    'as in "1234.5"'
)


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("3/8 oz", "mass", 0.375 * OUNCE),
        ("1 1/2 oz", "mass", 1.5 * OUNCE),
        ("1-1/2 oz", "mass", 1.5 * OUNCE),
        ("½ oz", "mass", 0.5 * OUNCE),
        ("1½oz", "mass", 1.5 * OUNCE),
        ("1⁄4 oz", "mass", 0.25 * OUNCE),
        ("22.1 g", "mass", 0.0221),
        ("22,1 g", "mass", 0.0221),
        (" 22.1  G ", "mass", 0.0221),
        ("22.1g", "mass", 0.0221),
        (".5 oz.", "mass", 0.5 * OUNCE),
        ("8 lbs", "mass", 8 * POUND),
        ("1 lb 4 oz", "mass", 1.25 * POUND),
        ("100 grains", "mass", 100 * POUND / 7000),
        ("2 3/4 in", "length", 2.75 * INCH),
        ('2 3/4"', "length", 2.75 * INCH),
        ("2¾ inches", "length", 2.75 * INCH),
        ("2,5 cm", "length", 0.025),
        ("0.28 mm", "length", 0.28e-3),
        ("-9 mm", "length", -9e-3),
        ("−9 mm", "length", -9e-3),
        ("7 ft 6 in", "length", 90 * INCH),
        ("7'6\"", "length", 90 * INCH),
        ("-5 ft 6 in", "length", -66 * INCH),
        ("20 yd", "length", 720 * INCH),
        ("11 thou", "length", 0.011 * INCH),
        ("1.2e-1 mm", "length", 0.12e-3),
        ("15 mL", "volume", 15e-6),
        ("15 cc", "volume", 15e-6),
        ("15 cm³", "volume", 15e-6),
        ("1 fl oz", "volume", 29.5735295625e-6),
        ("0.8 m/s", "speed", 0.8),
        ("2 mph", "speed", 0.89408),
        ("3.6 km/h", "speed", 1.0),
        ("35°", "angle", math.radians(35)),
        ("-10 degrees", "angle", math.radians(-10)),
        ("18 C", "temperature", 18.0),
        ("18°C", "temperature", 18.0),
        ("64.4 F", "temperature", 18.0),
        ("291.15 K", "temperature", 18.0),
        ("-1.5 C", "temperature", -1.5),
        ("0.58 g/mL", "density", 580.0),
        ("0.58 g/cm^3", "density", 580.0),
        ("62.4 lb/ft3", "density", 62.4 * POUND / 0.3048**3),
        ("35 ppt", "salinity", 35.0),
        ("35 psu", "salinity", 35.16504),
        ("8 lb", "force", 8 * POUND * 9.80665),
        ("8#", "force", 8 * POUND * 9.80665),
        ("3.6 kg", "force", 3.6 * 9.80665),
        ("20 N", "force", 20.0),
        ("2 min", "time", 120.0),
    ],
)
def test_what_makers_write_is_read(text, dimension, value):
    quantity = parse(text, dimension)
    assert quantity.value == pytest.approx(value, rel=1e-12, abs=1e-12)
    assert (quantity.sd, quantity.dimension, quantity.text) == (0.0, dimension, " ".join(text.split()))


@pytest.mark.parametrize(
    ("text", "value", "sd"),
    [
        ("22.1 +- 0.2 g", 0.0221, 0.0002),
        ("22.1 ± 0.2 g", 0.0221, 0.0002),
        ("22,1±0,2g", 0.0221, 0.0002),
        ("22.1 +/- 0.2 g", 0.0221, 0.0002),
        ("22.1 g +- 0.2", 0.0221, 0.0002),
        ("22.1 g +- 0.2 g", 0.0221, 0.0002),
        ("22.1 g +- 200 mg", 0.0221, 0.0002),
        ("20 g +- 5 %", 0.020, 0.001),
        ("20 +- 5% g", 0.020, 0.001),
        ("1/2 +- 1/8 oz", 0.5 * OUNCE, 0.125 * OUNCE),
    ],
)
def test_a_plus_minus_becomes_one_standard_uncertainty(text, value, sd):
    quantity = parse(text, "mass")
    assert quantity.value == pytest.approx(value, rel=1e-12)
    assert quantity.sd == pytest.approx(sd, rel=1e-12)


def test_the_uncertainty_of_a_temperature_is_a_difference():
    assert parse("64.4 +- 1.8 F", "temperature").sd == pytest.approx(1.0)
    assert parse("18 +- 0.5 C", "temperature").sd == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("raw", "dimension", "message"),
    [
        (22, "mass", 'a mass needs its unit; write "22 g" or "22 oz"'),
        (2.5, "length", 'a length needs its unit; write "2.5 mm" or "2.5 in"'),
        ("22.1", "mass", 'a mass needs its unit; write "22.1 g" or "22.1 oz"'),
        ("22.1 +- 0.2", "mass", 'a mass needs its unit; write "22.1 g" or "22.1 oz"'),
        (True, "mass", 'a mass is written as text with its unit, such as "12 g" or "12 oz"'),
        (["1 g"], "mass", 'a mass is written as text with its unit, such as "12 g" or "12 oz"'),
        (math.nan, "mass", 'this is not a number that can be used; write a mass, such as "12 g" or "12 oz"'),
        (math.inf, "mass", 'this is not a number that can be used; write a mass, such as "12 g" or "12 oz"'),
        (10**13, "mass", 'this is not a number that can be used; write a mass, such as "12 g" or "12 oz"'),
        ("nan g", "mass", '"nan g" does not start with a number; write a mass, such as "12 g" or "12 oz"'),
        ("1e999 g", "mass", 'this number is too large to work with; write a mass, such as "12 g" or "12 oz"'),
        ("", "length", 'nothing is written here; write a length, such as "12 mm" or "12 in"'),
        (
            "about 5 g",
            "mass",
            '"about 5 g" does not start with a number; write a mass, such as "12 g" or "12 oz"',
        ),
        (
            "22 mm",
            "mass",
            '"mm" is a unit of length, but a mass is needed here, such as "12 g" or "12 oz"',
        ),
        (
            "2 oz",
            "volume",
            '"oz" is a unit of mass, but a volume is needed here, such as "12 mL" or "12 fl oz"; '
            'for a volume write "fl oz"',
        ),
        ("22 gm", "mass", '"gm" is not a unit of mass; did you mean "gram"?'),
        ("22 furlongs", "length", '"furlongs" is not a unit of length; write it such as "12 mm" or "12 in"'),
        ("22 gr", "mass", '"gr" may mean gram or grain; write "g" or "grain"'),
        ("22 Mg", "mass", '"Mg" is not a unit of mass; did you mean "g"?'),
        (
            "1,234 g",
            "mass",
            '"1,234" can be read in two ways; leave out marks and blanks between thousands and use a point '
            'for decimals, as in "1234.5"',
        ),
        (
            "1 234 g",
            "mass",
            '"1 234" can be read in two ways; leave out marks and blanks between thousands and use a point '
            'for decimals, as in "1234.5"',
        ),
        ("3/0 oz", "mass", "a fraction cannot have zero under its line"),
        ("5 +- 1 +- 1 g", "mass", 'there is more than one "+-"; write it once, as in "18.4 +- 0.2 g"'),
        ("5 g +-", "mass", 'a number is missing beside the "+-"; write a mass, such as "12 g" or "12 oz"'),
        ("5 +- -1 g", "mass", 'the number after "+-" is negative; an uncertainty is a positive number'),
        (
            "5-6 g",
            "mass",
            '"-6 g" makes this a range; write its middle and how sure you are, as in "18.4 +- 0.2 g"',
        ),
        (
            "5 to 6 g",
            "mass",
            '"to 6 g" makes this a range; write its middle and how sure you are, as in "18.4 +- 0.2 g"',
        ),
        ("18 C +- 5 %", "temperature", 'a percentage of a temperature has no meaning; write "18 C +- 0.5 C"'),
        ("-300 C", "temperature", "this is below absolute zero, -273.15 C; check the sign and the unit"),
        (
            "1" * (LONGEST + 1),
            "mass",
            f"this is {LONGEST + 1} characters long; write one number and its unit, "
            'such as "12 g" or "12 oz"',
        ),
    ],
)
def test_what_cannot_be_read_for_certain_is_refused_with_what_to_write(raw, dimension, message):
    with pytest.raises(UnitError) as refused:
        parse(raw, dimension)
    assert str(refused.value) == message


def test_capitals_do_not_matter_where_they_cannot_mislead():
    assert parse("15 ML", "volume") == parse("15 mL", "volume")
    assert parse("3 OZ", "mass") == parse("3 oz", "mass")


def test_quantities_are_equal_however_they_were_written():
    assert parse("20 mm", "length") == parse("2 cm", "length")
    assert Quantity(1.0, 0.0, "length") != Quantity(1.0, 0.1, "length")


PINT = {
    "length": ("metre", ["mm", "cm", "m", "um", "in", "ft", "yd", "thou"]),
    "mass": ("kilogram", ["mg", "g", "kg", "oz", "lb", "grain"]),
    "volume": ("metre**3", ["mL", "cL", "dL", "L", "fl oz", "in3", "cm3"]),
    "speed": ("metre/second", ["m/s", "cm/s", "km/h", "mph", "ft/s", "knot"]),
    "angle": ("radian", ["deg", "rad"]),
    "temperature": ("degC", ["C", "F", "K"]),
    "density": ("kg/m**3", ["g/cm3", "kg/m3", "g/mL", "kg/L", "lb/ft3", "oz/in3"]),
    "salinity": ("g/kg", ["g/kg"]),
    "force": ("newton", ["N", "lbf", "kgf", "ozf"]),
    "time": ("second", ["s", "ms", "min", "h"]),
}
PINT_NAMES = {
    "fl oz": "floz", "C": "degC", "F": "degF", "K": "kelvin", "in3": "in**3", "cm3": "cm**3",
    "g/cm3": "g/cm**3", "kg/m3": "kg/m**3", "lb/ft3": "lb/ft**3", "oz/in3": "oz/in**3", "ozf": "ounce_force",
}  # fmt: skip


@pytest.fixture(scope="module")
def registry():
    return pint.UnitRegistry()


@pytest.mark.parametrize(("dimension", "unit"), [(d, u) for d, (_, units) in PINT.items() for u in units])
def test_plain_forms_agree_with_a_general_unit_library(registry, dimension, unit):
    for number in ("3", "22.125", "0.04"):
        theirs = registry.Quantity(float(number), PINT_NAMES.get(unit, unit)).to(PINT[dimension][0]).magnitude
        assert parse(f"{number} {unit}", dimension).value == pytest.approx(theirs, rel=1e-9, abs=1e-9)


dimensions = st.sampled_from(sorted(UNITS))
numbers = st.floats(-1e6, 1e6).map(lambda x: round(x, 6))


@st.composite
def plain(draw):
    dimension = draw(dimensions.filter(lambda d: d != "temperature"))
    return dimension, draw(st.sampled_from(sorted(UNITS[dimension]))), draw(numbers)


@given(plain())
@example(("length", "''", 5.0))
def test_every_unit_reads_back_the_number_it_was_written_with(case):
    dimension, unit, number = case
    text = f"{number:.12g} {unit}"
    value = parse(text, dimension).value
    assert value == pytest.approx(number * UNITS[dimension][unit][0], rel=1e-9, abs=1e-300)


@given(dimensions, st.floats(1e-6, 1e5), st.sampled_from(["metric", "us"]))
def test_what_is_shown_can_be_read_back(dimension, value, system):
    text = show(value, dimension, system, digits=9)
    assert parse(text, dimension).value == pytest.approx(
        value, rel=1e-6, abs=1e-6 if dimension == "temperature" else 0
    )


@given(st.integers(0, 20), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_mixed_fractions_are_the_sum_of_their_parts(whole, top, bottom):
    assert parse(f"{whole} {top}/{bottom} in", "length").value == pytest.approx((whole + top / bottom) * INCH)
    assert parse(f"{top}/{bottom} in", "length").value == pytest.approx(top / bottom * INCH)


@given(st.decimals(0, 900, places=2), st.sampled_from(["g", "oz"]))
def test_a_decimal_comma_reads_as_a_point(number, unit):
    assert parse(f"{number} {unit}".replace(".", ","), "mass") == parse(f"{number} {unit}", "mass")


@given(st.one_of(st.text(max_size=100), st.from_regex(r"\A[-+±0-9½.,/' \"a-zµ°]{0,30}\Z")), dimensions)
def test_any_text_is_either_a_finite_quantity_or_a_sentence(text, dimension):
    try:
        quantity = parse(text, dimension)
    except UnitError:
        return
    assert math.isfinite(quantity.value)
    assert math.isfinite(quantity.sd)
    assert quantity.sd >= 0


@pytest.mark.parametrize(
    ("value", "dimension", "system", "text"),
    [
        (0.0221, "mass", "metric", "22.1 g"),
        (0.0221, "mass", "us", "0.780 oz"),
        (0.07, "length", "metric", "70.0 mm"),
        (2.1, "length", "metric", "2.10 m"),
        (2.1, "length", "us", "6.89 ft"),
        (18.0, "temperature", "us", "64.4 F"),
        (0.0, "length", "metric", "0 mm"),
        (-0.009, "length", "metric", "-9.00 mm"),
        (math.radians(35), "angle", "metric", "35.0 deg"),
        (1025.0, "density", "metric", "1.02 g/cm3"),
    ],
)
def test_a_value_is_shown_in_the_readers_units(value, dimension, system, text):
    assert show(value, dimension, system) == text
