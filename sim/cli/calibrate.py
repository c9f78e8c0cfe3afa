"""`calibrate`: what the logged tests teach, shown and, if wanted, written into the design files."""

from __future__ import annotations

import argparse
import sys
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

from sim.cli.designs import look_again, text_of
from sim.cli.errors import InputError
from sim.cli.log import read_tests
from sim.cli.options import CLUSTER, FILES, WORKERS, flag, many, option
from sim.cli.runner import Answer, Command, always
from sim.cli.workers import where_to_run
from sim.disk import held, rewrite

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from sim.show.units import Units
    from sim.studies.calibration.fitted import CalibrationResult

FEW = 200  # runs that a small calibration takes, to tell how many processes are worth it


def prepare(args: argparse.Namespace) -> None:
    """The tests of the logs, those that are struck out apart."""
    from sim.studies.calibration.observations import readings, struck

    logs = [read_tests(_log_of(args, k), design) for k, design in enumerate(args.designs)]
    args.logs = logs
    args.readings = [
        r for k, (d, log) in enumerate(zip(args.designs, logs, strict=True)) for r in readings(d, log, k)
    ]
    args.struck_out = [one for k, log in enumerate(logs) for one in struck(log, k)]
    if not args.readings:
        raise InputError(f"{logs[0].name}: every test in it is struck out; there is nothing to learn from")


def answer(args: argparse.Namespace) -> Answer:
    """Fit, show, write."""
    _warn_of_speeds(args)

    from sim.show.pages import calibration
    from sim.show.progress import counting
    from sim.show.worded import worded
    from sim.studies.calibration.calibrate import Given, calibrate
    from sim.studies.calibration.write_back import anything
    from sim.studies.engine import processes

    texts = [text_of(file) for file in args.files]
    tests = Given(texts, args.designs, args.readings, args.struck_out)
    with (
        where_to_run(args, FEW) as (executor, count),
        processes(count if executor is None else 1) as own,
        counting("Running", sys.stderr) as one_more,
    ):
        result = calibrate(tests, args.fit, executor or own, count, one_more)
    writes = anything(result.lessons, len(result.lures))

    def figure(units: Units) -> Figure:
        from sim.show.figures.fitted import predicted_against_measured

        return predicted_against_measured(result, units)

    def last() -> str:
        if args.write and writes:
            return _write(args, result)
        if not args.write:
            return ""
        if result.lessons.farther:
            return "Nothing was written: with it the file would fit fewer of its tests."
        return "These tests settle nothing that a file could hold, so nothing was written."

    return Answer(
        worded(result).model_dump(),
        page=lambda units: calibration.page(result, args.files, units, written=args.write and writes),
        sources={log.name: log.text for log in args.logs},
        figure=figure,
        last=last,
    )


def _warn_of_speeds(args: argparse.Namespace) -> None:
    """Tell before the runs of pulls so fast that they would take very long, and are likely to be a slip."""
    from sim.show.readings import slips as sentences
    from sim.show.units import SYSTEMS
    from sim.studies.calibration.gross_errors import slips

    for lure, design in enumerate(args.designs):
        some = slips(design, [reading for reading in args.readings if reading.lure == lure], {})
        for words in sentences(some, SYSTEMS[args.units]):
            look_again([words])


def _names(text: str, flag: str) -> list[str]:
    """What to fit, each a coefficient or `cast.speed`."""
    from sim.coefficients import DOUBTED
    from sim.design.problems import nearest, printable

    known = (*DOUBTED, "cast.speed")
    names = [part.strip().removeprefix("calibration.") for part in text.split(",")]
    for name in names:
        if name not in known:
            near = nearest(name, known)
            hint = f"did you mean {near}?" if near else f"it can be {', '.join(known)}"
            raise InputError(f"{flag} {printable(text)}: there is no coefficient {printable(name)!r}; {hint}")
    return names


def _log_of(args: argparse.Namespace, k: int) -> Path:
    from sim.design.log import log_file

    if not args.log:
        return log_file(args.files[k])
    if len(args.log) != len(args.files):
        raise InputError(
            f"--log is given {len(args.log)} times and there are {len(args.files)} design files; give one "
            "for each, in the same order, or none"
        )
    return Path(args.log[k])


def _write(args: argparse.Namespace, result: CalibrationResult) -> str:
    """All files whole, or none of them touched."""
    from datetime import date

    from sim.design.load import DesignError, load, text_as_written
    from sim.studies.calibration.write_back import with_calibration

    new: dict[Path, str] = {}
    with ExitStack() as locks:
        for path in sorted({Path(file).resolve() for file in args.files}):
            locks.enter_context(held(path))
        for lure, (file, design) in enumerate(zip(args.files, args.designs, strict=True)):
            try:
                if load(file) != design:
                    raise InputError(
                        f"{file} was changed while this ran, so nothing is written; run it again"
                    )
                before = text_as_written(file)
                new[Path(file)] = with_calibration(
                    before, design, result, lure, date.today(), Path(file).parent
                )
            except (DesignError, KeyError) as problem:
                raise InputError(f"{file}: the calibration cannot be written into it: {problem}") from problem
        rewrite(new)
    return "\n".join(
        f"Wrote [calibration] into {file}; every command uses it from now on." for file in args.files
    )


COMMANDS = (
    Command(
        "calibrate", "fit the model to the tests of the log, with errors",
        "drytank calibrate lure.toml --write",
        (
            FILES.but(help="design files, each with its log beside it"),
            option("--fit", "LIST", "only these coefficients, as in shedding,plate_lift; or cast.speed", read=_names),
            many("--log", "FILE", "the log of each file, in the same order"),
            flag("--write", "put what was learnt into the design files"),
            WORKERS, CLUSTER,
        ),
        answer, prepare, builds=True, compiles=always, report=True, figure="predicted against measured",
    ),
)  # fmt: skip
