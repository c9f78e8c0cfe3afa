"""The commands that answer one question about one design, and `trial`, which asks them all."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any

from sim.cli.errors import ANSWERED, GAVE_UP, InputError
from sim.cli.options import FILE, SPEED, TIE_ON, many
from sim.cli.runner import Answer, Command, always, never

if TYPE_CHECKING:
    pass


def answer(args: argparse.Namespace) -> Answer:
    """The result of one trial, or of them all."""
    from sim.show.pages import trials as pages
    from sim.trials.registry import TRIALS

    name, design = args.command, args.design
    lure: Any = getattr(args, "lure", None)
    if name == "trial":
        from sim.show.builds import luck
        from sim.studies.monte_carlo.few_builds import of_few
        from sim.studies.near_threshold import near_an_edge
        from sim.trials.trial import trial

        whole = trial(design)
        near = near_an_edge(whole)
        few = of_few(design, near)
        values = {field.alias or key: getattr(whole, key) for key, field in type(whole).model_fields.items()}
        return Answer(
            {**values, "near_an_edge": near, "shares": few},
            page=lambda units: pages.trial(whole, units, luck(near, few, args.file, units)),
            status=_status([whole.drop, whole.cast, *whole.retrieve]),
        )
    if name == "retrieve":
        from sim.trials.retrieve import retrieve

        runs = retrieve(design, lure, **_narrowed(args))
        duration = design.retrieve.duration.value
        return Answer(
            {name: runs},
            page=lambda units: pages.retrieve(design.name, runs, units, duration),
            status=_status(runs),
        )
    result = TRIALS[name].answer(design, lure)
    if name == "float":
        from sim.show.side_view import side_view

        drawing = side_view(lure, result)
        return Answer({name: result}, page=lambda units: pages.floating(design.name, result, units, drawing))
    page = getattr(pages, name)
    return Answer(
        {name: result}, page=lambda units: page(design.name, result, units), status=_status([result])
    )


def _narrowed(args: argparse.Namespace) -> dict[str, Any]:
    """Tie-on points, speeds (m/s) and programmes of a retrieve, from the command line or from the file.

    Programmes of the file go before its speeds; what the command line names goes before both.
    """
    tie_ons = args.tie_on or None
    if args.speed:
        return {"tie_ons": tie_ons, "speeds": args.speed}
    return {"tie_ons": tie_ons, "programmes": args.programme or list(args.design.retrieve.programme)}


def _known_programmes(args: argparse.Namespace, names: list[str]) -> list[str]:
    programmes = args.design.retrieve.programme
    for name in names:
        if name not in programmes:
            there = ", ".join(programmes) or "none; write one under [retrieve.programme.stop_and_go]"
            raise InputError(
                f"--programme {name}: {args.file} has no programme of that name. It has: {there}."
            )
    if names and args.speed:
        raise InputError("--speed is for a steady pull and --programme for one of the file's; leave one out.")
    return names


def _status(runs: Iterable[Any]) -> int:
    from sim.trials.results import Ended

    return GAVE_UP if any(getattr(run, "ended", None) is Ended.GAVE_UP for run in runs) else ANSWERED


PROGRAMME = many(
    "--programme", "NAME", "through this programme of the file; may be given again", check=_known_programmes
)
PULLED = SPEED.but(help=(
    "at this steady speed; may be given again (default: the programmes, or else the speeds, in the file)"
))  # fmt: skip


def _command(
    name: str,
    does: str,
    more: str = "",
    options: tuple[Any, ...] = (),
    builds: bool = True,
    compiles: Callable[[argparse.Namespace], bool] = always,
) -> Command:
    example = f"drytank {name} lure.toml{more}"
    return Command(name, does, example, (FILE, *options), answer, builds=builds, compiles=compiles)


COMMANDS = (
    _command("trial", "ask everything: one screen, verdict first", builds=False),
    _command("budget", "weights and volumes: does it float, by how much", " --units us", builds=False, compiles=never),
    _command("float", "how it sits at rest, with a small side view"),
    _command("drop", "how it sinks or rises when let go"),
    _command("cast", "how far it flies and how it lands", " --json"),
    _command("retrieve", "what it does when pulled", ' --tie-on nose --speed "0.6 m/s"', (TIE_ON, PULLED, PROGRAMME)),
)  # fmt: skip
