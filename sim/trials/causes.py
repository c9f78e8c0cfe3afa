"""Why it does what it does: the forces and moments behind a behaviour, from the model itself.

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

import numpy as np
from numpy.typing import NDArray

from sim.elements import P_OPEN
from sim.forces import account
from sim.forces.inputs import L_TIE
from sim.lure.lure import Lure
from sim.motion import kinematics as reading
from sim.motion.breakdown import breakdown
from sim.motion.problem import unpack
from sim.motion.solve import Trajectory
from sim.trials.results import Act, Behaviour, ForceBalance
from sim.trials.run_metrics import steadied, toward_rod

Array = NDArray[np.float64]
Shares = Mapping[str, float]


LEAST = {Act.SWING: 5e-6, **dict.fromkeys((Act.NOSE_DOWN, Act.OVER, Act.AROUND), 5e-6)}
LEAST_FORCE = 5e-4
"""W, N m and N: less is nothing that would be written down."""

SPARE, REST = "its weight and buoyancy", "the water it enters"
WORTH = 0.08  # of the largest: smaller sources are left out
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
    """What the rows of the breakdown are called; parts of one name are summed as one."""
    labels = iter(p.name.removeprefix("plate ").split(" (")[0] for p in lure.parts if p.kind == "plate")
    own = [f"the {next(labels, 'plate')}" if row[P_OPEN] > 0.0 else "" for row in plates]
    flow = [name or "the body" for name in own]
    shed = [f"the vortices behind {name or 'its blunt nose'}" for name in own]
    fixed = {
        account.WEIGHT: SPARE, account.BUOYANCY: SPARE, account.BODIES: "the body", account.WIRES: "the wires",
        account.HOOKS: "hooks and fittings", account.LINE: "the line", account.ENTRY: REST,
    }  # fmt: skip
    return [*(fixed[k] for k in range(account.PLATES)), *flow, *shed]


def causes(behaviour: Behaviour, s: Sources, roll: float = 0.0, offset: float = 0.0) -> list[ForceBalance]:
    """The forces, moments or powers behind a behaviour; none where nothing acts.

    Args:
        roll: mean roll (degrees), for a lure that lies over.
        offset: mean place to the side (m), for one that runs off.
    """
    match behaviour:
        case Behaviour.DIVES | Behaviour.RUNS | Behaviour.BOTTOM:
            found = [_balance(Act.DOWN, s.up, -1.0), _balance(Act.NOSE_DOWN, s.nose, 1.0)]
        case Behaviour.WAKES | Behaviour.HOPS | Behaviour.SKIPS:
            found = [_balance(Act.UP, s.up, 1.0), _balance(Act.NOSE_DOWN, s.nose, 1.0)]
        case Behaviour.HANGS | Behaviour.RISES | Behaviour.SINKS:
            down = s.up[SPARE] < 0.0
            found = [_balance(Act.DOWN, s.up, -1.0) if down else _balance(Act.UP, s.up, 1.0)]
        case Behaviour.OFF_SIDE:
            left = offset > 0.0
            found = [_balance(Act.LEFT if left else Act.RIGHT, s.side, 1.0 if left else -1.0)]
        case Behaviour.ROLLS_OVER if abs(roll) > 45.0 and _lies(s):
            found = [_balance(Act.OVER, s.heel, 1.0 if roll > 0.0 else -1.0)]
        case Behaviour.SPINS | Behaviour.SPIRALS:
            found = [_balance(Act.AROUND, s.twist, 1.0)]
        case Behaviour.DRAGS if max(s.feeds.values()) < NOTHING:
            found = []
        case _:
            found = [_balance(Act.SWING, s.feeds, 1.0)]
    return [one for one in found if one.ahead or one.against]


def _lies(s: Sources) -> bool:
    """Whether it lies over for good: one that goes over and over has no moment left on the whole."""
    return any(abs(moment) >= LEAST[Act.OVER] for moment in s.heel.values())


def _balance(act: Act, values: Shares, sign: float) -> ForceBalance:
    """Sources that push the way of `sign` and those against, largest first, the small ones left out."""
    largest = max((abs(v) for v in values.values()), default=0.0)
    least = LEAST.get(act, LEAST_FORCE)
    rows = sorted(((name, sign * v) for name, v in values.items()), key=lambda row: -abs(row[1]))
    worth = [row for row in rows if abs(row[1]) > WORTH * largest]
    ahead = [row for row in worth if row[1] > 0.0][:MOST]
    against = [(name, -v) for name, v in worth if v < 0.0][:MOST]
    return ForceBalance(
        act=act,
        ahead=[row for row in ahead if row[1] >= least],
        against=[row for row in against if row[1] >= least],
    )
