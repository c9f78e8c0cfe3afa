"""The command line, thin: read the words, run the command, say what went wrong.

Everything heavy is imported where it is used, so that help and refused files answer at once.
"""

from __future__ import annotations

import errno
import os
import sys
import unicodedata
from collections.abc import Sequence
from contextlib import suppress
from difflib import get_close_matches
from pathlib import Path

from sim.cli.errors import ANSWERED, BAD_INPUT, INTERRUPTED, InputError
from sim.cli.options import RENAMED
from sim.cli.parser import COMMANDS, parser
from sim.cli.runner import Show, run
from sim.disk import DiskError

NO_ROOM = (
    errno.ENOSPC,
    errno.EDQUOT,
    errno.EIO,
    errno.EBADF,
    errno.EFBIG,
)  # of what the answer is written to


def main(argv: Sequence[str] | None = None, show: Show | None = None) -> int:
    """Run one command and return its exit status.

    argv: the words after the program's name; those of the process if left out. show: how an answer is shown, if not
    as it is asked for.
    """
    words = list(sys.argv[1:] if argv is None else argv)
    if sys.stderr is None:  # closed by whoever called; what is said there must not land elsewhere
        sys.stderr = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115
    if sys.stdout is None:
        print("There is nowhere to write the answer to: the standard output is closed.", file=sys.stderr)
        return BAD_INPUT
    for stream in (sys.stdout, sys.stderr):
        with suppress(AttributeError):
            stream.reconfigure(errors="replace")  # type: ignore[union-attr]
    try:
        _expect_plain_words(words)
        _expect_command(words)
        args = parser().parse_args(words)
        status = run(next(command for command in COMMANDS if command.name == args.command), args, show)
        sys.stdout.flush()
        return status
    except (InputError, DiskError) as problem:
        print(problem, file=sys.stderr)
        return BAD_INPUT
    except KeyboardInterrupt as stop:
        print(f"\n{stop}" if str(stop) else "\nStopped before the answer was ready.", file=sys.stderr)
        return INTERRUPTED
    except BrokenPipeError:
        _write_no_more()  # whoever read has gone
        return ANSWERED
    except OSError as problem:
        if problem.errno not in NO_ROOM or problem.filename is not None:
            _own_up()
            raise
        _write_no_more()
        print(f"The answer could not be written: {problem.strerror}.", file=sys.stderr)
        return BAD_INPUT
    except Exception:
        _own_up()
        raise


def _own_up() -> None:
    print(
        "This is a fault in drytank, not in your design. Please report it with the lines below.",
        file=sys.stderr,
    )


def _write_no_more() -> None:
    """Let nothing complain when Python flushes the standard output at the end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _expect_plain_words(words: Sequence[str]) -> None:
    """Refuse control characters, which would drive the terminal from whatever repeats the word."""
    for word in words:
        if any(unicodedata.category(c) == "Cc" and c not in "\t\n" for c in word):
            shown = word.encode("unicode_escape").decode()
            raise InputError(f"{shown}: there is a control character in this; write it without")


def _expect_command(words: Sequence[str]) -> None:
    """Say what is missing where the parser would only list what it knows."""
    names = [command.name for command in COMMANDS]
    if not words:
        raise InputError(parser().format_help().rstrip())
    first = words[0]
    for word in words[1:]:
        before = word.partition("=")[0]
        if now := RENAMED.get((first, before)):
            raise InputError(f"{before} is called {now} now; write {now} instead")
    if first.startswith("-") or first in names:
        return
    if first.lower().endswith(".toml"):
        raise InputError(f"{first!r} is a file, not a command. Did you mean: drytank trial {first}")
    near = get_close_matches(first, names, 1)
    hint = f" Did you mean {near[0]!r}?" if near else ""
    raise InputError(f"{first!r} is not a command.{hint} The commands are: {', '.join(names)}.")
