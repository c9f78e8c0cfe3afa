"""The words of the command line: commands, options and help. `docs/reference` is generated from here too."""

from __future__ import annotations

import argparse
from typing import NamedTuple

from sim import __version__


class Command(NamedTuple):
    """One command as a maker reads it."""

    name: str
    does: str
    example: str


COMMANDS = (
    Command("trial", "ask everything: one screen, verdict first", "drytank trial lure.toml"),
    Command(
        "budget", "weights and volumes: does it float, by how much", "drytank budget lure.toml --units us"
    ),
    Command("float", "how it sits at rest, with a small side view", "drytank float lure.toml"),
    Command("drop", "how it sinks or rises when let go", "drytank drop lure.toml"),
    Command("cast", "how far it flies and how it lands", "drytank cast lure.toml --json"),
    Command(
        "retrieve", "what it does when pulled", 'drytank retrieve lure.toml --tie-on nose --speed "0.6 m/s"'
    ),
    Command("new", "write a commented design file to start from", "drytank new lure.toml"),
)
NEW_FILE = "lure.toml"

STATUS = "0 answered, 2 something to put right in the input, 3 the solver gave up"


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    examples = "\n".join(f"  {command.example}" for command in COMMANDS)
    root = argparse.ArgumentParser(
        prog="drytank",
        description="The test tank without the water: what a lure will do, from one design file.",
        epilog=f"examples:\n{examples}\n\nexit status:\n  {STATUS}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    root.add_argument("--version", action="version", version=f"drytank {__version__}")
    commands = root.add_subparsers(dest="command", metavar="COMMAND", required=True, title="commands")
    for command in COMMANDS:
        sub = commands.add_parser(
            command.name,
            help=command.does,
            description=f"{command.does[0].upper()}{command.does[1:]}.",
            epilog=f"example:\n  {command.example}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        if command.name == "new":
            sub.add_argument(
                "file", nargs="?", default=NEW_FILE, metavar="FILE",
                help=f"where to write it; {NEW_FILE} if left out, - for the screen",
            )  # fmt: skip
            sub.add_argument("--force", action="store_true", help="write over a file that is there already")
            continue
        sub.add_argument("file", metavar="FILE", help="the design file")
        sub.add_argument(
            "--units", choices=("metric", "us"), default="metric", help="units of the text (default: metric)"
        )
        sub.add_argument("--json", action="store_true", help="the answer as JSON, for programs")
        if command.name == "retrieve":
            sub.add_argument(
                "--tie-on", action="append", metavar="NAME",
                help="only from this point; may be given again (default: every point in the file)",
            )  # fmt: skip
            sub.add_argument(
                "--speed", action="append", metavar='"0.6 m/s"',
                help="at this speed; may be given again (default: the speeds in the file)",
            )  # fmt: skip
    return root
