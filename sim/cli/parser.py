"""The words of the command line: every command in one parser. `docs/reference` is generated from here."""

from __future__ import annotations

import argparse
from typing import NoReturn

from sim import __version__
from sim.cli import (
    bench,
    calibrate,
    comparison,
    explain,
    log,
    mixing,
    new,
    open,
    pictures,
    random_builds,
    redesign,
    report,
    sheet,
    single_trials,
    speed_windows,
    sweeps,
    water,
)
from sim.cli.errors import STATUS, InputError
from sim.cli.runner import Command

COMMANDS: tuple[Command, ...] = (
    *single_trials.COMMANDS,
    *speed_windows.COMMANDS,
    *report.COMMANDS,
    *sheet.COMMANDS,
    *pictures.COMMANDS,
    *comparison.COMMANDS,
    *sweeps.COMMANDS,
    *random_builds.COMMANDS,
    *explain.COMMANDS,
    *log.COMMANDS,
    *calibrate.COMMANDS,
    *redesign.COMMANDS,
    *bench.COMMANDS,
    *mixing.COMMANDS,
    *water.COMMANDS,
    *new.COMMANDS,
    *open.COMMANDS,
)


class _Parser(argparse.ArgumentParser):
    """Says in a sentence what is missing or too much, with what to write."""

    def error(self, message: str) -> NoReturn:
        """Stop with the message.

        Raises:
            InputError: for what has words of its own; the rest ends as argparse does.
        """
        refusal = self._missing(message) or self._bare(message) or self._too_much(message)
        if refusal:
            raise InputError(refusal)
        super().error(message)

    def _missing(self, message: str) -> str:
        _, found, names = message.partition("the following arguments are required: ")
        example = (self.epilog or "").removeprefix("example:\n").strip()
        if not found or not example.startswith(self.prog):
            return ""
        verb = "are" if ", " in names else "is"
        return f"{self.prog}: {names} {verb} missing; write, for example, {example}"

    def _bare(self, message: str) -> str:
        option, found, _ = message.removeprefix("argument ").partition(": expected one argument")
        action = next((a for a in self._actions if "/".join(a.option_strings) == option), None)
        if not found or action is None:
            return ""
        return f"{option}: nothing follows it; write {option} {action.metavar}: {action.help}"

    def _too_much(self, message: str) -> str:
        _, found, words = message.partition("unrecognized arguments: ")
        if not found:
            return ""
        if words.startswith("-"):
            return (
                f"{words}: there is no such option here; `drytank COMMAND --help` lists those that there are"
            )
        return (
            f"{words}: this is one too many; words that belong together stand in one pair of quotes, as in "
            '"floats with 2 g to spare", and a test of a log is told on its own'
        )


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    examples = "\n".join(f"  {command.example}" for command in COMMANDS)
    root = _Parser(
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
        for option in command.every_option():
            option.add_to(sub)
    return root
