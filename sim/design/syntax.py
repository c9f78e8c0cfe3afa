"""TOML text to tables, with the parser's complaints put into words a maker can act on."""

from __future__ import annotations

import re
import tomllib
from typing import Any

from sim.design.problems import printable

DEEPEST = 20  # parts of a dotted key; a design needs five, and the parser's work grows with the square

# none of these patterns steps back, so that their work grows with the text and no faster
_QUOTED = re.compile(r'"(?:\\.|[^"\\\n])*+"?|\'[^\'\n]*+\'?')
_COMMENT = re.compile(r"#[^\n]*")
_BEFORE_DOT, _AFTER_DOT = re.compile(r"(?<![ \t])[ \t]++(?=\.)"), re.compile(r"(?<=\.)[ \t]++")
_DEEP = re.compile(rf"(?<![\w-])(?:[\w-]++\.){{{DEEPEST}}}")
_NESTED = re.compile(r"(?:[\[{][^\[\]{}\n]*+){50}")
_LONG_NUMBER = re.compile(r"[0-9_]{4000}")
_PLACE = re.compile(r" \(at (?:line (?P<line>\d+), column \d+|end of document)\)$")


class TomlError(Exception):
    """Text that is no TOML. `line` counts from 1; `given` is that line, shortened."""

    def __init__(self, line: int | None, given: str, message: str) -> None:
        super().__init__(message)
        self.line = line
        self.given = given


def tables(text: str) -> dict[str, Any]:
    """The tables of a TOML text.

    Raises:
        TomlError: with the line and what to write instead.
    """
    bare = _COMMENT.sub("", _QUOTED.sub("s", text))
    bare = _AFTER_DOT.sub("", _BEFORE_DOT.sub("", bare))
    if _DEEP.search(bare):
        raise TomlError(
            _line(_DEEP, bare), "", f"a key has more than {DEEPEST} parts; no key here has so many"
        )
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _explained(str(error), text) from error
    except RecursionError as error:
        nested = "brackets are nested too deeply; a design needs no more than three in each other"
        raise TomlError(_line(_NESTED, text), "", nested) from error
    except ValueError as error:  # a whole number too long for Python
        raise TomlError(
            _line(_LONG_NUMBER, text), "", "a number has too many digits; write it shorter"
        ) from error


def _line(pattern: re.Pattern[str], text: str) -> int | None:
    match = pattern.search(text)
    return text.count("\n", 0, match.start()) + 1 if match else None


def _explained(complaint: str, text: str) -> TomlError:
    match = _PLACE.search(complaint)
    rows = text.split("\n")
    line = int(match["line"]) if match and match["line"] else len(text.rstrip().split("\n"))
    given = rows[line - 1].strip() if line <= len(rows) else ""
    return TomlError(
        line, printable(given), _advice(complaint[: match.start()] if match else complaint, given)
    )


def _advice(complaint: str, given: str) -> str:
    quotes = 'put a value with a unit in quotes, as in length = "70 mm"'
    if complaint.startswith(("Cannot overwrite", "Duplicate inline table key")):
        return "this key is given a second time; keep one of the two"
    if complaint.startswith("Cannot declare"):
        return "this table was begun before; put all its keys below one heading, or give it another name"
    if complaint.startswith(("Cannot mutate", "Cannot redefine")):
        return "this adds to something that is complete already; put all its keys in one place"
    if "'='" in complaint or complaint == "Invalid statement":
        return 'a line is a key, = and a value, as in width = "18 mm", or a heading such as [body.main]'
    if "Unescaped '\\'" in complaint:
        return "write a backslash in quotes twice, \\\\, or use single quotes around the text"
    if complaint.startswith(("Illegal character", "Unterminated string", "Expected \"'", "Expected '\"")):
        return 'a quote that opens is not closed on this line; write as in length = "70 mm"'
    if complaint.startswith(("Unclosed array", "Unclosed inline table")):
        return "a bracket that opens is not closed, or a comma is missing between two items"
    if complaint.startswith("Expected ']"):
        return "a heading ends with its bracket, as in [body.main]"
    if complaint.startswith("Expected newline"):
        return f'something follows the value; {quotes}, and inches as in "2 3/4 in"'
    if complaint.startswith(("Invalid value", "Invalid date")):
        return f"there is no value that can be read; {quotes}"
    return f"this is not TOML ({complaint[:1].lower()}{complaint[1:]}); {quotes}"
