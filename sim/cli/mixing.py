"""`mix` and `pour`: resin, filler and foam by weight, and where a part fill comes to lie."""

from __future__ import annotations

import argparse
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING, Any, NamedTuple

from sim.cli.errors import InputError
from sim.cli.options import FILE, flag, many, number, option, quantity, whole
from sim.cli.runner import Answer, Command

if TYPE_CHECKING:
    from sim.design.model import Design

MOST_DIGITS = 30


class Word(NamedTuple):
    """One part as it stands on the command line."""

    name: str
    amount: float
    percent: bool
    density: float | None


class Recipe(NamedTuple):
    """What is mixed: shares by weight, the density of the mix and where it comes from."""

    shares: dict[str, float]
    density: float | None
    density_from: str


def mix(args: argparse.Namespace) -> Answer:
    """Weigh out a mix, or go on after too much of one part."""
    from sim.bench.answers import mixed
    from sim.show.pages import bench as pages
    from sim.trials.cautions import DUST, RESIN

    recipe = _from_words(args) if args.part or args.design is None else _from_file(args)
    liquid = recipe.density
    if args.density:
        recipe = Recipe(recipe.shares, args.density, "measured")
    if args.rise is not None:
        recipe = _foamed(args, recipe, liquid)
    step = _step(args)
    found = mixed(
        recipe.shares, _wanted(args, recipe), step, recipe.density, recipe.density_from, dict(args.poured)
    )
    return Answer(
        {"mix": found, "cautions": [RESIN, DUST]}, page=lambda _: pages.mixed(found, step, [RESIN, DUST])
    )


def _from_words(args: argparse.Namespace) -> Recipe:
    from sim.bench import mix as laws
    from sim.bench.answers import density_of

    words = [_word(text) for text in args.part]
    if not words:
        raise InputError(
            "mix: say what goes in, as in resin=1 hardener=1 spheres=10%, or name a design file whose body is "
            "filled with a [mix.NAME]"
        )
    names = [word.name for word in words]
    if len(set(names)) < len(names):
        raise InputError("mix: two parts have the same name; give each its own")
    densities = {word.name: word.density for word in words}
    if args.by_volume:
        lacking = [word.name for word in words if word.density is None]
        if lacking or any(word.percent for word in words):
            raise InputError(
                "mix: --by-volume needs the true density of every part and no percentages, as in "
                "resin=3@1.1g/cm3 spheres=1@0.15g/cm3"
            )
        known = {word.name: word.density for word in words if word.density is not None}
        shares = laws.by_volume({word.name: word.amount for word in words}, known)
    else:
        shares = laws.shares(
            {word.name: word.amount for word in words if not word.percent},
            {word.name: word.amount for word in words if word.percent},
        )
    density = density_of(shares, densities)
    return Recipe(shares, density, "unknown" if density is None else "computed")


def _from_file(args: argparse.Namespace) -> Recipe:
    from sim.design.own import folded, mix_of, own_density, recipe_of

    design = args.design
    name = _body(args)
    found = _mix_in(design, name)
    if found is None:
        known = ", ".join(design.mix) or "none"
        raise InputError(
            f"{args.file}: body.{name} is not filled with a mix of the file (it has: {known}); write [mix.NAME] and "
            'fill = "NAME", or give the parts on the command line'
        )
    own = {folded(key): own_density(material) for key, material in design.material.items()}
    measured = found.density is not None or found.cube is not None
    return Recipe(recipe_of(found), mix_of(found, own).value, "measured" if measured else "computed")


def _mix_in(design: Design, body: str) -> Any:
    """The mix of the file that fills a body, if one does."""
    from sim.design.own import folded

    fill = design.body[body].fill
    return {folded(key): mix for key, mix in design.mix.items()}.get(folded(fill)) if fill else None


def _foamed(args: argparse.Namespace, recipe: Recipe, liquid: float | None) -> Recipe:
    from sim.bench.mix import foam_weight

    if liquid is None:
        raise InputError(
            "mix: --rise needs the density of the liquid before it foams; write it behind each part, as in "
            "a=1@1.1g/cm3 b=1@1.2g/cm3"
        )
    _, density = foam_weight(1.0, liquid, args.rise, args.packing)
    return Recipe(recipe.shares, density, "computed")


def _wanted(args: argparse.Namespace, recipe: Recipe) -> float:
    """Grams of mix that are wanted."""
    from sim.bench.mix import needed

    if args.weight:
        return 1e3 * float(args.weight)
    waste = args.waste
    if args.fill:
        volume = args.fill
        waste = 10.0 if waste is None else waste
    elif args.design is not None:
        volume, planned = _cavity(args)
        waste = planned if waste is None else waste
    else:
        raise InputError('mix: how much? Write --fill "12 mL" for a cavity, or --weight "9 g"')
    if recipe.density is None:
        raise InputError(
            'mix: the density of the mix is not known; give the one of a test block, --density "0.6 g/mL", or '
            "write each part's density behind it, as in resin=1@1.1g/cm3"
        )
    return 1e3 * needed(volume, recipe.density, args.count, waste / 100.0)


def _cavity(args: argparse.Namespace) -> tuple[float, float]:
    """The cavity of a body of the file (m3), and the waste its mix plans for (percent)."""
    from sim.lure.weigh import weigh

    name = _body(args)
    built = next(b for b in weigh(args.design).bodies if b.key == name)
    if built.inner is None:
        raise InputError(
            f'{args.file}: body.{name} is solid, so there is nothing to fill; give its cavity = "12 mL"'
        )
    found = _mix_in(args.design, name)
    return float(built.inner[0]), found.waste if found else 10.0


def _body(args: argparse.Namespace) -> str:
    """The body to be filled: the one that is named, or the first hollow one."""
    from sim.design.problems import printable

    body, bodies = args.body, args.design.body
    if body is not None:
        if body not in bodies:
            raise InputError(
                f"--body {printable(body)}: {args.file} has no body of that name. It has: "
                f"{', '.join(bodies) or 'none'}."
            )
        return str(body)
    hollow = [name for name, spec in bodies.items() if spec.cavity is not None or spec.wall is not None]
    if not hollow:
        raise InputError(f'{args.file} has no hollow body; write its cavity = "12 mL" or its wall = "1.5 mm"')
    return hollow[0]


def _word(text: str) -> Word:
    """A part such as resin=1@1.1g/cm3 or spheres=10%@0.15g/cm3."""
    from sim.design.problems import printable

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
    return Word(
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


def _step(args: argparse.Namespace) -> Decimal:
    """Smallest step of the scale, g."""
    if args.scale:
        return _grams(args.scale)
    if args.design is not None and not args.part:
        return _grams(_mix_in(args.design, _body(args)).scale.value)
    return Decimal("0.1")


def pour(args: argparse.Namespace) -> Answer:
    """Fill a cavity in part, the nose raised."""
    from sim.show.pages import bench as pages
    from sim.trials.cautions import DUST, RESIN
    from sim.trials.pour import pour

    if (args.weight is None) == (args.share is None):
        raise InputError(
            'pour: how much? Write --weight "4 g" or --share 60, percent of the cavity; one of them'
        )
    share = None if args.share is None else args.share / 100.0
    found = pour(args.design, _body(args), args.raised, args.weight, share, args.belly_up)
    return Answer(
        {"pour": found, "cautions": [RESIN, DUST]},
        page=lambda units: pages.poured(args.design.name, found, units, [RESIN, DUST]),
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
            option("--scale", '"0.1 g"', "smallest step of the scale (default: 0.1 g)", read=quantity("Mass")),
            many("--poured", "NAME=WEIGHT", read=_weighed,
                 help="what is in the cup already, as in resin=4.3g; the rest follows; may be given again"),
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
