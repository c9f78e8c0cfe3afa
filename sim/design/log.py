"""The log of a lure: what was tested with it, one `[[test]]` each, in `lure.log.toml` beside `lure.toml`.

    [[test]]
    date = 2026-11-20
    said = "sank 1 m in 4.2 +- 0.2 s"
    water = { temperature = "14 C" }
    with = { "line.diameter" = "0.20 mm" }
    note = "off the jetty"

A test with `struck_out = "why"` stays in the file, and nothing uses it.

Here is its form. What `said` means is for `sim.studies.calibration.observations`, which knows the grammar.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping
from functools import cached_property
from pathlib import Path
from typing import Any

import tomlkit
from pydantic import BaseModel, ConfigDict, Field, ValidationError
from tomlkit.items import AoT

from sim.design.edit import with_line_ends
from sim.design.lines import key_lines, line_of
from sim.design.load import text_of_file
from sim.design.problems import DesignError, DesignProblem, Finding, nearest, printable, shown
from sim.design.quantities import Salinity, Temperature
from sim.design.syntax import TomlError, tables
from sim.design.table import Strict

MOST_TESTS = 1000
ENDING = ".log.toml"
EXAMPLE = 'said = "sank 1 m in 4.2 +- 0.2 s"'
STRIKE = 'struck_out = "wrote 42 for 4.2"'


class WaterThen(Strict):
    """The water of one test, where it is not that of the design."""

    temperature: Temperature | None = Field(None, description="of the water", examples=["14 C"])
    salinity: Salinity | None = Field(None, description="salt per weight of water", examples=["12 g/kg"])


class LoggedTest(Strict):
    """One test: what was seen or measured, when, and what was not as the design file has it."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)

    date: datetime.date | None = Field(None, description="when", examples=["2026-11-20"])
    said: str = Field(
        min_length=1, max_length=200, description="what was seen or measured, in the words of the statements",
        examples=["sank 1 m in 4.2 +- 0.2 s"],
    )  # fmt: skip
    water: WaterThen = Field(WaterThen(), description="the water, where it is not the design's")
    conditions: dict[str, str | float] = Field(
        default={}, alias="with", max_length=20,
        description="keys of the design that were different, by path", examples=['{ "line.diameter" = "0.20 mm" }'],
    )  # fmt: skip
    note: str = Field("", max_length=400, description="anything else", examples=["off the jetty"])
    struck_out: str | None = Field(
        None, min_length=1, max_length=400, description="why this test is not to be used; it stays in the log",
        examples=["wrote 42 for 4.2"],
    )  # fmt: skip


class Log(Strict):
    """All tests of one lure, in the order in which they were written down."""

    test: list[LoggedTest] = Field(default=[], max_length=MOST_TESTS, description="the tests")


class Logged:
    """A log as it was read: its tests, its text, where each key stands, and how to say what is wrong with one."""

    def __init__(self, name: str, text: str, log: Log) -> None:
        self.name, self.text, self.tests = name, text, tuple(log.test)

    def line(self, test: int, key: str) -> int | None:
        """The line of a key of test `test` (from 0), from 1."""
        return line_of(("test", test, key), self._lines)

    def problem(self, test: int, key: str, value: str, message: str) -> DesignProblem:
        """Something wrong with test `test` (from 0), at its key, with file and line."""
        path: tuple[str | int, ...] = ("test", test, *key.split("/"))
        return _placed(Finding(path, value, message), self._lines, self.name)

    @cached_property
    def _lines(self) -> dict[tuple[str | int, ...], int]:
        return key_lines(self.text)


def log_file(design: str | Path) -> Path:
    """Where the log of a design file is: `lure.log.toml` beside `lure.toml`."""
    path = Path(design)
    return path.with_name(f"{path.stem}{ENDING}")


def load_log(path: str | Path) -> Logged:
    """Read and check the log at `path`.

    Raises:
        DesignError: with every problem found; also if there is no such file.
    """
    name = printable(str(path), 200)
    if not Path(path).exists():
        raise DesignError([DesignProblem(name, None, "", "", _none_yet(Path(path)))])
    return read_log(text_of_file(Path(path), name), name)


def read_log(text: str, name: str) -> Logged:
    """Read and check a log's text. `name` stands for the file in messages.

    Raises:
        DesignError: with every problem found.
    """
    try:
        raw = tables(text)
    except TomlError as fault:
        raise DesignError([DesignProblem(name, fault.line, "", fault.given, str(fault))]) from fault
    try:
        return Logged(name, text, Log.model_validate(raw))
    except ValidationError as error:
        found = key_lines(text)
        problems = [_placed(_explained(entry), found, name) for entry in error.errors(include_url=False)[:50]]
        raise DesignError(sorted(problems, key=lambda problem: problem.line or 0)) from error


def with_test(text: str, entry: Mapping[str, Any]) -> str:
    """The text of a log with one more test at its end; all that stands in it is kept.

    Args:
        entry: keys and values as the file writes them; tables inside are written on one line.
    """
    document = tomlkit.parse(text)
    table = tomlkit.table()
    for key, value in entry.items():
        table.add(key, _inline(value) if isinstance(value, Mapping) else value)
    tests = document.get("test")
    if tests is None:
        tests = tomlkit.aot()
        tests.append(table)
        document.append("test", tests)
        return with_line_ends(text, tomlkit.dumps(document))
    if not isinstance(tests, AoT):
        raise ValueError("the tests are not written as [[test]] tables")
    # appended as text: tomlkit would move a comment at the end of the file above the new test
    alone = tomlkit.document()
    fresh = tomlkit.aot()
    fresh.append(table)
    alone.append("test", fresh)
    return with_line_ends(text, f"{text.rstrip()}\n\n{tomlkit.dumps(alone)}")


_SAID = re.compile(r"(?P<indent>[ \t]*)(?:said|\"said\"|'said')[ \t]*=")


def with_struck_out(text: str, test: int, why: str) -> str:
    """The text of a log with test `test` (from 0) struck out; all that stands in it is kept.

    Raises:
        ValueError: the test is written in a way that a line cannot be put into.
    """
    logged = read_log(text, "log")
    lines = text.split("\n")
    at = (logged.line(test, "said") or 0) - 1
    said = _SAID.match(lines[at])
    if said is None:
        raise ValueError("the tests are not written as [[test]] tables")
    end = "\r" if lines[at].endswith("\r") else ""
    # above the words, since these may go on over several lines
    lines.insert(at, f"{said['indent']}struck_out = {tomlkit.string(why).as_string()}{end}")
    return "\n".join(lines)


def _inline(values: Mapping[str, Any]) -> Any:
    table = tomlkit.inline_table()
    for key, value in values.items():
        # a path is one key with dots in it, which TOML wants in quotes
        table.append(
            tomlkit.key(key) if "." not in key else tomlkit.items.SingleKey(key, tomlkit.items.KeyType.Basic),
            value,
        )
    return table


# ---- messages -----------------------------------------------------------------------------------------


def _none_yet(path: Path) -> str:
    design = f"{path.name.removesuffix(ENDING)}.toml"
    return f'there is no log yet; `drytank log {design} "sank 1 m in 4.2 +- 0.2 s"` begins one'


def _placed(finding: Finding, found: dict[tuple[str | int, ...], int], name: str) -> DesignProblem:
    key = ".".join(printable(str(step)) for step in _from_one(finding.path))
    return DesignProblem(
        name, line_of(finding.path, found), key, finding.value, printable(finding.message, 1000)
    )


def _from_one(path: tuple[str | int, ...]) -> list[str]:
    """`test.2.said` for the second test, as a maker counts."""
    return [str(step + 1) if isinstance(step, int) else step for step in path]


_TABLES: dict[str, type[BaseModel]] = {"water": WaterThen}


def _explained(error: Mapping[str, Any]) -> Finding:
    """One entry of `ValidationError.errors()` in words."""
    path: tuple[str | int, ...] = tuple(error["loc"])
    kind: str = error["type"]
    value = "" if kind == "missing" else shown(error["input"])
    last = str(path[-1]) if path else ""
    if kind == "extra_forbidden":
        return Finding(path, value, _unknown(path))
    if kind == "missing":
        return Finding(path, "", f"this is missing; write for example {EXAMPLE}")
    if kind == "quantity":
        return Finding(path, value, str(error["msg"]))
    if kind.startswith("date"):
        return Finding(path, value, "a date is written year, month, day, as in date = 2026-11-20")
    if last == "water":
        return Finding(path, value, 'the water is written water = { temperature = "14 C" }')
    if "with" in path or "conditions" in path:
        return Finding(path, value, 'what was different is written with = { "line.diameter" = "0.20 mm" }')
    if kind in ("list_type", "model_type", "model_attributes_type"):
        return Finding(path, value, "write each test below a heading [[test]] of its own")
    if kind == "too_long":
        return Finding(path, "", f"a log holds up to {MOST_TESTS} tests; begin a new one")
    if last == "struck_out" and kind != "string_too_long":
        return Finding(path, value, f"write why the test is not to be used, in quotes, as in {STRIKE}")
    sentences = {
        "string_type": f"this must be text in quotes, as in {EXAMPLE}",
        "string_too_short": f"nothing is said here; write for example {EXAMPLE}",
        "string_too_long": "this is too long; a sentence will do"
        if last == "struck_out"
        else "this is too long; say one thing in a test, and the rest in its note",
    }
    return Finding(path, value, sentences.get(kind, str(error["msg"])))


def _unknown(path: tuple[str | int, ...]) -> str:
    last = str(path[-1])
    if len(path) == 1:
        known, owner = ["test"], "a log, which holds [[test]] tables only"
    elif path[-2] in _TABLES:
        known, owner = list(_TABLES[str(path[-2])].model_fields), "the water of a test"
    else:
        known, owner = [field.alias or name for name, field in LoggedTest.model_fields.items()], "a test"
    near = nearest(last, known)
    text = f'there is no key "{printable(last)}" in {owner}'
    return f'{text}; did you mean "{near}"?' if near else f"{text}; its keys are {', '.join(known)}"
