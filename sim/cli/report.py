"""`report`: everything about a design as one HTML file that opens anywhere and needs no network."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from sim.cli.common import ANSWERED, GAVE_UP, Command, InputError, load_design, say_if_compiling, write_whole

if TYPE_CHECKING:
    from sim.show.report import Entry

_MADE_HERE = b'name="generator" content="drytank'


def run(args: argparse.Namespace) -> int:
    """Ask everything, write the page."""
    target = _target(args)
    designs = [load_design(args.file)]
    if args.compare:
        designs.append(load_design(args.compare))
    say_if_compiling()

    from sim.build import BuildError
    from sim.show.report import gather, report
    from sim.show.units import SYSTEMS

    entries: list[Entry] = []
    for file, design in zip((args.file, args.compare), designs, strict=False):
        try:
            source = Path(file).read_text(encoding="utf-8-sig")
            entries.append(gather(design, source, entries[0] if entries else None))
        except BuildError as problem:
            raise InputError(f"{file}: {problem}") from problem
    write_whole(target, report(entries[0], entries[1] if args.compare else None, SYSTEMS[args.units]))
    print(f"Wrote {target}. It opens in any browser, with or without a network.")
    if any(motion.run.ended == "gave up" for entry in entries for motion in entry.motions):
        print("The solver gave up on part of this; the report says what was reached.", file=sys.stderr)
        return GAVE_UP
    return ANSWERED


def _target(args: argparse.Namespace) -> Path:
    """Where the report goes: never over a file that is not a report."""
    target = Path(args.output) if args.output else Path(args.file).with_suffix(".html")
    if target.suffix.lower() not in (".html", ".htm"):
        raise InputError(f"-o {target}: a report ends in .html; write, for example, -o {target.stem}.html")
    try:
        if target.exists():
            with target.open("rb") as file:
                if _MADE_HERE not in file.read(4096):
                    raise InputError(
                        f"{target} is there already and is no report of drytank; it is left as it is. "
                        "Give another name with -o."
                    )
    except OSError as problem:
        raise InputError(f"{target} cannot be written: {problem.strerror}.") from problem
    return target


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
