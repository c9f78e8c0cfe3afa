"""Whatever is put into a design file ends in a design or in sentences; what was written is what is read."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from sim.design.lines import key_lines
from sim.design.load import DesignError, load, read
from sim.design.model import Design
from sim.design.starter import STARTER
from tests.strategies import designs, to_toml

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))


@settings(deadline=None)
@given(designs())
def test_a_design_written_and_read_is_the_same_design(tables: dict[str, Any]) -> None:
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


SCALARS = st.one_of(
    st.integers(), st.floats(), st.booleans(), st.text(max_size=5), st.sampled_from(["3 mm", "0 g", "1 %"])
)
JUNK = st.one_of(SCALARS, st.lists(SCALARS, max_size=2), st.lists(st.lists(SCALARS, max_size=2), max_size=2))


@settings(deadline=None)
@given(designs(), st.data())
def test_a_design_with_one_value_swapped_is_placed_at_that_value(
    tables: dict[str, Any], data: st.DataObject
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


@given(st.text(st.sampled_from("ab.=[]{}\"',#\n \\1")))
def test_looking_for_lines_never_fails(text: str) -> None:
    lines = text.count("\n") + 1
    assert all(1 <= line <= lines for line in key_lines(text).values())
