"""Files that the commands write: where they may go, looked at before any work, and written whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from sim.cli.errors import InputError
from sim.cli.options import Read, option

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_MADE_HERE = b'name="generator" content="drytank'


@dataclass(frozen=True)
class File:
    """A file to be written: where, what makes its content, and what to say about it afterwards."""

    path: Path
    content: Callable[[], bytes | str]
    remark: str = ""


def target(*endings: str, otherwise: str = "", new: bool = False) -> Read:
    """Reader of the name of a file to be written: a known ending, in a folder that is there.

    Args:
        otherwise: what to say of other endings, where a word about them helps.
        new: whether nothing may stand there yet.
    """

    def read(text: str, flag: str) -> Path:
        path = Path(text)
        if path.suffix.lower() not in endings:
            raise InputError(
                f"{flag} {text}: end the name in {' or '.join(endings)}, as in {flag} "
                f"{path.stem or 'lure'}{endings[0]}{otherwise and '; '}{otherwise}"
            )
        if not path.parent.is_dir():
            raise InputError(
                f"{flag} {text}: there is no folder {path.parent}; make it first, or name another"
            )
        if path.is_dir():
            raise InputError(f"{flag} {text}: this is a folder; add a file's name to it")
        if new and path.exists():
            raise InputError(f"{flag} {text}: this is there already and is left as it is; give another name")
        return path

    return read


def report_target(text: str, flag: str) -> Path:
    """Where a report goes: a name that ends in .html, never over a file that is not a report.

    Raises:
        InputError: naming the option and what to write instead.
    """
    path = target(".html", ".htm")(text, flag)
    try:
        if path.exists():
            with path.open("rb") as file:
                if _MADE_HERE not in file.read(4096):
                    raise InputError(
                        f"{path} is there already and is no report of drytank; it is left as it is. "
                        f"Give another name with {flag}."
                    )
    except OSError as problem:
        raise InputError(f"{path} cannot be written: {problem.strerror}.") from problem
    return path


def unwritten(path: Path, problem: Exception) -> str:
    """Why the rows of a study could not be written."""
    return f"-o {path}: this could not be written ({getattr(problem, 'strerror', None) or problem})."


def picture(figure: Figure, path: Path) -> bytes:
    """A figure as the content of a file, PNG or SVG by its ending."""
    from sim.show.figures.style import as_png, as_svg

    return as_png(figure) if path.suffix.lower() == ".png" else f"{as_svg(figure)}\n".encode()


def sources(files: Sequence[str]) -> dict[str, str]:
    """Texts of design files by their names; by their whole paths where two have one name."""
    names = [Path(file).name for file in files]
    keys = names if len(set(names)) == len(names) else list(files)
    return {name: Path(file).read_text(encoding="utf-8-sig") for name, file in zip(keys, files, strict=True)}


REPORT = option(
    "--report",
    "FILE.html",
    "the answer as one HTML file with figures, to keep or to send",
    read=report_target,
)
FIGURE = option("--figure", "FILE", read=target(".png", ".svg"))
ROWS = option(
    "-o/--output", "FILE.csv", "every run as a row; resumed if it is there",
    read=target(".csv", otherwise="a picture is asked for with --figure"),
)  # fmt: skip
