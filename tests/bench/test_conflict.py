"""Two measurements that exclude each other: how far, and which slip."""

import pytest

from sim.bench.conflict import contradiction
from sim.bench.uncertainty import flat
from sim.units import Quantity, parse
from tests.in_words import in_words


def judged(one: str, other: str, dimension: str = "mass", **loads: str) -> str | None:
    found = contradiction(
        "displaced",
        "it",
        ("level", parse(one, dimension)),
        ("cup", parse(other, dimension)),
        {name: parse(text, dimension) for name, text in loads.items()},
    )
    return None if found is None else in_words([found])[0]


def test_values_within_their_doubt_agree():
    assert judged("22.1 +- 0.3 g", "22.6 +- 0.3 g") is None
    assert judged("22.1 g", "22.3 g") is None  # less than two percent


@pytest.mark.parametrize(
    ("one", "other", "dimension", "slip"),
    [
        ("0.78 g", "22.1 g", "mass", "read in ounces and written as grams"),
        ("1.25 mm", "31.7 mm", "length", "read in inches and written as millimetres"),
        ("1 mL", "29.6 mL", "volume", "read in fluid ounces"),
        ("2.2 g", "22 g", "mass", "a decimal mark is one place off"),
        ("22 g", "22 kg", "mass", "a unit of a thousand is off"),
        (
            "15 mL",
            "22 mL",
            "volume",
            "An air bubble makes a dunked volume too large and a filled cavity too small",
        ),
        ("1.1 g/cm3", "1.4 g/cm3", "density", "Air bubbles make a scrap seem light"),
    ],
)
def test_the_likely_slip_is_named(one, other, dimension, slip):
    assert slip in judged(one, other, dimension)


def test_the_size_of_the_contradiction_is_told():
    text = judged("15.0 +- 0.2 mL", "22.0 +- 0.2 mL", "volume")
    assert text.startswith(
        "What it displaces is 15.0 mL by the rise of the level but 22.0 mL hung in a cup on the scale"
    )
    assert "scale: 7.00 mL apart, 25 times what their doubt allows. " in text


def test_a_tare_that_was_left_on_is_recognised():
    text = judged("22.1 g", "26.4 g", tare="4.2 g")
    assert "They differ by about the tare: it was probably left on the scale" in text


def test_an_interval_only_contradicts_what_lies_outside_it():
    wide = flat(1000.0, 1450.0, "density", "1 to 1.45 g/cm3")
    inside, outside = Quantity(1400.0, 5.0, "density"), Quantity(1600.0, 5.0, "density")
    assert contradiction("density", "d", ("scrap", wide), ("immersion", inside)) is None
    (text,) = in_words([contradiction("density", "d", ("scrap", wide), ("immersion", outside))])
    assert "1 to 1.45 g/cm3 by what a scrap did but 1.60 g/cm3 weighed in water" in text
