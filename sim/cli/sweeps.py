"""`map` and `vary`: one design with keys of it changed over ranges, and the rows that come of it."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Collection
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli.comparison import pulls
from sim.cli.designs import no_twice, parameter, text_of, warn_if_measured
from sim.cli.errors import InputError
from sim.cli.files import ROWS
from sim.cli.options import (
    CLUSTER,
    FILE,
    FORCE,
    ONE_TIE_ON,
    ONLY,
    SEED,
    SPEED,
    TIE_ON,
    WORKERS,
    many,
    option,
    whole,
)
from sim.cli.runner import Answer, Command, always, follow
from sim.cli.workers import resumable, where_to_run

if TYPE_CHECKING:
    from sim.design.model import Design
    from sim.show.document import Document
    from sim.show.units import Units
    from sim.studies.parameters import Parameter
    from sim.studies.plan import Plan

MOST_RUNS = 1_000_000


# ---- map ----------------------------------------------------------------------------------------------


def prepare_map(args: argparse.Namespace) -> None:
    """The values that stay, those across and upward if they are given, and the speeds."""
    design = args.design
    _some_point(args)
    args.tie_on = args.tie_on or next(iter(design.tie_on))
    if bool(args.x) != bool(args.y):
        raise InputError("--x and --y go together; give both, or neither for a map of tie-on points")
    args.fixed = [_one_value(design, text) for text in args.set]
    axes = [_ranged(design, text, f"--{name}", steps)
            for name, text, steps in (("x", args.x, args.grid[0]), ("y", args.y, args.grid[1])) if text]  # fmt: skip
    no_twice("--x, --y and --set", [*args.fixed, *axes])
    args.axes = axes
    over_speed = "speed" in [axis.path for axis in axes]
    if over_speed and args.speed:
        raise InputError("--speed and a speed as an axis exclude each other; give one of them")
    speeds = design.retrieve.speeds
    args.speed = [0.0] if over_speed else args.speed or [speeds[len(speeds) // 2].value]


def draw_map(args: argparse.Namespace) -> Answer:
    """Behaviours over where the line is tied, or over any two numbers."""
    from sim.show.layout import clean
    from sim.show.pages.maps import behaviours
    from sim.studies import maps, record
    from sim.studies.plan import Plan

    design, lure, tie_on = args.design, args.lure, args.tie_on
    x, y = args.axes or maps.rectangle(design, lure, tie_on, *args.grid)
    no_twice("--x, --y and --set", [*args.fixed, x, y])
    warn_if_measured(design, [x, y])
    plan = Plan("map", text_of(args.file), (*args.fixed, x, y), tie_ons=(tie_on,), speeds=tuple(args.speed))
    none = set() if args.axes else maps.no_places(plan, design)
    if len(none) == plan.total:
        raise InputError(
            f"no place of --grid {args.grid[0]}x{args.grid[1]} is one for an eye; give a finer one"
        )
    rows = _carry_out(args, plan, none)
    found = maps.drawn(plan, record.each(args.output) if args.output else rows, none)
    what = f", tied at {tie_on}" if args.x else f": where the tie-on point {tie_on} is put"
    title = clean(f"{design.name}{what}")

    def figure(_: Units) -> Any:
        from sim.show import study_figures

        return study_figures.behaviour_map(found, title, lure)

    def page(units: Units) -> Document:
        asked = [*_about(plan), *pulls([tie_on], [speed for speed in args.speed if speed], units)]
        return behaviours(title, found, units, lure, asked)

    return Answer(_map_as_data(found), page=page, figure=figure)


def _map_as_data(found: Any) -> dict[str, Any]:
    axes = {
        key: {"path": axis.path, "unit": axis.unit, "values": values}
        for key, axis, values in (("x", found.x, found.xs), ("y", found.y, found.ys))
    }
    panels = [
        {"speed_m_s": panel.speed or None, "behaviours": panel.behaviours, "depths_m": panel.depths.tolist()}
        for panel in found.panels
    ]
    return {"tie_on": found.tie_on, **axes, "panels": panels}


# ---- vary ---------------------------------------------------------------------------------------------


def prepare_vary(args: argparse.Namespace) -> None:
    """The parameters and the speeds."""
    design = args.design
    if not (args.vary or args.set):
        raise InputError(
            "there is nothing to vary; say what and between which ends: --vary lip.angle=30deg..60deg"
        )
    args.changed = [parameter(design, text, "--vary", args.steps) for text in args.vary]
    args.fixed = [parameter(design, text, "--set", args.steps) for text in args.set]
    no_twice("--vary and --set", [*args.changed, *args.fixed])
    warn_if_measured(design, [*args.changed, *args.fixed])
    _some_point(args)
    args.over_speed = any(p.path == "speed" for p in args.changed)
    if args.speed and args.over_speed:
        raise InputError("--speed and --vary speed=... exclude each other; give one of them")
    args.speed = args.speed or [speed.value for speed in design.retrieve.speeds]


def vary(args: argparse.Namespace) -> Answer:
    """Any number of parameters, to a file of rows."""
    from sim.show.pages.varied import varied
    from sim.studies import record
    from sim.studies.plan import Plan

    plan = Plan(
        "vary", text_of(args.file), (*args.changed, *args.fixed), args.only,
        tuple(args.tie_on or args.design.tie_on), tuple(args.speed), args.count, args.sampling, args.seed,
    )  # fmt: skip
    table = args.output
    if args.count is not None:
        print(f"Seed {args.seed}.", file=sys.stderr)
    _carry_out(args, plan)

    def page(units: Units) -> Document:
        speeds = args.speed if plan.pulls and not args.over_speed else ()
        asked = [*_about(plan), *pulls(plan.tie_ons if plan.pulls else (), speeds, units)]
        title = f"{args.design.name}: {', '.join(p.written for p in plan.parameters if len(p) > 1)} varied"
        return varied(title, plan, lambda: record.each(table), str(table), units, asked)

    return Answer(page=page)


def _about(plan: Plan) -> list[tuple[str, str]]:
    """A plan in words: what and its value."""
    rows = [line.partition(": ") for line in plan.about()]
    return [
        (what[0].upper() + what[1:] if what in ("samples", "cases") else what, value)
        for what, _, value in rows
    ]


# ---- what they share ----------------------------------------------------------------------------------


def _carry_out(args: argparse.Namespace, plan: Plan, none: Collection[int] = ()) -> list[Any]:
    """Run a plan with a bar, but for the cases numbered in `none`: rows to the table if one is asked for, and
    otherwise returned.

    Raises:
        Stopped: interrupted; a table goes on from there when the same command is given again.
    """
    from sim.studies import vary as varying

    if plan.total > MOST_RUNS:
        raise InputError(
            f"these are {plan.total} runs and {MOST_RUNS} the most; give fewer values, or --count to `vary`"
        )
    kept: list[Any] = []
    total = plan.total - len(none)
    with resumable(
        args,
        lambda path: varying.opened(plan, path, Path(args.file).name, over=args.force),
        f"of {total} runs",
    ) as record:
        before = len(record.done.difference(none)) if record else 0
        rest = total - before
        if before:
            left = f"; running the other {rest}" if rest else ", which is all"
            print(f"{before} of {total} runs are in {args.output} already{left}.", file=sys.stderr)
        with (
            where_to_run(args, rest) as (executor, count),
            closing(varying.carried_out(plan, record, executor, count, none)) as rows,
        ):
            follow("Running", rows if record else map(kept.append, rows), total, before)
    return kept


def _some_point(args: argparse.Namespace) -> None:
    if not args.design.tie_on:
        raise InputError(f"{args.file}: there is no tie-on point to pull from; add one, as in [tie_on.nose]")


def _ranged(design: Design, text: str, flag: str, steps: int) -> Parameter:
    found = parameter(design, text, flag, steps)
    if not (found.ranges or (len(found) > 1 and found.unit)):
        raise InputError(f"{flag} {text}: give a range, as in lip.angle=30deg..60deg")
    return found


def _one_value(design: Design, text: str) -> Parameter:
    found = parameter(design, text, "--set")
    if found.ranges or len(found) > 1:
        raise InputError(f"--set {text}: one value here; the two that change are --x and --y")
    return found


def _grid(text: str, flag: str) -> tuple[int, int]:
    across, by, upward = text.lower().partition("x")
    try:
        sizes = int(across), int(upward)
    except ValueError:
        sizes = (0, 0)
    if not by or not all(2 <= size <= 200 for size in sizes):
        raise InputError(f"{flag} {text}: write columns x rows, each from 2 to 200, as in {flag} 16x10")
    return sizes


COMMANDS = (
    Command(
        "map", "what it does, over where the line is tied or any two numbers",
        "drytank map lure.toml --figure map.svg",
        (
            FILE,
            ONE_TIE_ON.but(help="the point to move (default: the first in the file)"),
            SPEED.but(help="at this speed; may be given again (default: the middle one in the file)"),
            option("--x", "PATH=A..B", "what changes across (default: the tie-on point, back from the nose)"),
            option("--y", "PATH=A..B", "what changes upward (default: the tie-on point, up)"),
            option("--grid", "NxM", "columns and rows (default: 16x10)", default="16x10", read=_grid),
            many("--set", "PATH=A", "change this for all runs, as in duration=6s"),
            ROWS, FORCE, WORKERS, CLUSTER,
        ),
        draw_map, prepare_map, builds=True, compiles=always, report=True, figure="the map",
    ),
    Command(
        "vary", "any number of changes, every combination or a sample, to a file",
        "drytank vary lure.toml --vary lip.angle=30deg..60deg -o angles.csv",
        (
            FILE,
            many("--vary", "PATH=A..B",
                 help="a range or a list of values; may be given again. speed=A..B is the line speed"),
            many("--set", "PATH=A,B", "the same, for values that are listed"),
            option("--steps", "N", default="5", read=whole(2, 1000),
                   help="values of each range in the full grid (default: 5)"),
            option("--count", "N", "so many combinations spread evenly, not the full grid", read=whole(1, MOST_RUNS)),
            option("--sampling", choices=("sobol", "latin"), default="sobol",
                   help="how they are spread: Sobol's sequence or a Latin hypercube (default: sobol)"),
            SEED,
            ONLY.but(default="budget,retrieve", help=ONLY.settings["help"].replace("all)", "budget,retrieve)")),
            TIE_ON, SPEED,
            ROWS.but(required=True),
            FORCE, WORKERS, CLUSTER,
        ),
        vary, prepare_vary, builds=True, compiles=always, report=True, json=False,
    ),
)  # fmt: skip
