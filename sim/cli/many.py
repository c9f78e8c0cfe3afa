"""Many runs: `compare`, `map` and `vary`."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli.common import (
    ANSWERED,
    GAVE_UP,
    INTERRUPTED,
    Command,
    InputError,
    answer_arguments,
    as_json,
    design_arguments,
    load_design,
    look_for,
    report_argument,
    report_asked,
    say_if_compiling,
    sources,
    tie_on_argument,
    write_report,
)
from sim.cli.study_input import (
    PARTS,
    build_all,
    count,
    fixed_values,
    grid_size,
    known_points,
    no_twice,
    parameter,
    parts_asked,
    picture_file,
    ranged,
    save_figure,
    speeds_given,
    targets,
    text_of,
    told_to_the_user,
    unwritten,
    warn_if_measured,
    where_to_run,
    workers_given,
)

if TYPE_CHECKING:
    from sim.design.model import Design
    from sim.show.layout import Look
    from sim.studies.compare import Variant
    from sim.studies.plan import Plan

MOST_RUNS = 1_000_000
MOST_ROWS = 500  # of a comparison, which is there to be read


# ---- compare ------------------------------------------------------------------------------------------


def compare(args: argparse.Namespace) -> int:
    """The same work for several designs, or for one with changes."""
    picture = picture_file("--figure", args.figure) if args.figure else None
    page = report_asked(args)
    designs = [load_design(file) for file in args.files]
    speeds = speeds_given(args) or [speed.value for speed in designs[0].retrieve.speeds]
    variants, subject, title = _variants(args, designs)
    known_points(args.tie_on or (), designs, args.files)
    workers = workers_given(args)
    build_all(args.files, designs)
    say_if_compiling()

    from sim.show import studies
    from sim.show.progress import followed
    from sim.studies.compare import Compare, unlike
    from sim.studies.engine import default_workers
    from sim.trials.cautions import cautions

    texts = [text_of(file) for file in args.files]
    work = Compare(texts, designs, variants, subject, speeds, args.tie_on, curves=bool(picture or page))
    if len(work) > MOST_ROWS:
        raise InputError(
            f"these are {len(work)} runs to compare, and nobody can read more than {MOST_ROWS}; give fewer "
            "values, one --speed or one --tie-on, or write them to a file with `drytank vary`"
        )
    _build_variants(designs[0], variants)
    different = unlike(designs)
    if different:
        print(f"Look again: the files also differ in {', '.join(different[:6])}.", file=sys.stderr)
    with where_to_run(args, workers or default_workers(len(work))) as (executor, count), told_to_the_user():
        for _ in followed("Comparing", work.run(executor, count), len(work), sys.stderr):
            pass
    found = work.result()
    look = look_for(args)
    if args.json:
        from sim import __version__

        rows = [
            {
                "variant": row.variant, "tie_on": row.tie_on or None, "speed_m_s": row.speed_m_s,
                **row.figures, "failure": row.failure or None,
            }
            for row in (*found.still, *found.pulled)
        ]  # fmt: skip
        print(
            as_json(
                {"version": __version__, "subject": subject, "differences": found.differences, "rows": rows}
            )
        )
    else:
        print(studies.compare(title, found, look))
    if picture:
        from sim.show import study_figures

        save_figure(study_figures.comparison(found, title, look.units), picture, "--figure")
    if page:
        from sim.show.report.studies import compare_page

        given = [
            (f"Design {label}" if not args.set else "Design", name)
            for label, name in zip(_labels(args.files), (design.name for design in designs), strict=True)
        ]
        given += [tuple(text.split("=", 1)) for text in args.set or ()]
        given += _pulls(args.tie_on or [name for design in designs for name in design.tie_on], speeds, look)
        given += [("These differ too", ", ".join(different))] if different else []
        care = dict.fromkeys(caution for design in designs for caution in cautions(design))
        write_report(page, compare_page(title, found, given, sources(args.files), [*care], look.units))
    return GAVE_UP if any(row.failure for row in (*found.still, *found.pulled)) else ANSWERED


def _variants(args: argparse.Namespace, designs: Sequence[Design]) -> tuple[list[Variant], str, str]:
    """What is compared, the name of what distinguishes it, and a title."""
    from sim.show.layout import clean
    from sim.studies.compare import Variant, variants

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
    told = ", ".join(f"{p.written} {' / '.join(p.text(v) for v in p.values)}" for p in changed)
    subject = changed[0].path if len(changed) == 1 else "change"
    return variants(changed), subject, clean(f"{designs[0].name}: {told}")


def _labels(files: Sequence[str]) -> list[str]:
    stems = [Path(file).stem for file in files]
    return stems if len(set(stems)) == len(stems) else list(files)


def _build_variants(design: Design, variants: Sequence[Variant]) -> None:
    """A change that makes the lure impossible is refused before any work is done."""
    from sim.lure import BuildError, build
    from sim.studies.engine import CaseError, changed

    for variant in variants:
        if variant.changes:
            try:
                build(changed(design, variant.changes))
            except (BuildError, CaseError) as problem:
                raise InputError(f"--set, {variant.label}: {problem}.") from problem


# ---- map ----------------------------------------------------------------------------------------------


def tie_map(args: argparse.Namespace) -> int:
    """Behaviours over where the line is tied, or over any two numbers."""
    pictures, tables = targets(args.out or ())
    page = report_asked(args)
    design = load_design(args.file)
    across, upward = grid_size(args.grid)
    workers = workers_given(args)
    known_points([args.tie_on] if args.tie_on else (), [design], [args.file])
    tie_on = args.tie_on or next(iter(design.tie_on))
    if bool(args.x) != bool(args.y):
        raise InputError("--x and --y go together; give both, or neither for a map of tie-on points")
    fixed = fixed_values(args, design)
    lure = build_all([args.file], [design])[0]
    if args.x:
        x, y = (ranged(design, text, f"--{axis}", steps)
                for axis, text, steps in (("x", args.x, across), ("y", args.y, upward)))  # fmt: skip
    else:
        from sim.studies.maps import rectangle

        x, y = rectangle(design, lure, tie_on, across, upward)
    no_twice("--x, --y and --set", [*fixed, x, y])
    warn_if_measured(design, [x, y])
    speeds = _map_speeds(args, design, "speed" in (x.path, y.path))
    say_if_compiling()

    from sim.show import studies
    from sim.studies import maps, record
    from sim.studies.plan import Plan

    plan = Plan("map", text_of(args.file), (*fixed, x, y), tie_ons=(tie_on,), speeds=tuple(speeds))
    kept: list[Any] = []
    if not _carry_out(args, plan, tables[0] if tables else None, workers, kept):
        return INTERRUPTED
    found = maps.drawn(plan, record.each(tables[0]) if tables else kept)
    from sim.show.layout import clean

    title = clean(
        f"{design.name}, tied at {tie_on}"
        if args.x
        else f"{design.name}: where the tie-on point {tie_on} is put"
    )
    if args.json:
        print(as_json(_map_as_data(design.name, found)))
    else:
        print(studies.tie_map(title, found, look_for(args)))
    if pictures:
        from sim.show import study_figures

        figure = study_figures.behaviour_map(found, title, lure)
        for picture in pictures:
            save_figure(figure, picture, "-o")
    if page:
        from sim.show.report.studies import map_page
        from sim.trials.cautions import cautions

        look = look_for(args)
        given = [*_about(plan), *_pulls([tie_on], [speed for speed in speeds if speed], look)]
        care = cautions(design)
        write_report(page, map_page(title, found, lure, given, sources([args.file]), care, look.units))
    return ANSWERED


def _map_as_data(name: str, found: Any) -> dict[str, Any]:
    from sim import __version__

    axes = {
        key: {"path": axis.path, "unit": axis.unit, "values": values}
        for key, axis, values in (("x", found.x, found.xs), ("y", found.y, found.ys))
    }
    panels = [
        {"speed_m_s": panel.speed or None, "behaviours": panel.behaviours, "depths_m": panel.depths.tolist()}
        for panel in found.panels
    ]
    return {"design": name, "version": __version__, "tie_on": found.tie_on, **axes, "panels": panels}


def _map_speeds(args: argparse.Namespace, design: Design, over_speed: bool) -> list[float]:
    if over_speed and args.speed:
        raise InputError("--speed and a speed as an axis exclude each other; give one of them")
    if over_speed:
        return [0.0]
    speeds = design.retrieve.speeds
    return speeds_given(args) or [speeds[len(speeds) // 2].value]


# ---- vary ---------------------------------------------------------------------------------------------


def vary(args: argparse.Namespace) -> int:
    """Any number of parameters, to a file of rows."""
    pictures, tables = targets([args.out])
    if pictures:
        raise InputError(f"-o {args.out}: the rows go to a .csv file; `drytank map` draws pictures")
    page = report_asked(args)
    design = load_design(args.file)
    workers = workers_given(args)
    steps = count(args.steps, "--steps", 2, 1000)
    samples = None if args.samples is None else count(args.samples, "--samples", 1, MOST_RUNS)
    seed = count(args.seed, "--seed", 0, 2**32 - 1)
    parts = parts_asked(args.ask)
    if not (args.vary or args.set):
        raise InputError(
            "there is nothing to vary; say what and between which ends: --vary lip.angle=30deg..60deg"
        )
    changed = [parameter(design, text, "--vary", steps) for text in args.vary or ()]
    fixed = [parameter(design, text, "--set", steps) for text in args.set or ()]
    no_twice("--vary and --set", [*changed, *fixed])
    warn_if_measured(design, [*changed, *fixed])
    known_points(args.tie_on or (), [design], [args.file])
    speeds = speeds_given(args) or [speed.value for speed in design.retrieve.speeds]
    if args.speed and any(p.path == "speed" for p in changed):
        raise InputError("--speed and --vary speed=... exclude each other; give one of them")
    build_all([args.file], [design])
    say_if_compiling()

    from sim.show import studies
    from sim.studies import record
    from sim.studies.plan import Plan

    plan = Plan(
        "vary", text_of(args.file), (*changed, *fixed), parts, tuple(args.tie_on or design.tie_on),
        tuple(speeds), samples, args.sampling, seed,
    )  # fmt: skip
    if samples is not None:
        print(f"Seed {seed}.", file=sys.stderr)
    if not _carry_out(args, plan, tables[0], workers):
        return INTERRUPTED
    look = look_for(args)
    print(studies.varied(record.each(tables[0]), str(tables[0]), look))
    if page:
        from sim.show.report.studies import vary_page
        from sim.trials.cautions import cautions

        tie_ons = plan.tie_ons if plan.pulls else ()
        over_speed = any(p.path == "speed" for p in changed)
        given = [*_about(plan), *_pulls(tie_ons, () if over_speed or not plan.pulls else speeds, look)]
        title = f"{design.name}: {', '.join(p.written for p in plan.parameters if len(p) > 1)} varied"
        rows, where = record.each(tables[0]), tables[0].name
        made = vary_page(title, plan, rows, where, given, sources([args.file]), cautions(design), look.units)
        write_report(page, made)
    return ANSWERED


def _about(plan: Plan) -> list[tuple[str, str]]:
    """A plan in words: what and its value."""
    told = [line.partition(": ") for line in plan.about()]
    return [
        (what[0].upper() + what[1:] if what in ("samples", "cases") else what, value)
        for what, _, value in told
    ]


def _pulls(tie_ons: Sequence[str], speeds: Sequence[float], look: Look) -> list[tuple[str, str]]:
    """Where it was tied and how fast it was pulled."""
    rows = [("Tied at", ", ".join(dict.fromkeys(tie_ons)))] if tie_ons else []
    told = [look.units.text("speed", speed) for speed in speeds]
    return [*rows, ("Pulled at", ", ".join(told))] if told else rows


# ---- what they share ----------------------------------------------------------------------------------


def _carry_out(
    args: argparse.Namespace,
    plan: Plan,
    table: Path | None,
    workers: int | None,
    kept: list[Any] | None = None,
) -> bool:
    """Run a plan with a bar, rows to `table` if there is one, and to `kept`. False if it was interrupted."""
    from sim.show.progress import followed
    from sim.studies import vary as varying
    from sim.studies.engine import default_workers
    from sim.studies.record import RecordError

    if plan.total > MOST_RUNS:
        raise InputError(
            f"these are {plan.total} runs and {MOST_RUNS} the most; give fewer values, or --samples to `vary`"
        )
    record = None
    if table:
        try:
            record = varying.opened(plan, table, Path(args.file).name, over=args.force)
        except RecordError as problem:
            raise InputError(f"-o {problem}.") from problem
        except (OSError, ValueError) as problem:
            raise InputError(unwritten("-o", table, problem)) from problem
    before = len(record.done) if record else 0
    if before:
        left = f"; running the other {plan.total - before}" if before < plan.total else ", which is all"
        print(f"{before} of {plan.total} runs are in {table} already{left}.", file=sys.stderr)
    rest = plan.total - before
    try:
        with (
            where_to_run(args, workers or default_workers(rest)) as (executor, count),
            told_to_the_user(),
            closing(varying.carried_out(plan, record, executor, count)) as rows,
        ):
            for row in followed("Running", rows, plan.total, sys.stderr, before):
                if kept is not None and not record:
                    kept.append(row)
    except KeyboardInterrupt:
        done = f"{len(record.done)} of {plan.total} runs are in {table}" if record else "Nothing is kept"
        way = (
            "give the same command again to go on" if record else "with -o FILE.csv it would go on from here"
        )
        print(f"\nStopped. {done}; {way}.", file=sys.stderr)
        return False
    except OSError as problem:
        if table is None:
            raise
        raise InputError(
            f"{unwritten('-o', table, problem)} The same command goes on from there."
        ) from problem
    finally:
        if record:
            record.close()
    return True


# ---- words --------------------------------------------------------------------------------------------


def _pull_arguments(sub: argparse.ArgumentParser) -> None:
    tie_on_argument(sub)
    sub.add_argument(
        "--speed", action="append", metavar='"0.6 m/s"',
        help="at this speed; may be given again (default: the speeds in the file)",
    )  # fmt: skip


def _worker_arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("--workers", metavar="N", help="processes to run on (default: one for each core)")
    sub.add_argument(
        "--cluster", metavar="ADDRESS", help="run on the Dask cluster whose scheduler is at this address"
    )


def _compare_arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("files", nargs="+", metavar="FILE", help="design files; or one, with --set")
    sub.add_argument(
        "--set", action="append", metavar="PATH=A,B,C",
        help="compare these values of one key of the file; with several --set, every combination",
    )  # fmt: skip
    _pull_arguments(sub)
    sub.add_argument("--figure", metavar="FILE", help="overlaid curves as a picture, .png or .svg")
    report_argument(sub)
    _worker_arguments(sub)
    answer_arguments(sub)


def _map_arguments(sub: argparse.ArgumentParser) -> None:
    design_arguments(sub)
    sub.add_argument("--tie-on", metavar="NAME", help="the point to move (default: the first in the file)")
    sub.add_argument(
        "--speed", action="append", metavar='"0.6 m/s"',
        help="at this speed; may be given again (default: the middle one in the file)",
    )  # fmt: skip
    sub.add_argument(
        "--x", metavar="PATH=A..B", help="what changes across (default: the tie-on point, back from the nose)"
    )
    sub.add_argument("--y", metavar="PATH=A..B", help="what changes upward (default: the tie-on point, up)")
    sub.add_argument("--grid", default="16x10", metavar="NxM", help="columns and rows (default: 16x10)")
    sub.add_argument(
        "--set", action="append", metavar="PATH=A", help="change this for all runs, as in duration=6s"
    )
    sub.add_argument(
        "-o", "--out", action="append", metavar="FILE",
        help="picture (.png, .svg) or rows (.csv); may be given again. Rows are resumed if they are there",
    )  # fmt: skip
    sub.add_argument("--force", action="store_true", help="write over a .csv file that is there already")
    report_argument(sub)
    _worker_arguments(sub)


def _vary_arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("file", metavar="FILE", help="the design file")
    sub.add_argument(
        "--vary", action="append", metavar="PATH=A..B",
        help="a range or a list of values; may be given again. speed=A..B is the line speed",
    )  # fmt: skip
    sub.add_argument(
        "--set", action="append", metavar="PATH=A,B", help="the same, for values that are listed"
    )
    sub.add_argument(
        "--steps", default="5", metavar="N", help="values of each range in the full grid (default: 5)"
    )
    sub.add_argument("--samples", metavar="N", help="so many combinations spread evenly, not the full grid")
    sub.add_argument(
        "--sampling", choices=("sobol", "latin"), default="sobol",
        help="how they are spread: Sobol's sequence or a Latin hypercube (default: sobol)",
    )  # fmt: skip
    sub.add_argument("--seed", default="1", metavar="N", help="start of the sampling (default: 1)")
    sub.add_argument(
        "--ask", default="budget,retrieve", metavar="LIST",
        help=f"what to find out of each: any of {', '.join(PARTS)} (default: budget,retrieve)",
    )  # fmt: skip
    _pull_arguments(sub)
    sub.add_argument(
        "-o", "--out", required=True, metavar="FILE.csv", help="rows go here; resumed if it is there"
    )
    sub.add_argument("--force", action="store_true", help="write over a file that is there already")
    report_argument(sub)
    _worker_arguments(sub)
    sub.add_argument(
        "--units", choices=("metric", "us"), default="metric", help="units of the text (default: metric)"
    )


COMMANDS = (
    Command(
        "compare",
        "several designs, or one with changes, side by side",
        "drytank compare lure.toml --set lip.angle=30deg,45deg,60deg",
        _compare_arguments,
        compare,
    ),
    Command(
        "map",
        "what it does, over where the line is tied or any two numbers",
        "drytank map lure.toml -o map.svg",
        _map_arguments,
        tie_map,
    ),
    Command(
        "vary",
        "any number of changes, every combination or a sample, to a file",
        "drytank vary lure.toml --vary lip.angle=30deg..60deg -o angles.csv",
        _vary_arguments,
        vary,
    ),
)
