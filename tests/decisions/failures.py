"""Planted failures: one thing is otherwise than the design says, and `explain` hears two or three things of it.

For each case a scenario in turn, and from the seed one thing that is otherwise: each input and coefficient as likely
as the next, as far off as its doubt says, and slips as often as `sim.studies.diagnosis.suspect` takes them to happen.
It is a failure if at least one thing that the water shows is off by `VISIBLE` deviations of its reading and of chance.
The maker tells `SAID` things of the outing (`tests.decisions.outing`), each of another look (afloat, let go, cast,
pulled), first what went wrong, with errors of reading.
"""

from __future__ import annotations

import hashlib
import math
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
from sim.studies.diagnosis.suspect import GRID, SLIPPED, Suspect
from sim.studies.diagnosis.suspects import suspects
from sim.studies.diagnosis.traces import Trace, aims, blur
from sim.studies.engine import Case, changed, run_cases
from sim.studies.grammar import criteria
from sim.studies.statements import Statement
from sim.trials.request import STILL, Pull, Request
from tests.decisions.outing import told

COUNT = 100
SEED = 4711
SCENARIOS = (
    "last_skittle", "gravel_bell", "noon_and_midnight", "tin_leaf", "cellar_door", "porch_light", "thimble_oar",
)  # fmt: skip
VISIBLE = 5.0  # deviations of a reading, or of a word (a whole step), with those of chance
SAID = (2, 3)  # statements of one failure
TABLES = 10_000  # draws before it is given up
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
    rng = random.Random(SEED * 1000 + k)
    truth = planted(name, rng)
    said = spoken(name, truth.row, rng)
    statements = [s for words in said for s in criteria(design, words)]
    search = Explain(text, design, statements, dict(_table(name)), deep=False)
    for _ in search.run():
        pass
    names = [reach.suspect.name for reach in search.reached]
    true = truth.suspect.name
    return {
        "case": k, "scenario": name, "cause": true, "kind": "slip" if _slipped(truth) else truth.suspect.kind,
        "x": round(truth.x, 3), "said": said, "misfit_as_designed": round(search.costs_as_it_is, 1),
        "rank": names.index(true) if true in names else None,
        "group": next((i for i, g in enumerate(search.groups) if true in [r.suspect.name for r in g]), None),
        "best": [[r.suspect.name, round(r.at.x, 2), round(r.evidence, 1)] for r in search.reached[:4]],
        "chance": [round(one, 3) for one in _chances(search)],
        "looks": search.looks,
    }  # fmt: skip


def _chances(search: Explain) -> list[float]:
    """What the ranking itself gives its first three, of 1."""
    most = max(reach.evidence for reach in search.reached)
    every = [math.exp(reach.evidence - most) for reach in search.reached]
    return [one / math.fsum(every) for one in every[:3]]


def spoken(name: str, row: Row, rng: random.Random) -> list[str]:
    """Two or three things that a maker tells, each of another look at the lure, what went wrong first."""
    design = _scenario(name)[1]
    pulls = _asked(name).pulls
    bare, read = told(design, row, pulls=pulls), told(design, row, rng, pulls)
    order = list(range(len(bare)))
    rng.shuffle(order)
    order.sort(key=lambda n: not _off(name, bare[n]))
    looks: dict[str, int] = {}
    for n in order:
        (statement, *_) = criteria(design, bare[n])
        looks.setdefault(statement.figure.split(".")[0], n)
    return [read[n] for n in list(looks.values())[: rng.choice(SAID)]]


def summary(rows: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """How often the true cause came first and among the first three, each cause counted on its own."""
    count = max(len(rows), 1)

    def share(holds: Any) -> float:
        return round(sum(bool(holds(row)) for row in rows) / count, 3)

    return {
        "cases": len(rows),
        "first": share(lambda r: r["rank"] == 0),
        "first_three": share(lambda r: r["rank"] is not None and r["rank"] < 3),
        "first_group": share(lambda r: r["group"] == 0),
        "by_statements": {
            str(n): [
                sum(len(r["said"]) == n and r["rank"] == 0 for r in rows),
                sum(len(r["said"]) == n for r in rows),
            ]
            for n in SAID
        },
        "foretold_first": round(sum(row["chance"][0] for row in rows) / count, 3),
        "foretold_first_three": round(sum(math.fsum(row["chance"]) for row in rows) / count, 3),
        "median_looks": float(np.median([row["looks"] for row in rows])) if rows else 0.0,
    }


def section(found: Mapping[str, Any]) -> str:
    """What the written results say, in Markdown."""
    sums, rows = found["summary"], found["rows"]
    per = []
    for name in SCENARIOS:
        own = summary([row for row in rows if row["scenario"] == name])
        if own["cases"]:
            per.append(
                f"| {name} | {own['cases']} | {_percent(own['first'])} | {_percent(own['first_three'])} | "
                f"{_percent(own['foretold_first'])} | {_percent(own['foretold_first_three'])} |"
            )
    table = "\n".join(per)
    lines = "\n".join(f"- {_missed(row)}" for row in rows if row["rank"] is None or row["rank"] > 2)
    said = " and ".join(
        f"{hits} of {count} with {n} statements" for n, (hits, count) in sums["by_statements"].items()
    )
    behind: dict[tuple[str, str], int] = {}
    for row in rows:
        if row["rank"]:
            pair = _kind(row["cause"]), _kind(row["best"][0][0])
            behind[pair] = behind.get(pair, 0) + 1
    often = sorted(behind.items(), key=lambda each: -each[1])[:6]
    mixed = "; ".join(f"{one} behind {other} ({n})" for (one, other), n in often)
    return f"""### Why did it do that? (`drytank explain`)

{sums["cases"]} planted failures over the {len(per)} demo lures. One input, coefficient or slip is otherwise than the
file says: each input and coefficient as likely as the next and as far off as its doubt says, slips as often as
`explain` takes them to happen. The water shows it: at least one thing is off by {VISIBLE:g} deviations of its reading.
The maker tells two or three things, each of another look (afloat, let go, cast, pulled at one of two speeds), first
what went wrong, with errors of reading. `explain` gets the file and these, and never the truth.

Each cause counted on its own, with no groups, the true one is first in {_percent(sums["first"])} (wanted: 70 %) and
among the first three in {_percent(sums["first_three"])} (wanted: 90 %):
{said} first. The ranking itself gives the cause that it
puts first a chance of {_percent(sums["foretold_first"])} on the average, and its first three
{_percent(sums["foretold_first_three"])}:
where that is all that the statements hold, no ranking of the same statements can do better. Many inputs only
change the spare lift, most of all of a lure that just hangs in the water, and what the water shows of it is one
number; the scale or a dunk tells them apart. The true cause is in the group that is named first in
{_percent(sums["first_group"])}.
What stands behind what, most often: {mixed}.

| lure | cases | first | first three | foretold, first | foretold, first three |
|---|---|---|---|---|---|
{table}

Not among the first three:

{lines}"""


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f} %"


def _kind(name: str) -> str:
    """A cause without the name of its part."""
    steps = name.split(".")
    if steps[0] in ("calibration", "slip"):
        return " ".join(steps[:2])
    return f"{steps[0]} {steps[-1].replace('_', ' ')}"


def _missed(row: Mapping[str, Any]) -> str:
    place = "not found" if row["rank"] is None else f"place {row['rank'] + 1}"
    return f"{row['scenario']}: {row['cause']} ({place}), behind {row['best'][0][0]}"


# ---- planting -----------------------------------------------------------------------------------------


def planted(name: str, rng: random.Random) -> Planted:
    """One thing that is otherwise, as often and as far as its doubt says, of those that make a failure."""
    design, every = _scenario(name)[1], _suspects(name)
    for _ in range(TABLES):
        suspect = every[rng.randrange(len(every))]
        x = _size(suspect, rng)
        if x is None or not _may_show(name, suspect, x):
            continue
        row = _asked(name)(changed(design, suspect.changes(x)))
        if _visible(name, row):
            return Planted(suspect, x, row)
    raise RuntimeError(f"{name}: nothing that may be otherwise shows")


def _size(suspect: Suspect, rng: random.Random) -> float | None:
    """How far a suspect is off, drawn from its doubt; None where a slip that is no input does not happen."""
    if suspect.uncertain is None:
        return float(rng.randint(1, len(suspect.steps))) if rng.random() < suspect.mass else None
    ways = [(way, slip) for way, slip in ((1.0, suspect.up), (-1.0, suspect.down)) if slip is not None]
    for way, slip in ways:
        if rng.random() < math.exp(-0.5 * slip.prior**2) / len(ways):
            return way * rng.uniform(slip.prior, SLIPPED)
    return rng.gauss(0.0, 1.0)


def _may_show(name: str, suspect: Suspect, x: float) -> bool:
    """Whether a look of the grid farther out shows a failure: else none is made for nothing."""
    beyond = [at for at in suspect.grid() if at * x > 0.0 and abs(at) >= abs(x) - 1e-9]
    return any(
        _visible(name, _table(name)[suspect.name, at]) for at in (beyond[:1] if x > 0.0 else beyond[-1:])
    )


def _slipped(truth: Planted) -> bool:
    return truth.suspect.uncertain is None or truth.suspect.beyond(truth.x) is not None


def _visible(name: str, row: Row) -> bool:
    """Whether anything that would be said of `row`, without errors of reading, is far from the prediction."""
    if "failure" in row:
        return False
    return any(_off(name, words) for words in told(_scenario(name)[1], row, pulls=_asked(name).pulls))


def _off(name: str, words: str) -> bool:
    """Whether what is said is far from the prediction."""
    start = _table(name)["", 0.0]
    for statement in criteria(_scenario(name)[1], words):
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
def _asked(name: str) -> Request:
    """What a maker looks at in an outing: everything but the pulls of other eyes and paces than two."""
    design = _scenario(name)[1]
    paces = design.retrieve.paces()
    first = next(iter(design.tie_on))
    return Request(STILL, tuple(Pull(first, pace) for pace in dict.fromkeys((paces[0], paces[-1]))))


@lru_cache
def _suspects(name: str) -> list[Suspect]:
    return suspects(_scenario(name)[1])


@lru_cache
def _table(name: str) -> dict[tuple[str, float], Row]:
    """Looks at the whole grid of every suspect, kept beside other temporary files for the next case."""
    text, _ = _scenario(name)
    places = [("", 0.0, {})] + [(s.name, x, s.changes(x)) for s in _suspects(name) for x in s.grid()]
    kept = _kept(name, text, (places, _asked(name)))
    if kept.exists():
        return dict(pickle.loads(kept.read_bytes()))
    ask, table = _asked(name), {}
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
