"""`windows`: the line speeds at which a lure does what."""

from __future__ import annotations

import argparse

from sim.cli.common import (
    ANSWERED,
    GAVE_UP,
    Command,
    InputError,
    as_json,
    design_arguments,
    load_design,
    look_for,
    quantity,
    report_argument,
    report_asked,
    say_if_compiling,
    sources,
    tie_on_argument,
    write_report,
)

LOW, HIGH = "0.2 m/s", "2 m/s"


def run(args: argparse.Namespace) -> int:
    """Find the windows and show them."""
    from sim.design.quantities import ForwardSpeed

    target = report_asked(args)
    design = load_design(args.file)
    low = quantity(args.slowest, ForwardSpeed, "--from")
    high = quantity(args.fastest, ForwardSpeed, "--to")
    if low >= high:
        raise InputError(
            f"--from {args.slowest} is not below --to {args.fastest}. Write the slower speed first, as in "
            f'--from "{LOW}" --to "{HIGH}".'
        )
    names = args.tie_on or list(design.tie_on)
    for name in names:
        if name not in design.tie_on:
            raise InputError(
                f"--tie-on {name}: {args.file} has no tie-on point of that name. It has: "
                f"{', '.join(design.tie_on)}."
            )
    say_if_compiling()

    from sim import __version__
    from sim.lure import BuildError, build
    from sim.show.speed_bars import windows as page
    from sim.studies.windows import SHARE, WindowsResult, windows
    from sim.trials.results import Behaviour

    try:
        lure = build(design, with_hulls=False)
    except BuildError as problem:
        raise InputError(f"{args.file}: {problem}") from problem
    found = [windows(design, lure, name, low, high, both_ways=not args.one_way) for name in names]
    result = WindowsResult(low_m_s=low, high_m_s=high, share=SHARE, tie_ons=found)
    if args.json:
        print(as_json({"design": design.name, "version": __version__, "windows": result}))
    else:
        print(page(design.name, result, look_for(args)))
    if target:
        from sim.show.report.studies import windows_page
        from sim.trials.cautions import cautions

        units = look_for(args).units
        ends = f"{units.text('speed', low)} to {units.text('speed', high)}"
        ways = "only speeding up" if args.one_way else "speeding up, and slowing down past each edge"
        given = [("Tied at", ", ".join(names)), ("Line speed", ends), ("Looked at", ways)]
        care = cautions(design)
        write_report(target, windows_page(design.name, result, given, sources([args.file]), care, units))
    unknown = any(w.behaviour is Behaviour.UNKNOWN for point in found for w in point.windows)
    return GAVE_UP if unknown else ANSWERED


def _arguments(sub: argparse.ArgumentParser) -> None:
    design_arguments(sub)
    tie_on_argument(sub)
    sub.add_argument(
        "--from", dest="slowest", default=LOW, metavar=f'"{LOW}"', help=f"slowest speed (default: {LOW})"
    )
    sub.add_argument(
        "--to", dest="fastest", default=HIGH, metavar=f'"{HIGH}"', help=f"fastest speed (default: {HIGH})"
    )
    sub.add_argument(
        "--one-way", action="store_true",
        help="do not look at the edges slowing down, which takes half as long",
    )  # fmt: skip
    report_argument(sub)


COMMANDS = (
    Command(
        "windows",
        "the speeds at which it does what, from each tie-on point",
        'drytank windows lure.toml --from "0.2 m/s" --to "1.5 m/s"',
        _arguments,
        run,
    ),
)
