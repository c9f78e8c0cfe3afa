"""What every command shares: exit statuses, reading a design, how to print, when to say that it compiles."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, TextIO

if TYPE_CHECKING:
    from sim.design.model import Design
    from sim.show.layout import Look
    from sim.show.units import Units
    from sim.studies.statements import Statement

ANSWERED, FAULT, BAD_INPUT, GAVE_UP, INTERRUPTED = 0, 1, 2, 3, 130

STATUS = "0 answered, 2 something to put right in the input, 3 the solver gave up"


class InputError(Exception):
    """Input that cannot be used; the message says what to do about it."""


class Command(NamedTuple):
    """One command: how a maker reads it, what it takes, what it does.

    `arguments` fills the command's parser; `run` gets what was read and returns the exit status. Both leave
    heavy imports to `run`, so that help and refused files answer at once.
    """

    name: str
    does: str
    example: str
    arguments: Callable[[argparse.ArgumentParser], None]
    run: Callable[[argparse.Namespace], int]


def design_arguments(sub: argparse.ArgumentParser) -> None:
    """The design file and how to answer."""
    sub.add_argument("file", metavar="FILE", help="the design file")
    answer_arguments(sub)


def answer_arguments(sub: argparse.ArgumentParser) -> None:
    """How to answer: units, JSON."""
    sub.add_argument(
        "--units", choices=("metric", "us"), default="metric", help="units of the text (default: metric)"
    )
    sub.add_argument("--json", action="store_true", help="the answer as JSON, for programs")


def tie_on_argument(sub: argparse.ArgumentParser) -> None:
    """Which tie-on points to pull from."""
    sub.add_argument(
        "--tie-on", action="append", metavar="NAME",
        help="only from this point; may be given again (default: every point in the file)",
    )  # fmt: skip


def load_design(file: str) -> Design:
    """The design in a file.

    Raises:
        InputError: with all the problems of the file.
    """
    from sim.design.load import DesignError, load

    try:
        return load(Path(file))
    except DesignError as problem:
        raise InputError(str(problem)) from problem


def quantity(text: str, kind: Any, option: str) -> float:
    """The SI value of an option given as text, `kind` being one of `sim.design.quantities`.

    Raises:
        InputError: naming the option and what to write.
    """
    from pydantic import TypeAdapter, ValidationError

    try:
        return float(TypeAdapter(kind).validate_python(text).value)
    except ValidationError as problem:
        raise InputError(f"{option}: {problem.errors()[0]['msg']}") from problem


def statements(design: Design, texts: Sequence[str], option: str = "") -> list[Statement]:
    """What a maker said, read; `option` is where the words were given.

    Raises:
        InputError: words that say nothing about a lure, with what to write.
    """
    from sim.studies.grammar import StatementError, said

    out: list[Statement] = []
    for text in texts:
        try:
            out += said(design, text)
        except StatementError as problem:
            whole = " ".join(texts)
            if len(texts) > 1 and _is_said(design, whole):
                raise InputError(f'put what belongs together in one pair of quotes: "{whole}"') from problem
            where = f"{option}: " if option else ""
            raise InputError(f"{where}{ended(str(problem))}") from problem
    return out


def _is_said(design: Design, text: str) -> bool:
    from sim.studies.grammar import StatementError, said

    try:
        return bool(said(design, text))
    except StatementError:
        return False


def ended(sentence: str) -> str:
    """A sentence with its full stop, if it does not end in a mark already."""
    return sentence if sentence.endswith((".", "?", "!")) else f"{sentence}."


def look_again(warnings: Iterable[str]) -> None:
    """Say on the error stream what looks odd about a design, each thing once, under one head."""
    odd = list(dict.fromkeys(warnings))
    if odd:
        print(
            "Look again: " + odd[0] if len(odd) == 1 else "\n- ".join(["Look again:", *odd]), file=sys.stderr
        )


def look_for(args: argparse.Namespace) -> Look:
    """How the page is to be written, from the options and the terminal."""
    from sim.show.layout import Look
    from sim.show.units import SYSTEMS

    return Look(SYSTEMS[args.units], has_colour(sys.stdout))


def write_whole(target: Path, content: bytes | str) -> None:
    """Write a file whole or not at all, over what was there.

    Raises:
        InputError: the place cannot be written to.
    """
    from sim.disk import DiskError
    from sim.disk import write_whole as written

    try:
        written(target, content)
    except DiskError as problem:
        raise InputError(str(problem)) from problem


_MADE_HERE = b'name="generator" content="drytank'


def report_argument(sub: argparse.ArgumentParser) -> None:
    """A study's answer as a page."""
    sub.add_argument(
        "--report", metavar="FILE.html", help="the answer as one HTML file with figures, to keep or to send"
    )


def report_asked(args: argparse.Namespace) -> Path | None:
    """Where `--report` is to go, looked at before any work is done.

    Raises:
        InputError: see `report_target`.
    """
    return report_target(args.report, "--report") if args.report else None


def sources(files: Sequence[str]) -> dict[str, str]:
    """Texts of design files by their names; by their whole paths where two have one name."""
    names = [Path(file).name for file in files]
    told = names if len(set(names)) == len(names) else list(files)
    return {name: Path(file).read_text(encoding="utf-8-sig") for name, file in zip(told, files, strict=True)}


def report_target(name: str | Path, option: str) -> Path:
    """Where a report goes: a name that ends in .html, never over a file that is not a report.

    Raises:
        InputError: naming the option and what to write instead.
    """
    target = Path(name)
    if target.suffix.lower() not in (".html", ".htm"):
        raise InputError(
            f"{option} {target}: a report ends in .html; write, for example, {option} {target.stem}.html"
        )
    if not target.parent.is_dir():
        raise InputError(
            f"{option} {target} cannot be written: there is no folder {target.parent}; make it first, or "
            "name another"
        )
    try:
        if target.exists():
            with target.open("rb") as file:
                if _MADE_HERE not in file.read(4096):
                    raise InputError(
                        f"{target} is there already and is no report of drytank; it is left as it is. "
                        f"Give another name with {option}."
                    )
    except OSError as problem:
        raise InputError(f"{target} cannot be written: {problem.strerror}.") from problem
    return target


def write_report(target: Path, page: str) -> None:
    """Write a page to a target that `report_target` has looked at, and say so on the error stream.

    Raises:
        InputError: the place cannot be written to.
    """
    write_whole(target, page)
    print(f"Wrote {target}.", file=sys.stderr)


def as_json(answer: Any) -> str:
    """A result as JSON text, plain ASCII for any pipe. What is not a finite number becomes null."""
    import json

    from pydantic_core import to_json

    return json.dumps(json.loads(to_json(answer, by_alias=True, inf_nan_mode="null")), indent=2)


def show_answer(
    args: argparse.Namespace, design: Design, answer: Mapping[str, Any], text: Callable[[Look], str]
) -> None:
    """Print a study's answer: its page of text, or as JSON, named, with the design and the version."""
    if args.json:
        from sim import __version__

        print(as_json({"design": design.name, "version": __version__, **answer}))
    else:
        print(text(look_for(args)))


def show_report(
    args: argparse.Namespace,
    design: Design,
    target: Path | None,
    page: Callable[[dict[str, str], list[str], Units], str],
) -> None:
    """Write a study's page where `report_asked` has said, from the design file, its cautions and the units.

    Raises:
        InputError: the place cannot be written to.
    """
    if target:
        from sim.trials.cautions import cautions

        write_report(target, page(sources([args.file]), [*cautions(design)], look_for(args).units))


def say_if_compiling() -> None:
    """Tell on the error stream that the first run compiles."""
    from sim.compiled import is_compiled

    if not is_compiled():
        print(
            "Compiling the solver once; this takes about half a minute the first time.",
            file=sys.stderr,
            flush=True,
        )


def has_colour(stream: TextIO) -> bool:
    """Colour only on a terminal, and not where it is unwanted (NO_COLOR) or not understood."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
