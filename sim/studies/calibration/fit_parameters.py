"""What a calibration may turn: coefficients, the thrower, and the inputs that nobody knows exactly.

Each is one standard normal number `z` (`sim.design.priors`), so all have the same scale and the same prior.
Which runs can feel one at all follows from what it is; whether they do is found by trying.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sim.design.calibration import Calibration
from sim.design.model import Design
from sim.design.priors import MODEL, Prior, priors
from sim.lure import BuildError, build
from sim.lure.lure import Lure
from sim.studies.calibration.observations import ObservedRun
from sim.studies.engine import CaseError, changed
from sim.trials.scene import medium

THROWER = "cast.speed"
TRIED_AT = 0.5  # deviations, for the first look at a bench input
SPARE, BALANCE = 0.05, 0.003
"""Share of the spare lift, and of the length for the balance, that a run in the water would feel. Judgement."""
LEAST_SPARE = 0.01  # of the weight: what counts as the spare lift of a lure that has none


@dataclass(frozen=True)
class FitParameter:
    """One unknown: what it is in each lure that has it."""

    name: str  # path, without `calibration.` for a coefficient
    inputs: tuple[tuple[int, Prior], ...]  # (lure, its input)
    minor: bool = False  # too small to be seen in the water: there it is drawn, not turned

    @property
    def input(self) -> Prior:
        """Of the first lure that has it; a coefficient is the same in all."""
        return self.inputs[0][1]

    @property
    def coefficient(self) -> bool:
        """Whether it is one of the model's."""
        return self.input.of_the_model

    def changes(self, lure: int, z: float) -> dict[str, Any]:
        """What to put into a lure's design."""
        return next((dict(one.changes(z)) for k, one in self.inputs if k == lure), {})

    def turned_in(self, unit: ObservedRun) -> bool:
        """Whether a run may tell it: what is minor, only a scale and a cup."""
        return not self.minor or unit.part == "budget"

    def felt_by(self, unit: ObservedRun, design: Design) -> bool:
        """Whether a run can feel it at all."""
        if all(lure != unit.lure for lure, _ in self.inputs):
            return False
        if self.input.path in dict(unit.conditions):
            return False
        if self.coefficient:
            return _force_felt(self.name, unit, design)
        top = self.name.split(".", 1)[0]
        if top == "tie_on":
            mine = unit.pull is not None and self.name.split(".")[1] == unit.pull.tie_on
            return mine or unit.part == "cast"
        return unit.part in _ONLY_IN.get(top, (unit.part,))  # water, line and thrower, each where it acts


_OFF_THE_MIDDLE = (".left", ".skew")
_ONLY_IN = {"cast": ("cast",), "retrieve": ("retrieve",), "line": ("cast", "retrieve")}
_NEEDS = {  # what a lure must have for a force to act
    "plate": ("plate_lift", "plate_drag", "plate_spin", "plate_friction"),
    "wire": ("wire_drag",),
    "body": ("cross_drag", "axial_drag", "tail_relief", "cross_relief", "roll_drag"),
}
_PULLED_ONLY = ("line_bend", "near_surface", "slam")


def _force_felt(name: str, unit: ObservedRun, design: Design) -> bool:
    if unit.part in ("budget", "float"):
        return False
    for group, names in _NEEDS.items():
        if name in names and not getattr(design, group):
            return False
    if name == "hook_drag" and not (design.hook or design.fitting):
        return False
    if name == "line_drag":
        return unit.part == "cast"
    if name in _PULLED_ONLY:
        return unit.part == "retrieve" or (name == "near_surface" and unit.part == "drop")
    return True


def stripped(design: Design) -> Design:
    """The design without what earlier calibrations have put into it: its priors are the model's own."""
    before = design.calibration.cast_speed_before
    cast = design.cast if before is None else design.cast.model_copy(update={"speed": before})
    known, measured = design.calibration.measured_before, design.measured
    if known is not None:
        measured = measured.model_copy(update={"weight": known.weight, "displaced": known.displaced})
    return design.model_copy(update={"calibration": Calibration(), "cast": cast, "measured": measured})


def fit_parameters(designs: Sequence[Design]) -> list[FitParameter]:
    """Coefficients, the same for all lures; then of each lure the inputs that its runs could feel."""
    shared: dict[str, list[tuple[int, Prior]]] = {}
    own: list[FitParameter] = []
    for lure, design in enumerate(designs):
        every = priors(design)
        for one in every:
            if one.of_the_model:
                shared.setdefault(one.path.removeprefix(MODEL), []).append((lure, one))
        own += [FitParameter(one.path, ((lure, one),), small) for one, small in _that_matter(design, every)]
    return [FitParameter(name, tuple(inputs)) for name, inputs in shared.items()] + own


def _that_matter(design: Design, every: Sequence[Prior]) -> list[tuple[Prior, bool]]:
    """Bench inputs, True with those that are minor.

    Those are not that move spare lift or balance, or that place and turn what the water acts on.
    """
    lure, density = build(design, with_hulls=False), medium(design).density
    return [
        (one, not (_acted_on(one.path) or _moves(design, lure, one, density)))
        for one in every
        if not one.of_the_model and not one.path.endswith(_OFF_THE_MIDDLE)  # it is taken to be straight
    ]


def _acted_on(path: str) -> bool:
    top, last = path.split(".", 1)[0], path.rsplit(".", 1)[-1]
    if top == "plate":
        return last in ("angle", "length", "width")
    return top in ("tie_on", "cast", "retrieve") or path == "line.diameter"


def _moves(design: Design, lure: Lure, one: Prior, density: float) -> bool:
    """Whether a deviation of an input is felt in the water."""
    try:
        other = build(changed(design, one.changes(TRIED_AT)), with_hulls=False)
    except (BuildError, CaseError):
        return False
    spare, then = (density * it.volume - it.mass for it in (lure, other))
    least = TRIED_AT * SPARE * max(abs(spare), LEAST_SPARE * lure.mass)
    arm = math.dist(_arm(other), _arm(lure))
    return abs(then - spare) > least or arm > TRIED_AT * BALANCE * lure.length


def _arm(lure: Lure) -> tuple[float, ...]:
    """From the centre of buoyancy to that of gravity."""
    return tuple(float(g - b) for g, b in zip(lure.centre, lure.centre_volume, strict=True))
