"""What is looked at in each build of a study: parts of a trial, and pulls from so many points at so many speeds.

One call builds the lure once and answers with one flat row of plain values, named by `key`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NamedTuple

from sim.design.model import Design
from sim.motion.solve import RTOL

if TYPE_CHECKING:
    from sim.lure.lure import Lure
    from sim.lure.static_lure import StaticLure
    from sim.motion.solve import Settings

STILL: dict[str, tuple[str, ...]] = {
    "budget": ("mass_g", "displaced_ml", "margin_g", "verdict"),
    "float": ("pitch_deg", "roll_deg", "immersed_fraction", "freeboard_mm"),
    "drop": ("sink_rate_m_s", "pitch_deg", "glide_deg", "swing_deg", "turns_per_m", "motion"),
    "cast": ("range_m", "flight_time_s", "tumbles", "splash_pitch_deg", "lands"),
}
"""Figures of each part that hangs on no line, as the results name them."""

AT_REST = ("budget", "float")
"""Parts in which nothing moves."""

PULLED = (
    "behaviour", "also", "depth_m", "pitch_deg", "roll_deg", "pitch_amplitude_deg", "roll_amplitude_deg",
    "yaw_amplitude_deg", "wobble_hz", "turns_per_m", "offset_m", "tension_n", "heave_mm", "margins",
)  # fmt: skip
"""Figures of a retrieve."""


class Pull(NamedTuple):
    """A retrieve: from where, how fast (m/s)."""

    tie_on: str
    speed: float


def key(figure: str, pull: Pull | None = None) -> str:
    """Name of a figure in a row: `budget.margin_g`, `retrieve.depth_m nose 0.9`."""
    return figure if pull is None else f"{figure} {pull.tie_on} {pull.speed:.6g}"


@dataclass(frozen=True)
class Looks:
    """A question for `engine.run_cases`: these parts, these pulls."""

    parts: tuple[str, ...] = tuple(STILL)
    pulls: tuple[Pull, ...] = ()
    rtol: float = RTOL

    def __call__(self, design: Design) -> dict[str, Any]:
        """The figures of one design; a pull that could not be followed has the behaviour "unknown ...".

        Raises:
            BuildError: the design cannot be built.
        """
        if not self.pulls and set(self.parts) <= set(AT_REST):
            return self._at_rest(design)
        from sim.lure import build
        from sim.motion.solve import Settings
        from sim.trials import retrieve

        lure = build(design, with_hulls="float" in self.parts)
        settings = Settings(self.rtol, 0.1 * self.rtol)
        row: dict[str, Any] = {}
        for part in self.parts:
            result = _PARTS[part](design, lure, settings)
            row |= {key(f"{part}.{name}"): plain(result[name]) for name in STILL[part]}
        for pull in self.pulls:
            run = retrieve.run(design, lure, pull.tie_on, pull.speed, settings=settings)
            result = retrieve.describe(run, lure, pull.tie_on, pull.speed, why=False).__dict__
            row |= {key(f"retrieve.{name}", pull): plain(result[name]) for name in PULLED}
        return row

    def _at_rest(self, design: Design) -> dict[str, Any]:
        """Weight and rest alone: nothing that only a moving lure needs is built."""
        from sim.lure.static_lure import static_lure

        lure = static_lure(design, with_hulls="float" in self.parts)
        row: dict[str, Any] = {}
        for part in self.parts:
            result = _AT_REST[part](design, lure)
            row |= {f"{part}.{name}": plain(result[name]) for name in STILL[part]}
        return row


def whole(design: Design) -> Looks:
    """Everything that a trial of `design` asks."""
    pulls = [Pull(name, speed) for name in design.tie_on for speed in design.retrieve.paces()]
    return Looks(pulls=tuple(pulls))


def together(looks: Iterable[Looks]) -> Looks:
    """All that any of them asks, once."""
    every = list(looks)
    return Looks(
        tuple(part for part in STILL if any(part in one.parts for one in every)),
        tuple(dict.fromkeys(pull for one in every for pull in one.pulls)),
    )


def plain(value: Any) -> Any:
    """Enums as their words, a list of them as one text."""
    if isinstance(value, list):
        return "; ".join(str(item) for item in value)
    return str(value) if isinstance(value, str) else value


def weighed(design: Design, lure: Lure | StaticLure) -> dict[str, Any]:
    """The few figures of the budget that need no part-by-part account, which takes three times as long."""
    from sim.hydrostatics.verdict import verdict
    from sim.trials.scene import medium

    density = medium(design).density
    return {
        "mass_g": 1e3 * lure.mass,
        "displaced_ml": 1e6 * lure.volume,
        "margin_g": 1e3 * (density * lure.volume - lure.mass),
        "verdict": verdict(lure.mass, lure.volume, density),
    }


def _resting(design: Design, lure: Lure | StaticLure) -> dict[str, Any]:
    from sim.trials.floating import attitude
    from sim.trials.scene import medium

    sits = attitude(lure, medium(design).density)
    return dict.fromkeys(STILL["float"]) if sits is None else sits.__dict__


def _budget(design: Design, lure: Lure, settings: Settings) -> dict[str, Any]:
    return weighed(design, lure)


def _float(design: Design, lure: Lure, settings: Settings) -> dict[str, Any]:
    return _resting(design, lure)


def _drop(design: Design, lure: Lure, settings: Settings) -> dict[str, Any]:
    from sim.trials import drop

    return drop.describe(drop.run(design, lure, settings=settings), lure).__dict__


def _cast(design: Design, lure: Lure, settings: Settings) -> dict[str, Any]:
    from sim.trials import cast

    return cast.describe(cast.run(design, lure, settings=settings), lure).__dict__


_AT_REST = {"budget": weighed, "float": _resting}
_PARTS = {"budget": _budget, "float": _float, "drop": _drop, "cast": _cast}
