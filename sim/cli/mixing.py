"""`mix` and `pour`: resin, filler and foam by weight, and where a part fill comes to lie."""

from __future__ import annotations

import argparse
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING

from sim.cli.errors import InputError
from sim.cli.options import FILE, flag, many, number, option, quantity, whole
from sim.cli.runner import Answer, Command

if TYPE_CHECKING:
    from sim.trials.recipe import Recipe, RecipePart

MOST_DIGITS = 30
SCALES = {"metric": Decimal("0.1"), "us": Decimal("0.141747")}
"""Step (g) of a scale that nothing is told of: 0.1 g, or 0.005 oz."""


def mix(args: argparse.Namespace) -> Answer:
    """Weigh out a mix, or go on after too much of one part."""
    from sim.bench.answers import mixed
    from sim.show.pages import bench as pages
    from sim.trials import recipe as recipes
    from sim.trials.cautions import FOAMING, MIXING, told

    design, step = args.design, SCALES[args.units]
    if args.part or design is None:
        if not args.part:
            raise InputError(
                "mix: say what goes in, as in resin=1 hardener=1 spheres=10%, or name a design file whose body is "
                "filled with a [mix.NAME]"
            )
        recipe = recipes.of_parts([_part(text) for text in args.part], args.by_volume)
    else:
        body = recipes.hollow_body(design, args.body)
        recipe = recipes.of_body(design, body)
        step = _grams(recipes.mix_in(design, body).scale.value)  # type: ignore[union-attr]
    liquid = recipe.density
    if args.density:
        recipe = recipe.measured(args.density)
    if args.rise is not None:
        recipe = recipe.foamed(liquid, args.rise, args.packing)
    if args.scale:
        step = _grams(args.scale)
    wanted, there = _wanted(args, recipe), dict(args.poured)
    if args.over:
        from sim.bench.mix import too_much

        there |= too_much(recipe.shares, wanted, step, dict(args.over))
    found = mixed(recipe.shares, wanted, step, recipe.density, recipe.density_from, there)
    careful = told(MIXING if args.rise is None else FOAMING)
    return Answer(
        {"mix": found, "cautions": careful}, page=lambda units: pages.mixed(found, step, careful, units)
    )


def _wanted(args: argparse.Namespace, recipe: Recipe) -> float:
    """Grams of mix that are wanted."""
    from sim.bench.mix import needed
    from sim.trials.recipe import WASTE, cavity, hollow_body

    if args.weight:
        return 1e3 * float(args.weight)
    volume, waste = args.fill, WASTE
    if not volume:
        if args.design is None:
            raise InputError('mix: how much? Write --fill "12 mL" for a cavity, or --weight "9 g"')
        volume, waste = cavity(args.design, hollow_body(args.design, args.body))
    if recipe.density is None:
        raise InputError(
            'mix: the density of the mix is not known; give the one of a test block, --density "0.6 g/mL", or '
            "write each part's density behind it, as in resin=1@1.1g/cm3"
        )
    return 1e3 * needed(
        volume, recipe.density, args.count, (waste if args.waste is None else args.waste) / 100.0
    )


def _part(text: str) -> RecipePart:
    """A part such as resin=1@1.1g/cm3 or spheres=10%@0.15g/cm3."""
    from sim.design.problems import printable
    from sim.trials.recipe import RecipePart

    name, equals, rest = text.partition("=")
    amount, at, stuff = rest.partition("@")
    wanted = "write a part as name=amount, as in resin=1, spheres=10% or resin=1@1.1g/cm3"
    if not equals or not name.strip():
        raise InputError(f'mix: "{printable(text)}" is no part; {wanted}')
    number = amount.strip().removesuffix("%").replace(",", ".")
    try:
        value = float(number)
    except ValueError as problem:
        raise InputError(
            f'mix: {printable(name)} = "{printable(amount)}" is no number; {wanted}'
        ) from problem
    return RecipePart(
        name.strip(), value, amount.strip().endswith("%"), _density(stuff, f"mix: {name}") if at else None
    )


def _density(text: str, flag: str) -> float:
    """A density, or that of a material of the list."""
    from sim.design.materials import find

    found = find(text)
    return found.density if found is not None else float(quantity("Density")(text, flag))


def _weighed(text: str, flag: str) -> tuple[str, Decimal]:
    """What is in the cup, such as resin=4.3g; grams if no unit is written."""
    from sim.design.problems import printable

    name, equals, rest = text.partition("=")
    if not equals:
        raise InputError(f'{flag} "{printable(text)}": write part=weight, as in resin=4.3g')
    if rest.strip().startswith("+"):
        part = printable(name.strip())
        raise InputError(
            f'{flag} "{printable(text)}": is that what is in the cup, or too much by so much? Write '
            f"--poured {part}=4.3g for all that is in the cup, --over {part}=0.4g for what is more than was to go in"
        )
    plain = rest.strip().removesuffix("g").strip().replace(",", ".")
    try:
        if len(plain) > MOST_DIGITS:
            raise InvalidOperation
        value = Decimal(plain)
    except InvalidOperation:
        value = _grams(quantity("Mass")(rest, flag))
    if not value.is_finite() or not 0 <= value < 20_000:
        raise InputError(f"{flag} {printable(text)}: this is no weight that a cup can hold")
    return name.strip(), value


def _grams(mass: float) -> Decimal:
    return Decimal(repr(round(1e3 * mass, 6)))


def pour(args: argparse.Namespace) -> Answer:
    """Fill a cavity in part, the nose raised."""
    from sim.design.expand import expanded
    from sim.lure.sharing import shared
    from sim.show.pages import bench as pages
    from sim.trials.cautions import MIXING, told
    from sim.trials.pour import pour
    from sim.trials.recipe import hollow_body

    if (args.weight is None) == (args.share is None):
        raise InputError(
            'pour: how much? Write --weight "4 g" or --share 60, percent of the cavity; one of them'
        )
    share = None if args.share is None else args.share / 100.0
    body = hollow_body(shared(expanded(args.design)), args.body)
    careful = told(MIXING)
    found = pour(args.design, body, args.raised, args.weight, share, args.belly_up)
    return Answer(
        {"pour": found, "cautions": careful},
        page=lambda units: pages.poured(args.design.name, found, units, careful),
    )


def _percent(text: str, flag: str) -> float:
    value = number(0.0, 100.0, "60", "percent of the cavity")(text, flag)
    if value <= 0.0:
        raise InputError(f"{flag} {text}: write percent of the cavity, above 0 and up to 100")
    return float(value)


BODY = option("--body", "NAME", "which body (default: the first hollow one)")
TIMES = number(0.0, 1e3, "3")

COMMANDS = (
    Command(
        "mix", "resin, filler or foam weighed out, and again after too much of one part",
        'drytank mix resin=1 hardener=1 spheres=10% --density "0.6 g/mL" --fill "12 mL"',
        (
            option("part", "PART", nargs="*",
                   help="name=amount by weight, or percent of all parts for a filler, then @density or "
                        "@material, as in resin=1@epoxy spheres=10%%@0.15g/cm3"),
            option("--file", "FILE", "a design file: its cavity, and its mix if no parts are given", design=True),
            BODY,
            option("--fill", '"12 mL"', "volume to fill, for one body", read=quantity("Volume")),
            option("--weight", '"9 g"', "of the mix, instead of a volume", read=quantity("Mass")),
            option("--count", "N", "how many bodies (default: 1)", default="1", read=whole(1, 100_000)),
            option("--waste", "PERCENT", read=number(0.0, 1000.0, "10", "percent"),
                   help="what stays in the cup (default: 10)"),
            option("--density", '"0.6 g/mL"', "of the mix as it sets, from a test block", read=_density),
            option("--scale", '"0.1 g"', "smallest step of the scale (default: 0.1 g, or 0.005 oz)",
                   read=quantity("Mass")),
            many("--poured", "NAME=WEIGHT", read=_weighed,
                 help="what is in the cup already, as in resin=4.3g; the rest follows; may be given again"),
            many("--over", "NAME=WEIGHT", read=_weighed,
                 help="poured too much by so much, as in resin=0.4g; the rest follows; may be given again"),
            flag("--by-volume", "amounts are volumes of true density"),
            option("--rise", "TIMES", "foam: times its volume when free to rise", read=TIMES),
            option("--packing", "TIMES", "foam: more than just fills it (default: 1)", default="1", read=TIMES),
        ),
        mix,
    ),
    Command(
        "pour", "where a part fill lies when the nose is raised, and where the lure then balances",
        'drytank pour scenarios/last_skittle.toml --share 40 --raised "20 deg"',
        (
            FILE, BODY,
            option("--weight", '"4 g"', "of the pour", read=quantity("Mass")),
            option("--share", "PERCENT", "of the cavity, instead of a weight", read=_percent),
            option("--raised", '"20 deg"', default="0 deg", read=quantity("Angle"),
                   help="nose above level while it sets (default: level)"),
            flag("--belly-up", "the lure lies on its back while it sets"),
        ),
        pour,
    ),
)  # fmt: skip
