"""Areas of behaviours: one colour and one hatching for each, the same in every figure.

Hatching is of straight lines only: a pattern of dots makes an SVG ten times larger.
"""

from __future__ import annotations

from typing import NamedTuple

from sim.studies.maps import NO_ANSWER
from sim.trials.results import Behaviour


class Fill(NamedTuple):
    """How one area of several is told from the others."""

    colour: str
    hatch: str


FILLS = {
    Behaviour.DRAGS: Fill("#ece7d8", ""), Behaviour.WAKES: Fill("#cfe4ee", "|"),
    Behaviour.RUNS: Fill("#a9cfe0", "---"), Behaviour.DIVES: Fill("#7fb2cc", ""),
    Behaviour.HOPS: Fill("#f7e2b0", "/"), Behaviour.SKIPS: Fill("#f0c987", "\\"),
    Behaviour.WOBBLES: Fill("#d7e8c8", "//"), Behaviour.ROCKS: Fill("#b5d3a0", "\\\\"),
    Behaviour.ROLLS_OVER: Fill("#e3a98d", "xx"), Behaviour.SPINS: Fill("#c98a70", "++"),
    Behaviour.SPIRALS: Fill("#dcb6cb", "x"), Behaviour.OFF_SIDE: Fill("#dfd3ea", "||"),
    Behaviour.TUMBLES: Fill("#b6a2c8", "xxx"), Behaviour.BOTTOM: Fill("#cdbb95", "///"),
    Behaviour.UNKNOWN: Fill("#ffffff", ""), Behaviour.HANGS: Fill("#e4f0ee", "\\\\"),
    Behaviour.RISES: Fill("#d4ebe3", "///"), Behaviour.SINKS: Fill("#9db8c4", "--"),
}  # fmt: skip
SPARE = (Fill("#e0ded8", "///"), Fill("#c9d9d6", "\\\\\\"), Fill("#ead9d5", "||"))


def fill_of(behaviour: str) -> Fill:
    """The colour and hatching of a behaviour told in its own words; of any other word, one of a few."""
    known = {str(word): fill for word, fill in FILLS.items()} | {NO_ANSWER: FILLS[Behaviour.UNKNOWN]}
    return known.get(behaviour) or SPARE[sum(map(ord, behaviour)) % len(SPARE)]
