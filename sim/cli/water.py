"""`water`: the margin in warmer, colder, fresher and salter water, and brine for a scrap test."""

from __future__ import annotations

import argparse

from sim.cli.common import (
    ANSWERED,
    Command,
    InputError,
    answer_arguments,
    as_json,
    load_design,
    look_for,
    quantity,
)


def run(args: argparse.Namespace) -> int:
    """A table for a design, or a recipe for brine."""
    if (args.file is None) == (args.brine is None):
        raise InputError('water: name a design file, or a bath to stir, --brine "1.05 g/cm3"; one of them')
    return _table(args) if args.brine is None else _brine(args)


def _table(args: argparse.Namespace) -> int:
    from sim.design.quantities import Salinity, Temperature
    from sim.lure import BuildError
    from sim.media import SALTIEST, WARMEST
    from sim.show import bench as pages
    from sim.trials.water_table import SALINITIES, TEMPERATURES, water_table

    design = load_design(args.file)
    warmths = [quantity(t, Temperature, "--temperature") for t in args.temperature or ()] or TEMPERATURES
    salts = [quantity(s, Salinity, "--salinity") for s in args.salinity or ()] or SALINITIES
    if max(warmths) > WARMEST or max(salts) > SALTIEST or min(warmths) < -3.0:
        raise InputError(
            f"water: the laws for water hold from freezing to {WARMEST:g} C and up to {SALTIEST:g} g/kg of salt"
        )
    try:
        answer = water_table(design, warmths, salts)
    except BuildError as problem:
        raise InputError(f"{args.file}: {problem}") from problem
    if args.json:
        from sim import __version__

        print(as_json({"design": design.name, "version": __version__, "water": answer}))
    else:
        print(pages.water(design.name, answer, look_for(args)))
    return ANSWERED


def _brine(args: argparse.Namespace) -> int:
    from sim.bench.brine import brine_density, salt_for
    from sim.bench.uncertainty import ReadingError
    from sim.design.quantities import Density, Temperature
    from sim.show import bench as pages

    warmth = quantity((args.temperature or ["20 C"])[0], Temperature, "--temperature")
    density = quantity(args.brine, Density, "--brine")
    try:
        salt = salt_for(density, warmth)
        fresh = brine_density(0.0, warmth)
    except ReadingError as problem:
        raise InputError(f"water: {problem}") from problem
    if args.json:
        print(as_json({"density_kg_m3": density, "temperature_c": warmth, "salt_g_per_litre": salt}))
    else:
        print(pages.brine(density, warmth, salt, fresh))
    return ANSWERED


def _arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("file", nargs="?", metavar="FILE", help="the design file")
    sub.add_argument(
        "--brine", metavar='"1.05 g/cm3"', help="instead: how much salt makes a bath of this density"
    )
    sub.add_argument(
        "--temperature",
        action="append",
        metavar='"18 C"',
        help="of the water; may be given again for a table",
    )
    sub.add_argument(
        "--salinity", action="append", metavar='"12 g/kg"', help="of the water; may be given again"
    )
    answer_arguments(sub)


COMMANDS = (
    Command(
        "water",
        "the margin in other water, by warmth and salt; or a brine for a scrap test",
        "drytank water scenarios/noon_and_midnight.toml",
        _arguments,
        run,
    ),
)
