"""Design files of the command line: loaded, built, and looked at for what is odd, before any work is done."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli.errors import InputError

if TYPE_CHECKING:
    from sim.design.model import Design
    from sim.studies.parameters import Parameter
    from sim.studies.statements import Statement


def load_design(file: str, system: str = "metric") -> Design:
    """The design in a file; its problems are told in units of a system: metric or us.

    Raises:
        InputError: with all the problems of the file.
    """
    from sim.design.load import DesignError, load

    try:
        return load(Path(file))
    except DesignError as problem:
        raise InputError(problem.in_units(system)) from problem


def text_of(file: str) -> str:
    """The text of a design file, the files that it names given by their whole paths."""
    from sim.design.load import rooted, text_as_written

    return rooted(text_as_written(file), Path(file).parent)


def build_all(files: Sequence[str], designs: Sequence[Design], system: str = "metric") -> list[Any]:
    """The lures of designs; what is odd about them goes to the error stream, in units of a system: metric or us.

    Raises:
        InputError: naming the file that cannot be built.
    """
    from sim.design.load import warnings
    from sim.lure import BuildError, build
    from sim.message import in_units
    from sim.show.remarks import sentences
    from sim.show.units import SYSTEMS

    lures: list[Any] = []
    odd: list[str] = []
    for file, design in zip(files, designs, strict=True):
        try:
            lures.append(build(design))
        except BuildError as problem:
            raise InputError(f"{file}: {in_units(problem, system)}") from problem
        whose = f"{file}: " if len(files) > 1 else ""
        noticed = (*warnings(design), *lures[-1].warnings)
        odd += [f"{whose}{said}" for said in sentences(noticed, SYSTEMS[system])]
    look_again(odd)
    return lures


def look_again(warnings: Iterable[str]) -> None:
    """Say on the error stream what looks odd, each thing once, under one head."""
    odd = list(dict.fromkeys(warnings))
    if odd:
        print(
            "Look again: " + odd[0] if len(odd) == 1 else "\n- ".join(["Look again:", *odd]), file=sys.stderr
        )


# ---- statements and parameters --------------------------------------------------------------------------


def statements(design: Design, texts: Sequence[str], option: str = "") -> list[Statement]:
    """A maker's words as statements; `option` is where the words were given.

    Raises:
        InputError: words that say nothing about a lure, with what to write.
    """
    from sim.studies.grammar import StatementError, criteria

    out: list[Statement] = []
    for text in texts:
        try:
            out += criteria(design, text)
        except StatementError as problem:
            whole = " ".join(texts)
            if len(texts) > 1 and _is_statement(design, whole):
                raise InputError(f'put what belongs together in one pair of quotes: "{whole}"') from problem
            where = f"{option}: " if option else ""
            raise InputError(f"{where}{_ended(str(problem))}") from problem
    return out


def _is_statement(design: Design, text: str) -> bool:
    from sim.studies.grammar import StatementError, criteria

    try:
        return bool(criteria(design, text))
    except StatementError:
        return False


def _ended(sentence: str) -> str:
    """A sentence with its full stop, if it does not end in a mark already."""
    return sentence if sentence.endswith((".", "?", "!")) else f"{sentence}."


def parameter(design: Design, text: str, option: str, steps: int = 1) -> Parameter:
    """A key of the design and its values, such as `lip.angle=30deg..60deg`.

    Raises:
        InputError: naming the option and what to write instead.
    """
    from sim.studies.parameters import PathError, read

    try:
        return read(design, text, steps)
    except PathError as problem:
        raise InputError(f"{option} {text}: {_ended(str(problem))}") from problem


def no_twice(options: str, parameters: Sequence[Parameter]) -> None:
    """Refuse parameters of which two are the same.

    Raises:
        InputError: naming the key.
    """
    paths = [p.path for p in parameters]
    for path in paths:
        if paths.count(path) > 1:
            raise InputError(f"{options}: {path} is given twice; give it once")


def warn_if_measured(design: Design, changed: Sequence[Parameter]) -> None:
    """Say so if what is changed cannot show, because the whole lure was measured."""
    given = [key for key in ("weight", "displaced", "balance") if getattr(design.measured, key) is not None]
    parts = ("body", "plate", "wire", "hook", "fitting", "ballast", "paint")
    if given and any(p.path.split(".")[0] in parts for p in changed):
        look_again([
            f"[measured] gives {' and '.join(given)} of the whole lure, which beats what the parts add up to; "
            "take it out of the file to see what a part changes."
        ])  # fmt: skip
