"""What looks like a slip of the unit or the decimal point, and what does not."""

import math

import pytest

from sim.design.load import read
from sim.design.log import read_log, with_test
from sim.show import readings as words
from sim.show.units import METRIC
from sim.studies.calibration.gross_errors import PACE, slips, sound
from sim.studies.calibration.observations import readings
from sim.trials.request import Pull, key
from tests.studies.work import TEXT

DESIGN = read(TEXT, "oar.toml")
PULL = Pull("nose", 0.9)


def found(said, **row):
    logged = read_log(with_test("# box\n", {"said": said}), "lure.log.toml")
    mine = readings(DESIGN, logged)
    figures = {name.replace("_of_", "."): value for name, value in row.items()}
    whole = {**figures, **{key(name, PULL): value for name, value in figures.items()}}
    return mine, slips(DESIGN, mine, {reading.unit: whole for reading in mine})


@pytest.mark.parametrize(
    ("said", "row", "times"),
    [
        ("weighs 94 g", {"budget_of_mass_g": 9.4}, 10.0),
        ("weighs 0.94 g", {"budget_of_mass_g": 9.4}, 0.1),
        ("displaces 113 mL", {"budget_of_displaced_ml": 11.3}, 10.0),
        ("rose 1 m in 46 s", {"drop_of_sink_rate_m_s": -0.25}, 0.087),
        ("flew 200 m", {"cast_of_range_m": 20.0}, 10.0),
        ("flew at least 200 m", {"cast_of_range_m": 20.0}, 10.0),
        ("ran 6 m deep at 0.9 m/s from nose", {"retrieve_of_depth_m": 0.6}, 10.0),
        ("wobbled 65 Hz at 0.9 m/s from nose", {"retrieve_of_wobble_hz": 6.5}, 10.0),
    ],
)
def test_ten_times_as_much_or_as_little_is_asked_about(said, row, times):
    mine, (slip,) = found(said, **row)
    assert slip.times == pytest.approx(times, rel=0.02)
    assert (slip.file, slip.line, slip.test) == ("lure.log.toml", 4, 1)
    assert sound(mine, [slip]) == []


@pytest.mark.parametrize(
    ("said", "row"),
    [
        ("weighs 12 g", {"budget_of_mass_g": 9.4}),
        ("flew at least 5 m", {"cast_of_range_m": 30.0}),  # it flew farther
        ("sank 1 m in 14 s", {"drop_of_sink_rate_m_s": 0.01}),  # it all but hangs
        ("floats with 4 g to spare", {"budget_of_margin_g": 0.3}),  # spare lift goes through nought
        ("sits nose down 20 deg", {"float_of_pitch_deg": -1.0}),
        ("wobbled 6 Hz at 0.9 m/s from nose", {"retrieve_of_wobble_hz": None}),
        ("flew 200 m", {"cast_of_range_m": math.nan}),
        ("dives at 0.9 m/s from nose", {"retrieve_of_behaviour": "wakes"}),
    ],
)
def test_what_a_lure_may_well_do_is_not(said, row):
    mine, none = found(said, **row)
    assert none == []
    assert sound(mine, none) == mine


@pytest.mark.parametrize(("speed", "asked"), [("90 m/s", True), ("0.05 m/s", True), ("2.4 m/s", False)])
def test_a_line_speed_is_held_against_those_of_the_design(speed, asked):
    _, some = found(f"dives at {speed} from nose")
    assert [slip.figure for slip in some] == ([PACE] if asked else [])


def test_a_speed_is_asked_about_once_in_a_test():
    logged = read_log(
        with_test("", {"said": "dives at 90 m/s from nose and wobbles at 90 m/s from nose"}), "log"
    )
    mine = readings(DESIGN, logged)
    assert len(mine) == 2
    assert len(slips(DESIGN, mine, {})) == 1


def test_the_words_name_file_line_key_value_and_a_way_out():
    _, some = found("weighs 94 g", budget_of_mass_g=9.4)
    (told,) = words.slips(some, METRIC)
    assert told == (
        'lure.log.toml:4: test.1.said = "weighs 94 g": 94.00 g, 10 times the 9.40 g of the design; did the unit or the '
        'decimal point slip? If it did, put it right in the log, or strike it out with a line struck_out = "why" in '
        "that [[test]]."
    )


def test_a_small_doubt_is_not_told_as_none():
    assert (
        words.stated("drop.sink_rate_m_s", None, -0.0217, -0.0217, 4.7e-5, METRIC) == "-0.022 +- 0.00005 m/s"
    )
