"""`calibrate`: what the logged tests teach, shown and, if wanted, written into the design files."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from sim.cli.common import (
    ANSWERED,
    Command,
    InputError,
    answer_arguments,
    as_json,
    load_design,
    look_for,
    report_argument,
    report_target,
    say_if_compiling,
    write_report,
    write_whole,
)
from sim.cli.log import load_log_or_say
from sim.cli.study_input import (
    build_all,
    picture_file,
    save_figure,
    text_of,
    told_to_the_user,
    where_to_run,
    workers_given,
)

if TYPE_CHECKING:
    from sim.design.model import Design
    from sim.studies.calibration.fitted import CalibrationResult
    from sim.studies.calibration.observations import Observation

FEW = 200  # runs that a small calibration takes, to tell how many processes are worth it


def run(args: argparse.Namespace) -> int:
    """Fit, show, write."""
    picture = picture_file("--figure", args.figure) if args.figure else None
    report = report_target(args.report, "--report") if args.report else None
    names = _names(args.fit) if args.fit else None
    workers = workers_given(args)
    designs = [load_design(file) for file in args.files]

    from sim.studies.calibration.observations import readings, struck

    logs = [load_log_or_say(_log_of(args, k), design) for k, design in enumerate(designs)]
    found = [r for k, (d, log) in enumerate(zip(designs, logs, strict=True)) for r in readings(d, log, k)]
    gone = [one for k, log in enumerate(logs) for one in struck(log, k)]
    if not found:
        raise InputError(f"{logs[0].name}: every test in it is struck out; there is nothing to learn from")
    build_all(args.files, designs)
    _warn_of_speeds(args, designs, found)
    say_if_compiling()

    from sim.show import calibration
    from sim.show.progress import counting
    from sim.studies.calibration.calibrate import Given, calibrate
    from sim.studies.calibration.write_back import settled
    from sim.studies.engine import default_workers, processes

    texts = [text_of(file) for file in args.files]
    with (
        where_to_run(args, workers or default_workers(FEW)) as (executor, count),
        told_to_the_user(),
        processes(count if executor is None else 1) as own,
        counting("Running", sys.stderr) as one_more,
    ):
        result = calibrate(Given(texts, designs, found, gone), names, executor or own, count, one_more)
    writes = settled(result.fitted)
    look = look_for(args)
    if args.json:
        from sim import __version__

        print(as_json({"version": __version__, **result.model_dump()}))
    else:
        print(calibration.page(result, args.files, look, written=args.write and writes))
    if picture:
        from sim.show.figures.fitted import predicted_against_measured

        save_figure(predicted_against_measured(result, look.units), picture, "--figure")
    if report:
        sources = dict(zip(args.files, texts, strict=True)) | {log.name: log.text for log in logs}
        write_report(report, calibration.report(result, args.files, sources, look.units))
    if args.write and writes:
        _write(args.files, designs, result)
    elif args.write:
        print("These tests settle no coefficient, so nothing was written.", file=sys.stderr)
    return ANSWERED


def _warn_of_speeds(
    args: argparse.Namespace, designs: Sequence[Design], found: Sequence[Observation]
) -> None:
    """Tell before the runs of pulls so fast that they would take very long, and are likely to be a slip."""
    from sim.show.readings import slips as told
    from sim.show.units import SYSTEMS
    from sim.studies.calibration.gross_errors import slips

    for lure, design in enumerate(designs):
        some = slips(design, [reading for reading in found if reading.lure == lure], {})
        for words in told(some, SYSTEMS[args.units]):
            print(f"Look again: {words}", file=sys.stderr)


def _names(text: str) -> list[str]:
    """What to fit, each a coefficient or `cast.speed`."""
    from sim.coefficients import DOUBTED
    from sim.design.problems import nearest, printable

    known = (*DOUBTED, "cast.speed")
    names = [part.strip().removeprefix("calibration.") for part in text.split(",")]
    for name in names:
        if name not in known:
            near = nearest(name, known)
            hint = f"did you mean {near}?" if near else f"it can be {', '.join(known)}"
            raise InputError(f"--fit {printable(text)}: there is no coefficient {printable(name)!r}; {hint}")
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


def _write(files: Sequence[str], designs: Sequence[Design], result: CalibrationResult) -> None:
    """All files whole, or none of them touched."""
    from datetime import date

    from sim.design.load import DesignError
    from sim.studies.calibration.write_back import with_calibration

    new = []
    for lure, (file, design) in enumerate(zip(files, designs, strict=True)):
        before = Path(file).read_bytes().decode("utf-8-sig")
        try:
            new.append(with_calibration(before, design, result, lure, date.today(), Path(file).parent))
        except (DesignError, KeyError) as problem:
            raise InputError(f"{file}: the calibration cannot be written into it: {problem}") from problem
    for file, text in zip(files, new, strict=True):
        write_whole(Path(file), text)
        print(f"Wrote [calibration] into {file}; every command uses it from now on.", file=sys.stderr)


def _arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("files", nargs="+", metavar="FILE", help="design files, each with its log beside it")
    sub.add_argument(
        "--fit", metavar="LIST", help="only these coefficients, as in shedding,plate_lift; or cast.speed"
    )
    sub.add_argument("--log", action="append", metavar="FILE", help="the log of each file, in the same order")
    sub.add_argument("--write", action="store_true", help="put what was learnt into the design files")
    sub.add_argument("--figure", metavar="FILE", help="predicted against measured, .png or .svg")
    report_argument(sub)
    sub.add_argument("--workers", metavar="N", help="processes to run on (default: one for each core)")
    sub.add_argument(
        "--cluster", metavar="ADDRESS", help="run on the Dask cluster whose scheduler is at this address"
    )
    answer_arguments(sub)


COMMANDS = (
    Command(
        "calibrate",
        "fit the model to the tests of the log, with errors",
        "drytank calibrate lure.toml --write",
        _arguments,
        run,
    ),
)
