"""The front for programs and notebooks: `import sim`, then `sim.trial("lure.toml")`.

Each function takes the path of a design file, or what `load` gives. Results are data (`docs/reference/results.md`);
in a notebook they show themselves as a table, and `records` turns any number of them into rows for a data frame.
Everything is imported when it is first used. A design that cannot be read raises `sim.design.load.DesignError`, one
that cannot be built `sim.lure.BuildError`, words that say nothing `sim.studies.grammar.StatementError`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sim.design.model import Design
    from sim.studies.diagnosis.explanation import Explanation
    from sim.studies.monte_carlo.tolerance import ToleranceResult
    from sim.studies.redesign.proposals import RemedyResult
    from sim.studies.windows import TieOnWindows
    from sim.trials.records import Result
    from sim.trials.results import (
        BudgetResult,
        CastResult,
        DropResult,
        FloatResult,
        RetrieveResult,
        TrialResult,
    )

__all__ = [
    "ask", "budget", "cast", "drop", "explain", "load", "records", "remedy", "rest", "retrieve", "tolerance", "trial",
    "vary", "windows",
]  # fmt: skip


def load(path: str | Path) -> Design:
    """The design in a file."""
    from sim.design.load import load as read

    return read(Path(path))


# ---- trials -------------------------------------------------------------------------------------------


def trial(design: Design | str | Path) -> TrialResult:
    """Everything that one build is asked: budget, rest, drop, cast, and every pull."""
    from sim.show.worded import worded
    from sim.trials.trial import trial as every

    found: TrialResult = worded(every(_design(design)))
    return found


def ask(name: str, design: Design | str | Path, tie_on: str | None = None) -> Any:
    """One trial by its name in `sim.trials.registry`, as the command of that name answers it."""
    from sim.lure import build
    from sim.show.worded import worded
    from sim.trials.registry import TRIALS
    from sim.trials.request import Pull

    known = TRIALS[name]
    found = _design(design)
    lure = build(found) if known.moves else None
    return worded(known.answer(found, lure, Pull(tie_on) if tie_on else None))


def budget(design: Design | str | Path) -> BudgetResult:
    """Weights and volumes: does it float, and by how much."""
    found: BudgetResult = ask("budget", design)
    return found


def rest(design: Design | str | Path) -> FloatResult:
    """How it sits at rest in still water."""
    found: FloatResult = ask("float", design)
    return found


def drop(design: Design | str | Path) -> DropResult:
    """What it does when let go in still water."""
    found: DropResult = ask("drop", design)
    return found


def cast(design: Design | str | Path, tie_on: str | None = None) -> CastResult:
    """How far it flies and how it lands, tied at a point or at the first of the file."""
    found: CastResult = ask("cast", design, tie_on)
    return found


def retrieve(
    design: Design | str | Path,
    tie_on: str | None = None,
    speed: float | str | None = None,
    programme: str | None = None,
) -> list[RetrieveResult]:
    """What it does when pulled: from every tie-on point or one, at the file's speeds, at one, or through a programme.

    speed: m/s, or text with a unit, as in "2 ft/s".
    """
    from sim.lure import build
    from sim.show.worded import worded
    from sim.trials.registry import TRIALS
    from sim.trials.request import RETRIEVE, Pull
    from sim.units import parse

    found = _design(design)
    lure = build(found)
    pace = parse(speed, "speed").value if isinstance(speed, str) else speed
    paces = found.retrieve.paces() if pace is None else [pace]
    points = list(found.tie_on) if tie_on is None else [tie_on]
    ways = [(0.0, programme)] if programme else [(pace, "") for pace in paces]
    return [
        worded(TRIALS[RETRIEVE].answer(found, lure, Pull(point, *way))) for point in points for way in ways
    ]


# ---- studies ------------------------------------------------------------------------------------------


def vary(
    path: str | Path,
    changes: Mapping[str, Sequence[str]],
    parts: Sequence[str] = ("budget", "float"),
    tie_on: str | None = None,
    speeds: Sequence[float] = (),
    workers: int = 1,
) -> list[dict[str, Any]]:
    """Every combination of some values of the file, as rows: `{"lip.angle": ["30 deg", "45 deg"]}`.

    With "retrieve" among the parts it is pulled from `tie_on` (left out: the first) at `speeds` (m/s; left out: the
    file's).
    """
    from sim.studies.parameters import read
    from sim.studies.plan import Plan
    from sim.studies.vary import carried_out

    design, text = load(path), _text(path)
    parameters = tuple(read(design, f"{name}={','.join(values)}") for name, values in changes.items())
    points = (tie_on or next(iter(design.tie_on)),)
    paces = tuple(speeds) or tuple(design.retrieve.paces())
    plan = Plan("vary", text, parameters, tuple(parts), points, paces)
    rows = list(carried_out(plan, workers=workers))
    return sorted(rows, key=lambda row: int(row["case"]))


def tolerance(
    path: str | Path,
    builds: int = 64,
    parts: Sequence[str] = ("budget", "float"),
    seed: int = 1,
    workers: int = 1,
) -> ToleranceResult:
    """What so many builds do that are each a little different, as far as the file says how well things are known."""
    from sim.design.priors import priors
    from sim.show.worded import worded
    from sim.studies.ensemble import Builds, touching
    from sim.studies.monte_carlo.tolerance import tolerance as said_by
    from sim.trials.request import Request, whole

    design, text = load(path), _text(path)
    pulls = whole(design).pulls if "retrieve" in parts else ()
    request = Request(tuple(part for part in parts if part != "retrieve"), pulls)
    work = Builds(text, design, touching(priors(design), request), request, seed)
    for _ in work.run(builds, workers=workers):
        pass
    found: ToleranceResult = worded(said_by(work.ensemble()))
    return found


def windows(
    design: Design | str | Path, tie_on: str, slowest: float, fastest: float, share: float = 0.02
) -> TieOnWindows:
    """At which line speeds (m/s) it does what, the changes known to a share of the speed."""
    from sim.lure import build
    from sim.studies.windows import windows as found_by

    found = _design(design)
    return found_by(found, build(found), tie_on, slowest, fastest, share)


def explain(path: str | Path, *observed: str, workers: int = 1) -> Explanation:
    """What could be otherwise than the file says, from what was observed: `"sank"`, `"rolled over at 0.6 m/s"`."""
    from sim.show.worded import worded
    from sim.studies.diagnosis.diagnose import Explain
    from sim.studies.diagnosis.explanation import explanation
    from sim.studies.grammar import criteria

    design = load(path)
    search = Explain(_text(path), design, [one for text in observed for one in criteria(design, text)])
    for _ in search.run(workers=workers):
        pass
    found: Explanation = worded(explanation(search))
    return found


def remedy(path: str | Path, *wanted: str, workers: int = 1) -> RemedyResult:
    """What to change so that it does what is wanted: `"floats with 2 g to spare"`."""
    from sim.show.worded import worded
    from sim.studies.redesign.propose import remedy as proposed
    from sim.studies.redesign.trial_designs import Objectives

    design = load(path)
    found: RemedyResult = worded(
        proposed(_text(path), design, Objectives.read(design, wanted), workers=workers, name=Path(path).name)
    )
    return found


# ---- results ------------------------------------------------------------------------------------------


def records(results: Result | Iterable[Result]) -> list[dict[str, Any]]:
    """A row of plain values for each result, for a data frame or a CSV file."""
    from sim.trials.records import Result

    return [one.record() for one in ([results] if isinstance(results, Result) else results)]


def _design(design: Design | str | Path) -> Design:
    return load(design) if isinstance(design, str | Path) else design


def _text(path: str | Path) -> str:
    from sim.design.load import rooted

    return rooted(Path(path).read_text(encoding="utf-8-sig"), Path(path).parent)
