"""`explain`: why did it do that? What could be otherwise than the file says, from what was seen."""

from __future__ import annotations

import argparse
import sys
from typing import TYPE_CHECKING

from sim.cli.common import (
    ANSWERED,
    INTERRUPTED,
    Command,
    InputError,
    design_arguments,
    load_design,
    report_argument,
    report_asked,
    say_if_compiling,
    show_answer,
    show_report,
    statements,
)
from sim.cli.study_input import build_all, text_of, told_to_the_user, workers_given

if TYPE_CHECKING:
    from sim.design.model import Design
    from sim.show.units import Units
    from sim.studies.statements import Statement

MOST_SAID = 60  # signals: as much as a long day at the water gives


def run(args: argparse.Namespace) -> int:
    """Search for causes and show them."""
    page = report_asked(args)
    design = load_design(args.file)
    seen = _said(design, args.seen)
    workers = workers_given(args)
    build_all([args.file], [design])
    say_if_compiling()

    from sim.show.explain import explain as text
    from sim.show.progress import followed
    from sim.studies.diagnosis.diagnose import Explain
    from sim.studies.diagnosis.explanation import explanation
    from sim.studies.engine import default_workers

    search = Explain(text_of(args.file), design, seen)
    count = workers or default_workers(len(search))
    try:
        with told_to_the_user():
            for _ in followed("Looking", search.run(workers=count), len(search), sys.stderr):
                pass
    except KeyboardInterrupt:
        print("\nStopped. Nothing is kept; say less, and it takes less time.", file=sys.stderr)
        return INTERRUPTED
    found = explanation(search)
    show_answer(args, design, {"explanation": found}, lambda look: text(design.name, found, look))

    def made(source: dict[str, str], careful: list[str], units: Units) -> str:
        from sim.show.report.explained import explain_page

        return explain_page(design.name, found, source, careful, units)

    show_report(args, design, page, made)
    return ANSWERED


def _said(design: Design, texts: list[str]) -> list[Statement]:
    """What was seen, read."""
    out = statements(design, texts)
    signals = sum(len(statement.pulls) or 1 for statement in out)
    if signals > MOST_SAID:
        raise InputError(
            f"this says {signals} things, each speed and tie-on point counted, and {MOST_SAID} is the most; say at "
            "which speed and from where, or leave out what went as predicted"
        )
    return out


def arguments(sub: argparse.ArgumentParser) -> None:
    """Options of `explain`."""
    design_arguments(sub)
    sub.add_argument(
        "seen", nargs="+", metavar='"WORDS"',
        help='what was seen or measured, one thing each, as in "sank" "rolled over at 0.6 m/s from nose"',
    )  # fmt: skip
    sub.add_argument("--workers", metavar="N", help="processes to run on (default: one for each core)")
    report_argument(sub)


COMMANDS = (
    Command(
        "explain",
        "what could be otherwise than the file says, from what was seen at the water",
        'drytank explain lure.toml "sank" "landed tail first"',
        arguments,
        run,
    ),
)
