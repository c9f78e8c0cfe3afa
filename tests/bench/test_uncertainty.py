"""Doubt: of one reading, of a result, of several readings of one thing."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.bench.uncertainty import ReadingError, digit, flat, known, mean, propagate, rounded, weighted
from sim.units import Quantity, parse


@pytest.mark.parametrize(
    ("text", "dimension", "step"),
    [
        ("22.1 g", "mass", 1e-4),
        ("22,14 g", "mass", 1e-5),
        ("15 mL", "volume", 1e-6),
        ("12 cm3", "volume", 1e-6),
        ("3/8 oz", "mass", 0.028349523125 / 32),
        ("2 3/4 in", "length", 0.0254 / 32),
        ("18.5 C", "temperature", 0.1),
        ("1.05 g/cm3", "density", 10.0),
        ("0 g", "mass", 1e-3),
    ],
)
def test_the_last_digit_is_read_however_it_is_written(text, dimension, step):
    assert digit(parse(text, dimension)) == pytest.approx(step, rel=1e-9)


def test_a_reading_that_states_its_doubt_keeps_it():
    stated, plain = parse("22.1 +- 0.3 g", "mass"), parse("22.1 g", "mass")
    assert rounded(stated).sd == pytest.approx(3e-4)
    assert rounded(plain).sd == pytest.approx(1e-4 / math.sqrt(12))  # JCGM 100:2008, F.2.2.1


@given(a=st.floats(1.0, 50.0), b=st.floats(1.0, 50.0), sa=st.floats(0.01, 0.5), sb=st.floats(0.01, 0.5))
def test_a_products_relative_doubts_add_in_squares(a, b, sa, sb):
    one, other = Quantity(a, sa, "length"), Quantity(b, sb, "length")
    out = propagate(lambda x, y: x * y, "volume", one, other)
    assert out.sd / out.value == pytest.approx(math.hypot(sa / a, sb / b), rel=1e-6)


def test_repeated_readings_scatter_or_are_as_coarse_as_their_digits():
    alike = mean([parse("34 mm", "length")] * 4)
    assert alike.sd == pytest.approx(1e-3 / math.sqrt(12) / 2)
    apart = mean([parse(f"{x} mm", "length") for x in (33, 34, 36)])
    assert apart.value == pytest.approx(34.333e-3, rel=1e-4)
    assert apart.sd == pytest.approx(1e-3 * math.sqrt(7 / 3) / math.sqrt(3), rel=1e-6)  # s^2 = 7/3
    with pytest.raises(ReadingError, match="give at least one reading"):
        mean([])


def test_the_surer_of_two_measurements_counts_more_and_disagreement_grows_the_doubt():
    agree = weighted([Quantity(10.0, 1.0, "mass"), Quantity(11.0, 0.5, "mass")])
    assert agree.value == pytest.approx((10 + 11 * 4) / 5)
    assert agree.sd == pytest.approx(1 / math.sqrt(5))
    apart = weighted([Quantity(10.0, 1.0, "mass"), Quantity(20.0, 1.0, "mass")])
    assert apart.sd == pytest.approx(math.sqrt(50) / math.sqrt(2))  # Birge ratio sqrt(50)


@given(value=st.floats(1e-4, 5.0), share=st.floats(1e-4, 0.5))
def test_a_results_text_reads_back_as_the_result(value, share):
    out = known(value, value * share, "volume")
    back = parse(out.text, "volume")
    assert back.value == pytest.approx(out.value, abs=0.06 * out.sd)
    assert back.sd == pytest.approx(out.sd, rel=0.06)


def test_a_flat_interval_has_its_width_over_root_twelve():
    out = flat(1000.0, 1450.0, "density", "1 to 1.45 g/cm3")
    assert out.flat
    assert (out.value, out.sd) == (1225.0, pytest.approx(450.0 / math.sqrt(12)))
