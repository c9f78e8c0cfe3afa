"""Names for what a pulled lure does: rules over the figures of a window, in one place.

Every rule says what it asks for in words; `docs/behaviours.md` repeats those words, and a test holds the two
together.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from sim.trials.results import Behaviour, Ended
from sim.trials.run_metrics import RunMetrics, keyed

AWASH = 0.98  # wetted share below which something shows above the water
SHALLOW = 0.15  # m: deeper than this it dives
ON_ITS_SIDE = 45.0  # degrees of mean roll
SEEN = 3.0  # degrees of swing that the eye sees as action
UPSIDE_DOWN = 0.02  # share of the time: once past its side, a lure goes well past it
OUT = 0.1  # share of the time
ASIDE = 0.15  # of the distance to the rod tip
HIGH = 0.5  # of the body's height, for hops and circles
ONE_WAY = 0.6  # net turning over all turning; to and fro is less
CLEARLY = 3.0  # margin of what holds or does not, with nothing between
TWIST = 0.2  # turns for each metre: less does not twist a line


class Rule(NamedTuple):
    """When a behaviour holds: in words, and by how much.

    `margin` is positive where the rule holds and negative where it does not, 1 for as much as anybody would
    see. It is continuous where the metrics are, so that a search can follow it.
    """

    behaviour: Behaviour
    says: str
    margin: Callable[[RunMetrics, Ended], float]
    at_least: bool = False  # it holds on its limit too

    def holds(self, f: RunMetrics, ended: Ended) -> bool:
        """Whether it does."""
        margin = self.margin(f, ended)
        return margin >= 0.0 if self.at_least else margin > 0.0


# ---- by how much: each part of a rule over the step that anybody would see. Judgement -----------------


def _round_margin(f: RunMetrics, _: Ended) -> float:
    wide = f.radius / max(HIGH * f.height, 1e-9) - 1.0
    together = f.turns / max(0.5 * f.circles, 1e-9) - 1.0
    return min(_turned(f.circles), _one_way(f.circles_one_way), wide, together)


def _spin_margin(f: RunMetrics, _: Ended) -> float:
    return min(_turned(f.turns), f.turns_per_m / TWIST - 1.0, _one_way(f.turns_one_way))


def _tumble_margin(f: RunMetrics, _: Ended) -> float:
    return min(_turned(f.over), _one_way(f.over_one_way))


def _roll_over_margin(f: RunMetrics, _: Ended) -> float:
    """One that never turns its back down is as far from it as its widest roll is from a right angle."""
    over = (f.upside_down - UPSIDE_DOWN) / 0.05
    if f.upside_down <= 0.0:
        over += min(abs(f.roll) + f.roll_amplitude - 90.0, 0.0) / 20.0
    return max(over, (abs(f.roll) - ON_ITS_SIDE) / 15.0)


def _skip_margin(f: RunMetrics, _: Ended) -> float:
    """One that never leaves the water is as far from it as it is wet and deep."""
    out = (f.dry_time - OUT) / 0.1
    return out if f.dry_time > 0.0 else out - 2.0 * f.wet - max(f.depth, 0.0) / 0.2


def _aside_margin(f: RunMetrics, _: Ended) -> float:
    return (abs(f.offset) - ASIDE * f.distance) / max(0.05 * f.distance, 1e-9)


def _hop_margin(f: RunMetrics, ended: Ended) -> float:
    return min(_wake_margin(f, ended), f.heave / max(HIGH * f.height, 1e-9) - 1.0)


def _wake_margin(f: RunMetrics, _: Ended) -> float:
    """Once it is under, its depth says how far it is from showing again."""
    under = max(f.depth - 0.5 * f.height, 0.0) / 0.1 if f.wet >= AWASH else 0.0
    return (AWASH - f.wet) / 0.05 - under


def _under_margin(f: RunMetrics, ended: Ended) -> float:
    return -_wake_margin(f, ended)


def _deep_margin(f: RunMetrics) -> float:
    return (f.depth - SHALLOW) / 0.1


def _still_margin(f: RunMetrics, _: Ended) -> float:
    swing = max(f.yaw_amplitude, f.roll_amplitude)
    return min((SEEN - swing) / SEEN, 1.0 - f.heave / max(HIGH * f.height, 1e-9))


def _turned(turns: float) -> float:
    """Of a whole turn a quarter more or less is seen."""
    return (turns - 1.0) / 0.25


def _one_way(share: float) -> float:
    return (share - ONE_WAY) / 0.2


RULES: tuple[Rule, ...] = (
    Rule(
        Behaviour.SPIRALS,
        "its middle goes round its own mean path at least once, the same way for at least 60 % of that "
        "turning, in circles at least half its height in radius, and turns about the line at least half as "
        "often",
        _round_margin,
        at_least=True,
    ),
    Rule(
        Behaviour.SPINS,
        "it turns about the line at least once and more than 0.2 times for each metre of retrieve, the same "
        "way for at least 60 % of that turning",
        _spin_margin,
    ),
    Rule(
        Behaviour.TUMBLES,
        "it goes end over end at least once, the same way for at least 60 % of that turning",
        _tumble_margin,
        at_least=True,
    ),
    Rule(
        Behaviour.ROLLS_OVER,
        "its back is below its belly for more than 2 % of the time, or it lies over by more than 45 degrees "
        "on the whole",
        _roll_over_margin,
    ),
    Rule(
        Behaviour.SKIPS,
        "it is out of the water for more than 10 % of the time",
        _skip_margin,
    ),
    Rule(
        Behaviour.BOTTOM,
        "it reaches the bottom",
        lambda _, ended: CLEARLY if ended is Ended.BOTTOM else -CLEARLY,
    ),
    Rule(
        Behaviour.OFF_SIDE,
        "it is on the whole more than 15 % of its distance to the rod tip off to one side",
        _aside_margin,
    ),
    Rule(
        Behaviour.HOPS,
        "more than 2 % of it shows above the water on the whole, and it goes up and down by more than half "
        "its height either way",
        _hop_margin,
    ),
    Rule(
        Behaviour.WAKES,
        "more than 2 % of it shows above the water on the whole",
        _wake_margin,
    ),
    Rule(
        Behaviour.DIVES,
        "it is under, its middle at least 15 cm deep on the whole",
        lambda f, ended: min(_under_margin(f, ended), _deep_margin(f)),
        at_least=True,
    ),
    Rule(
        Behaviour.RUNS,
        "it is under, its middle less than 15 cm deep on the whole",
        lambda f, ended: min(_under_margin(f, ended), -_deep_margin(f)),
        at_least=True,
    ),
    Rule(
        Behaviour.WOBBLES,
        "its nose swings more than 3 degrees to either side",
        lambda f, _: f.yaw_amplitude / SEEN - 1.0,
    ),
    Rule(
        Behaviour.ROCKS,
        "it rolls more than 3 degrees to either side",
        lambda f, _: f.roll_amplitude / SEEN - 1.0,
    ),
    Rule(
        Behaviour.DRAGS,
        "it neither wobbles nor rocks nor goes up and down by half its height: no action",
        _still_margin,
        at_least=True,
    ),
)
"""In order of rank: the first that holds is the headline, by how much it spoils or marks the retrieve."""


def headline(f: RunMetrics, ended: Ended) -> tuple[Behaviour, list[Behaviour]]:
    """The first behaviour that holds, and the others. One of wakes, dives and runs always does."""
    held = [rule.behaviour for rule in RULES if rule.holds(f, ended)]
    if Behaviour.DIVES in held and Behaviour.RUNS in held:  # just at the limit
        held.remove(Behaviour.RUNS)
    return held[0], held[1:]


def margins(f: RunMetrics, ended: Ended) -> dict[str, float]:
    """By how much each behaviour holds (positive) or not, by its word."""
    return {rule.behaviour.value: rule.margin(f, ended) for rule in RULES}


NUMBERS: dict[Behaviour, Callable[[RunMetrics], dict[str, float | None]]] = {
    Behaviour.SPIRALS: lambda f: {"circles": f.circles, "radius_mm": 1e3 * f.radius},
    Behaviour.SPINS: lambda f: keyed(f, "turns_per_m"),
    Behaviour.TUMBLES: lambda f: {"turns": f.over},
    Behaviour.ROLLS_OVER: lambda f: keyed(f, "roll") | {"upside_down": f.upside_down},
    Behaviour.SKIPS: lambda f: {"out_of_water": f.dry_time},
    Behaviour.BOTTOM: lambda f: keyed(f, "depth"),
    Behaviour.OFF_SIDE: lambda f: keyed(f, "offset") | {"distance_m": f.distance},
    Behaviour.HOPS: lambda f: keyed(f, "heave"),
    Behaviour.WAKES: lambda f: {"showing": 1.0 - f.wet},
    Behaviour.DIVES: lambda f: keyed(f, "depth", "pitch"),
    Behaviour.RUNS: lambda f: keyed(f, "depth", "pitch"),
    Behaviour.WOBBLES: lambda f: keyed(f, "yaw_amplitude", "wobble"),
    Behaviour.ROCKS: lambda f: keyed(f, "roll_amplitude", "wobble"),
    Behaviour.DRAGS: lambda f: keyed(f, "yaw_amplitude", "roll_amplitude"),
}  # fmt: skip
"""The numbers that go with a behaviour; shares without a unit are 0 to 1."""


def numbers(behaviour: Behaviour, f: RunMetrics) -> dict[str, float]:
    """The numbers of one behaviour; what has no answer is left out."""
    return {key: value for key, value in NUMBERS[behaviour](f).items() if value is not None}
