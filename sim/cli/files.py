"""Files that the commands write: where they may go, looked at before any work, and written whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from sim.cli.errors import InputError
from sim.cli.options import Read, option
from sim.disk import is_foreign

if TYPE_CHECKING:
    from matplotlib.figure import Figure

_PAGE, _SVG = b'name="generator" content="drytank', "<!-- drytank -->"


def is_report(ends: bytes) -> bool:
    """Whether the first and last bytes of a file are those of a report."""
    return _PAGE in ends


def is_drawing(ends: bytes) -> bool:
    """Whether they are those of a picture or a sheet made here."""
    return b"drytank" in ends


@dataclass(frozen=True)
class File:
    """A file to be written: where, what makes its content, and what to say about it afterwards."""

    path: Path
    content: Callable[[], bytes | str]
    remark: str = ""
    ours: Callable[[bytes], bool] = is_drawing


def refuse_foreign(path: Path, ours: Callable[[bytes], bool], flag: str = "-o") -> None:
    """Leave alone what somebody else has written.

    Args:
        ours: tells by the first and last bytes of a file whether it was made here.

    Raises:
        InputError: there is such a file.
        DiskError: nothing can be written there.
    """
    if is_foreign(path, ours):
        raise InputError(
            f"{path} is there already and was not written by drytank as this; it is left as it is. Give another name "
            f"with {flag}."
        )


def target(
    *endings: str,
    otherwise: str = "",
    new: bool = False,
    ours: Callable[[bytes], bool] | None = None,
) -> Read:
    """Reader of the name of a file to be written: a known ending, in a folder that is there.

    Args:
        otherwise: what to say of other endings, where a word about them helps.
        new: whether nothing may stand there yet.
        ours: what may stand there, by the first and last bytes of a file; anything if left out.
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
        if ours:
            refuse_foreign(path, ours, flag)
        return path

    return read


def report_target(text: str, flag: str) -> Path:
    """Where a report goes: a name that ends in .html, never over a file that is not a report.

    Raises:
        InputError: naming the option and what to write instead.
    """
    return Path(target(".html", ".htm", ours=is_report)(text, flag))


def unwritten(path: Path, problem: Exception) -> str:
    """Why the rows of a study could not be written."""
    return f"-o {path}: this could not be written ({getattr(problem, 'strerror', None) or problem})."


def picture(figure: Figure, path: Path) -> bytes:
    """A figure as the content of a file, PNG or SVG by its ending."""
    from sim.show.figures.style import as_png, as_svg

    return as_png(figure) if path.suffix.lower() == ".png" else f"{as_svg(figure)}\n{_SVG}\n".encode()


def sources(files: Sequence[str]) -> dict[str, str]:
    """Texts of design files by their names; by their whole paths where two have one name."""
    names = [Path(file).name for file in files]
    keys = names if len(set(names)) == len(names) else list(files)
    from sim.design.load import text_as_written

    return {name: text_as_written(file) for name, file in zip(keys, files, strict=True)}


REPORT = option(
    "--report",
    "FILE.html",
    "the answer as one HTML file with figures, to keep or to send",
    read=report_target,
)
FIGURE = option("--figure", "FILE", read=target(".png", ".svg", ours=is_drawing))
ROWS = option(
    "-o/--output", "FILE.csv", "every run as a row; resumed if it is there",
    read=target(".csv", otherwise="a picture is asked for with --figure"),
)  # fmt: skip
