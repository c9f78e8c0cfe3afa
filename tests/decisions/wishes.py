"""Wishes: is what `remedy` shows for something that a maker would like such that a bench can do it, and true?

Unlike the planted targets nobody knows whether a wish can be had. It is drawn from the seed, of a demo lure or of what
a made-up maker's file says (`tests.decisions.makers`), relative to what that lure does. Every proposal that is shown is
then loaded from its text and swum afresh: what it does where something is wanted of it, and a shade faster and slower;
how many of `BUILDS` builds, drawn independently of those of the proposal, do all that is wanted; which steps it takes;
and whether anything changed that was to be kept.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import comb
from statistics import median
from typing import Any

import numpy as np

from sim.design.edit import edited
from sim.design.load import read
from sim.design.model import Design
from sim.design.paths import leaves
from sim.design.priors import drawn, priors
from sim.design.syntax import tables
from sim.lure import BuildError
from sim.show.changes import does
from sim.show.units import METRIC
from sim.studies.engine import CaseError, changed
from sim.studies.grammar import criteria
from sim.studies.redesign.proposals import Proposal
from sim.studies.redesign.propose import remedy
from sim.studies.redesign.step import Kind, Modification
from sim.studies.redesign.trial_designs import Objectives
from sim.studies.statements import Statement
from sim.trials.request import Pull, Request, key
from tests.decisions import makers
from tests.decisions.targets import LURES, _text

COUNT, SEED = 60, 90281
KINDS = ("spare lift", "sink rate", "depth", "behaviour", "keep", "two together")
BUILDS = 24  # of each proposal, drawn independently
SHADE = 0.02  # of the wished speed, either way
UNLIKE = 0.01  # chance under which two counts are not of the same share
FRESH = 5  # speeds within a wished range
UNSWUM = ("rolls over", "spins", "spirals", "tumbles", "skips")
DEALS = ("wakes", "wobbles", "dives", "runs just under", "does not roll over")
BENCH = (
    Kind.POUR, Kind.FILL, Kind.FILLER, Kind.EMPTY, Kind.HANG, Kind.WEIGH, Kind.LEAVE_OUT, Kind.MOVE, Kind.DRILL_IN,
    Kind.FIX_IN, Kind.MOVE_EYE, Kind.TIE_TO,
)  # fmt: skip
"""Pouring, foam, a filler's share, an empty cavity; a hook of the table; ballast; an eye on the body or another one."""


@dataclass(frozen=True)
class Wish:
    """What is wished of which lure."""

    lure: str
    text: str  # of its file
    kind: str
    wants: tuple[str, ...]
    keep: tuple[str, ...] = ()


def wish(k: int) -> Wish:
    """The k-th wish; every kind in turn, of demo lures and of made-up makers in turn."""
    draw = np.random.default_rng([SEED, k])
    kind, n = KINDS[k % len(KINDS)], k // len(KINDS)
    for other in range(len(LURES)):  # the next lure where there is nothing to wish of one
        lure, text = LURES[(k + 3 * n + other) % len(LURES)], ""
        if n % 2 and not other:
            one = makers.maker(SEED, k)
            lure, text = f"{one.name}, as a maker reads it", one.text
        text = text or _text(lure)
        design = read(text, lure)
        for _ in range(20):
            wants = _WISHED[kind](design, draw)
            if wants:
                return Wish(lure, text, kind, tuple(wants), _kept(design, draw) if kind == "keep" else ())
    raise AssertionError(f"nothing to wish of any lure: {kind}")


def _spare(design: Design, draw: np.random.Generator) -> list[str]:
    row = Request(("budget",))(design)
    now, weight = row["budget.margin_g"], row["budget.mass_g"]
    to = now + draw.choice([-1.0, 1.0]) * draw.uniform(0.04, 0.2) * weight
    half = max(0.15, 0.15 * abs(to - now))
    if abs(to) < 1.5 * half:
        return []
    if to > 0.0:
        more = to > now and draw.random() < 0.6
        far = f"at least {to:.2f} g" if more else f"{to - half:.2f}..{to + half:.2f} g"
        return [f"floats with {far} to spare"]
    return [f"sinks by {-to - half:.2f}..{-to + half:.2f} g"]


def _rate(design: Design, draw: np.random.Generator) -> list[str]:
    now = Request(("drop",))(design)["drop.sink_rate_m_s"]
    if now is None:
        return []
    to = now * (draw.uniform(0.4, 0.8) if draw.random() < 0.5 else draw.uniform(1.25, 1.8))
    half = max(0.01, 0.15 * abs(to))
    if abs(to) <= 1.5 * half:
        return []
    return [f"{'sinks' if to > 0.0 else 'rises'} {abs(to) - half:.3f}..{abs(to) + half:.3f} m/s"]


def _pull(design: Design, draw: np.random.Generator) -> Pull:
    names = list(design.tie_on)
    return Pull(names[int(draw.integers(len(names)))], round(float(draw.uniform(0.3, 1.3)), 2))


def _depth(design: Design, draw: np.random.Generator) -> list[str]:
    pull = _pull(design, draw)
    now = Request((), (pull,))(design)[key("retrieve.depth_m", pull)]
    if now is None:
        return []
    to = now + draw.choice([-1.0, 1.0]) * draw.uniform(0.15, 0.45) * max(now, 0.4)
    half = max(0.06, 0.12 * to)
    if to < 1.3 * half:
        return []
    return [f"runs {to - half:.2f}..{to + half:.2f} m deep at {pull.speed:g} m/s from {pull.tie_on}"]


def _behaviour(design: Design, draw: np.random.Generator) -> list[str]:
    pull = _pull(design, draw)
    speeds = f"{pull.speed:g}"
    if draw.random() < 0.4:
        speeds += f"..{pull.speed * draw.uniform(1.2, 1.6):.2f}"
    row = Request((), (pull,))(design)
    fit = [
        said
        for word in DEALS
        if not criteria(design, said := f"{word} at {speeds} m/s from {pull.tie_on}")[0].holds(row)
    ]
    return [fit[int(draw.integers(len(fit)))]] if fit else []


def _two(design: Design, draw: np.random.Generator) -> list[str]:
    first = (_depth, _behaviour)[int(draw.integers(2))](design, draw)
    second = (_spare, _rate)[int(draw.integers(2))](design, draw)
    return [*first, *second] if first and second else []


def _any(design: Design, draw: np.random.Generator) -> list[str]:
    return (_spare, _rate, _depth, _behaviour)[int(draw.integers(4))](design, draw)


_WISHED: dict[str, Callable[[Design, np.random.Generator], list[str]]] = {
    "spare lift": _spare, "sink rate": _rate, "depth": _depth, "behaviour": _behaviour, "keep": _any,
    "two together": _two,
}  # fmt: skip


def _kept(design: Design, draw: np.random.Generator) -> tuple[str, ...]:
    """One or two things to be kept, of those that a remedy likes to change."""
    every = [name for name in ("ballast", "hook", "plate", "tie_on") if getattr(design, name)]
    every += [f"body.{name}" for name, body in design.body.items() if body.fill is not None]
    every += [f"ballast.{name}" for name in design.ballast][:1]
    picked = draw.choice(len(every), min(int(draw.integers(1, 3)), len(every)), replace=False)
    return tuple(every[int(i)] for i in picked)


# ---- checking -----------------------------------------------------------------------------------------


def _swum(design: Design, pulls: Sequence[Pull]) -> list[str]:
    """What a lure does in each of some pulls, run afresh."""
    row = Request((), tuple(pulls))(design)
    return [str(row[key("retrieve.behaviour", pull)]) for pull in pulls]


def _wished(statements: Sequence[Statement], draw: np.random.Generator) -> Iterator[Pull]:
    """Pulls at which the lure has to swim: at the wished speeds, and of a range at some that nobody looked at."""
    for one in statements:
        if not one.pulls:
            continue
        yield from one.pulls
        low, high = one.pulls[0].speed, one.pulls[-1].speed
        if high > low and one.pulls[0].tie_on == one.pulls[-1].tie_on:
            yield from (Pull(one.pulls[0].tie_on, float(v)) for v in draw.uniform(low, high, FRESH))


def _shaded(pulls: Sequence[Pull]) -> list[Pull]:
    return [Pull(one.tie_on, one.speed * by) for one in pulls for by in (1.0 - SHADE, 1.0 + SHADE)]


def _does_all(statements: Sequence[Statement], row: Mapping[str, Any]) -> bool:
    """Whether a row shows all that is wanted, of a lure that swims."""
    pulls = [pull for one in statements for pull in one.pulls]
    return all(one.holds(row) for one in statements) and not any(
        str(row[key("retrieve.behaviour", pull)]) in UNSWUM for pull in pulls
    )


def _built(design: Design, statements: Sequence[Statement], draw: np.random.Generator) -> tuple[int, int]:
    """Of builds drawn one by one, how many there are and how many do all that is wanted."""
    inputs = priors(design, model=False)
    asks = Objectives((), {"": tuple(statements)}, False).request(fine=False)
    made = hold = 0
    for zs in draw.standard_normal((BUILDS, len(inputs))):
        try:
            row = asks(changed(design, drawn(design, inputs, zs.tolist())))
        except (CaseError, BuildError):
            continue
        made += 1
        hold += _does_all(statements, row)
    return made, hold


def _untouched(before: str, after: str, keep: Sequence[str]) -> bool:
    """Whether a file says below all paths that were to be kept what it said, and means what it meant."""
    if edited(before, {}) == after:
        return True
    files = [_flat(tables(text)) for text in (before, after)]
    meant = [leaves(read(text, "design")) for text in (before, after)]
    return all(_below(one, path) == _below(other, path) for one, other in (files, meant) for path in keep)


def _flat(node: Any, path: str = "") -> dict[str, Any]:
    if not isinstance(node, dict):
        return {path: node}
    return {
        at: value
        for name, below in node.items()
        for at, value in _flat(below, f"{path}.{name}" if path else name).items()
    }


def _below(values: Mapping[str, Any], path: str) -> dict[str, Any]:
    return {at: value for at, value in values.items() if at == path or at.startswith(f"{path}.")}


def _on_the_list(one: Modification, design: Design) -> bool:
    """Whether a step is on the bench list; a weight in a body without a hollow as a rod or ball that fits a drill."""
    if one.kind not in (Kind.WEIGH, Kind.MOVE, Kind.DRILL_IN, Kind.FIX_IN):
        return one.kind in BENCH
    weight = design.ballast[one.part.removeprefix("ballast.")]
    home = design.body[weight.body or next(iter(design.body))] if design.body else None
    solid = home is not None and home.cavity is None and home.wall is None and weight.place != "outside"
    return one.hole is not None or not solid


def judged(asked: Wish, shown: Proposal, draw: np.random.Generator) -> dict[str, Any]:
    """What a proposal comes to when somebody else builds it."""
    design = read(shown.text, "changed")
    if shown.tie_on:
        design = design.model_copy(
            update={"tie_on": {shown.tie_on: design.tie_on[shown.tie_on], **design.tie_on}}
        )
    statements = [one for words in asked.wants for one in criteria(design, words)]
    pulls = list(dict.fromkeys(_wished(statements, draw)))
    spoilt = [word for word in _swum(design, pulls) if word in UNSWUM]
    nearby = [word for word in _swum(design, _shaded(pulls)) if word in UNSWUM]
    made, hold = _built(design, statements, draw)
    keep = asked.keep
    return {
        "changes": [does(step, METRIC) for step in shown.changes],
        "kinds": [step.kind.value for step in shown.changes],
        "bench": all(_on_the_list(step, design) for step in shown.changes),
        "says": [shown.hold, shown.builds],
        "independent": [hold, made],
        "does": _does_all(statements, Objectives((), {"": tuple(statements)}, False).request()(design)),
        "spoilt": spoilt,
        "spoilt_nearby": nearby,
        "kept": _untouched(asked.text, shown.text, keep) and not (shown.tie_on and "tie_on" in keep),
    }  # fmt: skip


def case(k: int) -> dict[str, Any]:
    """Wish, ask, and check every proposal that is shown."""
    asked = wish(k)
    design = read(asked.text, asked.lure)
    begin = time.process_time()
    answer = remedy(asked.text, design, Objectives.read(design, asked.wants), keep=asked.keep)
    spent = time.process_time() - begin
    draw = np.random.default_rng([SEED, k, 1])
    return {
        "case": k, "lure": asked.lure, "kind": asked.kind, "wants": list(asked.wants), "keep": list(asked.keep),
        "holds_already": answer.holds_already,
        "proposals": [judged(asked, one, draw) for one in answer.proposals],
        "nearest": [] if answer.nearest_miss is None else [does(s, METRIC) for s in answer.nearest_miss.changes],
        "looks": answer.looks, "cpu_s": round(spent, 1),
    }  # fmt: skip


# ---- what it came to ----------------------------------------------------------------------------------


def by_chance(said: Sequence[int], seen: Sequence[int]) -> float:
    """Chance of two counts as unlike as these, or more so, if the share is the same (Fisher's exact test).

    Args:
        said: how many hold, of how many; `seen` likewise.
    """
    (a, n), (b, m) = said, seen
    every = [comb(n, k) * comb(m, a + b - k) for k in range(max(0, a + b - m), min(n, a + b) + 1)]
    here = comb(n, a) * comb(m, b)
    return sum(one for one in every if one <= here) / sum(every)


def summary(rows: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Counts over all wishes and proposals."""
    answered = [row for row in rows if row["proposals"]]
    shown = [one for row in answered for one in row["proposals"]]
    said, seen = (sum(one[key][0] for one in shown) for key in ("says", "independent"))
    tried, built = sum(one["says"][1] for one in shown), sum(one["independent"][1] for one in shown)
    return {
        "wishes": len(rows),
        "held_already": sum(row["holds_already"] for row in rows),
        "answered": len(answered),
        "proposals": len(shown),
        "spoilt": sum(bool(one["spoilt"]) for one in shown),
        "spoilt_nearby": sum(bool(one["spoilt_nearby"]) for one in shown),
        "false": sum(not one["does"] for one in shown),
        "unlike": sum(by_chance(one["says"], one["independent"]) < UNLIKE for one in shown),
        "said_share": round(said / max(tried, 1), 3),
        "seen_share": round(seen / max(built, 1), 3),
        "bench_first": sum(row["proposals"][0]["bench"] for row in answered),
        "keeps": sum(bool(row["keep"]) for row in answered),
        "kept": sum(all(one["kept"] for one in row["proposals"]) for row in answered if row["keep"]),
        "by_kind": {
            kind: [sum(bool(r["proposals"]) for r in rows if r["kind"] == kind), sum(r["kind"] == kind for r in rows)]
            for kind in KINDS
        },
        "median_looks": median(row["looks"] for row in rows),
        "most_looks": max(row["looks"] for row in rows),
        "median_cpu_s": median(row["cpu_s"] for row in rows),
        "most_cpu_s": max(row["cpu_s"] for row in rows),
    }  # fmt: skip


def section(found: Mapping[str, Any]) -> str:
    """What `docs/validation.md` says of it."""
    told, rows = found["summary"], found["rows"]
    kinds = "\n".join(f"| {kind} | {n} | {met} |" for kind, (met, n) in told["by_kind"].items())
    other = [row for row in rows if row["proposals"] and not row["proposals"][0]["bench"]]
    none = [row for row in rows if not row["proposals"] and not row["holds_already"]]
    lines = [
        "### Remedies: wishes",
        "",
        f"{told['wishes']}{_planned(told['wishes'])} wishes, half of demo lures and half of files as made-up makers "
        "write them: a spare lift, a sink rate, a depth at a speed or a behaviour from an eye, other than what the "
        "lure does, with things to be kept or two at once. Nobody knows whether they can be had. Every proposal is "
        f"loaded from its text and swum afresh, and {BUILDS} builds of it are drawn independently.",
        "",
        f"- {told['answered']} got {told['proposals']} proposals; for {len(none)} nothing was found"
        + (f", and {told['held_already']} held already." if told["held_already"] else "."),
        f"- Of these roll over, spin or leave the water: at the wished speeds {told['spoilt']}, {100 * SHADE:.0f} % "
        f"faster or slower {told['spoilt_nearby']}. Claims that the fresh run does not show: {told['false']}.",
        f"- Shown is that {100 * told['said_share']:.0f} % of the builds of all proposals hold; of the independent "
        f"ones {100 * told['seen_share']:.0f} % do. {told['unlike']} proposals have counts so unlike that chance alone "
        f"makes them so less than once in {1 / UNLIKE:.0f}.",
        f"- The first proposal takes only steps of the bench list in {told['bench_first']} of {told['answered']}.",
        f"- `--keep` was obeyed in {told['kept']} of {told['keeps']}.",
        f"- Changed lures run: {told['median_looks']:.0f} in the median, {told['most_looks']} at most; "
        f"{told['median_cpu_s']:.0f} s of one core in the median, {told['most_cpu_s']:.0f} s at most.",
        "",
        "| wished | wishes | with a proposal |",
        "|---|---|---|",
        kinds,
    ]
    if other:
        lines += ["", "First proposals that a finished lure does not take:", ""]
        lines += [f"- {_told(row)}: {' and '.join(row['proposals'][0]['changes'])}." for row in other]
    if none:
        lines += ["", "Nothing was found for:", "", *(f"- {_told(row)}." for row in none)]
    return "\n".join(lines)


def _planned(done: int) -> str:
    return "" if done == COUNT else f" of {COUNT} planned"


def _told(row: Mapping[str, Any]) -> str:
    keeping = f", keeping {' and '.join(row['keep'])}" if row["keep"] else ""
    return f"{row['lure']}: {' and '.join(row['wants'])}{keeping}"
