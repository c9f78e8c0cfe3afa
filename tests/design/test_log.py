"""The log beside a design: what may stand in it, how a test is added, and what is said where it is wrong."""

# ruff: noqa: E501  one case a line: the tables are read side by side

import datetime

import pytest

from sim.cli import main
from sim.design.load import DesignError, read
from sim.design.log import LoggedTest, load_log, log_file, read_log, with_struck_out, with_test
from sim.studies.calibration.observations import readings, struck
from sim.trials.request import Pull
from tests.studies.work import TEXT

DESIGN = read(TEXT, "oar.toml")
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
        (
            LOG.replace("9.4 +- 0.1 g", "9.4 +- 0.0 g"),
            'lure.log.toml:10: test.2.said = "weighs 9.4 +- 0.0 g": "+- 0.0" says that this is exact, which no scale and '
            'no watch is; write the least that you could tell apart, as in "+- 0.1", or leave the +- out: then what eye and '
            'watch are good for is taken',
        ),
        (
            LOG + "struck_out = true",
            "lure.log.toml:11: test.2.struck_out = true: write why the test is not to be used, in quotes, as in "
            'struck_out = "wrote 42 for 4.2"',
        ),
        (
            LOG + 'struck_out = ""',
            'lure.log.toml:11: test.2.struck_out = "": write why the test is not to be used, in quotes, as in '
            'struck_out = "wrote 42 for 4.2"',
        ),
        (
            LOG + f'struck_out = "{500 * "x"}"',
            f'lure.log.toml:11: test.2.struck_out = "{57 * "x"}...": this is too long; a sentence will do',
        ),
    ],
)  # fmt: skip
def test_what_is_wrong_in_a_log_is_told_with_file_line_key_and_a_way_out(text, words):
    assert words in said(text)


@pytest.mark.parametrize("doubt", ["+- 0", "+-0,00", "± 0", "+/- 0", "+− 0."])
def test_no_reading_is_exact(doubt):
    assert "says that this is exact" in said(with_test("", {"said": f"weighs 9.4 {doubt} g"}))[0]


@pytest.mark.parametrize("doubt", ["+- 0.1", "+- 0 1/2", "+- 10 %"])
def test_a_doubt_that_only_begins_with_nought_is_none(doubt):
    (reading,) = readings(DESIGN, read_log(with_test("", {"said": f"weighs 9.4 {doubt} g"}), "log"))
    assert reading.statement.span.sd > 0.05


# ---- struck out ---------------------------------------------------------------------------------------


def test_a_test_that_is_struck_out_stays_and_is_not_read():
    logged = read_log(LOG + 'struck_out = "wet hands on the scale"', "log")
    assert len(logged.tests) == 2
    (reading,) = readings(DESIGN, logged)
    assert reading.test == 1
    (gone,) = struck(logged)
    assert (gone.test, gone.said, gone.why) == (2, "weighs 9.4 +- 0.1 g", "wet hands on the scale")


def test_what_is_struck_out_may_speak_of_what_the_design_no_longer_has():
    text = LOG.replace("weighs 9.4 +- 0.1 g", "ran 0.6 m deep from chin").replace(
        "line.diameter", "lin.diameter"
    )
    assert len(said(text)) == 2
    gone = with_struck_out(with_struck_out(text, 1, "no chin any more"), 0, "no line")
    assert readings(DESIGN, read_log(gone, "log")) == []


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_striking_out_adds_one_line_and_keeps_all_else(end):
    text = (LOG + "# last word\n").replace("\n", end)
    struck_out = with_struck_out(text, 0, 'wrote "42" for 4.2')
    line = 'struck_out = "wrote \\"42\\" for 4.2"' + end
    assert struck_out.replace(line, "") == text
    first, second = read_log(struck_out, "log").tests
    assert first.struck_out == 'wrote "42" for 4.2'
    assert second.struck_out is None


def test_words_over_several_lines_are_struck_out_too():
    text = '  [[test]]\n  said = """\nsank"""\n  note = \'x\'\n'
    (test,) = read_log(with_struck_out(text, 0, "it floated"), "log").tests
    assert (test.struck_out, test.said, test.note) == ("it floated", "sank", "x")


def test_a_log_on_one_line_cannot_take_one_more():
    with pytest.raises(ValueError, match="not written as"):
        with_struck_out('test = [{ said = "sank" }]\n', 0, "why")


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
        (["weighs 9.4 +- 0 g"], '"+- 0" says that this is exact'),
        (["--because", "no"], "--because says why a test is struck out, and none is"),
        (["sank", "--strike-out", "1"], "--strike-out and a new test in one go"),
        (["--strike-out", "1"], "say why, so that you know next year: drytank log lure.toml --strike-out 1"),
        (["--strike-out", "1", "--because", " "], "say why"),
        (["--strike-out", "1", "--because", "no"], "there is no log yet"),
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


def test_the_command_strikes_out_a_test_and_says_what_hangs_on_it(box, capsys):
    (box / "lure.toml").write_text(f'{TEXT}\n[calibration]\ncross_drag = "1.1 +- 0.1"\n')
    (box / "lure.log.toml").write_text(LOG)
    assert main(["log", "lure.toml", "--strike-out", "2", "--because", "wet scale"]) == 0
    told = capsys.readouterr()
    assert "Test 2 of lure.log.toml is struck out" in told.out
    assert "`drytank calibrate lure.toml --write` fits it anew" in told.err
    assert main(["log", "lure.toml"]) == 0
    shown = capsys.readouterr().out
    assert "2 tests, 1 struck out, 1 reading" in shown
    assert 'test 2, "weighs 9.4 +- 0.1 g": wet scale' in shown
    assert "weight" not in shown


@pytest.mark.parametrize(
    ("number", "message"),
    [
        ("3", "write the number of a test of lure.log.toml, 1 to 2"),
        ("0", "write the number of a test"),
        ("two", "write the number of a test"),
        ("1", "this test is struck out already"),
    ],
)
def test_what_cannot_be_struck_out_leaves_the_log_as_it_is(number, message, box, capsys):
    text = with_struck_out(LOG, 0, "windy")
    (box / "lure.log.toml").write_text(text)
    assert main(["log", "lure.toml", "--strike-out", number, "--because", "why"]) == 2
    assert message in capsys.readouterr().err
    assert (box / "lure.log.toml").read_text() == text


# ---- slips --------------------------------------------------------------------------------------------


def test_a_weight_of_another_lure_is_written_down_and_asked_about(box, capsys):
    assert main(["log", "lure.toml", "weighs 940 g"]) == 0
    assert len(load_log(box / "lure.log.toml").tests) == 1
    told = " ".join(capsys.readouterr().err.split())
    assert 'lure.log.toml:3: test.1.said = "weighs 940 g": 940.00 g, 100 times the 9.3' in told
    assert "did the unit or the decimal point slip?" in told
    assert main(["log", "lure.toml"]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert 'test.1.said = "weighs 940 g"' in shown
    assert "put measured.weight" not in shown  # a slip is not to be copied into the design


def test_a_pull_faster_than_any_is_asked_about_and_not_run(box, capsys, monkeypatch):
    from sim.studies.calibration import predicted

    asked = []
    monkeypatch.setattr(predicted, "run_cases", lambda text, cases, *more, **else_: asked.extend(cases) or [])
    assert main(["log", "lure.toml", "ran 0.6 m deep at 90 m/s from nose"]) == 0
    assert "the line at 90.0 m/s, 69 times the 1.30 m/s of the design" in capsys.readouterr().err
    assert asked == []


def test_only_the_new_test_is_held_against_the_design(box, monkeypatch):
    from sim.studies.calibration import predicted

    (box / "lure.log.toml").write_text(LOG)
    asked = []
    monkeypatch.setattr(predicted, "run_cases", lambda text, cases, *more, **else_: asked.extend(cases) or [])
    assert main(["log", "lure.toml", "flew 19 m"]) == 0
    assert [case.ask.parts for case in asked] == [("cast",)]


def test_a_likely_reading_is_not_asked_about(box, capsys):
    assert main(["log", "lure.toml", "weighs 12 g"]) == 0
    assert capsys.readouterr().err == ""


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
