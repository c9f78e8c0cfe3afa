"""`mix` and `pour`: resin, filler and foam by weight, and where a part fill comes to lie."""

from __future__ import annotations

import argparse
from decimal import Decimal, InvalidOperation
from typing import TYPE_CHECKING, Any, NamedTuple

from sim.cli.common import (
    ANSWERED,
    Command,
    InputError,
    answer_arguments,
    as_json,
    design_arguments,
    load_design,
    look_for,
    quantity,
)

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


def run_mix(args: argparse.Namespace) -> int:
    """Weigh out a mix, or go on after too much of one part."""
    from sim.bench.answers import mixed
    from sim.bench.uncertainty import ReadingError
    from sim.show import bench as pages
    from sim.trials.cautions import DUST, RESIN

    design = load_design(args.file) if args.file else None
    try:
        recipe = _from_file(design, args.body, args.file) if design and not args.part else _from_words(args)
        liquid = recipe.density
        if args.density:
            recipe = Recipe(recipe.shares, _density("--density", args.density), "measured")
        if args.rise is not None:
            recipe = _foamed(args, recipe, liquid)
        step = _step(args, design)
        wanted = _wanted(args, design, recipe)
        poured = dict(_weighed(word) for word in args.poured or ())
        answer = mixed(recipe.shares, wanted, step, recipe.density, recipe.density_from, poured)
    except ReadingError as problem:
        raise InputError(f"mix: {problem}") from problem
    if args.json:
        from sim import __version__

        print(as_json({"version": __version__, "mix": answer, "cautions": [RESIN, DUST]}))
    else:
        print(pages.mixed(answer, step, look_for(args), [RESIN, DUST]))
    return ANSWERED


def _from_words(args: argparse.Namespace) -> Recipe:
    from sim.bench import mix
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
        shares = mix.by_volume({word.name: word.amount for word in words}, known)
    else:
        shares = mix.shares(
            {word.name: word.amount for word in words if not word.percent},
            {word.name: word.amount for word in words if word.percent},
        )
    density = density_of(shares, densities)
    return Recipe(shares, density, "unknown" if density is None else "computed")


def _from_file(design: Design, body: str | None, file: str) -> Recipe:
    from sim.design.own import folded, mix_of, own_density, recipe_of

    name = _body(design, body, file)
    fill = design.body[name].fill
    found = {folded(key): mix for key, mix in design.mix.items()}.get(folded(fill)) if fill else None
    if found is None:
        known = ", ".join(design.mix) or "none"
        raise InputError(
            f"{file}: body.{name} is not filled with a mix of the file (it has: {known}); write [mix.NAME] and "
            'fill = "NAME", or give the parts on the command line'
        )
    own = {folded(key): own_density(material) for key, material in design.material.items()}
    told = found.density is not None or found.cube is not None
    return Recipe(recipe_of(found), mix_of(found, own).value, "measured" if told else "computed")


def _foamed(args: argparse.Namespace, recipe: Recipe, liquid: float | None) -> Recipe:
    from sim.bench.mix import foam_weight

    if liquid is None:
        raise InputError(
            "mix: --rise needs the density of the liquid before it foams; write it behind each part, as in "
            "a=1@1.1g/cm3 b=1@1.2g/cm3"
        )
    _, density = foam_weight(1.0, liquid, args.rise, args.packing)
    return Recipe(recipe.shares, density, "computed")


def _wanted(args: argparse.Namespace, design: Design | None, recipe: Recipe) -> float:
    """Grams of mix that are wanted."""
    from sim.bench.mix import needed
    from sim.design.quantities import Mass, Volume

    if args.total:
        return 1e3 * quantity(args.total, Mass, "--total")
    waste = args.waste
    if args.fill:
        volume = quantity(args.fill, Volume, "--fill")
        waste = 10.0 if waste is None else waste
    elif design is not None:
        volume, planned = _cavity(design, args.body, args.file)
        waste = planned if waste is None else waste
    else:
        raise InputError('mix: how much? Write --fill "12 mL" for a cavity, or --total "9 g"')
    if recipe.density is None:
        raise InputError(
            'mix: the density of the mix is not known; give the one of a test block, --density "0.6 g/mL", or '
            "write each part's density behind it, as in resin=1@1.1g/cm3"
        )
    return 1e3 * needed(volume, recipe.density, args.bodies, waste / 100.0)


def _cavity(design: Design, body: str | None, file: str) -> tuple[float, float]:
    """The cavity of a body of the file (m3), and the waste its mix plans for (percent)."""
    from sim.design.own import folded
    from sim.lure import BuildError
    from sim.lure.weigh import weigh

    name = _body(design, body, file)
    try:
        built = next(b for b in weigh(design).bodies if b.key == name)
    except BuildError as problem:
        raise InputError(f"{file}: {problem}") from problem
    if built.inner is None:
        raise InputError(
            f'{file}: body.{name} is solid, so there is nothing to fill; give its cavity = "12 mL"'
        )
    fill = design.body[name].fill
    found = {folded(key): mix for key, mix in design.mix.items()}.get(folded(fill)) if fill else None
    return float(built.inner[0]), found.waste if found else 10.0


def _body(design: Design, body: str | None, file: str) -> str:
    from sim.design.problems import printable

    if body is not None:
        if body not in design.body:
            raise InputError(
                f"--body {printable(body)}: {file} has no body of that name. It has: "
                f"{', '.join(design.body) or 'none'}."
            )
        return body
    hollow = [name for name, spec in design.body.items() if spec.cavity is not None or spec.wall is not None]
    if not hollow:
        raise InputError(f'{file} has no hollow body; write its cavity = "12 mL" or its wall = "1.5 mm"')
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
    return Word(name.strip(), value, amount.strip().endswith("%"), _density(name, stuff) if at else None)


def _density(what: str, text: str) -> float:
    """A density, or that of a material of the list."""
    from sim.design.materials import find
    from sim.design.quantities import Density

    found = find(text)
    return found.density if found is not None else quantity(text, Density, f"mix: {what}")


def _weighed(text: str) -> tuple[str, Decimal]:
    """What is in the cup, such as resin=4.3g; grams if no unit is written."""
    from sim.design.problems import printable
    from sim.design.quantities import Mass

    name, equals, rest = text.partition("=")
    if not equals:
        raise InputError(f'--poured "{printable(text)}": write part=weight, as in resin=4.3g')
    plain = rest.strip().removesuffix("g").strip().replace(",", ".")
    try:
        if len(plain) > MOST_DIGITS:
            raise InvalidOperation
        value = Decimal(plain)
    except InvalidOperation:
        value = Decimal(repr(round(1e3 * quantity(rest, Mass, "--poured"), 6)))
    if not value.is_finite() or not 0 <= value < 20_000:
        raise InputError(f"--poured {printable(text)}: this is no weight that a cup can hold")
    return name.strip(), value


def _step(args: argparse.Namespace, design: Design | None) -> Decimal:
    from sim.design.own import folded
    from sim.design.quantities import Mass

    if args.scale:
        return Decimal(repr(round(1e3 * quantity(args.scale, Mass, "--scale"), 6)))
    if design is not None and not args.part:
        fill = design.body[_body(design, args.body, args.file)].fill
        found = {folded(key): mix for key, mix in design.mix.items()}[folded(fill or "")]
        return Decimal(repr(round(1e3 * found.scale.value, 6)))
    return Decimal("0.1")


def run_pour(args: argparse.Namespace) -> int:
    """Fill a cavity in part, the nose raised."""
    from sim.bench.uncertainty import ReadingError
    from sim.design.quantities import Angle, Mass
    from sim.lure import BuildError
    from sim.show import bench as pages
    from sim.trials.cautions import DUST, RESIN
    from sim.trials.pour import pour

    design = load_design(args.file)
    if (args.weight is None) == (args.share is None):
        raise InputError(
            'pour: how much? Write --weight "4 g" or --share 60, percent of the cavity; one of them'
        )
    if args.share is not None and not 0.0 < args.share <= 100.0:
        raise InputError(f"--share {args.share:g}: write percent of the cavity, above 0 and up to 100")
    try:
        answer = pour(
            design,
            _body(design, args.body, args.file),
            quantity(args.raised, Angle, "--raised"),
            None if args.weight is None else quantity(args.weight, Mass, "--weight"),
            None if args.share is None else args.share / 100.0,
            args.belly_up,
        )
    except (ReadingError, BuildError) as problem:
        raise InputError(f"{args.file}: {problem}") from problem
    if args.json:
        from sim import __version__

        data: dict[str, Any] = {"design": design.name, "version": __version__, "pour": answer}
        print(as_json({**data, "cautions": [RESIN, DUST]}))
    else:
        print(pages.poured(design.name, answer, look_for(args), [RESIN, DUST]))
    return ANSWERED


def _mix_arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument(
        "part", nargs="*", metavar="PART",
        help="name=amount by weight, or percent of all parts for a filler, then @density or @material, "
        "as in resin=1@epoxy spheres=10%%@0.15g/cm3",
    )  # fmt: skip
    sub.add_argument(
        "--file", metavar="FILE", help="a design file: its cavity, and its mix if no parts are given"
    )
    sub.add_argument("--body", metavar="NAME", help="which body of it (default: the first hollow one)")
    sub.add_argument("--fill", metavar='"12 mL"', help="volume to fill, for one body")
    sub.add_argument("--total", metavar='"9 g"', help="weight of mix, instead of a volume")
    sub.add_argument("--bodies", type=int, default=1, metavar="N", help="how many bodies (default: 1)")
    sub.add_argument("--waste", type=float, metavar="PERCENT", help="what stays in the cup (default: 10)")
    sub.add_argument("--density", metavar='"0.6 g/mL"', help="of the mix as it sets, from a test block")
    sub.add_argument("--scale", metavar='"0.1 g"', help="smallest step of the scale (default: 0.1 g)")
    sub.add_argument(
        "--poured", action="append", metavar="NAME=WEIGHT",
        help="what is in the cup already, as in resin=4.3g; the rest follows; may be given again",
    )  # fmt: skip
    sub.add_argument("--by-volume", action="store_true", help="amounts are volumes of true density")
    sub.add_argument("--rise", type=float, metavar="TIMES", help="foam: times its volume when free to rise")
    sub.add_argument(
        "--packing",
        type=float,
        default=1.0,
        metavar="TIMES",
        help="foam: more than just fills it (default: 1)",
    )
    answer_arguments(sub)


def _pour_arguments(sub: argparse.ArgumentParser) -> None:
    design_arguments(sub)
    sub.add_argument("--body", metavar="NAME", help="which body (default: the first hollow one)")
    sub.add_argument("--weight", metavar='"4 g"', help="of the pour")
    sub.add_argument("--share", type=float, metavar="PERCENT", help="of the cavity, instead of a weight")
    sub.add_argument(
        "--raised",
        default="0 deg",
        metavar='"20 deg"',
        help="nose above level while it sets (default: level)",
    )
    sub.add_argument("--belly-up", action="store_true", help="the lure lies on its back while it sets")


COMMANDS = (
    Command(
        "mix",
        "resin, filler or foam weighed out, and again after too much of one part",
        'drytank mix resin=1 hardener=1 spheres=10% --density "0.6 g/mL" --fill "12 mL"',
        _mix_arguments,
        run_mix,
    ),
    Command(
        "pour",
        "where a part fill lies when the nose is raised, and where the lure then balances",
        'drytank pour scenarios/last_skittle.toml --share 40 --raised "20 deg"',
        _pour_arguments,
        run_pour,
    ),
)
