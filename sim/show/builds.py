"""Words for studies of many builds: shares of a hundred, names of figures and of questions, in the reader's units."""

from __future__ import annotations

import shlex
from collections.abc import Sequence

from sim.show.layout import clean
from sim.show.units import NO_BREAK, Kind, Units, figures
from sim.studies.monte_carlo.tolerance import QuestionShares, Share
from sim.trials.request import Pull

WORDS = {
    "budget.mass_g": "Weight", "budget.displaced_ml": "Pushes aside", "budget.margin_g": "Spare lift",
    "float.pitch_deg": "Nose up at rest", "float.roll_deg": "Lean at rest",
    "float.freeboard_mm": "Shows above water", "drop.sink_rate_m_s": "Sink rate",
    "drop.pitch_deg": "Nose up, let go", "cast.range_m": "Range", "cast.flight_time_s": "Time in the air",
    "retrieve.depth_m": "Depth", "retrieve.pitch_deg": "Nose up", "retrieve.roll_deg": "Lean",
    "retrieve.roll_amplitude_deg": "Roll either way", "retrieve.yaw_amplitude_deg": "Yaw either way",
    "retrieve.wobble_hz": "Wobble", "retrieve.offset_m": "To the left", "retrieve.tension_n": "Pull",
}  # fmt: skip
"""What each figure is called in a sentence."""

HEADS = {
    **WORDS, "drop.sink_rate_m_s": "Sink rate (- rises)", "float.roll_deg": "Lean at rest (- left)",
    "retrieve.roll_deg": "Lean (- left)",
}  # fmt: skip
"""What each figure is called in a table, with what its sign means."""

_KINDS: tuple[tuple[str, Kind], ...] = (
    ("_m_s", "speed"), ("_g", "mass"), ("_ml", "volume"), ("_mm", "size"), ("_m", "distance"), ("_n", "force"),
)  # fmt: skip
_PLAIN = {"_deg": ("deg", 0), "_hz": ("/s", 1), "_s": ("s", 1), "_per_m": ("a metre", 2)}


def name_and_pull(name: str) -> tuple[str, Pull | None]:
    """A name of `request.key` taken apart."""
    figure, *pull = name.split(" ")
    if not figure.startswith("retrieve.") or len(pull) < 2:
        return name, None
    return figure, Pull(" ".join(pull[:-1]), float(pull[-1]))


def figure_unit(figure: str, units: Units) -> str:
    """Unit of a figure."""
    kind = _kind(figure)
    return units.unit(kind) if kind else _plain(figure)[0]


def figure_number(figure: str, value: float | None, units: Units) -> str:
    """A figure without its unit, for a table."""
    kind = _kind(figure)
    if value is None or kind:
        return units.number(kind or "mass", value)
    text = f"{value:.{_plain(figure)[1]}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def scaled(figure: str, value: float, units: Units) -> float:
    """A figure as a number in the reader's unit."""
    kind = _kind(figure)
    return value * units.scales[kind].factor if kind else value


def _kind(figure: str) -> Kind | None:
    if figure.endswith(("_hz", "_deg", "_per_m")):
        return None
    return next((kind for end, kind in _KINDS if figure.endswith(end)), None)


def _plain(figure: str) -> tuple[str, int]:
    return next((told for end, told in _PLAIN.items() if figure.endswith(end)), ("", 2))


def of_100(share: float) -> str:
    """A share in a hundred, which says 0 or 100 only of none and of all."""
    return str(min(max(round(100 * share), 0 if share <= 0.0 else 1), 100 if share >= 1.0 else 99))


def between(one: Share) -> str:
    """The interval of a share, in a hundred."""
    return f"{100 * one.low:.0f} to {100 * one.high:.0f}"


def share_words(one: Share) -> str:
    """`93 of 100 builds (87 to 97)`."""
    return f"{of_100(one.share)} of 100 builds ({between(one)})"


def headline(word: str) -> str:
    """A behaviour without its explanation."""
    return word.split(":")[0]


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
    if figure in WORDS:
        where = f" {at_pull(pull.tie_on, pull.speed, units)}" if pull else ""
        return f"{WORDS[figure][0].lower()}{WORDS[figure][1:]}{where}"
    return f'"{clean(name)}"'


MOST_LUCKY = 3  # questions that are named


def luck(near: Sequence[str], file: str, units: Units) -> str:
    """That a trial is of one build, which of its answers lie near an edge, and the command that counts."""
    told = [asks(name, units) for name in near[:MOST_LUCKY]]
    if len(near) > MOST_LUCKY:
        told.append(f"{len(near) - MOST_LUCKY} more")
    edges = f" Near an edge already: {', '.join(told)}." if told else ""
    return (
        f"This is one build, just as the file says.{edges} `drytank tolerance {shlex.quote(clean(file))}` counts what "
        "so many builds do that are a little different."
    )


def read_as(figure: str, within: tuple[float, float] | None, units: Units) -> str:
    """How one number without `+-` was understood: ` (read as 0.80 to 1.20 g)`; nothing of other statements."""
    if within is None:
        return ""
    low, high = within
    if high <= 0.0:  # the words say which way
        low, high = -high, -low
    numbers = f"{figure_number(figure, low, units)} to {figure_number(figure, high, units)}"
    return f" (read as {numbers}{NO_BREAK}{figure_unit(figure, units)})".replace(f"{NO_BREAK})", ")")


MORE_WELCOME = 'A number alone is read as about that; write "at least" before it if more is welcome.'


def sentence(one: QuestionShares, units: Units) -> str:
    """One question with all its answers: `floats in 93 of 100 builds (87 to 97), else sinks`."""
    first, rest = one.answers[0], one.answers[1:]
    others = "; " + ", ".join(f"{headline(s.answer)} in {of_100(s.share)}" for s in rest) if rest else ""
    told = share_words(first)
    if one.asked:
        holds = next((s for s in one.answers if s.answer == "it does"), None)
        said = share_words(holds) if holds else f"0 of 100 builds ({_none(first)})"
        return f"{clean(one.name)}{read_as(one.figure, one.within, units)}: in {said}"
    if one.tie_on is not None and one.speed_m_s is not None:
        where = at_pull(one.tie_on, one.speed_m_s, units)
        return f"{headline(first.answer)} {where} in {told}{others}"
    if one.name == "cast.lands":
        return f"cast, it lands {first.answer} in {told}{others}"
    if one.name == "drop.motion":
        word = "goes straight" if first.answer == "straight" else first.answer
        return f"let go, it {word} in {told}{others}"
    return f"{first.answer} in {told}{others}"


def _none(other: Share) -> str:
    return f"0 to {100 * (1.0 - other.low):.0f}"


def capital(text: str) -> str:
    """`text` with a capital first letter."""
    return text[:1].upper() + text[1:]


def percent(share: float) -> str:
    """A share as per cent."""
    return f"{100 * share:.0f}{NO_BREAK}%"


def amount(figure: str, value: float, units: Units) -> str:
    """A figure with its unit, in a sentence; where its sign is a side or a way, in words."""
    ways = WAYS.get(figure)
    if ways is None:
        return _amount(figure, value, units)
    told = _amount(figure, abs(value), units)
    return f"{told} {ways[value < 0.0]}" if float(told.split(NO_BREAK)[0]) > 0.0 else told


WAYS = {
    "float.roll_deg": ("to its right", "to its left"), "retrieve.roll_deg": ("to its right", "to its left"),
    "drop.sink_rate_m_s": ("down", "up"),
}  # fmt: skip


def _amount(figure: str, value: float, units: Units) -> str:
    kind = _kind(figure)
    if kind:
        return units.text(kind, value)
    unit, places = _plain(figure)
    return f"{figures(value, places + 1)}{NO_BREAK}{unit}" if unit else figures(value, places)
