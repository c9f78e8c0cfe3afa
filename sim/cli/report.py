"""`report`: everything about a design as one HTML file that opens anywhere and needs no network."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from sim.cli.common import (
    ANSWERED,
    GAVE_UP,
    Command,
    InputError,
    load_design,
    report_target,
    say_if_compiling,
    write_whole,
)

if TYPE_CHECKING:
    from sim.show.report import Entry


def run(args: argparse.Namespace) -> int:
    """Ask everything, write the page."""
    target = report_target(args.output or Path(args.file).with_suffix(".html"), "-o")
    designs = [load_design(args.file)]
    if args.compare:
        designs.append(load_design(args.compare))
    say_if_compiling()

    from sim.studies.engine import process_beside
    from sim.studies.monte_carlo.tolerance import at_rest

    entries: list[Entry] = []
    with process_beside() as beside:
        builds = [beside.submit(at_rest, design) if beside else None for design in designs]

        from sim.lure import BuildError  # while the other process is at work: these take long
        from sim.show.report import gather, report
        from sim.show.units import SYSTEMS

        for file, design, spread in zip((args.file, args.compare), designs, builds, strict=False):
            try:
                source = Path(file).read_text(encoding="utf-8-sig")
                entries.append(gather(design, source, entries[0] if entries else None, spread))
            except BuildError as problem:
                raise InputError(f"{file}: {problem}") from problem
    write_whole(target, report(entries[0], entries[1] if args.compare else None, SYSTEMS[args.units]))
    print(f"Wrote {target}. It opens in any browser, with or without a network.")
    if any(motion.run.ended == "gave up" for entry in entries for motion in entry.motions):
        print("The solver gave up on part of this; the report says what was reached.", file=sys.stderr)
        return GAVE_UP
    return ANSWERED


def _arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("file", metavar="FILE", help="the design file")
    sub.add_argument(
        "-o", "--output", metavar="REPORT",
        help="the report, a name that ends in .html (default: the design file's name with .html)",
    )  # fmt: skip
    sub.add_argument("--compare", metavar="OTHER", help="another design file, replayed side by side in step")
    sub.add_argument(
        "--units", choices=("metric", "us"), default="metric", help="units of the report (default: metric)"
    )


COMMANDS = (
    Command(
        "report",
        "everything as one HTML file, with a replay of the motion",
        "drytank report lure.toml -o lure.html",
        _arguments,
        run,
    ),
)
