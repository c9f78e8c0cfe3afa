"""What the studies' commands are given, checked: parameters, files to write, counts, where to run."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from sim.cli.common import InputError, look_again, quantity

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from sim.design.model import Design
    from sim.studies.parameters import Parameter

PARTS = ("budget", "float", "drop", "cast", "retrieve")
PICTURES = (".png", ".svg")
MOST_WORKERS = 1000
SECONDS_TO_REACH = 15  # a cluster that has not answered by then is not there


def parameter(design: Design, text: str, option: str, steps: int = 1) -> Parameter:
    from sim.studies.parameters import PathError, read

    try:
        return read(design, text, steps)
    except PathError as problem:
        end = "" if str(problem).endswith("?") else "."
        raise InputError(f"{option} {text}: {problem}{end}") from problem


def ranged(design: Design, text: str, option: str, steps: int) -> Parameter:
    found = parameter(design, text, option, steps)
    if not (found.ranges or (len(found) > 1 and found.unit)):
        raise InputError(f"{option} {text}: give a range, as in lip.angle=30deg..60deg")
    return found


def fixed_values(args: argparse.Namespace, design: Design) -> list[Parameter]:
    """Changes of `--set` that take one value each."""
    fixed = [parameter(design, text, "--set") for text in args.set or ()]
    for text, change in zip(args.set or (), fixed, strict=True):
        if change.ranges or len(change) > 1:
            raise InputError(f"--set {text}: one value here; the two that change are --x and --y")
    return fixed


def no_twice(options: str, parameters: Sequence[Parameter]) -> None:
    paths = [p.path for p in parameters]
    for path in paths:
        if paths.count(path) > 1:
            raise InputError(f"{options}: {path} is given twice; give it once")


def warn_if_measured(design: Design, changed: Sequence[Parameter]) -> None:
    """Say so if what is changed cannot show, because the whole lure was measured."""
    told = [key for key in ("weight", "displaced", "balance") if getattr(design.measured, key) is not None]
    parts = ("body", "plate", "wire", "hook", "fitting", "ballast", "paint")
    if told and any(p.path.split(".")[0] in parts for p in changed):
        print(
            f"Look again: [measured] gives {' and '.join(told)} of the whole lure, which beats what the "
            "parts add up to; take it out of the file to see what a part changes.",
            file=sys.stderr,
        )


def known_points(names: Sequence[str], designs: Sequence[Design], files: Sequence[str]) -> None:
    known = list(dict.fromkeys(name for design in designs for name in design.tie_on))
    for name in names:
        if name not in known:
            raise InputError(
                f"--tie-on {name}: {', '.join(files)} has no tie-on point of that name. "
                f"It has: {', '.join(known) or 'none'}."
            )
    if not known:
        raise InputError(f"{files[0]}: there is no tie-on point to pull from; add one, as in [tie_on.nose]")


def speeds_given(args: argparse.Namespace) -> list[float]:
    from sim.design.quantities import ForwardSpeed

    return [quantity(text, ForwardSpeed, "--speed") for text in args.speed or ()]


def workers_given(args: argparse.Namespace) -> int | None:
    return None if args.workers is None else count(args.workers, "--workers", 1, MOST_WORKERS)


def count(text: str, option: str, least: int, most: int) -> int:
    try:
        count = int(text)
    except ValueError:
        count = least - 1
    if not least <= count <= most:
        raise InputError(f"{option} {text}: write a whole number from {least} to {most}")
    return count


def build_all(files: Sequence[str], designs: Sequence[Design]) -> list[Any]:
    """The designs built as they are: what cannot be built is refused before any work is done."""
    from sim.design.load import warnings
    from sim.lure import BuildError, build

    lures: list[Any] = []
    odd: list[str] = []
    for file, design in zip(files, designs, strict=True):
        try:
            lures.append(build(design))
        except BuildError as problem:
            raise InputError(f"{file}: {problem}") from problem
        whose = f"{file}: " if len(files) > 1 else ""
        odd += [f"{whose}{warning}" for warning in (*warnings(design), *lures[-1].warnings)]
    look_again(odd)
    return lures


def text_of(file: str) -> str:
    from sim.design.load import rooted

    return rooted(Path(file).read_text(encoding="utf-8-sig"), Path(file).parent)


class Targets(NamedTuple):
    pictures: list[Path]
    tables: list[Path]


def targets(names: Sequence[str]) -> Targets:
    """Files to write, by their endings."""
    tables = [_target("-o", name) for name in names if name.lower().endswith(".csv")]
    pictures = [picture_file("-o", name) for name in names if not name.lower().endswith(".csv")]
    if len(tables) > 1:
        raise InputError("-o: one .csv file is enough; leave the others out")
    return Targets(pictures, tables)


def picture_file(option: str, name: str) -> Path:
    if not name.lower().endswith(PICTURES):
        rows = "" if option == "--figure" else ", or .csv for the rows"
        raise InputError(f"{option} {name}: end the name in .png or .svg for a picture{rows}")
    return _target(option, name)


def _target(option: str, name: str) -> Path:
    path = Path(name)
    if not path.parent.is_dir():
        raise InputError(f"{option} {name}: there is no folder {path.parent}; make it first, or name another")
    if path.is_dir():
        raise InputError(f"{option} {name}: this is a folder; add a file's name to it")
    return path


def save_figure(figure: Any, path: Path, option: str) -> None:
    from sim.show.figures.style import save

    try:
        save(figure, path)
    except OSError as problem:
        raise InputError(unwritten(option, path, problem)) from problem


def unwritten(option: str, path: Path, problem: Exception) -> str:
    return f"{option} {path}: this could not be written ({getattr(problem, 'strerror', None) or problem})."


def grid_size(text: str) -> tuple[int, int]:
    across, by, upward = text.lower().partition("x")
    try:
        sizes = int(across), int(upward)
    except ValueError:
        sizes = (0, 0)
    if not by or not all(2 <= size <= 200 for size in sizes):
        raise InputError(f"--grid {text}: write columns x rows, each from 2 to 200, as in --grid 16x10")
    return sizes


def parts_asked(text: str) -> tuple[str, ...]:
    asked = [part.strip() for part in text.split(",")]
    for part in asked:
        if part not in PARTS:
            raise InputError(
                f"--ask {text}: there is no question {part!r}; ask for any of {', '.join(PARTS)}"
            )
    return tuple(part for part in PARTS if part in asked)


@contextmanager
def where_to_run(args: argparse.Namespace, workers: int) -> Iterator[tuple[Executor | None, int]]:
    """Where the runs are run, and how many at a time."""
    if not args.cluster:
        yield None, workers
        return
    try:
        from distributed import Client
    except ImportError as problem:
        raise InputError(
            "--cluster needs the extra of that name: pip install 'drytank[cluster]'"
        ) from problem
    try:
        client = Client(args.cluster, timeout=SECONDS_TO_REACH, set_as_default=False)
    except (OSError, ValueError, TypeError) as problem:
        raise InputError(
            f"--cluster {args.cluster}: no scheduler answers there; give the address that it printed when it "
            "was started, as in tcp://192.168.1.5:8786"
        ) from problem
    with client:
        there = sum(client.ncores().values())
        if not there:
            raise InputError(
                f"--cluster {args.cluster}: this scheduler has no workers yet; start some and try again"
            )
        yield client.get_executor(pure=False), there


@contextmanager
def told_to_the_user() -> Iterator[None]:
    from sim.studies.engine import StudyError

    try:
        yield
    except StudyError as problem:
        raise InputError(f"{str(problem)[0].upper()}{str(problem)[1:]}.") from problem
