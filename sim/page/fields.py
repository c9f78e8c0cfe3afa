"""The fields beside the drawing: every key of the file that holds one value, in the words of the design's reference.

A handle gives metres and radians; `written` puts them in the unit that the file has there, its `+-` kept.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterator, Mapping
from functools import lru_cache
from types import UnionType
from typing import Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel

from sim.design.model import Design
from sim.units import UnitError, parse

NEW = {"length": ("mm", 1e-3, 1), "angle": ("deg", math.pi / 180.0, 1)}
"""Unit, its SI size and decimals of a value that the file does not have yet."""
_NUMBER = re.compile(r"^\s*[-+]?[\d.,/ ]*\d\s*")


@lru_cache(maxsize=4)
def fields(text: str) -> list[dict[str, Any]]:
    """Groups of fields: {part, does, rows: [{path, label, value, help, example, choices}]}. Empty for broken TOML.

    A key that the file leaves out is a row without a value; a key that the model does not know is left out. For
    reading only: what is found is kept, as a text is asked of many times while something on it is dragged.
    """
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return []
    return list(_groups(raw, Design, ""))


def _groups(raw: Mapping[str, Any], model: type[BaseModel], prefix: str) -> Iterator[dict[str, Any]]:
    rows = list(_rows(raw, model, prefix))
    if rows:
        does = (model.__doc__ or "").strip().splitlines()[0] if prefix else ""
        yield {"part": prefix.rstrip("."), "does": does, "rows": rows}
    for key, info in model.model_fields.items():
        name = info.alias or key
        inner = _table_of(info.annotation)
        if inner is None or name not in raw:
            continue
        kind, many = inner
        if not many and isinstance(raw[name], dict) and not _is_place(kind):
            yield from _groups(raw[name], kind, f"{prefix}{name}.")
        elif many == "dict" and isinstance(raw[name], dict):
            for part, table in raw[name].items():
                if isinstance(table, dict):
                    yield from _groups(table, kind, f"{prefix}{name}.{part}.")


def _rows(raw: Mapping[str, Any], model: type[BaseModel], prefix: str) -> Iterator[dict[str, Any]]:
    for key, info in model.model_fields.items():
        name = info.alias or key
        inner = _table_of(info.annotation)
        if inner is not None and inner[1] == "" and _is_place(inner[0]):
            given = raw.get(name) if isinstance(raw.get(name), dict) else {}
            for row in _rows(given or {}, inner[0], f"{prefix}{name}."):
                yield {**row, "label": f"{name} {row['label']}", "help": info.description or row["help"]}
            continue
        if inner is not None or _is_list(info.annotation):
            continue
        value = raw.get(name)
        yield {
            "path": f"{prefix}{name}",
            "label": name,
            "value": "" if value is None else str(value).lower() if isinstance(value, bool) else str(value),
            "help": info.description or "",
            "example": str(info.examples[0]) if info.examples else "",
            "choices": _choices(info.annotation),
        }


def _table_of(annotation: Any) -> tuple[type[BaseModel], str] | None:
    """The table that a key holds, and whether it holds one ("") or one under each name ("dict")."""
    for kind in _members(annotation):
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            return kind, ""
        if get_origin(kind) is dict:
            value = get_args(kind)[1]
            if isinstance(value, type) and issubclass(value, BaseModel):
                return value, "dict"
    return None


def _is_list(annotation: Any) -> bool:
    return any(get_origin(kind) in (list, tuple, dict) for kind in _members(annotation))


def _is_place(model: type[BaseModel]) -> bool:
    return set(model.model_fields) == {"back", "up", "left"}


def _choices(annotation: Any) -> list[str]:
    for kind in _members(annotation):
        if get_origin(kind) is Literal:
            return [str(choice) for choice in get_args(kind)]
        if kind is bool:
            return ["true", "false"]
    return []


def _members(annotation: Any) -> Iterator[Any]:
    if get_origin(annotation) in (Union, UnionType):
        for kind in get_args(annotation):
            yield from _members(kind)
    else:
        yield annotation


def typed(text: str, choices: list[str]) -> Any:
    """What a field's text means to the file: a word, a whole number, a number or a truth; None for nothing."""
    bare = text.strip()
    if not bare:
        return None
    if bare in ("true", "false") and choices in ([], ["true", "false"]):
        return bare == "true"
    try:
        return int(bare)
    except ValueError:
        pass
    try:
        return float(bare)
    except ValueError:
        return bare


def written(present: str, value: float, dimension: str) -> str:
    """A value (SI) as the file would have it: in the unit of the present text, with its `+-`.

    >>> written("12.4 +- 0.2 mm", 0.013, "length"), written("2 3/4 in", 0.0635, "length"), written("", 0.5, "angle")
    ('13.0 +- 0.2 mm', '2.50 in', '28.6 deg')
    """
    unit, scale, places = NEW[dimension]
    middle = re.split(r"\+-|±", present)
    if present and middle:
        try:
            found = _NUMBER.sub("", present.split("+-")[-1].split("±")[-1]).strip()
            scale = parse(f"1 {found}", dimension).value
            unit = found
            places = 2 if unit in ("in", "inch", '"') else 3 if unit == "m" else 2 if unit == "cm" else places
        except UnitError:
            pass
    number = f"{value / scale + 0.0:.{places}f}"
    if float(number) == 0.0:
        number = f"{0.0:.{places}f}"
    if len(middle) == 2:
        doubt = middle[1].strip()
        first = middle[0].strip()
        own = _NUMBER.sub("", first).strip()
        return f"{number} {own} +- {doubt}" if own else f"{number} +- {doubt}"
    return f"{number} {unit}"
