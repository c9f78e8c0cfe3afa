"""What the trials answer, as data. Every key outside carries its unit; `docs/reference` is generated from here.

`None` (null in JSON) means that the question has no answer for this lure, never that it was not asked.
"""

from __future__ import annotations

from enum import StrEnum

from pydantic import Field

from sim.hydrostatics.verdict import Turns, Verdict
from sim.metrics import (
    MAIN,
    NUMBER,
    ROWS,
    Confidence,
    Metric,
    Sharp,
    Use,
    confidences,
    declared,
    metric,
    tried,
    untried,
)
from sim.remark import Remark
from sim.trials.cautions import Caution
from sim.trials.records import Conflict, OtherRest, OutOfRange, Result, Settling, TubCheck, TurningValue


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
    UNKNOWN = "unknown"


class PartRow(Result):
    """One line of the budget."""

    name: str = Field(description="part")
    kind: str = Field(description="body, fill, plate, wire, hook, fitting, ballast, paint, or measured")
    mass_g: float = Field(description="weight in air")
    displaced_ml: float = Field(description="water pushed aside when wholly under")
    back_mm: float = Field(description="centre of mass behind the nose")
    up_mm: float = Field(description="centre of mass above the axis")
    left_mm: float = Field(description="centre of mass to the left")
    source: str = Field(description="measured, computed, estimated or handbook")
    note: list[Remark] | str = Field(
        default_factory=list, description="measured against computed, where both are known"
    )


class BudgetResult(Result):
    """Weights and volumes: does it float, and by how much."""

    mass_g: float = metric(
        "whole weight in air", "weight", "Weight", uses=NUMBER | Use.BUILDS_PAGE, noticed=0.5,
        sharp=Sharp(0.0, 0.005), gross=1.0, positive=True, cover=tried("meshes"),
    )  # fmt: skip
    displaced_ml: float = metric(
        "water pushed aside when wholly under", "water pushed aside", "Displaces", "Pushes aside", NUMBER,
        noticed=0.5, sharp=Sharp(0.0, 0.02), gross=1.0, positive=True, cover=tried("meshes"),
    )  # fmt: skip
    water_density_kg_m3: float = Field(description="of the water named in the design")
    margin_g: float = metric(
        "spare lift: water pushed aside, in grams, less the weight", "spare lift", "Spare",
        uses=MAIN | Use.PICTURE | Use.OUTCOME, noticed=0.2, sharp=Sharp(0.1, 0.1),
        cover=tried("meshes", "media"),
    )  # fmt: skip
    margin_sd_g: float = Field(
        description="standard deviation of the margin from what is known, or usual, of every input"
    )
    verdict: Verdict = metric(
        "floats, suspends or sinks, or cannot be told", "verdict", "Verdict", uses=ROWS | Use.RUNS_PAGE, word=True,
    )  # fmt: skip
    chance_floats: float | None = Field(
        description="share of builds that float, from margin and its deviation; null where it cannot be told"
    )
    gravity_back_mm: float = Field(description="centre of gravity behind the nose")
    gravity_up_mm: float = Field(description="centre of gravity above the axis")
    gravity_left_mm: float = Field(description="centre of gravity to the left")
    buoyancy_back_mm: float = Field(description="centre of buoyancy, wholly under, behind the nose")
    buoyancy_up_mm: float = Field(description="centre of buoyancy, wholly under, above the axis")
    buoyancy_left_mm: float = Field(description="centre of buoyancy, wholly under, to the left")
    inertia_g_cm2: list[float] = Field(description="roll, pitch and yaw moments of inertia about the centre")
    parts: list[PartRow] = Field(description="every part")
    conflicts: list[Conflict] = Field(
        default=[], description="readings that cannot all be true; the verdict cannot be told then"
    )
    turning_values: list[TurningValue] = Field(
        description="values of single inputs at which the verdict turns"
    )
    settled_by: Settling | None = Field(
        None, description="the one measurement that would settle an uncertain verdict; null when it is sure"
    )
    rattle_back_mm: list[float] | None = Field(
        None, description="centre of gravity behind the nose with all loose balls at the front, at the rear"
    )
    warnings: list[Remark | str] = Field(description="legal but suspicious input")
    confidence: dict[str, Confidence] = Field(
        default_factory=lambda: standing("budget"),
        description="how sure each figure is: exact, checked or indicative",
    )


class RightingPoint(Result):
    """One point of a righting-arm curve."""

    angle_deg: float = Field(description="turned from rest")
    arm_mm: float = Field(description="positive brings it back")


class FloatResult(Result):
    """How it sits at rest."""

    verdict: Verdict = Field(description="the budget's verdict")
    pitch_deg: float | None = metric(
        "nose up positive; null when it sinks", "nose up at rest", "Sits\nnose", uses=MAIN | Use.PICTURE,
        noticed=5.0, sharp=Sharp(2.0, 0.1), cover=tried("hydrostatics", "media"),
    )  # fmt: skip
    roll_deg: float | None = metric(
        "right side down positive; null when it sinks", "lean at rest", "Sits\nroll",
        "Lean at rest (- left)", NUMBER | Use.BUILDS_PAGE, noticed=5.0, sharp=Sharp(2.0, 0.1),
        either_side=True, ways=("to its right", "to its left"), cover=tried("hydrostatics", "media"),
    )  # fmt: skip
    immersed_fraction: float | None = metric(
        "share of its volume under water; null when it sinks", "share under water", "Under\nwater",
        noticed=0.05, cover=tried("hydrostatics", "media"),
    )  # fmt: skip
    draught_mm: float | None = Field(description="lowest point below the surface; null unless it floats")
    freeboard_mm: float | None = metric(
        "highest point above the surface; null unless it floats", "what shows above water", "Shows",
        "Shows above water", Use.BUILDS | Use.SPREAD | Use.BUILDS_PAGE, sharp=Sharp(1.0, 0.1), gross=15.0,
    )  # fmt: skip
    trim_gm_mm: float | None = Field(description="metacentric height in trim; positive is stable")
    heel_gm_mm: float | None = Field(description="metacentric height in heel; positive is stable")
    righting_heel: list[RightingPoint] = Field(description="righting arm against heel, trim held")
    righting_trim: list[RightingPoint] = Field(description="righting arm against trim, heel held")
    turns: Turns | None = Field(description="in which ways it turns without resistance; null when it sinks")
    other_rests: list[OtherRest] = Field(description="other attitudes in which it can stay")
    sentence: str = Field("", description="the answer in words")
    tub: TubCheck | None = Field(
        None, description="what the readings in a tub say to this answer; null without readings"
    )
    origin_height_mm: float | None = Field(description="the design's nose point above the surface")
    up_in_body: list[float] | None = Field(description="unit vector straight up, in the lure's own axes")
    confidence: dict[str, Confidence] = Field(
        default_factory=lambda: standing("float"),
        description="how sure each figure is: exact, checked or indicative",
    )


class DropResult(Result):
    """What it does when let go in still water."""

    sink_rate_m_s: float | None = metric(
        "downward speed once settled; negative rises", "sink rate", "Sinks\n(- up)", "Sink rate (- rises)",
        MAIN | Use.PICTURE | Use.OUTCOME, noticed=0.02, sharp=Sharp(0.002, 0.05), gross=0.08,
        ways=("down", "up"), cover=tried("drag", "media", "added_mass"),
    )  # fmt: skip
    sink_rate_cm_s: float | None = Field(description="the same")
    sink_rate_ft_s: float | None = Field(description="the same")
    seconds_per_m: float | None = Field(description="null if it hardly moves")
    seconds_per_ft: float | None = Field(description="null if it hardly moves")
    pitch_deg: float | None = metric(
        "mean attitude once settled, nose up positive", "nose up as it sinks", "Sinks\nnose",
        "Nose up, let go", NUMBER, noticed=10.0, sharp=Sharp(4.0, 0.1),
        cover=tried("drag", "plates", "munk", "falling"),
    )  # fmt: skip
    roll_deg: float | None = Field(description="mean roll once settled, right side down positive")
    glide_deg: float | None = metric(
        "path away from straight down (0) toward level (90)", "glide as it sinks", "Glide", noticed=10.0,
    )  # fmt: skip
    swing_deg: float | None = metric(
        "half the swing of the long axis about its mean", "swing as it sinks", uses=Use.BUILDS,
    )  # fmt: skip
    turns_per_m: float | None = metric(
        "turns about the path for each metre of depth", "turns as it sinks", uses=Use.BUILDS,
    )  # fmt: skip
    motion: DropMotion | None = metric(
        "the motion in a word", "motion let go", "Let go, it", word=True,
        cover=tried("falling", "plates", "shedding", "munk"),
    )  # fmt: skip
    countdown: list[tuple[float, float]] = Field(description="pairs of seconds and depth in metres")
    ended: Ended = Field(description="why the run ended")
    evaluations: int = Field(description="right-hand sides computed")
    sentence: str = Field("", description="the answer in words")
    outside: list[OutOfRange] = Field(
        default=[],
        description="laws that the run used outside their range, and for how much of the time",
    )
    confidence: dict[str, Confidence] = Field(
        default_factory=lambda: standing("drop"),
        description="how sure each figure is: exact, checked or indicative",
    )


class CastResult(Result):
    """How far it flies and how."""

    range_m: float | None = metric(
        "level distance from the rod tip to the splash", "cast", "Cast", "Range", MAIN | Use.PICTURE,
        noticed=1.0, sharp=Sharp(0.5, 0.05), gross=5.0, positive=True, cover=untried("projectile", "drag"),
    )  # fmt: skip
    drift_m: float | None = Field(description="sideways at the splash, left positive")
    flight_time_s: float | None = metric(
        "release to splash", "time in the air", uses=NUMBER, cover=untried("projectile", "drag"),
    )  # fmt: skip
    apex_m: float | None = Field(description="highest point above the water")
    tumbles: float | None = metric(
        "whole end-over-end turns in the air", "turns in the air", "Tumbles", noticed=1.0,
        sharp=Sharp(1.0, 0.2), cover=untried("falling", "drag"),
    )  # fmt: skip
    splash_pitch_deg: float | None = metric(
        "angle of the nose from the path at the splash; 0 leads", "nose off the path as it lands",
        uses=Use.BUILDS,
    )  # fmt: skip
    splash_speed_m_s: float | None = Field(description="speed at the splash")
    lands: str = metric("nose first, tail first or side on", "landing", "Lands", word=True)
    ended: Ended = Field(description="why the run ended")
    evaluations: int = Field(description="right-hand sides computed")
    sentence: str = Field("", description="the answer in words")
    outside: list[OutOfRange] = Field(
        default=[],
        description="laws that the run used outside their range, and for how much of the time",
    )
    confidence: dict[str, Confidence] = Field(
        default_factory=lambda: standing("cast"),
        description="how sure each figure is: exact, checked or indicative",
    )


class Act(StrEnum):
    """What forces, moments or powers do to a lure, and what the others against them answer."""

    DOWN = "down"  # N; against: up
    UP = "up"  # N; against: down
    LEFT = "left"  # N
    RIGHT = "right"  # N
    NOSE_DOWN = "nose down"  # N m about the tie-on point; against: nose up
    OVER = "over"  # N m; against: upright
    AROUND = "around"  # N m about the line
    SWING = "swing"  # W fed to the swing; against: taken out


class ForceBalance(Result):
    """The sources behind a behaviour and those against it, largest first, each with its share (N, N m or W)."""

    act: Act
    ahead: list[tuple[str, float]]
    against: list[tuple[str, float]]


class SeenBehaviour(Result):
    """One behaviour of a retrieve: how much of it, and why."""

    behaviour: Behaviour = Field(description="what is seen")
    numbers: dict[str, float] = Field(description="how much; each key ends in its unit, shares have none")
    cause: str = Field("", description="the force or moment that causes it, in words")
    balances: list[ForceBalance] = Field(default=[], exclude=True)


class PauseResult(Result):
    """What it does while the winding stops."""

    start_s: float = Field(description="when the winding stops")
    pause_s: float = Field(description="how long it stops")
    behaviour: Behaviour = Field(description="hangs, rises or sinks")
    sink_rate_m_s: float = Field(description="downward speed once it has slowed down; negative rises")
    sunk_m: float = Field(description="how much deeper it is at the end of the pause; negative is higher")
    surfaced_s: float | None = Field(description="how long it takes to come up; null if it does not")
    pitch_deg: float = Field(description="mean attitude meanwhile, nose up positive")
    cause: str = Field("", description="the force that causes it, in words")
    sentence: str = Field("", description="the answer in words")
    balances: list[ForceBalance] = Field(default=[], exclude=True)
    at_surface: bool = Field(False, exclude=True)


class RetrieveResult(Result):
    """What it does on the line, from one tie-on point at one speed or through one programme."""

    tie_on: str = Field(description="where the line is tied")
    speed_m_s: float = Field(description="line speed")
    behaviour: Behaviour = metric(
        "the headline", "what it does", "It", uses=ROWS | Use.RUNS_PAGE, word=True,
        cover=untried("plates", "surface", "shedding", "munk"),
    )  # fmt: skip
    also: list[Behaviour] = metric("what else holds", "what else it does", word=True)
    depth_m: float | None = metric(
        "mean depth of the body's middle once settled", "depth", "Depth",
        uses=MAIN | Use.PICTURE | Use.OUTCOME, noticed=0.1, sharp=Sharp(0.05, 0.1), gross=0.5, in_water=True,
        cover=untried("line", "plates", "drag"),
    )  # fmt: skip
    pitch_deg: float | None = metric(
        "mean, nose up positive", "nose up", "Nose", uses=NUMBER, noticed=5.0, sharp=Sharp(4.0, 0.1),
        cover=untried("plates", "munk", "drag"),
    )  # fmt: skip
    roll_deg: float | None = metric(
        "mean, right side down positive", "lean", "Leans\n(+ right)", "Lean (- left)", NUMBER, noticed=5.0,
        either_side=True, ways=("to its right", "to its left"),
    )  # fmt: skip
    pitch_amplitude_deg: float | None = metric("half of peak to peak, typical", "pitch either way")
    roll_amplitude_deg: float | None = metric(
        "half of peak to peak, typical", "roll either way", "Roll", uses=NUMBER, noticed=3.0,
        sharp=Sharp(3.0, 0.15), cover=untried("shedding", "plates"),
    )  # fmt: skip
    yaw_amplitude_deg: float | None = metric(
        "half of peak to peak, typical", "yaw either way", "Yaw", uses=NUMBER, noticed=3.0,
        sharp=Sharp(2.0, 0.15), cover=untried("shedding", "plates"),
    )  # fmt: skip
    wobble_hz: float | None = metric(
        "rate of the side-to-side motion; null if there is none", "wobble rate", "Wobble", "Wobble", MAIN,
        noticed=0.5, sharp=Sharp(0.3, 0.07), gross=2.0, positive=True, cover=untried("shedding"),
    )  # fmt: skip
    turns_per_m: float | None = metric(
        "turns about the line for each metre of retrieve", "turns about the line", "Turns", noticed=0.2,
        sharp=Sharp(0.2, 0.2), gross=2.0,
    )  # fmt: skip
    offset_m: float | None = metric(
        "sideways from the rod tip's line, left positive, as you look", "place to one side", "To left",
        "To the left", NUMBER, noticed=0.3, either_side=True,
    )  # fmt: skip
    tension_n: float | None = metric(
        "mean line tension at the lure", "pull on the line", "Pull", "Pull", NUMBER | Use.RUNS_PAGE,
        noticed=0.1, sharp=Sharp(0.02, 0.15), gross=1.0, positive=True,
        cover=untried("line", "drag", "plates"),
    )  # fmt: skip
    tension_max_n: float | None = metric(
        "largest line tension at the lure", "largest pull on the line", uses=Use.RUNS,
    )  # fmt: skip
    ended: Ended = metric("why the run ended", "why the run ended", uses=Use.RUNS, word=True)
    evaluations: int = Field(description="right-hand sides computed")
    sentence: str = Field("", description="the answer in words")
    programme: str | None = Field(None, description="name of the programme; null for a steady pull")
    ran_s: float = Field(0.0, exclude=True)
    heave_mm: float | None = metric(
        "half of peak to peak of the depth, its slow change out", "heave either way", uses=Use.BUILDS,
        default=None,
    )  # fmt: skip
    deepest_m: float | None = Field(None, description="depth of the body's middle where it is deepest")
    depths_m: list[tuple[float, float]] = Field(
        default=[], description="pairs of level distance to the rod tip and depth along the way"
    )
    starts_at_m: tuple[float, float] | None = Field(
        None, description="level distance to the rod tip and depth when reeling starts, after a cast"
    )
    seen: list[SeenBehaviour] = Field(default=[], description="every behaviour, its numbers and its cause")
    margins: dict[str, float] = metric(
        "by how much each behaviour holds: above 0 it does, 1 is as much as anybody would see",
        "by how much each behaviour holds", uses=Use.BUILDS, word=True, default={},
    )  # fmt: skip
    pauses: list[PauseResult] = Field(default=[], description="what it does at each stop")
    outside: list[OutOfRange] = Field(
        default=[],
        description="laws that the run used outside their range, and for how much of the time",
    )
    confidence: dict[str, Confidence] = Field(
        default_factory=lambda: standing("retrieve"),
        description="how sure each figure is: exact, checked or indicative",
    )


METRICS: dict[str, Metric] = {
    **declared("budget", BudgetResult),
    **declared("float", FloatResult),
    **declared("drop", DropResult),
    **declared("cast", CastResult),
    **declared("retrieve", RetrieveResult),
}
"""The account of every quantity, by its full name: `drop.sink_rate_m_s`. A trial that is registered adds its own."""

WEIGHT, DISPLACED, SPARE_LIFT = "budget.mass_g", "budget.displaced_ml", "budget.margin_g"
TRIM, SINK_RATE = "float.pitch_deg", "drop.sink_rate_m_s"


def standing(trial: str) -> dict[str, Confidence]:
    """How far each quantity of a trial that checks cover can be trusted."""
    return confidences(METRICS.values(), trial)


class TrialResult(Result):
    """All the answers for one design."""

    design: str = Field(description="the design's name")
    version: str = Field(description="drytank's version")
    budget: BudgetResult
    floating: FloatResult = Field(alias="float")
    drop: DropResult
    cast: CastResult
    retrieve: list[RetrieveResult]
    cautions: list[Caution] = Field(description="what can hurt, and whose rules to follow")
