"""`tolerance`: how many builds of a hundred do what, and what to measure first."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli import builds_input as given
from sim.cli.common import (
    ANSWERED,
    INTERRUPTED,
    Command,
    InputError,
    design_arguments,
    load_design,
    look_for,
    report_argument,
    report_asked,
    show_answer,
    show_report,
)
from sim.cli.study_input import count, picture_file, save_figure, targets

if TYPE_CHECKING:
    from sim.design.model import Design
    from sim.show.units import Units
    from sim.studies.monte_carlo.tolerance import ToleranceResult

MOST, MOST_CHEAP = 256, 1024  # builds, unless more are asked for


def run(args: argparse.Namespace) -> int:
    """Try the builds and show what they say."""
    picture = picture_file("--figure", args.figure) if args.figure else None
    page = report_asked(args)
    table = _table(args)
    design = load_design(args.file)
    asked = given.about(args, design)
    looks = given.looks_of(design, given.parts_only(args), asked)
    within = _within(args)
    fixed = given.number_of_builds(args)
    if fixed is not None and args.most is not None:
        raise InputError("--builds and --most exclude each other: --builds is just so many, --most a limit")
    usual = MOST_CHEAP if given.is_cheap(looks) else MOST
    least, top = given.LEAST_BUILDS, given.MOST_BUILDS
    most = fixed or (usual if args.most is None else count(args.most, "--most", least, top))
    work = given.prepared(args, design, looks)

    from sim.studies.monte_carlo.tolerance import tolerance, widest

    print(f"Seed {work.seed}.", file=sys.stderr)
    try:
        ensemble = given.tried(
            args, work, most, lambda found: fixed is None and widest(found, asked) <= within, table
        )
    except KeyboardInterrupt:
        way = "give the same command again to go on" if table else "with -o FILE.csv it would go on from here"
        print(f"\nStopped; {way}.", file=sys.stderr)
        return INTERRUPTED
    try:
        result = tolerance(ensemble, asked, within, model=not args.no_model)
    except ValueError as problem:
        why = ensemble.failures[0] if ensemble.failures else ""
        raise InputError(f"{args.file}: {problem}: {why}.") from problem
    _shown(args, design, result, picture, page)
    return ANSWERED


def _shown(
    args: argparse.Namespace, design: Design, result: ToleranceResult, picture: Path | None, page: Path | None
) -> None:
    from sim.show.tolerance import tolerance as text

    show_answer(args, design, {"tolerance": result}, lambda look: text(design.name, result, look))
    if picture:
        from sim.show.figures.spread import spread

        save_figure(spread(result, look_for(args).units), picture, "--figure")

    def made(source: dict[str, str], careful: list[str], units: Units) -> str:
        from sim.show.report.builds import tolerance_page

        return tolerance_page(design.name, result, source, careful, units)

    show_report(args, design, page, made)


def _within(args: argparse.Namespace) -> float:
    try:
        within = float(args.within)
    except ValueError:
        within = 0.0
    if not 0.5 <= within <= 50.0:
        raise InputError(
            f"--within {args.within}: write points of a hundred from 0.5 to 50, as in --within 5"
        )
    return within


def _table(args: argparse.Namespace) -> Path | None:
    if not args.out:
        return None
    pictures, tables = targets([args.out])
    if pictures:
        raise InputError(f"-o {args.out}: the builds go to a .csv file; a picture is --figure {args.out}")
    return tables[0]


def arguments(sub: argparse.ArgumentParser) -> None:
    """Options of `tolerance`."""
    design_arguments(sub)
    given.builds_arguments(sub)
    sub.add_argument(
        "--within", default="5", metavar="POINTS",
        help="stop when every share is known to so many of a hundred (default: 5)",
    )  # fmt: skip
    sub.add_argument(
        "--most", metavar="N",
        help=f"but after so many builds (default: {MOST}; of budget and float alone {MOST_CHEAP})",
    )  # fmt: skip
    sub.add_argument("--figure", metavar="FILE", help="shares and spreads as a picture, .png or .svg")
    report_argument(sub)
    sub.add_argument("-o", "--out", metavar="FILE.csv", help="every build as a row; resumed if it is there")
    sub.add_argument("--force", action="store_true", help="write over a .csv file that is there already")


COMMANDS: tuple[Any, ...] = (
    Command(
        "tolerance",
        "how many builds of a hundred do what, and what to measure first",
        "drytank tolerance lure.toml --only budget,float",
        arguments,
        run,
    ),
)
