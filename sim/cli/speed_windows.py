"""`windows`: the line speeds at which a lure does what."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from sim.cli.errors import ANSWERED, GAVE_UP, InputError
from sim.cli.options import FILE, TIE_ON, flag, option, quantity
from sim.cli.runner import Answer, Command, always

if TYPE_CHECKING:
    from sim.show.document import Document
    from sim.show.units import Units

LOW, HIGH = "0.2 m/s", "2 m/s"


def answer(args: argparse.Namespace) -> Answer:
    """The windows from each tie-on point."""
    from sim.show.pages.speeds import speeds
    from sim.studies.monte_carlo.few_builds import of_pulls
    from sim.studies.windows import SHARE, WindowsResult, windows
    from sim.trials.results import Behaviour
    from sim.trials.retrieve import retrieve

    design, low, high = args.design, args.slowest, args.fastest
    names = args.tie_on or list(design.tie_on)
    paces = [pace for pace in design.retrieve.paces() if low <= pace <= high]
    pulled = retrieve(design, args.lure, tie_ons=names, speeds=paces) if paces else []
    found = [
        windows(
            design, args.lure, name, low, high, both_ways=not args.one_way,
            known=[run for run in pulled if run.tie_on == name],
        )
        for name in names
    ]  # fmt: skip
    few = of_pulls(design, pulled)
    result = WindowsResult(low_m_s=low, high_m_s=high, share=SHARE, tie_ons=found)

    def page(units: Units) -> Document:
        ends = f"{units.text('speed', low)} to {units.text('speed', high)}"
        ways = "only speeding up" if args.one_way else "speeding up, and slowing down past each edge"
        asked = [("Tied at", ", ".join(names)), ("Line speed", ends), ("Looked at", ways)]
        return speeds(design.name, result, units, asked, few)

    unknown = any(w.behaviour is Behaviour.UNKNOWN for point in found for w in point.windows)
    return Answer(
        {"windows": result},
        page=page,
        status=GAVE_UP if unknown else ANSWERED,
    )


def _below(args: argparse.Namespace, low: float) -> float:
    if low >= args.fastest:
        raise InputError(
            f"--from {low:g} m/s is not below --to {args.fastest:g} m/s. Write the slower speed first, as in "
            f'--from "{LOW}" --to "{HIGH}".'
        )
    return low


COMMANDS = (
    Command(
        "windows", "the speeds at which it does what, from each tie-on point",
        'drytank windows lure.toml --from "0.2 m/s" --to "1.5 m/s"',
        (
            FILE, TIE_ON,
            option("--from", f'"{LOW}"', dest="slowest", default=LOW, read=quantity("ForwardSpeed"), check=_below,
                   help=f"slowest speed (default: {LOW})"),
            option("--to", f'"{HIGH}"', dest="fastest", default=HIGH, read=quantity("ForwardSpeed"),
                   help=f"fastest speed (default: {HIGH})"),
            flag("--one-way", "do not look at the edges slowing down, which takes half as long"),
        ),
        answer, builds=True, compiles=always, report=True,
    ),
)  # fmt: skip
