"""What the grammar knows: every way to say a number, every word, and how sharp a bare number is."""

from __future__ import annotations

import math
from typing import NamedTuple

from sim.trials.results import Behaviour, DropMotion, Verdict


class Number(NamedTuple):
    """A way to say a number: the words around it, its figure, dimension, and its unit over SI."""

    figure: str
    dimension: str
    scale: float  # figure's unit = scale * SI
    pattern: str  # with {n} for the number
    write: str  # an example of it, with {n} for a bare number: what to write where it is not understood
    sign: float = 1.0
    loose: str = ""  # the pattern where the unit is left out or another, if it is part of `pattern`


_DEG = 180.0 / math.pi
_SITS = r"(?:sits?|sat|lies|lay|floats?|floated)"
_DOWN = r"(?:sinks?|sank|drops?|dropped|falls?|fell)"
_SINKS = rf"(?:{_DOWN}|rises?|rose)"
_RUNS = r"(?:runs?|ran|swims?|swam)"
_AWAY = r"(?:dives?|dived|dove|goes|went|digs?|dug)"
_WAY = r"(?: either way| to either side)?"
_AS = r"(?:at (?!least|most)|to |by |with )?"
_SWINGS = r"(?:wobble[sd]?|rock(?:s|ed)?|swings?|swung)"
_ASIDE = r"(?: to (?:a|the|its) (?:left|right|side))?"
PHRASES: tuple[Number, ...] = (
    Number(
        "budget.margin_g", "mass", 1e3, rf"(?:(?:float(?:s|ed)?|has|had) )?{_AS}{{n}} (?:to spare|spare lift)",
        "floats with {n} g to spare",
    ),
    Number("budget.margin_g", "mass", 1e3, rf"float(?:s|ed)? {_AS}{{n}}", "floats with {n} g to spare"),
    Number(
        "budget.margin_g", "mass", 1e3, r"(?:sinks?|sank) (?:with|by) {n}", "sinks by {n} g",
        -1.0, r"(?:sinks?|sank) {n}",
    ),
    Number("budget.mass_g", "mass", 1e3, r"weigh(?:s|ed)? {n}", "weighs {n} g"),
    Number(
        "budget.displaced_ml", "volume", 1e6, r"(?:displace[sd]?|push(?:es|ed)? aside) {n}", "displaces {n} mL"
    ),
    Number(
        "float.pitch_deg", "angle", _DEG, rf"{_SITS} nose up {_AS}{{n}}", "sits nose up {n} deg",
        loose=rf"{_SITS} {_AS}{{n}}",
    ),
    Number(
        "float.pitch_deg", "angle", _DEG, rf"{_SITS} nose down {_AS}{{n}}", "sits nose down {n} deg", -1.0,
        rf"{_SITS} {_AS}{{n}}",
    ),
    Number(
        "float.roll_deg", "angle", _DEG, rf"(?:leans?|leant|leaned|sits? leaning) {_AS}{{n}}{_ASIDE}",
        "leans {n} deg",
    ),
    Number(
        "float.freeboard_mm", "length", 1e3, r"(?:shows?|showed) {n}(?: above(?: the)? water)?", "shows {n} mm"
    ),
    Number("drop.pitch_deg", "angle", _DEG, rf"{_SINKS} nose up {_AS}{{n}}", "sinks nose up {n} deg"),
    Number("drop.pitch_deg", "angle", _DEG, rf"{_SINKS} nose down {_AS}{{n}}", "sinks nose down {n} deg", -1.0),
    Number("drop.sink_rate_m_s", "speed", 1.0, rf"{_DOWN} {_AS}{{n}}", "sinks at {n} m/s"),
    Number(
        "drop.sink_rate_m_s", "speed", 1.0, rf"(?:rises?|rose|comes? up|came up) {_AS}{{n}}",
        "rises at {n} m/s", -1.0,
    ),
    Number(
        "cast.tumbles", "factor", 1.0, r"turn(?:s|ed)? over {n}(?: times?)? in (?:the air|flight)",
        "turns over {n} times in the air", loose=r"turn(?:s|ed)? over {n}(?: in (?:the air|flight))?",
    ),
    Number(
        "cast.range_m", "length", 1.0, rf"(?:fl(?:ies|ew|y)|casts?|land(?:s|ed)) {_AS}{{n}}(?: far)?",
        "flies {n} m",
    ),
    Number(
        "retrieve.depth_m", "length", 1.0, rf"(?:{_RUNS}|{_AWAY}) {_AS}{{n}}(?: deep| down)?", "runs {n} m deep"
    ),
    Number(
        "retrieve.wobble_hz", "factor", 1.0,
        rf"{_SWINGS} {_AS}{{n}} ?(?:hz|times? (?:a|each|per) second|/ ?s(?:ec|econd)?)", "wobbles {n} Hz",
        loose=rf"{_SWINGS} {_AS}{{n}}",
    ),
    Number(
        "retrieve.yaw_amplitude_deg", "angle", _DEG, rf"wobble[sd]? {_AS}{{n}}{_WAY}",
        "wobbles {n} deg either way",
    ),
    Number(
        "retrieve.roll_amplitude_deg", "angle", _DEG, rf"rock(?:s|ed)? {_AS}{{n}}{_WAY}",
        "rocks {n} deg either way",
    ),
    Number("retrieve.pitch_deg", "angle", _DEG, rf"{_RUNS} nose up {_AS}{{n}}", "runs nose up {n} deg"),
    Number("retrieve.pitch_deg", "angle", _DEG, rf"{_RUNS} nose down {_AS}{{n}}", "runs nose down {n} deg", -1.0),
    Number("retrieve.tension_n", "force", 1.0, rf"pull(?:s|ed)? {_AS}{{n}}", "pulls {n} N"),
    Number(
        "retrieve.turns_per_m", "factor", 1.0,
        r"(?:turn(?:s|ed)?|spins?|spun|twist(?:s|ed)?) {n}(?: times)? (?:a|per|each) (?:m|metre)",
        "turns {n} times per metre", loose=r"(?:turn(?:s|ed)?|spins?|spun|twist(?:s|ed)?) {n}",
    ),
)  # fmt: skip
SHARP: dict[str, tuple[float, float]] = {  # figure: least step, and share of the value. Judgement
    "budget.mass_g": (0.0, 0.005), "budget.displaced_ml": (0.0, 0.02), "budget.margin_g": (0.1, 0.1),
    "float.pitch_deg": (2.0, 0.1), "float.roll_deg": (2.0, 0.1), "float.freeboard_mm": (1.0, 0.1),
    "drop.sink_rate_m_s": (0.002, 0.05), "drop.pitch_deg": (4.0, 0.1), "cast.range_m": (0.5, 0.05),
    "cast.tumbles": (1.0, 0.2), "retrieve.depth_m": (0.05, 0.1), "retrieve.pitch_deg": (4.0, 0.1),
    "retrieve.wobble_hz": (0.3, 0.07), "retrieve.yaw_amplitude_deg": (2.0, 0.15),
    "retrieve.roll_amplitude_deg": (3.0, 0.15), "retrieve.tension_n": (0.02, 0.15),
    "retrieve.turns_per_m": (0.2, 0.2),
}  # fmt: skip
"""How sharp a number is that comes without `+-`: what eye, scale and watch are good for."""


def sharpness(figure: str, value: float) -> float:
    """Standard deviation of a number that was told without one."""
    least, share = SHARP[figure]
    return max(least, share * abs(value))


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
