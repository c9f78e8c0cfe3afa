"""What the page asks of a design: weight and rest at once, a swim, a drop, a cast; words from the one page model."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any

from sim.design.doubts import warnings
from sim.design.model import Design
from sim.hydrostatics.verdict import Verdict
from sim.lure import build, outside
from sim.lure.lure import Lure
from sim.page.blocks import as_data
from sim.page.workspace import design_of
from sim.show import sentences
from sim.show.pages import trials as pages
from sim.show.units import SYSTEMS, Units
from sim.trials.budget import budget
from sim.trials.floating import settled
from sim.trials.results import BudgetResult, FloatResult
from sim.trials.scene import medium


@dataclass(frozen=True)
class Seen:
    """A text read and drawn, before what tells how it lies is compiled."""

    design: Design
    lure: Lure

    @property
    def sits(self) -> FloatResult | None:
        """How it comes to lie in its own water, where that can be told."""
        return None


class Built(Seen):
    """A text read and built once, for all that is asked of it."""

    @cached_property
    def sits(self) -> FloatResult:
        """How it comes to lie in its own water."""
        return settled(self.lure, medium(self.design).density, alone=True)


@lru_cache(maxsize=8)
def built(text: str, name: str, folder: Path) -> Built:
    """The design and lure of a text.

    Raises:
        DesignError, BuildError: it is no design, or cannot be built.
    """
    design = design_of(text, name, folder)
    return Built(design, build(design))


@lru_cache(maxsize=8)
def seen(text: str, name: str, folder: Path) -> Seen:
    """As `built`, at once on the first start."""
    design = design_of(text, name, folder)
    return Seen(design, outside(design))


def headline(here: Seen, units: Units) -> dict[str, Any]:
    """Verdict and attitude in sentences at once; how sure that is only where it is known already."""
    known = _known(here.design)
    found = _in_words(here, known or budget(here.design, sure=False), units)
    later = [] if known or found["floats"] == Verdict.UNKNOWN else [sentences.FOLLOWS]
    return found | {"headline": [*found["headline"], *later], "sure": known is not None}


def at_rest(here: Built, units: Units) -> dict[str, Any]:
    """Verdict, weights, balance and attitude, as whole documents, with how sure they are."""
    weighed = _weighed(here.design)
    sits = settled(here.lure, medium(here.design).density)
    return _in_words(here, weighed, units) | {
        "sure": True,
        "weights": as_data(pages.budget(here.design.name, weighed, units)),
        "lies": as_data(pages.floating(here.design.name, sits, units)),
    }


def _in_words(here: Seen, weighed: BudgetResult, units: Units) -> dict[str, Any]:
    said = [sentences.verdict(weighed, units), _beside(weighed, here.sits, units)]
    return {"floats": weighed.verdict, "headline": said}


def _beside(weighed: BudgetResult, sits: FloatResult | None, units: Units) -> str:
    """What stands beside the verdict: how it lies, where that is another thing."""
    if weighed.conflicts:
        return sentences.AS_IF
    if sits is None:
        return sentences.LIES_LATER
    return "" if sits.pitch_deg is None and sits.verdict is Verdict.SINKS else sentences.rest(sits, units)


_KEPT: dict[str, tuple[BudgetResult, int]] = {}
MOST_KEPT = 4


def _weighed(design: Design) -> BudgetResult:
    """The budget of a design, kept while nothing but its eyes is moved: they weigh nothing."""
    if (known := _known(design)) is not None:
        return known
    for old in list(_KEPT)[: len(_KEPT) - MOST_KEPT + 1]:
        _KEPT.pop(old, None)
    weighed = budget(design)
    _KEPT[_but_for_eyes(design)] = weighed, len(warnings(design))
    return weighed


def _known(design: Design) -> BudgetResult | None:
    if (kept := _KEPT.get(_but_for_eyes(design))) is None:
        return None
    weighed, own = kept
    return weighed.model_copy(update={"warnings": [*warnings(design), *weighed.warnings[own:]]})


def _but_for_eyes(design: Design) -> str:
    return repr(design.model_copy(update={"tie_on": {}}))


def swim(
    here: Built,
    kind: str,
    tie_on: str,
    speed: float,
    programme: str,
    units: Units,
    tell: Callable[[dict[str, Any]], None],
) -> None:
    """One run as poses for the page, and what it does in words.

    Args:
        kind: pull, drop or cast. speed: m/s. programme: name of one in the design, instead of a steady speed.
        tell: is handed the beginning of a long pull as soon as it is there, then the whole `replay`, then the `words`.

    Raises:
        KeyError: a tie-on point or programme that the design does not have.
    """
    from sim.motion.solve import Trajectory
    from sim.show.replay import alone
    from sim.trials import cast, drop, retrieve
    from sim.trials.recording import Recording

    design, lure = here.design, here.lure
    begun = False

    def show(run: Trajectory, goes_on: bool = False) -> None:
        motion = (
            Recording(kind, run, lure, tie_on, speed, programme)
            if kind == "pull"
            else Recording(kind, run, lure)
        )
        deepest = float(motion.track(run.t)[1].max())
        tell({"replay": alone(design, lure, motion), "goes_on": goes_on, "scales": scales(units, deepest)})

    def watch(run: Trajectory) -> None:
        nonlocal begun
        if not begun:
            begun = True
            show(run, goes_on=True)

    if kind == "pull":
        if tie_on not in lure.tie_ons:
            raise KeyError(tie_on)
        if programme:
            if programme not in design.retrieve.programme:
                raise KeyError(programme)
            followed = retrieve.follow(design, lure, tie_on, programme, watch=watch)
            show(followed.run)
            answer = retrieve.describe_followed(followed, lure, tie_on, programme)
        else:
            show(run := retrieve.run(design, lure, tie_on, speed, watch=watch))
            answer = retrieve.describe(run, lure, tie_on, speed)
        document = pages.retrieve(design.name, [answer], units, design.retrieve.duration.value)
    elif kind == "drop":
        show(run := drop.run(design, lure))
        document = pages.drop(design.name, drop.describe(run, lure), units)
    elif kind == "cast":
        show(run := cast.run(design, lure))
        document = pages.cast(design.name, cast.describe(run, lure), units)
    else:
        raise KeyError(kind)
    tell({"words": as_data(document)})


def scales(units: Units, deepest: float) -> dict[str, dict[str, Any]]:
    """How the page writes what it reads off the poses, by kind: unit, factor from the SI unit, decimals.

    deepest: m; a run that stays near the surface is told in the small unit.
    """
    kinds = {
        "distance": units.of_depths(deepest),
        "speed": units.scales["speed"],
        "force": units.scales["force"],
    }
    found = {
        name: {"unit": scale.unit, "factor": scale.factor, "digits": max(scale.places, 1)}
        for name, scale in kinds.items()
    }
    return found | {
        "angle": {"unit": "deg", "factor": math.degrees(1.0), "digits": 0},
        "turns": {"unit": "turns", "factor": 0.5 / math.pi, "digits": 1},
    }


def units_named(name: str) -> Units:
    """The reader's units: metric or us."""
    return SYSTEMS["us" if name == "us" else "metric"]


def compact(data: Any) -> bytes:
    """JSON without what JSON cannot hold: a number that is none becomes null."""
    try:
        return json.dumps(data, separators=(",", ":"), allow_nan=False).encode()
    except ValueError:
        return json.dumps(_finite(data), separators=(",", ":"), allow_nan=False).encode()


def _finite(data: Any) -> Any:
    if isinstance(data, float):
        return data if math.isfinite(data) else None
    if isinstance(data, dict):
        return {str(key): _finite(value) for key, value in data.items()}
    if isinstance(data, str | bytes):
        return data
    if isinstance(data, Sequence):
        return [_finite(value) for value in data]
    return data
