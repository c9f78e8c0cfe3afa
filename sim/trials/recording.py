"""Runs kept to be shown: where the lure is and how it lies at any times, the pull, the forces, the line's shape.

What draws or tabulates a motion reads it here, as plain arrays, and needs to know nothing of the solver. World axes: x
away from the rod tip, y to the left, z up from still water, m.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.compiling import cores
from sim.design.model import Design
from sim.elements import P_R
from sim.forces import account
from sim.forces.inputs import L_MODE, L_TIE
from sim.lure.lure import Lure
from sim.motion import kinematics
from sim.motion.breakdown import breakdown
from sim.motion.problem import unpack
from sim.motion.solve import Trajectory
from sim.trials import cast, drop, retrieve
from sim.trials.line_shape import LineShape, line_shape, replayed
from sim.trials.records import OutOfRange
from sim.trials.results import CastResult, DropResult, RetrieveResult
from sim.trials.run_metrics import RunMetrics, beyond

Array = NDArray[np.float64]

MOST_PULLS, MOST_FOLLOWED = 12, 4  # steady retrieves and programmes that are kept
LEAST = 2.0 * retrieve.RAMP  # s: a pull shorter than this has not come up to speed


class Push(NamedTuple):
    """One source of force along a run."""

    name: str
    at: Array  # (3,) where it is drawn, lure axes, m
    newton: Array  # (k, 3) world axes


@dataclass(frozen=True)
class Recording:
    """One run of one lure."""

    kind: str  # pull, drop, cast
    run: Trajectory
    lure: Lure
    tie_on: str = ""
    speed: float = 0.0  # m/s, of a steady pull
    programme: str = ""  # or the name of what the angler does

    @property
    def seconds(self) -> float:
        """How long it ran."""
        return float(self.run.t[-1])

    @property
    def gave_up(self) -> bool:
        """Whether the solver did."""
        return self.run.ended == "gave up"

    @property
    def came_up_to_speed(self) -> bool:
        """Whether a pull went on long enough to be measured."""
        return not self.gave_up and self.seconds >= LEAST

    # ---- the lure's motion --------------------------------------------------------------------------------

    def states(self, times: Array) -> Array:
        """Place, attitude as a quaternion, velocity and spin (k, 13 or more)."""
        return self.run.at(times)

    def axes(self, times: Array) -> Array:
        """Lure to world (k, 3, 3)."""
        return kinematics.axes(self.run.at(times))

    def places(self, times: Array, point: Array | None = None) -> Array:
        """World places (k, 3) of a point of the lure, or of its balance point."""
        y = self.run.at(times)
        return kinematics.points(y, kinematics.axes(y), self.lure.centre if point is None else point)

    def track(self, times: Array) -> tuple[Array, Array]:
        """Level distance from the rod tip and depth (m) of the lure's middle."""
        middle = self.places(times, np.array([0.5 * sum(self.lure.nose_to_tail), 0.0, 0.0]))
        return np.hypot(middle[:, 0], middle[:, 1]), -middle[:, 2]

    def swings(self, times: Array) -> tuple[Array, Array]:
        """Yaw against its mean heading and roll against its mean (degrees)."""
        r = self.axes(times)
        yaw = np.degrees(kinematics.heading(r))
        roll = np.degrees(np.unwrap(kinematics.roll(r)))
        return yaw - yaw.mean(), roll - roll.mean()

    def tensions(self, times: Array) -> Array:
        """Pull of the line at the lure (k,), N."""
        return kinematics.tensions(times, self.run.at(times), self.run.flat)

    def forces(self, times: Array) -> list[Push]:
        """What pushes the lure, source by source, each from the middle of what it acts on. Inertia is no source."""
        y = self.run.at(times)
        lure = self.lure
        rows = breakdown(times, y, self.run.flat)[:, :, :3]
        found = np.einsum("kij,knj->kni", kinematics.axes(y), rows)  # (k, sources, 3), world axes
        table = lure.elements.plates
        names = [part.name for part in lure.parts if part.kind == "plate"]
        flow = account.PLATES + np.arange(len(table))
        on_plates = (
            found[:, flow] + found[:, flow + len(table)]
        )  # the flow on each and the vortices behind it
        faces = on_plates[:, len(names) :].sum(axis=1)  # blunt ends come after the plates
        body = found[:, account.BODIES] + found[:, account.ENTRY] + faces
        hangers = [part.centre for part in lure.parts if part.kind in ("hook", "fitting")]
        sources = [
            ("weight", lure.centre, found[:, account.WEIGHT]),
            ("lift of the water", lure.centre_volume, found[:, account.BUOYANCY]),
            ("flow on the body", lure.centre_volume, body),
            *((f"flow on {name}", table[k, P_R : P_R + 3], on_plates[:, k]) for k, name in enumerate(names)),
            (
                "flow on hooks and fittings",
                np.mean(hangers or [lure.centre], axis=0),
                found[:, account.HOOKS],
            ),
            ("flow on wires", lure.centre, found[:, account.WIRES]),
        ]
        if self.tied:
            tie = unpack(self.run.flat).line[L_TIE : L_TIE + 3]
            sources.insert(0, ("line", tie, found[:, account.LINE]))
        return [Push(name, at, newton) for name, at, newton in sources]

    # ---- the line -----------------------------------------------------------------------------------------

    @cached_property
    def tied(self) -> bool:
        """Whether a line holds or follows it."""
        return bool(unpack(self.run.flat).line[L_MODE] != 0.0)

    @property
    def tie_point(self) -> Array:
        """Where the line is tied (3,), lure axes, m."""
        return self.lure.tie_ons[self.tie_on or next(iter(self.lure.tie_ons))]

    def line_speed(self) -> float:
        """Speed of the line (m/s) at the end of the run."""
        programme = unpack(self.run.flat).programme
        return float((programme[-2, 1] - programme[-1, 1]) / (programme[-1, 0] - programme[-2, 0]))

    def line_at(self, moment: float | None = None) -> LineShape:
        """The line at one moment (s), or half way through."""
        return line_shape(self.run, 0.5 * self.seconds if moment is None else moment)

    def lines(self, times: Array) -> Array:
        """Shapes of the line for a replay (k, 3 points), the rod tip first, without the lure."""
        return replayed(self.run, times, self.run.at(times))

    # ---- what was measured --------------------------------------------------------------------------------

    def window(self) -> Array:
        """The times over which a retrieve is measured."""
        end = self.seconds
        count = max(int(retrieve.LOOK * end * retrieve.RATE), 16)
        return np.linspace((1 - retrieve.LOOK) * end, end, count)

    def measured(self) -> RunMetrics:
        """What a retrieve measures."""
        return retrieve.figures(self.run, self.lure, self.window(), self.line_speed())

    @cached_property
    def result(self) -> DropResult | CastResult | RetrieveResult:
        """What the trial answers."""
        if self.kind == "drop":
            return drop.describe(self.run, self.lure)
        if self.kind == "cast":
            return cast.describe(self.run, self.lure)
        return retrieve.describe(self.run, self.lure, self.tie_on, self.speed or self.line_speed())

    def outside_of_laws(self) -> OutOfRange | None:
        """The law used farthest outside its range in the later half."""
        return next(iter(beyond(self.run, np.linspace(0.5 * self.seconds, self.seconds, 200))), None)

    def table(self, every: float) -> dict[str, list[float]]:
        """Columns at equal times `every` seconds apart, and the end.

        Places are of the balance point; speeds likewise. `q_*` is the attitude as a quaternion, lure to world; pitch,
        roll and heading say the same in degrees. `pull_n` is the line's, at the lure.
        """
        end = self.seconds
        times = np.append(np.arange(0.0, end - 1e-9, every), end)
        y = self.run.at(times)
        r = kinematics.axes(y)
        place = kinematics.points(y, r, self.lure.centre)
        speed = np.einsum("kij,kj->ki", r, y[:, 7:10] + np.cross(y[:, 10:13], self.lure.centre))
        attitude = y[:, 3:7] / np.linalg.norm(y[:, 3:7], axis=1, keepdims=True)
        columns: dict[str, NDArray[np.float64]] = {
            "time_s": times,
            "x_m": place[:, 0],
            "y_m": place[:, 1],
            "z_m": place[:, 2],
            "depth_m": 0.0 - place[:, 2],
            "speed_x_m_s": speed[:, 0],
            "speed_y_m_s": speed[:, 1],
            "speed_z_m_s": speed[:, 2],
            "pitch_deg": np.degrees(kinematics.pitch(r)),
            "roll_deg": np.degrees(kinematics.roll(r)),
            "heading_deg": np.degrees(kinematics.heading(r)),
            "q_w_1": attitude[:, 0],
            "q_x_1": attitude[:, 1],
            "q_y_1": attitude[:, 2],
            "q_z_1": attitude[:, 3],
            "spin_x_rad_s": y[:, 10],
            "spin_y_rad_s": y[:, 11],
            "spin_z_rad_s": y[:, 12],
            "pull_n": kinematics.tensions(times, y, self.run.flat),
            "wet_share_1": kinematics.wet_shares(y, self.run.flat),
        }
        return {head: [float(value) for value in values] for head, values in columns.items()}


# ---- what is kept of a design -------------------------------------------------------------------------


def recordings(design: Design, lure: Lure, like: Sequence[Recording] = ()) -> list[Recording]:
    """The retrieves, the drop and the cast of one design.

    like: runs of another design to be in step with: the same speeds and programmes (which the design must have), from
    the tie-on points of the same names, or from the first one where there is none.
    """
    wanted = [one for one in like if one.kind == "pull"]
    pulls = [(one.tie_on, one.speed, one.programme) for one in wanted] if like else _every_pull(design, lure)
    fall = Recording("drop", drop.run(design, lure), lure)  # the first brings the compiled code along
    with ThreadPoolExecutor(cores()) as threads:
        made = list(threads.map(lambda way: pulled(design, lure, *way), pulls))
    return [*made, fall, Recording("cast", cast.run(design, lure), lure)]


def recorded(design: Design, lure: Lure, trial: str, tie_on: str | None, speed: float | None) -> Recording:
    """One drop, cast or retrieve; from the first tie-on point at the first speed (m/s) unless it is given."""
    from sim.trials.registry import TRIALS
    from sim.trials.request import Pull

    point = tie_on or next(iter(design.tie_on), None)
    pull = Pull(point, speed or design.retrieve.speeds[0].value) if point else None
    run = TRIALS[trial].motion(design, lure, pull)
    if trial != "retrieve" or pull is None:
        return Recording(trial, run, lure, tie_on or "")
    return Recording("pull", run, lure, pull.tie_on, pull.speed)


def pulled(design: Design, lure: Lure, tie_on: str, speed: float, programme: str = "") -> Recording:
    """A steady retrieve, or one through a programme."""
    tie_on = tie_on if tie_on in lure.tie_ons else next(iter(lure.tie_ons))
    if programme:
        run = retrieve.follow(design, lure, tie_on, programme).run
    else:
        run = retrieve.run(design, lure, tie_on, speed)
    return Recording("pull", run, lure, tie_on, speed, programme)


def _every_pull(design: Design, lure: Lure) -> list[tuple[str, float, str]]:
    """Tie-on point with speed or programme of every retrieve to be shown."""
    points = list(lure.tie_ons)[:MOST_PULLS]
    each = max(1, MOST_PULLS // max(len(points), 1))
    steady = [(point, speed, "") for point in points for speed in _thinned(design.retrieve.paces(), each)]
    followed = [(point, 0.0, name) for point in points for name in design.retrieve.programme]
    return [*steady, *followed[:MOST_FOLLOWED]]


def _thinned(values: Sequence[float], most: int) -> list[float]:
    """At most so many of the values, evenly spread, both ends among them."""
    if len(values) <= most:
        return list(values)
    picked = np.linspace(0, len(values) - 1, most).round().astype(int)
    return [values[k] for k in picked]
