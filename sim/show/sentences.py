"""Each answer as plain sentences, in the reader's units."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from sim.hydrostatics.verdict import Turns
from sim.metrics import Confidence
from sim.show import inputs, remarks
from sim.show.units import METRIC, NO_BREAK, Units, figures
from sim.trials.records import OtherRest, OutOfRange, TubCheck
from sim.trials.results import (
    BudgetResult,
    CastResult,
    DropMotion,
    DropResult,
    Ended,
    FloatResult,
    RightingPoint,
    TrialResult,
    Verdict,
)

LEVEL = 1.5  # degrees: less is not seen on the water
SIDE = 1.0  # m: less is chance, and not noticed at the end of a cast
ALIKE = 1e-4  # of the size: a difference of energy that settles nothing
FOLLOWS = "How sure that is follows."
LIES_LATER = "How it lies in the water follows once the solver is compiled, on the first start only."
AS_IF = "What follows is reckoned as if the numbers in the file were true."
NEUTRAL = 0.01  # mm of metacentric height: less rights nothing


def compiling(done: int, total: int) -> str:
    """What is said while the solver is being compiled."""
    so_far = f": {done} of {total} parts are done" if total else ""
    return f"The solver is being compiled, once{so_far}. The bench works meanwhile; the lure swims then."


def verdict(result: BudgetResult, units: Units) -> str:
    """Does it float, by how much, and how sure is that."""
    if result.conflicts:
        return f"Cannot be told: {' '.join(inputs.conflict(one) for one in result.conflicts)}".replace(
            "told: Of", "told: of", 1
        )
    spare = units.text("mass", abs(result.margin_g))
    give = f", give or take {units.text('mass', result.margin_sd_g)}" if result.margin_sd_g > 0 else ""
    if result.verdict is Verdict.FLOATS:
        answer = f"Floats, with {spare} to spare{give}."
    elif result.verdict is Verdict.SINKS:
        answer = f"Sinks: it is {spare} too heavy for the water it pushes aside{give}."
    else:
        side = "lighter" if result.margin_g >= 0 else "heavier"
        answer = f"Suspends: it is only {spare} {side} than the water it pushes aside{give}."
    return " ".join(filter(None, (answer, _chance(result.chance_floats))))


def look_again(result: BudgetResult, units: Units) -> list[str]:
    """What is odd about the design."""
    return remarks.sentences(result.warnings, units)


def _chance(share: float | None) -> str:
    if share is None:
        return ""
    builds = round(100 * share)
    if builds == 100:
        return "Practically every build would float."
    if builds == 0:
        return "Hardly any build would float."
    return f"About {builds} in 100 builds would float."


def turns(result: BudgetResult, units: Units) -> list[str]:
    """Single values at which the verdict turns."""
    floats, water = result.margin_g >= 0.0, result.water_density_kg_m3
    found = [inputs.turning(one, floats, water, units) for one in result.turning_values]
    return found or ["No single value in the file, within reason, turns it."]


def settling(result: BudgetResult, units: Units) -> str:
    """What to measure first where the verdict is uncertain; nothing where it is sure."""
    return "" if result.settled_by is None else inputs.settling(result.settled_by, units)


def weights(result: BudgetResult, units: Units) -> str:
    """What it weighs and what the water carries."""
    carried = units.text("mass", result.mass_g + result.margin_g)
    return (
        f"It weighs {units.text('mass', result.mass_g)} and pushes aside "
        f"{units.text('volume', result.displaced_ml)} of water when wholly under, which carries {carried} "
        f"(water of {result.water_density_kg_m3 / 1000:.4f} g/mL)."
    )


def balance(result: BudgetResult, units: Units) -> str:
    """Where the weight and the lift act."""
    lift = result.buoyancy_up_mm - result.gravity_up_mm
    height = f"{units.text('size', abs(lift))} {'above' if lift >= 0 else 'below'} the balance point"
    sentence = (
        f"It balances {units.text('size', result.gravity_back_mm)} behind the nose; the water's lift acts "
        f"{units.text('size', result.buoyancy_back_mm)} behind the nose, {height}."
    )
    if result.rattle_back_mm is not None:
        front, rear = (units.text("size", place) for place in result.rattle_back_mm)
        sentence += f" As its loose balls roll, the balance point moves from {front} to {rear}."
    aside = result.gravity_left_mm - result.buoyancy_left_mm
    if abs(aside) >= 0.1:
        side = "left" if aside > 0 else "right"
        sentence += (
            f" The weight is {units.text('size', abs(aside))} to the {side} of the lift: it will lean."
        )
    return sentence


def attitude(pitch_deg: float, roll_deg: float | None) -> str:
    """How it lies, as one would say it."""
    if abs(pitch_deg) >= 60.0:
        return "standing on its tail" if pitch_deg > 0 else "standing on its nose"
    level = abs(pitch_deg) < LEVEL
    nose = "level" if level else f"nose {'up' if pitch_deg > 0 else 'down'} {degrees(pitch_deg)}"
    if roll_deg is None:
        return nose
    side = "right" if roll_deg > 0 else "left"
    if abs(roll_deg) < LEVEL:
        lean = "upright"
    elif abs(roll_deg) < 60.0:
        lean = f"leaning {degrees(roll_deg)} to its {side}"
    elif abs(roll_deg) < 120.0:
        lean = f"lying on its {side} side"
    else:
        lean = "belly up"
    return f"{nose} and {lean}"


def rest(result: FloatResult, units: Units) -> str:
    """How it sits when nothing pulls it."""
    if result.pitch_deg is None:
        if result.verdict is Verdict.SINKS:
            return "Sinks: it has no place of rest at the surface."
        return "No place of rest was found."
    lies = attitude(result.pitch_deg, result.roll_deg)
    if result.verdict is not Verdict.FLOATS:
        if result.turns is Turns.ANY:
            return "Hangs in the water as it is left: its weight and its lift act at one point."
        return f"Hangs in the water {lies}, all of it under."
    sentence = f"Floats {lies}"
    if result.immersed_fraction is not None:
        sentence += f", {100 * result.immersed_fraction:.0f}{NO_BREAK}% of it under water"
    if result.draught_mm is not None and result.freeboard_mm is not None:
        sentence += (
            f"; it reaches {units.text('size', result.draught_mm)} down and shows "
            f"{units.text('size', result.freeboard_mm)} above"
        )
    if abs(result.pitch_deg) < 60.0 <= abs(result.roll_deg or 0.0):
        sentence += ". Set down the right way up, it rolls over"
    if result.turns not in (None, Turns.NOT):
        sentence += f". {result.turns.value[0].upper()}{result.turns.value[1:]}"
    return sentence + "."


def other_rest(one: OtherRest) -> str:
    """Another attitude in which it can stay."""
    settled = "just as" if abs(one.lower) < ALIKE else "more" if one.lower > 0.0 else "less"
    return f"It can also rest {attitude(one.pitch_deg, one.roll_deg)}; it is {settled} settled there."


def other_rests(result: FloatResult) -> str:
    """All of them."""
    return " ".join(map(other_rest, result.other_rests))


def in_the_tub(one: TubCheck) -> str:
    """What was read in the tub, held against the answer."""
    shown = f"In the tub its nose was up by {one.pitch_deg:.1f} degrees"
    if one.off_deg is None:
        return f"{shown}, so it floated there; the answer says that it sinks: weigh it and dunk it again."
    if one.agrees:
        return f"{shown}, which agrees."
    more, where = ("more", "aft") if one.off_deg < 0.0 else ("less", "forward")
    return (
        f"{shown}, {abs(one.off_deg):.1f} degrees {more} than the answer. The balance point is probably farther "
        f"{where} than the parts say: lay it on an edge (`drytank measure balance`)."
    )


def righting(result: FloatResult, units: Units) -> str:
    """How it answers being tipped."""
    rolled = [
        _comes_back([p for p in result.righting_heel if p.angle_deg > 0], "to its right"),
        _comes_back([p for p in result.righting_heel if p.angle_deg < 0], "to its left"),
    ]
    if rolled[0] and rolled[0].replace("right", "left") == rolled[1]:
        rolled = [rolled[0].replace("to its right", "to either side")]
    stiff = ""
    if result.heel_gm_mm is not None and result.trim_gm_mm is not None:
        stiff = (
            f"Stiffness (metacentric height): {units.text('size', result.heel_gm_mm)} to the side, "
            f"{units.text('size', result.trim_gm_mm)} nose to tail."
        )
    return " ".join(filter(None, (*rolled, stiff)))


def _comes_back(points: Sequence[RightingPoint], which: str) -> str:
    """From how far it rights itself; arms are positive when they bring it back."""
    if not points:
        return ""
    points = sorted(points, key=lambda p: abs(p.angle_deg))
    if max(p.arm_mm for p in points) < 0.02:
        return f"Rolled {which}, it stays as it is turned."
    for before, after in pairwise(points):
        if before.arm_mm > 0 >= after.arm_mm and abs(after.angle_deg) < 175.0:
            share = before.arm_mm / (before.arm_mm - after.arm_mm)
            angle = before.angle_deg + share * (after.angle_deg - before.angle_deg)
            return f"Rolled {which}, it comes back from as far as {degrees(angle)}."
    return f"Rolled {which}, it always comes back."


def drop(result: DropResult, units: Units) -> str:
    """What it does when let go."""
    if result.motion is DropMotion.HANGS:
        return "Hangs: it hardly moves, up or down." + gave_up([result.ended])
    if result.sink_rate_m_s is None or result.motion is None:
        return "No steady sink was found." + gave_up([result.ended])
    down = result.sink_rate_m_s >= 0
    answer = f"{'Sinks' if down else 'Rises'} at {sink_rate(abs(result.sink_rate_m_s), units)}"
    if result.pitch_deg is not None and result.motion is not DropMotion.TUMBLE:
        roll = None if result.motion is DropMotion.SPIRAL else result.roll_deg
        answer += f", {attitude(result.pitch_deg, roll)}"
    return f"{answer}, {_course(result, units, 'down' if down else 'up')}.{gave_up([result.ended])}"


def sink_rate(metres: float, units: Units) -> str:
    """A speed up or down, m/s."""
    return (
        f"{figures(100 * metres, 1, 2)}{NO_BREAK}cm/s" if units is METRIC else units.text("speed", metres, 2)
    )


def _course(result: DropResult, units: Units, way: str) -> str:
    swing = f", swinging {degrees(result.swing_deg)} either way" if result.swing_deg else ""
    match result.motion:
        case DropMotion.GLIDE:
            off = f" {degrees(result.glide_deg)} away from straight {way}" if result.glide_deg else ""
            return f"gliding{off}"
        case DropMotion.FLUTTER:
            return f"fluttering{swing}"
        case DropMotion.SPIRAL:
            turns = result.turns_per_m
            return f"spiralling{f', {each(turns, units)}' if turns else ''}"
        case DropMotion.TUMBLE:
            return "tumbling end over end"
        case _:
            return f"straight {way}"


def each(per_metre: float, units: Units) -> str:
    """Turns for each metre or foot."""
    per = abs(per_metre) / units.scales["distance"].factor
    return f"{figures(per, 1)} turns for each {'metre' if units is METRIC else 'foot'}"


def timing(result: DropResult) -> str:
    """The sink rate in every form a maker counts in."""
    if result.sink_rate_cm_s is None or result.sink_rate_ft_s is None:
        return ""
    line = f"{figures(abs(result.sink_rate_cm_s), 1, 2)} cm/s, {abs(result.sink_rate_ft_s):.2f} ft/s"
    if result.seconds_per_m is not None and result.seconds_per_ft is not None:
        metre, foot = abs(result.seconds_per_m), abs(result.seconds_per_ft)
        line += f": {figures(metre, 1)} s for a metre, {figures(foot, 1)} s for a foot"
    return line + "."


def cast(result: CastResult, units: Units) -> str:
    """How far it goes and how it lands."""
    if result.range_m is None:
        return "The cast did not reach the water." + gave_up([result.ended])
    answer = f"Flies {units.text('distance', result.range_m, 2)}"
    if result.flight_time_s is not None:
        answer += f" in {figures(result.flight_time_s, 1)} s"
    if result.apex_m is not None:
        answer += f", {units.text('distance', result.apex_m, 2)} above the water at most"
    if result.tumbles is not None:
        answer += f", {_tumbles(result.tumbles)}"
    if result.lands:
        answer += f"; lands {result.lands}"
        if result.splash_speed_m_s is not None:
            answer += f" at {units.text('speed', result.splash_speed_m_s, 2)}"
    answer += "."
    if result.drift_m is not None and abs(result.drift_m) >= SIDE:
        answer += f" It drifts {aside(result.drift_m, units)}."
    return answer + gave_up([result.ended])


def _tumbles(turns: float) -> str:
    whole = round(abs(turns))
    if whole == 0:
        return "without tumbling"
    return "tumbling once" if whole == 1 else f"tumbling {whole} times"


def gave_up(endings: Iterable[Ended]) -> str:
    """The sentence for a run that was cut short, with a space before it; nothing for the others."""
    if Ended.GAVE_UP not in endings:
        return ""
    return f" Mind: {Ended.GAVE_UP.value}; the figures are of the part that was reached."


def aside(metres: float, units: Units) -> str:
    """How far off to which side; left is positive."""
    return f"{units.depth(abs(metres), 2)} to the {'left' if metres > 0 else 'right'}"


def degrees(angle: float) -> str:
    """An angle without its sign."""
    whole = f"{abs(angle):.0f}"
    return f"{whole}{NO_BREAK}degree{'' if whole == '1' else 's'}"


def sure(result: TrialResult) -> str:
    """How far the answers can be trusted, quietly: by the outside checks that cover them."""
    found = [
        ("rest", result.floating.confidence["pitch_deg"]),
        ("sink rate", result.drop.confidence["sink_rate_m_s"]),
        ("cast", result.cast.confidence["range_m"]),
    ]
    if result.retrieve:
        found.append(("pull", result.retrieve[0].confidence["behaviour"]))
    stated = {
        Confidence.EXACT: "exact",
        Confidence.CHECKED: "checked against published values",
        Confidence.INDICATIVE: "indications",
    }
    measured = result.budget.confidence["margin_g"] is Confidence.EXACT
    parts = [
        f"weight and lift: {'exact for what you measured' if measured else 'as sure as the verdict says'}"
    ]
    for grade, words in stated.items():
        names = [name for name, own in found if own is grade]
        if names:
            parts.append(f"{', '.join(names)}: {words}")
    text = "; ".join(parts)
    return f"{text[0].upper()}{text[1:]}."


def out_of_range(one: OutOfRange) -> str:
    """A law that was used outside the range that it was measured over."""
    share, side = max((one.below, "slower"), (one.above, "faster"))
    return (
        f"{100 * share:.0f}{NO_BREAK}% of the time the flow was {side} than the law for the {one.law} was "
        "measured for."
    )


def outside(result: TrialResult) -> list[str]:
    """What ran outside the range of its law, each told once."""
    stated: dict[str, None] = {}
    for name, own in (
        ("Let go", result.drop.outside),
        ("In the cast", result.cast.outside),
        ("Pulled", [one for run in result.retrieve for one in run.outside]),
    ):
        for one in own[:1]:
            stated[f"{name}: {out_of_range(one)}"] = None
    return list(stated)
