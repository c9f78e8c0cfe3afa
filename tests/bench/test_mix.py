"""Mixes: shares, densities, amounts that add up exactly, and mixing again."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.bench import mix
from sim.bench.answers import mixed
from sim.bench.uncertainty import ReadingError

names = st.sampled_from("abcdefgh")
recipes = st.dictionaries(names, st.floats(0.05, 10.0), min_size=1, max_size=6).map(mix.shares)
steps = st.sampled_from([Decimal("0.01"), Decimal("0.05"), Decimal("0.1"), Decimal("0.5"), Decimal(1)])


def test_the_small_batch_of_the_trade_comes_out_as_it_is_weighed():
    # common practice, no source: 15 mL at 0.58 g/mL take about 8.7 g, met by 4 + 4 + 0.8 g within 0.1 g
    wanted = mix.needed(15e-6, 580.0) * 1e3
    assert wanted == pytest.approx(8.7)
    recipe = mix.shares({"resin": 1, "hardener": 1}, {"spheres": 10})
    amounts = {a.name: a.weight for a in mix.amounts(recipe, wanted, Decimal("0.1"))}
    for name, grams in {"resin": 4.0, "hardener": 4.0, "spheres": 0.8}.items():
        assert float(amounts[name]) == pytest.approx(grams, abs=0.11)
    assert sum(amounts.values()) == Decimal("8.7")


@given(recipe=recipes, total=st.floats(50.0, 2000.0), step=steps)
def test_amounts_add_up_to_the_total_exactly_and_none_is_off_by_a_step(recipe, total, step):
    try:
        amounts = mix.amounts(recipe, total, step)
    except ReadingError as problem:
        assert "less than the scale's" in str(problem)
        return
    whole = mix.sum_of(amounts)
    assert whole % step == 0
    assert total - 1e-6 <= float(whole) < total + float(step) + 1e-6
    assert whole == sum((a.weight for a in amounts), Decimal(0))
    assert all(a.weight % step == 0 and a.weight > 0 for a in amounts)
    assert all(abs(float(a.weight) - a.exact) < float(step) + 1e-9 for a in amounts)


@given(recipe=recipes, total=st.floats(50.0, 500.0), step=steps, data=st.data())
def test_after_over_pouring_the_others_follow_and_nothing_is_taken_out(recipe, total, step, data):
    poured = {
        name: data.draw(st.integers(0, 4000).map(lambda k: k * step), label=name)
        for name in data.draw(st.lists(st.sampled_from(sorted(recipe)), unique=True, max_size=3))
    }
    out = {a.name: a for a in mix.again(recipe, poured, total, step)}
    whole = max([total, *(float(w) / recipe[n] for n, w in poured.items())])
    for name, amount in out.items():
        assert amount.weight >= poured.get(name, 0)
        assert float(amount.weight) == pytest.approx(recipe[name] * whole, abs=0.51 * float(step))
    assert mix.sum_of(list(out.values())) == sum((a.weight for a in out.values()), Decimal(0))


def test_one_part_over_poured_carries_the_others_along():
    recipe = mix.shares({"resin": 1, "hardener": 1}, {"spheres": 10})
    out = {a.name: a.weight for a in mix.again(recipe, {"resin": Decimal("4.3")}, 8.8, Decimal("0.1"))}
    assert out == {"resin": Decimal("4.3"), "hardener": Decimal("4.3"), "spheres": Decimal("0.9")}


def test_with_two_over_poured_the_worse_one_rules_and_the_other_is_topped_up():
    recipe = mix.shares({"resin": 2, "hardener": 1})
    poured = {"resin": Decimal("21.0"), "hardener": Decimal("11.0")}
    answer = mixed(recipe, 30.0, Decimal("0.1"), None, "unknown", poured)
    added = {part.name: part.add_g for part in answer.parts}
    assert added == {"resin": pytest.approx(1.0), "hardener": 0.0}
    assert answer.total_g == 33.0
    assert answer.warnings == ("The mix grows to 33 g, 3 g more than was wanted.",)


def test_volumes_add_up_in_a_syntactic_mix():
    # 0.75 mL of resin of 1.1 and 0.25 mL of spheres of 0.15 g/mL, true density: 0.8625 g/mL
    shares = mix.by_volume({"resin": 3, "spheres": 1}, {"resin": 1100.0, "spheres": 150.0})
    parts = [mix.Part("resin", shares["resin"], 1100.0), mix.Part("spheres", shares["spheres"], 150.0)]
    assert mix.mix_density(parts) == pytest.approx(862.5, rel=1e-12)


def test_foam_fills_its_volume_with_rise_times_less_liquid():
    weight, density = mix.foam_weight(40e-6, 1150.0, 8.0, 1.2)
    assert density == pytest.approx(1150 / 8 * 1.2)
    assert weight == pytest.approx(40e-6 * density)


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: mix.shares({}), "at least one part by weight"),
        (lambda: mix.shares({"a": -1}), "a = -1 must be more than zero"),
        (lambda: mix.mix_density([mix.Part("a", 1.0)]), "the density of a is not known"),
        (lambda: mix.needed(1e-6, 580.0, 0), "at least one body to fill"),
        (lambda: mix.needed(1e-6, 580.0, 1, 5.0), "not between 0 and 200 %"),
        (
            lambda: mix.again({"a": 1.0}, {"b": Decimal(1)}, 1.0, Decimal("0.1")),
            "there is no part 'b' in this mix",
        ),
        (lambda: mix.again({"a": 1.0}, {"a": Decimal(-1)}, 1.0, Decimal("0.1")), "write what is in the cup"),
        (lambda: mix.amounts({"a": 0.99, "b": 0.01}, 3.0, Decimal("0.1")), "mix at least 10 g in all"),
        (lambda: mix.foam_weight(1e-6, 1100.0, 0.5), "means that it does not foam"),
        (lambda: mix.foam_weight(1e-6, 1100.0, 5.0, 0.5), "packing must lie between 1 and the rise"),
    ],
)
def test_mixes_that_cannot_be_get_one_sentence(call, says):
    with pytest.raises(ReadingError) as error:
        call()
    assert says in str(error.value)
