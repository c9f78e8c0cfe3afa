"""`remedy`: what to change so that a lure does what is wanted."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli.designs import statements, text_of
from sim.cli.errors import InputError
from sim.cli.files import File, sources, target
from sim.cli.options import FILE, OUTPUT, WORKERS, many, option, several
from sim.cli.runner import Answer, Command, always
from sim.disk import byte_order_mark

if TYPE_CHECKING:
    from sim.design.model import Design
    from sim.studies.redesign.proposals import RemedyResult

ALLOWED = ("ballast", "lip", "fin", "tie-on", "hooks", "fill", "scale", "line")
MOST_WANTS = 8


def prepare(args: argparse.Namespace) -> None:
    """What is wanted and what stays."""
    from sim.studies.redesign.trial_designs import Objectives

    design, texts = args.design, args.want
    args.keep = _kept(design, args.keep)
    if not texts:
        raise InputError(
            'say what is wanted, as in --want "floats with 2 g to spare" or --want "wakes at 0.3..0.6 m/s from '
            f'{next(iter(design.tie_on), "nose")}"; more than one --want may be given'
        )
    if len(texts) > MOST_WANTS:
        raise InputError(f"--want is given {len(texts)} times; {MOST_WANTS} wants at once are the most")
    statements(design, texts, "--want")
    args.want = Objectives.read(design, texts)


def answer(args: argparse.Namespace) -> Answer:
    """Search and prove."""
    from sim.compiling import cores
    from sim.show.pages import proposals
    from sim.show.progress import followed
    from sim.studies.engine import processes
    from sim.studies.redesign.propose import remedy

    def watch(what: str, things: Iterable[Any], total: int) -> Iterable[Any]:
        return followed(what, things, total, sys.stderr)

    design, file = args.design, Path(args.file).name
    workers = args.workers or cores()
    with processes(workers) as pool:
        found = remedy(
            text_of(args.file), design, args.want, allow=args.allow, keep=args.keep, pairs=args.pairs,
            executor=pool, workers=workers, watch=watch, name=file,
            written=byte_order_mark(Path(args.file)) + sources(args.files)[file],
        )  # fmt: skip

    files, nothing = _files(args, found)
    return Answer(
        {"remedy": found},
        page=lambda units: proposals.remedy(design.name, found, units),
        files=files,
        last=lambda: nothing,
    )


def _files(args: argparse.Namespace, found: RemedyResult) -> tuple[list[File], str]:
    """The first proposal as a changed file and as a patch, or why there is none."""
    if found.proposals:
        first = found.proposals[0]
        wanted = ((args.output, first.text), (args.patch, first.patch))
        return [File(path, lambda text=text: text) for path, text in wanted if path], ""  # type: ignore[misc]
    why = "it does that already" if found.holds_already else "no change was found that does it"
    return [], f"Nothing is written: {why}." if args.output or args.patch else ""


def _kept(design: Design, written: Sequence[str]) -> list[str]:
    """Full paths, or whole parts of the file, that stay."""
    from sim.design.paths import PathError, found, keys

    steps = [path.split(".") for path in keys(design)]
    tables = {".".join(one[:k]) for one in steps for k in range(1, len(one) + 1)}
    out = []
    for text in written:
        named = [text] if text in tables else [table for table in tables if table.endswith(f".{text}")]
        if len(named) == 1:  # a key, a part or a table by its own name: it stays with all that is below it
            out.append(named[0])
            continue
        try:
            out.append(found(design, text))
        except PathError as problem:
            raise InputError(f"--keep {text}: {problem}.") from problem
    return out


COMMANDS = (
    Command(
        "remedy", "what to change so that it does what you want, as a patch of the file",
        'drytank remedy lure.toml --want "floats with 2 g to spare"',
        (
            FILE,
            many("--want", '"WORDS"', 'what it should do, as in "floats with 2 g to spare"; may be given again'),
            option("--allow", "LIST", default=",".join(ALLOWED), read=several(ALLOWED, "kind of change"),
                   help=f"what may be changed: any of {','.join(ALLOWED)} (default: all)"),
            many("--keep", "PATH", "what stays as it is, as in lip.angle or hook.belly; may be given again"),
            option("--pairs", action=argparse.BooleanOptionalAction, default=True,
                   help="look at two changes together where one does not do it (default: yes)"),
            OUTPUT.but(target(".toml", new=True), metavar="FILE.toml", help="write the design with the first proposal"),
            option("--patch", "FILE.patch", read=target(".patch", new=True),
                   help="write the first proposal as a patch of the file"),
            WORKERS,
        ),
        answer, prepare, builds=True, compiles=always, stopped="Stopped; nothing is written.", report=True,
    ),
)  # fmt: skip
