"""`new`: write a commented design file to start from."""

from __future__ import annotations

import argparse
from pathlib import Path

from sim.cli.errors import InputError
from sim.cli.options import FORCE, option
from sim.cli.runner import Answer, Command
from sim.disk import ordinary, write_whole

NEW_FILE = "lure.toml"


def answer(args: argparse.Namespace) -> Answer:
    """Write the starter, never over a file that is there unless told to."""
    from sim.design.starter import STARTER

    if args.file == "-":
        return Answer(text=lambda _: STARTER.rstrip("\n"))
    path = Path(args.file)
    if ordinary(path).exists() and not args.force:
        raise InputError(
            f"{path} is there already and is left as it is. Give another name, or --force to write over it."
        )
    write_whole(path, STARTER)
    return Answer(
        text=lambda _: (
            f"Wrote {path}. Open it in a text editor, change the values, then run: drytank trial {path}"
        )
    )


COMMANDS = (
    Command(
        "new", "write a commented design file to start from",
        "drytank new lure.toml",
        (
            option("file", "FILE", nargs="?", default=NEW_FILE,
                   help=f"where to write it; {NEW_FILE} if left out, - for the screen"),
            FORCE,
        ),
        answer, json=False, units=False,
    ),
)  # fmt: skip
