"""How a lure sits at rest in still water, as data."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from sim.design.model import Design
from sim.elements import P_C, P_LENGTH, P_OPEN, P_R, P_S, P_WIDTH
from sim.hydrostatics.equilibrium import Array, Floater, Rest, equilibria, first_rest, righting_arms
from sim.hydrostatics.flotation import level_axes
from sim.hydrostatics.verdict import verdict
from sim.lure import build
from sim.lure.lure import Lure
from sim.lure.static_lure import StaticLure
from sim.trials.records import OtherRest, TubCheck
from sim.trials.results import FloatResult, RightingPoint, Verdict
from sim.trials.scene import medium

if TYPE_CHECKING:
    from sim.motion.solve import Settings
    from sim.trials.request import Pull

HEEL_CURVE = range(-180, 181, 10)  # deg from rest
TRIM_CURVE = range(-90, 91, 5)
TUB_APART, TUB_SURE = 2.0, 0.5  # deviations that contradict; degrees that any tub is sure to. Judgement


def rest(design: Design, lure: Lure) -> FloatResult:
    """How the lure sits in the design's water, set down upright and left alone."""
    sits = settled(lure, medium(design).density)
    return sits.model_copy(update={"tub": _in_the_tub(design, sits)})


def answer(design: Design, lure: Lure | None, pull: Pull | None) -> FloatResult:
    """As `sim.trials.registry` calls it."""
    return rest(design, lure or build(design))


def observe(
    design: Design, lure: Lure | StaticLure, pull: Pull | None, settings: Settings | None
) -> dict[str, Any]:
    """The attitude alone; None throughout for a lure that sinks."""
    sits = attitude(lure, medium(design).density)
    return dict.fromkeys(Attitude.__dataclass_fields__) if sits is None else sits.__dict__


def _in_the_tub(design: Design, sits: FloatResult) -> TubCheck | None:
    """What was read in the tub, held against the answer; None without readings."""
    if design.measured.tub is None:
        return None
    read = design.measured.tub.results()["pitch"]
    pitch, sd = math.degrees(read.value), math.degrees(read.sd)
    off = None if sits.pitch_deg is None else sits.pitch_deg - pitch
    agrees = off is not None and abs(off) <= TUB_APART * math.hypot(sd, TUB_SURE)
    return TubCheck(pitch_deg=pitch, off_deg=off, agrees=agrees)


def settled(lure: Lure, density: float, alone: bool = False) -> FloatResult:
    """How a lure sits in water of one density (kg/m3); `alone` leaves out its other rests and its righting arms.

    Righting arms are those of turning it about the level line fore and aft (heel) or athwart (trim); it is
    free to rise and fall, but not to turn the other way.
    """
    outcome = verdict(lure.mass, lure.volume, density)
    first = first_rest(lure, density) if alone else None
    rests = equilibria(lure, density) if not alone else [] if first is None else [first]
    if not rests:
        return _sunk()
    here, others = rests[0], rests[1:]
    floater = Floater(lure, density)
    trim, heel = level_axes(here.up)
    sits = _attitude(lure, here, density)
    return FloatResult(
        verdict=outcome,
        pitch_deg=sits.pitch_deg,
        roll_deg=sits.roll_deg,
        immersed_fraction=sits.immersed_fraction,
        draught_mm=sits.draught_mm,
        freeboard_mm=sits.freeboard_mm,
        trim_gm_mm=_number(1e3 * here.trim_gm),
        heel_gm_mm=_number(1e3 * here.heel_gm),
        righting_heel=[] if alone else _curve(floater, here, heel, HEEL_CURVE),
        righting_trim=[] if alone else _curve(floater, here, trim, TRIM_CURVE),
        turns=here.turns,
        other_rests=[_other(rest, here, floater.size) for rest in others],
        origin_height_mm=None if here.height is None else _number(1e3 * here.height),
        up_in_body=[float(value) for value in here.up],
    )


@dataclass(frozen=True)
class Attitude:
    """How a lure sits at rest, in the figures that a study of many builds asks for; as in `FloatResult`."""

    pitch_deg: float  # nose up positive
    roll_deg: float  # right side down positive
    immersed_fraction: float  # 1 if it hangs wholly under
    draught_mm: float | None  # lowest point below the surface; None wholly under
    freeboard_mm: float | None  # highest point above the surface; None wholly under


def attitude(lure: Lure | StaticLure, density: float) -> Attitude | None:
    """The rest that `settled` names, without its stability, its curves and the other rests.

    It takes the same way down from upright as `settled`, so it ends in the same place whatever the lure: about
    a millisecond where `settled` takes forty.

    Args:
        lure: of `build`, or of `sim.lure.static_lure.static_lure`, which costs less.
        density: of the water (kg/m3).

    Returns:
        None for a lure that sinks.
    """
    here = first_rest(lure, density)
    return None if here is None else _attitude(lure, here, density)


def _attitude(lure: Lure | StaticLure, here: Rest, density: float) -> Attitude:
    floats = here.height is not None
    low, high = _reach(lure, here) if floats else (None, None)
    return Attitude(
        _number(math.degrees(here.pitch)),
        _number(math.degrees(here.roll)),
        lure.mass / (density * lure.volume) if floats else 1.0,
        low,
        high,
    )


def _other(other: Rest, first: Rest, size: float) -> OtherRest:
    return OtherRest(
        pitch_deg=_number(math.degrees(other.pitch)),
        roll_deg=_number(math.degrees(other.roll)),
        lower=_number((first.energy - other.energy) / size),
    )


def _reach(lure: Lure | StaticLure, rest: Rest) -> tuple[float, float]:
    """Lowest point below the surface and highest above (mm), of hulls, plates and small parts' centres."""
    corners = lure.corners if isinstance(lure, StaticLure) else _corners(lure.elements.plates)
    points = np.concatenate([*(hull.vertices for hull in lure.hulls), corners, lure.small[:, :3]])
    heights = 1e3 * ((rest.height or 0.0) + points @ rest.up)
    return _number(-float(heights.min())), _number(float(heights.max()))


def _corners(plates: Array) -> Array:
    """Corners of the plates in the open of a table of plates (4 k, 3), m."""
    plates = plates[plates[:, P_OPEN] > 0.0]
    along = 0.5 * plates[:, [P_LENGTH]] * plates[:, P_C : P_C + 3]
    across = 0.5 * plates[:, [P_WIDTH]] * plates[:, P_S : P_S + 3]
    middle = plates[:, P_R : P_R + 3]
    return np.concatenate([middle + i * along + j * across for i in (-1, 1) for j in (-1, 1)])


def _curve(floater: Floater, rest: Rest, way: Array, degrees: range) -> list[RightingPoint]:
    arms = righting_arms(floater, rest, way, [math.radians(angle) for angle in degrees])
    return [
        RightingPoint(angle_deg=angle, arm_mm=_number(1e3 * arm))
        for angle, arm in zip(degrees, arms, strict=True)
    ]


def _sunk() -> FloatResult:
    return FloatResult(
        verdict=Verdict.SINKS,
        pitch_deg=None,
        roll_deg=None,
        immersed_fraction=None,
        draught_mm=None,
        freeboard_mm=None,
        trim_gm_mm=None,
        heel_gm_mm=None,
        righting_heel=[],
        righting_trim=[],
        turns=None,
        other_rests=[],
        origin_height_mm=None,
        up_in_body=None,
    )


def _number(value: float) -> float:
    """Without the last digits, which are round-off, and without a minus before nought."""
    return round(value, 9) + 0.0
