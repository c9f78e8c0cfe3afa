"""`sheet`: one page for the bench, with the lure at full size, to be printed."""

from __future__ import annotations

import argparse
from pathlib import Path

from sim.cli.common import ANSWERED, Command, InputError, load_design, look_again, write_whole

ENDINGS = (".pdf", ".svg")


def run(args: argparse.Namespace) -> int:
    """Build, look how it sits, draw, write."""
    target = Path(args.output) if args.output else Path(args.file).with_suffix(".pdf")
    if target.suffix.lower() not in ENDINGS:
        raise InputError(
            f"-o {target}: a sheet ends in .pdf or .svg; write, for example, -o {target.stem}.pdf"
        )
    design = load_design(args.file)

    from sim.design.load import warnings
    from sim.lure import BuildError, build
    from sim.show.shop import as_pdf, as_svg, shop_sheet
    from sim.show.units import SYSTEMS
    from sim.trials.floating import rest

    try:
        lure = build(design)
    except BuildError as problem:
        raise InputError(f"{args.file}: {problem}") from problem
    look_again([*warnings(design), *lure.warnings])
    page = shop_sheet(design, lure, rest(design, lure), args.paper, SYSTEMS[args.units])
    write_whole(target, as_pdf(page) if target.suffix.lower() == ".pdf" else as_svg(page).encode())
    print(f"Wrote {target}. Print it at 100 %, not fitted to the page, and measure the bar of 100 mm.")
    return ANSWERED


def _arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("file", metavar="FILE", help="the design file")
    sub.add_argument(
        "-o", "--output", metavar="SHEET",
        help="the page, a name that ends in .pdf or .svg (default: the design file's name with .pdf)",
    )  # fmt: skip
    sub.add_argument(
        "--paper", choices=("a4", "letter"), default="a4", help="size of the paper (default: a4)"
    )
    sub.add_argument(
        "--units", choices=("metric", "us"), default="metric", help="units of the text (default: metric)"
    )


COMMANDS = (
    Command(
        "sheet",
        "one page to print: the lure at full size, what to cut and to drill",
        "drytank sheet lure.toml -o lure.pdf --paper letter",
        _arguments,
        run,
    ),
)
