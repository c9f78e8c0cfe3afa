"""Every dimensioned value of a design by its dotted path, and copies of a design with some of them replaced.

A path reads as the file does: `body.main.weight`, `retrieve.speeds.0`, `body.main.stations.2.width`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from pydantic import BaseModel

from sim.design.model import Design
from sim.units import Quantity


def leaves(design: Design) -> dict[str, Quantity]:
    """All quantities of `design`, defaults included, in the order of the model."""
    return dict(_walk(design, ""))


def _walk(node: Any, prefix: str) -> Iterator[tuple[str, Quantity]]:
    if isinstance(node, Quantity):
        yield prefix[:-1], node
    elif isinstance(node, BaseModel):
        for key in type(node).model_fields:
            yield from _walk(getattr(node, key), f"{prefix}{key}.")
    elif isinstance(node, dict):
        for key, child in node.items():
            yield from _walk(child, f"{prefix}{key}.")
    elif isinstance(node, list | tuple):
        for k, child in enumerate(node):
            yield from _walk(child, f"{prefix}{k}.")


def replaced(design: Design, changes: Mapping[str, Any]) -> Design:
    """A copy of `design` with the values at the given paths replaced; nothing is validated again.

    A plain float (SI) put where a quantity stands keeps that quantity's dimension and deviation.

    Raises:
        KeyError: a path that the design does not have; the message names the first unknown step.
    """
    out = design
    for path, value in changes.items():
        out = _with(out, path.split("."), value, path)
    return out


def _with(node: Any, keys: list[str], value: Any, path: str) -> Any:
    if not keys:
        if isinstance(value, int | float) and isinstance(node, Quantity):
            return replace(node, value=float(value), text="")
        return value
    key, rest = keys[0], keys[1:]
    if isinstance(node, BaseModel) and key in type(node).model_fields:
        return node.model_copy(update={key: _with(getattr(node, key), rest, value, path)})
    if isinstance(node, dict) and key in node:
        return {**node, key: _with(node[key], rest, value, path)}
    if isinstance(node, list) and key.isdecimal() and int(key) < len(node):
        at = int(key)
        return [*node[:at], _with(node[at], rest, value, path), *node[at + 1 :]]
    raise KeyError(f"the design has no {path!r}: there is no {key!r} in it")
