"""Changes written into the text of a design file, its comments and layout kept; and the change as a patch.

A change is a full path, as `sim.design.paths` names them, with what stands there afterwards: text for a
quantity, a plain number or word, a dict for a part that the file does not have yet, None for what is taken out.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from copy import deepcopy
from difflib import SequenceMatcher, unified_diff
from typing import Any, NamedTuple

import tomlkit
from tomlkit.items import InlineTable

from sim.design.lines import key_lines

ON_ONE_LINE = ("at", "root", "start", "end", "front", "rear")  # places, as makers write them
_HEADER = re.compile(r"^[ \t]*\[")
_MARK = "\ufeff"  # of the byte order
_NO_NEWLINE = "\\ No newline at end of file\n"


class ChangedLine(NamedTuple):
    """One value of a file before and after; None where there is none."""

    path: str
    before: Any
    after: Any


def edited(text: str, changes: Mapping[str, Any]) -> str:
    """`text` with the values at some paths replaced, added, or taken out.

    What comes back reads as `altered` says, which is made sure of; line ends and a byte order mark stay as they are.

    Raises:
        KeyError: a path through a list that is too short, or through a value.
    """
    if text.startswith(_MARK):
        return _MARK + edited(text.removeprefix(_MARK), changes)
    if "\r\n" in text:
        return with_line_ends(text, edited(text.replace("\r\n", "\n"), changes))
    for path, value in changes.items():
        before = tomllib.loads(text)
        wanted = altered(before, {path: value})
        if wanted == before:
            continue
        steps = path.split(".")
        candidate = (
            _with_block(text, steps, value)
            or _on_its_line(text, before, steps, value)
            or _in_block(text, steps, value)
        )
        if candidate is None or not _reads(candidate, wanted):
            document = tomlkit.parse(text)
            _put(document, steps, value, path)
            candidate = tomlkit.dumps(document)
            if not _reads(candidate, wanted):
                raise KeyError(f"{path!r} cannot be changed where it stands; change it by hand")
        text = candidate
    return text


def altered(tables: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """A copy of a file's tables, as `tomllib` reads them, with the same changes.

    Raises:
        KeyError: as `edited`.
    """
    out = deepcopy(dict(tables))
    for path, value in changes.items():
        steps = path.split(".")
        empty_before = out.get(steps[0]) == {}
        _put(out, steps, deepcopy(value), path)
        # the last part of its kind takes the kind along, as its lines do
        if value is None and len(steps) == 2 and out.get(steps[0]) == {} and not empty_before:
            out.pop(steps[0])
    return out


def with_line_ends(before: str, after: str) -> str:
    """A changed text with the line ends of what it was: of the same line where it is there, else the usual one."""
    old, new = before.split("\n"), after.replace("\r\n", "\n").split("\n")
    usual = "\r" if 2 * before.count("\r\n") > before.count("\n") else ""
    out = [f"{row}{usual}" for row in new[:-1]] + new[-1:]
    plain = [row.removesuffix("\r") for row in old]
    for one, other, size in SequenceMatcher(None, plain, new, autojunk=False).get_matching_blocks():
        for k in range(size):
            if other + k < len(new) - 1 and one + k < len(old) - 1:
                out[other + k] = old[one + k]
    return "\n".join(out)


def patch(before: str, after: str, name: str) -> str:
    """The difference as a unified diff that `patch` and `git apply` read; empty if there is none."""
    old, new = ([f"{row}\n" for row in text.split("\n")] for text in (before, after))
    for rows in (old, new):  # the last row has no line end; there is none if the text ends in one
        rows[-1:] = [rows[-1][:-1]] if rows[-1] != "\n" else []
    lines = unified_diff(old, new, f"a/{name}", f"b/{name}", n=1)
    return "".join(line if line.endswith("\n") else f"{line}\n{_NO_NEWLINE}" for line in lines)


def lines(text: str, changes: Mapping[str, Any]) -> list[ChangedLine]:
    """The values that a change changes, one by one, those that it leaves as they are left out."""
    tables = tomllib.loads(text.removeprefix(_MARK))
    before, after = _flat(tables), _flat(altered(tables, changes))
    every = [*before, *(path for path in after if path not in before)]
    return [
        ChangedLine(p, before.get(p), after.get(p)) for p in every if p not in (before.keys() & after.keys()) or
        before[p] != after[p]
    ]  # fmt: skip


def _flat(node: Any, prefix: str = "") -> dict[str, Any]:
    if isinstance(node, dict):
        pairs = [(str(key), child) for key, child in node.items()]
    elif isinstance(node, list) and any(isinstance(child, dict) for child in node):
        pairs = [(str(k), child) for k, child in enumerate(node)]
    else:
        return {prefix[:-1]: node}
    return {path: value for key, child in pairs for path, value in _flat(child, f"{prefix}{key}.").items()}


def _reads(text: str, wanted: Mapping[str, Any]) -> bool:
    try:
        return tomllib.loads(text) == wanted
    except tomllib.TOMLDecodeError:
        return False


def _on_its_line(text: str, before: Mapping[str, Any], steps: list[str], value: Any) -> str | None:
    """The text with one text or number put where another stands alone on its line, which is soon done; None otherwise.

    What a dragged handle changes is of this kind. Whether it was the right one is seen when it is read again.
    """
    old: Any = before
    way: list[str | int] = [int(step) if step.isdecimal() else step for step in steps]
    for step in way:
        try:
            old = old[step]
        except (KeyError, IndexError, TypeError):
            return None
    place = key_lines(text).get(tuple(way))
    if place is None or not isinstance(old, str | int | float) or not isinstance(value, str | int | float):
        return None
    rows = text.split("\n")
    row, was = rows[place - 1], f'"{old}"' if isinstance(old, str) else str(old)
    at = re.search(rf"\b{re.escape(steps[-1])}\s*=\s*(?P<value>{re.escape(was)})(?=\s*(?:[,}}#]|$))", row)
    if at is None:
        return None
    rows[place - 1] = row[: at.start("value")] + _written(value) + row[at.end("value") :]
    return "\n".join(rows)


def _put(node: Any, steps: list[str], value: Any, path: str) -> None:
    """Into a tomlkit document or plain tables alike."""
    step, rest = steps[0], steps[1:]
    if isinstance(node, list):
        at = int(step) if step.isdecimal() else -1
        if not 0 <= at < len(node):
            raise KeyError(f"the file has no {path!r}: there is no {step!r} in it")
        if rest:
            _put(node[at], rest, value, path)
        else:
            node[at] = value
        return
    if not isinstance(node, dict):
        raise KeyError(f"the file has no {path!r}: {step!r} would be inside a value")
    if rest:
        if step not in node:
            if value is None:
                return
            node[step] = _new_table(node, step)
        _put(node[step], rest, value, path)
    elif value is None:
        node.pop(step, None)
    else:
        new = step not in node
        node[step] = value
        if new and isinstance(node, InlineTable) and node.as_string().startswith("{ "):
            node[step].trivia.trail = " "  # the blank before the bracket


def _new_table(node: Any, step: str) -> Any:
    """A place inside a part is written on one line, as the maker would."""
    if not isinstance(node, tomlkit.TOMLDocument | tomlkit.items.Item):
        return {}
    one_line = isinstance(node, InlineTable) or step in ON_ONE_LINE
    return tomlkit.inline_table() if one_line else tomlkit.table()


# ---- whole parts, [group.name]: as lines, so that the comment above the next part stays with that part -----


def _with_block(text: str, steps: list[str], value: Any) -> str | None:
    """The text with a part put in or taken out; None where the change is no such thing."""
    if len(steps) != 2 or not (value is None or isinstance(value, dict)):
        return None
    rows = text.split("\n")
    heads = [k for k, row in enumerate(rows) if _HEADER.match(row)]
    mine = [k for k in heads if _names(rows[k], steps)]
    if value is None:
        for k in reversed(mine):
            begin, end = k, _end(rows, heads, k)
            while end < len(rows) - 1 and not rows[end].strip():
                end += 1
            del rows[begin:end]
        return "\n".join(rows) if mine else None
    group = [k for k in heads if _names(rows[k], steps[:1])]
    if mine:
        return None
    at = _end(rows, heads, group[-1]) if group else _end(rows, heads, heads[-1] if heads else 0)
    block = ["", f"[{'.'.join(steps)}]", *(f"{key} = {_written(entry)}" for key, entry in value.items())]
    return "\n".join([*rows[:at], *block, *rows[at:]])


def _in_block(text: str, steps: list[str], value: Any) -> str | None:
    """The text with a new key below the last one of its part, above comments that lead to the next; None otherwise."""
    if value is None or isinstance(value, dict):
        return None
    rows = text.split("\n")
    heads = [k for k, row in enumerate(rows) if _HEADER.match(row)]
    mine = [k for k in heads if _inside(rows[k]) == steps[:-1] and not rows[k].lstrip().startswith("[[")]
    if not mine:
        return None
    at = _end(rows, heads, mine[0])
    return "\n".join([*rows[:at], f"{steps[-1]} = {_written(value)}", *rows[at:]])


def _names(row: str, steps: list[str]) -> bool:
    """Whether a header opens this part, or one inside it."""
    return _inside(row)[: len(steps)] == steps


def _inside(row: str) -> list[str]:
    """The path of a header."""
    return [step.strip() for step in row.strip().lstrip("[").partition("]")[0].split(".")]


def _end(rows: list[str], heads: list[int], head: int) -> int:
    """The line after the last one of a part; blank lines and comments before the next part are not its own."""
    end = next((k for k in heads if k > head), len(rows))
    while end > head + 1 and (not rows[end - 1].strip() or rows[end - 1].lstrip().startswith("#")):
        end -= 1
    return end


def _written(value: Any) -> str:
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_written(child)}" for key, child in value.items()) + " }"
    return tomlkit.item(value).as_string()
