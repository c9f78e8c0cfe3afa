"""Everything that a report says about one design, computed once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass

from sim import __version__
from sim.compiling import cores
from sim.design.model import Design
from sim.lure import build
from sim.lure.lure import Lure
from sim.studies.engine import asked_beside
from sim.studies.monte_carlo.few_builds import of_few
from sim.studies.monte_carlo.tolerance import QuestionShares, ToleranceResult, at_rest
from sim.studies.near_threshold import pulls_near_an_edge
from sim.studies.windows import TieOnWindows, WindowsResult, windows
from sim.trials import cast, drop, retrieve
from sim.trials.budget import budget
from sim.trials.cautions import cautions
from sim.trials.floating import rest
from sim.trials.recording import Recording, recordings
from sim.trials.records import OutOfRange
from sim.trials.results import RetrieveResult, TrialResult
from sim.units import Quantity, show

SLOWER, FASTER = 0.5, 1.5  # ends of the speed windows, over the slowest and fastest speed of the design
SHARE, MOST_RUNS = 0.08, 8  # how finely edges are looked for here; retrieves for a tie-on point, at most


@dataclass(frozen=True)
class Dossier:
    """One design with its answers."""

    design: Design
    source: str  # the text of the design file
    lure: Lure
    result: TrialResult
    programmes: tuple[RetrieveResult, ...]  # of the retrieve, if the file has any
    recordings: tuple[Recording, ...]
    ranges: tuple[
        tuple[Recording, OutOfRange], ...
    ]  # where a run used a law outside the range it was measured for
    windows: WindowsResult | None  # not computed for the second of two that stand side by side
    spread: (
        ToleranceResult | None
    )  # of its weights and its rest; None where no build but this one can be made
    few: tuple[QuestionShares, ...] = ()  # of a few builds, where one pull decides nothing


def gather(
    design: Design,
    source: str,
    like: Dossier | None = None,
    builds: Callable[[], ToleranceResult | None] | None = None,
    beside: Executor | None = None,
) -> Dossier:
    """Ask all the questions.

    Args:
        like: another design, to be replayed side by side with this one: both are then pulled in the same way.
        builds: gives `at_rest` of the design, if another process is at it already.
        beside: another process, for builds that are pulled.

    Raises:
        BuildError: the design cannot be built.
    """
    lure = build(design)
    followed = [retrieve.through(design, lure, *way) for way in ways_of(design, lure)]
    if like is None:
        runs = recordings(design, lure)
    else:
        alike = design.model_copy(update={"retrieve": like.design.retrieve})
        runs = recordings(alike, lure, like.recordings)
    answers = _answers(design, lure, runs if like is None else [])
    near = list(pulls_near_an_edge(answers.retrieve)) if like is None else []
    few = asked_beside(beside if near else None, of_few, design, near)
    speeds = speed_windows(design, lure, known=answers.retrieve) if like is None else None
    spread = builds() if builds else at_rest(design)
    ranges = [(one, law) for one in runs if (law := one.outside_of_laws())]
    return Dossier(
        design,
        source,
        lure,
        answers,
        tuple(followed),
        tuple(runs),
        tuple(ranges),
        speeds,
        spread,
        tuple(few()),
    )


def _answers(design: Design, lure: Lure, runs: Sequence[Recording]) -> TrialResult:
    """What `sim.trials.trial` answers, from runs that have been made already where there are such."""
    pulls = {(m.tie_on, m.speed): m.run for m in runs if m.kind == "pull" and not m.programme}
    others = {m.kind: m.run for m in runs if m.kind != "pull"}
    pulled = []
    for tie_on in lure.tie_ons:
        for speed in design.retrieve.paces():
            run = pulls.get((tie_on, speed)) or retrieve.run(design, lure, tie_on, speed)
            pulled.append(retrieve.describe(run, lure, tie_on, speed))
    return TrialResult(
        design=design.name,
        version=__version__,
        budget=budget(design),
        floating=rest(design, lure),
        drop=drop.describe(others.get("drop") or drop.run(design, lure), lure),
        cast=cast.describe(others.get("cast") or cast.run(design, lure), lure),
        retrieve=pulled,
        cautions=cautions(design),
    )


def speed_windows(
    design: Design,
    lure: Lure,
    tie_ons: Sequence[str] = (),
    share: float = SHARE,
    most_runs: int = MOST_RUNS,
    known: Sequence[RetrieveResult] = (),
) -> WindowsResult:
    """Where its headline changes, speeding up, from below the slowest speed of the design to above its fastest.

    known: steady retrieves that have been made already.
    """
    speeds = design.retrieve.paces()
    low, high = SLOWER * min(speeds), FASTER * max(speeds)

    def of(point: str) -> TieOnWindows:
        there = [run for run in known if run.tie_on == point]
        return windows(
            design, lure, point, low, high, share, most_runs=most_runs, both_ways=False, known=there
        )

    with ThreadPoolExecutor(cores()) as threads:
        found = list(threads.map(of, tie_ons or lure.tie_ons))
    return WindowsResult(low_m_s=low, high_m_s=high, share=share, tie_ons=found)


def ways_of(design: Design, lure: Lure) -> list[tuple[str, str]]:
    """Every tie-on point with every programme."""
    return [(point, name) for point in lure.tie_ons for name in design.retrieve.programme]


def assumptions(design: Design, system: str = "metric") -> list[str]:
    """What the file leaves open and is taken as usual, as `key: value`; `system` is metric or us."""
    taken = []
    for key in ("water", "line", "cast", "retrieve"):
        table = getattr(design, key)
        for name in type(table).model_fields:
            value = getattr(table, name)
            if name not in table.model_fields_set and value not in (None, [], {}):
                taken.append(f"{key}.{name}: {_written(value, system)}")
    return taken


def _written(value: object, system: str) -> str:
    if isinstance(value, Sequence) and not isinstance(value, str):
        return ", ".join(_written(item, system) for item in value)
    if isinstance(value, Quantity) and system == "us":
        return show(value.value, value.dimension, system)
    return str(value).lower() if isinstance(value, bool) else str(getattr(value, "text", value))
