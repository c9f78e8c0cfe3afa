"""The log beside a design: what may stand in it, how a test is added, and what is said where it is wrong."""

# ruff: noqa: E501  one case a line: the tables are read side by side

import datetime

import pytest

from sim.cli import main
from sim.design.load import DesignError, read
from sim.design.log import LoggedTest, load_log, log_file, read_log, with_test
from sim.studies.lessons.logged import readings
from sim.studies.looks import Pull
from tests.studies.work import TEXT

DESIGN = read(TEXT, "reed.toml")
LOG = """\
# my notebook
[[test]]
date = 2026-11-20
said = "rose 1 m in 4.2 +- 0.2 s"
water = { temperature = "14 C" }
with = { "line.diameter" = "0.20 mm" }
note = "off the jetty"  # windy

[[test]]
said = "weighs 9.4 +- 0.1 g"
"""


def said(text, design=None):
    """All that is said of a log, problem by problem."""
    with pytest.raises(DesignError) as refused:
        _understood(text, design or DESIGN)
    return str(refused.value).split("\n\n")


def _understood(text, design):
    return readings(design, read_log(text, "lure.log.toml"))


def test_a_log_is_beside_its_design():
    assert str(log_file("box/lure.toml")) == "box/lure.log.toml"


def test_a_log_is_read_with_dates_water_and_what_was_different():
    first, second = read_log(LOG, "lure.log.toml").tests
    assert first.date == datetime.date(2026, 11, 20)
    assert first.water.temperature.value == 14.0
    assert first.conditions == {"line.diameter": "0.20 mm"}
    assert second.date is None
    assert second.water.temperature is None


def test_every_reading_knows_its_run_and_its_conditions():
    first, second = readings(DESIGN, read_log(LOG, "log"))
    assert first.unit.part == "drop"
    changes = dict(first.unit.conditions)
    assert changes["line.diameter"].value == pytest.approx(0.2e-3)
    assert changes["water.temperature"].value == 14.0
    assert second.unit.conditions == ()
    assert second.measured


@pytest.mark.parametrize(
    ("words", "figure", "value", "sd"),
    [
        ("weighs 18.4 +- 0.1 g", "budget.mass_g", 18.4, 0.1),
        ("displaces 21 +- 0.3 mL", "budget.displaced_ml", 21.0, 0.3),
        ("shows 6 +- 1 mm above the water", "float.freeboard_mm", 6.0, 1.0),
        ("sits nose down 5 deg", "float.pitch_deg", -5.0, 2.0),
        ("sank 1 m in 4.2 +- 0.2 s", "drop.sink_rate_m_s", 1 / 4.2, 0.2 / 4.2**2),
        ("flew 19 +- 1 m", "cast.range_m", 19.0, 1.0),
        ("ran 1.1 +- 0.1 m deep at 0.9 m/s from lip", "retrieve.depth_m", 1.1, 0.1),
        ("wobbled 6.5 +- 0.5 Hz at 0.9 m/s from lip", "retrieve.wobble_hz", 6.5, 0.5),
    ],
)
def test_each_kind_of_reading_is_understood(words, figure, value, sd):
    (reading,) = readings(DESIGN, read_log(with_test("", {"said": words}), "log"))
    assert reading.statement.figure == figure
    assert reading.statement.span.low == pytest.approx(value)
    assert reading.statement.span.sd == pytest.approx(sd)


def test_a_behaviour_that_was_seen_is_a_reading_too():
    (reading,) = readings(
        DESIGN, read_log(with_test("", {"said": "rolled over at 1.3 m/s from nose"}), "log")
    )
    assert reading.statement.word == "rolls over"
    assert reading.unit.pull == Pull("nose", 1.3)
    assert not reading.measured


def test_a_sink_rate_is_held_as_its_square_with_its_sign():
    (reading,) = readings(DESIGN, read_log(with_test("", {"said": "rose 1 m in 4 +- 0.2 s"}), "log"))
    assert reading.aim.low == pytest.approx(-(0.25**2))
    assert reading.aim.sd == pytest.approx(2 * 0.25 * 0.25 * 0.05)
    assert reading.signal({"drop.sink_rate_m_s": -0.25}) == pytest.approx(reading.aim.low)
    assert reading.plain(reading.aim.low) == pytest.approx(-0.25)


def test_a_test_is_added_at_the_end_and_all_comments_are_kept():
    text = LOG + "# last word\n"
    longer = with_test(text, {"said": "flew 19 m", "with": {"line.diameter": "0.3 mm"}})
    assert longer.startswith(text)
    third = read_log(longer, "log").tests[2]
    assert third == LoggedTest(said="flew 19 m", conditions={"line.diameter": "0.3 mm"})


def test_a_log_begins_from_nothing():
    assert read_log(with_test("", {"said": "sank"}), "log").tests[0].said == "sank"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            LOG.replace("said = \"weighs", "sayd = \"weighs"),
            'lure.log.toml:10: test.2.sayd = "weighs 9.4 +- 0.1 g": there is no key "sayd" in a test; did you mean "said"?',
        ),
        (
            LOG.replace("2026-11-20", '"last week"'),
            'lure.log.toml:3: test.1.date = "last week": a date is written year, month, day, as in date = 2026-11-20',
        ),
        (
            LOG.replace('"14 C"', '"14"'),
            'lure.log.toml:5: test.1.water.temperature = "14": a temperature needs its unit; write "14 C" or "14 F"',
        ),
        (
            LOG.replace("temperature", "warmth"),
            'lure.log.toml:5: test.1.water.warmth = "14 C": there is no key "warmth" in the water of a test; '
            "its keys are temperature, salinity",
        ),
        (
            LOG.replace("line.diameter", "line.diametre"),
            'lure.log.toml:6: test.1.with.line.diametre = "0.20 mm": the design has no line.diametre; '
            "did you mean line.diameter?",
        ),
        (
            LOG.replace("0.20 mm", "0.20"),
            'lure.log.toml:6: test.1.with.line.diameter = "0.20": a length needs its unit; '
            'write "0.2 mm" or "0.2 in"',
        ),
        (
            LOG.replace("weighs 9.4 +- 0.1 g", "ran 0.6 m deep"),
            'lure.log.toml:10: test.2.said = "ran 0.6 m deep": at which speed? A number that was measured belongs to '
            'one pull; add for example "at 0.5 m/s from nose"',
        ),
        (
            LOG.replace('said = "weighs 9.4 +- 0.1 g"', 'note = "forgot"'),
            "lure.log.toml:9: test.2.said: this is missing; write for example said = \"sank 1 m in 4.2 +- 0.2 s\"",
        ),
    ],
)  # fmt: skip
def test_what_is_wrong_in_a_log_is_told_with_file_line_key_and_a_way_out(text, words):
    assert words in said(text)


def test_all_problems_of_a_log_come_at_once():
    wrong = LOG.replace("rose 1 m in", "rose 1 g in").replace("line.diameter", "lin.diameter")
    assert len(said(wrong.replace("weighs", "wehgs"))) == 3


def test_a_missing_log_says_how_to_begin_one(tmp_path):
    with pytest.raises(DesignError, match=r"drytank log lure\.toml"):
        load_log(tmp_path / "lure.log.toml")


@pytest.fixture
def box(tmp_path, monkeypatch):
    (tmp_path / "lure.toml").write_text(TEXT)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_the_command_adds_a_test(box, capsys):
    words = [
        "log",
        "lure.toml",
        "rose 1 m in 4.2 +- 0.2 s",
        "--water",
        "14 C, 2 g/kg",
        "--date",
        "2026-11-20",
    ]
    assert main([*words, "--note", "calm", "--with", "line.diameter=0.2 mm"]) == 0
    assert "Test 1 is in lure.log.toml: one reading." in capsys.readouterr().out
    (test,) = load_log(box / "lure.log.toml").tests
    assert test.water.salinity.value == pytest.approx(2.0)
    assert test.note == "calm"
    assert main(["log", "lure.toml", "weighs 9.4 g"]) == 0
    assert len(load_log(box / "lure.log.toml").tests) == 2


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["flew away with the fairies"], "not understood"),
        (["flew 19 m", "--date", "yesterday"], "--date yesterday: write year, month, day"),
        (["flew 19 m", "--water", "14"], "--water: a temperature needs its unit"),
        (["flew 19 m", "--with", "line.diameter"], "write a key and its value"),
        (["flew 19 m", "--with", "lyne.diameter=1 mm"], "--with: the design has no lyne.diameter"),
        (["--note", "calm"], "--note belongs to a test"),
    ],
)
def test_what_cannot_be_logged_is_refused_and_nothing_is_written(words, message, box, capsys):
    assert main(["log", "lure.toml", *words]) == 2
    assert message in capsys.readouterr().err
    assert not (box / "lure.log.toml").exists()


def test_the_log_is_shown_against_the_design(box, capsys):
    (box / "lure.log.toml").write_text(LOG.replace("weighs 9.4", "weighs 9.9"))
    assert main(["log", "lure.toml"]) == 0
    shown = capsys.readouterr().out
    assert "2 tests, 2 readings" in shown
    assert "9.90 +- 0.10 g" in shown
    assert 'put measured.weight = "9.9' in shown
    assert "off the jetty" in shown


@pytest.mark.parametrize(
    ("said", "more", "message"),
    [
        ("sank", ["--date", "9999-12-31"], "still to come"),
        ("weighs -3 g", [], "above zero"),
        ("", [], "nothing is said"),
    ],
)
def test_what_cannot_have_been_seen_is_not_written_down(tmp_path, capsys, said, more, message):
    design = tmp_path / "lure.toml"
    design.write_text(TEXT, encoding="utf-8")
    assert main(["log", str(design), said, *more]) == 2
    assert message in capsys.readouterr().err
    assert not (tmp_path / "lure.log.toml").exists()
