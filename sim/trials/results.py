"""What the trials answer, as data. Every key outside carries its unit; `docs/reference` is generated from here.

`None` (null in JSON) means that the question has no answer for this lure, never that it was not asked.
"""

from __future__ import annotations

from enum import StrEnum

from pydantic import BaseModel, ConfigDict, Field


class Result(BaseModel):
    """Common settings of all results."""

    model_config = ConfigDict(frozen=True, populate_by_name=True)


class Verdict(StrEnum):
    """What the weight and volume budget says."""

    FLOATS = "floats"
    SUSPENDS = "suspends"
    SINKS = "sinks"


class Ended(StrEnum):
    """Why a run ended; each value reads as a sentence."""

    TIME = "the time asked for was run"
    BOTTOM = "it reached the bottom"
    SURFACE = "it came up to the surface"
    SPLASH = "it hit the water"
    NEAR = "it came close to the rod tip"
    STEADY = "the motion had settled"
    GAVE_UP = "the solver gave up: the motion asked for more steps than the work budget allows"


class DropMotion(StrEnum):
    """How it goes down (or up) when let go."""

    STRAIGHT = "straight"
    GLIDE = "glides"
    FLUTTER = "flutters"
    SPIRAL = "spirals"
    TUMBLE = "tumbles"
    HANGS = "hangs"


class Behaviour(StrEnum):
    """What it does when it is pulled. The headline of a retrieve is one of these."""

    DRAGS = "drags"
    WAKES = "wakes"
    RUNS = "runs just under"
    DIVES = "dives"
    HOPS = "hops"
    SKIPS = "skips"
    WOBBLES = "wobbles"
    ROCKS = "rocks"
    ROLLS_OVER = "rolls over"
    SPINS = "spins"
    SPIRALS = "spirals"
    OFF_SIDE = "tracks off to a side"
    TUMBLES = "tumbles"
    BOTTOM = "drags on the bottom"
    UNKNOWN = "unknown: the solver gave up"


class PartRow(Result):
    """One line of the budget."""

    name: str = Field(description="part")
    kind: str = Field(description="body, fill, plate, wire, hook, fitting, ballast, paint, or measured")
    mass_g: float = Field(description="weight in air")
    displaced_ml: float = Field(description="water pushed aside when wholly under")
    back_mm: float = Field(description="centre of mass behind the nose")
    up_mm: float = Field(description="centre of mass above the axis")
    left_mm: float = Field(description="centre of mass to the left")
    source: str = Field(description="measured, computed or handbook")
    note: str = Field("", description="measured against computed, where both are known")


class BudgetResult(Result):
    """Weights and volumes: does it float, and by how much."""

    mass_g: float = Field(description="whole weight in air")
    displaced_ml: float = Field(description="water pushed aside when wholly under")
    water_density_kg_m3: float = Field(description="of the water named in the design")
    margin_g: float = Field(description="spare lift: water pushed aside, in grams, less the weight")
    margin_sd_g: float = Field(description="standard deviation of the margin from the +- of the inputs")
    verdict: Verdict = Field(description="floats, suspends or sinks")
    chance_floats: float | None = Field(
        description="share of builds that float, from margin and its deviation; null with no +- given"
    )
    gravity_back_mm: float = Field(description="centre of gravity behind the nose")
    gravity_up_mm: float = Field(description="centre of gravity above the axis")
    gravity_left_mm: float = Field(description="centre of gravity to the left")
    buoyancy_back_mm: float = Field(description="centre of buoyancy, wholly under, behind the nose")
    buoyancy_up_mm: float = Field(description="centre of buoyancy, wholly under, above the axis")
    buoyancy_left_mm: float = Field(description="centre of buoyancy, wholly under, to the left")
    inertia_g_cm2: list[float] = Field(description="roll, pitch and yaw moments of inertia about the centre")
    parts: list[PartRow] = Field(description="every part")
    flips: list[str] = Field(description="values of single inputs at which the verdict turns, as sentences")
    warnings: list[str] = Field(description="legal but suspicious input")


class RightingPoint(Result):
    """One point of a righting-arm curve."""

    angle_deg: float = Field(description="turned from rest")
    arm_mm: float = Field(description="positive brings it back")


class FloatResult(Result):
    """How it sits at rest."""

    verdict: Verdict = Field(description="the budget's verdict")
    pitch_deg: float | None = Field(description="nose up positive; null when it sinks")
    roll_deg: float | None = Field(description="right side down positive; null when it sinks")
    immersed_fraction: float | None = Field(description="share of its volume under water; null when it sinks")
    draught_mm: float | None = Field(description="lowest point below the surface; null unless it floats")
    freeboard_mm: float | None = Field(description="highest point above the surface; null unless it floats")
    trim_gm_mm: float | None = Field(description="metacentric height in trim; positive is stable")
    heel_gm_mm: float | None = Field(description="metacentric height in heel; positive is stable")
    righting_heel: list[RightingPoint] = Field(description="righting arm against heel, trim held")
    righting_trim: list[RightingPoint] = Field(description="righting arm against trim, heel held")
    other_rests: list[str] = Field(description="other attitudes in which it can stay, as sentences")
    sentence: str = Field(description="how it sits, in words")
    origin_height_mm: float | None = Field(description="the design's nose point above the surface")
    up_in_body: list[float] | None = Field(description="unit vector straight up, in the lure's own axes")


class DropResult(Result):
    """What it does when let go in still water."""

    sink_rate_m_s: float | None = Field(description="downward speed once settled; negative rises")
    sink_rate_cm_s: float | None = Field(description="the same")
    sink_rate_ft_s: float | None = Field(description="the same")
    seconds_per_m: float | None = Field(description="null if it hardly moves")
    seconds_per_ft: float | None = Field(description="null if it hardly moves")
    pitch_deg: float | None = Field(description="mean attitude once settled, nose up positive")
    roll_deg: float | None = Field(description="mean roll once settled, right side down positive")
    glide_deg: float | None = Field(description="path away from straight down (0) toward level (90)")
    swing_deg: float | None = Field(description="half the swing of the long axis about its mean")
    turns_per_m: float | None = Field(description="turns about the path for each metre of depth")
    motion: DropMotion | None = Field(description="the motion in a word")
    countdown: list[tuple[float, float]] = Field(description="pairs of seconds and depth in metres")
    ended: Ended = Field(description="why the run ended")
    evaluations: int = Field(description="right-hand sides computed")
    sentence: str = Field(description="the answer in words")


class CastResult(Result):
    """How far it flies and how."""

    range_m: float | None = Field(description="level distance from the rod tip to the splash")
    drift_m: float | None = Field(description="sideways at the splash, left positive")
    flight_time_s: float | None = Field(description="release to splash")
    apex_m: float | None = Field(description="highest point above the water")
    tumbles: float | None = Field(description="whole end-over-end turns in the air")
    splash_pitch_deg: float | None = Field(
        description="angle of the nose from the path at the splash; 0 leads"
    )
    splash_speed_m_s: float | None = Field(description="speed at the splash")
    lands: str = Field(description="nose first, tail first or side on")
    ended: Ended = Field(description="why the run ended")
    evaluations: int = Field(description="right-hand sides computed")
    sentence: str = Field(description="the answer in words")


class RetrieveResult(Result):
    """What it does on the line, from one tie-on point at one speed."""

    tie_on: str = Field(description="where the line is tied")
    speed_m_s: float = Field(description="line speed")
    behaviour: Behaviour = Field(description="the headline")
    also: list[Behaviour] = Field(description="what else holds")
    depth_m: float | None = Field(description="mean depth of the body's middle once settled")
    pitch_deg: float | None = Field(description="mean, nose up positive")
    roll_deg: float | None = Field(description="mean, right side down positive")
    pitch_amplitude_deg: float | None = Field(description="half of peak to peak, typical")
    roll_amplitude_deg: float | None = Field(description="half of peak to peak, typical")
    yaw_amplitude_deg: float | None = Field(description="half of peak to peak, typical")
    wobble_hz: float | None = Field(description="rate of the side-to-side motion; null if there is none")
    turns_per_m: float | None = Field(description="turns about the line for each metre of retrieve")
    offset_m: float | None = Field(description="sideways from the rod tip's line, left positive, as you look")
    tension_n: float | None = Field(description="mean line tension at the lure")
    tension_max_n: float | None = Field(description="largest line tension at the lure")
    ended: Ended = Field(description="why the run ended")
    evaluations: int = Field(description="right-hand sides computed")
    sentence: str = Field(description="the answer in words")


class TrialResult(Result):
    """All the answers for one design."""

    design: str = Field(description="the design's name")
    version: str = Field(description="drytank's version")
    budget: BudgetResult
    floating: FloatResult = Field(alias="float")
    drop: DropResult
    cast: CastResult
    retrieve: list[RetrieveResult]
    cautions: list[str] = Field(description="what can hurt, and whose rules to follow")
