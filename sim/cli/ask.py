"""The commands that answer one question about one design, and `trial`, which asks them all."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any

from sim.cli.common import (
    ANSWERED,
    GAVE_UP,
    Command,
    InputError,
    as_json,
    design_arguments,
    load_design,
    look_again,
    look_for,
    quantity,
    say_if_compiling,
    tie_on_argument,
)

if TYPE_CHECKING:
    from sim.design.model import Design
    from sim.show.document import Document
    from sim.show.layout import Look
    from sim.trials.results import TrialResult

_COMPILES = {"drop", "cast", "retrieve", "trial"}


def run(args: argparse.Namespace) -> int:
    """Load, ask, show."""
    design = load_design(args.file)
    narrowed = _narrowed(args, design) if args.command == "retrieve" else {}
    if args.command in _COMPILES:
        say_if_compiling()

    from sim import __version__
    from sim.lure import BuildError
    from sim.show.writers import text

    try:
        result, page = _ask(args.command, design, look_for(args), narrowed, args.file)
    except BuildError as problem:
        raise InputError(f"{args.file}: {problem}") from problem
    if args.json:
        alone = {"design": design.name, "version": __version__, args.command: result}
        print(as_json(result if args.command == "trial" else alone))
    else:
        print(text.write(page(), look_for(args)))
    if _gave_up(args.command, result):
        print("The solver gave up on part of this; the answer says what was reached.", file=sys.stderr)
        return GAVE_UP
    return ANSWERED


def _ask(
    command: str,
    design: Design,
    look: Look,
    narrowed: dict[str, Any],
    file: str,
) -> tuple[Any, Callable[[], Document]]:
    """The result of a command, and what makes its page."""
    from sim.show.pages import trials

    name = design.name
    if command == "trial":
        from sim.trials.trial import trial

        whole = trial(design)
        return whole, lambda: trials.trial(whole, look.units, _luck(design, whole, file, look))
    if command == "budget":
        from sim.trials.budget import budget

        weights = budget(design)
        return weights, lambda: trials.budget(name, weights, look.units)

    from sim.design.load import warnings
    from sim.lure import build

    lure = build(design)
    look_again([*warnings(design), *lure.warnings])  # the two answers above carry them inside
    if command == "float":
        from sim.show.side_view import side_view
        from sim.trials.floating import rest

        sits = rest(design, lure)
        return sits, lambda: trials.floating(name, sits, look.units, side_view(lure, sits))
    if command == "drop":
        from sim.trials.drop import drop

        falls = drop(design, lure)
        return falls, lambda: trials.drop(name, falls, look.units)
    if command == "cast":
        from sim.trials.cast import cast

        flies = cast(design, lure)
        return flies, lambda: trials.cast(name, flies, look.units)
    from sim.trials.retrieve import retrieve

    runs = retrieve(design, lure, **narrowed)
    return runs, lambda: trials.retrieve(name, runs, look.units, design.retrieve.duration.value)


def _luck(design: Design, whole: TrialResult, file: str, look: Look) -> str:
    """What of a trial may hang on luck, in a sentence."""
    from sim.show.builds import luck
    from sim.studies.near_threshold import near_an_edge

    return luck(near_an_edge(design, whole), file, look.units)


def _narrowed(args: argparse.Namespace, design: Design) -> dict[str, Any]:
    """Tie-on points, speeds (m/s) and programmes of a retrieve, from the command line or from the file.

    Programmes of the file go before its speeds; what the command line names goes before both.
    """
    for name in args.tie_on or ():
        if name not in design.tie_on:
            known = ", ".join(design.tie_on) or "none"
            raise InputError(
                f"--tie-on {name}: {args.file} has no tie-on point of that name. It has: {known}."
            )
    programmes = list(design.retrieve.programme)
    for name in args.programme or ():
        if name not in programmes:
            there = ", ".join(programmes) or "none; write one under [retrieve.programme.stop_and_go]"
            raise InputError(
                f"--programme {name}: {args.file} has no programme of that name. It has: {there}."
            )
    if args.speed and args.programme:
        raise InputError("--speed is for a steady pull and --programme for one of the file's; leave one out.")
    if args.speed:
        from sim.design.quantities import ForwardSpeed

        speeds = [quantity(text, ForwardSpeed, "--speed") for text in args.speed]
        return {"tie_ons": args.tie_on, "speeds": speeds}
    return {"tie_ons": args.tie_on, "programmes": args.programme or programmes}


def _gave_up(command: str, result: Any) -> bool:
    from sim.trials.results import Ended

    runs: Iterable[Any]
    if command == "trial":
        runs = [result.drop, result.cast, *result.retrieve]
    else:
        runs = result if command == "retrieve" else [result]
    return any(getattr(run, "ended", None) is Ended.GAVE_UP for run in runs)


def _retrieve_arguments(sub: argparse.ArgumentParser) -> None:
    design_arguments(sub)
    tie_on_argument(sub)
    sub.add_argument(
        "--speed", action="append", metavar='"0.6 m/s"',
        help="at this steady speed; may be given again (default: the programmes, or else the speeds, in the file)",
    )  # fmt: skip
    sub.add_argument(
        "--programme", action="append", metavar="NAME",
        help="through this programme of the file; may be given again",
    )  # fmt: skip


COMMANDS = (
    Command(
        "trial", "ask everything: one screen, verdict first", "drytank trial lure.toml", design_arguments, run
    ),
    Command(
        "budget",
        "weights and volumes: does it float, by how much",
        "drytank budget lure.toml --units us",
        design_arguments,
        run,
    ),
    Command(
        "float",
        "how it sits at rest, with a small side view",
        "drytank float lure.toml",
        design_arguments,
        run,
    ),
    Command("drop", "how it sinks or rises when let go", "drytank drop lure.toml", design_arguments, run),
    Command(
        "cast", "how far it flies and how it lands", "drytank cast lure.toml --json", design_arguments, run
    ),
    Command(
        "retrieve",
        "what it does when pulled",
        'drytank retrieve lure.toml --tie-on nose --speed "0.6 m/s"',
        _retrieve_arguments,
        run,
    ),
)
