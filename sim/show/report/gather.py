"""Everything that a report says about one design, asked once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.build import build
from sim.build.lure import Lure
from sim.design.model import Design
from sim.motion.ranges import outside
from sim.show.replay import Motion, motions
from sim.trials import retrieve
from sim.trials.results import RetrieveResult, TrialResult
from sim.trials.trial import trial


@dataclass(frozen=True)
class Entry:
    """One design with its answers."""

    design: Design
    source: str  # the text of the design file
    lure: Lure
    result: TrialResult
    programmes: tuple[RetrieveResult, ...]  # of the retrieve, if the file has any
    motions: tuple[Motion, ...]


def gather(design: Design, source: str, like: Entry | None = None) -> Entry:
    """Ask all the questions.

    like: another design, to be replayed side by side with this one: both are then pulled in the same way.

    Raises:
        BuildError: the design cannot be built.
    """
    lure = build(design)
    followed = [retrieve.through(design, lure, *way) for way in ways_of(design, lure)]
    if like is None:
        runs = motions(design, lure)
    else:
        alike = design.model_copy(update={"retrieve": like.design.retrieve})
        runs = motions(alike, lure, like.motions)
    return Entry(design, source, lure, trial(design), tuple(followed), tuple(runs))


def ways_of(design: Design, lure: Lure) -> list[tuple[str, str]]:
    """Every tie-on point with every programme."""
    return [(point, name) for point in lure.tie_ons for name in design.retrieve.programme]


def assumptions(design: Design) -> list[str]:
    """What the file leaves open and is taken as usual, as `key: value`."""
    taken = []
    for key in ("water", "line", "cast", "retrieve"):
        table = getattr(design, key)
        for name in type(table).model_fields:
            value = getattr(table, name)
            if name not in table.model_fields_set and value not in (None, [], {}):
                taken.append(f"{key}.{name}: {_written(value)}")
    return taken


def _written(value: object) -> str:
    if isinstance(value, Sequence) and not isinstance(value, str):
        return ", ".join(_written(item) for item in value)
    return str(getattr(value, "text", value))


def left_ranges(entry: Entry) -> list[tuple[Motion, str]]:
    """Where a run used a law outside the range it was measured for: the worst of each motion, in words."""
    found = []
    for motion in entry.motions:
        end = float(motion.run.t[-1])
        laws = outside(motion.run, np.linspace(0.5 * end, end, 200))
        if laws:
            found.append((motion, laws[0].sentence()))
    return found
