"""`report`: everything about a design as one HTML file that opens anywhere and needs no network."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from sim.cli.errors import ANSWERED, GAVE_UP, InputError
from sim.cli.files import File, report_target
from sim.cli.options import FILE, OUTPUT, option
from sim.cli.runner import Answer, Command, always

if TYPE_CHECKING:
    from sim.show.report import Entry


def prepare(args: argparse.Namespace) -> None:
    """Where it goes."""
    args.output = args.output or report_target(str(Path(args.file).with_suffix(".html")), "-o")


def answer(args: argparse.Namespace) -> Answer:
    """Ask everything, make the page."""
    from sim.studies.engine import process_beside
    from sim.studies.monte_carlo.tolerance import at_rest

    entries: list[Entry] = []
    with process_beside() as beside:
        builds = [beside.submit(at_rest, design) if beside else None for design in args.designs]

        from sim.lure import BuildError  # while the other process is at work: these take long
        from sim.show.report import gather, report
        from sim.show.units import SYSTEMS

        for file, design, spread in zip(args.files, args.designs, builds, strict=True):
            try:
                source = Path(file).read_text(encoding="utf-8-sig")
                entries.append(gather(design, source, entries[0] if entries else None, spread))
            except BuildError as problem:
                raise InputError(f"{file}: {problem}") from problem
    page = report(entries[0], entries[1] if args.compare else None, SYSTEMS[args.units])
    cut = any(motion.run.ended == "gave up" for entry in entries for motion in entry.motions)
    remark = "It opens in any browser, with or without a network."
    return Answer(files=[File(args.output, lambda: page, remark)], status=GAVE_UP if cut else ANSWERED)


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
