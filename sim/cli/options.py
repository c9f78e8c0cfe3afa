"""Options of the command line: each spelled, read and explained once, for every command that takes it."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from sim.cli.errors import InputError

Read = Callable[[str, str], Any]
Check = Callable[[argparse.Namespace, Any], Any]

PARTS = ("budget", "float", "drop", "cast", "retrieve")
MOST_WORKERS = 1000


@dataclass(frozen=True)
class Option:
    """One word of the command line.

    Attributes:
        flags: spellings, the one that messages use first; without dashes, a word in its place.
        settings: what `argparse.ArgumentParser.add_argument` is given.
        read: turns the text into a value, given the spelling; before any file is opened.
        check: turns the value into what the command works with, once the designs are loaded.
        design: whether it names design files, which the runner loads.

    `read` and `check` raise InputError, which names the option and says what to write instead.
    """

    flags: tuple[str, ...]
    settings: dict[str, Any] = field(default_factory=dict)
    read: Read | None = None
    check: Check | None = None
    design: bool = False

    @property
    def key(self) -> str:
        """Its attribute in the parsed arguments."""
        return str(self.settings.get("dest") or self.flags[-1].lstrip("-").replace("-", "_"))

    @property
    def repeats(self) -> bool:
        """Whether it may be given again, or takes several words."""
        return self.settings.get("action") == "append" or self.settings.get("nargs") in ("*", "+")

    def add_to(self, parser: argparse.ArgumentParser) -> None:
        """Make a parser accept it."""
        read, flag = self.read, self.flags[0]
        reader: dict[str, Any] = {"type": lambda text: read(text, flag)} if read else {}
        parser.add_argument(*self.flags, **self.settings, **reader)

    def but(self, read: Read | None = None, **settings: Any) -> Option:
        """The same option with other settings, or read otherwise."""
        return replace(self, settings={**self.settings, **settings}, read=read or self.read)


def option(
    name: str,
    metavar: str | None = None,
    help: str | None = None,
    *,
    read: Read | None = None,
    check: Check | None = None,
    design: bool = False,
    **settings: Any,
) -> Option:
    """An option, its spellings parted by a slash, with `settings` for argparse."""
    words = {"metavar": metavar, "help": help}
    given = {key: value for key, value in words.items() if value is not None}
    return Option(tuple(name.split("/")), {**given, **settings}, read, check, design)


def many(name: str, metavar: str, help: str, **settings: Any) -> Option:
    """An option that may be given again."""
    return option(name, metavar, help, action="append", **settings)


def flag(name: str, explanation: str) -> Option:
    """An option that takes no value."""
    return option(name, action="store_true", help=explanation)


# ---- readers ------------------------------------------------------------------------------------------


def quantity(kind: str) -> Read:
    """Reader of a text with a unit: the SI value, `kind` being a name in `sim.design.quantities`."""

    def read(text: str, flag: str) -> float:
        from pydantic import TypeAdapter, ValidationError

        from sim.design import quantities

        try:
            return float(TypeAdapter(getattr(quantities, kind)).validate_python(text).value)
        except ValidationError as problem:
            raise InputError(f"{flag}: {problem.errors()[0]['msg']}") from problem

    return read


def whole(least: int, most: int) -> Read:
    """Reader of a whole number in a range."""

    def read(text: str, flag: str) -> int:
        try:
            value = int(text)
        except ValueError:
            value = least - 1
        if not least <= value <= most:
            raise InputError(f"{flag} {text}: write a whole number from {least} to {most}")
        return value

    return read


def number(least: float, most: float, example: str, what: str = "a number") -> Read:
    """Reader of a number in a range."""

    def read(text: str, flag: str) -> float:
        try:
            value = float(text)
        except ValueError:
            value = float("nan")
        if not least <= value <= most:
            raise InputError(
                f"{flag} {text}: write {what} from {least:g} to {most:g}, as in {flag} {example}"
            )
        return value

    return read


def several(known: Sequence[str], what: str) -> Read:
    """Reader of a list with commas, each one of the words that are `known`, in their order."""

    def read(text: str, flag: str) -> tuple[str, ...]:
        asked = [part.strip() for part in text.split(",")]
        for part in asked:
            if part not in known:
                raise InputError(
                    f"{flag} {text}: {part!r} is no {what}; write any of {', '.join(known)}, "
                    f"as in {flag} {','.join(known[:2])}"
                )
        return tuple(part for part in known if part in asked)

    return read


# ---- checks against the designs -----------------------------------------------------------------------


def known_points(args: argparse.Namespace, names: str | Sequence[str] | None) -> Any:
    """Tie-on points that one of the designs has."""
    known = list(dict.fromkeys(name for design in args.designs for name in design.tie_on))
    for name in [names] if isinstance(names, str) else names or ():
        if name not in known:
            raise InputError(
                f"--tie-on {name}: {', '.join(args.files)} has no tie-on point of that name. "
                f"It has: {', '.join(known) or 'none'}."
            )
    return names


# ---- the options that several commands take -----------------------------------------------------------

FILE = option("file", "FILE", "the design file", design=True)
FILES = option("files", "FILE", "design files", nargs="+", design=True)
UNITS = option(
    "--units", help="units of the text (default: metric)", choices=("metric", "us"), default="metric"
)
JSON = flag("--json", "the answer as JSON, for programs")
OUTPUT = option("-o/--output", "FILE")
FORCE = flag("--force", "write over a file that is there already")
TIE_ON = many(
    "--tie-on",
    "NAME",
    "only from this point; may be given again (default: every point in the file)",
    check=known_points,
)
ONE_TIE_ON = option(
    "--tie-on",
    "NAME",
    "tied here, for a cast or a retrieve (default: the first in the file)",
    check=known_points,
)
SPEED = many(
    "--speed", '"0.6 m/s"', "at this steady speed; may be given again (default: the speeds in the file)",
    read=quantity("ForwardSpeed"),
)  # fmt: skip
ONE_SPEED = option(
    "--speed",
    '"0.6 m/s"',
    "pulled at this speed (default: the first in the file)",
    read=quantity("ForwardSpeed"),
)
ONLY = option(
    "--only", "LIST", f"only these parts of a trial: any of {', '.join(PARTS)} (default: all)",
    default=",".join(PARTS), read=several(PARTS, "part of a trial"),
)  # fmt: skip
SEED = option("--seed", "N", "start of the draws (default: 1)", default="1", read=whole(0, 2**32 - 1))
WORKERS = option(
    "--workers", "N", "processes to run on (default: one for each core)", read=whole(1, MOST_WORKERS)
)
CLUSTER = option("--cluster", "ADDRESS", "run on the Dask cluster whose scheduler is at this address")

RENAMED = {
    ("vary", "--ask"): "--only", ("vary", "--samples"): "--count", ("tolerance", "--builds"): "--count",
    ("advise", "--builds"): "--count", ("mix", "--bodies"): "--count", ("mix", "--total"): "--weight",
}  # fmt: skip
"""Command and spelling of before -> spelling of today."""
