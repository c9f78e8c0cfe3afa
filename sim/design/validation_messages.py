"""Pydantic's complaints about a design, put into words a maker can act on."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from sim.design import assembly, calibration, fishing, model, parts, pieces, readings
from sim.design.problems import Finding, nearest, printable, shown

_CALLED: dict[type[BaseModel], str] = {
    model.Design: "a design",
    parts.Place: "a place",
    fishing.Water: "the water",
    parts.Station: "a station",
    parts.Body: "a body",
    assembly.Assembly: "an assembly",
    parts.Plate: "a plate",
    parts.Wire: "a wire",
    parts.Hanging: "a hook or fitting",
    parts.Ballast: "a ballast weight",
    parts.Paint: "the paint",
    parts.TieOn: "a tie-on point",
    fishing.Line: "the line",
    fishing.Leader: "the leader",
    fishing.Cast: "the cast",
    fishing.Retrieve: "the retrieve",
    fishing.Programme: "a programme",
    fishing.Step: "a step",
    model.Measured: "the measured values",
    parts.Rattle: "a rattle",
    model.OwnMaterial: "a material",
    model.Mix: "a mix",
    model.MixPart: "a part of a mix",
    readings.WaterFill: "the readings of a water fill",
    readings.Level: "the readings of a level",
    readings.Cup: "the readings of a cup",
    readings.Immersion: "the readings of a weighing in water",
    readings.Scrap: "the readings of a scrap",
    readings.ScrapOf: "the readings of a scrap",
    readings.Cube: "the readings of a test block",
    readings.Tub: "the readings in a tub",
    readings.Balance: "the readings of a balance point",
    pieces.Bulk: "a weighing of many",
    pieces.Estimate: "an estimate",
    pieces.Metal: "a piece of metal",
    calibration.Calibration: "the calibration",
    calibration.Pair: "a pair of coefficients",
}
PLACE_EXAMPLE = '{ back = "31 mm", up = "-9 mm" }'


def explain_all(errors: Iterable[Mapping[str, Any]]) -> list[Finding]:
    """Entries of `ValidationError.errors()` in words; a key is not called missing where it was misspelt."""
    listed = list(errors)
    meant = {
        (*error["loc"][:-1], _meant(error["loc"])) for error in listed if error["type"] == "extra_forbidden"
    }
    return [explain(error) for error in listed if error["type"] != "missing" or error["loc"] not in meant]


def explain(error: Mapping[str, Any]) -> Finding:
    """One entry of `ValidationError.errors()` in words."""
    path: tuple[str | int, ...] = tuple(error["loc"])
    kind: str = error["type"]
    if path and path[-1] == "[key]":
        return Finding(path[:-1], "", _bad_name(str(path[-2])))
    value = "" if kind == "missing" else shown(_as_written(error["input"]))
    return Finding(path, value, _sentence(path, kind, error))


def example(name: str, field: FieldInfo) -> str:
    """A line that sets a field, as in `width = "20 mm"`."""
    if field.examples:
        value = field.examples[0]
        if isinstance(value, list):
            return f"{name} = [{', '.join(_item(item) for item in value)}]"
        return f"{name} = {shown(value)}"
    kinds = list(_plain(field.annotation))
    choices = _choices(kinds)
    if choices:
        return f'{name} = "{choices[0]}"'
    if parts.Place in kinds:
        return f"{name} = {PLACE_EXAMPLE}"
    return f'{name} = "My lure"' if str in kinds else f"{name} = ..."


def _item(value: object) -> str:
    """One item of a list, as a design file writes it."""
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key} = {shown(item)}' for key, item in value.items())} }}"
    return shown(value)


def _sentence(path: tuple[str | int, ...], kind: str, error: Mapping[str, Any]) -> str:
    last = str(path[-1]) if path else ""
    owner = _model_at(path[:-1])
    context = error.get("ctx", {})
    if kind == "extra_forbidden" and owner is not None:
        return _unknown_key(last, owner)
    if kind == "missing" and owner is not None:
        return f"this is missing; write for example {example(last, owner.model_fields[last])}"
    if kind == "literal_error":
        return _choice(error["input"], _choices(_annotations(path)))
    if kind in ("model_type", "model_attributes_type", "dict_type"):
        return _table_wanted(path)
    if kind == "quantity":
        found: str = context.get("problem", error["msg"])  # a `sim.message.Message`, where it has amounts
        return found
    limits = {
        "string_type": 'this must be text in quotes, as in "text"',
        "string_too_short": "this must not be empty; write a name in quotes",
        "string_too_long": f"this is longer than {context.get('max_length')} characters; make it shorter",
        "list_type": f"this must be a list in square brackets, as in {_list_example(path)}",
        "too_short": f"this list is empty; write at least one, as in {_list_example(path)}",
        "too_long": f"this list has more than {context.get('max_length')} items; leave some out",
        "greater_than_equal": f"this must be {context.get('ge', 0):g} or more",
        "less_than_equal": f"this must be {context.get('le', 0):g} or less",
    }
    if isinstance(error["input"], float) and not math.isfinite(error["input"]):
        return "this must be an ordinary number without a unit, as in 2.5"
    if kind in limits:
        return limits[kind]
    if kind.startswith("bool"):
        return "this must be true or false, without quotes"
    if kind.startswith("int"):
        return "this must be a whole number without quotes, as in 3"
    if kind.startswith("float"):
        return "this must be a plain number without quotes or a unit, as in 2.5"
    return str(error["msg"])


def _meant(path: tuple[str | int, ...]) -> str | None:
    owner = _model_at(path[:-1])
    return nearest(str(path[-1]), owner.model_fields) if owner is not None else None


def _unknown_key(key: str, owner: type[BaseModel]) -> str:
    known = list(owner.model_fields)
    text = f'there is no key "{printable(key)}" in {_CALLED[owner]}'
    near = nearest(key, known)
    if near:
        return f'{text}; did you mean "{near}"?'
    if key in parts.Place.model_fields:
        for name, field in owner.model_fields.items():
            if parts.Place in _plain(field.annotation):
                return f"{text}; write the place as one: {name} = {PLACE_EXAMPLE}"
    return f"{text}; its keys are {', '.join(known)}"


def _choice(given: object, choices: Sequence[str]) -> str:
    listed = " or ".join(filter(None, [", ".join(f'"{c}"' for c in choices[:-1]), f'"{choices[-1]}"']))
    near = nearest(given, choices) if isinstance(given, str) else None
    return f'did you mean "{near}"? It can be {listed}' if near else f"this must be {listed}"


def _table_wanted(path: tuple[str | int, ...]) -> str:
    kinds = _annotations(path)
    if parts.Place in kinds:
        key = "" if isinstance(path[-1], int) else f"{path[-1]} = "
        return f"a place is written {key}{PLACE_EXAMPLE}"
    if len(path) <= 2 and any(get_origin(kind) is dict for kind in _annotations(path[:1])):
        return f"every {path[0]} has a name of its own; write [{path[0]}.main], with its keys below"
    if len(path) == 1:
        return f"this must be a table; write [{path[0]}] on a line of its own, with its keys below"
    return 'this must be a table, as in { back = "12 mm", width = "14 mm", height = "18 mm" }'


def _bad_name(name: str) -> str:
    return (
        f'"{printable(name)}" cannot be a name; use letters, digits, - and _, starting with a letter, '
        "40 at most, as in [body.main]"
    )


def _list_example(path: tuple[str | int, ...]) -> str:
    owner = _model_at(path[:-1])
    if owner is not None and path and owner.model_fields[str(path[-1])].examples:
        return example(str(path[-1]), owner.model_fields[str(path[-1])])
    return f'{path[-1]} = [{{ back = "12 mm", width = "14 mm", height = "18 mm" }}, ...]'


def _as_written(value: object) -> object:
    return getattr(value, "text", value) if not isinstance(value, str) else value


def _model_at(path: Sequence[str | int]) -> type[BaseModel] | None:
    """The model that the table at `path` is read into."""
    kinds = _annotations(path)
    return next((k for k in kinds if isinstance(k, type) and issubclass(k, BaseModel)), None)


def _annotations(path: Sequence[str | int]) -> list[Any]:
    """The types that the value at `path` may have, unwrapped; empty off the map."""
    here: list[Any] = [model.Design]
    for step in path:
        there: list[Any] = []
        for kind in here:
            if isinstance(kind, type) and issubclass(kind, BaseModel):
                field = kind.model_fields.get(str(step))
                there += _plain(field.annotation) if field is not None else []
            elif get_origin(kind) in (dict, list):
                there += _plain(get_args(kind)[-1])
        here = there
    return here


def _plain(annotation: Any) -> list[Any]:
    """The alternatives of an annotation, without `Annotated` and `None`."""
    origin = get_origin(annotation)
    if origin is Annotated:
        return _plain(get_args(annotation)[0])
    if origin in (Union, UnionType):
        return [kind for part in get_args(annotation) for kind in _plain(part)]
    return [] if annotation is type(None) else [annotation]


def _choices(kinds: Sequence[Any]) -> list[str]:
    return [str(choice) for kind in kinds if get_origin(kind) is Literal for choice in get_args(kind)]
