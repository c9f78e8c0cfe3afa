"""The words of the command line: every command in one parser. `docs/reference` is generated from here."""

from __future__ import annotations

import argparse

from sim import __version__
from sim.cli import (
    advise,
    ask,
    bench,
    calibrate,
    explain,
    log,
    mixing,
    new,
    pictures,
    remedy,
    report,
    sheet,
    studies,
    tolerance,
    water,
    windows,
)
from sim.cli.common import STATUS, Command

COMMANDS: tuple[Command, ...] = (
    *ask.COMMANDS,
    *windows.COMMANDS,
    *report.COMMANDS,
    *sheet.COMMANDS,
    *pictures.COMMANDS,
    *studies.COMMANDS,
    *tolerance.COMMANDS,
    *advise.COMMANDS,
    *explain.COMMANDS,
    *log.COMMANDS,
    *calibrate.COMMANDS,
    *remedy.COMMANDS,
    *bench.COMMANDS,
    *mixing.COMMANDS,
    *water.COMMANDS,
    *new.COMMANDS,
)


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
        command.arguments(sub)
    return root
