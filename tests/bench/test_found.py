"""A thing as found: closed forms where one reading decides, and what cannot be."""

import math
from dataclasses import replace

import numpy as np
import pytest

from sim.bench.found import FoundThing, ImpossibleError, afloat, next_reading, posterior, with_reading
from sim.bench.uncertainty import ReadingError
from sim.cli import main
from sim.units import Quantity

WATER = 998.6


def q(value, sd, dimension):
    return Quantity(value, sd, dimension)


TOY = FoundThing(
    weight=q(21e-3, 0.1e-3, "mass"),
    cavity=q(14e-6, 0.2e-6, "volume"),
    sizes=(q(45e-3, 1e-4, "length"), q(33e-3, 1e-4, "length"), q(20e-3, 1e-4, "length")),
)


def test_with_the_density_of_the_wall_the_volume_is_cavity_and_wall():
    thing = replace(TOY, sizes=None, wall=q(1300.0, 13.0, "density"))
    left = posterior(thing)
    assert left.mean(left.volume) == pytest.approx(14e-6 + 21e-3 / 1300.0, rel=1e-3)
    by_hand = math.hypot(0.2e-6, 1e-4 / 1300.0, 21e-3 / 1300.0**2 * 13.0)
    assert left.sd(left.volume) == pytest.approx(by_hand, rel=0.03)


def test_a_dunk_beats_everything_else():
    left = posterior(replace(TOY, displaced=q(26e-6, 0.2e-6, "volume")))
    assert left.mean(left.volume) == pytest.approx(26e-6, rel=2e-3)
    assert left.sd(left.volume) < 0.25e-6


def test_three_sizes_weight_and_cavity_alone_give_no_sure_answer():
    left = posterior(TOY)
    state = afloat(TOY, left, WATER)
    assert state.verdict == "uncertain"
    assert state.low < 0.0 < state.high


def test_nothing_is_larger_than_the_box_of_its_sizes():
    left = posterior(TOY)
    assert left.volume[left.weights > 0].max() <= 45e-3 * 33e-3 * 20e-3 * 1.06


def test_the_next_reading_names_a_result_at_which_the_verdict_turns():
    step = next_reading(TOY, posterior(TOY), WATER)
    assert step.reading == "displaced"
    assert step.left < 0.2
    assert step.floats_above == pytest.approx(21e-3 / WATER, rel=0.02)
    for share, verdict in ((0.9, "sinks"), (1.1, "floats")):
        then = with_reading(TOY, "displaced", q(share * step.floats_above, 0.2e-6, "volume"))
        assert afloat(then, posterior(then), WATER).verdict == verdict


def test_a_load_and_a_fill_take_what_they_weigh():
    thing = replace(
        TOY, displaced=q(26e-6, 1e-8, "volume"), load=q(2e-3, 1e-6, "mass"), fill=q(1e-3, 1e-6, "mass")
    )
    left = posterior(thing)
    bare, poured, all_on = (
        afloat(thing, left, WATER, filled=filled, loaded=loaded).margin
        for filled, loaded in ((False, False), (True, False), (True, True))
    )
    assert bare - poured == pytest.approx(1e-3, rel=1e-3)
    assert poured - all_on == pytest.approx(2e-3, rel=1e-3)


def test_a_cavity_larger_than_the_box_is_refused_with_the_reading_that_settles_it():
    with pytest.raises(ImpossibleError, match=r"sizes, weight and cavity cannot all be true") as caught:
        posterior(replace(TOY, cavity=q(34e-6, 0.2e-6, "volume")))
    assert caught.value.settled_by == "displaced"
    assert "dunk it" in str(caught.value)


def test_a_wall_lighter_than_foam_is_refused():
    light = replace(TOY, weight=q(0.1e-3, 0.01e-3, "mass"), displaced=q(26e-6, 0.2e-6, "volume"))
    with pytest.raises(ImpossibleError, match="cannot all be true") as caught:
        posterior(light)
    assert caught.value.settled_by == "cavity"


def test_weight_alone_is_refused_with_what_to_give():
    with pytest.raises(ReadingError, match="dunk it"):
        posterior(FoundThing(q(21e-3, 1e-4, "mass")))


def test_the_same_readings_give_the_same_answer_to_the_last_bit():
    one, other = posterior(TOY), posterior(TOY)
    assert np.array_equal(one.weights, other.weights)
    assert np.array_equal(one.volume, other.volume)


def test_the_command_says_floats_or_not_and_what_to_measure_next(capsys):
    words = ["weight=21 g", "cavity=14 mL", "length=45 mm", "width=33 mm", "height=20 mm", "hooks=4.2 g"]
    assert main(["measure", "thing", *words]) == 0
    page = " ".join(capsys.readouterr().out.split())
    assert "cannot be told yet" in page
    assert "of 100 such things would float" in page
    assert "Measure next: close it and dunk it whole" in page


def test_a_guess_of_the_material_counts_as_a_range(capsys):
    assert main(["measure", "thing", "weight=21 g", "cavity=14 mL", "material=pvc"]) == 0
    assert "floats; 100 of 100" in " ".join(capsys.readouterr().out.split())
    assert main(["measure", "thing", "weight=21 g", "cavity=14 mL", "material=pvd"]) == 2
    assert "did you mean 'pvdf'" in capsys.readouterr().err
