"""`measure` and `materials`: readings into values, and what is known of what lures are made of."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from sim.cli.common import ANSWERED, Command, InputError, answer_arguments, as_json, look_for

if TYPE_CHECKING:
    from sim.design.readings import Reading

KINDS = {
    "cavity": ("readings", "WaterFill"),
    "level": ("readings", "Level"),
    "cup": ("readings", "Cup"),
    "density": ("readings", "Immersion"),
    "cube": ("readings", "Cube"),
    "scrap": ("readings", "ScrapOf"),
    "shell": ("verdicts", "Shell"),
    "thing": ("thing", "Thing"),
    "balance": ("readings", "Balance"),
    "tub": ("readings", "Tub"),
    "bulk": ("pieces", "Bulk"),
    "hardware": ("pieces", "Estimate"),
    "ballast": ("pieces", "MetalOf"),
    "compare": ("verdicts", "AgreementReading"),
}
"""Kind of measurement -> module of `sim.design` and class that reads it; found late."""


def kind_of(name: str) -> type[Reading]:
    """The class that takes the readings of a kind."""
    from importlib import import_module

    module, kind = KINDS[name]
    found: type[Reading] = getattr(import_module(f"sim.design.{module}"), kind)
    return found


def run_measure(args: argparse.Namespace) -> int:
    """Turn readings into a value, or say which readings a kind takes."""
    from sim.show import bench as pages

    look = look_for(args)
    if args.kind is None:
        print(pages.kinds({name: kind_of(name) for name in KINDS}, look))
        return ANSWERED
    if args.kind not in KINDS:
        from sim.design.problems import nearest, printable

        near = nearest(args.kind, KINDS)
        hint = f" Did you mean {near!r}?" if near else ""
        raise InputError(
            f"there is no measurement called {printable(args.kind)!r}.{hint} They are: {', '.join(KINDS)}."
        )
    kind = kind_of(args.kind)
    if not args.readings:
        print(pages.kind(args.kind, kind, look))
        return ANSWERED
    reading = read(args.kind, kind, args.readings)
    if args.json:
        from sim import __version__

        print(as_json({"measure": args.kind, "version": __version__, **pages.as_data(reading)}))
    else:
        print(pages.measured(args.kind, reading, look))
    return ANSWERED


def read(name: str, kind: type[Reading], words: list[str]) -> Reading:
    """Readings from words such as `full="31.4 g"`.

    Raises:
        InputError: every word that cannot be used.
    """
    from pydantic import ValidationError

    from sim.design.problems import printable

    values: dict[str, Any] = {}
    for word in words:
        key, equals, value = word.partition("=")
        if not equals or not key:
            raise InputError(
                f'measure {name}: "{printable(word)}" is no reading; write key=value, as in {kind.example}'
            )
        if key in values:
            values[key] = [*(values[key] if isinstance(values[key], list) else [values[key]]), value]
        else:
            values[key] = value
    try:
        return kind.model_validate(values)
    except ValidationError as problem:
        lines = [_sentence(name, kind, error) for error in problem.errors(include_url=False)]
        raise InputError("\n".join(lines)) from problem


def _sentence(name: str, kind: type[Reading], error: Any) -> str:
    from sim.design.problems import nearest, printable

    key = str(error["loc"][0]) if error["loc"] else ""
    where = f"measure {name}: {printable(key)}" if key else f"measure {name}"
    if error["type"] == "extra_forbidden":
        near = nearest(key, kind.model_fields)
        hint = f'did you mean "{near}"?' if near else f"they are {', '.join(kind.model_fields)}"
        return f"{where}: there is no such reading; {hint}"
    if error["type"] == "missing":
        example = kind.model_fields[key].examples
        return f'{where}: this is missing; write for example {key}="{(example or ["..."])[0]}"'
    if error["type"] == "literal_error":
        return f"{where}: this must be {error['ctx']['expected'].replace(chr(39), chr(34))}"
    if error["type"].startswith(("int", "greater", "less")):
        return f"{where}: this must be a whole number above zero, as in 10"
    if error["type"] == "string_type":
        return f"{where}: give this once only"
    if error["type"] == "quantity" or not key:
        return f"{where}: {error['msg']}"
    return f"{where}: {error['msg']}; write for example {kind.example}"


def run_materials(args: argparse.Namespace) -> int:
    """List the materials, or show one."""
    from sim.design.materials import MATERIALS, find
    from sim.design.problems import nearest, printable
    from sim.show import bench as pages

    look = look_for(args)
    if args.name is None:
        print(as_json(list(_unique())) if args.json else pages.materials(_unique(), look))
        return ANSWERED
    found = find(args.name)
    if found is None:
        wanted = args.name.lower()
        hits = [m for m in _unique() if wanted in m.name or wanted in m.group]
        if not hits:
            near = nearest(args.name, MATERIALS)
            hint = f" Did you mean {near!r}?" if near else ""
            raise InputError(
                f"there is no material {printable(args.name)!r} in the list.{hint} `drytank materials` shows all; "
                "one of your own goes into the design file as [material.NAME]."
            )
        print(as_json(hits) if args.json else pages.materials(hits, look))
        return ANSWERED
    print(as_json(found) if args.json else pages.material(found, look))
    return ANSWERED


def _unique() -> list[Any]:
    from sim.design.materials import MATERIALS

    return list({material.name: material for material in MATERIALS.values()}.values())


def _measure_arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument(
        "kind",
        nargs="?",
        metavar="KIND",
        help=f"what was measured: {', '.join(KINDS)}; all are told if left out",
    )
    sub.add_argument(
        "readings", nargs="*", metavar="KEY=READING",
        help='the readings, such as full="31.4 g"; the kind\'s keys are told if left out',
    )  # fmt: skip
    answer_arguments(sub)


def _materials_arguments(sub: argparse.ArgumentParser) -> None:
    sub.add_argument(
        "name", nargs="?", metavar="NAME", help="one material, or part of a name; all if left out"
    )
    answer_arguments(sub)


COMMANDS = (
    Command(
        "measure",
        "readings at the bench into a value with its uncertainty",
        'drytank measure cavity full="31.4 g" empty="17.4 g" temperature="21 C"',
        _measure_arguments,
        run_measure,
    ),
    Command(
        "materials",
        "densities of what lures are made of, with their sources",
        "drytank materials cedar",
        _materials_arguments,
        run_materials,
    ),
)
