"""Why it does what it does: the forces and moments behind a behaviour, from the model itself, in words.

`sources` averages `sim.motion.breakdown` over a window, in five readings:

- up: force straight up (N); side: force to the left as the angler looks (N)
- nose, heel: moment about the tie-on point (N m), nose down and right side down positive
- feeds: power given to the swing about the mean path (W). Each source's force and moment times the velocity
  that is left when the slow motion is taken out; over a steady swing they sum to zero, so what feeds it
  stands against what takes it out
- twist: moment about the line through the tie-on point (N m), positive the way it turns on the whole
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.elements import P_ROT
from sim.forces import account
from sim.forces.inputs import L_TIE
from sim.lure.lure import Lure
from sim.motion import kinematics as reading
from sim.motion.breakdown import breakdown
from sim.motion.problem import unpack
from sim.motion.solve import Trajectory
from sim.trials.results import Behaviour
from sim.trials.run_metrics import steadied, toward_rod

Array = NDArray[np.float64]
Shares = Mapping[str, float]
Rows = list[tuple[str, float]]


class CauseUnit(NamedTuple):
    """How a force, moment or power is told, and the least that is."""

    name: str
    factor: float
    places: int

    def told(self, value: float) -> str:
        """With its unit."""
        return f"{value * self.factor:.{self.places}f} {self.name}"

    def seen(self, value: float) -> bool:
        """Whether it would be told as more than nothing."""
        return value * self.factor >= 0.5 * 10.0**-self.places


NEWTON, MILLI_NEWTON_METRE, MILLI_WATT = (
    CauseUnit("N", 1.0, 3),
    CauseUnit("mN m", 1e3, 2),
    CauseUnit("mW", 1e3, 2),
)

SPARE, REST = "its weight and buoyancy", "the water it enters"
TOLD = 0.08  # of the largest: smaller sources are not worth a word
MOST = 3  # sources named on either side
NOTHING = 1e-4  # W: less feeds no swing that is seen


@dataclass(frozen=True)
class Sources:
    """Means over a window, by the name of the source; see the module."""

    up: Shares
    side: Shares
    nose: Shares
    heel: Shares
    feeds: Shares
    twist: Shares


def sources(run: Trajectory, lure: Lure, times: Array) -> Sources:
    """What pushes and turns the lure over the window `times` (k,)."""
    y = run.at(times)
    r = reading.axes(y)
    tables = unpack(run.flat)
    rows = breakdown(times, y, run.flat)
    force, moment = rows[:, :, :3], rows[:, :, 3:]
    about = moment - np.cross(tables.line[L_TIE : L_TIE + 3], force)
    world = np.einsum("kij,ksj->ksi", r, force)
    middle = reading.points(y, r, np.array([0.5 * sum(lure.nose_to_tail), 0.0, 0.0]))
    toward = toward_rod(middle)
    left = np.array([toward[1], -toward[0], 0.0])
    swing = steadied(np.einsum("kij,kj->ki", r, y[:, 7:10]))
    power = np.einsum("ksj,kj->s", world, swing) + np.einsum("ksj,kj->s", moment, y[:, 10:13])
    turning = np.einsum("kij,ksj->ksi", r, about)
    twist = turning @ toward
    nose = np.stack([-r[:, 1, 0], r[:, 0, 0], np.zeros(len(times))], axis=1)  # level, left of the nose
    nose /= np.maximum(np.linalg.norm(nose, axis=1, keepdims=True), 1e-9)
    way = 1.0 if float((reading.spin_world(y, r) @ toward).sum()) >= 0.0 else -1.0
    names = _names(lure, tables.plates)

    def shares(values: Array) -> dict[str, float]:
        out: dict[str, float] = {}
        for name, value in zip(names, values, strict=True):
            out[name] = out.get(name, 0.0) + float(value)
        return out

    feeds = shares(power / len(times))
    del feeds[SPARE]  # gives back what it takes

    return Sources(
        up=shares(world[:, :, 2].mean(axis=0)),
        side=shares((world @ left).mean(axis=0)),
        nose=shares(np.einsum("ksi,ki->ks", turning, nose).mean(axis=0)),
        heel=shares(about[:, :, 0].mean(axis=0)),
        feeds=feeds,
        twist=shares(way * twist.mean(axis=0)),
    )


def _names(lure: Lure, plates: Array) -> list[str]:
    """What the rows of the breakdown are called; parts of one name are told as one."""
    labels = iter(p.name.removeprefix("plate ").split(" (")[0] for p in lure.parts if p.kind == "plate")
    own = [f"the {next(labels, 'plate')}" if row[P_ROT] > 0.0 else "" for row in plates]
    flow = [name or "the body" for name in own]
    shed = [f"the vortices behind {name or 'its blunt nose'}" for name in own]
    fixed = {
        account.WEIGHT: SPARE, account.BUOYANCY: SPARE, account.BODIES: "the body", account.WIRES: "the wires",
        account.HOOKS: "hooks and fittings", account.LINE: "the line", account.ENTRY: REST,
    }  # fmt: skip
    return [*(fixed[k] for k in range(account.PLATES)), *flow, *shed]


def cause(behaviour: Behaviour, s: Sources, roll: float = 0.0, offset: float = 0.0) -> str:
    """The force or moment behind a behaviour, as one or two sentences.

    Args:
        roll: mean roll (degrees), for a lure that lies over.
        offset: mean place to the side (m), for one that runs off.
    """
    match behaviour:
        case Behaviour.DIVES | Behaviour.RUNS | Behaviour.BOTTOM:
            return f"{_vertical(s, down=True)} {_nose(s)}".strip()
        case Behaviour.WAKES | Behaviour.HOPS | Behaviour.SKIPS:
            return f"{_vertical(s, down=False)} {_nose(s)}".strip()
        case Behaviour.HANGS | Behaviour.RISES | Behaviour.SINKS:
            balance = _vertical(s, down=s.up[SPARE] < 0.0)
            return balance or "Nothing pushes it up or down: its weight and buoyancy are alike."
        case Behaviour.OFF_SIDE:
            side = "left" if offset > 0.0 else "right"
            ahead, against = _sides(s.side, 1.0 if offset > 0.0 else -1.0)
            return _told(ahead, f"push it to the {side}", against, "pull it back", NEWTON)
        case Behaviour.ROLLS_OVER if abs(roll) > 45.0 and _lies(s):
            ahead, against = _sides(s.heel, 1.0 if roll > 0.0 else -1.0)
            return _told(ahead, "hold it over", against, "push it upright", MILLI_NEWTON_METRE)
        case Behaviour.SPINS | Behaviour.SPIRALS:
            ahead, against = _sides(s.twist, 1.0)
            return _told(ahead, "turn it about the line", against, "resist", MILLI_NEWTON_METRE)
        case Behaviour.DRAGS if max(s.feeds.values()) < NOTHING:
            return "No force feeds a swing."
        case _:
            feeding, taking = _sides(s.feeds, 1.0)
            return _told(feeding, "feed the swing", taking, "take it out", MILLI_WATT)


def _lies(s: Sources) -> bool:
    """Whether it lies over for good: one that goes over and over has no moment left on the whole."""
    return any(MILLI_NEWTON_METRE.seen(abs(moment)) for moment in s.heel.values())


def _vertical(s: Sources, down: bool) -> str:
    lower, upper = _sides(s.up, -1.0)
    if down:
        return _told(lower, "push it down", upper, "hold it up", NEWTON)
    return _told(upper, "hold it up", lower, "push it down", NEWTON)


def _nose(s: Sources) -> str:
    ahead, against = _sides(s.nose, 1.0)
    return _told(
        ahead, "turn the nose down", against, "turn it up", MILLI_NEWTON_METRE, "about the tie-on point, "
    )


def _sides(values: Shares, sign: float) -> tuple[Rows, Rows]:
    """Sources that push the way of `sign` and those against, largest first, the small ones left out."""
    least = TOLD * max((abs(v) for v in values.values()), default=0.0)
    rows = sorted(((name, sign * v) for name, v in values.items()), key=lambda row: -abs(row[1]))
    worth = [row for row in rows if abs(row[1]) > least]
    ahead = [row for row in worth if row[1] > 0.0][:MOST]
    return ahead, [(name, -v) for name, v in worth if v < 0.0][:MOST]


def _told(ahead: Rows, does: str, against: Rows, answers: str, unit: CauseUnit, lead: str = "") -> str:
    """`A (2 N) and B (1 N) do this; C (3 N) does that.` Nothing if nothing acts."""
    first, second = (
        _listed([row for row in rows if unit.seen(row[1])], verb, unit)
        for rows, verb in ((ahead, does), (against, answers))
    )
    text = lead + "; ".join(filter(None, (first, second)))
    return f"{text[0].upper()}{text[1:]}." if first or second else ""


def _listed(rows: Rows, does: str, unit: CauseUnit) -> str:
    if not rows:
        return ""
    told = [f"{name} ({unit.told(value)})" for name, value in rows]
    many = len(rows) > 1 or rows[0][0].endswith("s") or " and " in rows[0][0] or "vortices" in rows[0][0]
    verb, _, rest = does.partition(" ")
    if not many:
        verb = {"push": "pushes", "resist": "resists"}.get(verb, f"{verb}s")
    who = " and ".join(filter(None, (", ".join(told[:-1]), told[-1])))
    return f"{who} {verb} {rest}".rstrip()
