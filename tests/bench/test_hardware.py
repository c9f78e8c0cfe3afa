"""Small parts by their sizes: closed forms where they are, stated ranges where they are not."""

import math

import pytest

from sim.bench import hardware
from sim.bench.uncertainty import FLAT, ReadingError
from sim.units import parse


def mm(value: float):
    return parse(f"{value} mm", "length")


def test_balls_rods_wraps_and_strips_are_their_volume_times_their_density():
    assert hardware.ball(mm(6), 11340).value == pytest.approx(math.pi / 6 * 0.006**3 * 11340)
    rod = hardware.rod(mm(4), mm(12), 11340)
    assert rod.value == pytest.approx(math.pi / 4 * 0.004**2 * 0.012 * 11340)
    assert hardware.rod_length(rod, mm(4), 11340).value == pytest.approx(0.012)
    assert hardware.strip(mm(20), mm(6), mm(0.4), 11340).value == pytest.approx(0.02 * 0.006 * 0.0004 * 11340)
    one_turn = hardware.wrap(mm(1), 1, mm(2), 11340).value
    assert one_turn == pytest.approx(math.pi / 4 * 1e-6 * 11340 * math.hypot(math.pi * 0.003, 0.001))
    assert hardware.wrap(mm(1), 12, mm(2), 11340).value == pytest.approx(12 * one_turn)


def test_a_closed_ring_is_a_torus():
    torus = 2 * math.pi**2 * 0.00275 * 0.00025**2  # 6 mm outside, 0.5 mm wire
    assert hardware.solid_ring(mm(6), mm(0.5)).value == pytest.approx(torus * 7850)
    split = hardware.split_ring(mm(6), mm(0.5))
    assert split.value == pytest.approx(2 * torus * 7850)
    assert split.sd / split.value > 2 * 0.15 / FLAT


def test_a_hooks_estimate_spans_its_stated_range():
    # common practice, no source: a treble of 18 mm with wire of 1.1 mm weighs about 1.3 g
    told = hardware.hook("treble", mm(1.1), mm(9))
    assert told.value - math.sqrt(3) * told.sd < 1.3e-3 < told.value + math.sqrt(3) * told.sd
    single = hardware.hook("single", mm(1.1), mm(9))
    assert told.value == pytest.approx(3 * single.value)
    assert single.sd / single.value >= (7.0 - 4.5) / (7.0 + 4.5) * 2 / FLAT


def test_ten_together_give_one_ten_times_finer():
    each = hardware.each(parse("12.4 g", "mass"), 10)
    assert each.value == pytest.approx(1.24e-3)
    assert each.sd == pytest.approx(1e-4 / FLAT / 10)


def test_a_drill_is_the_next_common_one_with_room_for_glue():
    assert hardware.drill_for(4e-3) == pytest.approx(4.5e-3)
    assert hardware.drill_for(3.9e-3) == pytest.approx(4.0e-3)
    assert hardware.drill_for(20e-3) is None


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: hardware.hook("single", mm(9), mm(1)), "too thick for a gape of 1 mm"),
        (lambda: hardware.split_ring(mm(1), mm(5)), "the two were probably swapped"),
        (lambda: hardware.swivel("99"), 'there is no swivel of number "99" in the table'),
        (lambda: hardware.each(parse("12 g", "mass"), 0), "weigh at least one of them"),
    ],
)
def test_parts_that_cannot_be_get_one_sentence(call, says):
    with pytest.raises(ReadingError, match=says):
        call()


def test_swivels_get_heavier_with_their_size():
    weights = [hardware.swivel(number).value for number in hardware.SWIVELS]
    assert weights == sorted(weights)


def test_a_hook_by_its_size_is_a_range_and_grows_with_the_size():
    weights = [hardware.hook_by_size("treble", number) for number in hardware.TREBLES]
    assert [w.value for w in weights] == sorted(w.value for w in weights)
    assert all(w.sd / w.value > 0.15 for w in weights)
    assert hardware.hook_by_size("single", "4").value < hardware.hook_by_size("double", "4").value
    with pytest.raises(ReadingError, match=r'no hook of size "5" in the table .* wire and gape'):
        hardware.hook_by_size("treble", "5")
