"""What a study asks of each design, as one flat row of figures named as in the JSON of the trials."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sim.design.model import Design
from sim.studies.looks import plain, weighed

FIGURES: dict[str, tuple[str, ...]] = {
    "budget": ("mass_g", "displaced_ml", "margin_g", "verdict"),
    "float": ("pitch_deg", "roll_deg", "immersed_fraction"),
    "drop": ("sink_rate_m_s", "pitch_deg", "glide_deg", "motion"),
    "cast": ("range_m", "flight_time_s", "tumbles", "lands"),
    "retrieve": (
        "behaviour", "also", "depth_m", "pitch_deg", "roll_deg", "pitch_amplitude_deg",
        "roll_amplitude_deg", "yaw_amplitude_deg", "wobble_hz", "turns_per_m", "offset_m",
        "tension_n", "tension_max_n", "ended",
    ),
}  # fmt: skip
"""Figures of each part that a row holds. `docs/reference/results.md` says what each is."""

CURVE = "curve"


def headings(parts: Sequence[str]) -> list[str]:
    """Names of the figures of some parts, in the order of a row: `budget.margin_g`, `retrieve.depth_m`."""
    return [f"{part}.{name}" for part in FIGURES if part in parts for name in FIGURES[part]]


@dataclass(frozen=True)
class Asks:
    """A question for `engine.run_cases`: which parts of a trial, and for a retrieve from where, how fast.

    The answer holds the figures of `headings(parts)`; `failure` says why a retrieve has none. `curve` adds
    the depth along the retrieve: pairs of (m to the rod tip, m deep).
    """

    parts: tuple[str, ...] = ("budget", "retrieve")
    tie_on: str = ""
    speed: float = 0.0  # m/s
    curve: bool = False

    def __call__(self, design: Design) -> dict[str, Any]:
        """The figures of one design."""
        from sim.lure import build

        lure = build(design)
        answer: dict[str, Any] = {}
        for part in self.parts:
            result = _ASK[part](self, design, lure)
            answer |= {f"{part}.{name}": plain(result[name]) for name in FIGURES[part]}
            if part == "retrieve" and result["behaviour"].name == "UNKNOWN":
                answer["failure"] = result["sentence"]
            if part == "retrieve" and self.curve:
                answer[CURVE] = result["depths_m"]
        return answer


def _budget(asks: Asks, design: Design, lure: Any) -> dict[str, Any]:
    return weighed(design, lure)


def _float(asks: Asks, design: Design, lure: Any) -> dict[str, Any]:
    from sim.trials.floating import rest

    return rest(design, lure).__dict__


def _drop(asks: Asks, design: Design, lure: Any) -> dict[str, Any]:
    from sim.trials.drop import drop

    return drop(design, lure).__dict__


def _cast(asks: Asks, design: Design, lure: Any) -> dict[str, Any]:
    from sim.trials.cast import cast

    return cast(design, lure).__dict__


def _retrieve(asks: Asks, design: Design, lure: Any) -> dict[str, Any]:
    from sim.trials.retrieve import retrieve

    return retrieve(design, lure, tie_ons=[asks.tie_on], speeds=[asks.speed])[0].__dict__


_ASK = {"budget": _budget, "float": _float, "drop": _drop, "cast": _cast, "retrieve": _retrieve}
