"""The one grammar of what is seen, measured or wanted: text to `Statement`.

Verbs in the present or the past; numbers as everywhere, alone, with `+-`, as `A..B`, `at least`, `at most`;
then, of a retrieve, `at` a speed or speeds and `from` a tie-on point.
"""

from __future__ import annotations

import math
import re
from contextlib import suppress

from sim.design.model import Design
from sim.design.problems import printable
from sim.studies.statements import Span, Statement
from sim.studies.suggestions import EXAMPLES, not_understood
from sim.studies.vocabulary import (
    BEHAVIOUR_WORDS,
    DROP_WORDS,
    ONLY_DROPPED,
    PHRASES,
    VERDICT_WORDS,
    Phrase,
)
from sim.trials.request import Pull
from sim.trials.results import METRICS, SINK_RATE, TRIM, Behaviour
from sim.units import UnitError, parse

LONGEST = 200  # characters
SWEEP = 3  # speeds at which a behaviour that is stated of a range of speeds is looked at


class StatementError(ValueError):
    """Words that say nothing about a lure; the message says what to write."""


_VALUE = r"(?P<value>.+?)"
_TIMED = re.compile(
    r"(?P<way>sinks?|sank|drops?|dropped|falls?|fell|rises?|rose) (?P<far>.+?) in (?P<time>.+)"
)

_SIDE = re.compile(r" to (?:a|the|its) (left|right)$", re.IGNORECASE)
_ON_THE_DROP = re.compile(r" (?:on|in|during) the (?:drop|fall|way down)| when (?:it is )?(?:dropped|let go)")
_IN_THE_AIR = re.compile(r" in (?:the air|flight)| when (?:it is )?(?:cast|thrown)")
_NOT = re.compile(r"\b(?:does not|doesn't|did not|didn't|not|never)\b ?")
_ALWAYS = re.compile(r"^(?:it|the lure) ")


def criteria(design: Design, text: str) -> list[Statement]:
    """Everything that `text` says: one statement, or several joined by `and` or a semicolon.

    Raises:
        StatementError: as `read`.
    """
    try:
        return [read(design, text)]
    except StatementError:
        landing = _LANDING_AT.fullmatch(" ".join(text.split()))
        parts = list(landing.groups()) if landing else re.split(r"; ?| and ", text)
        if len(parts) == 1:
            raise
        return [read(design, f"landed {part}" if landing and k else part) for k, part in enumerate(parts)]


_LANDING_AT = re.compile(r"(.*land(?:s|ed)? \w+ (?:first|on)),? (at [0-9].*)", re.IGNORECASE)


def read(design: Design, text: str) -> Statement:
    """What `text` says, held against a design: which pulls it means.

    Without a tie-on point the first one is meant, without a speed every speed of the design. A number without
    `+-` is taken to be as sharp as anybody would notice.

    Raises:
        StatementError: with what to write instead.
    """
    if len(text) > LONGEST:
        raise StatementError(f"this is {len(text)} characters long; say one thing at a time")
    claim = whole = _plain(text)
    if not claim:
        raise StatementError(f"nothing is said here; write, for example, {EXAMPLES[0]!r}")
    negated = bool(_NOT.search(claim))
    claim, pulls, given = _pulls(design, _NOT.sub("", claim).strip())
    found = _number(text, claim, pulls, given)
    if found is not None and negated:
        raise StatementError(f'"{printable(text)}" says what a number is not; say between what it lies')
    found = found or _word(text, claim, pulls, given, negated)
    if found is None:
        raise StatementError(_misread(design, text, whole, claim))
    return found


def _plain(text: str) -> str:
    """Without what may stand around the words: blanks, a full stop, quotation marks that the shell has left."""
    claim = " ".join(text.replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").strip(" .!").split())
    if claim[:1] in _QUOTES:
        claim = claim[1:].removesuffix("\N{RIGHT DOUBLE QUOTATION MARK}").removesuffix(claim[0])
    elif claim[-2:-1].isalpha():  # after a number it may be inches
        claim = claim.rstrip("".join(_QUOTES))
    return _ALWAYS.sub("", claim.strip(" .!"), count=1)


_QUOTES = ('"', "'", "\N{LEFT DOUBLE QUOTATION MARK}", "\N{LEFT SINGLE QUOTATION MARK}")


def _misread(design: Design, text: str, whole: str, claim: str) -> str:
    """What to write instead of words that say nothing."""
    faster = re.sub(r"( at [0-9]+(?:[.,][0-9]+)?)( from [A-Za-z0-9_-]+)?$", r"\1 m/s\2", whole)
    if faster != whole:
        with suppress(StatementError):
            read(design, faster)
            return (
                f'"{printable(text)}" is not understood: a speed needs its unit; write "{printable(faster)}"'
            )
    return not_understood(text, claim)


_FROM = re.compile(
    r" (?:from|tied (?:at|to)|on) (?:the )?(?P<name>[A-Za-z][A-Za-z0-9_-]{0,39})$", re.IGNORECASE
)


def _pulls(design: Design, claim: str) -> tuple[str, tuple[Pull, ...], bool]:
    """The words without where and how fast, the pulls meant, and whether a place or a speed was given."""
    points, given = list(design.tie_on)[:1], False
    paces: list[float] = design.retrieve.paces()
    for _ in range(2):  # in either order
        place = _FROM.search(claim)
        if place and place["name"] in design.tie_on:
            points, given, claim = [place["name"]], True, claim[: place.start()]
        elif place and place["name"].lower() not in ("drop", "air"):
            names = ", ".join(design.tie_on) or "none"
            if not place["name"][0].isdigit() and _looks_like_point(claim, place):
                raise StatementError(
                    f'there is no tie-on point "{printable(place["name"])}"; the design has {names}'
                )
        speed = re.search(r" (?:at|between) ((?:(?! at | between ).)+)$", claim)
        if speed and (read_ := _speeds(speed[1])) is not None and not _DROPS.search(claim):
            paces, given, claim = read_, True, claim[: speed.start()]
    return claim, tuple(Pull(point, pace) for point in points for pace in paces), given


_DROPS = re.compile(r"^(?:sinks?|sank|drops?|dropped|falls?|fell|rises?|rose|comes? up|came up) at ")


def _looks_like_point(claim: str, place: re.Match[str]) -> bool:
    """`from tail` names a point; `on top`, `on its side` do not."""
    return claim[place.start() :].startswith((" from ", " tied "))


def _speeds(text: str) -> list[float] | None:
    """Speeds (m/s) of `0.6 m/s`, `0.3..0.6 m/s`, `0.3 and 0.6 m/s`; None if it is no speed."""
    ends = re.split(r" ?(?:\.\.| to | and ) ?", text)
    if len(ends) > 2:
        return None
    try:
        last = parse(ends[-1], "speed")
    except UnitError:
        return None
    if len(ends) == 1:
        return [last.value]
    try:
        first = parse(ends[0], "speed")
    except UnitError:
        try:
            first = parse(f"{ends[0]} {_unit_of(ends[-1])}", "speed")
        except UnitError:
            return None
    if not 0.0 < first.value < last.value:
        raise StatementError(f'write the slower speed first, not "{printable(text)}"')
    ratio = last.value / first.value
    return [first.value * ratio ** (k / (SWEEP - 1)) for k in range(SWEEP)]


def _unit_of(text: str) -> str:
    return re.sub(r"^[^A-Za-z]*", "", text.split("+-")[0]).strip()


def _number(text: str, claim: str, pulls: tuple[Pull, ...], given: bool) -> Statement | None:
    """A statement with a number in it."""
    timed = _TIMED.fullmatch(claim)
    if timed and not given:
        return _over_time(text, timed)
    if re.fullmatch(r"(?:sits?|sat|lies|lay|floats?|floated) level", claim):
        return Statement(text, TRIM, Span(-3.0, 3.0, 1.0))
    for phrase in PHRASES:
        found = re.fullmatch(phrase.pattern.replace("{n}", _VALUE), claim, re.IGNORECASE)
        if not found:
            continue
        span = _span(found["value"], phrase)
        if span is None:
            continue
        if phrase.metric.positive and span.high <= 0.0:
            raise StatementError(f'"{printable(text)}": this number must be above zero')
        pulled = phrase.figure.startswith("retrieve.")
        if given and not pulled:
            continue
        toward = _toward(claim) if phrase.figure == "float.roll_deg" else 0
        doubted = _DOUBTED.search(found["value"]) is not None
        return Statement(
            text, phrase.figure, span, pulls=pulls if pulled else (), toward=toward, doubted=doubted
        )
    return None


def _over_time(text: str, timed: re.Match[str]) -> Statement | None:
    """A distance in a time: the rate, with both doubts."""
    try:
        far, time = parse(timed["far"], "length"), parse(timed["time"], "time")
    except UnitError as error:
        raise StatementError(f'"{printable(text)}": {error}') from error
    if far.value <= 0.0 or time.value <= 0.0:
        raise StatementError(f'"{printable(text)}": write a distance and a time above zero')
    rate = far.value / time.value
    share = math.hypot(far.sd / far.value, time.sd / time.value) or METRICS[SINK_RATE].sharp.share
    sign = -1.0 if timed["way"].startswith(("rise", "rose")) else 1.0
    doubted = far.sd > 0.0 or time.sd > 0.0
    return Statement(text, SINK_RATE, Span(sign * rate, sign * rate, rate * share), doubted=doubted)


_DOUBTED = re.compile(r"\+/?-|\u00b1")
_LEAST = re.compile(r"^(?:at least|more than|over|no less than) ")
_MOST = re.compile(r"^(?:at most|less than|under|no more than) ")


def _span(text: str, phrase: Phrase) -> Span | None:
    """The range that a number's text means, in the figure's unit; None if it is no such number."""
    unit = phrase.metric.unit
    floor, ceiling = bool(_LEAST.match(text)), bool(_MOST.match(text))
    text = re.sub(r"^about ", "", _MOST.sub("", _LEAST.sub("", text)))
    ends = re.split(r" ?\.\. ?", text)
    try:
        last = parse(ends[-1], unit.dimension)
        first = last
        if len(ends) == 2:
            try:
                first = parse(ends[0], unit.dimension)
            except UnitError:
                first = parse(f"{ends[0]} {_unit_of(ends[-1])}", unit.dimension)
        elif len(ends) > 2:
            return None
    except UnitError:
        return None
    low, high = (phrase.sign * unit.factor * q.value for q in (first, last))
    low, high = min(low, high), max(low, high)
    sd = unit.factor * last.sd or phrase.metric.sharp.of(high)
    if floor:
        return Span(low, math.inf, sd) if phrase.sign > 0 else Span(-math.inf, high, sd)
    if ceiling:
        return Span(-math.inf, high, sd) if phrase.sign > 0 else Span(low, math.inf, sd)
    return Span(low, high, sd)


def _word(text: str, claim: str, pulls: tuple[Pull, ...], given: bool, negated: bool) -> Statement | None:
    """A statement with a word of a trial in it."""
    dropped, flown = _ON_THE_DROP.search(claim), _IN_THE_AIR.search(claim)
    bare = _IN_THE_AIR.sub("", _ON_THE_DROP.sub("", claim))
    landing = re.fullmatch(r"(?:land(?:s|ed)?|splash(?:es|ed)) (nose first|tail first|side on)", bare, re.I)
    if landing:
        return Statement(text, "cast.lands", word=landing[1].lower(), negated=negated)
    if flown and _matches(r"tumble[sd]?|turn(?:s|ed)? over", bare):
        turns = Span(-math.inf, 0.5, 1.0) if negated else Span(0.5, math.inf, 1.0)
        return Statement(text, "cast.tumbles", turns)
    if not given and not dropped:
        for pattern, verdict in VERDICT_WORDS:
            if _matches(pattern, bare):
                return Statement(text, "budget.verdict", word=verdict.value, negated=negated)
    if dropped or (not given and _matches(ONLY_DROPPED, bare)):
        for pattern, motion in DROP_WORDS:
            if _matches(pattern, bare):
                return Statement(text, "drop.motion", word=motion.value, negated=negated)
    for pattern, behaviour in BEHAVIOUR_WORDS:
        if _matches(pattern, bare):
            toward = _toward(bare) if behaviour is Behaviour.OFF_SIDE else 0
            return Statement(
                text, "retrieve.behaviour", word=behaviour.value, negated=negated, pulls=pulls, toward=toward
            )
    return None


def _toward(claim: str) -> int:
    """The side that is named last: 1 to the left, -1 to the right, 0 if it is left open."""
    side = _SIDE.search(claim)
    return 0 if side is None else 1 if side[1].lower() == "left" else -1


def _matches(pattern: str, claim: str) -> bool:
    return re.fullmatch(pattern, claim, re.IGNORECASE) is not None
