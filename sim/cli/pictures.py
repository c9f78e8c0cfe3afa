"""`picture` and `csv`: figures and tables of one design, written to a file."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from sim.cli.common import ANSWERED, Command, InputError, load_design, quantity, say_if_compiling, write_whole

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from sim.design.model import Design
    from sim.lure.lure import Lure
    from sim.motion.solve import Trajectory
    from sim.show.tables import Table
    from sim.show.units import Units

T = TypeVar("T")

PULLED = ("depth", "wobble", "line")
KINDS = {
    "sits": "how it sits, from the side and from the front, with the waterline",
    "weights": "what pulls down against what holds up",
    "righting": "what brings it back when it is turned",
    "drop": "let go: pictures of it at equal times, each at its depth",
    "cast": "its path through the air",
    "depth": "depth along a retrieve",
    "wobble": "yaw and roll against time",
    "line": "the line in the water",
    "windows": "what it does at which line speed, from every tie-on point; takes a few seconds",
}
TABLES = {
    "budget": "every part",
    "float": "righting arms",
    "drop": "the motion when let go",
    "cast": "the flight",
    "retrieve": "the motion of one retrieve",
    "runs": "every tie-on point at every speed",
}
EVERY = "0.02 s"


def run_picture(args: argparse.Namespace) -> int:
    """Draw one figure of a design."""
    _one_of(KINDS, args.kind, "picture", args.file)
    target = Path(args.output or f"{Path(args.file).stem}-{args.kind}.png")
    if target.suffix.lower() not in (".png", ".svg"):
        raise InputError(f"-o {target}: the name must end in .png or .svg.")
    design, tie_on, speed = _asked(args)
    if args.kind not in ("sits", "weights", "righting"):
        say_if_compiling()

    from sim.show.figures import as_svg
    from sim.show.figures.style import as_png
    from sim.show.units import SYSTEMS

    figure = _built(args.file, lambda: draw(design, args.kind, SYSTEMS[args.units], tie_on, speed))
    if target.suffix.lower() == ".svg":
        write_whole(target, (as_svg(figure) + "\n").encode())
    else:
        write_whole(target, as_png(figure))
    print(f"Wrote {target}.")
    return ANSWERED


def draw(design: Design, kind: str, units: Units, tie_on: str | None, speed: float | None) -> Figure:
    """One of `KINDS`; a retrieve from `tie_on` at `speed` (m/s), or the first of the design."""
    from sim.show import figures

    if kind == "weights":
        from sim.trials.budget import budget

        return figures.weight_budget(budget(design), units)
    from sim.lure import build

    lure = build(design)
    if kind in ("sits", "righting"):
        from sim.trials.floating import rest

        sits = rest(design, lure)
        return (
            figures.how_it_sits(sits, lure, units) if kind == "sits" else figures.righting_arms(sits, units)
        )
    if kind == "windows":
        from sim.show.report.gather import speed_windows
        from sim.studies.windows import MOST_RUNS, SHARE

        found = speed_windows(design, lure, [tie_on] if tie_on else [], SHARE, MOST_RUNS)
        return figures.speed_windows(figures.bars(found), units)
    make = {
        "drop": figures.drop_strip,
        "cast": figures.cast_path,
        "depth": figures.retrieve_depth,
        "wobble": figures.wobble_trace,
        "line": figures.line_shape,
    }[kind]
    return make(_moved(design, lure, "retrieve" if kind in PULLED else kind, tie_on, speed), lure, units)


def run_table(args: argparse.Namespace) -> int:
    """Write one table of a design."""
    _one_of(TABLES, args.table, "csv", args.file)
    ending = Path(args.output).suffix.lower() if args.output else ".csv"
    if ending not in (".csv", ".json"):
        raise InputError(f"-o {args.output}: the name must end in .csv or .json.")
    design, tie_on, speed = _asked(args)
    from sim.design.quantities import Time

    every = quantity(args.every, Time, "--every")
    if args.table not in ("budget", "float"):
        say_if_compiling()

    from sim import __version__
    from sim.show import tables

    table = _built(args.file, lambda: tabulate(design, args.table, every, tie_on, speed))
    if ending == ".json":
        text = tables.to_json(table, design=design.name, version=__version__, table=args.table) + "\n"
    else:
        text = tables.to_csv(table)
    if args.output is None:
        sys.stdout.write(text)
        return ANSWERED
    write_whole(Path(args.output), text.encode())
    print(f"Wrote {args.output}: {len(table.rows)} rows.")
    return ANSWERED


def tabulate(design: Design, name: str, every: float, tie_on: str | None, speed: float | None) -> Table:
    """One of `TABLES`; motions at times `every` seconds apart."""
    from sim.show import tables

    if name == "budget":
        from sim.trials.budget import budget

        return tables.parts(budget(design))
    from sim.lure import build

    lure = build(design)
    if name == "float":
        from sim.trials.floating import rest

        return tables.righting(rest(design, lure))
    if name == "runs":
        from sim.trials.retrieve import retrieve

        speeds = None if speed is None else [speed]
        return tables.runs(retrieve(design, lure, tie_ons=[tie_on] if tie_on else None, speeds=speeds))
    return tables.trajectory(_moved(design, lure, name, tie_on, speed), lure, every)


def _moved(design: Design, lure: Lure, trial: str, tie_on: str | None, speed: float | None) -> Trajectory:
    """The motion of a drop, a cast or a retrieve."""
    from sim.trials import cast, drop, retrieve

    if trial == "drop":
        return drop.run(design, lure)
    if trial == "cast":
        return cast.run(design, lure, tie_on=tie_on)
    point = tie_on or next(iter(design.tie_on))
    return retrieve.run(design, lure, point, speed or design.retrieve.speeds[0].value)


def _asked(args: argparse.Namespace) -> tuple[Design, str | None, float | None]:
    """The design, and the tie-on point and speed (m/s) asked for."""
    design = load_design(args.file)
    if args.tie_on and args.tie_on not in design.tie_on:
        known = ", ".join(design.tie_on)
        raise InputError(
            f"--tie-on {args.tie_on}: {args.file} has no tie-on point of that name. It has: {known}."
        )
    if args.speed is None:
        return design, args.tie_on, None
    from sim.design.quantities import ForwardSpeed

    return design, args.tie_on, quantity(args.speed, ForwardSpeed, "--speed")


def _built(file: str, make: Callable[[], T]) -> T:
    from sim.lure import BuildError

    try:
        return make()
    except BuildError as problem:
        raise InputError(f"{file}: {problem}") from problem


def _options(sub: argparse.ArgumentParser, output: str) -> None:
    sub.add_argument("-o", "--output", metavar="FILE", help=output)
    sub.add_argument(
        "--tie-on",
        metavar="NAME",
        help="tied here, for a cast or a retrieve (default: the first in the file)",
    )
    sub.add_argument(
        "--speed", metavar='"0.6 m/s"', help="pulled at this speed (default: the first in the file)"
    )


def _one_of(known: dict[str, str], asked: str | None, command: str, file: str | None) -> None:
    """Refuse what is not there, or not named at all, with a list of what there is."""
    if asked in known:
        return
    what = {"picture": "picture", "csv": "table"}[command]
    wrong = f"Which {what}? Name one" if asked is None else f"There is no {what} {asked!r}. Name one of these"
    first = next(iter(known))
    width = max(map(len, known)) + 2
    rows = "\n".join(f"  {name:{width}}{does}" for name, does in known.items())
    raise InputError(
        f"{wrong} after the file, as in: drytank {command} {file or 'lure.toml'} {first}\n{rows}"
    )


def _listed(names: dict[str, str]) -> str:
    return "; ".join(f"{name}: {what}" for name, what in names.items())


def _picture_arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("file", metavar="FILE", nargs="?", help="the design file")
    sub.add_argument("kind", metavar="KIND", nargs="?", help=_listed(KINDS))
    _options(sub, "where to write it, .png or .svg (default: FILE-KIND.png, here)")
    sub.add_argument(
        "--units", choices=("metric", "us"), default="metric", help="units of the figure (default: metric)"
    )


def _table_arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("file", metavar="FILE", nargs="?", help="the design file")
    sub.add_argument("table", metavar="TABLE", nargs="?", help=_listed(TABLES))
    _options(sub, "where to write it, .csv or .json (default: CSV on the screen)")
    sub.add_argument(
        "--every",
        metavar=f'"{EVERY}"',
        default=EVERY,
        help=f"time from row to row of a motion (default: {EVERY})",
    )


COMMANDS = (
    Command(
        "picture",
        "draw a figure: PNG or SVG",
        "drytank picture lure.toml sits -o lure.png",
        _picture_arguments,
        run_picture,
    ),
    Command(
        "csv",
        "write a motion or a table for a spreadsheet",
        "drytank csv lure.toml drop -o drop.csv",
        _table_arguments,
        run_table,
    ),
)
