"""Words for studies of many builds: shares of a hundred, names of figures and of questions, in the reader's units."""

from __future__ import annotations

import shlex
from collections.abc import Sequence

from sim.show import values
from sim.show.layout import clean
from sim.show.units import NO_BREAK, Units
from sim.studies.monte_carlo.tolerance import QuestionShares, Share
from sim.trials.request import Pull
from sim.trials.results import METRICS


def name_and_pull(name: str) -> tuple[str, Pull | None]:
    """A name of `request.key` taken apart."""
    figure, *pull = name.split(" ")
    if not figure.startswith("retrieve.") or len(pull) < 2:
        return name, None
    return figure, Pull(" ".join(pull[:-1]), float(pull[-1]))


def of_100(share: float) -> str:
    """A share in a hundred, which says 0 or 100 only of none and of all."""
    return str(min(max(round(100 * share), 0 if share <= 0.0 else 1), 100 if share >= 1.0 else 99))


def between(one: Share) -> str:
    """The interval of a share, in a hundred."""
    return f"{100 * one.low:.0f} to {100 * one.high:.0f}"


def share_words(one: Share) -> str:
    """`93 of 100 builds (87 to 97)`."""
    return f"{of_100(one.share)} of 100 builds ({between(one)})"


def at_pull(tie_on: str, speed: float, units: Units) -> str:
    """`at 0.5 m/s from nose`."""
    return f"at {units.text('speed', speed, 2)} from {clean(tie_on)}"


def asks(name: str, units: Units) -> str:
    """A question by its name: `whether it floats`, `what it does at 0.5 m/s from nose`, or a maker's own words."""
    figure, pull = name_and_pull(name)
    if figure == "budget.verdict":
        return "whether it floats"
    if figure == "cast.lands":
        return "how it lands"
    if figure == "drop.motion":
        return "how it goes down or up when let go"
    if figure == "retrieve.behaviour" and pull:
        return f"what it does {at_pull(pull.tie_on, pull.speed, units)}"
    if figure in METRICS:
        where = f" {at_pull(pull.tie_on, pull.speed, units)}" if pull else ""
        return f"{METRICS[figure].noun}{where}"
    return f'"{clean(name)}"'


MOST_LUCKY = 3  # questions that are named


def luck(near: Sequence[str], few: Sequence[QuestionShares], file: str, units: Units) -> str:
    """That a trial is of one build, which of its answers lie near an edge, and the command that counts.

    Args:
        near: questions near an edge.
        few: shares of a few builds for some of them.
    """
    counted = [in_a_few(one, units) for one in few if len(one.answers) > 1]
    rest = [name for name in near if name not in {one.name for one in few}]
    stated = [asks(name, units) for name in rest[:MOST_LUCKY]]
    if len(rest) > MOST_LUCKY:
        stated.append(f"{len(rest) - MOST_LUCKY} more")
    chance = f" Chance decides {'; '.join(counted)}." if counted else ""
    edges = f" Near an edge{'' if counted else ' already'}: {', '.join(stated)}." if stated else ""
    command = f"`drytank tolerance {shlex.quote(clean(file))}`"
    return (
        f"This is one build, just as the file says.{chance}{edges} {command} counts what so many builds do that are a "
        "little different."
    )


def in_a_few(one: QuestionShares, units: Units) -> str:
    """`at 0.5 m/s from nose (of 16 builds: dives 9, wakes 7)`."""
    assert one.tie_on is not None
    assert one.speed_m_s is not None
    answers = ", ".join(f"{values.headline(each.answer)} {each.count}" for each in one.answers)
    total = sum(each.count for each in one.answers)
    return f"{at_pull(one.tie_on, one.speed_m_s, units)} (of {total} builds: {answers})"


def read_as(figure: str, within: tuple[float, float] | None, units: Units) -> str:
    """How one number without `+-` was understood: ` (read as 0.80 to 1.20 g)`; nothing of other statements."""
    if within is None:
        return ""
    low, high = within
    if high <= 0.0:  # the words say which way
        low, high = -high, -low
    numbers = f"{values.number(figure, low, units)} to {values.number(figure, high, units)}"
    return f" (read as {numbers}{NO_BREAK}{values.spoken_unit(figure, units)})".replace(f"{NO_BREAK})", ")")


MORE_WELCOME = 'A number alone is read as about that; write "at least" before it if more is welcome.'


def sentence(one: QuestionShares, units: Units) -> str:
    """One question with all its answers: `floats in 93 of 100 builds (87 to 97), else sinks`."""
    first, rest = one.answers[0], one.answers[1:]
    others = (
        "; " + ", ".join(f"{values.headline(s.answer)} in {of_100(s.share)}" for s in rest) if rest else ""
    )
    stated = share_words(first)
    if one.own:
        holds = next((s for s in one.answers if s.answer == "it does"), None)
        spoken = share_words(holds) if holds else f"0 of 100 builds ({_none(first)})"
        return f"{clean(one.name)}{read_as(one.figure, one.within, units)}: in {spoken}"
    if one.tie_on is not None and one.speed_m_s is not None:
        where = at_pull(one.tie_on, one.speed_m_s, units)
        return f"{values.headline(first.answer)} {where} in {stated}{others}"
    if one.name == "cast.lands":
        return f"cast, it lands {first.answer} in {stated}{others}"
    if one.name == "drop.motion":
        word = "goes straight" if first.answer == "straight" else first.answer
        return f"let go, it {word} in {stated}{others}"
    return f"{first.answer} in {stated}{others}"


def _none(other: Share) -> str:
    return f"0 to {100 * (1.0 - other.low):.0f}"


def capital(text: str) -> str:
    """`text` with a capital first letter."""
    return text[:1].upper() + text[1:]


def percent(share: float) -> str:
    """A share as per cent."""
    return f"{100 * share:.0f}{NO_BREAK}%"
