"""What to change of a lure, as a maker would say it, in the reader's units."""

from __future__ import annotations

import math

from sim.show import inputs
from sim.show.units import NO_BREAK, Units
from sim.studies.redesign.proposals import DensityNeeded
from sim.studies.redesign.step import FOAM, Hole, Kind, Modification

_DOES = {
    Kind.WEIGH: "make {part} weigh {to}, not {was}",
    Kind.LEAVE_OUT: "leave {part} out",
    Kind.MOVE: "move {part} {way} by {to}",
    Kind.DRILL_IN: "drill a new weight of {to} into the {way} ({part})",
    Kind.FIX_IN: "fix a new weight of {to} into the {way} ({part})",
    Kind.TURN: "turn {part} to {to}, from {was}",
    Kind.RESIZE: "make {part} {way}: {to}, not {was}",
    Kind.SHEET: "cut {part} from sheet of {to}, not {was}",
    Kind.HANG: "hang a {way} (some {to}, estimated: weigh yours) at {part}, not {was}",
    Kind.LEAVE_OFF: "leave {part} off",
    Kind.TIE_TO: "tie the line to {way}, not {part}",
    Kind.MOVE_EYE: "move the eye {part} {way} by {to}",
    Kind.FILL: "{way} {part}, not {was}",
    Kind.FILLER: "stir {to} of {way} into {part}, not {was}",
    Kind.POUR: "pour only {way} into {part}, lying level while it sets",
    Kind.EMPTY: "leave {part} empty and sealed",
    Kind.SCALE: "make the body {to} {way}, all places on it too",
    Kind.LINE: "use a line of {to}, not {was}",
}
_MASSES = (Kind.WEIGH, Kind.DRILL_IN, Kind.FIX_IN, Kind.HANG, Kind.POUR)


def does(one: Modification, units: Units) -> str:
    """One thing to do, to go into a sentence.

    >>> from sim.show.units import US
    >>> more = Modification(kind=Kind.WEIGH, part="ballast.keel", to_si=4.3e-3, was_si=4e-3)
    >>> does(more, US).replace(NO_BREAK, " ")
    'make ballast.keel weigh 0.152 oz, not 0.141 oz'
    """
    to, was = _values(one, units)
    if one.kind is Kind.FILL:
        return _DOES[one.kind].format(part=one.part, was=was, way=_pour(one, to, units))
    if one.kind is Kind.POUR:
        poured = f"{units.text('volume', 1e6 * (one.room_m3 or 0.0))} ({to})"
        return _DOES[one.kind].format(part=one.part, way=poured)
    return _DOES[one.kind].format(part=one.part, to=to, was=was, way=one.way)


def _pour(one: Modification, density: str, units: Units) -> str:
    """What goes into a hollow: so much of a mix, or foam where no mix is as light."""
    if (one.to_si or 0.0) <= FOAM:
        return f"put foam of {density} into"
    if not one.room_m3 or one.room_m3 <= 0.0:
        return f"pour a mix of {density} into"
    return f"pour {units.text('volume', 1e6 * one.room_m3)} of a mix of {density} into"


def _values(one: Modification, units: Units) -> tuple[str, str]:
    to, was = one.to_si or 0.0, one.was_si or 0.0
    if one.kind is Kind.FILLER:
        return f"{to:g}{NO_BREAK}%", f"{was:g}{NO_BREAK}%"
    if one.kind is Kind.SCALE:
        return f"{100 * to:.0f}{NO_BREAK}%", ""
    if one.kind is Kind.TURN:
        return f"{math.degrees(to):.0f}{NO_BREAK}deg", f"{round(math.degrees(was), 1):g}"
    if one.kind is Kind.FILL:
        return f"{round(1e-3 * to, 6):g}{NO_BREAK}g/mL", f"{1e-3 * was:.2g}"
    dimension = "mass" if one.kind in _MASSES else "length"
    return _as_filed(to, dimension, units), _as_filed(was, dimension, units)


def _as_filed(si: float, dimension: str, units: Units) -> str:
    """As sharp as the file has it, where that is metric."""
    if units.name == "us":
        return inputs.value(si, dimension, units)
    return f"{round(1e3 * si, 3) + 0.0:g}{NO_BREAK}{'g' if dimension == 'mass' else 'mm'}"


def hole(one: Hole, units: Units) -> str:
    """The hole that a weight takes, and what goes in."""
    drill = _as_filed(1e-3 * one.drill_mm, "length", units)
    deep = (
        f"{one.deep_mm:.1f}{NO_BREAK}mm"
        if units.name == "metric"
        else inputs.value(1e-3 * one.deep_mm, "length", units)
    )
    if one.way == "ball":
        return f"A ball of {deep} fits a hole of the {drill} drill from below."
    run = "from below" if one.way == "up" else "from side to side"
    return f"A rod for the {drill} drill, {deep} long, fits a hole {run}."


def density_needed(one: DensityNeeded, units: Units) -> str:
    """What a body would have to be made of."""
    what = "the wall" if one.wall else "the stuff"
    way = "lighter" if one.needed_kg_m3 < one.now_kg_m3 else "heavier"
    needed, now = (inputs.value(d, "density", units) for d in (one.needed_kg_m3, one.now_kg_m3))
    return f"With this, {what} of body.{one.body} would still have to be {way} than {needed}; it is {now}."
