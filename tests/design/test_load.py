"""Reading design files: any bytes end in a design or in sentences, and what was written is what is read."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from sim.design.lines import key_lines, line_of
from sim.design.load import LARGEST_FILE, DesignError, load, read
from sim.design.model import Design
from sim.design.starter import STARTER
from tests.strategies import designs, to_toml

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))


def refusal(path: Path) -> str:
    with pytest.raises(DesignError) as caught:
        load(path)
    assert str(caught.value).startswith(str(path))
    return str(caught.value)


# --- the file itself ----------------------------------------------------------------------------------


def test_a_missing_file_is_named_with_the_one_that_was_meant(tmp_path: Path) -> None:
    assert "no such file" in refusal(tmp_path / "lure.toml")
    assert "drytank new" in refusal(tmp_path / "lure.toml")
    (tmp_path / "lure.toml").write_text(STARTER)
    assert str(tmp_path / "lure.toml") in refusal(tmp_path / "lrue.toml")


def test_a_folder_is_refused(tmp_path: Path) -> None:
    assert "folder" in refusal(tmp_path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such files on this system")
def test_a_pipe_that_nobody_writes_to_does_not_hang(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.toml")
    assert "not an ordinary file" in refusal(tmp_path / "pipe.toml")


@pytest.mark.parametrize("text", ["", " \n\t\r\n", "\ufeff"])
def test_an_empty_file_is_told_how_to_begin(tmp_path: Path, text: str) -> None:
    (tmp_path / "lure.toml").write_text(text, encoding="utf-8")
    assert "empty" in refusal(tmp_path / "lure.toml")
    assert "drytank new" in refusal(tmp_path / "lure.toml")


@pytest.mark.parametrize("encoding", ["utf-16", "latin-1"])
def test_bytes_that_are_not_utf_8_are_refused_with_their_line(tmp_path: Path, encoding: str) -> None:
    text = 'name = "x"\nabout = "½ oz"\n'
    (tmp_path / "lure.toml").write_bytes(text.encode(encoding))
    words = refusal(tmp_path / "lure.toml")
    assert "save it as UTF-8" in words
    if encoding == "latin-1":
        assert words.startswith(f"{tmp_path / 'lure.toml'}:2: ")


def test_a_huge_file_is_refused_unread(tmp_path: Path) -> None:
    (tmp_path / "lure.toml").write_bytes(b"#" * (LARGEST_FILE + 1))
    assert "larger than 1 MB" in refusal(tmp_path / "lure.toml")


def test_a_path_that_no_system_takes_is_refused() -> None:
    for path in ("lure\0.toml", "x" * 5000, "\x1b[31m.toml"):
        with pytest.raises(DesignError) as caught:
            load(path)
        assert_plain(caught.value)


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_the_starter_reads_whatever_editor_saved_it(tmp_path: Path, newline: str, mark: str) -> None:
    (tmp_path / "lure.toml").write_bytes((mark + STARTER.replace("\n", newline)).encode())
    design = load(tmp_path / "lure.toml")
    assert design == read(STARTER, "lure.toml")
    assert design == Design.model_validate(tomllib.loads(STARTER))


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_every_scenario_reads(path: Path) -> None:
    assert load(path).name


# --- any text at all ----------------------------------------------------------------------------------


@settings(deadline=None)
@given(designs())
def test_a_design_written_and_read_is_the_same_design(tables: dict[str, object]) -> None:
    assert read(to_toml(tables), "lure.toml") == Design.model_validate(tables)


@settings(deadline=None)
@given(st.binary(max_size=300))
@example(b"\xff\xfe")
@example(b"a = " + b"[" * 100_000)
@example(b"a = " + b"{a=" * 100_000)
@example(b".".join([b"a"] * 200_000) + b" = 1")
@example(b".".join([b'"a"'] * 100_000) + b" = 1")
@example(b"a = " + b"9" * 5000)
@example(b"a = 1e99999")
@example(b'a = "\\ud800"')
@example(b"".join(b"a%d = 1\n" % k for k in range(20_000)))
def test_any_bytes_end_in_a_design_or_in_sentences(
    tmp_path_factory: pytest.TempPathFactory, data: bytes
) -> None:
    path = tmp_path_factory.getbasetemp() / "any.toml"
    path.write_bytes(data)
    try:
        assert isinstance(load(path), Design)
    except DesignError as error:
        assert_plain(error)


KEYS = [
    b"body",
    b"length",
    b"weight",
    b"at",
    b"stations",
    b"wall",
    b"[",
    b"]",
    b"{",
    b"}",
    b"=",
    b'"',
    b",",
    b"\n",
]
VALUES = [
    b"nan",
    b"inf",
    b"-1",
    b"true",
    b"[]",
    b"{}",
    b'""',
    b'"1e999 mm"',
    b'"12 g"',
    b'"0 mm"',
    b"1979-05-27",
    b"#",
]


@settings(deadline=None, max_examples=300)
@given(
    source=st.sampled_from([STARTER.encode(), *(path.read_bytes() for path in SCENARIOS)]),
    cuts=st.lists(
        st.tuples(
            st.floats(0, 1),
            st.integers(0, 30),
            st.one_of(st.sampled_from(KEYS + VALUES), st.binary(max_size=3)),
        ),
        min_size=1,
        max_size=4,
    ),
)
def test_a_damaged_design_ends_in_a_design_or_in_sentences(
    source: bytes, cuts: list[tuple[float, int, bytes]]
) -> None:
    for place, removed, put in cuts:
        at = int(place * len(source))
        source = source[:at] + put + source[at + removed :]
    try:
        assert isinstance(read(source.decode("utf-8", "replace"), "lure.toml"), Design)
    except DesignError as error:
        assert_plain(error)


JUNK = st.recursive(
    st.one_of(
        st.integers(),
        st.floats(),
        st.booleans(),
        st.text(max_size=5),
        st.sampled_from(["3 mm", "0 g", "1 %"]),
    ),
    lambda inner: st.lists(inner, max_size=2),
    max_leaves=4,
)


@settings(deadline=None)
@given(designs(), st.data())
def test_a_design_with_one_value_swapped_is_placed_at_that_value(
    tables: dict[str, object], data: st.DataObject
) -> None:
    """A wrong value in a named part is reported on its own line, under its own key."""
    part = data.draw(st.sampled_from(sorted(tables["tie_on"])))
    tables["tie_on"][part] = {"at": {"back": data.draw(JUNK)}}
    text = to_toml(tables)
    try:
        read(text, "lure.toml")
    except DesignError as error:
        assert_plain(error)
        problem = error.problems[0]
        assert problem.key == f"tie_on.{part}.at.back"
        assert "back = " in text.splitlines()[problem.line - 1]
        assert text.splitlines()[problem.line - 2] == f"[tie_on.{part}]"


def assert_plain(error: DesignError) -> None:
    assert error.problems
    for problem in error.problems:
        assert problem.message
        assert str(problem).isprintable()
        assert len(str(problem)) < 1500
        for jargon in ("pydantic", "Traceback", "validation error", "Input should"):
            assert jargon not in str(problem)


# --- lines --------------------------------------------------------------------------------------------

LAID_OUT = '''\
name = "x"  # [not.a.table]
about = """
[body.fake]
length = 3
"""
water.kind = "fresh"

[body.main]
"length" = "70 mm"
at = { back = "1 mm", "up" = "2 mm" }
stations = [
    { back = "0 mm", width = "1 mm" },  # ]
    {
        back = "5 mm",
        width = "2 mm",
    },
]

[[body.tail.stations]]
back = "1 mm"

[[body.tail.stations]]
back = "2 mm"

[retrieve]
speeds = ["1 m/s",
          "2 m/s"]
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("name",), 1),
        (("about",), 2),
        (("water", "kind"), 6),
        (("body", "main"), 8),
        (("body", "main", "length"), 9),
        (("body", "main", "at", "up"), 10),
        (("body", "main", "stations"), 11),
        (("body", "main", "stations", 0, "width"), 12),
        (("body", "main", "stations", 1), 13),
        (("body", "main", "stations", 1, "width"), 15),
        (("body", "tail", "stations", 0, "back"), 20),
        (("body", "tail", "stations", 1, "back"), 23),
        (("retrieve", "speeds", 0), 26),
        (("retrieve", "speeds", 1), 27),
        (("body", "main", "nowhere", "near"), 8),
        (("body", "fake"), 8),
        (("nowhere",), None),
    ],
)
def test_every_key_is_found_on_its_line(path: tuple[str | int, ...], line: int | None) -> None:
    assert line_of(path, key_lines(LAID_OUT)) == line


@given(st.text(st.sampled_from("ab.=[]{}\"',#\n \\1")))
def test_looking_for_lines_never_fails(text: str) -> None:
    lines = text.count("\n") + 1
    assert all(1 <= line <= lines for line in key_lines(text).values())


def test_reading_a_design_needs_none_of_the_heavy_libraries() -> None:
    heavy = ("numpy", "scipy", "matplotlib", "numba", "rich")
    code = (
        "import sys\nfrom sim.design.load import read\nfrom sim.design.starter import STARTER\n"
        f"read(STARTER, 'x')\nprint([name for name in {heavy} if name in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
