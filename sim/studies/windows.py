"""Speed windows: at which line speeds a lure does what, found by halving intervals where the headline changes.

First a few speeds evenly spread by ratio; then, between every two neighbours with different headlines, the
speed at the geometric mean, until the change is known to the share requested. The widest bracket goes first,
so that a limit on the number of runs leaves all edges alike. A window narrower than the first spacing
can be missed.

Then each edge is looked at from the other side: the lure is first pulled past the edge and slowed down to
below it, over the same water. If it does not do there what it does when it is started at that speed, the
edge hangs on where it comes from (hysteresis), and the speed is found below which that is forgotten.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise

from pydantic import Field

from sim.design.model import Design
from sim.lure.lure import Lure
from sim.motion.solve import Settings
from sim.trials.records import Result
from sim.trials.results import Behaviour, RetrieveResult
from sim.trials.retrieve import Before, describe, run
from sim.trials.run_metrics import KEYS

FIRST = 5  # speeds to start from
SHARE = 0.02  # of the speed, to which edges are found
MOST_RUNS = 40  # for one tie-on point and direction
PAST = 1.15  # how far past an edge it is pulled before it is slowed down, as a ratio
BELOW = 0.92  # how far below an edge it is looked for, and again below that; less is not called hysteresis
HOLD = 3.0  # s at the speed past the edge
SLOWEST = 0.5  # of an edge: no farther down is it looked for when slowing down

Look = Callable[[float], RetrieveResult]


class Window(Result):
    """A range of line speeds with one headline."""

    low_m_s: float = Field(description="slowest")
    high_m_s: float = Field(description="fastest")
    behaviour: Behaviour = Field(description="the headline")
    depth_low_m: float | None = Field(description="least mean depth of the runs inside")
    depth_high_m: float | None = Field(description="greatest mean depth of the runs inside")
    also: list[Behaviour] = Field(description="what else is seen in at least half of the runs inside")
    runs: int = Field(description="runs inside")


class Edge(Result):
    """A line speed at which the headline changes."""

    speed_m_s: float = Field(description="speeding up, or started at that speed")
    give_or_take_m_s: float = Field(description="the change lies within this much of it")
    below: Behaviour = Field(description="headline at slower speeds")
    above: Behaviour = Field(description="headline at faster speeds")
    stays: bool = Field(description="slowed down from above, it does not change back here (hysteresis)")
    slowing_m_s: float | None = Field(
        description="then the speed at which it does; null if not down to half the speed of the edge"
    )


class TieOnWindows(Result):
    """The windows of one tie-on point."""

    tie_on: str = Field(description="where the line is tied")
    windows: list[Window] = Field(description="from slow to fast")
    edges: list[Edge] = Field(description="between them")
    runs: int = Field(description="retrieves it took to find the windows")
    back_runs: int = Field(description="more retrieves, to look at the edges slowing down")


class WindowsResult(Result):
    """Speed windows of a design."""

    low_m_s: float = Field(description="slowest speed looked at")
    high_m_s: float = Field(description="fastest speed looked at")
    share: float = Field(description="edges are known to this share of the speed")
    tie_ons: list[TieOnWindows] = Field(description="each tie-on point")


def windows(
    design: Design,
    lure: Lure,
    tie_on: str,
    low: float,
    high: float,
    share: float = SHARE,
    *,
    most_runs: int = MOST_RUNS,
    both_ways: bool = True,
    known: Sequence[RetrieveResult] = (),
    settings: Settings | None = None,
) -> TieOnWindows:
    """Windows of one tie-on point between two line speeds (m/s), edges known to `share` of the speed.

    Args:
        known: steady retrieves of this lure from this point that have been made already; they count as runs.
        both_ways: also look at every edge slowing down.
        settings: of the solver; those of a single trial if left out.

    Raises:
        ValueError: speeds that are not 0 < low < high, or a share that is not between 0.001 and 0.5.
    """
    if not 0.0 < low < high:
        raise ValueError(
            f"the speeds must be above zero and the first below the second, not {low} and {high}"
        )
    if not 0.001 <= share <= 0.5:
        raise ValueError(f"the share must be between 0.001 and 0.5, not {share}")

    made = {row.speed_m_s: row for row in known if low <= row.speed_m_s <= high}

    def look(speed: float) -> RetrieveResult:
        if speed in made:
            return made[speed]
        pulled = run(design, lure, tie_on, speed, settings=settings)
        return describe(pulled, lure, tie_on, speed, why=False)

    spread = first_speeds(low, high, [*made])
    found = refined(look, spread, share, most_runs)
    edges = _edges(found)
    ranges = _windows(found, edges, low, high)
    back = 0
    for k, edge in enumerate(edges if both_ways else []):
        past = Before(PAST * edge.speed_m_s, HOLD)

        def differs(speed: float, past: Before = past) -> bool:
            slowed = run(design, lure, tie_on, speed, before=past, settings=settings)
            does = describe(slowed, lure, tie_on, speed, begin=past.time, why=False).behaviour
            return does is not _at(ranges, speed)

        stays, lower, runs = slowing(differs, edge.speed_m_s, share)
        edges[k] = edge.model_copy(update={"stays": stays, "slowing_m_s": lower})
        back += runs
    return TieOnWindows(tie_on=tie_on, windows=ranges, edges=edges, runs=len(found), back_runs=back)


def first_speeds(low: float, high: float, known: Sequence[float] = ()) -> list[float]:
    """Speeds to start from: both ends, and those that are known, at least `FIRST`, evenly spread by ratio if new."""
    if not known:
        return [low * (high / low) ** (k / (FIRST - 1)) for k in range(FIRST)]
    speeds = sorted({low, *known, high})
    while len(speeds) < FIRST:
        _, k = max((speeds[k + 1] / speeds[k], k) for k in range(len(speeds) - 1))
        speeds.insert(k + 1, math.sqrt(speeds[k] * speeds[k + 1]))
    return speeds


def _at(ranges: Sequence[Window], speed: float) -> Behaviour:
    """The headline of a lure that is started at a speed (m/s)."""
    return next((w.behaviour for w in ranges if speed <= w.high_m_s), ranges[-1].behaviour)


def refined(look: Look, speeds: Sequence[float], share: float, most_runs: int) -> list[RetrieveResult]:
    """Runs at `speeds` and between them, until every change of headline is bracketed to twice the share.

    The middle of such a bracket is then within `share` of the change.
    """
    found = [look(speed) for speed in speeds]
    while len(found) < most_runs:
        open_ = [
            (found[k + 1].speed_m_s / found[k].speed_m_s, k)
            for k in range(len(found) - 1)
            if found[k].behaviour is not found[k + 1].behaviour
        ]
        ratio, k = max(open_, default=(1.0, 0))
        if ratio <= (1.0 + share) ** 2:
            break
        found.insert(k + 1, look(math.sqrt(found[k].speed_m_s * found[k + 1].speed_m_s)))
    return found


def _edges(found: Sequence[RetrieveResult]) -> list[Edge]:
    out = []
    for before, after in pairwise(found):
        if before.behaviour is not after.behaviour:
            middle = math.sqrt(before.speed_m_s * after.speed_m_s)
            out.append(
                Edge(
                    speed_m_s=middle,
                    give_or_take_m_s=max(after.speed_m_s - middle, middle - before.speed_m_s),
                    below=before.behaviour,
                    above=after.behaviour,
                    slowing_m_s=None,
                    stays=False,
                )
            )
    return out


def _windows(found: Sequence[RetrieveResult], edges: Sequence[Edge], low: float, high: float) -> list[Window]:
    bounds = [low, *(edge.speed_m_s for edge in edges), high]
    out = []
    for start, end in pairwise(bounds):
        inside = [row for row in found if start <= row.speed_m_s <= end]
        depths = [depth for row in inside if (depth := getattr(row, KEYS["depth"])) is not None]
        counts = {b: sum(b in row.also for row in inside) for row in inside for b in row.also}
        out.append(
            Window(
                low_m_s=start,
                high_m_s=end,
                behaviour=inside[0].behaviour,
                depth_low_m=min(depths, default=None),
                depth_high_m=max(depths, default=None),
                also=[b for b in Behaviour if 2 * counts.get(b, 0) >= len(inside)],
                runs=len(inside),
            )
        )
    return out


def slowing(differs: Callable[[float], bool], edge: float, share: float) -> tuple[bool, float | None, int]:
    """How far below an edge a lure that was slowed down still does something else than one started there.

    Args:
        differs: whether it does something else at this speed (m/s).
        edge: speed of the edge (m/s).

    Returns:
        Whether it does at all; the speed below which it no longer does, None if it always does down to
        `SLOWEST`; and the number of times that `differs` was called.
    """
    speed, runs = BELOW * edge, 1
    if not differs(speed):
        return False, None, runs
    while differs(speed := BELOW * speed):
        runs += 1
        if speed < SLOWEST * edge:
            return True, None, runs
    runs += 1
    low, high = speed, speed / BELOW
    while high > low * (1.0 + share) ** 2:
        middle = math.sqrt(low * high)
        if differs(middle):
            high = middle
        else:
            low = middle
        runs += 1
    return True, math.sqrt(low * high), runs
