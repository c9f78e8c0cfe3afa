"""Planted failures: one thing is otherwise than the design says, and `explain` hears only what the water showed.

For each case a scenario in turn, and from the seed one cause of all that could make a failure: an input or a
coefficient two to four deviations off, or a slip. The failure is what the water shows otherwise than
predicted: at least one thing off by `VISIBLE` deviations of its reading and of chance. The maker then tells
everything of the outing (`tests.decisions.outing`), with errors of reading. Nothing else is left out.
"""

from __future__ import annotations

import hashlib
import pickle
import random
import tempfile
from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from sim.compiled import cache_folder
from sim.design.load import load
from sim.design.model import Design
from sim.studies.diagnosis.diagnose import Explain
from sim.studies.diagnosis.suspect import FURTHEST, GRID, SLIPPED, Suspect
from sim.studies.diagnosis.suspects import suspects
from sim.studies.diagnosis.traces import Trace, aims, blur
from sim.studies.engine import Case, changed, run_cases
from sim.studies.grammar import criteria
from sim.studies.statements import Statement
from sim.trials.request import whole
from tests.decisions.outing import told, weighed

COUNT = 100
SEED = 4711
SCENARIOS = (
    "last_skittle", "gravel_bell", "noon_and_midnight", "tin_leaf", "cellar_door", "porch_light", "thimble_oar",
)  # fmt: skip
VISIBLE = 5.0  # deviations of a reading, or of a word (a whole step), with those of chance
DRAWS = 12  # sizes drawn of one cause before another is taken
WHERE = Path(__file__).parents[2] / "scenarios"

Row = Mapping[str, Any]


class Planted(NamedTuple):
    """What is otherwise, and how the lure then fares."""

    suspect: Suspect
    x: float
    row: Row


def case(k: int) -> dict[str, Any]:
    """Plant the k-th failure, ask, and say where the true cause came."""
    name = SCENARIOS[k % len(SCENARIOS)]
    text, design = _scenario(name)
    table = _table(name)
    rng = random.Random(SEED * 1000 + k)
    truth = planted(name, rng)
    statements = [s for words in told(design, truth.row, rng) for s in criteria(design, words)]
    known = dict(table)
    search = _searched(text, design, statements, known)
    scale = criteria(design, weighed(truth.row, rng))
    again = _searched(text, design, [*statements, *scale], known)
    return {
        "case": k, "scenario": name, **_found(search, truth, len(statements)),
        "weighed": {place: _found(again, truth, 0)[place] for place in ("group", "alone", "first_group")},
    }  # fmt: skip


def _searched(
    text: str, design: Design, statements: list[Statement], known: dict[tuple[str, float], Row]
) -> Explain:
    search = Explain(text, design, statements, known, deep=False)
    for _ in search.run():
        pass
    return search


def _found(search: Explain, truth: Planted, statements: int) -> dict[str, Any]:
    groups = [[reach.suspect.name for reach in group] for group in search.groups]
    every = sorted((reach for group in search.groups for reach in group), key=lambda reach: reach.at.cost)
    names = [reach.suspect.name for reach in every]
    true = truth.suspect.name
    return {
        "cause": true, "kind": truth.suspect.kind if abs(truth.x) <= FURTHEST else "slip",
        "x": round(truth.x, 3), "statements": statements, "misfit_as_designed": round(search.costs_as_it_is, 1),
        "group": next((i for i, group in enumerate(groups) if true in group), None),
        "alone": names.index(true) if true in names else None,
        "first_group": groups[0] if groups else [],
        "best": [[reach.suspect.name, round(reach.at.x, 2), round(reach.at.cost, 1)] for reach in every[:4]],
        "found_x": next((round(r.at.x, 2) for r in every if r.suspect.name == true), None),
        "looks": search.looks,
    }  # fmt: skip


def summary(rows: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """How often the true cause came first and among the first three, with and without groups."""
    count = len(rows)

    def share(holds: Any) -> float:
        return round(sum(bool(holds(row)) for row in rows) / count, 3)

    sizes = [len(row["first_group"]) for row in rows]
    return {
        "cases": count,
        "first": share(lambda r: r["group"] == 0),
        "first_three": share(lambda r: r["group"] is not None and r["group"] < 3),
        "first_strict": share(lambda r: r["alone"] == 0),
        "first_three_strict": share(lambda r: r["alone"] is not None and r["alone"] < 3),
        "group_was_used": share(lambda r: r["group"] == 0 and r["alone"] != 0),
        "first_group_median": float(np.median(sizes)),
        "first_group_of_one": share(lambda r: len(r["first_group"]) == 1),
        "first_group_largest": max(sizes),
        "weighed": {
            "first": share(lambda r: r["weighed"]["group"] == 0),
            "first_three": share(lambda r: r["weighed"]["group"] is not None and r["weighed"]["group"] < 3),
            "first_strict": share(lambda r: r["weighed"]["alone"] == 0),
            "first_three_strict": share(
                lambda r: r["weighed"]["alone"] is not None and r["weighed"]["alone"] < 3
            ),
        },
    }


def section(found: Mapping[str, Any]) -> str:
    """What the written results say, in Markdown."""
    sums, rows = found["summary"], found["rows"]
    per = []
    for name in SCENARIOS:
        mine = [row for row in rows if row["scenario"] == name]
        if mine:
            own = summary(mine)
            per.append(
                f"| {name} | {len(mine)} | {_percent(own['first'])} | {_percent(own['first_three'])} | "
                f"{_percent(own['first_strict'])} | {_percent(own['first_three_strict'])} |"
            )
    missed = [row for row in rows if row["group"] != 0]
    table = "\n".join(per)
    lines = "\n".join(f"- {_missed(row)}" for row in missed)
    return f"""### Why did it do that? (`drytank explain`)

{sums["cases"]} planted failures over the {len(per)} demo lures: one input, coefficient or slip is otherwise than the
file says, two to four deviations or as far as a slip goes, and the water shows it: at least one thing is off by
{VISIBLE:g} deviations of its reading. Each cause that can do so is drawn alike. `explain` gets the file and what a
maker would tell after the outing, with errors of reading, and never the truth.

The true cause is in the group that is named first in {_percent(sums["first"])} of the cases (promised: 80 %), and in
one of the first three groups in {_percent(sums["first_three"])} (promised: 95 %). A group holds causes that predict
the same for everything that was said, to within two deviations: the tool says that it cannot tell them apart. Without
groups, each cause counted on its own, the true one is first in {_percent(sums["first_strict"])} and among the first
three in {_percent(sums["first_three_strict"])}. Being in a group made the difference in
{_percent(sums["group_was_used"])} of the cases. The first group holds one cause alone in
{_percent(sums["first_group_of_one"])} of the cases, {sums["first_group_largest"]} at the most. If the whole lure is
then laid on a kitchen scale (to 0.1 g) and that is told too, the true cause is in the first group in
{_percent(sums["weighed"]["first"])}, in the first three in {_percent(sums["weighed"]["first_three"])}, and, without
groups, first in {_percent(sums["weighed"]["first_strict"])} and among the first three in
{_percent(sums["weighed"]["first_three_strict"])}. Without groups the promise is not kept: what the water shows leaves
more than one cause standing, and only a bench test of the cause itself tells them apart.

| lure | cases | first | first three | first, no groups | first three, no groups |
|---|---|---|---|---|---|
{table}

Sizes of inputs and coefficients lie between the places that `explain` looks at first; a slip that has no size (a hook
a size larger, the eyes mixed up) is looked at as it is. Where the true cause was not in the first group:

{lines}"""


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f} %"


def _missed(row: Mapping[str, Any]) -> str:
    place = "not found" if row["group"] is None else f"group {row['group'] + 1}"
    best = row["best"][0]
    return f"{row['scenario']}: {row['cause']} ({place}), behind {best[0]}"


# ---- planting -----------------------------------------------------------------------------------------


def planted(name: str, rng: random.Random) -> Planted:
    """One cause, each of those that can make a failure as likely as any other, and its size."""
    design, able = _scenario(name)[1], _able(name)
    while True:
        suspect, slipped = able[rng.randrange(len(able))]
        for _ in range(DRAWS):
            x = _size(suspect, slipped, rng)
            row = whole(design)(changed(design, suspect.changes(x)))
            if _visible(name, row):
                return Planted(suspect, x, row)


def _size(suspect: Suspect, slipped: bool, rng: random.Random) -> float:
    if suspect.uncertain is None:
        return float(rng.randint(1, len(suspect.steps)))
    if not slipped:
        return rng.choice((-1.0, 1.0)) * rng.uniform(2.0, FURTHEST)
    ways = [way for way, slip in ((1.0, suspect.up), (-1.0, suspect.down)) if slip is not None]
    return rng.choice(ways) * rng.uniform(FURTHEST, SLIPPED)


@lru_cache
def _able(name: str) -> list[tuple[Suspect, bool]]:
    """Causes, and whether it is the slip of one, of which a look of the grid shows something else."""
    table, out = _table(name), []
    for suspect in _suspects(name):
        seen = [x for x in suspect.grid() if _visible(name, table[suspect.name, x])]
        if any(abs(x) <= FURTHEST and suspect.between() for x in seen):
            out.append((suspect, False))
        if any(abs(x) > FURTHEST or not suspect.between() for x in seen):
            out.append((suspect, True))
    return out


def _visible(name: str, row: Row) -> bool:
    """Whether what would be said of `row`, without errors of reading, is far from the prediction."""
    if "failure" in row:
        return False
    design, start = _scenario(name)[1], _table(name)["", 0.0]
    for statement in (s for words in told(design, row) for s in criteria(design, words)):
        sharp, signals = aims([statement]), _signals([statement], start)
        if np.abs(sharp.misfits(signals)).max() >= VISIBLE:  # else chance, which only widens, is no matter
            blurred = sharp.blurred(_chance(name, [statement], signals))
            if np.abs(blurred.misfits(signals)).max() >= VISIBLE:
                return True
    return False


def _chance(name: str, statements: Sequence[Statement], start: Any) -> Any:
    """Deviation of each signal by chance, as `explain` has it."""
    table, traces = _table(name), []
    for suspect in _suspects(name):
        if suspect.between():
            rows = {x: table[suspect.name, x] for x in GRID}
            found = {x: _signals(statements, row) for x, row in rows.items() if "failure" not in row}
            traces.append(Trace(suspect, start, found))
    return blur(traces)


def _signals(statements: Sequence[Statement], row: Row) -> Any:
    return np.array([signal for statement in statements for signal in statement.signals(row)])


# ---- one table of looks for all cases of a scenario ---------------------------------------------------


@lru_cache
def _scenario(name: str) -> tuple[str, Design]:
    path = WHERE / f"{name}.toml"
    return path.read_text(encoding="utf-8"), load(path)


@lru_cache
def _suspects(name: str) -> list[Suspect]:
    return suspects(_scenario(name)[1])


@lru_cache
def _table(name: str) -> dict[tuple[str, float], Row]:
    """Looks at the whole grid of every suspect, kept beside other temporary files for the next case."""
    text, design = _scenario(name)
    places = [("", 0.0, {})] + [(s.name, x, s.changes(x)) for s in _suspects(name) for x in s.grid()]
    kept = _kept(name, text, places)
    if kept.exists():
        return dict(pickle.loads(kept.read_bytes()))
    ask, table = whole(design), {}
    cases = (Case(k, ask, changes) for k, (_, _, changes) in enumerate(places))
    for outcome in run_cases(text, cases, workers=1):
        at = places[outcome.case.number]
        table[at[0], at[1]] = {"failure": outcome.failure} if outcome.failure else dict(outcome.answer)
    kept.write_bytes(pickle.dumps(table))
    return table


def _kept(name: str, text: str, places: Any) -> Path:
    """Where a table is kept: it counts for this design, these suspects and this solver only."""
    mark = hashlib.sha256(f"{cache_folder().name}{text}{places}".encode()).hexdigest()[:16]
    return Path(tempfile.gettempdir()) / f"drytank_failures_{name}_{mark}.pickle"
