"""`picture` and `csv`: figures and tables of one design, written to a file."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from sim.cli.errors import InputError
from sim.cli.files import File, picture, target
from sim.cli.options import FILE, ONE_SPEED, ONE_TIE_ON, OUTPUT, Option, option, quantity
from sim.cli.runner import Answer, Command

if TYPE_CHECKING:
    from matplotlib.figure import Figure

    from sim.design.model import Design
    from sim.show.tables import DataTable
    from sim.show.units import Units

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
MOTIONS = {
    "drop": ("drop", "drop_strip"), "cast": ("cast", "cast_path"), "depth": ("retrieve", "retrieve_depth"),
    "wobble": ("retrieve", "wobble_trace"), "line": ("retrieve", "line_shape"),
}  # fmt: skip
"""Picture of a motion -> whose motion it is, and the function of `sim.show.figures` that draws it."""

TABLES = {
    "budget": "every part",
    "float": "righting arms",
    "drop": "the motion when let go",
    "cast": "the flight",
    "retrieve": "the motion of one retrieve",
    "runs": "every tie-on point at every speed",
}
AT_REST = ("sits", "weights", "righting", "budget", "float")
EVERY = "0.02 s"


def draw_picture(args: argparse.Namespace) -> Answer:
    """Draw one figure of a design."""
    from sim.show.units import SYSTEMS

    path = args.output or Path(f"{Path(args.file).stem}-{args.kind}.png")
    figure = draw(args.design, args.kind, SYSTEMS[args.units], args.tie_on, args.speed)
    return Answer(files=[File(path, lambda: picture(figure, path))])


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
        from sim.studies.dossier import speed_windows
        from sim.studies.windows import MOST_RUNS, SHARE

        found = speed_windows(design, lure, [tie_on] if tie_on else [], SHARE, MOST_RUNS)
        return figures.speed_windows(figures.bars(found), units)
    from sim.trials.recording import recorded

    trial, function = MOTIONS[kind]
    make: Callable[..., Figure] = getattr(figures, function)
    return make(recorded(design, lure, trial, tie_on, speed), units)


def write_table(args: argparse.Namespace) -> Answer:
    """Write one table of a design."""
    from sim import __version__
    from sim.show import tables

    design, path = args.design, args.output
    table = tabulate(design, args.kind, args.every, args.tie_on, args.speed)
    if path is None:
        sys.stdout.write(tables.to_csv(table))
        return Answer()
    if path.suffix.lower() == ".json":
        text = tables.to_json(table, design=design.name, version=__version__, table=args.kind) + "\n"
    else:
        text = tables.to_csv(table)
    return Answer(files=[File(path, lambda: text, f"It has {len(table.rows)} rows.", _same_table(text))])


def _same_table(text: str) -> Callable[[bytes], bool]:
    """Whether the first bytes of a file are those of this table, whatever numbers it has."""
    head = text.partition("\n")[0] if text[0] != "{" else text.partition('"version"')[0]
    return lambda ends: ends.startswith(head.encode())


def tabulate(design: Design, name: str, every: float, tie_on: str | None, speed: float | None) -> DataTable:
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
    from sim.trials.recording import recorded

    return tables.trajectory(recorded(design, lure, name, tie_on, speed), every)


def _known_kind(args: argparse.Namespace, kind: str | None) -> str | None:
    """Refuse what is not there, or not named at all, with a list of what there is."""
    what, known = {"picture": ("picture", KINDS), "csv": ("table", TABLES)}[args.command]
    if kind in known:
        return kind
    wrong = f"Which {what}? Name one" if kind is None else f"There is no {what} {kind!r}. Name one of these"
    first = next(iter(known))
    width = max(map(len, known)) + 2
    rows = "\n".join(f"  {name:{width}}{does}" for name, does in known.items())
    raise InputError(
        f"{wrong} after the file, as in: drytank {args.command} {args.file or 'lure.toml'} {first}\n{rows}"
    )


def _kind(metavar: str, names: dict[str, str]) -> tuple[Option, Option]:
    """The design file and what is wanted of it; either may be missing, so that the answer lists what there is."""
    listed = "; ".join(f"{name}: {what}" for name, what in names.items())
    return FILE.but(nargs="?"), option("kind", nargs="?", metavar=metavar, check=_known_kind, help=listed)


def _moves(args: argparse.Namespace) -> bool:
    return args.kind not in AT_REST


COMMANDS = (
    Command(
        "picture", "draw a figure: PNG or SVG",
        "drytank picture lure.toml sits -o lure.png",
        (
            *_kind("KIND", KINDS),
            OUTPUT.but(target(".png", ".svg"), help="where to write it, .png or .svg (default: FILE-KIND.png, here)"),
            ONE_TIE_ON, ONE_SPEED,
        ),
        draw_picture, compiles=_moves, json=False,
    ),
    Command(
        "csv", "write a motion or a table for a spreadsheet",
        "drytank csv lure.toml drop -o drop.csv",
        (
            *_kind("TABLE", TABLES),
            OUTPUT.but(target(".csv", ".json"), help="where to write it, .csv or .json (default: CSV on the screen)"),
            ONE_TIE_ON, ONE_SPEED,
            option("--every", f'"{EVERY}"', default=EVERY, read=quantity("Time"),
                   help=f"time from row to row of a motion (default: {EVERY})"),
        ),
        write_table, compiles=_moves, json=False, units=False,
    ),
)  # fmt: skip
