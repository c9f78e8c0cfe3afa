"""Read a design file. Whatever is in it, what comes back is a `Design` or a `DesignError` that says all."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from sim.design.checks import check
from sim.design.doubts import warnings
from sim.design.expand import expand
from sim.design.lines import key_lines, line_of
from sim.design.model import Design
from sim.design.problems import DesignError, DesignProblem, Finding, nearest, printable
from sim.design.syntax import TomlError, tables
from sim.design.validation_messages import explain_all
from sim.message import Message

__all__ = ["DesignError", "DesignProblem", "load", "read", "warnings"]

LARGEST_FILE = 1_000_000  # bytes
MOST_PROBLEMS = 50  # put into words at once
MOST_TOLD = 4  # files that are named where one is missing
LONGEST_NAME = 200  # characters of a file's name that a message repeats
LONGEST_MESSAGE = 1000


def load(path: str | Path) -> Design:
    """Read and check the design file at `path`.

    Raises:
        DesignError: with every problem found.
    """
    name = printable(str(path), LONGEST_NAME)
    return read(text_of_file(Path(path), name), name, Path(path).parent)


def read(text: str, name: str, folder: Path = Path()) -> Design:
    """Read and check a design's text.

    Args:
        name: stands for the file in messages.
        folder: where the files that the design names are; in what comes back they are paths from here.

    Raises:
        DesignError: with every problem found.
    """
    if not text.strip("\ufeff \t\r\n"):
        raise _whole_file(name, "this file is empty; `drytank new FILE` writes one to start from")
    try:
        raw = tables(text)
    except TomlError as fault:
        raise DesignError([DesignProblem(name, fault.line, "", fault.given, str(fault))]) from fault
    try:
        design = Design.model_validate(raw)
    except ValidationError as error:
        errors = error.errors(include_url=False)
        findings = explain_all(errors[:MOST_PROBLEMS])
        findings += _of_sound_parts(raw, [tuple(e["loc"]) for e in errors], folder)
        raise DesignError(_placed(findings, text, name, len(errors) - MOST_PROBLEMS)) from error
    design, wrong = expand(_found_from(folder, design))
    wrong += check(design)
    if wrong:
        raise DesignError(_placed(wrong, text, name))
    return design


def _found_from(folder: Path, design: Design) -> Design:
    """The design with its files' names turned into paths from the working folder."""
    bodies = {
        name: body if body.file is None else body.model_copy(update={"file": str(folder / body.file)})
        for name, body in design.body.items()
    }
    return design.model_copy(update={"body": bodies})


def rooted(text: str, folder: Path) -> str:
    """A sound design's text with the files that it names told from the root, to be read anywhere."""
    for body in tables(text).get("body", {}).values():
        file = body.get("file")
        if file is not None:
            told = json.dumps(str((folder / file).resolve())).replace("\\", "\\\\")
            text = re.sub(rf"(\bfile\s*=\s*)([\"']){re.escape(file)}\2", rf"\g<1>{told}", text)
    return text


def _placed(findings: Iterable[Finding], text: str, name: str, more: int = 0) -> list[DesignProblem]:
    """Findings with their lines, in the order of the file."""
    found = key_lines(text)
    problems = []
    for finding in findings:
        key = ".".join(printable(str(step)) for step in finding.path)
        message = finding.message
        if not isinstance(message, Message):
            message = printable(message, LONGEST_MESSAGE)
        problems.append(DesignProblem(name, line_of(finding.path, found), key, finding.value, message))
    problems.sort(key=lambda problem: problem.line or 0)
    if more > 0:
        problems.append(DesignProblem(name, None, "", "", f"and {more} more problems; mend these first"))
    return problems


def _of_sound_parts(raw: dict[str, Any], broken: list[tuple[str | int, ...]], folder: Path) -> list[Finding]:
    """Findings on the parts that could be read, so that they come in one go with the rest.

    Of a broken section, the parts or values that are sound stay.
    """
    sections = {str(path[0]) for path in broken}
    left_out = {path[:2] for path in broken}
    sound: dict[str, Any] = {"name": "lure"}
    for key, value in raw.items():
        if key not in sections:
            sound[key] = value
        elif key in Design.model_fields and isinstance(value, dict):
            sound[key] = {name: part for name, part in value.items() if (key, name) not in left_out}
    try:
        design, wrong = expand(_found_from(folder, Design.model_validate(sound)))
    except ValidationError:
        return []
    misspelt = not sections <= set(Design.model_fields)  # it may be any section
    return wrong + list(check(design, set(Design.model_fields) if misspelt else sections))


def text_of_file(path: Path, name: str) -> str:
    """The text of a design file or a log.

    Raises:
        DesignError: it is not there, not text, or too large.
    """
    try:
        if path.is_dir():
            raise _whole_file(
                name, f"this is a folder; name a file in it, as in {path.name or name}/lure.toml"
            )
        if not path.exists():
            raise _whole_file(name, _missing(path))
        if not path.is_file():
            raise _whole_file(name, "this is not an ordinary file; give the name of a design file")
        with path.open("rb") as file:
            data = file.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        reason = printable(getattr(error, "strerror", None) or str(error))
        raise _whole_file(
            name, f"this cannot be read ({reason}); check its name and who may read it"
        ) from error
    if len(data) > LARGEST_FILE:
        raise _whole_file(name, "this is larger than 1 MB; a design is a short text: is it the right file?")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        message = (
            f"this is not UTF-8 text (byte {data[error.start]:#04x}); save it as UTF-8 in your text editor, "
            "or start anew with `drytank new FILE`"
        )
        raise DesignError([DesignProblem(name, line, "", "", message)]) from error


def text_as_written(path: str | Path) -> str:
    """The text of a design file that has been read already, its line ends as they are, without a byte order mark.

    Raises:
        DesignError: it can no longer be read.
    """
    return text_of_file(Path(path), printable(str(path), LONGEST_NAME))


def _missing(path: Path) -> str:
    """What to say of a file that is not there: the one meant, if the folder holds one like it."""
    text = "there is no such file"
    try:
        others = sorted(other.name for other in path.parent.glob("*.toml"))
        folder = path.parent.is_dir()
    except (OSError, ValueError):
        others, folder = [], True
    near = nearest(path.name, others)
    if near:
        return f"{text}; did you mean {printable(str(path.with_name(near)), LONGEST_NAME)}?"
    if not folder:
        return f"{text}, and no folder {printable(str(path.parent), LONGEST_NAME)}"
    there = [printable(name, LONGEST_NAME) for name in others if not name.endswith(".log.toml")]
    beside = f"; its folder has {', '.join(there[:MOST_TOLD])}" if there else ""
    if len(there) > MOST_TOLD:
        beside += f" and {len(there) - MOST_TOLD} more"
    if path.suffix.lower() != ".toml":
        return f"{text}{beside}; name a design file, which ends in .toml"
    return f"{text}{beside}; `drytank new {printable(str(path), LONGEST_NAME)}` writes one to start from"


def _whole_file(name: str, message: str) -> DesignError:
    return DesignError([DesignProblem(name, None, "", "", message)])
