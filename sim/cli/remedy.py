"""`remedy`: what to change so that a lure does what is wanted."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli.common import (
    ANSWERED,
    INTERRUPTED,
    Command,
    InputError,
    design_arguments,
    load_design,
    report_argument,
    report_asked,
    say_if_compiling,
    show_answer,
    show_report,
    sources,
    statements,
    write_whole,
)
from sim.cli.study_input import build_all, text_of, told_to_the_user, workers_given

if TYPE_CHECKING:
    from sim.design.model import Design
    from sim.show.units import Units
    from sim.studies.redesign.proposals import RemedyResult
    from sim.studies.redesign.trial_designs import Wants

ALLOWED = ("ballast", "lip", "fin", "tie-on", "hooks", "fill", "scale", "line")
MOST_WANTS = 8


def run(args: argparse.Namespace) -> int:
    """Search, prove, show; write the changed file if asked."""
    page = report_asked(args)
    design = load_design(args.file)
    allow = _allowed(args.allow)
    out = _new_file(args.out, "-o", ".toml", args.file)
    patch = _new_file(args.patch, "--patch", ".patch", args.file)
    keep = _kept(design, args.keep or ())
    workers = workers_given(args)
    wants = _wants(design, args.want or ())
    build_all([args.file], [design])
    say_if_compiling()
    try:
        found = _searched(args, design, wants, allow, keep, workers)
    except KeyboardInterrupt:
        print("\nStopped; nothing is written.", file=sys.stderr)
        return INTERRUPTED
    _shown(args, design, found, page)
    _written(found, out, patch)
    return ANSWERED


def _searched(
    args: argparse.Namespace,
    design: Design,
    wants: Wants,
    allow: Sequence[str],
    keep: Sequence[str],
    workers: int | None,
) -> RemedyResult:
    from sim.show.progress import followed
    from sim.studies.engine import cores, processes
    from sim.studies.redesign.propose import remedy

    def watch(what: str, things: Iterable[Any], total: int) -> Iterable[Any]:
        return followed(what, things, total, sys.stderr)

    many = workers or cores()
    with told_to_the_user(), processes(many) as pool:
        return remedy(
            text_of(args.file), design, wants, allow=allow, keep=keep, pairs=args.pairs, executor=pool,
            workers=many, watch=watch, name=Path(args.file).name,
            written=sources([args.file])[Path(args.file).name],
        )  # fmt: skip


def _shown(args: argparse.Namespace, design: Design, found: RemedyResult, page: Path | None) -> None:
    from sim.show.remedy import remedy as text

    show_answer(args, design, {"remedy": found}, lambda look: text(design.name, found, look))

    def made(source: dict[str, str], careful: list[str], units: Units) -> str:
        from sim.show.report.remedy import remedy_page

        return remedy_page(design.name, found, source, careful, units)

    show_report(args, design, page, made)


def _written(found: RemedyResult, out: Path | None, patch: Path | None) -> None:
    """The first proposal as a changed file, and as a patch."""
    if not found.proposals:
        if out or patch:
            why = "it does that already" if found.holds_already else "no change was found that does it"
            print(f"Nothing is written: {why}.", file=sys.stderr)
        return
    for target, content in ((out, found.proposals[0].text), (patch, found.proposals[0].patch)):
        if target:
            write_whole(target, content)
            print(f"Wrote {target}.", file=sys.stderr)


# ---- what is given, checked ---------------------------------------------------------------------------


def _wants(design: Design, texts: Sequence[str]) -> Wants:
    from sim.studies.redesign.trial_designs import Wants

    if not texts:
        raise InputError(
            'say what is wanted, as in --want "floats with 2 g to spare" or --want "wakes at 0.3..0.6 m/s from '
            f'{next(iter(design.tie_on), "nose")}"; more than one --want may be given'
        )
    if len(texts) > MOST_WANTS:
        raise InputError(f"--want is given {len(texts)} times; {MOST_WANTS} wants at once are the most")
    statements(design, texts, "--want")
    return Wants.read(design, texts)


def _allowed(text: str | None) -> tuple[str, ...]:
    if text is None:
        return ALLOWED
    asked = [part.strip() for part in text.split(",")]
    for part in asked:
        if part not in ALLOWED:
            raise InputError(
                f"--allow {text}: {part!r} is nothing that can be allowed; write any of {','.join(ALLOWED)}"
            )
    return tuple(part for part in ALLOWED if part in asked)


def _kept(design: Design, written: Sequence[str]) -> list[str]:
    """Full paths, or whole parts of the file, that stay."""
    from sim.design.paths import PathError, found, keys

    every = list(keys(design))
    out = []
    for text in written:
        if any(path == text or path.startswith(f"{text}.") for path in every):
            out.append(text)
            continue
        try:
            out.append(found(design, text))
        except PathError as problem:
            raise InputError(f"--keep {text}: {problem}.") from problem
    return out


def _new_file(name: str | None, option: str, ending: str, design: str) -> Path | None:
    """A file to write that is not there yet."""
    if name is None:
        return None
    target = Path(name)
    if target.suffix.lower() != ending:
        raise InputError(f"{option} {name}: end the name in {ending}, as in {option} {target.stem}{ending}")
    if not target.parent.is_dir():
        raise InputError(
            f"{option} {name}: there is no folder {target.parent}; make it first, or name another"
        )
    if target.exists():
        mine = " is the design itself" if target.resolve() == Path(design).resolve() else " is there already"
        raise InputError(f"{option} {name}: this{mine} and is left as it is; give another name")
    return target


def _arguments(sub: argparse.ArgumentParser) -> None:
    design_arguments(sub)
    sub.add_argument(
        "--want", action="append", metavar='"WORDS"',
        help='what it should do, as in "floats with 2 g to spare"; may be given again',
    )  # fmt: skip
    sub.add_argument(
        "--allow", metavar="LIST", help=f"what may be changed: any of {','.join(ALLOWED)} (default: all)"
    )
    sub.add_argument(
        "--keep", action="append", metavar="PATH",
        help="what stays as it is, as in lip.angle or hook.belly; may be given again",
    )  # fmt: skip
    sub.add_argument(
        "--pairs", action=argparse.BooleanOptionalAction, default=True,
        help="look at two changes together where one does not do it (default: yes)",
    )  # fmt: skip
    sub.add_argument("-o", dest="out", metavar="FILE.toml", help="write the design with the first proposal")
    sub.add_argument("--patch", metavar="FILE.patch", help="write the first proposal as a patch of the file")
    sub.add_argument("--workers", metavar="N", help="processes to run on (default: one for each core)")
    report_argument(sub)


COMMANDS = (
    Command(
        "remedy",
        "what to change so that it does what you want, as a patch of the file",
        'drytank remedy lure.toml --want "floats with 2 g to spare"',
        _arguments,
        run,
    ),
)
