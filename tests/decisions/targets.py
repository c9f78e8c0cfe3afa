"""Planted targets: does `remedy` find a change that does what is wanted, and is every claim of it true?

By seed, a hidden change of one or two levers is made to a demo design; from what the changed lure does, something
wanted is taken that the design as it is does not do. `remedy` is told the design and the words. Each of its
proposals is then loaded from its text and run afresh, judged by the trials' own results, not by the code that
made the claim, and for a range of speeds at speeds that it has not seen.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from statistics import median
from typing import Any

import numpy as np

from sim.design.load import read
from sim.lure import build
from sim.show.changes import does
from sim.show.units import METRIC
from sim.studies.engine import CaseError
from sim.studies.redesign.levers import levers
from sim.studies.redesign.propose import remedy
from sim.studies.redesign.step import Change, Lever
from sim.studies.redesign.trial_designs import Attempt, Objectives, Tried
from sim.trials import cast, drop, retrieve
from sim.trials.floating import rest
from sim.trials.request import Pull, Request, key
from sim.trials.results import Behaviour
from sim.trials.scene import medium

COUNT, SEED = 100, 52801
PROMISED = 0.95  # share of targets that are met

LURES = (
    "cellar_door", "gravel_bell", "last_skittle", "noon_and_midnight", "porch_light", "thimble_oar", "tin_leaf",
)  # fmt: skip
KINDS = ("margin", "pitch", "sink rate", "wakes", "depth", "cast", "keeps upright")
TRIES = 20  # hidden changes of one kind, before another kind is planted
INSIDE = 0.15  # misfits by which the planted lure does what is wanted
SPOILT = (Behaviour.SPIRALS, Behaviour.SPINS, Behaviour.TUMBLES, Behaviour.ROLLS_OVER)
FRESH = 5  # speeds between the ends of a range at which a claim is judged


@dataclass(frozen=True)
class Planted:
    """What is wanted, and the change that it was taken from."""

    kind: str
    objectives: tuple[str, ...]
    hidden: Attempt


@lru_cache(maxsize=8)
def _text(lure: str) -> str:
    return (Path(__file__).parents[2] / "scenarios" / f"{lure}.toml").read_text()


def _row(text: str, hidden: Attempt, request: Request) -> dict[str, Any] | None:
    try:
        return dict(Tried(text, hidden.changes, request)(read(text, "design")))
    except (CaseError, ValueError):
        return None


def planted(k: int) -> Planted:
    """The k-th target."""
    rng = np.random.default_rng([SEED, k])
    lure = LURES[k % len(LURES)]
    first = int(rng.integers(len(KINDS))) if k >= 49 else (k // 7) % 7  # every kind on every lure once
    for kind in (*KINDS[first:], *KINDS[:first]):
        found = _plant(lure, kind, rng)
        if found is not None:
            return found
    raise AssertionError(f"nothing can be planted in {lure}")


@lru_cache(maxsize=8)
def _levers(lure: str) -> list[Lever]:
    design = read(_text(lure), lure)
    return levers(design, list(design.tie_on), False)


def _hidden(lure: str, rng: np.random.Generator) -> Attempt:
    every = _levers(lure)
    many = 1 if rng.random() < 0.6 else 2
    while True:
        picked = [every[i] for i in rng.choice(len(every), many, replace=False)]
        steps = [lever.steps[int(rng.integers(len(lever.steps)))] for lever in picked]
        if len({lever.key for lever in picked}) == many and not _clash(steps):
            return Attempt(tuple(steps))


def _clash(steps: Sequence[Change]) -> bool:
    paths = [list(step.changes) for step in steps]
    return len(paths) == 2 and any(
        a == b or a.startswith(f"{b}.") or b.startswith(f"{a}.") for a in paths[0] for b in paths[1]
    )


def _plant(lure: str, kind: str, rng: np.random.Generator) -> Planted | None:
    design = read(_text(lure), lure)
    point = list(design.tie_on)[int(rng.integers(len(design.tie_on)))]
    low = round(float(rng.uniform(0.25, 0.8)), 2)
    high = round(low * float(rng.uniform(1.2, 1.8)), 2)
    ends = [Pull(point, low), Pull(point, high)]
    part = {"margin": "budget", "pitch": "float", "sink rate": "drop", "cast": "cast"}.get(kind)
    request = Request((part,)) if part else Request((), tuple(ends if kind != "depth" else ends[:1]))
    before = _row(_text(lure), Attempt(), request)
    assert before is not None
    for _ in range(TRIES):
        hidden = _hidden(lure, rng)
        after = _row(_text(lure), hidden, request)
        want = None if after is None else _WANTED[kind](before, after, ends)
        if want is None:
            continue
        objectives = [want]
        if rng.random() < 0.25:
            objectives += _second(lure, kind, hidden)
        if _good(lure, objectives, hidden):
            return Planted(kind, tuple(objectives), hidden)
    return None


def _good(lure: str, objectives: Sequence[str], hidden: Attempt) -> bool:
    """Whether the changed lure does it with room, and the design as it is does not."""
    text = _text(lure)
    told = Objectives.read(read(text, lure), objectives)
    fine = told.request(fine=True)
    after = _row(text, hidden, fine)
    if after is None or min(told.rooms(after, fine=True)) < INSIDE:
        return False
    before = _row(text, Attempt(), fine)
    return before is not None and not told.met(before)


def _second(lure: str, kind: str, hidden: Attempt) -> list[str]:
    """Something else that the changed lure does, to be kept."""
    row = _row(_text(lure), hidden, Request(("budget", "cast")))
    if row is None:
        return []
    margin = row["budget.margin_g"]
    if kind != "margin":
        return [f"floats with at least {0.8 * margin:.1f} g to spare"] if margin > 1.0 else (
            [f"sinks with at least {-0.8 * margin:.1f} g"] if margin < -1.0 else []
        )  # fmt: skip
    return [f"flies at least {row['cast.range_m'] - 1.0:.1f} m"]


def _range(
    before: float | None, after: float | None, least: float, half: float, share: float
) -> tuple[float, float] | None:
    if before is None or after is None or abs(after - before) < least:
        return None
    half = max(half, share * abs(after - before))
    return after - half, after + half


def _margin(before: dict[str, Any], after: dict[str, Any], _: Sequence[Pull]) -> str | None:
    ends = _range(before["budget.margin_g"], after["budget.margin_g"], 0.6, 0.2, 0.15)
    if ends is None or ends[0] * ends[1] <= 0.0:
        return None
    if ends[0] > 0:
        return f"floats with {ends[0]:.2f}..{ends[1]:.2f} g to spare"
    return f"sinks with {-ends[1]:.2f}..{-ends[0]:.2f} g"


def _pitch(before: dict[str, Any], after: dict[str, Any], _: Sequence[Pull]) -> str | None:
    ends = _range(before["float.pitch_deg"], after["float.pitch_deg"], 6.0, 2.0, 0.15)
    if ends is None or ends[0] * ends[1] <= 0.0:
        return None
    if ends[0] > 0:
        return f"sits nose up {ends[0]:.1f}..{ends[1]:.1f} deg"
    return f"sits nose down {-ends[1]:.1f}..{-ends[0]:.1f} deg"


def _sinks(before: dict[str, Any], after: dict[str, Any], _: Sequence[Pull]) -> str | None:
    ends = _range(before["drop.sink_rate_m_s"], after["drop.sink_rate_m_s"], 0.03, 0.012, 0.15)
    if ends is None or ends[0] * ends[1] <= 0.0:
        return None
    if ends[0] > 0:
        return f"sinks {ends[0]:.3f}..{ends[1]:.3f} m/s"
    return f"rises {-ends[1]:.3f}..{-ends[0]:.3f} m/s"


def _depth(before: dict[str, Any], after: dict[str, Any], pulls: Sequence[Pull]) -> str | None:
    told = key("retrieve.depth_m", pulls[0])
    ends = _range(before[told], after[told], 0.12, 0.06, 0.15)
    if ends is None or ends[0] < 0.0:
        return None
    return f"runs {ends[0]:.2f}..{ends[1]:.2f} m deep at {pulls[0].speed:g} m/s from {pulls[0].tie_on}"


def _cast(before: dict[str, Any], after: dict[str, Any], _: Sequence[Pull]) -> str | None:
    gain = after["cast.range_m"] - before["cast.range_m"]
    return f"flies at least {after['cast.range_m'] - 0.2 * gain:.1f} m" if gain > 1.0 else None


def _wakes(before: dict[str, Any], after: dict[str, Any], pulls: Sequence[Pull]) -> str | None:
    """Only what changes at one end at least is looked at more closely."""
    does = [_seen(after, pull, Behaviour.WAKES) and not _spoilt(after, pull) for pull in pulls]
    did = [_seen(before, pull, Behaviour.WAKES) and not _spoilt(before, pull) for pull in pulls]
    return f"wakes {_window(pulls)}" if all(does) and not all(did) else None


def _upright(before: dict[str, Any], after: dict[str, Any], pulls: Sequence[Pull]) -> str | None:
    for word, say in ((Behaviour.ROLLS_OVER, "roll over"), (Behaviour.SPINS, "spin")):
        did = any(_seen(before, pull, word) for pull in pulls)
        if did and not any(_seen(after, pull, word) for pull in pulls):
            return f"does not {say} {_window(pulls)}"
    return None


def _window(pulls: Sequence[Pull]) -> str:
    return f"at {pulls[0].speed:g}..{pulls[1].speed:g} m/s from {pulls[0].tie_on}"


def _seen(row: dict[str, Any], pull: Pull, word: Behaviour) -> bool:
    does = [row[key("retrieve.behaviour", pull)], *str(row[key("retrieve.also", pull)] or "").split("; ")]
    return str(word) in does


def _spoilt(row: dict[str, Any], pull: Pull) -> bool:
    return any(_seen(row, pull, word) for word in SPOILT)


_WANTED = {
    "margin": _margin, "pitch": _pitch, "sink rate": _sinks, "wakes": _wakes, "depth": _depth, "cast": _cast,
    "keeps upright": _upright,
}  # fmt: skip


# ---- judging ------------------------------------------------------------------------------------------


def shown(text: str, objectives: Sequence[str], rng: np.random.Generator) -> bool:
    """Whether a design file's text, loaded and run afresh, does all that is wanted."""
    return all(_judged(text, want, rng) for want in objectives)


def _judged(text: str, want: str, rng: np.random.Generator) -> bool:
    design = read(text, "changed")
    lure = build(design)
    words = want.replace("..", " ").replace("at least", "at_least").split()
    verb = words[0]
    if verb in ("wakes", "does"):
        return _judged_over_speeds(want, words, rng, design, lure)
    if verb == "runs":
        speed, point = float(words[words.index("at") + 1]), words[-1]
        run = retrieve.describe(retrieve.run(design, lure, point, speed), lure, point, speed, why=False)
        return run.depth_m is not None and float(words[1]) <= run.depth_m <= float(words[2])
    if verb == "flies":
        return bool(cast.describe(cast.run(design, lure), lure).range_m >= float(words[2]))
    numbers = [float(word) for word in words if word.replace(".", "").replace("-", "").isdigit()]
    if "with" in words:
        spare = 1e3 * (medium(design).density * lure.volume - lure.mass)
        value = spare if verb == "floats" else -spare
    elif verb == "sits":
        at = rest(design, lure).pitch_deg
        if at is None:
            return False
        value = at if "up" in words else -at
    else:
        rate = drop.describe(drop.run(design, lure), lure).sink_rate_m_s
        if rate is None:
            return False
        value = -rate if verb == "rises" else rate
    return value >= numbers[0] if "at_least" in words else numbers[0] <= value <= numbers[1]


def _judged_over_speeds(
    want: str, words: Sequence[str], rng: np.random.Generator, design: Any, lure: Any
) -> bool:
    at = len(words) - 1 - list(reversed(words)).index("at")
    low, high, point = float(words[at + 1]), float(words[at + 2]), words[-1]
    for speed in (low, high, *rng.uniform(low, high, FRESH)):
        run = retrieve.describe(
            retrieve.run(design, lure, point, float(speed)), lure, point, float(speed), why=False
        )
        does = {run.behaviour, *run.also}
        if want.startswith("wakes") and (Behaviour.WAKES not in does or does & set(SPOILT)):
            return False
        if "roll over" in want and Behaviour.ROLLS_OVER in does:
            return False
        if "spin" in want and Behaviour.SPINS in does:
            return False
    return True


def case(k: int) -> dict[str, Any]:
    """Plant one target, ask for a remedy, judge what it claims."""
    lure, target = LURES[k % len(LURES)], planted(k)
    text = _text(lure)
    design = read(text, lure)
    begin = time.perf_counter()
    answer = remedy(text, design, Objectives.read(design, target.objectives), rest=False)
    seconds = time.perf_counter() - begin
    rng = np.random.default_rng([SEED, k, 1])
    claims = [shown(one.text, target.objectives, rng) for one in answer.proposals]
    miss = answer.nearest_miss
    return {
        "case": k, "lure": lure, "kind": target.kind, "wants": list(target.objectives),
        "hidden": [does(step.does, METRIC) for step in target.hidden.steps],
        "hidden_cost": round(target.hidden.cost, 2),
        "met": bool(claims) and claims[0], "claims": len(claims), "false_claims": claims.count(False),
        "proposals": [[does(step, METRIC) for step in one.changes] for one in answer.proposals],
        "costs": [round(one.cost, 2) for one in answer.proposals],
        "nearest": [] if miss is None else [does(step, METRIC) for step in miss.changes],
        "looks": answer.looks, "seconds": round(seconds, 1),
    }  # fmt: skip


def summary(rows: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """What the rows come to."""
    kinds = Counter(row["kind"] for row in rows)
    met = [row for row in rows if row["met"]]
    return {
        "targets": len(rows),
        "met": len(met),
        "met_share": round(len(met) / len(rows), 4),
        "claims": sum(row["claims"] for row in rows),
        "false_claims": sum(row["false_claims"] for row in rows),
        "no_larger_than_hidden": sum(min(row["costs"]) <= row["hidden_cost"] + 1e-9 for row in met),
        "by_kind": {
            kind: [sum(row["met"] for row in rows if row["kind"] == kind), kinds[kind]] for kind in KINDS
        },
        "two_changes": sum(len(row["proposals"][0]) > 1 for row in met),
        "median_looks": median(row["looks"] for row in rows),
        "most_looks": max(row["looks"] for row in rows),
    }


def _planned(done: int) -> str:
    return f"{done} targets" if done == COUNT else f"{done} of {COUNT} planned targets"


def section(found: dict[str, Any]) -> str:
    """What `docs/validation.md` says of it."""
    told, rows = found["summary"], found["rows"]
    kinds = "\n".join(f"| {kind} | {n} | {met} |" for kind, (met, n) in told["by_kind"].items())
    missed = [row for row in rows if not row["met"]]
    lines = [
        "### Remedies: planted targets",
        "",
        f"{_planned(told['targets'])} over the seven demo designs: a hidden change of one or two levers, and a want "
        "taken from what the changed lure does, which the design as it is does not. `drytank remedy` is told the "
        "design and the words only. Every proposal is loaded from its text and run afresh, a range of speeds also "
        "at speeds that the search has not seen.",
        "",
        f"- Met: {told['met']} of {told['targets']} ({100 * told['met_share']:.0f} %; at least "
        f"{100 * PROMISED:.0f} % is promised).",
        f"- Claims: {told['claims']}; claims that the fresh run does not show: {told['false_claims']}.",
        f"- The smallest proposal is no larger than the hidden change in {told['no_larger_than_hidden']} of "
        f"{told['met']}; of {told['two_changes']} the first takes two changes.",
        f"- Changed lures looked at: {told['median_looks']:.0f} in the median, {told['most_looks']} at most.",
        "",
        "| wanted | targets | met |",
        "|---|---|---|",
        kinds,
    ]
    if missed:
        lines += ["", "Not met:", ""]
        lines += [f"- {row['lure']}: {' and '.join(row['wants'])}." for row in missed]
    return "\n".join(lines) + "\n"
