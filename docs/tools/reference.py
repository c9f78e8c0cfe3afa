"""Writes `docs/reference` from the models and the command line, so that it cannot fall behind them.

python -m docs.tools.reference docs/reference [--check]
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from enum import EnumType, StrEnum
from pathlib import Path
from types import NoneType
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from sim.cli.errors import STATUS
from sim.cli.parser import COMMANDS, parser
from sim.design.model import Design
from sim.design.parts import Place
from sim.remark import Remark
from sim.trials.results import TrialResult
from sim.units import Quantity

_NOTE = (
    "<!-- Written by `python -m docs.tools.reference docs/reference`; change the models, not this file. -->"
)

_UNITS = {
    "_kg_m3": "kg/m3", "_g_cm2": "g cm2", "_cm_s": "cm/s", "_ft_s": "ft/s", "_m_s": "m/s",
    "seconds_per_m": "s", "seconds_per_ft": "s", "turns_per_m": "per m", "_hz": "per second",
    "_deg": "degrees", "_mm": "mm", "_ml": "mL", "_g": "g", "_m": "m", "_s": "s", "_n": "N",
}  # fmt: skip


def pages() -> dict[str, str]:
    """File name -> text of every page of the reference."""
    return {"design-file.md": _design_file(), "results.md": _results(), "commands.md": _commands()}


def main(argv: Sequence[str] | None = None) -> int:
    """Write the pages, or with `--check` say which of them are out of date (exit status 1)."""
    words = argparse.ArgumentParser(
        prog="python -m docs.tools.reference", description=__doc__.splitlines()[0]
    )
    words.add_argument("folder", type=Path)
    words.add_argument("--check", action="store_true", help="write nothing; exit status 1 if a page differs")
    args = words.parse_args(argv)
    stale = 0
    for name, text in pages().items():
        path = args.folder / name
        if path.exists() and path.read_text(encoding="utf-8") == text:
            continue
        stale += 1
        if args.check:
            print(f"{path} is out of date", file=sys.stderr)
        else:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
    return 1 if args.check and stale else 0


# ---- the design file ----------------------------------------------------------------------------------


def _design_file() -> str:
    simple = {k: f for k, f in Design.model_fields.items() if _model(f.annotation) is None}
    blocks = [
        _NOTE,
        "# The design file",
        "A design is one TOML file. `drytank new` writes one to start from. Every value that has a unit is "
        'text with the unit in it, as you would write it: `"3/8 oz"`, `"2 3/4 in"`, `"18 mL"`, `"18 C"`; '
        'say how sure you are with `+-`, as in `"18.4 +- 0.2 g"`. Unknown keys are refused.',
        "## Top of the file",
        _keys(simple),
        "## A place",
        f"{Place.__doc__} Written where a key below says *place*, for example "
        '`at = { back = "31 mm", up = "-9 mm" }`.',
        _keys(Place.model_fields),
    ]
    for key, field in Design.model_fields.items():
        model = _model(field.annotation)
        if model is not None:
            named = get_origin(field.annotation) is dict
            path = f"{key}.NAME" if named else key
            blocks += _table(f"[{path}]", path, model)
    return "\n\n".join(blocks) + "\n"


def _table(title: str, path: str, model: type[BaseModel]) -> Iterator[str]:
    """Heading, sentence and keys of one table of the file, and of the tables inside it."""
    yield f"## `{title}`"
    if title.endswith(".NAME]"):
        yield f"{_one_line(model)} As many as you like, each under a name of your own."
    else:
        yield _one_line(model)
    yield _keys(model.model_fields)
    for key, field in model.model_fields.items():
        inner = _model(field.annotation)
        if inner is not None and inner is not Place:
            here = f"{path}.{key}"
            if get_origin(field.annotation) is dict:
                yield from _table(f"[{here}.NAME]", f"{here}.NAME", inner)
            elif get_origin(field.annotation) is list:
                yield from _table(f"{here} = [ {{ ... }}, ... ]", here, inner)
            else:
                yield from _table(f"{here} = {{ ... }}", here, inner)


def _keys(fields: dict[str, FieldInfo]) -> str:
    rows = [(f"`{key}`", _what(field), _example(field), _default(field)) for key, field in fields.items()]
    return _grid(("key", "what", "example", "if left out"), rows)


def _what(field: FieldInfo) -> str:
    parts = [field.description or ""]
    choices = _choices(field.annotation)
    if choices:
        parts.append("one of " + ", ".join(f"`{choice}`" for choice in choices))
    model = _model(field.annotation)
    if model is not None:
        parts.insert(
            0,
            "*place*"
            if model is Place
            else "list, see below"
            if get_origin(field.annotation) is list
            else "table, see below",
        )
    return "; ".join(filter(None, parts))


def _example(field: FieldInfo) -> str:
    if field.examples:
        return f"`{_toml(field.examples[0])}`"
    choices = _choices(field.annotation)
    if choices:
        return f"`{_toml(choices[-1])}`"
    if field.annotation is bool:
        return "`true`"
    if _model(field.annotation) is Place:
        return '`{ back = "31 mm", up = "-9 mm" }`'
    return ""


def _default(field: FieldInfo) -> str:
    if field.is_required():
        return "**must be given**"
    value = field.get_default(call_default_factory=True)
    if isinstance(value, Place):
        return "the tip of the nose"
    return "" if value is None or value in ([], {}, "") else f"`{_toml(value)}`"


def _toml(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, list):
        return f"[{', '.join(_toml(item) for item in value)}]"
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key} = {_toml(item)}' for key, item in value.items())} }}"
    if isinstance(value, Quantity):
        value = value.text
    return f'"{value}"' if isinstance(value, str) else str(value)


# ---- results ------------------------------------------------------------------------------------------


def _results() -> str:
    words = {enum.__name__: enum for enum in _enums(TrialResult)}
    blocks = [
        _NOTE,
        "# Results as JSON",
        "`drytank trial FILE --json` gives all of this. Each command alone gives `design`, `version` and its "
        "own answer under the same key. Numbers are in the unit that ends the key's name. `null` means that "
        "the question has no answer for this lure.",
    ]
    simple = {k: f for k, f in TrialResult.model_fields.items() if _model(f.annotation) is None}
    blocks += ["## Top", _grid(_RESULT_HEAD, list(_result_rows(simple, "")))]
    for key, field in TrialResult.model_fields.items():
        model = _model(field.annotation)
        if model is not None:
            path = (field.alias or key) + _brackets(field.annotation)
            rows = list(_result_rows(model.model_fields, f"{path}."))
            blocks += [f"## `{path}`", _one_line(model), _grid(_RESULT_HEAD, rows)]
    blocks.append("## Words")
    for name, enum in sorted(words.items()):
        blocks += [f"**{name}.** {_one_line(enum)}", "\n".join(f"- `{word.value}`" for word in enum)]
    return "\n\n".join(blocks) + "\n"


_RESULT_HEAD = ("key", "what", "unit", "type")


def _result_rows(fields: dict[str, FieldInfo], prefix: str) -> Iterator[tuple[str, ...]]:
    for key, field in fields.items():
        if field.exclude:
            continue
        path = prefix + (field.alias or key) + _brackets(field.annotation)
        model = _model(field.annotation)
        if model is not None:
            yield (f"`{path}`", field.description or "", "", _nested(field.annotation))
            yield from _result_rows(model.model_fields, f"{path}.")
        else:
            yield (f"`{path}`", field.description or "", _unit(key), _type(field.annotation))


def _brackets(annotation: Any) -> str:
    return "[]" if get_origin(annotation) is list else ""


def _nested(annotation: Any) -> str:
    if _brackets(annotation):
        return "list: tables"
    return "table or null" if NoneType in get_args(annotation) else "table"


def _unit(key: str) -> str:
    return next((unit for ending, unit in _UNITS.items() if key.endswith(ending)), "")


_TYPES = {float: "number", int: "whole number", bool: "true or false", str: "text", NoneType: "null",
          Remark | str: "text", list[Remark] | str: "text"}  # fmt: skip


def _type(annotation: Any) -> str:
    origin, inside = get_origin(annotation), get_args(annotation)
    if origin is list:
        return f"list: {_type(inside[0])}"
    if origin is dict:
        return f"table of {_type(inside[1])}s"
    if origin is tuple:
        return "[" + ", ".join(_type(item) for item in inside) + "]"
    if NoneType in inside:
        return " or ".join(_type(item) for item in inside)
    if isinstance(annotation, EnumType):
        return f"word ({annotation.__name__})"
    return _TYPES[annotation]


def _enums(model: type[BaseModel]) -> Iterator[type[StrEnum]]:
    for field in model.model_fields.values():
        if field.exclude:
            continue
        for found in _classes(field.annotation):
            if issubclass(found, StrEnum):
                yield found
            elif issubclass(found, BaseModel):
                yield from _enums(found)


# ---- commands -----------------------------------------------------------------------------------------


def _commands() -> str:
    subparsers = next(a for a in parser()._actions if isinstance(a, argparse._SubParsersAction))
    blocks = [
        _NOTE,
        "# Commands",
        f"`python -m sim` is the same command as `drytank`. Exit status: {STATUS}. Messages go to standard "
        "error; only answers go to standard output.",
    ]
    for command in COMMANDS:
        rows = [
            (
                f"`{_spelling(action)}`",
                (action.help or "").replace("show this", "Show this").replace("%%", "%"),
            )
            for action in subparsers.choices[command.name]._actions
            if action.dest != "help"
        ]
        blocks += [
            f"## `drytank {command.name}`",
            f"{command.does[0].upper()}{command.does[1:]}.",
            f"```sh\n{command.example}\n```",
            _grid(("word", "what"), rows),
        ]
    return "\n\n".join(blocks) + "\n"


def _spelling(action: argparse.Action) -> str:
    if not action.option_strings:
        return str(action.metavar)
    if action.nargs == 0:
        return action.option_strings[-1]
    takes = action.metavar or "|".join(map(str, action.choices or ()))
    return f"{action.option_strings[-1]} {takes}"


# ---- reading annotations ------------------------------------------------------------------------------


def _classes(annotation: Any) -> Iterator[type]:
    """Every class that an annotation names, however deep."""
    if isinstance(annotation, type) and not get_args(annotation):
        yield annotation
    for inside in get_args(annotation):
        if get_origin(annotation) is not Literal:
            yield from _classes(inside)


def _model(annotation: Any) -> type[BaseModel] | None:
    return next((c for c in _classes(annotation) if issubclass(c, BaseModel)), None)


def _choices(annotation: Any) -> tuple[str, ...]:
    if get_origin(annotation) is Literal:
        return get_args(annotation)
    return next((_choices(a) for a in get_args(annotation) if get_origin(a) is Literal), ())


def _one_line(documented: type) -> str:
    return (documented.__doc__ or "").strip().splitlines()[0]


def _grid(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join("| " + " | ".join(cell.replace("|", "\\|") for cell in line) + " |" for line in lines)


if __name__ == "__main__":
    sys.exit(main())
