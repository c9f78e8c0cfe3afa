"""`sheet`: one page for the bench, with the lure at full size, to be printed."""

from __future__ import annotations

import argparse
from pathlib import Path

from sim.cli.files import File, target
from sim.cli.options import FILE, OUTPUT, option
from sim.cli.runner import Answer, Command


def answer(args: argparse.Namespace) -> Answer:
    """Look how it sits, and draw."""
    from sim.show.shop import as_pdf, as_svg, shop_sheet
    from sim.show.units import SYSTEMS
    from sim.trials.floating import rest

    paper = args.paper or ("letter" if args.units == "us" else "a4")
    path = args.output or Path(args.file).with_suffix(".pdf")
    page = shop_sheet(args.design, args.lure, rest(args.design, args.lure), paper, SYSTEMS[args.units])
    content = as_pdf if path.suffix.lower() == ".pdf" else as_svg
    remark = "Print it at 100 %, not fitted to the page, and measure the bar of 100 mm."
    return Answer(files=[File(path, lambda: content(page), remark)])


COMMANDS = (
    Command(
        "sheet", "one page to print: the lure at full size, what to cut and to drill",
        "drytank sheet lure.toml -o lure.pdf --paper letter",
        (
            FILE,
            OUTPUT.but(target(".pdf", ".svg"), help="where to, .pdf or .svg (default: the design's name with .pdf)"),
            option("--paper", help="size of the paper (default: a4; letter for those who read inches)",
                   choices=("a4", "letter")),
        ),
        answer, builds=True, json=False,
    ),
)  # fmt: skip
