"""What a lure does on the line, and the forces behind it, as plain sentences in the reader's units."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from sim.show.sentences import aside, attitude, cast, degrees, drop, each, gave_up, sink_rate
from sim.show.units import METRIC, Units
from sim.trials.results import (
    Act,
    Behaviour,
    CastResult,
    DropResult,
    Ended,
    ForceBalance,
    PauseResult,
    RetrieveResult,
    SeenBehaviour,
)

LEANS = 10.0  # degrees of lean that the eye sees
SHARES = (
    "Means over the stretch looked at; percentages are of the stronger side. Small shares are left out, and a swing "
    "that grows or dies keeps a rest, so the two sides need not add up to the same."
)


def pulled(results: Sequence[RetrieveResult], units: Units) -> list[str]:
    """One sentence for each tie-on point, its speeds in order; then one for each programme."""
    steady = [run for run in results if run.programme is None]
    by_point = groupby(sorted(steady, key=lambda r: (_order(steady, r), r.speed_m_s)), lambda r: r.tie_on)
    through = [_through(run, units) for run in results if run.programme is not None]
    return [*(_pulled_from(point, list(rows), units) for point, rows in by_point), *through]


def _through(run: RetrieveResult, units: Units) -> str:
    """What it does in a programme: while it is wound, and at its last stop."""
    words = f"Tied at {run.tie_on}, {run.programme}: it {_headline(run.behaviour, [run], units)}"
    if run.deepest_m is not None:
        words += f", {units.depth(run.deepest_m)} at the deepest"
    words += f". {stopped(run.pauses[-1], units)}" if run.pauses else "."
    return words + gave_up([run.ended])


def stated(result: DropResult | CastResult | RetrieveResult, units: Units) -> str:
    """The answer of one motion in a sentence or two."""
    if isinstance(result, DropResult):
        return drop(result, units)
    return cast(result, units) if isinstance(result, CastResult) else pull(result, units)


def pull(run: RetrieveResult, units: Units) -> str:
    """What one run does, with its action, its last stop and where its reeling starts."""
    if run.programme is None:
        text = _pulled_from(run.tie_on, [run], units, _action(run, units))
    else:
        text = _through(run, units)
    if run.starts_at_m is None:
        return text
    away, depth = run.starts_at_m
    where = f"{units.depth(depth, 2)} down" if depth >= 0.05 else "at the surface"
    return f"{text} Reeling starts {units.text('distance', away, 2)} out, {where}."


def _action(run: RetrieveResult, units: Units) -> str:
    """How it swings, or when it came to the bottom; with a blank before it."""
    if run.behaviour is Behaviour.BOTTOM and run.deepest_m is not None:
        return f", {units.depth(run.deepest_m)} down, which it reaches after {run.ran_s:.0f} s"
    for behaviour, swing in (
        (Behaviour.WOBBLES, run.yaw_amplitude_deg),
        (Behaviour.ROCKS, run.roll_amplitude_deg),
    ):
        if behaviour in run.also and run.wobble_hz and swing is not None:
            return f" and {behaviour.value} {degrees(swing)} either way, {run.wobble_hz:.1f} times a second"
    return " without action" if Behaviour.DRAGS in run.also else ""


def stopped(stop: PauseResult, units: Units) -> str:
    """What it does while the winding stops."""
    pose = attitude(stop.pitch_deg, None)
    if stop.at_surface:
        return f"Stopped, it stays at the surface, {pose}."
    if stop.behaviour is Behaviour.HANGS:
        return f"Stopped, it hangs, {pose}."
    words = f"Stopped, it {stop.behaviour.value} at {sink_rate(abs(stop.sink_rate_m_s), units)}, {pose}"
    return words + (f"; up within {stop.surfaced_s:.1f} s." if stop.surfaced_s is not None else ".")


def _order(results: Sequence[RetrieveResult], row: RetrieveResult) -> int:
    return next(k for k, other in enumerate(results) if other.tie_on == row.tie_on)


def _pulled_from(point: str, rows: list[RetrieveResult], units: Units, action: str = "") -> str:
    does = []
    for behaviour, same in groupby(rows, lambda r: r.behaviour):
        alike = list(same)
        speeds = [units.number("speed", row.speed_m_s) for row in alike]
        at = speeds[0] if len(speeds) == 1 else f"{speeds[0]} to {speeds[-1]}"
        does.append(f"{_headline(behaviour, alike, units)} at {at} {units.unit('speed')}")
    sentence = f"Tied at {point}, it {'; '.join(does)}{action}."
    lean = max((row.roll_deg for row in rows if row.roll_deg is not None), key=abs, default=0.0)
    if abs(lean) > LEANS:
        sentence += f" It leans up to {abs(lean):.0f} degrees to its {'right' if lean > 0 else 'left'}."
    twist = max(_those(rows, Behaviour.SPINS, "turns_per_m"), default=0.0)
    if twist:
        sentence += f" It turns about the line, up to {each(twist, units)}, and will twist it."
    off = max(_those(rows, Behaviour.OFF_SIDE, "offset_m"), key=abs, default=0.0)
    if off:
        sentence += f" It runs off up to {aside(off, units)}."
    return sentence + gave_up(row.ended for row in rows) + _too_short(rows)


def _too_short(rows: list[RetrieveResult]) -> str:
    """The sentence for pulls that were over before they had come up to speed, with a space before it."""
    unknown = (row.ended for row in rows if row.behaviour is Behaviour.UNKNOWN)
    why = next((ended for ended in unknown if ended is not Ended.GAVE_UP), None)
    return "" if why is None else f" Mind: {why.value} before it had come up to speed."


def _those(rows: list[RetrieveResult], behaviour: Behaviour, key: str) -> list[float]:
    """That metric of the runs in which the behaviour was seen."""
    seen = (row for row in rows if behaviour in (row.behaviour, *row.also))
    return [value for row in seen if (value := getattr(row, key)) is not None]


def _headline(behaviour: Behaviour, rows: list[RetrieveResult], units: Units) -> str:
    if behaviour is Behaviour.UNKNOWN:
        return "could not be followed"
    depths = [row.depth_m for row in rows if row.depth_m is not None]
    if behaviour is Behaviour.DIVES and depths:
        low, high = units.depths(min(depths), max(depths))
        return f"dives to {low}" if low == high else f"dives to between {low} and {high}"
    return behaviour.value


def deep(run: RetrieveResult, units: Units) -> str:
    """How deep it runs, to go after other words; nothing where that is not known."""
    return "" if run.depth_m is None else f", {units.depth(max(run.depth_m, 0.0))} down"


def word(behaviour: Behaviour) -> str:
    """A behaviour as a table and a short sentence have it.

    >>> word(Behaviour.UNKNOWN)
    'could not be followed'
    """
    return "could not be followed" if behaviour is Behaviour.UNKNOWN else behaviour.value


def causes(results: Sequence[RetrieveResult], units: Units) -> list[str]:
    """For each run the force behind its headline, and the one behind its action."""
    out = []
    for run in results:
        stated = [seen for seen in run.seen if seen.behaviour is run.behaviour]
        action = (Behaviour.WOBBLES, Behaviour.ROCKS)
        stated += [seen for seen in run.seen if seen.behaviour in action and seen not in stated][:1]
        at = units.text("speed", run.speed_m_s) if run.programme is None else run.programme
        for seen in stated:
            out.append(f"{run.tie_on}, {at}, {seen.behaviour.value}: {cause(seen, units)}")
    return out


def every_cause(run: RetrieveResult, units: Units) -> list[str]:
    """Every behaviour of a run with the force behind it."""
    return [
        f"{one.behaviour.value}: {why}" if (why := cause(one, units)) else one.behaviour.value
        for one in run.seen
    ]


# ---- the forces behind it -----------------------------------------------------------------------------

_ACTS = {
    Act.DOWN: ("push it down", "hold it up"), Act.UP: ("hold it up", "push it down"),
    Act.LEFT: ("push it to the left", "pull it back"), Act.RIGHT: ("push it to the right", "pull it back"),
    Act.NOSE_DOWN: ("turn the nose down", "turn it up"), Act.OVER: ("hold it over", "push it upright"),
    Act.AROUND: ("turn it about the line", "resist"), Act.SWING: ("feed the swing", "take it out"),
}  # fmt: skip
_STOPPED = (Behaviour.HANGS, Behaviour.RISES, Behaviour.SINKS)
ALL_OF_IT = 98  # percent of the stronger side: from there on no number is said
_FORCE = {"metric": ("N", 1.0, 3), "us": ("lbf", 1 / 4.4482216152605, 4)}  # unit, factor from N, decimals
_SHARED = (Act.NOSE_DOWN, Act.OVER, Act.AROUND, Act.SWING)  # moments and powers, told as shares


def cause(seen: SeenBehaviour | PauseResult, units: Units = METRIC) -> str:
    """The forces or moments behind a behaviour, as one or two sentences."""
    if not seen.balances and seen.behaviour in _STOPPED:
        return "Nothing pushes it up or down: its weight and buoyancy are alike."
    if not seen.balances and seen.behaviour is Behaviour.DRAGS:
        return "No force feeds a swing."
    return " ".join(_balance(one, units) for one in seen.balances)


def _balance(one: ForceBalance, units: Units) -> str:
    """`A (2 N) and B (1 N) do this; C (3 N) does that.`"""
    does, answers = _ACTS[one.act]
    whole = max(sum(value for _, value in rows) for rows in (one.ahead, one.against))
    sides = (
        _listed(one.ahead, does, one.act, whole, units), _listed(one.against, answers, one.act, whole, units)
    )  # fmt: skip
    lead = "about the tie-on point, " if one.act is Act.NOSE_DOWN else ""
    text = lead + "; ".join(filter(None, sides))
    return f"{text[0].upper()}{text[1:]}."


def _listed(rows: list[tuple[str, float]], does: str, act: Act, whole: float, units: Units) -> str:
    if not rows:
        return ""
    if act in _SHARED:
        shares = [round(100.0 * value / whole) if whole > 0.0 else 0 for _, value in rows]
        names = [
            name if share > ALL_OF_IT else f"{name} ({share} %)"
            for (name, _), share in zip(rows, shares, strict=True)
        ]
    else:
        unit, factor, places = _FORCE[units.name]
        names = [f"{name} ({value * factor:.{places}f} {unit})" for name, value in rows]
    many = len(rows) > 1 or rows[0][0].endswith("s") or " and " in rows[0][0] or "vortices" in rows[0][0]
    verb, _, rest = does.partition(" ")
    if not many:
        verb = {"push": "pushes", "resist": "resists"}.get(verb, f"{verb}s")
    who = " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))
    return f"{who} {verb} {rest}".rstrip()
