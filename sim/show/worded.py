"""What trials answer as data, put into words for JSON: sentences in metric units, and causes."""

from __future__ import annotations

from typing import Any

from sim.show import inputs
from sim.show.units import METRIC, NO_BREAK
from sim.trials.records import Result
from sim.trials.results import (
    Act,
    Behaviour,
    BudgetResult,
    CastResult,
    DropMotion,
    DropResult,
    Ended,
    ForceBalance,
    PauseResult,
    RetrieveResult,
    Seen,
)

TWIST = 0.2  # turns for each metre: less does not twist a line
LEVEL_DROPPED, LEVEL_STOPPED = 2.0, 3.0  # degrees

_UNITS = {Act.SWING: ("mW", 1e3, 2), **dict.fromkeys((Act.NOSE_DOWN, Act.OVER, Act.AROUND), ("mN m", 1e3, 2))}
_ACTS = {
    Act.DOWN: ("push it down", "hold it up"), Act.UP: ("hold it up", "push it down"),
    Act.LEFT: ("push it to the left", "pull it back"), Act.RIGHT: ("push it to the right", "pull it back"),
    Act.NOSE_DOWN: ("turn the nose down", "turn it up"), Act.OVER: ("hold it over", "push it upright"),
    Act.AROUND: ("turn it about the line", "resist"), Act.SWING: ("feed the swing", "take it out"),
}  # fmt: skip
_STOPPED = (Behaviour.HANGS, Behaviour.RISES, Behaviour.SINKS)


def worded(answer: Any) -> Any:
    """An answer with every sentence and every cause in it written."""
    if isinstance(answer, Result):
        changed = {}
        for key in type(answer).model_fields:
            before = getattr(answer, key)
            after = worded(before)
            if after is not before:
                changed[key] = after
        return answer.model_copy(update=changed | _own(answer.model_copy(update=changed)))
    if isinstance(answer, list | tuple) and any(isinstance(one, Result) for one in answer):
        return [worded(one) for one in answer]
    if isinstance(answer, dict):
        return {key: worded(one) for key, one in answer.items()}
    return answer


def _own(answer: Result) -> dict[str, Any]:
    """The words of one result, without those inside it."""
    if isinstance(answer, BudgetResult):
        return _of_the_budget(answer)
    if isinstance(answer, Seen):
        return {"cause": cause(answer)}
    if isinstance(answer, PauseResult):
        return {"cause": cause(answer), "sentence": answer.sentence or stopped(answer)}
    if isinstance(answer, DropResult) and not answer.sentence:
        return {"sentence": dropped(answer)}
    if isinstance(answer, CastResult) and not answer.sentence:
        return {"sentence": thrown(answer)}
    if isinstance(answer, RetrieveResult) and not answer.sentence:
        pauses = [stopped(one) for one in answer.pauses[-1:]]
        return {"sentence": " ".join([pulled(answer), *pauses, *_reeling(answer)])}
    return {}


def _with(record: Result, sentence: str) -> Result:
    return record.model_copy(update={"sentence": sentence.replace(NO_BREAK, " ")})


def _of_the_budget(answer: BudgetResult) -> dict[str, Any]:
    floats, water = answer.margin_g >= 0.0, answer.water_density_kg_m3
    settles = answer.settled_by
    return {
        "turning_values": [
            _with(one, inputs.turning(one, floats, water, METRIC)) for one in answer.turning_values
        ],
        "settled_by": settles and _with(settles, inputs.settling(settles, METRIC)),
    }


# ---- causes -------------------------------------------------------------------------------------------


def cause(seen: Seen | PauseResult) -> str:
    """The forces or moments behind a behaviour, as one or two sentences."""
    if seen.cause:
        return seen.cause
    if not seen.balances and seen.behaviour in _STOPPED:
        return "Nothing pushes it up or down: its weight and buoyancy are alike."
    if not seen.balances and seen.behaviour is Behaviour.DRAGS:
        return "No force feeds a swing."
    return " ".join(_balance(one) for one in seen.balances)


def _balance(one: ForceBalance) -> str:
    """`A (2 N) and B (1 N) do this; C (3 N) does that.`"""
    does, answers = _ACTS[one.act]
    sides = (_listed(one.ahead, does, one.act), _listed(one.against, answers, one.act))
    lead = "about the tie-on point, " if one.act is Act.NOSE_DOWN else ""
    text = lead + "; ".join(filter(None, sides))
    return f"{text[0].upper()}{text[1:]}."


def _listed(rows: list[tuple[str, float]], does: str, act: Act) -> str:
    if not rows:
        return ""
    unit, factor, places = _UNITS.get(act, ("N", 1.0, 3))
    names = [f"{name} ({value * factor:.{places}f} {unit})" for name, value in rows]
    many = len(rows) > 1 or rows[0][0].endswith("s") or " and " in rows[0][0] or "vortices" in rows[0][0]
    verb, _, rest = does.partition(" ")
    if not many:
        verb = {"push": "pushes", "resist": "resists"}.get(verb, f"{verb}s")
    who = " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))
    return f"{who} {verb} {rest}".rstrip()


# ---- sentences ----------------------------------------------------------------------------------------


def dropped(result: DropResult) -> str:
    """How it goes down or up when let go."""
    motion, rate = result.motion, result.sink_rate_m_s or 0.0
    if motion is DropMotion.HANGS or motion is None:
        return "Hangs where it is let go."
    way = "Sinks" if rate > 0 else "Rises"
    manner = {
        DropMotion.STRAIGHT: "straight",
        DropMotion.GLIDE: "in a glide",
        DropMotion.FLUTTER: "with a flutter",
        DropMotion.SPIRAL: "in a spiral",
        DropMotion.TUMBLE: "tumbling",
    }[motion]
    if motion is DropMotion.TUMBLE:
        return f"{way} at {abs(rate) * 100:.1f} cm/s, {manner}."
    return f"{way} {manner} at {abs(rate) * 100:.1f} cm/s, {_pose(result.pitch_deg or 0.0, LEVEL_DROPPED)}."


def thrown(result: CastResult) -> str:
    """How far it flies and how it lands."""
    whole = round(result.tumbles or 0.0)
    over = "without tumbling" if whole == 0 else f"turning over {whole} time{'s' if whole != 1 else ''}"
    return f"Flies {result.range_m:.0f} m in {result.flight_time_s:.1f} s {over} and lands {result.lands}."


def stopped(result: PauseResult) -> str:
    """What it does while the winding stops."""
    pose = _pose(result.pitch_deg, LEVEL_STOPPED)
    if result.at_surface:
        return f"Stopped, it stays at the surface, {pose}."
    if result.behaviour is Behaviour.HANGS:
        return f"Stopped, it hangs, {pose}."
    words = f"Stopped, it {result.behaviour.value} at {100 * abs(result.sink_rate_m_s):.0f} cm/s, {pose}"
    return (
        f"{words}; it is up within {result.surfaced_s:.1f} s."
        if result.surfaced_s is not None
        else f"{words}."
    )


def pulled(result: RetrieveResult) -> str:
    """What it does on the line."""
    if result.ended is Ended.BOTTOM and result.programme is None:
        return (
            f"Reaches the bottom, {result.deepest_m or 0.0:.1f} m down, {result.ran_s:.0f} s into the pull."
        )
    first, also = result.behaviour, result.also
    words = [first.value.capitalize()]
    turns, wobble, offset = result.turns_per_m or 0.0, result.wobble_hz, result.offset_m or 0.0
    if first is Behaviour.DIVES:
        words.append(f"to {result.depth_m:.2f} m")
    if first in (Behaviour.SPINS, Behaviour.SPIRALS) and turns > TWIST:
        words.append(f"{turns:.1f} turns for each metre: the line will twist")
    if Behaviour.WOBBLES in also and wobble:
        words.append(
            f"and wobbles {result.yaw_amplitude_deg:.0f} degrees either way, {wobble:.1f} times a second"
        )
    elif Behaviour.ROCKS in also and wobble:
        words.append(
            f"and rocks {result.roll_amplitude_deg:.0f} degrees either way, {wobble:.1f} times a second"
        )
    elif Behaviour.DRAGS in also:
        words.append("without action")
    if Behaviour.OFF_SIDE in also or first is Behaviour.OFF_SIDE:
        words.append(f"({abs(offset):.1f} m to the {'left' if offset > 0 else 'right'})")
    return " ".join(words) + "."


def _reeling(result: RetrieveResult) -> list[str]:
    """Where reeling starts, after a cast."""
    if result.starts_at_m is None:
        return []
    away, depth = result.starts_at_m
    where = f"{depth:.1f} m down" if depth >= 0.05 else "at the surface"
    return [f"Reeling starts {away:.0f} m out, {where}."]


def _pose(pitch: float, level: float) -> str:
    if abs(pitch) < level:
        return "level"
    return f"nose {abs(pitch):.0f} degrees {'up' if pitch > 0 else 'down'}"
