"""Whatever words stand on the command line: an answer or a sentence, JSON that is JSON, and no fault."""

import io
import os
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from sim.cli import main
from sim.cli.parser import COMMANDS
from tests.properties.sizes import drawn, soon_and_small, strict

SMALL = """name = "small"
[body.main]
length = "50 mm"
width = "12 mm"
height = "14 mm"
wall = "1.5 mm"
density = "1.1 +- 0.05 g/cm3"
fill_density = "0.5 g/cm3"
[tie_on.nose]
at = { back = "0 mm" }
"""
CHEAP = (
    "budget",
    "csv",
    "measure",
    "materials",
    "mix",
    "pour",
    "water",
    "log",
    "new",
)  # need no compiled code
DEAR = tuple(sorted({command.name for command in COMMANDS} - {*CHEAP, "open"}))
OPTIONS = {
    command.name: [flag for one in command.every_option() for flag in one.flags] for command in COMMANDS
}

numbers = st.one_of(
    st.sampled_from(
        ["0", "-1", "1e-9", "1e300", "nan", "inf", "-inf", "1e999", "7" * 400, "0x10", "1_0", "\u0661"]
    ),
    st.floats().map(str),
    st.integers().map(str),
)
units = st.sampled_from(
    ["g", "mm", "mL", "C", "g/cm3", "m/s", "deg", "%", "g/kg", "s", "", "oz", "parsec", "+- 1 g"]
)
quantities = st.tuples(numbers, units).map(" ".join)
odd = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0/"), max_size=20)
names = st.sampled_from(
    [
        "lure.toml", "none.toml", ".", "", "..", "a" * 300, "lure.csv", "lure.json", "there.csv", "pipe", "link.toml",
        "cavity", "density", "cube", "scrap", "shell", "thing", "balance", "tub", "hardware", "compare",
        "cedar", "budget", "full=31 g", "empty=17 g", "resin=1", "spheres=10%", "hardener=1@1.1g/cm3", "main", "nose",
        "weighs 9 g", "sank 1 m in 4.2 s", "a=b=c", "=", "--", "-", "-o", "@", "%s%n", "{0}",
    ]
)  # fmt: skip
words = st.one_of(names, names, quantities, quantities.map("full={}".format), odd)


def lists(command: str) -> st.SearchStrategy[list[str]]:
    flag = st.sampled_from([flag for flag in OPTIONS[command] if flag.startswith("-")] or ["--json"])
    pair = st.one_of(
        st.tuples(flag, words).map(list), flag.map(lambda one: [one]), words.map(lambda one: [one])
    )
    first = st.sampled_from([["lure.toml"], [], ["cavity"], ["lure.toml", "budget"]])
    return st.tuples(first, st.lists(pair, max_size=5)).map(
        lambda t: [*t[0], *(w for part in t[1] for w in part)]
    )


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("words")
    here = Path.cwd()
    os.chdir(place)
    yield place
    os.chdir(here)


def refreshed(folder):
    for path in folder.iterdir():
        path.unlink()
    (folder / "lure.toml").write_text(SMALL)
    (folder / "there.csv").write_text("my own work\n")
    (folder / "link.toml").symlink_to("lure.toml")
    if hasattr(os, "mkfifo"):
        os.mkfifo(folder / "pipe")


def said(argv):
    """Exit status, output and errors of one command, which must not raise."""
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        try:
            status = main(argv)
        except SystemExit as stop:  # as argparse ends
            status = stop.code
    return status, out.getvalue(), err.getvalue()


def check(folder, argv):
    refreshed(folder)
    with soon_and_small():
        status, out, err = said(argv)
    assert status in (0, 2, 3)
    assert status == 0 or err.strip()
    assert "Traceback" not in err
    if (
        "--json" in argv
        and status == 0
        and "-h" not in argv
        and "--help" not in argv
        and out.lstrip()[:1] in "{["
    ):
        strict(out)
    assert (folder / "there.csv").read_text() == "my own work\n" or "--force" in argv
    assert all(c.isprintable() or c in "\n\t\r" or ord(c) > 159 for c in err)


@pytest.mark.skipif(os.name != "posix", reason="links and pipes of POSIX")
@pytest.mark.parametrize("command", CHEAP)
@drawn(12, 400)
@given(data=st.data())
@example(data=None)
def test_any_words_after_a_command_end_in_an_answer_or_in_a_sentence(command, folder, data):
    check(folder, [command, *(data.draw(lists(command), "words") if data else [])])


@pytest.mark.skipif(os.name != "posix", reason="links and pipes of POSIX")
@pytest.mark.parametrize("command", DEAR)
@drawn(4, 100)
@given(data=st.data())
def test_a_command_that_takes_long_looks_at_its_words_first(command, folder, data):
    argv = [command, *data.draw(lists(command), "words"), "--no-such-option"]
    refreshed(folder)
    with soon_and_small():
        status, _, err = said(argv)
    assert status == 2 or {"-h", "--help"} & set(argv)
    assert status == 0 or err.strip()


@drawn(40, 500)
@given(st.lists(words, max_size=6))
def test_any_words_at_all_end_in_an_answer_or_in_a_sentence(argv):
    if argv and argv[0] in {command.name for command in COMMANDS}:
        argv = ["", *argv]
    status, out, err = said(argv)
    assert status in (0, 2)
    assert out or err
