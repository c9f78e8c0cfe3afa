"""On which line of a TOML text each key stands. Best effort: it never raises, whatever the text."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence

Path = tuple[str | int, ...]

_TOKEN = re.compile(
    r'(?P<space>[ \t\r]+|\#[^\n]*)|(?P<end>\n)|(?P<text>"""[\s\S]*?"""|\'\'\'[\s\S]*?\'\'\''
    r'|"(?:\\.|[^"\\\n])*+"?|\'[^\'\n]*+\'?)|(?P<mark>[\[\]{}=,.])|(?P<word>[^\s\[\]{}=,.\#"\']+)'
)


def key_lines(text: str) -> dict[Path, int]:
    """The line, from 1, of the first mention of every key, table and array item of `text`.

    A path reads as pydantic's locations do: `("body", "main", "stations", 2, "width")`.
    """
    return _Scan(text).found


def line_of(path: Sequence[str | int], found: dict[Path, int]) -> int | None:
    """The line of `path`, or of the nearest thing around it that has one."""
    for length in range(len(path), 0, -1):
        line = found.get(tuple(path[:length]))
        if line is not None:
            return line
    return None


class _Scan:
    """One pass over the text. `open` holds the brackets that are open, each with its path."""

    def __init__(self, text: str) -> None:
        self.found: dict[Path, int] = {}
        self.starts = [0, *(m.end() for m in re.finditer("\n", text))]
        self.table: Path = ()  # the [header] that holds
        self.counts: dict[Path, int] = {}  # how often each [[header]] was seen
        self.open: list[tuple[str, Path, int]] = []  # bracket, path, item number
        self.keys: list[str] = []  # of a dotted key so far
        self.header: str | None = None
        self.in_value = False
        for match in _TOKEN.finditer(text):
            kind = match.lastgroup
            if kind == "end":
                self._newline()
            elif kind == "mark":
                self._mark(match[0], match.start())
            elif kind != "space":
                self._word(match[0], match.start())

    def _note(self, path: Path, at: int) -> None:
        if path not in self.found:
            self.found[path] = bisect_right(self.starts, at)

    def _newline(self) -> None:
        if not self.open:
            self.keys, self.in_value, self.header = [], False, None

    def _word(self, word: str, at: int) -> None:
        if self.in_value:
            self._item(at)
            return
        if word[0] in "\"'" and len(word) > 1:
            word = word[1:-1]
        self.keys.append(word)
        if self.header is None:
            self._note(self._here(self.keys), at)

    def _item(self, at: int) -> None:
        """Something stands in a value: inside an array it is an item."""
        if self.open and self.open[-1][0] == "[":
            _, path, number = self.open[-1]
            self._note((*path, number), at)

    def _here(self, keys: list[str]) -> Path:
        base = self.open[-1][1] if self.open else self.table
        return (*base, *keys)

    def _mark(self, mark: str, at: int) -> None:
        if self.in_value:
            self._value_mark(mark, at)
        elif self.header is not None or (mark == "[" and not self.keys and not self.open):
            self._header_mark(mark, at)
        elif mark == "=":
            self.in_value = True
        elif mark == "}" and self.open:
            self._close()

    def _header_mark(self, mark: str, at: int) -> None:
        if mark == "[":
            self.header = (self.header or "") + "["
        elif mark == "]" and self.keys:
            path: Path = ()
            for key in self.keys:
                path = (*path, key)
                if path in self.counts:  # below an array of tables: its last item
                    path = (*path, self.counts[path] - 1)
                self._note(path, at)
            if self.header == "[[":
                if isinstance(path[-1], int):
                    path = path[:-1]
                self.counts[path] = self.counts.get(path, 0) + 1
                path = (*path, self.counts[path] - 1)
                self._note(path, at)
            self.table, self.keys = path, []

    def _value_mark(self, mark: str, at: int) -> None:
        if mark in "[{":
            self._item(at)
            path = self._here(self.keys)
            if self.open and self.open[-1][0] == "[":
                path = (*self.open[-1][1], self.open[-1][2])
            self.open.append((mark, path, 0))
            self.keys, self.in_value = [], mark == "["
        elif mark in "]}" and self.open:
            self._close()
        elif mark == "," and self.open:
            bracket, path, number = self.open.pop()
            self.open.append((bracket, path, number + 1))
            self.keys, self.in_value = [], bracket == "["

    def _close(self) -> None:
        self.open.pop()
        self.keys, self.in_value = [], True  # what follows belongs to a value until a comma or a new line
