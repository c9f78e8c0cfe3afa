"""Changes written into the text of a design file, its comments and layout kept; and the change as a patch."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import unified_diff
from typing import Any

import tomlkit
from tomlkit.items import InlineTable


def edited(text: str, changes: Mapping[str, Any]) -> str:
    """`text` with the values at some paths replaced, or added where the file does not have the key.

    Args:
        changes: full paths, as `sim.design.paths` names them, to what stands in the file: text for a
            quantity, or a plain number; None takes the key out.

    Raises:
        KeyError: a path through a list that is too short.
    """
    document = tomlkit.parse(text)
    for path, value in changes.items():
        _put(document, path.split("."), value, path)
    return tomlkit.dumps(document)


def patch(before: str, after: str, name: str) -> str:
    """The difference as a unified diff that `patch` and `git apply` read; empty if there is none."""
    lines = unified_diff(before.splitlines(), after.splitlines(), name, name, lineterm="", n=1)
    return "".join(f"{line}\n" for line in lines)


def _put(node: Any, steps: list[str], value: Any, path: str) -> None:
    step, rest = steps[0], steps[1:]
    if isinstance(node, list):
        at = int(step) if step.isdecimal() else -1
        if not 0 <= at < len(node):
            raise KeyError(f"the file has no {path!r}: there is no {step!r} in it")
        if rest:
            _put(node[at], rest, value, path)
        else:
            node[at] = value
    elif rest:
        if step not in node:
            # a place inside a part is written on one line, as the maker would
            node[step] = tomlkit.inline_table() if _on_one_line(node, step) else tomlkit.table()
        _put(node[step], rest, value, path)
    elif value is None:
        node.pop(step, None)
    else:
        node[step] = value


def _on_one_line(node: Any, step: str) -> bool:
    return isinstance(node, InlineTable) or step in ("at", "root", "start", "end", "front", "rear")
