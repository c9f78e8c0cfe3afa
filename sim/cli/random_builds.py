"""`tolerance` and `advise`: many builds drawn from what is in doubt, what they do, and what to test next."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from sim.cli.designs import statements, text_of
from sim.cli.errors import InputError
from sim.cli.files import ROWS
from sim.cli.options import FILE, FORCE, ONLY, SEED, WORKERS, flag, many, number, option, whole
from sim.cli.runner import Answer, Command, always, follow
from sim.cli.workers import resumable

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from sim.design.model import Design
    from sim.show.units import Units
    from sim.studies.calibration.observations import Observation
    from sim.studies.engine import Outcome
    from sim.studies.ensemble import Builds, Ensemble
    from sim.studies.statements import Statement
    from sim.trials.request import Request

LEAST, MOST = 16, 1 << 16
USUAL, USUAL_CHEAP = 256, 1024  # builds of `tolerance`, unless more are asked for
ADVISED, ADVISED_CHEAP = 128, 1024  # of `advise`
CHEAP = ("budget", "float")  # a build of these takes a millisecond or two, so that
CHEAP_AS_ONE = 64  # of them are worth as much of a process as one of the others


# ---- tolerance ----------------------------------------------------------------------------------------


def prepare_tolerance(args: argparse.Namespace) -> None:
    """What is asked of each build, and how many of them are enough."""
    args.about = statements(args.design, args.about, "--about")
    args.request = request_of(args.design, args.only, args.about)
    if args.count is not None and args.most is not None:
        raise InputError("--count and --most exclude each other: --count is just so many, --most a limit")
    args.most = args.count or args.most or (USUAL_CHEAP if is_cheap(args.request) else USUAL)


def tolerance(args: argparse.Namespace) -> Answer:
    """How many builds do what."""
    from sim.show.pages import builds
    from sim.studies.monte_carlo import tolerance as shares

    design = args.design
    fixed = args.count is not None
    ensemble = tried(args, lambda found: not fixed and shares.widest(found, args.about) <= args.within)
    try:
        result = shares.tolerance(ensemble, args.about, args.within, model=not args.no_model)
    except ValueError as problem:
        why = ensemble.failures[0] if ensemble.failures else ""
        raise InputError(f"{args.file}: {problem}: {why}.") from problem

    def figure(units: Units) -> Figure:
        from sim.show.figures.spread import spread

        return spread(result, units)

    return Answer(
        {"tolerance": result}, page=lambda units: builds.tolerance(design.name, result, units), figure=figure
    )


# ---- advise -------------------------------------------------------------------------------------------


def prepare_advise(args: argparse.Namespace) -> None:
    """What is asked of each build, and how many of them are tried."""
    args.about = statements(args.design, args.about, "--about")
    args.logged = _logged(args)
    args.request = request_of(args.design, args.only, args.about, pulls=not args.about)
    args.most = args.count or (ADVISED_CHEAP if is_cheap(args.request) else ADVISED)


def _logged(args: argparse.Namespace) -> Sequence[Observation]:
    """The readings of the log beside the design; none where there is no log."""
    from sim.design.log import load_log, log_file
    from sim.studies.calibration.observations import readings

    target = log_file(args.file)
    return readings(args.design, load_log(target)) if target.exists() else []


def advise(args: argparse.Namespace) -> Answer:
    """The builds tried, and what to test next."""
    from sim.show.pages import builds, logged
    from sim.studies.calibration.contradictions import contradictions_with
    from sim.studies.monte_carlo import advice
    from sim.studies.monte_carlo.candidates import WATER
    from sim.studies.monte_carlo.tolerance import shares
    from sim.trials.cautions import AT_THE_WATER, told

    design = args.design
    ensemble = tried(args)
    open_ = [
        shares(ensemble, one.question) for one in advice.open_questions(ensemble, args.about) if one.question
    ]
    found = advice.advise(design, ensemble, args.about)
    careful = AT_THE_WATER if any(one.where == WATER for one in found) else ()
    against = contradictions_with(ensemble, args.logged)

    data = {
        "log": len({one.test for one in args.logged}), "contradictions": against,
        "seed": args.seed, "builds": ensemble.builds, "not_built": len(ensemble.failures),
        "model": not args.no_model, "open": open_, "advice": found, "cautions": told(careful),
    }  # fmt: skip
    return Answer(
        data,
        page=lambda units: builds.advice(
            design.name,
            open_,
            found,
            units,
            args.seed,
            told(careful),
            logged.settle_first(against, args.file, units),
        ),
    )


# ---- what they share ----------------------------------------------------------------------------------


def request_of(
    design: Design, parts: Sequence[str], statements: Sequence[Statement], pulls: bool = True
) -> Request:
    """What is looked at in each build: these parts, and all that the questions need.

    Args:
        pulls: every pull of the design, if retrieves are among the parts; else those of the questions.
    """
    from sim.trials.request import Request, together, whole

    still = tuple(part for part in parts if part != "retrieve")
    every = whole(design).pulls if "retrieve" in parts and pulls else ()
    return together([Request(still, every), *(one.request() for one in statements)])


def is_cheap(request: Request) -> bool:
    """Whether weight and rest are all that is asked."""
    return not request.pulls and set(request.parts) <= set(CHEAP)


def prepared(args: argparse.Namespace) -> Builds:
    """The builds to be tried."""
    from sim.design.priors import priors
    from sim.studies.ensemble import Builds, touching

    inputs = touching(priors(args.design, model=not args.no_model), args.request)
    if not inputs:
        raise InputError(
            f"{args.file}: nothing of what is asked is in doubt; write +- after a value, as in "
            '"18.4 +- 0.2 g", or ask for more with --only'
        )
    return Builds(text_of(args.file), args.design, inputs, args.request, args.seed)


def tried(args: argparse.Namespace, enough: Callable[[Ensemble], bool] = lambda _: False) -> Ensemble:
    """The builds tried, with a bar on a terminal; rows to the table if one is asked for, resumed if it is there.

    Raises:
        Stopped: interrupted; a table goes on from there when the same command is given again.
    """
    from sim.studies.engine import default_workers
    from sim.studies.monte_carlo import rows

    work = prepared(args)
    print(f"Seed {work.seed}.", file=sys.stderr)
    worth = args.most // CHEAP_AS_ONE if is_cheap(work.request) else args.most
    workers = args.workers or default_workers(worth)
    with resumable(
        args, lambda path: rows.opened(work, path, Path(args.file).name, over=args.force), "builds"
    ) as record:
        if record and record.done:
            print(f"{len(record.done)} builds are in {args.output} already.", file=sys.stderr)
        before, add = len(work.found), rows.adder(work, record) if record else _forget
        runs = work.run(args.most, enough, workers=workers, on_outcome=add)
        follow("Trying builds", runs, args.most + 1, before)
        if record:
            record.finish()
    return work.ensemble()


def _forget(outcome: Outcome) -> None:
    """What becomes of an outcome that no file wants."""


DRAWS = (
    many("--about", '"WORDS"', 'the question that matters, as in "wakes at 0.4 m/s from nose"; may be given again'),
    ONLY,
    option("--count", "N", f"just so many builds, {LEAST} or more", read=whole(LEAST, MOST)),
    flag("--no-model", "take the model as right: only what you measure is in doubt"),
    SEED,
    WORKERS,
)  # fmt: skip

COMMANDS = (
    Command(
        "tolerance", "how many builds of a hundred do what, and what to measure first",
        "drytank tolerance lure.toml --only budget,float",
        (
            FILE, *DRAWS,
            option("--within", "POINTS", default="5", read=number(0.5, 50.0, "5", "points of a hundred"),
                   help="stop when every share is known to so many of a hundred (default: 5)"),
            option("--most", "N", read=whole(LEAST, MOST),
                   help=f"but after so many builds (default: {USUAL}; of budget and float alone {USUAL_CHEAP})"),
            ROWS.but(help="every build as a row; resumed if it is there"),
            FORCE,
        ),
        tolerance, prepare_tolerance, builds=True, compiles=always,
        report=True, figure="shares and spreads",
    ),
    Command(
        "advise", "the next most useful test, and what it would settle",
        "drytank advise lure.toml --only budget,float",
        (FILE, *DRAWS),
        advise, prepare_advise, builds=True, compiles=always, report=True,
    ),
)  # fmt: skip
