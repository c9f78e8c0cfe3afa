"""`log`: write down what was tested, and show what is written down against what the design says."""

from __future__ import annotations

import argparse
import sys
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
    from sim.design.model import Design


def run(args: argparse.Namespace) -> int:
    """Append what was said, strike out a test, or show the log."""
    from sim.design.log import log_file

    target = Path(args.log) if args.log else log_file(args.file)
    _refuse_what_does_not_go_together(args)
    if args.strike_out is not None:
        return _strike_out(args, target)
    return _show(args, target) if args.said is None else _append(args, target)


def _refuse_what_does_not_go_together(args: argparse.Namespace) -> None:
    """Options that belong to a test that is told, or to one that is struck out, and there is none.

    Raises:
        InputError: naming the option, with what to write instead.
    """
    extras = [name for name in ("water", "date", "note", "conditions") if getattr(args, name)]
    if args.said is None and extras:
        option = "with" if extras[0] == "conditions" else extras[0]
        raise InputError(
            f"--{option} belongs to a test, and none is told; write it in quotes after the file, as in "
            f'drytank log {args.file} "sank 1 m in 4.2 s"'
        )
    number = args.strike_out or 2
    example = f'drytank log {args.file} --strike-out {number} --because "wrote 42 for 4.2"'
    if args.strike_out is None and args.because is not None:
        raise InputError(f"--because says why a test is struck out, and none is; write {example}")
    if args.strike_out is not None and args.said is not None:
        raise InputError(
            "--strike-out and a new test in one go; first strike out, then write down the new one"
        )
    if args.strike_out is not None and not (args.because or "").strip():
        raise InputError(f"--strike-out {args.strike_out}: say why, so that you know next year: {example}")


# ---- write down ---------------------------------------------------------------------------------------


def _append(args: argparse.Namespace, target: Path) -> int:
    """Check what is said against the design, then write the log whole or not at all."""
    design = load_design(args.file)

    from sim.design.load import DesignError
    from sim.design.log import log_file, read_log, with_test
    from sim.studies.calibration.observations import readings

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
    _warn_of_slips(args, design, logged)
    return ANSWERED


def _warn_of_slips(args: argparse.Namespace, design: Design, logged: Logged) -> None:
    """Hold the new test against the design, when it is safely written: its numbers may be far from all sense."""
    from sim.cli.study_input import text_of

    say_if_compiling()

    from sim.show.readings import slips
    from sim.show.units import SYSTEMS
    from sim.studies.calibration.predicted import slipped_in

    found = slipped_in(design, text_of(args.file), logged, len(logged.tests))
    for words in slips(found, SYSTEMS[args.units]):
        print(f"Look again: {words}", file=sys.stderr)


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


# ---- strike out ---------------------------------------------------------------------------------------


def _strike_out(args: argparse.Namespace, target: Path) -> int:
    """Put the reason into the test, and write the log whole or not at all."""
    design = load_design(args.file)

    from sim.design.load import DesignError
    from sim.design.log import load_log, read_log, with_struck_out

    try:
        logged = load_log(target)
        test = _number(args.strike_out, len(logged.tests), target)
        if logged.tests[test - 1].struck_out is not None:
            raise InputError(f"--strike-out {test}: this test is struck out already")
        new = with_struck_out(logged.text, test - 1, args.because.strip())
        read_log(new, str(target))
        write_whole(target, new)
    except DesignError as problem:
        raise InputError(str(problem)) from problem
    except ValueError as problem:
        raise InputError(f"{target}: {problem}; write each below a heading [[test]] of its own.") from problem
    print(
        f"Test {test} of {target} is struck out: it stays there, and nothing uses it. Take its line struck_out away "
        "and it counts again."
    )
    if design.calibration.model_fields_set:
        print(
            f"The [calibration] of {args.file} may have used it; `drytank calibrate {args.file} --write` fits it anew.",
            file=sys.stderr,
        )
    return ANSWERED


def _number(text: str, most: int, target: Path) -> int:
    """The number of a test, from 1."""
    if not most:
        raise InputError(f"--strike-out {text}: there is no test in {target} yet")
    if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= most:
        what = "1" if most == 1 else f"1 to {most}"
        raise InputError(f"--strike-out {text}: write the number of a test of {target}, {what}")
    return int(text)


# ---- show ---------------------------------------------------------------------------------------------


def _show(args: argparse.Namespace, target: Path) -> int:
    design = load_design(args.file)
    logged = load_log_or_say(target, design)

    from sim.cli.study_input import text_of

    say_if_compiling()

    from sim.show import logged as pages
    from sim.studies.calibration.predicted import held_against

    result = held_against(design, text_of(args.file), logged)
    if args.json:
        from sim import __version__

        print(as_json({"version": __version__, **result.model_dump()}))
    else:
        print(pages.page(result, look_for(args)))
    return ANSWERED


def load_log_or_say(target: Path, design: Any) -> Logged:
    """A log with at least one test that can be understood.

    Raises:
        InputError: with all that is wrong with it.
    """
    from sim.design.load import DesignError
    from sim.design.log import load_log
    from sim.studies.calibration.observations import readings

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
    sub.add_argument(
        "--strike-out", metavar="N", help="no longer use test N; it stays in the log, with the reason"
    )
    sub.add_argument("--because", metavar="TEXT", help="the reason for --strike-out")
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
