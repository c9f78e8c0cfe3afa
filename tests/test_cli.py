"""The command line: what it prints, where, and the exit status. Trials are made up here, files are real."""

import dataclasses
import io
import json
import math
import subprocess
import sys
import tempfile
import types
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim import __version__
from sim.cli import main
from sim.design.starter import STARTER
from tests.show import fakes, shapes

HEAVY = ("numpy", "scipy", "numba", "matplotlib", "rich")
ALONE = {
    "budget": fakes.budget(),
    "float": fakes.floating(),
    "drop": fakes.drop(),
    "cast": fakes.cast(),
    "retrieve": fakes.retrieve(),
}


@pytest.fixture
def design(tmp_path):
    path = tmp_path / "lure.toml"
    path.write_text(STARTER, encoding="utf-8")
    return str(path)


@pytest.fixture
def answers(monkeypatch):
    """Made-up answers in place of the trials; a test may change them. Also keeps what was asked."""
    given = {**ALONE, "trial": fakes.trial(), "asked": {}}

    def answer(name):
        def reply(*args, **options):
            given["asked"] = options
            if isinstance(given[name], Exception):
                raise given[name]
            return given[name]

        return reply

    places = {
        "budget": ("sim.trials.budget", "budget"),
        "float": ("sim.trials.floating", "rest"),
        "drop": ("sim.trials.drop", "drop"),
        "cast": ("sim.trials.cast", "cast"),
        "retrieve": ("sim.trials.retrieve", "retrieve"),
        "trial": ("sim.trials.trial", "trial"),
    }
    for name, (module, function) in places.items():
        fake = types.ModuleType(module)
        setattr(fake, function, answer(name))
        fake.answer = answer(name)
        monkeypatch.setitem(sys.modules, module, fake)
    monkeypatch.setattr("sim.lure.build", lambda design: shapes.RUNNER, raising=False)
    monkeypatch.setattr("sim.compiled.is_compiled", lambda: True)
    return given


def command(*words):
    """Run `python -m sim` as a process of its own."""
    return subprocess.run([sys.executable, "-m", "sim", *words], capture_output=True, text=True, timeout=60)


# ---- answers ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [*ALONE, "trial"])
def test_every_command_answers_with_its_page_and_status_0(name, design, answers, capsys):
    assert main([name, design]) == 0
    out, err = capsys.readouterr()
    assert len(out.splitlines()) > 2
    assert "\x1b" not in out
    assert err == ""


@pytest.mark.parametrize("name", ALONE)
def test_json_of_a_command_alone_is_the_same_as_its_part_of_a_trial(name, design, answers, capsys):
    assert main([name, design, "--json"]) == 0
    alone = json.loads(capsys.readouterr().out)
    assert main(["trial", design, "--json"]) == 0
    whole = json.loads(capsys.readouterr().out)
    assert alone["design"] == "First runner"
    assert alone["version"] == whole["version"] == __version__
    assert alone[name] == whole[name]
    assert set(alone) == {"design", "version", name}


def test_the_json_of_a_trial_holds_the_promised_keys(design, answers, capsys):
    main(["trial", design, "--json"])
    whole = json.loads(capsys.readouterr().out)
    promised = {
        "budget": "mass_g displaced_ml margin_g margin_sd_g verdict",
        "float": "pitch_deg roll_deg immersed_fraction",
        "drop": "sink_rate_m_s pitch_deg motion",
        "cast": "range_m flight_time_s tumbles",
    }
    for part, keys in promised.items():
        assert set(keys.split()) <= set(whole[part])
    keys = {"tie_on", "speed_m_s", "behaviour", "depth_m", "pitch_deg", "tension_n", "wobble_hz"}
    keys |= {"roll_amplitude_deg", "yaw_amplitude_deg"}
    assert all(keys <= set(run) for run in whole["retrieve"])
    assert whole["budget"]["verdict"] == "floats"
    assert whole["drop"]["motion"] == "straight"
    assert all({"key", "sentence"} == set(one) for one in whole["cautions"])


def test_the_json_of_a_trial_has_the_shares_where_chance_decides(design, answers, capsys, monkeypatch):
    from sim.studies.monte_carlo import few_builds
    from sim.studies.monte_carlo.tolerance import QuestionShares, Share

    words = [
        Share(answer=word, count=count, share=count / 16, low=0.2, high=0.8)
        for word, count in (("dives", 9), ("wakes", 7))
    ]
    one = QuestionShares(
        name="retrieve.behaviour nose 0.5", tie_on="nose", speed_m_s=0.5, own=False, figure="retrieve.behaviour",
        within=None, nominal="dives", answers=words, no_answer=0,
    )  # fmt: skip
    monkeypatch.setattr(few_builds, "of_few", lambda design, near: [one])
    main(["trial", design, "--json"])
    whole = json.loads(capsys.readouterr().out)
    assert [(each["answer"], each["count"]) for each in whole["shares"][0]["answers"]] == [
        ("dives", 9),
        ("wakes", 7),
    ]
    assert isinstance(whole["near_an_edge"], list)


def test_json_never_holds_what_is_not_a_number(design, answers, capsys):
    answers["drop"] = fakes.drop(pitch_deg=math.nan, glide_deg=math.inf, countdown=[(1.0, math.nan)])
    main(["drop", design, "--json"])
    out = capsys.readouterr().out
    assert "NaN" not in out
    assert "Infinity" not in out
    assert json.loads(out)["drop"]["pitch_deg"] is None


def test_json_is_plain_ascii_whatever_the_design_is_called(tmp_path, answers, capsys):
    path = tmp_path / "lure.toml"
    path.write_text(STARTER.replace("First runner", "K\u00fcste \U0001f41f"), encoding="utf-8")
    main(["cast", str(path), "--json"])
    out = capsys.readouterr().out
    assert out.isascii()
    assert json.loads(out)["design"] == "K\u00fcste \U0001f41f"


def test_units_change_the_text_and_not_the_json(design, answers, capsys):
    main(["budget", design, "--units", "us"])
    assert "0.368 oz" in capsys.readouterr().out
    main(["budget", design, "--units", "us", "--json"])
    assert json.loads(capsys.readouterr().out)["budget"]["mass_g"] == 10.42


def test_float_draws_the_lure(design, answers, capsys):
    main(["float", design])
    assert "~~~~~" in capsys.readouterr().out


def test_retrieve_can_be_narrowed_to_points_and_speeds(design, answers):
    assert main(["retrieve", design, "--tie-on", "lip", "--speed", "60 cm/s", "--speed", "2 ft/s"]) == 0
    assert answers["asked"]["tie_ons"] == ["lip"]
    assert answers["asked"]["speeds"] == pytest.approx([0.6, 0.6096])


def test_python_m_sim_is_the_same_command():
    done = command("--version")
    assert (done.returncode, done.stdout) == (0, f"drytank {__version__}\n")


# ---- the solver gave up -------------------------------------------------------------------------------


def test_a_solver_that_gave_up_is_status_3_with_the_answer_still_printed(design, answers, capsys):
    answers["retrieve"] = [fakes.run(), fakes.run(speed=2.0, **fakes.GIVEN_UP)]
    assert main(["retrieve", design]) == 3
    out, err = capsys.readouterr()
    assert "it wakes at 0.40 m/s; could not be followed at 2.00 m/s" in out
    assert err == "The solver gave up on part of this; the answer says what was reached.\n"


def test_a_trial_with_one_cut_run_is_status_3(design, answers, capsys):
    answers["trial"] = fakes.trial(retrieve=[fakes.run(**fakes.GIVEN_UP)])
    assert main(["trial", design, "--json"]) == 3
    assert "gave up" in json.loads(capsys.readouterr().out)["retrieve"][0]["ended"]


# ---- bad input ----------------------------------------------------------------------------------------


def refused(capsys, *words):
    """The message of a refused command; checks status 2 and that nothing went to standard output."""
    try:
        status = main(list(words))
    except SystemExit as stop:
        status = stop.code
    out, err = capsys.readouterr()
    assert status == 2
    assert out == ""
    assert "Traceback" not in err
    return err


def test_a_missing_file_is_named(tmp_path, capsys):
    assert "nowhere.toml" in refused(capsys, "trial", str(tmp_path / "nowhere.toml"))


def test_all_problems_of_a_file_come_in_one_message(tmp_path, capsys):
    path = tmp_path / "bad.toml"
    path.write_text('name = "x"\n[body.main]\nlength = 70\nwidht = "18 mm"\nheight = "-2 mm"\n')
    message = refused(capsys, "budget", str(path))
    assert "bad.toml" in message
    assert all(word in message for word in ("length", "widht", "height"))


def test_a_design_that_cannot_be_built_is_bad_input_not_a_fault(design, answers, capsys):
    from sim.lure import BuildError

    answers["budget"] = BuildError("body.main: two stations stand at the same place")
    message = refused(capsys, "budget", design)
    assert message == f"{design}: body.main: two stations stand at the same place\n"


def test_an_unknown_tie_on_point_is_answered_with_the_known_ones(design, capsys):
    message = refused(capsys, "retrieve", design, "--tie-on", "nosse")
    assert "no tie-on point of that name. It has: nose, lip." in message


@pytest.mark.parametrize("speed", ["0.6", "0 m/s", "-1 m/s", "3 mm", "fast", "nan m/s", "1e9 m/s", ""])
def test_a_speed_that_cannot_be_read_is_refused(design, capsys, speed):
    assert refused(capsys, "retrieve", design, f"--speed={speed}").startswith("--speed: ")


def test_a_mistyped_command_is_answered_with_the_nearest(capsys):
    assert "Did you mean 'retrieve'?" in refused(capsys, "retreive", "lure.toml")


def test_a_file_without_a_command_is_answered_with_the_command_to_type(capsys):
    assert "Did you mean: drytank trial lure.toml" in refused(capsys, "lure.toml")


def test_no_words_at_all_show_the_help_on_standard_error(capsys):
    assert "examples:" in refused(capsys)


def test_unknown_units_are_refused_with_the_choices(design, capsys):
    message = refused(capsys, "budget", design, "--units", "imperial")
    assert "metric" in message
    assert "us" in message


# ---- new ----------------------------------------------------------------------------------------------


def test_new_writes_a_file_that_can_be_read_back(tmp_path, capsys):
    from sim.design.load import load, warnings

    path = tmp_path / "mine.toml"
    assert main(["new", str(path)]) == 0
    assert f"drytank trial {path}" in capsys.readouterr().out
    assert warnings(load(path)) == []


def test_new_never_writes_over_a_file_unless_forced(tmp_path, capsys):
    path = tmp_path / "mine.toml"
    path.write_text("precious")
    assert "is there already and is left as it is" in refused(capsys, "new", str(path))
    assert path.read_text() == "precious"
    assert main(["new", str(path), "--force"]) == 0
    assert path.read_text(encoding="utf-8") == STARTER


def test_new_says_when_it_cannot_write(tmp_path, capsys):
    assert "cannot be written: there is no folder" in refused(
        capsys, "new", str(tmp_path / "no" / "such" / "folder.toml")
    )
    assert "cannot be written: this is a folder" in refused(capsys, "new", str(tmp_path), "--force")


def test_new_with_a_dash_prints_the_design(capsys):
    assert main(["new", "-"]) == 0
    assert capsys.readouterr().out == STARTER


@pytest.mark.parametrize("key", ["density", "weight", "displaced", "wall", "fill", "strength"])
def test_a_commented_line_of_the_starter_can_be_switched_on(key, tmp_path):
    from sim.design.load import load

    switched = {"fill": ("wall", "fill")}.get(key, (key,))  # a fill needs a hollow
    text = STARTER
    for word in switched:
        text = text.replace(f"# {word} =", f"{word} =", 1)
    assert text != STARTER
    path = tmp_path / "tried.toml"
    path.write_text(text, encoding="utf-8")
    load(path)


def test_the_commented_tables_of_the_starter_can_be_switched_on(tmp_path):
    from sim.design.load import load

    head, rest = STARTER.split("[body.main]\n", 1)
    _, rest = rest.split("# [body.main]\n", 1)
    stations, rest = rest.split("\n\n", 1)
    rest, measured = rest.split("# [measured]\n", 1)
    switched = "\n".join(line.removeprefix("# ") for line in stations.splitlines())
    bench = "\n".join(line.removeprefix("# ") for line in measured.splitlines())
    path = tmp_path / "tried.toml"
    path.write_text(f"{head}[body.main]\n{switched}\n{rest}\n[measured]\n{bench}\n", encoding="utf-8")
    design = load(path)
    assert design.body["main"].shape == "stations"
    assert design.measured.balance is not None


# ---- manners ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("words", [["--help"], ["trial", "--help"], ["--version"], ["new", "-"]])
def test_help_loads_nothing_heavy(words):
    assert _loaded(words) == []


def test_a_refused_file_loads_nothing_heavy(tmp_path):
    path = tmp_path / "bad.toml"
    path.write_text('name = "x"\n[body.main]\nlength = 70\n')
    assert _loaded(["trial", str(path)], status=2) == []
    assert _loaded(["trial", str(tmp_path / "missing.toml")], status=2) == []


def _loaded(words, status=0):
    """The heavy packages that a command has loaded by the time it ends."""
    code = (
        "import sys\nfrom sim.cli import main\n"
        f"try: status = main({words!r})\nexcept SystemExit as stop: status = stop.code or 0\n"
        f"assert status == {status}, status\n"
        f"print('\\nLOADED', *[name for name in {HEAVY!r} if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()[-1].split()[1:]


def test_every_command_has_an_example_in_the_help():
    shown = command("--help").stdout
    for name in ("trial", "budget", "float", "drop", "cast", "retrieve", "new"):
        assert f"\n  drytank {name} " in shown
    assert max(map(len, shown.splitlines())) <= 80


def test_the_first_run_says_whether_it_floats_and_that_it_compiles(design, answers, monkeypatch, capsys):
    monkeypatch.setattr("sim.compiled.is_compiled", lambda: False)
    monkeypatch.setattr("sim.compiling.prepare", lambda workers, told: None)
    main(["trial", design])
    first, second = capsys.readouterr().err.splitlines()
    assert "to spare" in first or "sink" in first.lower() or "Suspends" in first
    assert second == "Compiling the solver once; this takes about half a minute."
    main(["budget", design])  # nothing to compile for a sum
    assert capsys.readouterr().err == ""


def test_ctrl_c_ends_with_a_sentence_and_status_130(design, answers, monkeypatch, capsys):
    def interrupted(*args):
        raise KeyboardInterrupt

    monkeypatch.setattr("sim.trials.registry.Trial.answer", interrupted)
    assert main(["drop", design]) == 130
    out, err = capsys.readouterr()
    assert out == ""
    assert err == "\nStopped before the answer was ready.\n"


def test_a_reader_who_has_left_is_no_reason_to_complain():
    process = subprocess.Popen(
        [sys.executable, "-m", "sim", "new", "-"], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    process.stdout.close()
    assert process.stderr.read() == b""
    process.stderr.close()
    assert process.wait(timeout=60) == 0


def test_a_fault_of_the_program_is_shown_whole_and_owned(design, answers, capsys):
    answers["budget"] = RuntimeError("lost a sign")
    with pytest.raises(RuntimeError, match="lost a sign"):
        main(["budget", design])
    assert "This is a fault in drytank, not in your design." in capsys.readouterr().err


def test_no_colour_where_it_is_unwanted(monkeypatch):
    from sim.cli import runner as cli

    class Terminal:
        def isatty(self):
            return True

    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert cli.has_colour(Terminal())
    monkeypatch.setenv("NO_COLOR", "1")
    assert not cli.has_colour(Terminal())
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("TERM", "dumb")
    assert not cli.has_colour(Terminal())


def test_warnings_go_to_standard_error_where_the_answer_does_not_hold_them(
    design, answers, monkeypatch, capsys
):
    monkeypatch.setattr("sim.design.load.warnings", lambda design: ["tie_on.nose is far outside the body"])
    built = dataclasses.replace(shapes.RUNNER, warnings=("plate.lip is very heavy",))
    monkeypatch.setattr("sim.lure.build", lambda design: built)
    main(["cast", design, "--json"])
    out, err = capsys.readouterr()
    assert err == "Look again:\n- tie_on.nose is far outside the body\n- plate.lip is very heavy\n"
    json.loads(out)
    main(["budget", design])
    assert capsys.readouterr().err == ""


# ---- whatever is in the file --------------------------------------------------------------------------

VALUES = ['"0 mm"', '"1e9 mm"', '"nan g"', '"3/8 oz"', '"-4 g"', "12", "true", "[]", "{}", '""', "inf", '"x"']


@st.composite
def damaged(draw):
    """The starter design with some lines lost, doubled or given another value, or with bytes thrown in."""
    lines = STARTER.splitlines()
    for _ in range(draw(st.integers(1, 4))):
        k = draw(st.integers(0, len(lines) - 1))
        if draw(st.booleans()) and " = " in lines[k]:
            lines[k] = lines[k].split(" = ")[0] + " = " + draw(st.sampled_from(VALUES))
        else:
            lines[k : k + 1] = draw(st.sampled_from([[], [lines[k]] * 2, [lines[k][2:]]]))
    text = "\n".join(lines).encode()
    at = draw(st.integers(0, len(text)))
    return text[:at] + draw(st.binary(max_size=3)) + text[at:]


@settings(max_examples=60)
@given(st.one_of(st.binary(max_size=300), damaged()), st.sampled_from(["budget", "float"]))
def test_any_file_whatever_ends_in_an_answer_or_in_a_sentence(content, name):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "lure.toml"
        path.write_bytes(content)
        out, err = io.StringIO(), io.StringIO()
        with redirect_stdout(out), redirect_stderr(err):
            status = main([name, str(path)])
    assert status in (0, 2)
    assert (status == 0) == bool(out.getvalue())
    assert status == 0 or err.getvalue().strip()
    assert "nan" not in out.getvalue().lower().split()
