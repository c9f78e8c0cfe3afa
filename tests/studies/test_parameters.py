"""What a study changes, as a maker writes it."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.design.load import load
from sim.design.paths import PathError, found, keys, value
from sim.studies import parameters
from sim.studies.parameters import Parameter, grid, read, sampled
from sim.units import Quantity
from tests.studies.work import RUNNER

DESIGN = load(RUNNER)


def cells(parameter, combinations):
    return [tuple(parameter.cell(v) for v in values) for values in combinations]


# ---- short paths --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("short", "whole"),
    [
        ("lip.angle", "plate.lip.angle"),
        ("plate.lip.angle", "plate.lip.angle"),
        ("duration", "retrieve.duration"),
        ("nose.back", "tie_on.nose.at.back"),
        ("stations.2.width", "body.main.stations.2.width"),
        ("body.main.weight", "body.main.weight"),
    ],
)
def test_so_much_of_a_path_is_enough_as_only_one_fits(short, whole):
    assert found(DESIGN, short) == whole


def test_a_short_path_that_can_mean_two_things_lists_them():
    message = "belly.weight can mean hook.belly.weight, ballast.belly.weight; write the one you mean"
    with pytest.raises(PathError, match=message):
        found(DESIGN, "belly.weight")


def test_a_path_that_can_mean_very_many_things_lists_a_few():
    with pytest.raises(PathError, match=r"or \d+ more; write the one you mean"):
        found(DESIGN, "back")


@pytest.mark.parametrize(
    ("wrong", "hint"),
    [
        ("belly.wieght", "did you mean hook.belly.weight?"),
        ("lip.anlge", "did you mean"),
        ("zzzz", "write it as the file does, as in plate.lip.angle"),
    ],
)
def test_an_unknown_path_names_the_nearest(wrong, hint):
    with pytest.raises(PathError) as error:
        found(DESIGN, wrong)
    assert f"the design has no {wrong}; {hint}" in str(error.value)


def test_every_key_of_a_whole_path_is_found_as_itself():
    assert all(found(DESIGN, path) == path for path in keys(DESIGN))


@pytest.mark.parametrize(
    ("path", "text", "problem"),
    [
        ("plate.lip.length", "0 mm", "must be more than zero"),
        ("plate.lip.length", "30", "a length needs its unit"),
        ("plate.lip.outline", "wavy", "'straight', 'round' or 'oval'"),
        ("body.main.exponent", "0.2", "greater than or equal to 1"),
        ("plate.lip.angle", "3 g", "is a unit of mass"),
    ],
)
def test_a_value_is_checked_as_in_the_file(path, text, problem):
    with pytest.raises(PathError, match=problem) as error:
        value(DESIGN, path, text)
    assert str(error.value).startswith(f"{path} = {text}: ")


def test_a_key_that_the_file_leaves_out_can_be_given():
    assert value(DESIGN, "body.main.weight", "3 +- 0.1 g") == Quantity(0.003, 0.0001, "mass")
    assert value(DESIGN, "body.main.material", "balsa") == "balsa"
    assert value(DESIGN, "body.main.stations.1.exponent", "3") == 3.0


# ---- parameters ---------------------------------------------------------------------------------------


def test_a_list_keeps_its_values_in_order():
    weights = read(DESIGN, "ballast.belly.weight = 3g, 1g,1/16 oz")
    assert weights.path == weights.heading.removesuffix("_g") == "ballast.belly.weight"
    assert [weights.cell(v) for v in weights.levels()] == pytest.approx([3.0, 1.0, 1.7718451953])
    assert weights.text(weights.values[2]) == "1/16 oz"


def test_a_range_is_cut_into_equal_steps_with_both_ends():
    angles = read(DESIGN, "lip.angle=30deg..60deg", steps=4)
    assert [angles.cell(v) for v in angles.levels()] == [30.0, 40.0, 50.0, 60.0]
    assert (angles.heading, len(angles)) == ("plate.lip.angle_deg", 4)


def test_units_may_differ_between_the_ends_and_negative_values_are_read():
    up = read(DESIGN, "lip.at.up=-1cm..-2mm", steps=3)
    assert [up.cell(v) for v in up.levels()] == [-10.0, -6.0, -2.0]


def test_lengths_of_a_metre_and_more_are_told_in_metres():
    assert read(DESIGN, "retrieve.distance=900mm..15m", 2).heading == "retrieve.distance_m"
    assert read(DESIGN, "line.diameter=0.2mm,0.3mm").heading == "line.diameter_mm"


def test_pure_numbers_and_words_have_no_unit():
    assert read(DESIGN, "main.exponent=2..4", 3).levels() == [2.0, 3.0, 4.0]
    outline = read(DESIGN, "lip.outline=straight,round")
    assert (outline.heading, outline.levels()) == ("plate.lip.outline", ["straight", "round"])
    mirrored = read(DESIGN, "lip.mirrored=true,false")
    assert [mirrored.cell(v) for v in mirrored.values] == ["true", "false"]


def test_speed_is_the_line_speed():
    speed = read(DESIGN, "speed=0.3m/s..1.2m/s", 2)
    assert speed.path == parameters.SPEED
    assert [v.value for v in speed.levels()] == pytest.approx([0.3, 1.2])


@pytest.mark.parametrize(
    ("written", "problem"),
    [
        ("lip.angle", "write a path, an equals sign and values"),
        ("=3g", "write a path, an equals sign and values"),
        ("lip.angle=", "write a path, an equals sign and values"),
        ("lip.angle=30..60deg", 'angle needs its unit; write "30 deg"'),
        ("lip.angle=30deg..30deg", "both ends of this range are 30deg"),
        ("lip.outline=straight..round", "has no numbers between straight and round; list them"),
        ("lip.mirrored=false..true", "has no numbers between false and true; list them"),
        ("ballast.belly.weight=22,1 g", "a comma parts two values here: write each with its unit"),
        ("speed=0 m/s", "must be more than zero"),
        ("lip.angle=30deg..", "nothing is written here"),
    ],
)
def test_what_cannot_be_read_says_what_to_write(written, problem):
    with pytest.raises(PathError, match=problem):
        read(DESIGN, written)


def test_a_value_without_its_own_deviation_keeps_that_of_the_file():
    sure = DESIGN.model_copy(
        update={"paint": DESIGN.paint.model_copy(update={"weight": Quantity(5e-4, 1e-4, "mass")})}
    )
    assert [v.sd for v in read(sure, "paint.weight=1g,2+-0.3g").levels()] == pytest.approx([1e-4, 3e-4])


def test_a_grid_holds_every_combination_the_last_changing_fastest():
    two = [read(DESIGN, "lip.angle=30deg,40deg"), read(DESIGN, "lip.length=1mm..3mm", 3)]
    got = [tuple(p.cell(v) for p, v in zip(two, values, strict=True)) for values in grid(two)]
    assert got == [(a, b) for a in (30.0, 40.0) for b in (1.0, 2.0, 3.0)]


@pytest.mark.parametrize("sampling", parameters.SAMPLINGS)
def test_samples_fill_the_range_evenly_and_hang_on_the_seed_alone(sampling):
    two = [read(DESIGN, "lip.angle=30deg..60deg"), read(DESIGN, "lip.outline=straight,round")]
    first, again = (list(sampled(two, 64, 7, sampling)) for _ in range(2))
    assert first == again != list(sampled(two, 64, 8, sampling))
    angles = sorted(two[0].cell(angle) for angle, _ in first)
    for k, angle in enumerate(angles):  # one in every 64th of the range
        assert 30.0 + 30.0 * k / 64 <= angle <= 30.0 + 30.0 * (k + 1) / 64
    assert [outline for _, outline in first].count("round") == 32


def test_any_number_of_samples_can_be_asked_for():
    angle = [read(DESIGN, "lip.angle=30deg..60deg")]
    assert [len(list(sampled(angle, count, 1))) for count in (1, 2, 3, 100)] == [1, 2, 3, 100]


@given(st.floats(0.0, 1.0), st.floats(-1.0, 1.0), st.floats(-1.0, 1.0))
def test_a_share_of_a_range_never_leaves_it(share, one, other):
    ends = tuple(Quantity(v, 0.0, "length") for v in (one, other))
    value = Parameter("x", "x", ends, ranges=True, steps=5).at(share).value
    assert min(one, other) - 1e-15 <= value <= max(one, other) + 1e-15
    assert math.isfinite(value)
