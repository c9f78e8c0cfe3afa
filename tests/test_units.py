"""Quantities as makers write them."""

import math
import subprocess
import sys

import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from sim.units import LONGEST, UNITS, Quantity, UnitError, parse, show

GRAVITY = 9.80665

READ = [
    # text, dimension, SI value, SI standard uncertainty
    ("3/8 oz", "mass", 0.375 * 0.028349523125, 0),
    ("½ oz", "mass", 0.5 * 0.028349523125, 0),
    ("8 mg", "mass", 8e-6, 0),
    ("1 lb 2 oz", "mass", 18 * 0.028349523125, 0),
    ("30 grains", "mass", 30 * 64.79891e-6, 0),
    ("2 3/4 in", "length", 2.75 * 0.0254, 0),
    ("2-3/4 in", "length", 2.75 * 0.0254, 0),
    ('2 3/4"', "length", 2.75 * 0.0254, 0),
    ("2 3/4″", "length", 2.75 * 0.0254, 0),
    ("2½ in", "length", 2.5 * 0.0254, 0),
    ("1 ¾ in.", "length", 1.75 * 0.0254, 0),
    ("-1/2 in", "length", -0.0127, 0),
    ("3⁄8 in", "length", 0.375 * 0.0254, 0),
    ("7 ft 6 in", "length", 7.5 * 0.3048, 0),
    ("7'6\"", "length", 7.5 * 0.3048, 0),
    ("-1 ft 6 in", "length", -1.5 * 0.3048, 0),
    ("0.28 mm", "length", 0.28e-3, 0),
    ("\u22129 mm", "length", -9e-3, 0),
    ("- 9 mm", "length", -9e-3, 0),
    ("+9 mm", "length", 9e-3, 0),
    (".5 mm", "length", 0.5e-3, 0),
    ("5. mm", "length", 5e-3, 0),
    ("1.5e-3 m", "length", 1.5e-3, 0),
    ("12MM", "length", 12e-3, 0),
    ("  12\u00a0mm ", "length", 12e-3, 0),
    ("22,1 g", "mass", 22.1e-3, 0),
    ("0,234 g", "mass", 0.234e-3, 0),
    ("22.1 +- 0.2 g", "mass", 22.1e-3, 0.2e-3),
    ("22.1 ± 0.2 g", "mass", 22.1e-3, 0.2e-3),
    ("22.1 +/- 0.2 g", "mass", 22.1e-3, 0.2e-3),
    ("22,1±0,2 g", "mass", 22.1e-3, 0.2e-3),
    ("22.1 g +- 0.2", "mass", 22.1e-3, 0.2e-3),
    ("22.1 g +- 200 mg", "mass", 22.1e-3, 0.2e-3),
    ("22 g +- 1 %", "mass", 22e-3, 0.22e-3),
    ("22 +- 1% g", "mass", 22e-3, 0.22e-3),
    ("-20 mm +- 5 %", "length", -20e-3, 1e-3),
    ("2 3/4 +- 1/16 in", "length", 2.75 * 0.0254, 0.0254 / 16),
    ("15 mL", "volume", 15e-6, 0),
    ("15 cc", "volume", 15e-6, 0),
    ("15 cm³", "volume", 15e-6, 0),
    ("15 cm^3", "volume", 15e-6, 0),
    ("0.015 l", "volume", 15e-6, 0),
    ("1 fl oz", "volume", 29.5735295625e-6, 0),
    ("1 in3", "volume", 0.0254**3, 0),
    ("8 lb", "force", 8 * 0.45359237 * GRAVITY, 0),
    ("3.6 kg", "force", 3.6 * GRAVITY, 0),
    ("12 oz", "force", 12 * 0.028349523125 * GRAVITY, 0),
    ("35 N", "force", 35.0, 0),
    ("18 C", "temperature", 18.0, 0),
    ("18°C", "temperature", 18.0, 0),
    ("64 F", "temperature", 32 * 5 / 9, 0),
    ("64 °F +- 1 °F", "temperature", 32 * 5 / 9, 5 / 9),
    ("64 F +- 1 K", "temperature", 32 * 5 / 9, 1.0),
    ("293.15 K", "temperature", 20.0, 0),
    ("-1.5 C", "temperature", -1.5, 0),
    ("30 deg", "angle", math.pi / 6, 0),
    ("30°", "angle", math.pi / 6, 0),
    ("1 rad", "angle", 1.0, 0),
    ("1.2 g/cm3", "density", 1200.0, 0),
    ("1.2 g/mL", "density", 1200.0, 0),
    ("1200 kg/m³", "density", 1200.0, 0),
    ("75 lb/ft3", "density", 75 * 0.45359237 / 0.3048**3, 0),
    ("3 ft/s", "speed", 0.9144, 0),
    ("5 km/h", "speed", 5 / 3.6, 0),
    ("10 mph", "speed", 4.4704, 0),
    ("0.5 m/s", "speed", 0.5, 0),
    ("2 knots", "speed", 2 * 1852 / 3600, 0),
    ("35 g/kg", "salinity", 35.0, 0),
    ("35 psu", "salinity", 35.16504, 0),
    ("12 s", "time", 12.0, 0),
    ("2 min", "time", 120.0, 0),
]


@pytest.mark.parametrize(("text", "dimension", "value", "sd"), READ)
def test_reads_what_makers_write(text: str, dimension: str, value: float, sd: float) -> None:
    got = parse(text, dimension)
    assert got.value == pytest.approx(value, rel=1e-12)
    assert got.sd == pytest.approx(sd, rel=1e-12)
    assert got.dimension == dimension
    assert got.text == text.strip()


REFUSED = [
    # raw, dimension, what the message must hold
    (12, "length", 'a length needs its unit; write "12 mm" or "12 in"'),
    (12.5, "mass", 'write "12.5 g" or "12.5 oz"'),
    ("12", "length", 'write "12 mm" or "12 in"'),
    ("12 +- 1", "length", "needs its unit"),
    ("12 g", "length", '"g" is a unit of mass, but a length is needed here, such as "12 mm"'),
    ("3 oz", "volume", 'for a volume write "fl oz"'),
    ("22 g +- 1 mm", "mass", '"mm" is a unit of length, but a mass is needed'),
    ("35 g/L", "salinity", '"g/L" is a unit of density, but a salinity is needed'),
    ("1,234.5 mm", "length", "two ways"),
    ("1.234,5 mm", "length", "two ways"),
    ("1,234 mm", "length", "two ways"),
    ("1,234,567 mm", "length", "two ways"),
    ("1 234 mm", "length", "two ways"),
    ("1\u202f234 mm", "length", "two ways"),
    ("12 +- 1,234.5 mm", "length", "two ways"),
    ("1'234 mm", "length", "not a unit of length"),
    ("5–6 mm", "length", "not a unit of length"),
    ("1/2-3/4 oz", "mass", "not a unit of mass"),
    ("10³ mm", "length", "not a unit of length"),
    ("2.5½ in", "length", "not a unit of length"),
    ("5 mm 3 mm", "length", "not a unit of length"),
    ("7 ft 6", "length", "not a unit of length"),
    ("5 Mg", "mass", "not a unit of mass"),
    ("5 gr", "mass", "gram or grain"),
    ("5 mmm", "length", 'did you mean "mm"?'),
    ("5 %", "mass", '"%" is not a unit of mass'),
    ("5 +- -1 mm", "length", "negative; an uncertainty is a positive number"),
    ("5 +- 1 +- 1 mm", "length", 'more than one "+-"'),
    ("+- 5 mm", "length", "a number is missing"),
    ("5 mm +-", "length", "a number is missing"),
    ("18 C +- 1 %", "temperature", "percentage of a temperature"),
    ("-300 C", "temperature", "absolute zero"),
    ("1/0 oz", "mass", "zero under its line"),
    ("nan mm", "length", "does not start with a number"),
    ("inf mm", "length", "does not start with a number"),
    ("1e999 mm", "length", "too large"),
    ("5 +- 1e999 mm", "length", "too large"),
    ("1e300 g +- 1e300 %", "mass", "too large"),
    ("١٢ mm", "length", "does not start with a number"),
    ("about 12 mm", "length", "does not start with a number"),
    ("", "length", "nothing is written here"),
    (" \t", "length", "nothing is written here"),
    (math.nan, "length", "not a number that can be used"),
    (math.inf, "length", "not a number that can be used"),
    (10**5000, "length", "not a number that can be used"),
    (True, "length", "is written as text with its unit"),
    (None, "length", "is written as text with its unit"),
    (["12 mm"], "length", "is written as text with its unit"),
    ("1" * 10**6, "length", "1000000 characters long"),
    ("1/" * 38 + "1 mm", "length", "not a unit of length"),
]


@pytest.mark.parametrize(
    ("raw", "dimension", "words"), REFUSED, ids=lambda v: repr(v)[:30] if type(v) is not int else "int"
)
def test_refuses_what_could_be_misread_and_says_what_to_write(
    raw: object, dimension: str, words: str
) -> None:
    with pytest.raises(UnitError) as caught:
        parse(raw, dimension)
    assert words in str(caught.value)


@pytest.mark.parametrize("dimension", UNITS)
def test_the_form_a_refusal_offers_is_itself_read(dimension: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse(7, dimension)
    offers = [piece for piece in str(caught.value).split('"') if piece.startswith("7 ")]
    assert offers
    for offer in offers:
        assert parse(offer, dimension).dimension == dimension


def test_equal_values_are_equal_however_written() -> None:
    assert parse("22.1 g", "mass") == parse("22,1 g", "mass")
    assert len({parse("1/2 in", "length"), parse("½ in", "length"), parse("0.5 inch", "length")}) == 1
    assert parse("22.1 g", "mass") != parse("22.1 +- 0.1 g", "mass")


def test_no_unit_stands_for_two_sizes_when_capitals_are_ignored() -> None:
    for table in UNITS.values():
        for name, unit in table.items():
            same = {other for spelling, other in table.items() if spelling.lower() == name.lower()}
            assert same == {unit}


# --- a general unit library as an oracle, on the plain forms it reads rightly ---------------------------

ORACLE = pint.UnitRegistry()
ALIKE = {
    "length": {"mm": "mm", "cm": "cm", "m": "m", "um": "um", "in": "inch", "ft": "foot", "yd": "yard"},
    "mass": {"mg": "mg", "g": "g", "kg": "kg", "oz": "ounce", "lb": "pound", "grain": "grain"},
    "volume": {"mL": "mL", "L": "L", "cm3": "cm**3", "fl oz": "fluid_ounce", "in3": "inch**3"},
    "speed": {"m/s": "m/s", "km/h": "km/hour", "mph": "mile/hour", "ft/s": "foot/s", "kn": "knot"},
    "angle": {"deg": "degree", "rad": "radian"},
    "density": {"g/cm3": "g/cm**3", "kg/m3": "kg/m**3", "lb/ft3": "pound/foot**3", "oz/in3": "ounce/inch**3"},
    "force": {
        "N": "N",
        "lb": "force_pound",
        "lbf": "force_pound",
        "oz": "force_ounce",
        "kg": "force_kilogram",
    },
    "time": {"s": "s", "ms": "ms", "min": "minute", "h": "hour"},
}
PLAIN = [(dimension, ours, theirs) for dimension, table in ALIKE.items() for ours, theirs in table.items()]


@given(
    unit=st.sampled_from(PLAIN),
    number=st.decimals(-9999, 9999, places=3),
    sd=st.decimals(0, 99, places=3),
)
def test_plain_forms_agree_with_a_general_unit_library(
    unit: tuple[str, str, str], number: object, sd: object
) -> None:
    dimension, ours, theirs = unit
    got = parse(f"{number} +- {sd} {ours}", dimension)
    scale = ORACLE.Quantity(1.0, theirs).to_base_units().magnitude
    assert got.value == pytest.approx(float(str(number)) * scale, rel=1e-9)
    assert got.sd == pytest.approx(float(str(sd)) * scale, rel=1e-9)


@given(
    number=st.floats(-40, 120),
    sd=st.floats(0, 5),
    unit=st.sampled_from([("C", "degC"), ("F", "degF"), ("K", "K")]),
)
def test_temperatures_agree_with_a_general_unit_library(
    number: float, sd: float, unit: tuple[str, str]
) -> None:
    ours, theirs = unit
    number += 200 if ours == "K" else 0
    got = parse(f"{number!r} +- {sd!r} {ours}", "temperature")
    kelvin = ORACLE.Quantity(number, theirs).to("kelvin").magnitude
    assert got.value + 273.15 == pytest.approx(kelvin, abs=1e-9)
    assert got.sd == pytest.approx(sd * (5 / 9 if ours == "F" else 1), rel=1e-12)


# --- any text at all --------------------------------------------------------------------------------------

PIECES = st.sampled_from(
    [
        "1",
        "2/3",
        "½",
        "1,5",
        "1,000",
        " ",
        "+-",
        "±",
        "%",
        "-",
        "mm",
        "in",
        '"',
        "'",
        "oz",
        "lb",
        "ft",
        "C",
        "e9",
        ".",
        "³",
        "/",
    ]
)


@given(
    raw=st.one_of(st.text(max_size=LONGEST), st.lists(PIECES, max_size=9).map("".join)),
    dimension=st.sampled_from(list(UNITS)),
)
@example(raw="9" * LONGEST, dimension="mass")
@example(raw="9" * 38 + "/" + "9" * 38 + " m", dimension="length")
def test_any_text_is_a_finite_quantity_or_a_plain_refusal(raw: str, dimension: str) -> None:
    try:
        got = parse(raw, dimension)
    except UnitError:
        pass
    else:
        assert isinstance(got, Quantity)
        assert math.isfinite(got.value)
        assert math.isfinite(got.sd)
        assert got.sd >= 0


@given(
    raw=st.one_of(
        st.none(), st.booleans(), st.integers(), st.floats(), st.dates(), st.lists(st.text()), st.binary()
    )
)
def test_what_is_not_text_is_refused(raw: object) -> None:
    with pytest.raises(UnitError):
        parse(raw, "mass")


# --- and back to text -----------------------------------------------------------------------------------


@given(
    dimension=st.sampled_from(list(UNITS)),
    value=st.floats(1e-6, 1e4) | st.floats(-270, -1e-6),
    system=st.sampled_from(["metric", "us"]),
)
def test_what_is_shown_reads_back_to_the_figures_shown(dimension: str, value: float, system: str) -> None:
    back = parse(show(value, dimension, system, digits=6), dimension).value
    assert back == pytest.approx(value, rel=6e-6, abs=5e-4 if dimension == "temperature" else 0)


@pytest.mark.parametrize(
    ("value", "dimension", "system", "text"),
    [
        (0.0221, "mass", "metric", "22.1 g"),
        (0.0221, "mass", "us", "0.780 oz"),
        (0.07, "length", "metric", "70.0 mm"),
        (15.0, "length", "metric", "15.0 m"),
        (0.07, "length", "us", "2.76 in"),
        (2.1, "length", "us", "6.89 ft"),
        (15e-6, "volume", "us", "0.507 fl oz"),
        (18.0, "temperature", "us", "64.4 F"),
        (0.5, "speed", "us", "1.64 ft/s"),
        (35.59, "force", "us", "8.00 lbf"),
        (1200.0, "density", "metric", "1.20 g/cm3"),
        (1234.0, "time", "metric", "1234 s"),
        (0.0, "mass", "metric", "0 g"),
    ],
)
def test_values_are_shown_in_the_readers_units(value: float, dimension: str, system: str, text: str) -> None:
    assert show(value, dimension, system) == text


def test_reading_quantities_needs_nothing_but_the_standard_library() -> None:
    heavy = ("numpy", "scipy", "pydantic", "pint")
    code = f"import sys, sim.units; print([name for name in {heavy} if name in sys.modules])"
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
