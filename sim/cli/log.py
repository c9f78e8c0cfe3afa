"""`log`: write down what tests showed, one or several at once; and show the log against what the design says."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli.designs import text_of
from sim.cli.errors import InputError
from sim.cli.options import FILE, many, option
from sim.cli.runner import Answer, Command
from sim.disk import held, rewrite

if TYPE_CHECKING:
    from sim.design.log import Logged
    from sim.studies.calibration.observations import Observation

EACH_ALONE = "write each below a heading [[test]] of its own"


def prepare(args: argparse.Namespace) -> None:
    """The log's place; options that belong to a new test, or to one that is struck out, and there is none."""
    from sim.design.log import log_file

    args.log = Path(args.log) if args.log else log_file(args.file)
    extras = [name for name in ("water", "date", "note", "conditions") if getattr(args, name)]
    if not args.said and extras:
        name = "with" if extras[0] == "conditions" else extras[0]
        raise InputError(
            f"--{name} belongs to a test, and none is told; write it in quotes after the file, as in "
            f'drytank log {args.file} "sank 1 m in 4.2 s"'
        )
    number = args.strike_out or 2
    example = f'drytank log {args.file} --strike-out {number} --because "wrote 42 for 4.2"'
    if args.strike_out is None and args.because is not None:
        raise InputError(f"--because says why a test is struck out, and none is; write {example}")
    if args.strike_out is not None and args.said:
        raise InputError(
            "--strike-out and a new test in one go; first strike out, then write down the new one"
        )
    if args.strike_out is not None and not (args.because or "").strip():
        raise InputError(f"--strike-out {args.strike_out}: say why, so that you know next year: {example}")


def answer(args: argparse.Namespace) -> Answer:
    """Append tests, strike one out, or show the log."""
    if args.strike_out is not None:
        return _strike_out(args)
    return _append(args) if args.said else _show(args)


# ---- write down ---------------------------------------------------------------------------------------


def _append(args: argparse.Namespace) -> Answer:
    """Check the new tests against the design, then write the log whole or not at all."""
    from sim.design.log import log_file

    target = args.log
    with held(target):
        logged, found = _appended(args)
    last = len(logged.tests)
    first = last - len(args.said) + 1
    here = sum(reading.test >= first for reading in found)
    what = "one reading" if here == 1 else f"{here} readings"
    which = f"Test {last} is" if first == last else f"Tests {first} to {last} are"
    shown = f"drytank log {args.file}" + (f" --log {target}" if target != log_file(args.file) else "")
    return Answer(
        {"log": str(target), "test": first, "tests": len(args.said), "readings": here},
        lambda _: f"{which} in {target}: {what}. `{shown}` holds the log against the design.",
        last=lambda: _slips(args, logged),
    )


def _appended(args: argparse.Namespace) -> tuple[Logged, Sequence[Observation]]:
    """The log with the new tests in it, written, and what all its tests say."""
    from sim.design.load import DesignError, text_of_file
    from sim.design.log import read_log, with_test
    from sim.studies.calibration.observations import readings

    target, design = args.log, args.design
    old = text_of_file(target, str(target)) if target.exists() else ""
    try:
        new = old
        for said in args.said:
            new = with_test(new, _entry(args, said))
    except ValueError as problem:
        raise InputError(f"{target}: {problem}; {EACH_ALONE}.") from problem
    try:
        logged = read_log(new, str(target))
        found = readings(design, logged)
    except DesignError as problem:
        before = len(read_log(old, "log").tests)
        numbers = range(before + 1, before + len(args.said) + 1)
        fresh = [p for n in numbers for p in problem.problems if p.key.startswith(f"test.{n}.")]
        told = dict.fromkeys(_on_the_line(p) for p in fresh)  # an option of all of them is told once
        raise InputError("\n\n".join(told) if fresh else str(problem)) from problem
    rewrite({target: new})
    return logged, found


def _slips(args: argparse.Namespace, logged: Logged) -> str:
    """Hold the new tests against the design, when they are safely written: numbers may be far from all sense."""
    from sim.show.readings import slips
    from sim.show.units import SYSTEMS
    from sim.studies.calibration.predicted import slipped_in

    first = len(logged.tests) - len(args.said) + 1
    found = slipped_in(args.design, text_of(args.file), logged, first)
    return "\n".join(f"Look again: {words}" for words in slips(found, SYSTEMS[args.units]))


def _on_the_line(problem: Any) -> str:
    """A problem of the new test, named by the option that it came from."""
    key = problem.key.split(".", 2)[2]
    top = key.split(".")[0]
    place = "" if top == "said" else f"--{top}: "
    return f"{place}{problem.message}"


def _entry(args: argparse.Namespace, said: str) -> dict[str, Any]:
    """A new test as it stands in the log."""
    from datetime import date

    when = args.date or date.today()
    if when > date.today():
        raise InputError(f"--date {when}: that day is still to come; leave it out for today")
    entry: dict[str, Any] = {"date": when, "said": said}
    if args.water:
        entry["water"] = args.water
    if args.conditions:
        entry["with"] = dict(args.conditions)
    if args.note:
        entry["note"] = args.note
    return entry


def _date(text: str, flag: str) -> Any:
    from datetime import date

    try:
        return date.fromisoformat(text)
    except ValueError as problem:
        raise InputError(f"{flag} {text}: write year, month, day, as in {flag} 2026-11-20") from problem


def _water(text: str, flag: str) -> dict[str, str]:
    """`14 C`, or `14 C, 12 g/kg`."""
    parts = [part.strip() for part in text.split(",")]
    if len(parts) > 2 or not all(parts):
        raise InputError(
            f'{flag} {text}: write the temperature, and the salt if there is any, as in "14 C, 12 g/kg"'
        )
    return dict(zip(("temperature", "salinity"), parts, strict=False))


def _condition(text: str, flag: str) -> tuple[str, str]:
    path, mark, value = (part.strip() for part in text.partition("="))
    if not (path and mark and value):
        raise InputError(f'{flag} {text}: write a key and its value, as in {flag} "line.diameter=0.20 mm"')
    return path, value


# ---- strike out ---------------------------------------------------------------------------------------


def _strike_out(args: argparse.Namespace) -> Answer:
    """Put the reason into the test, and write the log whole or not at all."""
    from sim.design.log import load_log, read_log, with_struck_out

    target = args.log
    with held(target):
        logged = load_log(target)
        test = _number(args.strike_out, len(logged.tests), target)
        if logged.tests[test - 1].struck_out is not None:
            raise InputError(f"--strike-out {test}: this test is struck out already")
        try:
            new = with_struck_out(logged.text, test - 1, args.because.strip())
        except ValueError as problem:
            raise InputError(f"{target}: {problem}; {EACH_ALONE}.") from problem
        read_log(new, str(target))
        rewrite({target: new})
    used = bool(args.design.calibration.model_fields_set)
    return Answer(
        {"log": str(target), "test": test, "struck_out": args.because.strip()},
        lambda _: (
            f"Test {test} of {target} is struck out: it stays there, and nothing uses it. Take its line struck_out "
            "away and it counts again."
        ),
        last=lambda: (
            f"The [calibration] of {args.file} may have used it; `drytank calibrate {args.file} --write` fits it "
            "anew."
        ) if used else "",
    )  # fmt: skip


def _number(text: str, most: int, target: Path) -> int:
    """The number of a test, from 1."""
    if not most:
        raise InputError(f"--strike-out {text}: there is no test in {target} yet")
    if not text.isascii() or not text.isdigit() or not 1 <= int(text) <= most:
        what = "1" if most == 1 else f"1 to {most}"
        raise InputError(f"--strike-out {text}: write the number of a test of {target}, {what}")
    return int(text)


# ---- show ---------------------------------------------------------------------------------------------


def _show(args: argparse.Namespace) -> Answer:
    logged = read_tests(args.log, args.design)

    from sim.show.pages import logged as pages
    from sim.show.worded import worded
    from sim.studies.calibration.predicted import held_against

    result = held_against(args.design, text_of(args.file), logged)
    return Answer(worded(result).model_dump(), page=lambda units: pages.page(result, units))


def read_tests(target: Path, design: Any) -> Logged:
    """A log with at least one test, each of which says something about the design.

    Raises:
        DesignError, InputError: with all that is wrong with it.
    """
    from sim.design.log import load_log
    from sim.studies.calibration.observations import readings

    logged = load_log(target)
    readings(design, logged)
    if not logged.tests:
        raise InputError(
            f'{target}: there is no test in it yet; add one with drytank log FILE "sank 1 m in 4.2 s"'
        )
    return logged


COMMANDS = (
    Command(
        "log", "write down what a test showed; or show the log against the design",
        'drytank log lure.toml "sank 1 m in 4.2 +- 0.2 s" --water "14 C"',
        (
            FILE,
            option("said", '"SAID"', nargs="*",
                   help='what was seen or measured, one thing each, as in "weighs 18.4 g" "sank 1 m in 4.2 +- 0.2 s"'),
            option("--water", '"14 C"', "of the test, and its salt: 14 C, 12 g/kg", read=_water),
            option("--date", "2026-11-20", "when (default: today)", read=_date),
            option("--note", "TEXT", "anything else"),
            many("--with", '"KEY=VALUE"', dest="conditions", read=_condition,
                 help="a key of the design that was different; may be given again"),
            option("--strike-out", "N", "no longer use test N; it stays in the log, with the reason"),
            option("--because", "TEXT", "the reason for --strike-out"),
            option("--log", "FILE", "the log (default: lure.log.toml beside lure.toml)"),
        ),
        answer, prepare, compiles=lambda args: args.strike_out is None,
    ),
)  # fmt: skip
