"""What is requested of a design: parts of a trial, and pulls from so many tie-on points at so many speeds.

Commands and studies ask with the same `Request`. Called with a design, it builds the lure once and answers with one
flat row of plain values, named by `key`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, NamedTuple

from sim.design.model import Design
from sim.metrics import ROWS, Use, named
from sim.trials.registry import TRIALS
from sim.trials.results import METRICS, Behaviour

STILL = ("budget", "float", "drop", "cast")
"""Trials that hang on no tie-on point."""

AT_REST = ("budget", "float")
"""Trials in which nothing moves."""

RETRIEVE = "retrieve"
FAILURE, CURVE = "retrieve.failure", "retrieve.curve"
"""Of a pull that has no answer, why; if it is requested, pairs of level distance to the rod tip and depth, m."""


class Pull(NamedTuple):
    """A retrieve: from where, and how fast (m/s) or through which programme."""

    tie_on: str
    speed: float = 0.0
    programme: str = ""


def key(name: str, pull: Pull | None = None) -> str:
    """Name of a metric in a row: `drop.glide_deg`, `retrieve.also nose 0.9`."""
    return name if pull is None else f"{name} {pull.tie_on} {pull.programme or f'{pull.speed:.6g}'}"


@dataclass(frozen=True)
class Request:
    """These trials, these pulls; for `sim.studies.engine.run_cases` a question.

    `rtol` is the solver's relative tolerance; None: the usual one. `curve` adds the depth along each pull.
    """

    parts: tuple[str, ...] = STILL
    pulls: tuple[Pull, ...] = ()
    rtol: float | None = None
    curve: bool = False

    def __call__(self, design: Design) -> dict[str, Any]:
        """The metrics of one design; a pull that could not be followed has the behaviour "unknown ...".

        Raises:
            BuildError: the design cannot be built.
        """
        trials = [TRIALS[part] for part in self.parts]
        hulls = "float" in self.parts
        if not self.pulls and not any(trial.moves for trial in trials):
            from sim.lure.static_lure import static_lure

            lure: Any = static_lure(design, with_hulls=hulls)
            settings = None
        else:
            from sim.lure.kept import built
            from sim.motion.solve import Settings

            lure = built(design, with_hulls=hulls)
            settings = None if self.rtol is None else Settings(self.rtol, 0.1 * self.rtol)
        row: dict[str, Any] = {}
        for trial in trials:
            row |= _cells(trial.name, trial.observe(design, lure, None, settings), None)
        for pull in self.pulls:
            found = TRIALS[RETRIEVE].observe(design, lure, pull, settings)
            row |= _cells(RETRIEVE, found, pull)
            if found["behaviour"] is Behaviour.UNKNOWN:
                row[key(FAILURE, pull)] = found["ended"].value
            if self.curve:
                row[key(CURVE, pull)] = found["depths_m"]
        return row

    def columns(self, use: Use) -> list[str]:
        """Names of the cells of a row that have a use, in order."""
        still = [f"{part}.{name}" for part in self.parts for name in named(METRICS, part, use)]
        pulled = named(METRICS, RETRIEVE, use)
        return [*still, *(key(f"{RETRIEVE}.{name}", pull) for pull in self.pulls for name in pulled)]


def _cells(trial: str, found: dict[str, Any], pull: Pull | None) -> dict[str, Any]:
    return {key(f"{trial}.{name}", pull): plain(found[name]) for name in named(METRICS, trial, ROWS)}


def whole(design: Design) -> Request:
    """Everything that a trial of `design` asks."""
    pulls = [Pull(name, speed) for name in design.tie_on for speed in design.retrieve.paces()]
    return Request(pulls=tuple(pulls))


def together(requests: Iterable[Request]) -> Request:
    """All that any of them asks, once."""
    every = list(requests)
    return Request(
        tuple(part for part in TRIALS if any(part in one.parts for one in every)),
        tuple(dict.fromkeys(pull for one in every for pull in one.pulls)),
    )


def plain(value: Any) -> Any:
    """Enums as their words, a list of them as one text."""
    if isinstance(value, list):
        return "; ".join(str(item) for item in value)
    return str(value) if isinstance(value, str) else value
