"""What to write instead, where words of a maker are not understood."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sim.design.problems import nearest, printable
from sim.studies.vocabulary import PHRASES, Phrase
from sim.trials.results import SINK_RATE
from sim.units import UNITS, UnitError, parse

EXAMPLES = (
    "sank", "floats with 3 g to spare", "sits nose down 5 deg", "sinks 1 m in 8 s", "flies at least 25 m",
    "landed tail first", "rolled over at 0.6 m/s from nose", "ran 1.1 +- 0.1 m deep at 0.9 m/s",
    "wobbles 6.5 +- 0.5 Hz at 0.9 m/s", "does not spin",
)  # fmt: skip
_PLAIN = (
    "floats", "sinks", "suspends", "floats level", "falls straight", "glides", "flutters",
    "spirals on the drop", "tumbles on the drop", "lands nose first", "lands side on", "tumbles in the air",
    "wakes", "runs just under", "dives", "wobbles", "rocks", "has no action", "hops", "skips", "rolls over",
    "spins", "spirals", "goes end over end", "runs to the left", "drags on the bottom",
)  # fmt: skip
_AMOUNT = re.compile(
    r"(?:at least |at most |more than |less than |no less than |no more than |about |over |under )?"
    r"(?P<number>[+-]?[0-9]+(?:[.,][0-9]+)?(?:(?: [0-9]+)? ?/ ?[0-9]+)?)(?P<rest>.*)"
)
_CALLED = {"mass": "a weight", "angle": "an angle", "time": "a time", "factor": "a number of times"}


def not_understood(text: str, claim: str) -> str:
    """A sentence without its full stop, or a question.

    Args:
        text: the words as they came.
        claim: the same without where and how fast, in plain blanks.
    """
    return f'"{printable(text)}" is not understood{_number(claim) or _likely(text, claim)}'


def _likely(text: str, claim: str) -> str:
    for words, known in ((" ".join(text.split()), EXAMPLES), (claim, _PLAIN)):
        near = nearest(words, known)
        if near:
            return f'; did you mean "{near}"?'
    return "; say it, for example, as " + ", ".join(f'"{example}"' for example in EXAMPLES)


def _number(claim: str) -> str:
    """What is wrong with a number whose words are known, and how it is written; empty if there is none."""
    fitting = list(_fitting(claim))
    if not fitting:
        return ""
    amount = fitting[0][1]
    number, unit = amount["number"], re.sub(r"^[^A-Za-z%]*", "", amount["rest"]).strip()
    kind = _dimension(number, unit)
    alike = [phrase for phrase, _ in fitting if phrase.metric.unit.dimension == kind]
    forms = dict.fromkeys(phrase.write.format(n=number) for phrase in alike or (p for p, _ in fitting))
    if kind == "length" and any(phrase.figure == SINK_RATE for phrase, _ in fitting):
        forms = dict.fromkeys([f"{claim.split()[0]} {number} {unit} in 8 s"])
    if not unit:
        why = f", since {number} needs its unit"
    elif kind is None:
        why = f', since "{printable(unit)}" does not go with it'
    else:
        why = "" if alike else f", since {number} {unit} is {_CALLED.get(kind, f'a {kind}')}"
    *first, last = (f'"{form}"' for form in forms)
    return f"{why}; write {' or '.join(filter(None, [', '.join(first), last]))}"


def _fitting(claim: str) -> Iterator[tuple[Phrase, re.Match[str]]]:
    """Phrases whose words are there around something that starts as a number does."""
    for phrase in PHRASES:
        for pattern in filter(None, (phrase.pattern, phrase.loose)):
            found = re.fullmatch(pattern.replace("{n}", "(?P<value>.+?)"), claim, re.IGNORECASE)
            amount = _AMOUNT.fullmatch(found["value"]) if found else None
            if amount:
                yield phrase, amount
                break


def _dimension(number: str, unit: str) -> str | None:
    """What a number with this unit is; None if it is nothing known."""
    for dimension in UNITS:
        try:
            parse(f"{number} {unit}", dimension)
        except UnitError:
            continue
        if unit or dimension != "factor":
            return dimension
    return None
