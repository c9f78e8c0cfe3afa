"""What stands in the way of a want that no allowed change meets: the density of what a body is made of."""

from __future__ import annotations

from collections.abc import Iterator

from sim.design.assembly import Assembly
from sim.design.materials import find
from sim.design.model import Design
from sim.design.parts import Body
from sim.studies.redesign.proposals import DensityNeeded, Way
from sim.trials.results import SPARE_LIFT
from sim.trials.reweighing import Reweighing

LIGHTEST, HEAVIEST = 0.1, 4.0  # times the density that a body has, between which is looked


def too_dense(design: Design, want: Way) -> Iterator[DensityNeeded]:
    """For a want about floating: how light, or heavy, each body's own stuff would have to be.

    `design` is the nearest miss: what has to come on top of it.
    """
    if want.figure not in (SPARE_LIFT, "budget.verdict"):
        return
    goal = 0.0
    if want.figure == SPARE_LIFT:
        goal = 1e-3 * (want.low if want.low is not None else want.high or 0.0)
    parts: dict[str, Body | Assembly] = {f"body.{name}": one for name, one in design.body.items()}
    parts |= {f"assembly.{name}": one for name, one in design.assembly.items()}
    for path, body in parts.items():
        now = _density(body)
        if now is None:
            continue
        name, found = path.split(".")[1], _turning(design, f"{path}.density", now, goal)
        if found is not None:
            hollow = getattr(body, "wall", None) is not None or body.cavity is not None
            yield DensityNeeded(body=name, wall=hollow, needed_kg_m3=found, now_kg_m3=now)


def _density(body: Body | Assembly) -> float | None:
    if body.density is not None:
        return body.density.value
    known = find(body.material) if body.material else None
    return known.density if known is not None else None


def _turning(design: Design, path: str, now: float, goal: float) -> float | None:
    """The density (kg/m3) at which the margin is `goal` (kg), next to what it is; None if there is none."""
    from scipy.optimize import brentq

    again = Reweighing(design)

    def off(value: float) -> float:
        margin = again.with_value(path, value, "density")
        return float("nan") if margin is None else margin - goal

    here = again.margin - goal
    for end in (LIGHTEST, HEAVIEST):
        there = off(end * now)
        if here * there < 0.0:
            return float(brentq(off, now, end * now, rtol=1e-6))
    return None
