"""Messages of errors: text in metric units that can be told in the reader's."""

from __future__ import annotations

from typing import Any

from sim.remark import Amount, Shown


class Message(str):
    """Words with `{name}` where a fact stands; as text, the `Amount`s among the facts are in metric units.

    >>> full = Message("{part} holds {room:2}", part="body.main", room=Amount(12e-6, "volume"))
    >>> full, full.in_units("us")
    ('body.main holds 12 mL', 'body.main holds 0.41 fl oz')
    """

    words: str
    facts: dict[str, Any]

    def __new__(cls, words: str, /, **facts: Any) -> Message:
        new = super().__new__(cls, _filled(words, facts, "metric"))
        new.words, new.facts = words, facts
        return new

    def __getnewargs_ex__(self) -> tuple[tuple[str], dict[str, Any]]:
        return (self.words,), self.facts

    def in_units(self, system: str) -> str:
        """The text; system: of the units, metric or us."""
        return _filled(self.words, self.facts, system)


class WordedError(ValueError):
    """An error whose words take facts, as those of a `Message` do; words alone stand as they are."""

    def __init__(self, words: str, /, **facts: Any) -> None:
        super().__init__(Message(words, **facts) if facts else words)


def in_units(text: Exception | str, system: str) -> str:
    """What an error or a message says, in units of a system: metric or us."""
    if isinstance(text, Exception):
        text = text.args[0] if text.args and isinstance(text.args[0], Message) else str(text)
    return text.in_units(system) if isinstance(text, Message) else text


def _filled(words: str, facts: dict[str, Any], system: str) -> str:
    return words.format(**{name: _shown(fact, system) for name, fact in facts.items()})


def _shown(fact: Any, system: str) -> Any:
    if isinstance(fact, Amount):
        return Shown(fact, system)
    return in_units(fact, system) if isinstance(fact, Message) else fact
