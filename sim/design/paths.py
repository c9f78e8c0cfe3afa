"""Every value of a design by its dotted path, and copies of a design with some of them replaced.

A path reads as the file does: `body.main.weight`, `retrieve.speeds.0`, `body.main.stations.2.width`. Where it
can mean one thing only, its end is enough: `lip.angle` for `plate.lip.angle`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Annotated, Any, NamedTuple, NoReturn, get_args, get_origin

from pydantic import BaseModel, TypeAdapter, ValidationError

from sim.design.model import Design, Mix, OwnMaterial
from sim.design.problems import nearest, printable
from sim.design.readings import Reading
from sim.units import Quantity

MOST_NAMED = 8  # candidates that a message lists

PLACES = ("at", "root", "start", "end", "front", "rear", "nose", "tail")
"""Keys under which the place of a thing stands."""


class PathError(ValueError):
    """A path or a value that the design has no use for; the message says what to write."""


def leaves(design: Design) -> dict[str, Quantity]:
    """All quantities of `design`, defaults included, in the order of the model."""
    return dict(_walk(design, ""))


def _walk(node: Any, prefix: str) -> Iterator[tuple[str, Quantity]]:
    if isinstance(node, Quantity):
        yield prefix[:-1], node
    elif isinstance(node, Reading | OwnMaterial | Mix):
        return  # turned into values where they belong when the design was loaded
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
    tree: _Tree = {}
    for path, value in changes.items():
        if not _grown(tree, path.split("."), _Leaf(path, value)):  # inside another change, or around one
            design, tree = _with(design, tree), {}
            _grown(tree, path.split("."), _Leaf(path, value))
    return design if not tree else _with(design, tree)


class _Leaf(NamedTuple):
    """What to put at the end of a path."""

    path: str
    value: Any


_Tree = dict[str, Any]  # step -> _Leaf, or the tree below it: so every table on the way is copied once only


def _grown(tree: _Tree, steps: list[str], leaf: _Leaf) -> bool:
    """Put a leaf into a tree; False where one path leads through the end of another."""
    for step in steps[:-1]:
        tree = tree.setdefault(step, {})
        if isinstance(tree, _Leaf):
            return False
    if isinstance(tree.get(steps[-1]), dict):
        return False
    tree[steps[-1]] = leaf
    return True


def _with(node: Any, tree: _Tree | _Leaf) -> Any:
    if isinstance(tree, _Leaf):
        if isinstance(tree.value, int | float) and isinstance(node, Quantity):
            return replace(node, value=float(tree.value), text="")
        return tree.value
    if isinstance(node, BaseModel):
        fields = type(node).__pydantic_fields__
        return node.model_copy(
            update={
                key: _with(getattr(node, key), below) if key in fields else _unknown(key, below)
                for key, below in tree.items()
            }
        )
    if isinstance(node, dict):
        put = {k: _with(node[k], below) if k in node else _unknown(k, below) for k, below in tree.items()}
        return {**node, **put}
    if isinstance(node, list):
        out = list(node)
        for key, below in tree.items():
            if not (key.isdecimal() and int(key) < len(node)):
                _unknown(key, below)
            out[int(key)] = _with(node[int(key)], below)
        return out
    key, below = next(iter(tree.items()))
    return _unknown(key, below)


def _unknown(key: str, tree: _Tree | _Leaf) -> NoReturn:
    while not isinstance(tree, _Leaf):
        tree = next(iter(tree.values()))
    raise KeyError(f"the design has no {tree.path!r}: there is no {key!r} in it")


def keys(design: Design) -> dict[str, Any]:
    """Every key of `design` that holds one value, whether the file gives it or not: path -> value or None."""
    return {path: value for path, value, _ in _keys(design, "")}


def found(design: Design, written: str) -> str:
    """The full path that `written` means: a whole path, or so much of its end that only one path fits.

    Steps in between may be left out too: `nose.back` is `tie_on.nose.at.back`.

    Raises:
        PathError: nothing fits (names the nearest), or several do (lists them).
    """
    paths = list(keys(design))
    if written in paths:
        return written
    steps = written.split(".")
    fits = [path for path in paths if path.split(".")[-len(steps) :] == steps]
    fits = fits or [path for path in paths if _holds(path.split("."), steps)]
    if len(fits) == 1:
        return fits[0]
    if fits:
        more = "" if len(fits) <= MOST_NAMED else f" or {len(fits) - MOST_NAMED} more"
        named = ", ".join(fits[:MOST_NAMED])
        raise PathError(f"{printable(written)} can mean {named}{more}; write the one you mean")
    near = nearest(written, paths) or nearest(steps[-1], [path.rsplit(".", 1)[-1] for path in paths])
    hint = f"did you mean {near}?" if near else "write it as the file does, as in plate.lip.angle"
    raise PathError(f"the design has no {printable(written)}; {hint}")


def value(design: Design, path: str, text: str) -> Any:
    """What `text` means at a path of `keys`, checked as in a design file.

    A quantity written without `+-` keeps the deviation that the file gives.

    Raises:
        PathError: it may not stand there.
    """
    here, kind = next((here, kind) for key, here, kind in _keys(design, "") if key == path)
    try:
        read = TypeAdapter(kind).validate_python(text)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        raise PathError(f"{path} = {printable(text)}: {first['msg']}") from error
    if isinstance(read, Quantity) and isinstance(here, Quantity) and not read.sd:
        return replace(read, sd=here.sd)
    return read


def _holds(path: Sequence[str], steps: Sequence[str]) -> bool:
    """Whether `steps` stand in `path` in this order, both ending alike."""
    rest = iter(path)
    return path[-1] == steps[-1] and all(step in rest for step in steps)


def _keys(node: Any, prefix: str) -> Iterator[tuple[str, Any, Any]]:
    """Path, value and type with its checks, of every key below `node` that holds one value."""
    if isinstance(node, BaseModel):
        for key, field in type(node).model_fields.items():
            kind = field.annotation
            for check in field.metadata:
                kind = Annotated[kind, check]  # type: ignore[assignment]
            yield from _below(getattr(node, key), kind, f"{prefix}{key}")
    elif isinstance(node, dict):
        for key, child in node.items():
            yield from _below(child, None, f"{prefix}{key}")


def _below(node: Any, kind: Any, path: str) -> Iterator[tuple[str, Any, Any]]:
    if isinstance(node, BaseModel | dict):
        yield from _keys(node, f"{path}.")
    elif isinstance(node, list):
        inner = get_args(kind)[0]
        if get_origin(inner) is list:  # what stood in front were checks of the list as a whole
            inner = get_args(inner)[0]
        for k, child in enumerate(node):
            yield from _below(child, inner, f"{path}.{k}")
    else:
        yield path, node, kind
