"""What the grammar knows: every way to say a number, and every word."""

from __future__ import annotations

from typing import NamedTuple

from sim.metrics import Metric
from sim.trials.results import (
    DISPLACED,
    METRICS,
    SINK_RATE,
    SPARE_LIFT,
    TRIM,
    WEIGHT,
    Behaviour,
    DropMotion,
    Verdict,
)


class Phrase(NamedTuple):
    """A way to say a number of a metric: the words around it."""

    figure: str
    pattern: str  # with {n} for the number
    write: str  # an example of it, with {n} for a bare number: what to write where it is not understood
    sign: float = 1.0
    loose: str = ""  # the pattern where the unit is left out or another, if it is part of `pattern`

    @property
    def metric(self) -> Metric:
        """Its account."""
        return METRICS[self.figure]


_SITS = r"(?:sits?|sat|lies|lay|floats?|floated)"
_DOWN = r"(?:sinks?|sank|drops?|dropped|falls?|fell)"
_SINKS = rf"(?:{_DOWN}|rises?|rose)"
_RUNS = r"(?:runs?|ran|swims?|swam)"
_AWAY = r"(?:dives?|dived|dove|goes|went|digs?|dug)"
_WAY = r"(?: either way| to either side)?"
_AS = r"(?:at (?!least|most)|to |by |with )?"
_SWINGS = r"(?:wobble[sd]?|rock(?:s|ed)?|swings?|swung)"
_ASIDE = r"(?: to (?:a|the|its) (?:left|right|side))?"
PHRASES: tuple[Phrase, ...] = (
    Phrase(
        SPARE_LIFT, rf"(?:(?:float(?:s|ed)?|has|had) )?{_AS}{{n}} (?:to spare|spare lift)",
        "floats with {n} g to spare",
    ),
    Phrase(SPARE_LIFT, rf"float(?:s|ed)? {_AS}{{n}}", "floats with {n} g to spare"),
    Phrase(
        SPARE_LIFT, r"(?:sinks?|sank) (?:with|by) {n}", "sinks by {n} g",
        -1.0, r"(?:sinks?|sank) {n}",
    ),
    Phrase(WEIGHT, r"weigh(?:s|ed)? {n}", "weighs {n} g"),
    Phrase(
        DISPLACED, r"(?:displace[sd]?|push(?:es|ed)? aside) {n}", "displaces {n} mL"
    ),
    Phrase(
        TRIM, rf"{_SITS} nose up {_AS}{{n}}", "sits nose up {n} deg",
        loose=rf"{_SITS} {_AS}{{n}}",
    ),
    Phrase(
        TRIM, rf"{_SITS} nose down {_AS}{{n}}", "sits nose down {n} deg", -1.0,
        rf"{_SITS} {_AS}{{n}}",
    ),
    Phrase(
        "float.roll_deg", rf"(?:leans?|leant|leaned|sits? leaning) {_AS}{{n}}{_ASIDE}",
        "leans {n} deg",
    ),
    Phrase(
        "float.freeboard_mm", r"(?:shows?|showed) {n}(?: above(?: the)? water)?", "shows {n} mm"
    ),
    Phrase("drop.pitch_deg", rf"{_SINKS} nose up {_AS}{{n}}", "sinks nose up {n} deg"),
    Phrase("drop.pitch_deg", rf"{_SINKS} nose down {_AS}{{n}}", "sinks nose down {n} deg", -1.0),
    Phrase(SINK_RATE, rf"{_DOWN} {_AS}{{n}}", "sinks at {n} m/s"),
    Phrase(
        SINK_RATE, rf"(?:rises?|rose|comes? up|came up) {_AS}{{n}}",
        "rises at {n} m/s", -1.0,
    ),
    Phrase(
        "cast.tumbles", r"turn(?:s|ed)? over {n}(?: times?)? in (?:the air|flight)",
        "turns over {n} times in the air", loose=r"turn(?:s|ed)? over {n}(?: in (?:the air|flight))?",
    ),
    Phrase(
        "cast.range_m", rf"(?:fl(?:ies|ew|y)|casts?|land(?:s|ed)) {_AS}{{n}}(?: far)?",
        "flies {n} m",
    ),
    Phrase(
        "retrieve.depth_m", rf"(?:{_RUNS}|{_AWAY}) {_AS}{{n}}(?: deep| down)?", "runs {n} m deep"
    ),
    Phrase(
        "retrieve.wobble_hz",
        rf"{_SWINGS} {_AS}{{n}} ?(?:hz|times? (?:a|each|per) second|/ ?s(?:ec|econd)?)", "wobbles {n} Hz",
        loose=rf"{_SWINGS} {_AS}{{n}}",
    ),
    Phrase(
        "retrieve.yaw_amplitude_deg", rf"wobble[sd]? {_AS}{{n}}{_WAY}",
        "wobbles {n} deg either way",
    ),
    Phrase(
        "retrieve.roll_amplitude_deg", rf"rock(?:s|ed)? {_AS}{{n}}{_WAY}",
        "rocks {n} deg either way",
    ),
    Phrase("retrieve.pitch_deg", rf"{_RUNS} nose up {_AS}{{n}}", "runs nose up {n} deg"),
    Phrase("retrieve.pitch_deg", rf"{_RUNS} nose down {_AS}{{n}}", "runs nose down {n} deg", -1.0),
    Phrase("retrieve.tension_n", rf"pull(?:s|ed)? {_AS}{{n}}", "pulls {n} N"),
    Phrase(
        "retrieve.turns_per_m",
        r"(?:turn(?:s|ed)?|spins?|spun|twist(?:s|ed)?) {n}(?: times)? (?:a|per|each) (?:m|metre)",
        "turns {n} times per metre", loose=r"(?:turn(?:s|ed)?|spins?|spun|twist(?:s|ed)?) {n}",
    ),
)  # fmt: skip
BEHAVIOUR_WORDS: tuple[tuple[str, Behaviour], ...] = (
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
DROP_WORDS: tuple[tuple[str, DropMotion], ...] = (
    (r"(?:falls?|fell|sinks?|sank|drops?|dropped|goes|went) straight(?: down)?", DropMotion.STRAIGHT),
    (r"glides?|glided", DropMotion.GLIDE),
    (r"flutters?|fluttered", DropMotion.FLUTTER),
    (r"spirals?|spiralled", DropMotion.SPIRAL),
    (r"tumbles?|tumbled", DropMotion.TUMBLE),
    (r"hangs?|hung", DropMotion.HANGS),
)
ONLY_DROPPED = "|".join(pattern for pattern, _ in DROP_WORDS[:3])  # nothing that is pulled does these
VERDICT_WORDS: tuple[tuple[str, Verdict], ...] = (
    (r"floats?|floated", Verdict.FLOATS),
    (r"sinks?|sank|sunk", Verdict.SINKS),
    (r"suspends?|suspended|hangs?|hung|hovers?|hovered", Verdict.SUSPENDS),
)
