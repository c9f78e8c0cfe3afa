"""Short forms of commands: what a maker fills in, and the words of the command that come of it.

The page sends what was filled in; the words are made here, so that nothing but these commands can be asked for.
Which forms there are is said by whoever serves the page, from the commands themselves.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any, Literal

LONGEST = 400  # characters of what is filled in
_BETWEEN = re.compile(r"[;\n]|\s+(?=[\w.]+=)")  # several values; a new one begins at NAME=


class FormError(ValueError):
    """What was filled in cannot be asked, in words."""


@dataclass(frozen=True)
class Input:
    """One thing to fill in.

    flag: the option that it follows; none for a word in its place; ends in "=" where it is a key of a reading.
    many: several may be told, parted by semicolons, each in quotes, or each as NAME=. tick: yes or no.
    more: seldom needed.
    """

    key: str
    label: str
    help: str = ""
    example: str = ""
    flag: str = ""
    choices: tuple[str, ...] = ()
    many: bool = False
    tick: bool = False
    more: bool = False

    def words(self, text: str) -> list[str]:
        """The words of the command line.

        Raises:
            FormError: too long, no text, or a dash where a word should begin.
        """
        if self.tick:
            return [self.flag] if text else []
        if len(text) > LONGEST or "\0" in text:
            raise FormError(f"{self.label}: that is too long to be said of a lure.")
        values = _parted(text) if self.many else [text.strip()]
        if self.choices and not set(values) <= {*self.choices, ""}:
            raise FormError(f"{self.label}: choose one of {', '.join(self.choices)}.")
        values = [value for value in values if value]
        if self.flag.endswith("="):
            return [f"{self.flag}{value}" for value in values]
        if self.flag:
            return [f"{self.flag}={value}" for value in values]
        if any(value.startswith("-") for value in values):
            raise FormError(f"{self.label}: begin with a word, not with a dash.")
        return values


@dataclass(frozen=True)
class Form:
    """A command as a form.

    Attributes:
        name: of the form. place: where on the page it stands. title: the question of a maker. does: what it answers.
        command: its words before those that are filled in; FILE stands for the design, LOG for its log.
        variants: name of a kind -> its own things to fill in; the kind is one more word.
        otherwise: words to use where nothing is filled in for the first input.
        proposes: it changes the file that it is given. makes: file to be handed out.
    """

    name: str
    place: Literal["studies", "water", "bench", "paper"]
    title: str
    does: str
    command: tuple[str, ...]
    inputs: tuple[Input, ...] = ()
    variants: Mapping[str, tuple[Input, ...]] = field(default_factory=dict)
    otherwise: tuple[str, ...] = ()
    proposes: bool = False
    makes: str = ""

    def words(self, given: Mapping[str, str], file: str, log: str, units: str) -> list[str]:
        """The command line for what was filled in; `file` and `log` are names of files.

        Raises:
            FormError: what was filled in cannot be asked.
        """
        inputs, words = self.inputs, list(self.command)
        if self.variants:
            kind = str(given.get("kind", ""))
            if kind not in self.variants:
                raise FormError(f"Choose one of {', '.join(self.variants)}.")
            words.append(kind)
            inputs = (*inputs, *self.variants[kind])
        named = {"FILE": file, "LOG": log}
        bare = bool(inputs) and not str(given.get(inputs[0].key) or "").strip()
        fixed = [_named(word, named) for word in (*words, *(self.otherwise if bare else ()))]
        told = [word for one in inputs for word in one.words(str(given.get(one.key) or ""))]
        every = [*fixed, *told, f"--units={units}"]
        return sorted(
            every, key=lambda word: word.startswith("-")
        )  # argparse wants words in their place first

    def in_its_words(self, remark: str) -> str:
        """What its command remarks, options by their labels here, and without the name of the command before it."""
        inputs = [*self.inputs, *(one for own in self.variants.values() for one in own)]
        for one in inputs:
            if one.flag.startswith("--"):
                remark = re.sub(rf"(?<![\w-]){re.escape(one.flag)}(?![\w-])", one.label, remark)
        return remark.removeprefix(f"{self.command[0]}: ")

    def as_data(self) -> dict[str, Any]:
        """What the page shows of it."""
        shown = ("name", "place", "title", "does")
        return {key: getattr(self, key) for key in shown} | {
            "inputs": [asdict(one) for one in self.inputs],
            "variants": {kind: [asdict(one) for one in inputs] for kind, inputs in self.variants.items()},
        }


def _named(word: str, named: Mapping[str, str]) -> str:
    head, equals, last = word.rpartition("=")
    return f"{head}{equals}{named.get(last, last)}"


def _parted(text: str) -> list[str]:
    if '"' in text:
        try:
            return shlex.split(text)
        except ValueError as problem:
            raise FormError(f"{text}: a quotation mark is left open.") from problem
    return [part.strip() for part in _BETWEEN.split(text) if part.strip()]


def found(forms: Sequence[Form], name: str) -> Form | None:
    """The form of a name."""
    return next((form for form in forms if form.name == name), None)
