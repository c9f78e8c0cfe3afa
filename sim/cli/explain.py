"""`explain`: why did it do that? What could be otherwise than the file says, from what was observed."""

from __future__ import annotations

import argparse

from sim.cli.designs import statements, text_of
from sim.cli.errors import InputError
from sim.cli.options import FILE, WORKERS, flag, option
from sim.cli.runner import Answer, Command, always, follow

MOST_SIGNALS = 60  # as much as a long day at the water gives


def prepare(args: argparse.Namespace) -> None:
    """The maker's words as statements."""
    args.observed = statements(args.design, args.observed)
    signals = sum(len(statement.pulls) or 1 for statement in args.observed)
    if signals > MOST_SIGNALS:
        raise InputError(
            f"this says {signals} things, each speed and tie-on point counted, and {MOST_SIGNALS} is the most; say at "
            "which speed and from where, or leave out what went as predicted"
        )


def answer(args: argparse.Namespace) -> Answer:
    """Search for causes."""
    from sim.show.pages import explanation as pages
    from sim.studies.diagnosis.diagnose import Explain
    from sim.studies.diagnosis.explanation import explanation
    from sim.studies.engine import default_workers

    name = args.design.name
    search = Explain(text_of(args.file), args.design, args.observed)
    workers = args.workers or default_workers(len(search))
    follow("Looking", search.run(workers=workers), len(search))
    found = explanation(search)

    return Answer(
        {"explanation": found}, page=lambda units: pages.explanation(name, found, units, every=args.all)
    )


COMMANDS = (
    Command(
        "explain", "what could be otherwise than the file says, from what was seen at the water",
        'drytank explain lure.toml "sank" "landed tail first"',
        (
            FILE,
            option("observed", '"WORDS"', nargs="+",
                   help='what was seen or measured, one thing each, as in "sank" "rolled over at 0.6 m/s from nose"'),
            flag("--all", "more than one screen: every cause, what it is not, how sure this is"),
            WORKERS,
        ),
        answer, prepare, builds=True, compiles=always,
        stopped="Stopped. Nothing is kept; say less, and it takes less time.", report=True,
    ),
)  # fmt: skip
