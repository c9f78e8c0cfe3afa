"""What the trials answer, as data. Every key outside carries its unit; `docs/reference` is generated from here.

`None` (null in JSON) means that the question has no answer for this lure, never that it was not asked.
"""

from __future__ import annotations

from enum import StrEnum

from pydantic import BaseModel, ConfigDict, Field

from sim.hydrostatics.verdict import Verdict
from sim.trials.confidence import Confidence, words


class Result(BaseModel):
    """Common settings of all results."""

    model_config = ConfigDict(frozen=True, populate_by_name=True)


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
    HANGS = "hangs"
    RISES = "rises"
    SINKS = "sinks"
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
    settled_by: str | None = Field(
        None, description="the one measurement that would settle an uncertain verdict; null when it is sure"
    )
    rattle_back_mm: list[float] | None = Field(
        None, description="centre of gravity behind the nose with all loose balls at the front, at the rear"
    )
    warnings: list[str] = Field(description="legal but suspicious input")
    confidence: dict[str, Confidence] = Field(
        default_factory=lambda: words("budget"),
        description="how sure each figure is: exact, checked or indicative",
    )


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
    tub: str | None = Field(
        None, description="what the readings in a tub say to this answer; null without readings"
    )
    origin_height_mm: float | None = Field(description="the design's nose point above the surface")
    up_in_body: list[float] | None = Field(description="unit vector straight up, in the lure's own axes")
    confidence: dict[str, Confidence] = Field(
        default_factory=lambda: words("float"),
        description="how sure each figure is: exact, checked or indicative",
    )


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
    outside: list[str] = Field(
        default_factory=list,
        description="laws that the run used outside their range, and for how much of the time",
    )
    confidence: dict[str, Confidence] = Field(
        default_factory=lambda: words("drop"),
        description="how sure each figure is: exact, checked or indicative",
    )


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
    outside: list[str] = Field(
        default_factory=list,
        description="laws that the run used outside their range, and for how much of the time",
    )
    confidence: dict[str, Confidence] = Field(
        default_factory=lambda: words("cast"),
        description="how sure each figure is: exact, checked or indicative",
    )


class Seen(Result):
    """One behaviour of a retrieve: how much of it, and why."""

    behaviour: Behaviour = Field(description="what is seen")
    numbers: dict[str, float] = Field(description="how much; each key ends in its unit, shares have none")
    cause: str = Field(description="the force or moment that causes it, in words")


class PauseResult(Result):
    """What it does while the winding stops."""

    start_s: float = Field(description="when the winding stops")
    pause_s: float = Field(description="how long it stops")
    behaviour: Behaviour = Field(description="hangs, rises or sinks")
    sink_rate_m_s: float = Field(description="downward speed once it has slowed down; negative rises")
    sunk_m: float = Field(description="how much deeper it is at the end of the pause; negative is higher")
    surfaced_s: float | None = Field(description="how long it takes to come up; null if it does not")
    pitch_deg: float = Field(description="mean attitude meanwhile, nose up positive")
    cause: str = Field(description="the force that causes it, in words")
    sentence: str = Field(description="the answer in words")


class RetrieveResult(Result):
    """What it does on the line, from one tie-on point at one speed or through one programme."""

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
    programme: str | None = Field(None, description="name of the programme; null for a steady pull")
    heave_mm: float | None = Field(None, description="half of peak to peak of the depth, its slow change out")
    deepest_m: float | None = Field(None, description="depth of the body's middle where it is deepest")
    depths_m: list[tuple[float, float]] = Field(
        default_factory=list, description="pairs of level distance to the rod tip and depth along the way"
    )
    seen: list[Seen] = Field(default_factory=list, description="every behaviour, its numbers and its cause")
    margins: dict[str, float] = Field(
        default_factory=dict,
        description="by how much each behaviour holds: above 0 it does, 1 is as much as anybody would see",
    )
    pauses: list[PauseResult] = Field(default_factory=list, description="what it does at each stop")
    outside: list[str] = Field(
        default_factory=list,
        description="laws that the run used outside their range, and for how much of the time",
    )
    confidence: dict[str, Confidence] = Field(
        default_factory=lambda: words("retrieve"),
        description="how sure each figure is: exact, checked or indicative",
    )


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
