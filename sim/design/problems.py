"""What is wrong with a design file: problems, each with its place, and the error that carries them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

from sim.message import in_units

LONGEST = 60  # characters of a value or a key that a message repeats


@dataclass(frozen=True)
class Finding:
    """One thing wrong with a design, before its file and line are looked up."""

    path: tuple[str | int, ...]
    value: str
    message: str


@dataclass(frozen=True)
class DesignProblem:
    """One thing wrong with a file. `str()` gives it as a line for the maker."""

    file: str
    line: int | None
    key: str  # dotted, as in body.main.weight; empty for the file as a whole
    value: str  # as the file has it, shortened; empty if there is none to repeat
    message: str  # what is wrong and what to write instead

    def __str__(self) -> str:
        return self.in_units("metric")

    def in_units(self, system: str) -> str:
        """The line in units of a system: metric or us."""
        place = self.file if self.line is None else f"{self.file}:{self.line}"
        given = " = ".join(part for part in (self.key, self.value) if part)
        return ": ".join(part for part in (place, given, in_units(self.message, system)) if part)


class DesignError(Exception):
    """A design file that cannot be used. `problems` holds all that is wrong with it."""

    def __init__(self, problems: Iterable[DesignProblem]) -> None:
        self.problems = tuple(problems)
        super().__init__(self.problems)

    def __str__(self) -> str:
        return self.in_units("metric")

    def in_units(self, system: str) -> str:
        """All problems, in units of a system: metric or us."""
        return "\n\n".join(problem.in_units(system) for problem in self.problems)


def shown(value: object) -> str:
    """A value as a design file writes it, short and printable; empty for tables and lists."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{printable(value)}"'
    if isinstance(value, dict | list | tuple) or value is None:
        return ""
    if isinstance(value, int) and abs(value) >= 10**LONGEST:
        return "a number of very many digits"
    return printable(str(value))


def printable(text: str, longest: int = LONGEST) -> str:
    """`text` cut to so many characters, with nothing in it that could upset a terminal."""
    short = text if len(text) <= longest else text[: longest - 3] + "..."
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in short)


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that `word` was probably meant to be; case, blanks and hyphens do not matter."""

    def folded(text: str) -> str:
        return text[:LONGEST].lower().replace("-", "_").replace(" ", "_")

    names = {folded(name): name for name in reversed(list(known))}
    near = get_close_matches(folded(word), names, 1, 0.6)
    return names[near[0]] if near else None
