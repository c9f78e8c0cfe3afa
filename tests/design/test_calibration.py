"""The `[calibration]` table: what may stand in it, that every command uses it, and how it is written."""

import datetime
from pathlib import Path

import pytest

from sim.design.load import DesignError, read
from sim.design.priors import priors
from sim.lure import build
from sim.studies.calibration.fit_parameters import fit_parameters, stripped
from sim.studies.calibration.fitted import (
    CalibrationResult,
    Correlation,
    Fitted,
    Lessons,
    Standing,
    WholeLure,
)
from sim.studies.calibration.write_back import changes_of, with_calibration, worth_writing
from sim.trials import drop
from sim.trials.scene import calibrated
from tests.studies.work import TEXT

BLOCK = """
[calibration]
cross_drag = "1.2 +- 0.05"
hook_drag = "0.8 +- 0.1"
together = [{ one = "cross_drag", other = "hook_drag", r = -0.4 }]
"""
DAY = datetime.date(2026, 11, 25)


def entry(name, value, sd, standing=Standing.FITTED, left=0.4, deviations=1.0, unit=""):
    return Fitted(
        name=name, lure=0 if unit else None, does="it", value=value, sd=sd, was=1.0, was_sd=0.1, unit=unit,
        deviations=deviations, left=left, felt=1.0, standing=standing, why="", partner=None, r=None,
    )  # fmt: skip


def result(*fitted, together=(), whole=()):
    return CalibrationResult(
        lures=["Thimble Oar"], fitted=list(fitted), together=list(together), correlations=[], tests=[], outliers=[],
        struck=[], slips=[], along=[], whole=list(whole), foretold=1.0, chi_square_before=9.0,
        chi_square=4.0, readings=5, widened=1.0, notes=[], runs=10,
    )  # fmt: skip


FOUND = result(
    entry("cross_drag", 1.12, 0.043),
    entry("hook_drag", 0.8, 0.11),
    entry("plate_lift", 1.07, 0.09, Standing.TOGETHER, left=0.9),
    entry("shedding", 1.0, 0.3, Standing.HARDLY, left=0.99, deviations=0.0),
    entry("slam", 1.0, 0.3, Standing.UNTRIED, left=1.0, deviations=0.0),
    entry("cast.speed", 20.6, 0.52, unit="m/s"),
    together=[
        Correlation(one="cross_drag", other="hook_drag", r=-0.52),
        Correlation(one="shedding", other="hook_drag", r=0.4),
    ],
)  # fmt: skip


def test_a_calibration_changes_every_run():
    plain, fitted = read(TEXT, "a"), read(TEXT + BLOCK, "b")
    assert calibrated(fitted) == {"cross_drag": 1.2, "hook_drag": 0.8}
    rates = [drop.describe(drop.run(d, build(d)), build(d)).sink_rate_m_s for d in (plain, fitted)]
    assert abs(rates[1] - rates[0]) > 1e-3


def test_the_doubt_of_a_fitted_coefficient_is_that_of_the_block():
    found = {one.path: one for one in priors(read(TEXT + BLOCK, "b"))}
    assert found["calibration.cross_drag"].value.sd == pytest.approx(0.05)
    assert found["calibration.cross_drag"].given
    assert not found["calibration.shedding"].given


@pytest.mark.parametrize(
    ("block", "words"),
    [
        ('cros_drag = "1.1"', 'did you mean "cross_drag"?'),
        ('cross_drag = "-1"', "is negative"),
        ('cross_drag = "30"', "far more than it can be"),
        ('together = [{ one = "cross_drag", other = "hook_drag", r = 2 }]', "must be 1 or less"),
        ('together = [{ one = "cross_drag", other = "hok_drag", r = 0.2 }]', 'did you mean "hook_drag"?'),
        ('cast_speed_before = "15"', "a speed needs its unit"),
    ],
)
def test_what_is_wrong_in_the_block_is_told_with_its_line(block, words):
    text = f"{TEXT}\n[calibration]\n{block}\n"
    with pytest.raises(DesignError) as refused:
        read(text, "lure.toml")
    assert f"lure.toml:{text.count(chr(10))}: calibration." in str(refused.value)
    assert words in str(refused.value)


def test_a_calibration_starts_from_the_model_not_from_an_earlier_block():
    text = TEXT.replace("[retrieve]", '[cast]\nspeed = "19 +- 0.5 m/s"\n\n[retrieve]', 1)
    design = read(f'{text}{BLOCK}cast_speed_before = "22 m/s"\n', "b")
    clean = stripped(design)
    assert not calibrated(clean)
    assert clean.cast.speed.value == 22.0
    drag = next(knob for knob in fit_parameters([clean]) if knob.name == "cross_drag")
    assert drag.input.value.sd == pytest.approx(0.1)


def test_the_block_holds_what_was_learnt_with_errors_and_correlations():
    text = with_calibration(TEXT, read(TEXT, "a"), FOUND, 0, DAY, Path())
    assert text.startswith(TEXT.rstrip())  # nothing else has changed
    design = read(text, "lure.toml")
    known = design.calibration
    assert (known.cross_drag.value, known.cross_drag.sd) == (1.12, 0.043)
    assert known.plate_lift.sd == pytest.approx(
        0.09
    )  # told only together with others: kept, with its wide error
    assert known.model_fields_set.isdisjoint({"shedding", "slam"})
    assert [(pair.one, pair.other, pair.r) for pair in known.together] == [("cross_drag", "hook_drag", -0.52)]
    assert "2026-11-25" in known.note
    assert design.cast.speed.sd == pytest.approx(0.52)
    assert known.cast_speed_before.value == read(TEXT, "a").cast.speed.value
    assert "# Fitted by `drytank calibrate` on 2026-11-25" in text


def test_writing_again_replaces_the_block_and_keeps_the_thrower_as_he_was():
    once = with_calibration(TEXT, read(TEXT, "a"), FOUND, 0, DAY, Path())
    twice = with_calibration(once, read(once, "b"), FOUND, 0, DAY, Path())
    assert twice == once
    without = with_calibration(once, read(once, "b"), result(entry("cross_drag", 1.1, 0.05)), 0, DAY, Path())
    assert read(without, "c").cast.speed.value == read(TEXT, "a").cast.speed.value
    assert without.count("[calibration]") == 1


def test_line_ends_stay_as_they_are():
    windows = TEXT.replace("\n", "\r\n")
    text = with_calibration(windows, read(windows, "a"), FOUND, 0, DAY, Path())
    assert "\n" not in text.replace("\r\n", "")


def test_what_would_be_no_design_is_not_written():
    with pytest.raises(DesignError):
        with_calibration(TEXT, read(TEXT, "a"), result(entry("cross_drag", 1e6, 0.05)), 0, DAY, Path())


def test_only_what_the_tests_changed_is_worth_a_line():
    assert [one.name for one in FOUND.fitted if not worth_writing(one)] == ["shedding", "slam"]


def test_what_is_told_as_written_is_what_the_block_holds():
    design = read(with_calibration(TEXT, read(TEXT, "a"), FOUND, 0, DAY, Path()), "lure.toml")
    changes = changes_of(FOUND.lessons, 0)
    given = {path: quantity.value for path, quantity in changes.items()}
    known = {f"calibration.{name}": value for name, value in calibrated(design).items()}
    assert given == {**known, "cast.speed": design.cast.speed.value}


def test_where_nothing_is_settled_nothing_is_written():
    hardly = entry("plate_lift", 1.07, 0.09, Standing.HARDLY, left=0.8)
    assert changes_of(Lessons([hardly], [WHOLE]), 0) == {}


WHOLE = WholeLure(
    lure=0, weighed=True, weight_g=9.41, weight_sd_g=0.05, displaced_ml=10.8, displaced_sd_ml=0.12,
    was_displaced_ml=11.3, was_displaced_sd_ml=0.8, spare_g=1.38, spare_sd_g=0.1, was_spare_g=1.9, was_spare_sd_g=0.8,
)  # fmt: skip


def test_what_several_coefficients_do_together_is_written_though_none_is_fitted():
    hardly = entry("plate_lift", 1.07, 0.09, Standing.HARDLY, left=0.8)
    assert changes_of(Lessons([hardly], (), 0.6), 0)["calibration.plate_lift"].value == 1.07


def test_the_spare_lift_goes_where_a_file_has_the_whole_lure_and_comes_out_again():
    told = result(entry("cross_drag", 1.12, 0.043), whole=[WHOLE])
    once = with_calibration(TEXT, read(TEXT, "a"), told, 0, DAY, Path())
    design = read(once, "lure.toml")
    assert design.measured.displaced.value == pytest.approx(10.8e-6)
    assert design.measured.weight.sd == pytest.approx(0.05e-3)
    assert stripped(design).measured == read(TEXT, "a").measured
    assert with_calibration(once, design, told, 0, DAY, Path()) == once
    without = with_calibration(once, design, result(entry("cross_drag", 1.1, 0.05)), 0, DAY, Path())
    assert read(without, "c").measured == read(TEXT, "a").measured


def test_a_weight_that_the_file_had_is_kept_for_the_next_calibration():
    weighed = TEXT + '\n[measured]\nweight = "9.4 +- 0.1 g"\n'
    told = result(entry("cross_drag", 1.12, 0.043), whole=[WHOLE])
    design = read(with_calibration(weighed, read(weighed, "a"), told, 0, DAY, Path()), "b")
    assert design.measured.weight.value == pytest.approx(9.41e-3)
    assert stripped(design).measured == read(weighed, "a").measured
