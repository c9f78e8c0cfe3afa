"""Every input as a distribution, and what is looked at in each build."""

import math

import numpy as np
import pytest

from sim.coefficients import COEFFICIENTS, DOUBTED
from sim.design.edit import edited
from sim.design.load import read
from sim.design.paths import leaves, replaced
from sim.design.priors import (
    Prior,
    drawn,
    last_digit,
    mixed,
    priors,
    usual_sd,
)
from sim.design.priors import together as correlations
from sim.metrics import ROWS
from sim.trials.request import STILL, Pull, Request, key, together, whole
from sim.units import Quantity, parse
from tests.in_words import in_words
from tests.studies.work import SCENARIOS, TEXT

DESIGN = read(TEXT, "test")
FOUND = {one.path: one for one in priors(DESIGN)}


def design(**changes):
    return read(edited(TEXT, changes), "test")


# ---- which inputs, and who says how well they are known ------------------------------------------------


def test_what_the_maker_tells_is_taken_as_it_is_told():
    found = {one.path: one for one in priors(design(**{"ballast.belly.weight": "2.0 +- 0.4 g"}))}
    one = found["ballast.belly.weight"]
    assert one.given
    assert one.value.sd == pytest.approx(0.4e-3)
    assert in_words([one.why]) == ["as you wrote it"]


@pytest.mark.parametrize(
    ("path", "sd", "why"),
    [
        ("plate.lip.angle", math.radians(1.5), "cut and set by eye"),
        ("plate.lip.root.back", 0.3e-3, "nothing sits where it was drawn"),
        ("hook.belly.at.left", 0.3e-3, "nothing sits where it was drawn"),
        ("plate.lip.length", 1e-3 / math.sqrt(12.0), "the last digit of the calliper"),
        ("hook.belly.weight", 0.1e-3 / math.sqrt(12.0), "the last digit of the scale"),
        ("water.temperature", 2.0, "no thermometer in the water"),
        ("cast.speed", 0.08 * 28.0, "no two casts are alike"),
    ],
)
def test_what_comes_without_a_deviation_gets_what_is_usual(path, sd, why):
    one = FOUND[path]
    assert not one.given
    assert one.value.sd == pytest.approx(sd)
    assert in_words([one.why]) == [why]


def test_a_finer_digit_is_known_better_but_no_better_than_a_bench_is():
    assert usual_sd("hook.belly.weight", parse("1.20 g", "mass"))[0] == pytest.approx(0.006e-3)
    assert usual_sd("plate.lip.length", parse("13.00 mm", "length"))[0] == pytest.approx(0.1e-3)
    assert usual_sd("plate.lip.thickness", parse("1.20 mm", "length"))[0] == pytest.approx(0.02e-3)


@pytest.mark.parametrize("path", ["body.main.nose.back", "retrieve.distance", "line.length", "paint.density"])
def test_what_is_not_in_doubt_has_no_usual_deviation(path):
    dimension = "density" if path.endswith("density") else "length"
    assert usual_sd(path, Quantity(1.0, 0.0, dimension, "1")) == (0.0, None)


def test_a_wood_known_by_its_name_lies_between_its_lightest_and_its_heaviest():
    one = FOUND["body.main.density"]
    assert one.between == (350.0, 480.0)
    assert (one.at(-8.0).value, one.at(0.0).value, one.at(8.0).value) == pytest.approx((350.0, 414.0, 480.0))
    assert "body.main.density" not in {
        o.path for o in priors(design(**{"body.main.density": "0.4 g/cm3"})) if o.between
    }


def test_the_density_of_a_weighed_solid_decides_nothing():
    weighed = priors(design(**{"body.main.weight": "4.5 g"}))
    assert "body.main.density" not in {one.path for one in weighed}


def test_all_widths_of_a_body_share_one_error():
    one = FOUND["body.main.stations.width"]
    changes = one.changes(1.0)
    assert len(changes) == 5  # the two ends are points
    ratios = {changes[path].value / leaves(DESIGN)[path].value for path in changes}
    assert max(ratios) == pytest.approx(min(ratios))
    assert max(ratios) == pytest.approx(1.0 + one.value.sd / 16e-3)


def test_every_doubted_coefficient_is_drawn_and_a_calibrated_one_as_its_calibration_says():
    model = [one for one in FOUND.values() if one.of_the_model]
    assert {one.path.removeprefix("calibration.") for one in model} == set(DOUBTED)
    assert all(one.value.sd == COEFFICIENTS[one.path.removeprefix("calibration.")].doubt for one in model)
    calibrated = {one.path: one for one in priors(design(**{"calibration.shedding": "1.2 +- 0.05"}))}
    one = calibrated["calibration.shedding"]
    assert (one.given, one.why.key) == (True, "calibrated")
    assert (one.value.value, one.value.sd) == pytest.approx((1.2, 0.05))
    assert not any(one.of_the_model for one in priors(DESIGN, model=False))


# ---- drawing ------------------------------------------------------------------------------------------


def known(value, sd, dimension="length", path="plate.lip.length", **rest):
    return Prior(path, Quantity(value, sd, dimension, **rest), True, "")


def test_a_normal_input_is_drawn_in_its_own_deviations():
    one = known(0.02, 0.001)
    assert [one.at(z).value for z in (-2.0, 0.0, 1.0)] == pytest.approx([0.018, 0.02, 0.021])


def test_a_flat_input_never_leaves_its_ends_and_fills_them_evenly():
    one = known(0.25, 0.05, "density", flat=True)
    half = 0.05 * math.sqrt(3.0)
    draws = np.array([one.at(float(z)).value for z in np.random.default_rng(1).standard_normal(4000)])
    assert draws.min() >= 0.25 - half
    assert draws.max() <= 0.25 + half
    counts = np.histogram(draws, 8, (0.25 - half, 0.25 + half))[0]
    assert np.abs(counts - 500).max() < 5.0 * math.sqrt(500.0)


def test_a_size_is_never_drawn_to_nothing_or_below():
    for sd in (0.001, 0.01, 0.1):
        assert known(0.01, sd).at(-9.0).value > 0.0


def test_a_very_doubtful_size_is_drawn_with_the_median_and_the_deviation_of_a_lognormal():
    one = known(0.01, 0.003)
    assert one.at(0.0).value == pytest.approx(0.01)
    assert one.at(1.0).value * one.at(-1.0).value == pytest.approx(1e-4)


def test_a_place_may_be_drawn_to_the_other_side():
    assert known(0.0001, 0.001, path="hook.belly.at.up").at(-1.0).value == pytest.approx(-0.0009)


def test_the_draw_of_no_deviation_is_the_design_as_it_is_written():
    inputs = priors(DESIGN)
    same = replaced(DESIGN, drawn(DESIGN, inputs, [0.0] * len(inputs)))
    given, was = leaves(same), leaves(DESIGN)
    assert all(given[path].value == pytest.approx(was[path].value) for path in was)


def test_what_goes_together_is_drawn_together_and_the_rest_is_left_alone():
    pairs = (
        '[calibration]\nplate_lift = "1.0 +- 0.1"\nplate_drag = "1.1 +- 0.2"\n'
        'together = [{ one = "plate_lift", other = "plate_drag", r = -0.7 }]\n'
    )
    calibrated = read(f"{TEXT}\n{pairs}", "test")
    inputs = priors(calibrated)
    z = np.random.default_rng(3).standard_normal((20_000, len(inputs)))
    x = mixed(calibrated, inputs, z)
    at = [
        k for k, one in enumerate(inputs) if one.path in ("calibration.plate_lift", "calibration.plate_drag")
    ]
    assert np.corrcoef(x[:, at].T)[0, 1] == pytest.approx(-0.7, abs=0.02)
    assert x.std(axis=0) == pytest.approx(np.ones(len(inputs)), abs=0.03)
    others = [k for k in range(len(inputs)) if k not in at]
    assert np.allclose(x[:, others], z[:, others], atol=1e-12)
    assert correlations(calibrated, inputs)[at[0], at[1]] == -0.7
    assert mixed(DESIGN, priors(DESIGN), z) is z


@pytest.mark.parametrize(
    ("text", "dimension", "step"),
    [
        ("2.03 g", "mass", 1e-5), ("2 g", "mass", 1e-3), ("18,4 g", "mass", 1e-4),
        ("3/8 oz", "mass", 28.349523e-3 / 32), ("2 3/4 in", "length", 25.4e-3 / 32),
        ("0.28 mm", "length", 1e-5), ("1.5e1 mm", "length", 1e-3),
        ("0 mm", "length", 0.0), ("55 deg", "angle", math.radians(1.0)),
    ],
)  # fmt: skip
def test_the_last_digit_is_what_was_written(text, dimension, step):
    assert last_digit(parse(text, dimension)) == pytest.approx(step, rel=1e-5)


# ---- what is looked at --------------------------------------------------------------------------------


def test_a_row_holds_every_figure_asked_for_as_plain_values():
    pull = Pull("nose", 0.5)
    asked = Request(("budget", "drop"), (pull,))
    found = asked(DESIGN)
    assert list(found) == asked.columns(ROWS)
    assert all(type(value) in (str, float, int, dict, type(None)) for value in found.values())
    assert found["budget.verdict"] == "floats"


@pytest.mark.parametrize("name", ["thimble_oar", "gravel_bell"])  # one floats, one sinks
def test_weight_and_rest_are_the_same_whether_or_not_more_is_looked_at(name):
    floating = read((SCENARIOS / f"{name}.toml").read_text(encoding="utf-8"), name)
    alone, among = Request(("budget", "float"))(floating), Request(("budget", "float", "drop"))(floating)
    assert alone == {figure: among[figure] for figure in alone}


def test_a_whole_look_pulls_from_every_point_at_every_speed():
    assert len(whole(DESIGN).pulls) == 6
    assert whole(DESIGN).parts == STILL


def test_looks_are_put_together_without_repeats():
    one, other = Pull("nose", 0.5), Pull("lip", 0.9)
    both = together([Request(("drop",), (one,)), Request(("budget", "drop"), (one, other))])
    assert both == Request(("budget", "drop"), (one, other))


def test_a_pull_is_named_by_where_and_how_fast():
    assert key("retrieve.depth_m", Pull("nose", 0.9)) == "retrieve.depth_m nose 0.9"
    assert key("budget.mass_g") == "budget.mass_g"
