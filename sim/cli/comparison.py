"""`compare`: several designs, or one with changes, side by side."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli.designs import look_again, no_twice, parameter, text_of, warn_if_measured
from sim.cli.errors import ANSWERED, GAVE_UP, InputError
from sim.cli.options import CLUSTER, FILES, SPEED, TIE_ON, WORKERS, many
from sim.cli.runner import Answer, Command, always, follow
from sim.cli.workers import where_to_run

if TYPE_CHECKING:
    from sim.design.model import Design
    from sim.show.units import Units
    from sim.studies.compare import Comparison, Variant

MOST_ROWS = 500  # of a comparison, which is there to be read


def prepare(args: argparse.Namespace) -> None:
    """What is compared, the name of what distinguishes it, a title and the speeds."""
    args.variants, args.subject, args.title = _variants(args)
    args.speed = args.speed or [speed.value for speed in args.design.retrieve.speeds]


def answer(args: argparse.Namespace) -> Answer:
    """The same work for several designs, or for one with changes."""
    designs, title, speeds = args.designs, args.title, args.speed
    from sim.show.pages.comparison import comparison
    from sim.studies.compare import Compare, unlike

    texts = [text_of(file) for file in args.files]
    curves = bool(args.figure or args.report)
    work = Compare(texts, designs, args.variants, args.subject, speeds, args.tie_on or None, curves=curves)
    if len(work) > MOST_ROWS:
        raise InputError(
            f"these are {len(work)} runs to compare, and nobody can read more than {MOST_ROWS}; give fewer "
            "values, one --speed or one --tie-on, or write them to a file with `drytank vary`"
        )
    _build_variants(args.design, args.variants, args.units)
    different = unlike(designs)
    if different:
        look_again([f"the files also differ in {', '.join(different[:6])}."])
    with where_to_run(args, len(work)) as (executor, count):
        follow("Comparing", work.run(executor, count), len(work))
    found = work.result()
    rows = (*found.still, *found.pulled)

    def figure(units: Units) -> Any:
        from sim.show import study_figures

        return study_figures.comparison(found, title, units)

    return Answer(
        {"subject": args.subject, "differences": found.differences, "rows": _rows(found)},
        page=lambda units: comparison(title, found, units, _asked(args, different, units)),
        figure=figure,
        status=GAVE_UP if any(row.failure for row in rows) else ANSWERED,
    )


def _rows(found: Comparison) -> list[dict[str, Any]]:
    return [
        {
            "variant": row.variant, "tie_on": row.tie_on or None, "speed_m_s": row.speed_m_s,
            **row.figures, "failure": row.failure or None,
        }
        for row in (*found.still, *found.pulled)
    ]  # fmt: skip


def _asked(args: argparse.Namespace, different: Sequence[str], units: Units) -> list[tuple[str, str]]:
    """What was compared, and how it was pulled: what and its value."""
    names = zip(_labels(args.files), (design.name for design in args.designs), strict=True)
    asked = [("Design" if args.set else f"Design {label}", name) for label, name in names]
    asked += [(key, value) for key, _, value in (text.partition("=") for text in args.set)]
    tie_ons = args.tie_on or [name for design in args.designs for name in design.tie_on]
    asked += pulls(tie_ons, args.speed, units)
    return [*asked, ("These differ too", ", ".join(different))] if different else asked


def pulls(tie_ons: Sequence[str], speeds: Sequence[float], units: Units) -> list[tuple[str, str]]:
    """Where it was tied and how fast it was pulled."""
    rows = [("Tied at", ", ".join(dict.fromkeys(tie_ons)))] if tie_ons else []
    written = [units.text("speed", speed) for speed in speeds]
    return [*rows, ("Pulled at", ", ".join(written))] if written else rows


def _variants(args: argparse.Namespace) -> tuple[list[Variant], str, str]:
    """What is compared, the name of what distinguishes it, and a title."""
    from sim.show.layout import clean
    from sim.studies.compare import Variant, variants

    designs = args.designs
    if not args.set:
        if len(designs) == 1:
            raise InputError(
                "one design alone has nothing to be compared with; name a second file, or changes of this one, as in "
                "--set lip.angle=30deg,45deg"
            )
        labels = _labels(args.files)
        if len(set(labels)) < len(labels):
            raise InputError("the same file is named twice; name different ones, or change one with --set")
        title = clean(" against ".join(design.name for design in designs))
        return [Variant(label, k) for k, label in enumerate(labels)], "design", title
    if len(designs) > 1:
        raise InputError("--set changes one design, but several files are named; name one of them")
    changed = [parameter(designs[0], text, "--set") for text in args.set]
    for text, change in zip(args.set, changed, strict=True):
        if change.ranges:
            raise InputError(f"--set {text}: list the values to compare, as in lip.angle=30deg,45deg,60deg")
        if change.path == "speed":
            raise InputError(f"--set {text}: speeds are given with --speed, each on its own")
    no_twice("--set", changed)
    warn_if_measured(designs[0], changed)
    values = ", ".join(f"{p.written} {' / '.join(p.text(v) for v in p.values)}" for p in changed)
    subject = changed[0].path if len(changed) == 1 else "change"
    return variants(changed), subject, clean(f"{designs[0].name}: {values}")


def _labels(files: Sequence[str]) -> list[str]:
    stems = [Path(file).stem for file in files]
    return stems if len(set(stems)) == len(stems) else list(files)


def _build_variants(design: Design, variants: Sequence[Variant], system: str) -> None:
    """A change that makes the lure impossible is refused before any work is done."""
    from sim.lure import BuildError, build
    from sim.message import in_units
    from sim.studies.engine import CaseError, changed

    for variant in variants:
        if variant.changes:
            try:
                build(changed(design, variant.changes))
            except (BuildError, CaseError) as problem:
                raise InputError(f"--set, {variant.label}: {in_units(problem, system)}.") from problem


COMMANDS = (
    Command(
        "compare", "several designs, or one with changes, side by side",
        "drytank compare lure.toml --set lip.angle=30deg,45deg,60deg",
        (
            FILES.but(help="design files; or one, with --set"),
            many("--set", "PATH=A,B,C",
                 help="compare these values of one key of the file; with several --set, every combination"),
            TIE_ON, SPEED, WORKERS, CLUSTER,
        ),
        answer, prepare, builds=True, compiles=always, report=True, figure="overlaid curves",
    ),
)  # fmt: skip
