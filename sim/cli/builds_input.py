"""What the commands that try many builds are given, checked; and the builds tried, with a bar."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from sim.cli.common import InputError, say_if_compiling, statements
from sim.cli.study_input import PARTS, build_all, count, text_of, told_to_the_user, unwritten, workers_given

if TYPE_CHECKING:
    from sim.design.model import Design
    from sim.studies.engine import Outcome
    from sim.studies.looks import Looks
    from sim.studies.monte_carlo.ensemble import Builds, Ensemble
    from sim.studies.statements import Statement

LEAST_BUILDS, MOST_BUILDS = 16, 1 << 16
CHEAP = ("budget", "float")  # a build of these takes a millisecond or two: no process is worth its start


def builds_arguments(sub: argparse.ArgumentParser) -> None:
    """What to ask of the builds, and how they are drawn and run."""
    sub.add_argument(
        "--about", action="append", metavar='"WORDS"',
        help='the question that matters, as in "wakes at 0.4 m/s from nose"; may be given again',
    )  # fmt: skip
    sub.add_argument(
        "--only",
        metavar="LIST",
        help=f"only these parts of a trial: any of {', '.join(PARTS)} (default: all)",
    )
    sub.add_argument("--builds", metavar="N", help=f"just so many builds, {LEAST_BUILDS} or more")
    sub.add_argument(
        "--no-model", action="store_true", help="take the model as right: only what you measure is in doubt"
    )
    sub.add_argument("--seed", default="1", metavar="N", help="start of the draws (default: 1)")
    sub.add_argument("--workers", metavar="N", help="processes to run on (default: one for each core)")


def about(args: argparse.Namespace, design: Design) -> list[Statement]:
    """The maker's own questions."""
    return statements(design, args.about or (), "--about")


def parts_only(args: argparse.Namespace) -> tuple[str, ...]:
    """The parts of a trial that are looked at."""
    if args.only is None:
        return PARTS
    asked = [part.strip() for part in args.only.split(",")]
    for part in asked:
        if part not in PARTS:
            raise InputError(
                f"--only {args.only}: there is no part {part!r} of a trial; write any of {', '.join(PARTS)}, "
                "as in --only budget,float"
            )
    return tuple(part for part in PARTS if part in asked)


def looks_of(design: Design, parts: Sequence[str], asked: Sequence[Statement], pulls: bool = True) -> Looks:
    """What is looked at in each build: these parts, and all that the questions need.

    Args:
        pulls: every pull of the design, if retrieves are among the parts; else those of the questions.
    """
    from sim.studies.looks import Looks, together, whole

    still = tuple(part for part in parts if part != "retrieve")
    every = whole(design).pulls if "retrieve" in parts and pulls else ()
    return together([Looks(still, every), *(one.looks() for one in asked)])


def number_of_builds(args: argparse.Namespace) -> int | None:
    """`--builds`."""
    return None if args.builds is None else count(args.builds, "--builds", LEAST_BUILDS, MOST_BUILDS)


def is_cheap(looks: Looks) -> bool:
    """Whether weight and rest are all that is asked."""
    return not looks.pulls and set(looks.parts) <= set(CHEAP)


def prepared(args: argparse.Namespace, design: Design, looks: Looks) -> Builds:
    """The builds to be tried; what cannot be built as it is written is refused."""
    from sim.studies.monte_carlo.ensemble import Builds, touching
    from sim.studies.priors import priors

    build_all([args.file], [design])
    seed = count(args.seed, "--seed", 0, 2**32 - 1)
    inputs = touching(priors(design, model=not args.no_model), looks)
    if not inputs:
        raise InputError(
            f"{args.file}: nothing of what is asked is in doubt; write +- after a value, as in "
            '"18.4 +- 0.2 g", or ask for more with --only'
        )
    return Builds(text_of(args.file), design, inputs, looks, seed)


def tried(
    args: argparse.Namespace,
    work: Builds,
    most: int,
    enough: Callable[[Ensemble], bool] = lambda _: False,
    table: Path | None = None,
) -> Ensemble:
    """The builds tried, with a bar on a terminal; rows to `table`, resumed if it is there."""
    from sim.show.progress import followed
    from sim.studies.engine import default_workers
    from sim.studies.monte_carlo import rows
    from sim.studies.record import RecordError

    workers = workers_given(args) or (1 if is_cheap(work.looks) else default_workers(most))
    say_if_compiling()
    add: Callable[[Outcome], None] = _forget
    file = None
    if table:
        try:
            file = rows.opened(work, table, Path(args.file).name, over=args.force)
        except RecordError as problem:
            raise InputError(f"-o {problem}.") from problem
        except (OSError, ValueError) as problem:
            raise InputError(unwritten("-o", table, problem)) from problem
        add = rows.adder(work, file)
        if file.done:
            print(f"{len(file.done)} builds are in {table} already.", file=sys.stderr)
    before = len(work.found)
    try:
        with told_to_the_user():
            runs = work.run(most, enough, workers=workers, on_outcome=add)
            for _ in followed("Trying builds", runs, most + 1, sys.stderr, before):
                pass
        if file:
            file.finish()
    except OSError as problem:
        if table is None:
            raise
        raise InputError(
            f"{unwritten('-o', table, problem)} The same command goes on from there."
        ) from problem
    finally:
        if file:
            file.close()
    return work.ensemble()


def _forget(outcome: Outcome) -> None:
    """What becomes of an outcome that no file wants."""
