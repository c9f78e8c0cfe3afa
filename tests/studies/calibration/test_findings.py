"""What is told of a calibration: readings against all others, what is struck out, the bench, what is barely touched."""

import math

import pytest

from sim.design.log import read_log, with_struck_out
from sim.show import lessons
from sim.show.lessons import why
from sim.show.units import METRIC
from sim.studies.calibration.calibrate import Given, calibrate
from sim.studies.calibration.fitted import Standing
from sim.studies.calibration.observations import readings, struck
from tests.in_words import in_words
from tests.studies.calibration.planted import DESIGN, NOSE, fitted_to, log_of
from tests.studies.work import TEXT


def test_a_reading_against_all_others_is_named_and_the_errors_are_widened(made_up):
    steady = f"wobbled 8 +- 0.1 Hz {NOSE}"
    result, told = fitted_to(*[steady] * 6, f"wobbled 9.5 +- 0.1 Hz {NOSE}")
    assert [one.test for one in result.tests if one.outlier] == [7]
    (against,) = result.outliers
    assert against.readings == [6]
    assert against.others == pytest.approx(8.0, abs=0.1)
    assert against.off == pytest.approx(-1.5 / math.hypot(0.1, 0.1 / math.sqrt(6.0)), rel=0.1)
    assert result.widened > 1.5
    _, quiet = fitted_to(*[steady] * 7)
    assert told["shedding"].sd > 1.5 * quiet["shedding"].sd


def test_one_slip_does_not_make_the_readings_that_agree_look_wrong(made_up):
    result, _ = fitted_to(
        f"wobbled 8 +- 0.1 Hz {NOSE}", f"wobbled 8.1 +- 0.1 Hz {NOSE}", f"wobbled 11 +- 0.1 Hz {NOSE}"
    )
    assert [one.readings for one in result.outliers] == [[2]]
    (told,) = lessons.again(result, ["box/oar.toml"], METRIC)
    assert told.startswith(f'test 3, "wobbled 11 +- 0.1 Hz {NOSE}": all others speak against this one, by ')
    assert "they make it 8." in told
    assert 'drytank log box/oar.toml --strike-out 3 --because "..."' in told
    assert "without test 3 the others agree" in lessons.method(result)[1]


def test_where_a_slip_may_be_why_others_are_left_out_it_is_to_be_struck_out_first(made_up):
    thrown = "sank nose down 10 +- 3 deg"
    result, _ = fitted_to(thrown, *[f"wobbled 8 +- 0.1 Hz {NOSE}"] * 3, f"wobbled 11 +- 0.1 Hz {NOSE}")
    told = lessons.again(result, ["oar.toml"], METRIC)
    assert [one.left_out != "" for one in result.tests] == [True, False, False, False, False]
    assert told[-1].startswith("A reading that is far off drags the fit along")
    sound, _ = fitted_to(thrown, f"wobbled 8 +- 0.1 Hz {NOSE}")
    assert not any("drags the fit along" in words for words in lessons.again(sound, ["oar.toml"], METRIC))


def test_of_two_that_contradict_each_other_neither_is_blamed_alone(made_up):
    result, _ = fitted_to(f"wobbled 7 +- 0.05 Hz {NOSE}", f"wobbled 9 +- 0.05 Hz {NOSE}")
    assert [sorted(one.readings) for one in result.outliers] == [[0, 1]]
    (told,) = lessons.again(result, ["oar.toml"], METRIC)
    assert "nothing says which it is" in told


def test_what_is_struck_out_is_told_and_teaches_nothing(made_up):
    log = log_of(f"wobbled 8 +- 0.1 Hz {NOSE}", f"wobbled 11 +- 0.1 Hz {NOSE}")
    log = read_log(with_struck_out(log.text, 1, "counted twice"), "lure.log.toml")
    result = calibrate(Given([TEXT], [DESIGN], readings(DESIGN, log), struck(log)))
    assert result.readings == 1
    assert result.outliers == []
    assert lessons.struck(result) == [f'test 2, "wobbled 11 +- 0.1 Hz {NOSE}": counted twice']


def test_what_only_the_bench_explains_is_told_and_not_taken_for_what_the_file_will_say(made_up):
    """The weight hangs on the ballast alone, which no calibration block carries."""
    result, _ = fitted_to("weighs 9.45 +- 0.01 g", f"wobbled 7 +- 0.1 Hz {NOSE}")
    weight, wobble = result.tests
    assert weight.after == weight.before == pytest.approx(9.4)
    assert weight.off_after == pytest.approx(-5.0)
    assert weight.fitted > 9.43
    assert abs(weight.off_fitted) < 2.0
    assert wobble.after == pytest.approx(7.0, abs=0.05)
    (along,) = result.along
    assert (along.name, along.readings) == ("ballast.belly.weight", [0])
    (told,) = lessons.along(result, METRIC)
    assert told.startswith("ballast.belly.weight: rather 2.0")
    assert told.endswith("; test 1 hangs on it. Measure it")
    assert "1 with what goes into the file, 0 as fitted" in lessons.answer(result)


def test_a_weight_that_is_not_that_of_the_design_is_told(made_up):
    result, _ = fitted_to("weighs 10.4 +- 0.1 g")
    assert in_words(result.notes) == [
        'test 1 of the log says 10.4 g, the design 9.4 g: put measured.weight = "10.4 +- 0.1 g" in the file'
    ]


def test_what_is_barely_touched_is_told_apart_from_what_no_test_tried(made_up):
    _, told = fitted_to(f"ran 1 +- 1.5 m deep {NOSE}")
    lift, drag = told["plate_lift"], told["plate_drag"]
    for one in (lift, drag):
        assert one.standing is Standing.BARELY
        # all of its doubt moves the depth by as much, in metres
        assert one.felt == pytest.approx(one.was_sd / 1.5, rel=0.01)
        assert f"moves the readings together by {one.felt:.2f} of their +-" in why(one)
        assert one.left == 1.0
    assert told["shedding"].standing is Standing.UNTRIED
    assert told["shedding"].felt == 0.0
    sentences = lessons.not_fitted(fitted_to(f"ran 1 +- 1.5 m deep {NOSE}")[0])
    barely, untried = (
        next(one for one in sentences if start in one) for start in ("Barely", "No test tried")
    )
    assert f"plate_drag {drag.felt:.2f} (log a drop time" in barely
    assert "plate_drag" not in untried
    assert "shedding (log the wobble rate of a pull)" in untried
