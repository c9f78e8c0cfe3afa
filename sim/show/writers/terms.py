"""The words of the trade, each explained in a sentence where it is first used on the page.

The sentences are those of the glossary (`glossary.md` here is the same text as `docs/glossary.md`). A word that
is explained becomes a button: pointing at it, touching it or moving to it with the keyboard shows its sentence,
without any script.
"""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files

from sim.show.writers.markup import Html, join, stated, tag, text
from sim.trials.results import Behaviour

_ENTRY = re.compile(r"^- \*\*(?P<words>[^*]+)\*\*: (?P<sentence>.+)$", re.M)


@cache
def glossary() -> dict[str, str]:
    """Every word of the glossary with its sentence."""
    source = files(__package__).joinpath("glossary.md").read_text(encoding="utf-8")
    return {found["words"]: found["sentence"] for found in _ENTRY.finditer(source)}


@cache
def _forms() -> dict[str, str]:
    """Lower-case form as it stands in a text -> the glossary's word."""
    forms = {}
    for words in glossary():
        for form in re.split(r"[(),]", words):
            if form.strip():
                forms[form.strip().lower()] = words
    return forms


EXPLAINED = (
    *(behaviour.value for behaviour in Behaviour if behaviour is not Behaviour.UNKNOWN),
    "suspends", "balance point", "Stiffness", "metacentric height", "gliding", "spiralling", "tumbling",
    "give or take", "tie-on point", "pitch", "roll", "yaw", "spare lift", "sink rate", "lift",
)  # fmt: skip
"""Words that are explained wherever a page uses them first."""


class Terms:
    """What one page has explained so far."""

    def __init__(self) -> None:
        self._used: set[str] = set()

    def term(self, word: str, shown: str | None = None, before: str = "") -> Html:
        """A word as the page shows it, with its sentence the first time; a word the glossary lacks stands alone.

        before: what stands before it and must not be parted from it, such as a bracket."""
        known = _forms().get(word.lower())
        if known is None or known in self._used:
            return join([before, shown or word])
        self._used.add(known)
        mark = f"term-{len(self._used)}"
        return tag(
            "span",
            before,
            tag("button", shown or word, type="button", class_="term", aria_describedby=mark),
            tag("span", text(_plain(glossary()[known])), role="tooltip", id=mark),
            class_="explained",
        )

    def explained(self, sentence: str) -> Html:
        """A sentence with the words of `EXPLAINED` that the page has not explained yet."""
        return self.marked(sentence, *EXPLAINED)

    def marked(self, sentence: str, *words: str) -> Html:
        """A sentence with the first of each of these words explained."""
        spots: list[tuple[int, int, str]] = []
        for word in words:
            found = re.search(rf"\b{re.escape(word)}\b", sentence, re.I)
            if found and all(found.end() <= a or found.start() >= b for a, b, _ in spots):
                spots.append((found.start(), found.end(), word))
        pieces: list[object] = []
        at = 0
        for start, end, word in sorted(spots):
            apart = sentence[at:start].rstrip('("')
            before = sentence[at + len(apart) : start]
            pieces += [stated(apart), self.term(word, sentence[start:end], before)]
            at = end
        return join([*pieces, stated(sentence[at:])])


def _plain(sentence: str) -> str:
    return sentence.replace("`", "").replace("*", "")
