"""The one runner: a command declares its options and returns an answer, and all else is done here.

Reading the designs, refusing what cannot be built, the notice before compiling, text or JSON, the page of
`--report`, the picture of `--figure`, files, and the exit status.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, TextIO

from sim.cli.designs import build_all, load_design
from sim.cli.errors import ANSWERED, GAVE_UP, InputError, Stopped
from sim.cli.files import FIGURE, REPORT, File, is_report, picture, refuse_foreign, sources
from sim.cli.options import JSON, UNITS, Option
from sim.disk import DiskError, write_whole

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from sim.show.document import Document
    from sim.show.layout import Look
    from sim.show.units import Units


@dataclass(frozen=True)
class Answer:
    """What a command has found, to be shown as it is asked for.

    Attributes:
        data: for `--json`. A mapping is headed with the design's name and the version.
        text: makes the page on the screen, unless `page` does.
        page: makes the document of which screen and report show their parts.
        sources: texts beside the design files that the report shows, by their names.
        figure: makes the picture of `--figure`.
        files: what the command is there to write.
        status: exit status.
        last: does what comes after the answer is shown, and gives a last word for the error stream.
    """

    data: Any = None
    text: Callable[[Look], str] | None = None
    page: Callable[[Units], Document] | None = None
    sources: Mapping[str, str] = field(default_factory=dict)
    figure: Callable[[Units], Figure] | None = None
    files: Sequence[File] = ()
    status: int = ANSWERED
    last: Callable[[], str] = str


Show = Callable[[argparse.Namespace, Answer], None]
"""Shows an answer and writes its files."""


def never(_: argparse.Namespace) -> bool:
    """For commands that need no compiled code."""
    return False


def always(_: argparse.Namespace) -> bool:
    """For commands that need compiled code whatever is asked."""
    return True


@dataclass(frozen=True)
class Command:
    """One command: how a maker reads it, what it takes, what it does.

    Attributes:
        answer: gets the parsed arguments, with `files`, `designs`, `design` and, if it `builds`, `lures` and `lure`;
            leaves heavy imports to its body, so that help and refused files are answered at once.
        prepare: looks at what is said about the designs, before any of them is built, and may add to the arguments.
        builds: whether the designs are built, and refused if they cannot be, before any work.
        compiles: whether the work needs compiled code.
        stopped: what is said when the user interrupts it.
        json, report, figure: which ways to answer it has; with any of them, or `units`, it has `--units`.
    """

    name: str
    does: str
    example: str
    options: tuple[Option, ...]
    answer: Callable[[argparse.Namespace], Answer]
    prepare: Callable[[argparse.Namespace], None] | None = None
    builds: bool = False
    compiles: Callable[[argparse.Namespace], bool] = never
    stopped: str = ""
    json: bool = True
    report: bool = False
    figure: str = ""
    units: bool = True

    def every_option(self) -> tuple[Option, ...]:
        """Its own options and those of the ways to answer."""
        return (
            *self.options,
            *([FIGURE.but(help=f"{self.figure} as a picture, .png or .svg")] if self.figure else []),
            *([REPORT] if self.report else []),
            *([UNITS] if self.units else []),
            *([JSON] if self.json else []),
        )


def run(command: Command, args: argparse.Namespace, show: Show | None = None) -> int:
    """Run a command with its arguments, show its answer (as it is asked for, if `show` is left out), and return the
    exit status.

    Raises:
        InputError: for input that cannot be used.
        Stopped: when the user interrupts it.
    """
    figure, report = getattr(args, "figure", None), getattr(args, "report", None)
    try:
        _read_designs(command, args)
        if command.prepare:
            command.prepare(args)
        if command.compiles(args):
            compile_first(args)
        if command.builds:
            args.lures = build_all(args.files, args.designs, getattr(args, "units", "metric"))
            args.lure = args.lures[0]
        answer = command.answer(args)
        (show or _show)(args, answer)
        if figure and answer.figure:
            write_files([File(figure, _drawn(answer, args, figure))], sys.stderr)
        if report:
            write_files([File(report, lambda: _page(args, answer), ours=is_report)], sys.stderr)
        if word := answer.last():
            print(word, file=sys.stderr)
    except (InputError, DiskError, Stopped):
        raise
    except KeyboardInterrupt as stop:
        raise Stopped(command.stopped) from stop
    except Exception as problem:
        message = _refusal(args, problem)
        if not message:
            raise
        raise InputError(message) from problem
    if answer.status == GAVE_UP:
        print("The solver gave up on part of this; the answer says what was reached.", file=sys.stderr)
    return answer.status


def _read_designs(command: Command, args: argparse.Namespace) -> None:
    """Load the design files, then look at what is said about them."""
    files: list[str] = []
    for option in command.options:
        value = getattr(args, option.key)
        if option.repeats and value is None:
            setattr(args, option.key, [])
        elif option.design and value is not None:
            files += [value] if isinstance(value, str) else value
    args.files = files
    args.designs = [load_design(file, getattr(args, "units", "metric")) for file in args.files]
    args.design = args.designs[0] if args.designs else None
    for option in command.options:
        if option.check:
            setattr(args, option.key, option.check(args, getattr(args, option.key)))


def _show(args: argparse.Namespace, answer: Answer) -> None:
    """Text or JSON on the standard output; the files of the command, told there if they are all there is."""
    shows = answer.text or answer.page
    if getattr(args, "json", False):
        print(as_json(_headed(args, answer.data)))
    elif answer.page:
        from sim.show.writers import text

        look = look_for(args)
        print(text.write(answer.page(look.units), look))
    elif answer.text:
        print(answer.text(look_for(args)))
    write_files(answer.files, sys.stderr if shows else sys.stdout)


def _headed(args: argparse.Namespace, data: Any) -> Any:
    if not isinstance(data, Mapping):
        return data
    from sim import __version__

    name = {"design": args.design.name} if len(args.designs) == 1 else {}
    return {**name, "version": __version__, **data}


def write_files(files: Sequence[File], stream: TextIO) -> None:
    """Write files, each whole or not at all, and say so."""
    for file in files:
        refuse_foreign(file.path, file.ours)
        write_whole(file.path, file.content())
        print(f"Wrote {file.path}.{file.remark and ' '}{file.remark}", file=stream)


def _drawn(answer: Answer, args: argparse.Namespace, path: Any) -> Callable[[], bytes]:
    make = answer.figure
    assert make is not None
    return lambda: picture(make(look_for(args).units), path)


def _page(args: argparse.Namespace, answer: Answer) -> str:
    """The page of `--report`."""
    from sim.trials.cautions import cautions, told

    units = look_for(args).units
    careful = told(caution.key for design in args.designs for caution in cautions(design))
    from sim.show.writers import html

    assert answer.page is not None
    return html.write(answer.page(units), {**sources(args.files), **answer.sources}, careful)


def _refusal(args: argparse.Namespace, problem: Exception) -> str:
    """What to say of an error that is in the input and not in the program; nothing if it is a fault."""
    from sim.bench.uncertainty import ReadingError
    from sim.design.load import DesignError
    from sim.lure import BuildError
    from sim.message import in_units
    from sim.studies.engine import StudyError

    where, system = args.files[0] if args.files else args.command, getattr(args, "units", "metric")
    if isinstance(problem, BuildError | ReadingError):
        return f"{where}: {in_units(problem, system)}"
    if isinstance(problem, DesignError):
        return problem.in_units(system)
    if isinstance(problem, StudyError):
        return f"{str(problem)[0].upper()}{str(problem)[1:]}."
    return ""


def as_json(answer: Any) -> str:
    """A result as JSON text, plain ASCII for any pipe. What is not a finite number becomes null."""
    import json

    from pydantic_core import to_json

    from sim.show.worded import worded

    return json.dumps(json.loads(to_json(worded(answer), by_alias=True, inf_nan_mode="null")), indent=2)


def look_for(args: argparse.Namespace) -> Look:
    """How the page is to be written, from the options and the terminal."""
    from sim.show.layout import Look
    from sim.show.units import SYSTEMS

    return Look(SYSTEMS[getattr(args, "units", "metric")], has_colour(sys.stdout))


def has_colour(stream: TextIO) -> bool:
    """Colour only on a terminal, and not where it is unwanted (NO_COLOR) or not understood."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def compile_first(args: argparse.Namespace) -> None:
    """On the first run: say what needs no solver, then compile with as many processes as there are cores."""
    from sim.compiled import is_compiled

    if is_compiled():
        return
    from sim.compiling import cores, prepare
    from sim.show.progress import bar
    from sim.show.sentences import verdict
    from sim.trials.budget import budget

    for design in getattr(args, "designs", []):
        print(f"{design.name}: {verdict(budget(design), look_for(args).units)}", file=sys.stderr)
    print("Compiling the solver once; this takes about half a minute.", file=sys.stderr, flush=True)
    with contextlib.ExitStack() as shown:
        steps: list[Callable[[], None]] = []

        def told(done: int, total: int) -> None:
            if not steps:
                steps.append(shown.enter_context(bar("compiling", total, sys.stderr)))
            steps[0]()

        prepare(cores(), told)


def follow(what: str, things: Iterable[Any], total: int, before: int = 0) -> None:
    """Carry work out to its end, with a bar on a terminal."""
    from sim.show.progress import followed

    for _ in followed(what, things, total, sys.stderr, before):
        pass
