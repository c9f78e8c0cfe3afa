"""`measure` and `materials`: readings into values, and what is known of what lures are made of."""

from __future__ import annotations

import argparse
from collections.abc import Collection
from typing import TYPE_CHECKING, Any

from sim.cli.errors import InputError
from sim.cli.options import option
from sim.cli.runner import Answer, Command
from sim.message import in_units

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


IN_A_FILE = {
    "cavity": "water_fill", "density": "immersion", "balance": "poise", "hardware": "estimate", "ballast": "metal",
}  # fmt: skip
"""Kind of measurement -> the key that holds its readings in a design file, where that has another name."""
_BY_KEY = {key: kind for kind, key in IN_A_FILE.items()}


def kind_of(name: str) -> type[Reading]:
    """The class that takes the readings of a kind."""
    from importlib import import_module

    module, kind = KINDS[name]
    found: type[Reading] = getattr(import_module(f"sim.design.{module}"), kind)
    return found


def measure(args: argparse.Namespace) -> Answer:
    """Turn readings into a value, or say which readings a kind takes."""
    from sim.show.pages import bench as pages

    name = _BY_KEY.get(args.kind, args.kind)
    if name is None:
        known = {name: kind_of(name) for name in KINDS}
        return Answer({"kinds": pages.kinds_as_data(known)}, page=lambda _: pages.kinds(known))
    if name not in KINDS:
        from sim.design.problems import printable

        raise InputError(
            f"there is no measurement called {printable(name)!r}.{_hint(name, KINDS)} They are: {', '.join(KINDS)}."
        )
    kind = kind_of(name)
    if not args.readings:
        return Answer(
            {"measure": name, "readings": pages.kind_as_data(kind)},
            page=lambda _: pages.kind(name, kind, IN_A_FILE.get(name, "")),
        )
    reading = read(name, kind, _from_file(name, args.readings, args.units), args.units)
    return Answer(
        {"measure": name, **pages.as_data(reading)}, page=lambda units: pages.measured(name, reading, units)
    )


def _from_file(name: str, words: list[str], system: str) -> list[str]:
    """Words with a design file among them replaced by what it tells of a found thing; words beside it count first."""
    files = [word for word in words if "=" not in word and word.lower().endswith(".toml")]
    if name != "thing" or not files:
        return words
    from sim.bench.uncertainty import ReadingError
    from sim.cli.designs import load_design
    from sim.design.thing import thing_words

    if len(files) > 1:
        raise InputError("measure thing: name one design file")
    others = [word for word in words if word not in files]
    try:
        found = thing_words(load_design(files[0], system))
    except ReadingError as problem:
        raise InputError(f"measure thing {files[0]}: {in_units(problem, system)}") from problem
    given = {word.partition("=")[0] for word in others}
    if given & {"cavity", "water"}:
        given |= {"cavity", "solid"}
    return [f"{key}={value}" for key, value in found.items() if key not in given] + others


def _hint(name: str, known: Collection[str]) -> str:
    from sim.design.problems import nearest

    near = nearest(name, known)
    return f" Did you mean {near!r}?" if near else ""


def read(name: str, kind: type[Reading], words: list[str], system: str = "metric") -> Reading:
    """Readings from words such as `full="31.4 g"`; what is wrong is told in units of a system.

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
        lines = [_sentence(name, kind, error, system) for error in problem.errors(include_url=False)]
        raise InputError("\n".join(lines)) from problem


def _sentence(name: str, kind: type[Reading], error: Any, system: str) -> str:
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
    wrong = in_units(error.get("ctx", {}).get("problem", error["msg"]), system)
    if error["type"] == "quantity" or not key:
        return f"{where}: {wrong}"
    return f"{where}: {wrong}; write for example {kind.example}"


def materials(args: argparse.Namespace) -> Answer:
    """List the materials, or show one."""
    from sim.design.materials import MATERIALS, find
    from sim.design.problems import printable
    from sim.show.pages import bench as pages

    every = list({material.name: material for material in MATERIALS.values()}.values())
    if args.name is None:
        return Answer(every, page=lambda _: pages.materials(every))
    found = find(args.name)
    if found is not None:
        return Answer(found, page=lambda _: pages.material(found))
    wanted = args.name.lower()
    hits = [m for m in every if wanted in m.name or wanted in m.group]
    if not hits:
        raise InputError(
            f"there is no material {printable(args.name)!r} in the list.{_hint(args.name, MATERIALS)} "
            "`drytank materials` shows all; one of your own goes into the design file as [material.NAME]."
        )
    return Answer(hits, page=lambda _: pages.materials(hits))


COMMANDS = (
    Command(
        "measure", "readings at the bench into a value with its uncertainty",
        'drytank measure cavity full="31.4 g" empty="17.4 g" temperature="21 C"',
        (
            option("kind", "KIND", f"what was measured: {', '.join(KINDS)}; all are told if left out", nargs="?"),
            option("readings", "KEY=READING", nargs="*",
                   help='the readings, such as full="31.4 g"; the kind\'s keys are told if left out. `thing` takes '
                   "a design file too"),
        ),
        measure,
    ),
    Command(
        "materials", "densities of what lures are made of, with their sources",
        "drytank materials cedar",
        (option("name", "NAME", "one material, or part of a name; all if left out", nargs="?"),),
        materials,
    ),
)  # fmt: skip
