"""How a command ends: its exit status, and what stops it on the way."""

from __future__ import annotations

ANSWERED, FAULT, BAD_INPUT, GAVE_UP, INTERRUPTED = 0, 1, 2, 3, 130

STATUS = "0 answered, 2 something to put right in the input, 3 the solver gave up"


class InputError(Exception):
    """Input that cannot be used; the message says what to do about it."""


class Stopped(KeyboardInterrupt):
    """Interrupted by the user; the message says what is kept and how to go on."""
