"""`report`: everything about a design as one HTML file that opens anywhere and needs no network."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from sim.cli.errors import ANSWERED, GAVE_UP, InputError
from sim.cli.files import File, is_report, report_target, sources
from sim.cli.options import FILE, OUTPUT, option
from sim.cli.runner import Answer, Command, always

if TYPE_CHECKING:
    from sim.studies.dossier import Dossier


def prepare(args: argparse.Namespace) -> None:
    """Where it goes."""
    args.output = args.output or report_target(str(Path(args.file).with_suffix(".html")), "-o")


def answer(args: argparse.Namespace) -> Answer:
    """Ask everything, make the page."""
    from sim.studies.engine import asked_beside, process_beside
    from sim.studies.monte_carlo.tolerance import at_rest

    found: list[Dossier] = []
    with process_beside() as beside:
        builds = [asked_beside(beside, at_rest, design) for design in args.designs]

        from sim.design.load import text_as_written
        from sim.lure import BuildError  # while the other process is at work: these take long
        from sim.message import in_units
        from sim.show.pages.report import report
        from sim.show.units import SYSTEMS
        from sim.show.writers import html
        from sim.studies.dossier import gather
        from sim.trials.cautions import in_the_workshop, told

        for file, design, spread in zip(args.files, args.designs, builds, strict=True):
            try:
                found.append(
                    gather(design, text_as_written(file), found[0] if found else None, spread, beside)
                )
            except BuildError as problem:
                raise InputError(f"{file}: {in_units(problem, args.units)}") from problem
    made = report(found[0], found[1] if args.compare else None, SYSTEMS[args.units])
    careful = told(one.key for one in (*found[0].result.cautions, *(in_the_workshop(found[0].design))))
    page = html.write(made, sources(args.files), careful)
    cut = any(motion.gave_up for each in found for motion in each.recordings)
    remark = "It opens in any browser, with or without a network."
    return Answer(
        files=[File(args.output, lambda: page, remark, is_report)], status=GAVE_UP if cut else ANSWERED
    )


COMMANDS = (
    Command(
        "report", "everything as one HTML file, with a replay of the motion",
        "drytank report lure.toml -o lure.html",
        (
            FILE,
            OUTPUT.but(report_target, metavar="FILE.html", help="where to (default: the design's name with .html)"),
            option("--compare", "FILE", "another design file, replayed side by side in step", design=True),
        ),
        answer, prepare, compiles=always, json=False,
    ),
)  # fmt: skip
