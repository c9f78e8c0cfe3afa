"""`advise`: the next most useful test, and what it would settle."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from sim.cli import builds_input as given
from sim.cli.common import (
    ANSWERED,
    INTERRUPTED,
    Command,
    design_arguments,
    load_design,
    report_argument,
    report_asked,
    show_answer,
    show_report,
)

if TYPE_CHECKING:
    from sim.show.units import Units

BUILDS, BUILDS_CHEAP = 128, 1024


def run(args: argparse.Namespace) -> int:
    """Try the builds and say what to test next."""
    page = report_asked(args)
    design = load_design(args.file)
    asked = given.about(args, design)
    looks = given.looks_of(design, given.parts_only(args), asked, pulls=not asked)
    builds = given.number_of_builds(args) or (BUILDS_CHEAP if given.is_cheap(looks) else BUILDS)
    work = given.prepared(args, design, looks)
    print(f"Seed {work.seed}.", file=sys.stderr)
    try:
        ensemble = given.tried(args, work, builds)
    except KeyboardInterrupt:
        print("\nStopped; nothing is kept.", file=sys.stderr)
        return INTERRUPTED

    from sim.show.advice import advice as text
    from sim.studies.monte_carlo.advice import advise, open_questions
    from sim.studies.monte_carlo.tolerance import shares

    open_ = [shares(ensemble, one.asked) for one in open_questions(ensemble, asked) if one.asked]
    found = advise(design, ensemble, asked)
    answer = {
        "seed": work.seed, "builds": ensemble.builds, "not_built": len(ensemble.failures),
        "model": not args.no_model, "open": open_, "advice": found,
    }  # fmt: skip
    show_answer(args, design, answer, lambda look: text(design.name, open_, found, look))

    def made(source: dict[str, str], careful: list[str], units: Units) -> str:
        from sim.show.report.builds import advice_page

        return advice_page(design.name, open_, found, source, work.seed, careful, units)

    show_report(args, design, page, made)
    return ANSWERED


def arguments(sub: argparse.ArgumentParser) -> None:
    """Options of `advise`."""
    design_arguments(sub)
    given.builds_arguments(sub)
    report_argument(sub)


COMMANDS = (
    Command(
        "advise",
        "the next most useful test, and what it would settle",
        "drytank advise lure.toml --only budget,float",
        arguments,
        run,
    ),
)
