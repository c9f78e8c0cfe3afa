"""Whatever a design file holds, reading it ends in a design or in sentences, and soon."""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from sim.design.lines import key_lines
from sim.design.load import LARGEST_FILE, DesignError, load, read
from sim.design.model import Design
from sim.design.starter import STARTER
from tests.properties.sizes import drawn, soon_and_small
from tests.strategies import designs, to_toml

SOURCES = [
    STARTER.encode(),
    *(p.read_bytes() for p in (Path(__file__).parents[2] / "scenarios").glob("*.toml")),
]
SCRAPS = [
    b"[", b"]", b"[[", b"{", b"}", b"=", b'"', b'"""', b"'", b"#", b".", b",", b"\n", b"\x00", b"\xff",
    b"nan", b"inf", b"-", b"0", b"1e999", b"true", b"1979-05-27", b"\\", b"\\u0000", b" mm", b"[body.main]\n",
    b"[tie_on.nose]\n", b"length = 3\n", b'material = "ar"\n', b"\xef\xbb\xbf", b"\r\n", b"stations = []\n",
]  # fmt: skip


def sentences_or_design(path):
    """The outcome of reading a file, checked to be one of the two that are allowed."""
    try:
        with soon_and_small():
            design = load(path)
    except DesignError as error:
        check_sentences(error)
        return error
    assert isinstance(design, Design)
    return design


def check_sentences(error):
    """Every problem has its file and a message fit for a maker and a terminal."""
    assert error.problems
    for problem in error.problems:
        assert problem.file
        assert problem.line is None or problem.line >= 1
        assert len(problem.message) > 15
        assert str(problem).isprintable()
        assert len(str(problem)) < 1500
        for jargon in ("pydantic", "Traceback", "validation error", "Input should"):
            assert jargon not in problem.message


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    return tmp_path_factory.mktemp("any") / "lure.toml"


@drawn(100, 1500)
@given(st.binary(max_size=400))
@example(b"\xef\xbb\xbf")
@example(b"\xff\xfe[\x00b\x00")
@example(b"a = " + b"9" * 5000)
@example(b"a = 1\r")
@example(b'name = "\\ud800"')
def test_any_bytes_end_in_a_design_or_in_sentences(path, data):
    path.write_bytes(data)
    sentences_or_design(path)


@st.composite
def spoilt(draw):
    """A valid file with a few bites taken out of it and scraps put in."""
    data = draw(st.sampled_from(SOURCES))
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(data)))
        gone = draw(st.integers(0, 30))
        scrap = draw(st.one_of(st.sampled_from(SCRAPS), st.binary(max_size=6)))
        data = data[:start] + scrap + data[start + gone :]
    return data


@drawn(150, 1500)
@given(spoilt())
def test_a_spoilt_file_ends_in_a_design_or_in_sentences(path, data):
    path.write_bytes(data)
    sentences_or_design(path)


# every kind of value that TOML has, put where the design wants something else
values = st.recursive(
    st.one_of(
        st.text(max_size=12), st.integers(-(10**20), 10**20), st.floats(), st.booleans(),
        st.sampled_from(["3 mm", "0 g", "-2 mm", "1e300 m", "5 g +- 1e300 g", "20 C", "lip", "main"]),
    ),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.dictionaries(st.sampled_from(["back", "up", "at", "length", "weight", "x"]), inner, max_size=3),
    ),
    max_leaves=6,
)  # fmt: skip


@drawn(60, 600)
@given(designs(), st.data())
def test_any_value_anywhere_ends_in_a_design_or_in_sentences(design, data):
    here = design
    while True:
        key = data.draw(st.sampled_from(sorted(here)), "key")
        if not isinstance(here[key], dict) or not here[key] or data.draw(st.booleans(), "here"):
            break
        here = here[key]
    here[key] = data.draw(values, "value")
    text = to_toml(design)
    try:
        assert isinstance(read(text, "lure.toml"), Design)
    except DesignError as error:
        check_sentences(error)


@given(designs(), st.data())
@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
def test_a_wrong_value_is_reported_on_its_own_line_under_its_own_key(design, data):
    name = data.draw(st.sampled_from(sorted(design["tie_on"])))
    design["tie_on"][name] = {
        "at": {"back": data.draw(values.filter(lambda v: v != "-2 mm" and v != "3 mm"))}
    }
    text = to_toml(design)
    with pytest.raises(DesignError) as refused:
        read(text, "lure.toml")
    check_sentences(refused.value)
    problem = refused.value.problems[0]
    rows = text.split("\n")
    assert problem.key == f"tie_on.{name}.at.back"
    assert "back = " in rows[problem.line - 1]
    assert rows[problem.line - 2] == f"[tie_on.{name}]"


@given(st.text(st.sampled_from("[]{}=.,\"'#ab \n\\"), max_size=60))
def test_the_line_finder_never_fails_and_never_leaves_the_text(text):
    for path, line in key_lines(text).items():
        assert path
        assert 1 <= line <= text.count("\n") + 1


@given(designs())
@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
def test_a_design_written_and_read_is_the_same_design(design):
    assert read(to_toml(design), "lure.toml") == Design.model_validate(design)


@given(designs())
@settings(max_examples=25, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
def test_the_line_finder_finds_every_key_of_every_design(design):
    text = to_toml(design)
    rows = text.split("\n")
    found = key_lines(text)

    def look(table, path):
        items = table.items() if isinstance(table, dict) else enumerate(table)
        for key, value in items:
            here = (*path, key)
            if value != {} or path != ():
                assert here in found
                assert isinstance(key, int) or key in rows[found[here] - 1]
            if isinstance(value, dict | list):
                look(value, here)

    look(design, ())


HARD = {
    "brackets in an array": b"a = " + b"[" * 900_000,
    "brackets at the start": b"[" * 900_000,
    "braces": b"a = " + b"{a=" * 300_000,
    "a key of many parts": b"a." * 450_000 + b"a = 1",
    "a heading of many parts": b"[" + b"a." * 450_000 + b"a]\n",
    "a key of many quoted parts": b'"a" . ' * 150_000 + b"a = 1",
    "keys below deep headings": b"["
    + b"a." * 280_000
    + b"a]\n"
    + b"".join(b"k%d=1\n" % k for k in range(50_000)),
    "one long word": b"a" * 900_000,
    "escaped quotes": b'a = "' + b'\\"' * 450_000,
    "quotes": b'"' * 900_000,
    "blanks": b" " * 900_000 + b"x",
    "many unknown keys": b"".join(b"key%d = 1\n" % k for k in range(60_000)),
    "many parts": b"".join(b"[hook.h%d]\nweight = '1 g'\n" % k for k in range(25_000)),
    "many items": b"[[body]]\n" * 100_000,
    "many numbers": b"a = [" + b"1," * 400_000 + b"]",
    "a number of many digits": b"a = " + b"7" * 900_000,
}


@pytest.mark.parametrize("data", HARD.values(), ids=HARD)
def test_a_file_made_to_be_hard_is_refused_in_sentences(path, data):
    assert len(data) <= LARGEST_FILE
    path.write_bytes(data)
    assert isinstance(sentences_or_design(path), DesignError)
