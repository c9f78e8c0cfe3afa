"""`water`: the margin in warmer, colder, fresher and salter water, and brine for a scrap test."""

from __future__ import annotations

import argparse

from sim.cli.errors import InputError
from sim.cli.options import FILE, many, option, quantity
from sim.cli.runner import Answer, Command


def answer(args: argparse.Namespace) -> Answer:
    """A table for a design, or a recipe for brine."""
    if (args.file is None) == (args.brine is None):
        raise InputError('water: name a design file, or a bath to stir, --brine "1.05 g/cm3"; one of them')
    return _table(args) if args.brine is None else _brine(args)


def _table(args: argparse.Namespace) -> Answer:
    from sim.media import SALTIEST, WARMEST
    from sim.show.pages import bench as pages
    from sim.trials.water_table import SALINITIES, TEMPERATURES, water_table

    warmths = args.temperature or TEMPERATURES
    salts = args.salinity or SALINITIES
    if max(warmths) > WARMEST or max(salts) > SALTIEST or min(warmths) < -3.0:
        raise InputError(
            f"water: the laws for water hold from freezing to {WARMEST:g} C and up to {SALTIEST:g} g/kg of salt"
        )
    found = water_table(args.design, warmths, salts)
    return Answer({"water": found}, page=lambda units: pages.water(args.design.name, found, units))


def _brine(args: argparse.Namespace) -> Answer:
    from sim.bench.brine import brine_density, salt_for
    from sim.show.pages import bench as pages

    warmth, density = (args.temperature or [20.0])[0], args.brine
    salt = salt_for(density, warmth)
    fresh = brine_density(0.0, warmth)
    return Answer(
        {"density_kg_m3": density, "temperature_c": warmth, "salt_g_per_litre": salt},
        page=lambda _: pages.brine(density, warmth, salt, fresh),
    )


COMMANDS = (
    Command(
        "water", "the margin in other water, by warmth and salt; or a brine for a scrap test",
        "drytank water scenarios/noon_and_midnight.toml",
        (
            FILE.but(nargs="?"),
            option("--brine", '"1.05 g/cm3"', read=quantity("Density"),
                   help="instead: how much salt makes a bath of this density"),
            many("--temperature", '"18 C"', read=quantity("Temperature"),
                 help="of the water; may be given again for a table"),
            many("--salinity", '"12 g/kg"', "of the water; may be given again", read=quantity("Salinity")),
        ),
        answer,
    ),
)  # fmt: skip
