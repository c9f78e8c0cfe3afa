"""From a programme of the design file to what the line and the rod tip do: rows in time, and phases."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import NamedTuple

from sim.design.fishing import Programme, Retrieve, Step

Row = tuple[float, float, float, float, float]  # time, length of line out, rod tip x, y, z

EASE = 0.5  # s from one winding speed to another; a reel is stopped at once


class Phase(NamedTuple):
    """One step of a programme as it falls in the run."""

    do: str
    start: float  # s
    end: float  # s
    speed: float  # of the winding, m/s


class Hands(NamedTuple):
    """Where the angler's hands are: time, line out, winding speed, rod tip."""

    t: float
    out: float
    speed: float
    tip: tuple[float, float, float]

    def row(self) -> Row:
        """As a row of the line programme."""
        return (self.t, self.out, *self.tip)


def compiled_rows(programme: Programme, plan: Retrieve, out: float) -> tuple[list[Row], list[Phase]]:
    """Rows and phases of a programme that starts with a taut line of length `out` (m).

    A turn of the reel's handle brings in `plan.line_per_turn`. Rows are joined by straight lines; no row has
    less than a metre of line out.
    """
    hands = Hands(0.0, out, 0.0, (0.0, 0.0, plan.tip.value))
    rows, phases = [hands.row()], []
    for step in programme.steps * programme.repeat:
        moves = list(_moves(step, plan, hands))
        rows += [move.row() for move in moves]
        phases.append(Phase(step.do, hands.t, moves[-1].t, moves[-1].speed))
        hands = moves[-1]
    rows.append(hands._replace(t=hands.t + 1.0, out=hands.out - hands.speed).row())
    return [(t, max(length, 1.0), *tip) for t, length, *tip in rows], phases  # type: ignore[misc]


def _moves(step: Step, plan: Retrieve, hands: Hands) -> Iterator[Hands]:
    time = step.time.value
    if step.do == "wind":
        yield from _wind(hands, wound(step, plan), time)
    elif step.do in ("twitch", "sweep"):
        assert step.pull is not None
        x, y, z = hands.tip
        pull = step.pull.value
        aside = {"back": 0.0, "left": pull, "right": -pull}[step.toward]
        yield Hands(hands.t + time, hands.out, 0.0, (x - pull, y + aside, z))
        taken_in = pull if step.do == "sweep" else 0.0
        yield Hands(hands.t + 2.0 * time, hands.out - taken_in, 0.0, hands.tip)
    else:
        height = step.height.value if step.height is not None else hands.tip[2]
        yield Hands(hands.t + time, hands.out, 0.0, (*hands.tip[:2], height))


def _wind(hands: Hands, speed: float, time: float) -> Iterator[Hands]:
    """From the speed before to the new one evenly within `EASE`, then on."""
    ease = min(EASE, time)
    gain = speed - hands.speed
    for part in (0.5, 1.0):
        t = part * ease
        wound_in = hands.speed * t + 0.5 * gain * t * t / ease
        yield Hands(hands.t + t, hands.out - wound_in, hands.speed + part * gain, hands.tip)
    if time > ease:
        eased = 0.5 * (hands.speed + speed) * ease
        yield Hands(hands.t + time, hands.out - eased - speed * (time - ease), speed, hands.tip)


def wound(step: Step, plan: Retrieve) -> float:
    """Line speed of a winding step, m/s."""
    if step.turns is not None and plan.line_per_turn is not None:
        return step.turns * plan.line_per_turn.value
    return step.speed.value if step.speed is not None else math.nan


def mean_speed(phases: list[Phase]) -> float:
    """Mean line speed of the winding steps, weighed by their time (m/s); 0 if nothing is wound."""
    winds = [p for p in phases if p.do == "wind"]
    time = sum(p.end - p.start for p in winds)
    return sum(p.speed * (p.end - p.start) for p in winds) / time if time else 0.0
