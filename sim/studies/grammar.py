"""The one grammar of what is seen, measured or wanted: text to `Statement`.

Verbs in the present or the past; numbers as everywhere, alone, with `+-`, as `A..B`, `at least`, `at most`;
then, of a retrieve, `at` a speed or speeds and `from` a tie-on point.
"""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from sim.design.model import Design
from sim.design.problems import nearest, printable
from sim.studies.looks import Pull
from sim.studies.statements import Span, Statement
from sim.trials.results import Behaviour, DropMotion, Verdict
from sim.units import UnitError, parse

LONGEST = 200  # characters
EXAMPLES = (
    "sank", "floats with 3 g to spare", "sits nose down 5 deg", "sinks 1 m in 8 s", "flies at least 25 m",
    "landed tail first", "rolled over at 0.6 m/s from nose", "ran 1.1 +- 0.1 m deep at 0.9 m/s",
    "wobbles 6.5 +- 0.5 Hz at 0.9 m/s", "does not spin",
)  # fmt: skip
SWEEP = 3  # speeds at which a behaviour that is said of a range of speeds is looked at


class StatementError(ValueError):
    """Words that say nothing about a lure; the message says what to write."""


class _Number(NamedTuple):
    """A way to say a number: the words around it, its figure, dimension, and its unit over SI."""

    figure: str
    dimension: str
    scale: float  # figure's unit = scale * SI
    pattern: str  # with {n} for the number
    sign: float = 1.0


_DEG = 180.0 / math.pi
_VALUE = r"(?P<value>.+?)"
_SITS = r"(?:sits?|sat|lies|lay|floats?|floated)"
_SINKS = r"(?:sinks?|sank|drops?|dropped|falls?|fell|rises?|rose)"
_RUNS = r"(?:runs?|ran|swims?|swam)"
_AWAY = r"(?:dives?|dived|dove|goes|went|digs?|dug)"
_WAY = r"(?: either way| to either side)?"
_AS = r"(?:at (?!least|most)|to |by |with )?"
_PHRASES: tuple[_Number, ...] = (
    _Number("budget.margin_g", "mass", 1e3, rf"(?:(?:float(?:s|ed)?|has|had) )?{_AS}{{n}} (?:to spare|spare lift)"),
    _Number("budget.margin_g", "mass", 1e3, rf"float(?:s|ed)? {_AS}{{n}}"),
    _Number("budget.margin_g", "mass", 1e3, r"(?:sinks?|sank) (?:with|by) {n}", -1.0),
    _Number("budget.mass_g", "mass", 1e3, r"weigh(?:s|ed)? {n}"),
    _Number("budget.displaced_ml", "volume", 1e6, r"(?:displace[sd]?|push(?:es|ed)? aside) {n}"),
    _Number("float.pitch_deg", "angle", _DEG, rf"{_SITS} nose up {_AS}{{n}}"),
    _Number("float.pitch_deg", "angle", _DEG, rf"{_SITS} nose down {_AS}{{n}}", -1.0),
    _Number("float.roll_deg", "angle", _DEG, rf"(?:leans?|leant|leaned|sits? leaning) {_AS}{{n}}"),
    _Number("float.freeboard_mm", "length", 1e3, r"(?:shows?|showed) {n}(?: above(?: the)? water)?"),
    _Number("drop.pitch_deg", "angle", _DEG, rf"{_SINKS} nose up {_AS}{{n}}"),
    _Number("drop.pitch_deg", "angle", _DEG, rf"{_SINKS} nose down {_AS}{{n}}", -1.0),
    _Number("drop.sink_rate_m_s", "speed", 1.0, rf"(?:rises?|rose|comes? up|came up) {_AS}{{n}}", -1.0),
    _Number("drop.sink_rate_m_s", "speed", 1.0, rf"{_SINKS} {_AS}{{n}}"),
    _Number("cast.tumbles", "factor", 1.0, r"turn(?:s|ed) over {n}(?: times?)? in (?:the air|flight)"),
    _Number("cast.range_m", "length", 1.0, rf"(?:fl(?:ies|ew|y)|casts?|land(?:s|ed)) {_AS}{{n}}(?: far)?"),
    _Number("retrieve.depth_m", "length", 1.0, rf"(?:{_RUNS}|{_AWAY}) {_AS}{{n}}(?: deep| down)?"),
    _Number(
        "retrieve.wobble_hz", "factor", 1.0,
        rf"(?:wobble[sd]?|rock(?:s|ed)?|swings?|swung) {_AS}{{n}} ?(?:hz|times? (?:a|each|per) second|/s)",
    ),
    _Number("retrieve.yaw_amplitude_deg", "angle", _DEG, rf"wobble[sd]? {_AS}{{n}}{_WAY}"),
    _Number("retrieve.roll_amplitude_deg", "angle", _DEG, rf"rock(?:s|ed)? {_AS}{{n}}{_WAY}"),
    _Number("retrieve.pitch_deg", "angle", _DEG, rf"{_RUNS} nose up {_AS}{{n}}"),
    _Number("retrieve.pitch_deg", "angle", _DEG, rf"{_RUNS} nose down {_AS}{{n}}", -1.0),
    _Number("retrieve.tension_n", "force", 1.0, rf"pull(?:s|ed)? {_AS}{{n}}"),
    _Number(
        "retrieve.turns_per_m", "factor", 1.0,
        r"(?:turn(?:s|ed)?|spins?|spun|twist(?:s|ed)?) {n}(?: times)? (?:a|per|each) (?:m|metre)",
    ),
)  # fmt: skip
_SHARP: dict[str, tuple[float, float]] = {  # figure: least step, and share of the value. Judgement
    "budget.mass_g": (0.0, 0.005), "budget.displaced_ml": (0.0, 0.02), "budget.margin_g": (0.1, 0.1),
    "float.pitch_deg": (2.0, 0.1), "float.roll_deg": (2.0, 0.1), "float.freeboard_mm": (1.0, 0.1),
    "drop.sink_rate_m_s": (0.002, 0.05), "drop.pitch_deg": (4.0, 0.1), "cast.range_m": (0.5, 0.05),
    "cast.tumbles": (1.0, 0.2), "retrieve.depth_m": (0.05, 0.1), "retrieve.pitch_deg": (4.0, 0.1),
    "retrieve.wobble_hz": (0.3, 0.07), "retrieve.yaw_amplitude_deg": (2.0, 0.15),
    "retrieve.roll_amplitude_deg": (3.0, 0.15), "retrieve.tension_n": (0.02, 0.15),
    "retrieve.turns_per_m": (0.2, 0.2),
}  # fmt: skip
"""How sharp a number is that comes without `+-`: what eye, scale and watch are good for."""
_TIMED = re.compile(
    r"(?P<way>sinks?|sank|drops?|dropped|falls?|fell|rises?|rose) (?P<far>.+?) in (?P<time>.+)"
)

_BEHAVIOUR_WORDS: tuple[tuple[str, Behaviour], ...] = (
    (r"(?:drags?|dragged)(?: on| along)? the bottom|(?:hits?|reach(?:es|ed)?) the bottom", Behaviour.BOTTOM),
    (r"roll(?:s|ed)? over|(?:lies|lay|runs?|ran) on (?:its|a|one) side", Behaviour.ROLLS_OVER),
    (r"spirals?|spiralled|goes round in circles|went round in circles", Behaviour.SPIRALS),
    (r"spins?|spun", Behaviour.SPINS),
    (r"tumbles?|tumbled|(?:goes|went) end over end", Behaviour.TUMBLES),
    (r"skips?|skipped|(?:jumps?|jumped) out(?: of the water)?", Behaviour.SKIPS),
    (r"(?:tracks?|tracked|runs?|ran|pulls?|pulled) (?:off )?to (?:a|one|the|its) (?:left|right|side)"
     r"|(?:tracks?|tracked|runs?|ran) off(?: to (?:a|one|the) (?:left|right|side))?", Behaviour.OFF_SIDE),
    (r"hops?|hopped", Behaviour.HOPS),
    (r"wakes?|waked|(?:stays?|stayed) (?:up|on top|at the surface)|push(?:es|ed)? a wake", Behaviour.WAKES),
    (r"dives?|dived|dove|digs?|dug(?: in)?", Behaviour.DIVES),
    (r"(?:runs?|ran|swims?|swam) (?:just )?under|runs?|ran", Behaviour.RUNS),
    (r"wobbles?|wobbled", Behaviour.WOBBLES),
    (r"rocks?|rocked", Behaviour.ROCKS),
    (r"drags?|dragged|(?:has|had|shows?|showed) no action|(?:does|did) nothing", Behaviour.DRAGS),
)  # fmt: skip
_SIDE = re.compile(r" to (?:a|the|its) (left|right)$", re.IGNORECASE)
_DROP_WORDS: tuple[tuple[str, DropMotion], ...] = (
    (r"(?:falls?|fell|sinks?|sank|drops?|dropped|goes|went) straight(?: down)?", DropMotion.STRAIGHT),
    (r"glides?|glided", DropMotion.GLIDE),
    (r"flutters?|fluttered", DropMotion.FLUTTER),
    (r"spirals?|spiralled", DropMotion.SPIRAL),
    (r"tumbles?|tumbled", DropMotion.TUMBLE),
    (r"hangs?|hung", DropMotion.HANGS),
)
_ONLY_DROPPED = "|".join(pattern for pattern, _ in _DROP_WORDS[:3])  # nothing that is pulled does these
_VERDICT_WORDS: tuple[tuple[str, Verdict], ...] = (
    (r"floats?|floated", Verdict.FLOATS),
    (r"sinks?|sank|sunk", Verdict.SINKS),
    (r"suspends?|suspended|hangs?|hung|hovers?|hovered", Verdict.SUSPENDS),
)
_ON_THE_DROP = re.compile(r" (?:on|in|during) the (?:drop|fall|way down)| when (?:it is )?(?:dropped|let go)")
_IN_THE_AIR = re.compile(r" in (?:the air|flight)| when (?:it is )?(?:cast|thrown)")
_NOT = re.compile(r"\b(?:does not|doesn't|did not|didn't|not|never)\b ?")
_ALWAYS = re.compile(r"^(?:it|the lure) ")


def said(design: Design, text: str) -> list[Statement]:
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
    said = " ".join(text.replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").strip(" .!").split())
    said = _ALWAYS.sub("", said, count=1)
    if not said:
        raise StatementError(f"nothing is said here; write, for example, {EXAMPLES[0]!r}")
    negated = bool(_NOT.search(said))
    said, pulls, given = _pulls(design, _NOT.sub("", said).strip())
    found = _number(text, said, pulls, given)
    if found is not None and negated:
        raise StatementError(f'"{printable(text)}" says what a number is not; say between what it lies')
    found = found or _word(text, said, pulls, given, negated)
    if found is None:
        raise StatementError(_not_understood(text))
    return found


def _not_understood(text: str) -> str:
    near = nearest(" ".join(text.split()), EXAMPLES)
    hint = (
        f'did you mean "{near}"?'
        if near
        else "say it, for example, as " + ", ".join(f'"{e}"' for e in EXAMPLES)
    )
    return f'"{printable(text)}" is not understood; {hint}'


_FROM = re.compile(
    r" (?:from|tied (?:at|to)|on) (?:the )?(?P<name>[A-Za-z][A-Za-z0-9_-]{0,39})$", re.IGNORECASE
)


def _pulls(design: Design, said: str) -> tuple[str, tuple[Pull, ...], bool]:
    """The words without where and how fast, the pulls meant, and whether a place or a speed was given."""
    points, given = list(design.tie_on)[:1], False
    paces: list[float] = design.retrieve.paces()
    for _ in range(2):  # in either order
        place = _FROM.search(said)
        if place and place["name"] in design.tie_on:
            points, given, said = [place["name"]], True, said[: place.start()]
        elif place and place["name"].lower() not in ("drop", "air"):
            names = ", ".join(design.tie_on) or "none"
            if not place["name"][0].isdigit() and _looks_like_point(said, place):
                raise StatementError(
                    f'there is no tie-on point "{printable(place["name"])}"; the design has {names}'
                )
        speed = re.search(r" (?:at|between) ((?:(?! at | between ).)+)$", said)
        if speed and (read_ := _speeds(speed[1])) is not None and not _DROPS.search(said):
            paces, given, said = read_, True, said[: speed.start()]
    return said, tuple(Pull(point, pace) for point in points for pace in paces), given


_DROPS = re.compile(r"^(?:sinks?|sank|drops?|dropped|falls?|fell|rises?|rose|comes? up|came up) at ")


def _looks_like_point(said: str, place: re.Match[str]) -> bool:
    """`from tail` names a point; `on top`, `on its side` do not."""
    return said[place.start() :].startswith((" from ", " tied "))


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


_ABOVE_ZERO = (
    "budget.mass_g", "budget.displaced_ml", "cast.range_m", "retrieve.wobble_hz", "retrieve.tension_n",
)  # fmt: skip


def _number(text: str, said: str, pulls: tuple[Pull, ...], given: bool) -> Statement | None:
    """A statement with a number in it."""
    timed = _TIMED.fullmatch(said)
    if timed and not given:
        return _over_time(text, timed)
    if re.fullmatch(r"(?:sits?|sat|lies|lay|floats?|floated) level", said):
        return Statement(text, "float.pitch_deg", Span(-3.0, 3.0, 1.0))
    for phrase in _PHRASES:
        found = re.fullmatch(phrase.pattern.replace("{n}", _VALUE), said, re.IGNORECASE)
        if not found:
            continue
        span = _span(found["value"], phrase)
        if span is None:
            continue
        if phrase.figure in _ABOVE_ZERO and span.high <= 0.0:
            raise StatementError(f'"{printable(text)}": this number must be above zero')
        pulled = phrase.figure.startswith("retrieve.")
        if given and not pulled:
            continue
        return Statement(text, phrase.figure, span, pulls=pulls if pulled else ())
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
    share = math.hypot(far.sd / far.value, time.sd / time.value) or 0.05
    sign = -1.0 if timed["way"].startswith(("rise", "rose")) else 1.0
    return Statement(text, "drop.sink_rate_m_s", Span(sign * rate, sign * rate, rate * share))


_LEAST = re.compile(r"^(?:at least|more than|over|no less than) ")
_MOST = re.compile(r"^(?:at most|less than|under|no more than) ")


def _span(text: str, phrase: _Number) -> Span | None:
    """The range that a number's text means, in the figure's unit; None if it is no such number."""
    floor, ceiling = bool(_LEAST.match(text)), bool(_MOST.match(text))
    text = re.sub(r"^about ", "", _MOST.sub("", _LEAST.sub("", text)))
    ends = re.split(r" ?\.\. ?", text)
    try:
        last = parse(ends[-1], phrase.dimension)
        first = last
        if len(ends) == 2:
            try:
                first = parse(ends[0], phrase.dimension)
            except UnitError:
                first = parse(f"{ends[0]} {_unit_of(ends[-1])}", phrase.dimension)
        elif len(ends) > 2:
            return None
    except UnitError:
        return None
    low, high = (phrase.sign * phrase.scale * q.value for q in (first, last))
    low, high = min(low, high), max(low, high)
    sd = phrase.scale * last.sd or sharpness(phrase.figure, high)
    if floor:
        return Span(low, math.inf, sd) if phrase.sign > 0 else Span(-math.inf, high, sd)
    if ceiling:
        return Span(-math.inf, high, sd) if phrase.sign > 0 else Span(low, math.inf, sd)
    return Span(low, high, sd)


def sharpness(figure: str, value: float) -> float:
    """Standard deviation of a number that was told without one."""
    least, share = _SHARP[figure]
    return max(least, share * abs(value))


def _word(text: str, said: str, pulls: tuple[Pull, ...], given: bool, negated: bool) -> Statement | None:
    """A statement with a word of a trial in it."""
    dropped, flown = _ON_THE_DROP.search(said), _IN_THE_AIR.search(said)
    bare = _IN_THE_AIR.sub("", _ON_THE_DROP.sub("", said))
    landing = re.fullmatch(r"(?:land(?:s|ed)?|splash(?:es|ed)) (nose first|tail first|side on)", bare, re.I)
    if landing:
        return Statement(text, "cast.lands", word=landing[1].lower(), negated=negated)
    if flown and _matches(r"tumble[sd]?|turn(?:s|ed)? over", bare):
        turns = Span(-math.inf, 0.5, 1.0) if negated else Span(0.5, math.inf, 1.0)
        return Statement(text, "cast.tumbles", turns)
    if not given and not dropped:
        for pattern, verdict in _VERDICT_WORDS:
            if _matches(pattern, bare):
                return Statement(text, "budget.verdict", word=verdict.value, negated=negated)
    if dropped or (not given and _matches(_ONLY_DROPPED, bare)):
        for pattern, motion in _DROP_WORDS:
            if _matches(pattern, bare):
                return Statement(text, "drop.motion", word=motion.value, negated=negated)
    for pattern, behaviour in _BEHAVIOUR_WORDS:
        if _matches(pattern, bare):
            side = _SIDE.search(bare) if behaviour is Behaviour.OFF_SIDE else None
            toward = 0 if side is None else 1 if side[1].lower() == "left" else -1
            return Statement(
                text, "retrieve.behaviour", word=behaviour.value, negated=negated, pulls=pulls, toward=toward
            )
    return None


def _matches(pattern: str, said: str) -> bool:
    return re.fullmatch(pattern, said, re.IGNORECASE) is not None
