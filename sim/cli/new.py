"""`new`: write a commented design file to start from."""

from __future__ import annotations

import argparse
from pathlib import Path

from sim.cli.common import ANSWERED, Command, InputError

NEW_FILE = "lure.toml"


def run(args: argparse.Namespace) -> int:
    """Write the starter, never over a file that is there unless told to."""
    from sim.design.starter import STARTER

    if args.file == "-":
        print(STARTER, end="")
        return ANSWERED
    path = Path(args.file)
    try:
        with path.open("w" if args.force else "x", encoding="utf-8") as file:
            file.write(STARTER)
    except FileExistsError as problem:
        raise InputError(
            f"{path} is there already and is left as it is. Give another name, or --force to write over it."
        ) from problem
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or problem
        raise InputError(f"{path} could not be written: {reason}.") from problem
    print(f"Wrote {path}. Open it in a text editor, change the values, then run: drytank trial {path}")
    return ANSWERED


def _arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument(
        "file", nargs="?", default=NEW_FILE, metavar="FILE",
        help=f"where to write it; {NEW_FILE} if left out, - for the screen",
    )  # fmt: skip
    sub.add_argument("--force", action="store_true", help="write over a file that is there already")


COMMANDS = (
    Command("new", "write a commented design file to start from", "drytank new lure.toml", _arguments, run),
)
