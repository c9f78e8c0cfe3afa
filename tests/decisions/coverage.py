"""Does the true lure lie where the many builds say, as often as they say?

Each maker (`makers`) asks for the spread of a trial; the truth is run by the same code. Counted is how often
it lies between the 5th and the 95th percentile, which is 90 times in 100 if the distributions, the draws and
the percentiles are right; and how often an answer comes that so many of the builds gave.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import numpy as np

from sim.design.priors import priors
from sim.studies.ensemble import Builds, touching
from sim.studies.monte_carlo.intervals import percentiles
from sim.trials.request import STILL, Pull, Request, key
from sim.trials.results import Behaviour, DropMotion, Verdict
from tests.decisions.makers import maker

COUNT, SEED, BUILDS = 200, 20_260, 40

CLASSES = {
    "budget and float": ("budget", "float"), "drop": ("drop",), "cast": ("cast",), "retrieve": ("retrieve",),
}  # fmt: skip
FIGURES = {
    "budget": ("mass_g", "displaced_ml", "margin_g"),
    "float": ("pitch_deg", "roll_deg", "immersed_fraction", "freeboard_mm"),
    "drop": ("sink_rate_m_s", "pitch_deg"),
    "cast": ("range_m", "flight_time_s", "splash_pitch_deg"),
    "retrieve": (
        "depth_m", "pitch_deg", "roll_deg", "roll_amplitude_deg", "yaw_amplitude_deg", "wobble_hz", "tension_n",
    ),
}  # fmt: skip
WORDS = {
    "floats": ("budget.verdict", (str(Verdict.FLOATS),)),
    "let go": ("drop.motion", tuple(str(word) for word in DropMotion)),
    "landing": ("cast.lands", ("nose first", "side on", "tail first")),
    "pulled": (
        "retrieve.behaviour",
        tuple(str(word) for word in Behaviour if word not in (Behaviour.UNKNOWN, Behaviour.HANGS)),
    ),
}  # fmt: skip
BINS = (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0)


def case(k: int, builds: int = BUILDS, parts: Sequence[str] = STILL, pulls: int = 1) -> dict[str, Any]:
    """One maker: intervals of every figure with the truth, and shares of every answer with the true one."""
    made = maker(SEED, k)
    draw = np.random.default_rng([SEED, k, 1])
    points, speeds = list(made.design.tie_on), made.design.retrieve.paces()
    wanted = [Pull(str(draw.choice(points)), float(draw.choice(speeds))) for _ in range(pulls)]
    request = Request(tuple(parts), tuple(wanted))
    inputs = touching(priors(made.design), request)
    work = Builds(made.text, made.design, inputs, request, seed=k + 1)
    for _ in work.run(builds):
        pass
    found, truth = work.ensemble(), request(made.truth)
    row: dict[str, Any] = {"maker": k, "design": made.name, "not_built": len(found.failures)}
    row["figures"] = {}
    for part, pull in [*((part, None) for part in parts), *(("retrieve", pull) for pull in wanted)]:
        for name in FIGURES[part]:
            figure = key(f"{part}.{name}", pull)
            values = found.column(figure)
            told = values[np.isfinite(values)]
            if truth[figure] is not None and len(told) > 1:
                low, middle, high = percentiles(told)
                row["figures"][figure] = [_round(low), _round(middle), _round(high), _round(truth[figure])]
    row["answers"] = {}
    for name, (figure, words) in WORDS.items():
        part = figure.split(".")[0]
        for pull in wanted if part == "retrieve" else [None] if part in parts else []:
            answers = [str(build.get(key(figure, pull))) for build in found.rows]
            shares = {word: answers.count(word) / len(answers) for word in words if word in answers}
            row["answers"][f"{name} {pull.tie_on} {pull.speed:.6g}" if pull else name] = {
                "shares": {word: _round(share) for word, share in shares.items()},
                "true": str(truth[key(figure, pull)]),
            }
    return row


def _round(value: float) -> float:
    return float(f"{value:.5g}")


# ---- what the rows come to ----------------------------------------------------------------------------


def summary(rows: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Coverage by class of figure and by figure; Brier score, its parts and the reliability of the shares."""
    by_figure: dict[str, list[bool]] = defaultdict(list)
    by_class: dict[str, list[list[bool]]] = defaultdict(list)
    for row in rows:
        inside: dict[str, list[bool]] = defaultdict(list)
        for figure, (low, _, high, true) in row["figures"].items():
            name = figure.split(" ")[0]
            held = bool(low <= true <= high)
            by_figure[name].append(held)
            inside[_class(name)].append(held)
            inside["all"].append(held)
        for name, held_ones in inside.items():
            by_class[name].append(held_ones)
    events = {name: list(_events(rows, name)) for name in WORDS}
    every = [event for each in events.values() for event in each]
    return {
        "makers": len(rows),
        "builds": BUILDS,
        "not_built": sum(row["not_built"] for row in rows),
        "coverage": {name: _held(by_class[name]) for name in [*CLASSES, "all"] if name in by_class},
        "by_figure": {name: round(float(np.mean(held)), 4) for name, held in by_figure.items()},
        "brier": {name: murphy(each) for name, each in events.items() if each},
        "reliability": reliability(every),
    }


def _class(figure: str) -> str:
    return next(name for name, parts in CLASSES.items() if figure.split(".")[0] in parts)


def _held(makers: Sequence[Sequence[bool]]) -> dict[str, Any]:
    """Share of intervals that hold the truth, with its standard error between makers (their figures go together)."""
    held = np.array([np.sum(one) for one in makers], dtype=float)
    counts = np.array([len(one) for one in makers], dtype=float)
    share, n = held.sum() / counts.sum(), len(makers)
    missed = math.sqrt(float(((held - share * counts) ** 2).sum()) * n / max(n - 1, 1)) / counts.sum()
    return {
        "intervals": int(counts.sum()),
        "held": round(float(share), 4),
        "error": round(float(missed), 4),
    }


Event = tuple[float, bool]  # share of builds that gave the answer, whether the truth gave it


def _events(rows: Iterable[Mapping[str, Any]], name: str) -> Iterable[Event]:
    """Every answer that there is to a question, given by any build or by none."""
    for row in rows:
        for question, found in row["answers"].items():
            if question.split(" ")[0] == name.split(" ")[0]:
                for word in WORDS[name][1]:
                    yield found["shares"].get(word, 0.0), found["true"] == word


def murphy(events: Sequence[Event]) -> dict[str, float]:
    """Brier score with its parts: reliability - resolution + uncertainty, and what the width of the bins leaves.

    Murphy, Journal of Applied Meteorology 12, 1973, 595-600. `skill` is that against always saying how often it
    happens on the whole.
    """
    shares = np.array([share for share, _ in events])
    came = np.array([float(happened) for _, happened in events])
    often = came.mean()
    reliable = resolved = 0.0
    for at in _bins(shares):
        weight = len(at) / len(shares)
        reliable += weight * (shares[at].mean() - came[at].mean()) ** 2
        resolved += weight * (came[at].mean() - often) ** 2
    score, unsure = float(((shares - came) ** 2).mean()), float(often * (1.0 - often))
    parts = {
        "events": float(len(events)), "score": score, "reliability": float(reliable),
        "resolution": float(resolved), "uncertainty": unsure,
        "within_bins": score - (float(reliable) - float(resolved) + unsure),
        "skill": 1.0 - score / unsure if unsure > 0.0 else 0.0,
    }  # fmt: skip
    return {name: round(value, 5) for name, value in parts.items()}


def reliability(events: Sequence[Event]) -> list[dict[str, float]]:
    """By bins of the share forecast: mean share, how often it came, how many."""
    shares = np.array([share for share, _ in events])
    came = np.array([float(happened) for _, happened in events])
    return [
        {
            "forecast": round(float(shares[at].mean()), 4),
            "came": round(float(came[at].mean()), 4),
            "events": len(at),
        }
        for at in _bins(shares)
    ]


def _bins(shares: np.ndarray) -> list[np.ndarray]:
    """Places of the shares in each bin that holds any; none of the builds, and all of them, stand apart."""
    edges = [-1.0, *BINS]
    at = np.searchsorted(edges, shares, side="left")  # (low, high]
    at[shares >= 1.0] = len(edges) + 1
    return [np.flatnonzero(at == k) for k in np.unique(at)]


# ---- the page -----------------------------------------------------------------------------------------


def section(found: Mapping[str, Any]) -> str:
    """What this study came to, as Markdown for `docs/validation.md`."""
    told = found["summary"]
    whole = told["coverage"]["all"]
    head = (
        f"### Does the true lure lie where the many builds say?\n\n"
        f"{told['makers']} made-up makers over the demo designs. Each lure in hand differs from its drawing, each "
        f"reading from the lure, each force from its model, all within what drytank takes as usual. The tool sees "
        f"the readings only and tries {told['builds']} builds. Between its 5th and its 95th percentile the truth lay "
        f"**{_percent(whole['held'])}** of the time, give or take {_percent(whole['error'])}; promised are 90 %. "
        f"From so few builds, drawn as evenly as here, 91 or 92 % is what the percentiles come to by themselves; "
        f"from 256 builds it is 90.4 %."
    )
    rows = [
        f"| {name} | {one['intervals']} | {_percent(one['held'])} | {_percent(one['error'])} |"
        for name, one in told["coverage"].items()
    ]
    held = "\n".join(["| figures | intervals | hold the truth | give or take |", "|---" * 4 + "|", *rows])
    rows = [
        f"| {name} | {one['events']:.0f} | {one['score']:.4f} | {one['reliability']:.4f} | {one['resolution']:.4f} | "
        f"{one['uncertainty']:.4f} | {_percent(one['skill'])} |"
        for name, one in told["brier"].items()
    ]
    heads = "| answers | forecasts | Brier score | reliability | resolution | uncertainty | better than the rate |"
    scores = "\n".join([heads, "|---" * 7 + "|", *rows])
    rows = [
        f"| {_percent(one['forecast'])} | {_percent(one['came'])} | {one['events']} |"
        for one in told["reliability"]
    ]
    bins = "\n".join(["| builds that gave an answer | it came true | forecasts |", "|---" * 3 + "|", *rows])
    return "\n\n".join(
        [
            head,
            held,
            "How good the shares of builds are as forecasts, every answer that a question has counted as one: Brier "
            "score with its parts (Murphy 1973; small reliability is good, large resolution is good), and how much "
            "better that is than always saying how often the answer comes on the whole.",
            scores,
            bins,
        ]
    )


def _percent(share: float) -> str:
    return f"{100.0 * share:.1f} %"
