"""`log`: write down what was tested, and show what is written down against what the design says."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli.common import (
    ANSWERED,
    Command,
    InputError,
    answer_arguments,
    as_json,
    load_design,
    look_for,
    say_if_compiling,
    write_whole,
)

if TYPE_CHECKING:
    from sim.design.log import Logged


def run(args: argparse.Namespace) -> int:
    """Append what was said, or show the log."""
    from sim.design.log import log_file

    target = Path(args.log) if args.log else log_file(args.file)
    extras = [name for name in ("water", "date", "note", "conditions") if getattr(args, name)]
    if args.said is None and extras:
        option = "with" if extras[0] == "conditions" else extras[0]
        raise InputError(
            f"--{option} belongs to a test, and none is told; write it in quotes after the file, as in "
            f'drytank log {args.file} "sank 1 m in 4.2 s"'
        )
    return _show(args, target) if args.said is None else _append(args, target)


# ---- write down ---------------------------------------------------------------------------------------


def _append(args: argparse.Namespace, target: Path) -> int:
    """Check what is said against the design, then write the log whole or not at all."""
    design = load_design(args.file)

    from sim.design.load import DesignError
    from sim.design.log import log_file, read_log, with_test
    from sim.studies.lessons.logged import readings

    old = _text(target)
    entry = _entry(args)
    try:
        new = with_test(old, entry)
    except ValueError as problem:
        raise InputError(f"{target}: {problem}; write each below a heading [[test]] of its own.") from problem
    try:
        logged = read_log(new, str(target))
        found = readings(design, logged)
    except DesignError as problem:
        fresh = [p for p in problem.problems if p.key.startswith(f"test.{_count(old) + 1}.")]
        raise InputError("\n\n".join(_on_the_line(p) for p in fresh) if fresh else str(problem)) from problem
    write_whole(target, new)
    here = sum(reading.test == len(logged.tests) for reading in found)
    what = "one reading" if here == 1 else f"{here} readings"
    shown = f"drytank log {args.file}" + (f" --log {args.log}" if target != log_file(args.file) else "")
    print(f"Test {len(logged.tests)} is in {target}: {what}. `{shown}` holds the log against the design.")
    return ANSWERED


def _text(target: Path) -> str:
    from sim.design.load import DesignError, text_of_file

    if not target.exists():
        return ""
    try:
        return text_of_file(target, str(target))
    except DesignError as problem:
        raise InputError(str(problem)) from problem


def _count(text: str) -> int:
    """How many tests a log holds that could be read, before one more is added."""
    from sim.design.load import DesignError
    from sim.design.log import read_log

    try:
        return len(read_log(text, "log").tests)
    except DesignError as problem:
        raise InputError(str(problem)) from problem


def _on_the_line(problem: Any) -> str:
    """A problem of the new test, told by the option that it came from."""
    key = problem.key.split(".", 2)[2]
    top = key.split(".")[0]
    place = "" if top == "said" else f"--{top}: "
    return f"{place}{problem.message}"


def _entry(args: argparse.Namespace) -> dict[str, Any]:
    from datetime import date

    when = date.today()
    if args.date:
        try:
            when = date.fromisoformat(args.date)
        except ValueError as problem:
            raise InputError(
                f"--date {args.date}: write year, month, day, as in --date 2026-11-20"
            ) from problem
    if when > date.today():
        raise InputError(f"--date {args.date}: that day is still to come; leave it out for today")
    entry: dict[str, Any] = {"date": when, "said": args.said}
    if args.water:
        entry["water"] = _water(args.water)
    if args.conditions:
        entry["with"] = dict(_condition(text) for text in args.conditions)
    if args.note:
        entry["note"] = args.note
    return entry


def _water(text: str) -> dict[str, str]:
    """`14 C`, or `14 C, 12 g/kg`."""
    parts = [part.strip() for part in text.split(",")]
    if len(parts) > 2 or not all(parts):
        raise InputError(
            f'--water {text}: write the temperature, and the salt if there is any, as in "14 C, 12 g/kg"'
        )
    return dict(zip(("temperature", "salinity"), parts, strict=False))


def _condition(text: str) -> tuple[str, str]:
    path, mark, value = (part.strip() for part in text.partition("="))
    if not (path and mark and value):
        raise InputError(f'--with {text}: write a key and its value, as in --with "line.diameter=0.20 mm"')
    return path, value


# ---- show ---------------------------------------------------------------------------------------------


def _show(args: argparse.Namespace, target: Path) -> int:
    design = load_design(args.file)
    logged = load_log_or_say(target, design)

    from sim.cli.study_input import text_of

    say_if_compiling()

    from sim.show.calibration import log_page
    from sim.studies.lessons.predicted import held_against

    result = held_against(design, text_of(args.file), logged)
    if args.json:
        from sim import __version__

        print(as_json({"version": __version__, **result.model_dump()}))
    else:
        print(log_page(result, look_for(args)))
    return ANSWERED


def load_log_or_say(target: Path, design: Any) -> Logged:
    """A log with at least one test that can be understood.

    Raises:
        InputError: with all that is wrong with it.
    """
    from sim.design.load import DesignError
    from sim.design.log import load_log
    from sim.studies.lessons.logged import readings

    try:
        logged = load_log(target)
        readings(design, logged)
    except DesignError as problem:
        raise InputError(str(problem)) from problem
    if not logged.tests:
        raise InputError(
            f'{target}: there is no test in it yet; add one with drytank log FILE "sank 1 m in 4.2 s"'
        )
    return logged


def _arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("file", metavar="FILE", help="the design file")
    sub.add_argument(
        "said",
        nargs="?",
        metavar='"SAID"',
        help='what was seen or measured, as in "sank 1 m in 4.2 +- 0.2 s"',
    )
    sub.add_argument("--water", metavar='"14 C"', help="of the test, and its salt: 14 C, 12 g/kg")
    sub.add_argument("--date", metavar="2026-11-20", help="when (default: today)")
    sub.add_argument("--note", metavar="TEXT", help="anything else")
    sub.add_argument(
        "--with", dest="conditions", action="append", metavar='"KEY=VALUE"',
        help="a key of the design that was different; may be given again",
    )  # fmt: skip
    sub.add_argument("--log", metavar="FILE", help="the log (default: lure.log.toml beside lure.toml)")
    answer_arguments(sub)


COMMANDS = (
    Command(
        "log",
        "write down what a test showed; or show the log against the design",
        'drytank log lure.toml "sank 1 m in 4.2 +- 0.2 s" --water "14 C"',
        _arguments,
        run,
    ),
)
