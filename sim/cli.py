"""The command line, thin: read the words, ask the trials, show the answer.

Everything heavy is imported where it is used, so that help and refused files answer at once.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

from sim.show.parser import COMMANDS, parser

if TYPE_CHECKING:
    from sim.design.model import Design
    from sim.show.layout import Look

ANSWERED, FAULT, BAD_INPUT, GAVE_UP, INTERRUPTED = 0, 1, 2, 3, 130

_COMPILES = {"drop", "cast", "retrieve", "trial"}


class InputError(Exception):
    """Input that cannot be used; the message says what to do about it."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status.

    argv: the words after the program's name; those of the process if left out.
    """
    words = list(sys.argv[1:] if argv is None else argv)
    for stream in (sys.stdout, sys.stderr):
        with suppress(AttributeError):
            stream.reconfigure(errors="replace")  # type: ignore[union-attr]
    try:
        _expect_command(words)
        args = parser().parse_args(words)
        status = _new(args) if args.command == "new" else _answer(args)
        sys.stdout.flush()
        return status
    except InputError as problem:
        print(problem, file=sys.stderr)
        return BAD_INPUT
    except KeyboardInterrupt:
        print("\nStopped before the answer was ready.", file=sys.stderr)
        return INTERRUPTED
    except BrokenPipeError:
        # whoever read has gone; let nothing complain when Python flushes at the end
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return ANSWERED
    except Exception:
        print(
            "This is a fault in drytank, not in your design. Please report it with the lines below.",
            file=sys.stderr,
        )
        raise


def _expect_command(words: Sequence[str]) -> None:
    """Say what is missing where the parser would only list what it knows."""
    names = [command.name for command in COMMANDS]
    if not words:
        raise InputError(parser().format_help().rstrip())
    first = words[0]
    if first.startswith("-") or first in names:
        return
    if first.lower().endswith(".toml"):
        raise InputError(f"{first!r} is a file, not a command. Did you mean: drytank trial {first}")
    near = get_close_matches(first, names, 1)
    hint = f" Did you mean {near[0]!r}?" if near else ""
    raise InputError(f"{first!r} is not a command.{hint} The commands are: {', '.join(names)}.")


def _answer(args: argparse.Namespace) -> int:
    from sim.design.load import DesignError, load

    try:
        design = load(Path(args.file))
    except DesignError as problem:
        raise InputError(str(problem)) from problem
    points, speeds = _narrowed(args, design) if args.command == "retrieve" else (None, None)
    if args.command in _COMPILES:
        _say_if_compiling()

    from sim.build import BuildError
    from sim.show.layout import Look
    from sim.show.units import SYSTEMS

    look = Look(SYSTEMS[args.units], _has_colour(sys.stdout))
    try:
        result, page = _ask(args.command, design, look, points, speeds)
    except BuildError as problem:
        raise InputError(f"{args.file}: {problem}") from problem
    print(_json(args.command, design, result) if args.json else page())
    if _gave_up(args.command, result):
        print("The solver gave up on part of this; the answer says what was reached.", file=sys.stderr)
        return GAVE_UP
    return ANSWERED


def _ask(
    command: str,
    design: Design,
    look: Look,
    points: Sequence[str] | None,
    speeds: Sequence[float] | None,
) -> tuple[Any, Callable[[], str]]:
    """The result of a command, and what writes its page of text."""
    from sim.show import text

    name = design.name
    if command == "trial":
        from sim.trials.trial import trial

        whole = trial(design)
        return whole, lambda: text.trial(whole, look)
    if command == "budget":
        from sim.trials.budget import budget

        weights = budget(design)
        return weights, lambda: text.budget(name, weights, look)

    from sim.build import build
    from sim.design.load import warnings

    lure = build(design)
    for warning in (*warnings(design), *lure.warnings):  # the two answers above carry them inside
        print(f"Look again: {warning}", file=sys.stderr)
    if command == "float":
        from sim.show.side_view import side_view
        from sim.trials.floating import rest

        sits = rest(design, lure)
        return sits, lambda: text.floating(name, sits, look, side_view(lure, sits))
    if command == "drop":
        from sim.trials.drop import drop

        falls = drop(design, lure)
        return falls, lambda: text.drop(name, falls, look)
    if command == "cast":
        from sim.trials.cast import cast

        flies = cast(design, lure)
        return flies, lambda: text.cast(name, flies, look)
    from sim.trials.retrieve import retrieve

    runs = retrieve(design, lure, tie_ons=points, speeds=speeds)
    return runs, lambda: text.retrieve(name, runs, look)


def _narrowed(args: argparse.Namespace, design: Design) -> tuple[list[str] | None, list[float] | None]:
    """Tie-on points and speeds (m/s) asked for on the command line; None for those of the file."""
    for name in args.tie_on or ():
        if name not in design.tie_on:
            known = ", ".join(design.tie_on) or "none"
            raise InputError(
                f"--tie-on {name}: {args.file} has no tie-on point of that name. It has: {known}."
            )
    return args.tie_on, [_speed(text) for text in args.speed] if args.speed else None


def _speed(text: str) -> float:
    from pydantic import TypeAdapter, ValidationError

    from sim.design.quantities import ForwardSpeed

    try:
        return TypeAdapter(ForwardSpeed).validate_python(text).value
    except ValidationError as problem:
        raise InputError(f"--speed: {problem.errors()[0]['msg']}") from problem


def _new(args: argparse.Namespace) -> int:
    from sim.design.starter import STARTER

    if args.file == "-":
        print(STARTER, end="")
        return ANSWERED
    path = Path(args.file)
    try:
        with path.open("w" if args.force else "x", encoding="utf-8") as file:
            file.write(STARTER)
    except FileExistsError as problem:
        raise InputError(
            f"{path} is there already and is left as it is. Give another name, or --force to write over it."
        ) from problem
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or problem
        raise InputError(f"{path} could not be written: {reason}.") from problem
    print(f"Wrote {path}. Open it in a text editor, change the values, then run: drytank trial {path}")
    return ANSWERED


def _json(command: str, design: Design, result: Any) -> str:
    """The answer under its own key, as in a whole trial. What is not a finite number becomes null.

    Plain ASCII, so that any pipe carries it.
    """
    import json

    from pydantic_core import to_json

    from sim import __version__

    whole = {"design": design.name, "version": __version__, command: result}
    answer = result if command == "trial" else whole
    return json.dumps(json.loads(to_json(answer, by_alias=True, inf_nan_mode="null")), indent=2)


def _gave_up(command: str, result: Any) -> bool:
    from sim.trials.results import Ended

    runs: Iterable[Any]
    if command == "trial":
        runs = [result.drop, result.cast, *result.retrieve]
    else:
        runs = result if command == "retrieve" else [result]
    return any(getattr(run, "ended", None) is Ended.GAVE_UP for run in runs)


def _say_if_compiling() -> None:
    from sim.compiled import is_compiled

    if not is_compiled():
        print(
            "Compiling the solver once; this takes about half a minute the first time.",
            file=sys.stderr,
            flush=True,
        )


def _has_colour(stream: TextIO) -> bool:
    """Colour only on a terminal, and not where it is unwanted (NO_COLOR) or not understood."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
