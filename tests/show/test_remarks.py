"""Remarks: what is noticed is data, and each has its words in one place."""

import ast
from pathlib import Path

import pytest

from sim.remark import Amount, remark
from sim.show import inputs
from sim.show.remarks import WORDS, sentence
from sim.show.units import METRIC, US
from sim.studies.monte_carlo.tolerance import InputDoubt

ROOT = Path(__file__).parents[2]


def raised():
    """Keys of all remarks that the code makes."""
    for path in (ROOT / "sim").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "remark":
                yield from (one.value for one in ast.walk(node.args[0]) if isinstance(one, ast.Constant))


def test_every_remark_has_words_and_all_words_belong_to_a_remark():
    assert set(raised()) == set(WORDS)


def test_a_remark_is_told_in_the_readers_units():
    heavy = remark("heavy_part", part="hook.tail", weight=Amount(0.5, "mass"))
    assert sentence(heavy, METRIC) == "hook.tail weighs 500 g, far more than any such part; check the unit"
    assert sentence(heavy, US) == "hook.tail weighs 17.6 oz, far more than any such part; check the unit"
    grown = remark("mix_grows", total=Amount(0.02, "mass"), more=Amount(0.0011, "mass"))
    assert sentence(grown, METRIC) == "The mix grows to 20 g, 1.1 g more than was wanted."


def test_what_a_maker_wrote_is_told_as_it_stands_whatever_is_in_it():
    light = remark("whole_light", given="{3} g}", total=Amount(0.004, "mass"))
    assert sentence(light, METRIC).startswith('measured.weight = "{3} g}" is less than')


@pytest.mark.parametrize(
    ("dimension", "sd", "between", "metric", "us"),
    [
        ("length", 0.29e-3, None, "+- 0.29 mm", "+- 0.011 in"),
        ("temperature", 2.0, None, "+- 2 C", "+- 3.6 F"),
        (
            "density",
            38.0,
            (350.0, 480.0),
            "between 0.350 g/cm3 and 0.480 g/cm3",
            "between 0.350 g/cm3 and 0.480 g/cm3",
        ),
        ("factor", 0.3, None, "+- 0.30", "+- 0.30"),
        ("mass", 1e-4, (0.827e-3, 1.17e-3), "between 0.827 g and 1.17 g", "between 0.0292 oz and 0.0413 oz"),
    ],
)
def test_how_well_an_input_is_known_is_told_in_the_readers_units(dimension, sd, between, metric, us):
    one = InputDoubt(
        path="x",
        dimension=dimension,
        value_si=1.0,
        sd_si=sd,
        between_si=between,
        given=False,
        why=remark("by_eye"),
    )
    for units, told in ((METRIC, metric), (US, us)):
        assert inputs.known_to(one, units).replace("\u00a0", " ") == told
