"""The pages of the studies: a comparison, a map, many varied runs, speed windows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from itertools import islice
from typing import Any

import numpy as np

from sim.lure.lure import Lure
from sim.show import figures, speed_bars, studies, study_figures, varied_figure
from sim.show.layout import Look
from sim.show.report.frame import Part
from sim.show.report.sections import BEHAVIOURS
from sim.show.report.study import asked, figure_of, study_page
from sim.show.units import Units
from sim.show.writers.markup import Html, code, join, listed, table, tag
from sim.show.writers.terms import Terms
from sim.studies.compare import NOTICED, Comparison, ComparisonRow
from sim.studies.maps import BEHAVIOUR, Map
from sim.studies.parameters import SPEED, Parameter
from sim.studies.plan import FAILURE, NUMBER, SPEED_COLUMN, TIE_ON, Plan
from sim.studies.windows import WindowsResult

MOST_ROWS = 200  # of a table on a page; the file has them all
MOST_COLUMNS = 8  # of figures beside the names
TOLD = (
    "budget.margin_g", "budget.verdict", "float.pitch_deg", "drop.sink_rate_m_s", "cast.range_m",
    "retrieve.behaviour", "retrieve.depth_m", "retrieve.wobble_hz", "retrieve.tension_n",
)  # fmt: skip
"""The figures of many varied runs that the page shows; the file has them all."""

Sources = Mapping[str, str]
Asked = Sequence[tuple[str, str]]


# ---- compare ------------------------------------------------------------------------------------------


def compare_page(
    title: str, found: Comparison, given: Asked, sources: Sources, cautions: Sequence[str], units: Units
) -> str:
    """A comparison. given: what was changed and how it was pulled. sources: design files by their names."""
    terms = Terms()
    rows = (*found.still, *found.pulled)
    failed = [f"{studies.who(row)}: {row.failure}" for row in rows if row.failure]
    answer: list[str] = [terms.marked(studies.most(found, units), *BEHAVIOURS, "spare lift", "sink rate")]
    if same := studies.alike(found, units):
        answer.append(same)
    parts: list[Part] = []
    if any(row.curve for row in found.pulled):
        figure = study_figures.comparison(found, title, units)
        parts.append(("picture", "The picture", figure_of(figure, "picture")))
    parts.append(("rest", "Not pulled", _still(found, units)))
    if found.pulled:
        parts.append(("pulled", "Pulled", _pulled(found, units, terms)))
    if failed:
        parts.append(("failed", "No answer", listed(failed)))
    parts.append(("asked", "Asked", asked(given)))
    return study_page(title, answer, parts, sources, cautions=cautions)


def _still(found: Comparison, units: Units) -> Html:
    shown = studies.still_figures(found)[:MOST_COLUMNS]
    if not shown:
        return tag("p", "Nothing here differs by as much as you would notice.")
    heads = [_subject(found), *(studies.head(name, units) for name in shown)]
    rows = [[row.variant, *(studies.cell(name, row, units) for name in shown)] for row in found.still]
    return table("What hangs on no tie-on point", heads, rows, _numbers(shown, 1), broad=0)


def _pulled(found: Comparison, units: Units, terms: Terms) -> Html:
    shown = studies.pulled_figures(found)[:MOST_COLUMNS]
    heads = (
        _subject(found), "Tie-on", f"Speed, {units.unit('speed')}", "It",
        *(studies.head(name, units) for name in shown),
    )  # fmt: skip
    rows = [
        (
            row.variant, row.tie_on, units.number("speed", row.speed_m_s),
            terms.marked(_short(row.figures.get(BEHAVIOUR, "no answer")), *BEHAVIOURS),
            *(studies.cell(name, row, units) for name in shown),
        )
        for row in found.pulled
    ]  # fmt: skip
    return table("What it does when pulled", heads, rows, (2, *_numbers(shown, 4)), broad=3)


def _subject(found: Comparison) -> str:
    return found.subject.rpartition(".")[2].capitalize() or "Design"


def _numbers(names: Sequence[str], first: int) -> list[int]:
    return [first + k for k, name in enumerate(names) if name not in studies.WORDS]


def _short(word: object) -> str:
    return str(word).split(":")[0]


# ---- map ----------------------------------------------------------------------------------------------


def map_page(
    title: str,
    found: Map,
    lure: Lure,
    given: Asked,
    sources: Sources,
    cautions: Sequence[str],
    units: Units,
) -> str:
    """A map of behaviours. lure: built with hulls, drawn where the axes are the places of its tie-on point."""
    terms = Terms()
    told = [_map_answer(found, k, units) for k in range(len(found.panels))]
    answer = [terms.marked(sentence, *BEHAVIOURS) for sentence in told]
    figure = study_figures.behaviour_map(found, title, lure)
    letters = studies.tie_map(title, found, Look(units))
    sharp = (
        "Edges between areas are as sharp as the grid. Speckled areas mean a motion that is near to tipping over "
        "between two behaviours: keep away from those places."
    )
    parts: list[Part] = [
        ("picture", "The map", join([figure_of(figure, "picture"), tag("p", sharp, class_="quiet")])),
        ("shares", "Shares", _shares(found, units)),
        ("letters", "In letters", tag("pre", code(letters), tabindex=0, aria_label="The map in letters")),
        ("asked", "Asked", asked(given)),
    ]
    return study_page(title, answer, parts, sources, cautions=cautions)


def _map_answer(found: Map, k: int, units: Units) -> str:
    """One panel in a sentence: the commonest behaviours, and where it goes deepest."""
    panel = found.panels[k]
    words = [_short(word) for row in panel.behaviours for word in row]
    shares = [f"{word} on {_percent(count, len(words))}" for word, count in Counter(words).most_common(4)]
    at = f"At {units.text('speed', panel.speed)} it" if panel.speed else "It"
    said = f"{at} {', '.join(shares)} of the map"
    if not np.isfinite(panel.depths).any():
        return f"{said}."
    j, i = np.unravel_index(int(np.nanargmax(panel.depths)), panel.depths.shape)
    x, y = f"{found.xs[i]:.3g} {found.x.unit}".rstrip(), f"{found.ys[j]:.3g} {found.y.unit}".rstrip()
    place = (
        f"tied {x} behind the nose and {y} above the axis"
        if found.over_body()
        else f"with {found.x.path} at {x} and {found.y.path} at {y}"
    )
    return f"{said}; it goes deepest, {units.depth(float(panel.depths[j, i]))}, {place}."


def _percent(count: int, total: int) -> str:
    return f"{100 * count / total:.0f}\u00a0%"


def _shares(found: Map, units: Units) -> Html:
    rows = []
    for panel in found.panels:
        words = np.array([[_short(word) for word in row] for row in panel.behaviours], dtype=object)
        for word, count in Counter(words.ravel().tolist()).most_common():
            depths = panel.depths[(words == word) & np.isfinite(panel.depths)]
            deep = (
                [units.number("distance", float(end)) for end in (depths.min(), depths.max())]
                if len(depths)
                else []
            )
            speed = units.number("speed", panel.speed) if panel.speed else "-"
            rows.append((word, speed, _percent(count, words.size), " to ".join(deep) or "-"))
    heads = ("It", f"Speed, {units.unit('speed')}", "Share", f"Depth, {units.unit('distance')}")
    return table("How much of the map each behaviour takes", heads, rows, (1, 2, 3))


# ---- vary ---------------------------------------------------------------------------------------------


def vary_page(
    title: str,
    plan: Plan,
    rows: Iterable[Mapping[str, Any]],
    where: str,
    given: Asked,
    sources: Sources,
    cautions: Sequence[str],
    units: Units,
) -> str:
    """Many varied runs. where: the file that holds every row."""
    terms = Terms()
    every = [_typed(row) for row in rows]
    answer = [
        terms.marked(sentence, *BEHAVIOURS, "spare lift") for sentence in _vary_answer(plan, every, units)
    ]
    figure = varied_figure.scatter(plan, every, title, units)
    failed = Counter(str(row[FAILURE]) for row in every if row[FAILURE])
    parts: list[Part] = [
        ("picture", "The picture", figure_of(figure, "picture")),
        ("runs", "The runs", _runs(plan, every, where, units, terms)),
    ]
    if failed:
        told = [f"{why} ({count} of {len(every)} runs)" for why, count in failed.most_common(10)]
        parts.append(("failed", "No answer", listed(told)))
    parts.append(("asked", "Asked", asked(given)))
    seed = plan.seed if plan.samples is not None else None
    return study_page(title, answer, parts, sources, seed, cautions=cautions)


def _typed(row: Mapping[str, Any]) -> dict[str, Any]:
    """Cells of a file as numbers where they are such; None where there is none."""
    return {name: _number(cell) for name, cell in row.items()}


def _number(cell: Any) -> Any:
    if not isinstance(cell, str):
        return cell
    try:
        return float(cell)
    except ValueError:
        return cell or None


def _vary_answer(plan: Plan, rows: Sequence[Mapping[str, Any]], units: Units) -> list[str]:
    did = Counter(_short(row[BEHAVIOUR]) for row in rows if row.get(BEHAVIOUR) and not row[FAILURE])
    none = sum(bool(row[FAILURE]) for row in rows)
    told = [f"{word} in {count}" for word, count in did.most_common()] + [f"no answer in {none}"] * bool(none)
    said = [f"Of {len(rows)} runs: {', '.join(told)}." if told else f"{len(rows)} runs."]
    deep = [row for row in rows if row.get("retrieve.depth_m") is not None]
    if deep:
        best = max(deep, key=lambda row: float(row["retrieve.depth_m"]))
        with_ = ", ".join(f"{p.written} {_plain(best[p.heading])} {p.unit}".rstrip() for p in _changed(plan))
        tied = f", tied at {best[TIE_ON]} at {units.text('speed', best[SPEED_COLUMN])}"
        said.append(
            f"It goes deepest, {units.depth(best['retrieve.depth_m'])}, with {with_ or 'no change'}{tied}."
        )
    spare = [float(row["budget.margin_g"]) for row in rows if row.get("budget.margin_g") is not None]
    if spare and max(spare) - min(spare) >= NOTICED["budget.margin_g"]:
        ends = [units.text("mass", end) for end in (min(spare), max(spare))]
        said.append(f"Spare lift goes from {ends[0]} to {ends[1]}.")
    return said


def _changed(plan: Plan) -> list[Parameter]:
    """What changes from run to run, the line speed apart, which has a column of its own."""
    return [p for p in plan.parameters if len(p) > 1 and p.path != SPEED]


def _plain(value: Any) -> str:
    return f"{value:.4g}" if isinstance(value, float) else "-" if value is None else str(value)


def _runs(plan: Plan, rows: Sequence[Mapping[str, Any]], where: str, units: Units, terms: Terms) -> Html:
    mine = [name for name in TOLD if any(row.get(name) is not None for row in rows)]
    heads = ["Run", *(f"{p.written}, {p.unit}" if p.unit else p.written for p in _changed(plan))]
    heads += ["Tie-on", f"Speed, {units.unit('speed')}"] if plan.pulls else []
    first = len(heads)
    written = []
    for row in islice(rows, MOST_ROWS):
        cells = [f"{row[NUMBER]:.0f}", *(_plain(row[p.heading]) for p in _changed(plan))]
        cells += [str(row[TIE_ON]), units.number("speed", row[SPEED_COLUMN])] if plan.pulls else []
        figure = ComparisonRow("", row)
        did = [
            terms.marked(_short(row.get(name) or "-"), *BEHAVIOURS)
            if name == BEHAVIOUR
            else studies.cell(name, figure, units)
            for name in mine
        ]
        written.append([*cells, *did])
    right = [0, *(1 + k for k, p in enumerate(_changed(plan)) if p.unit), *_numbers(mine, first)]
    right += [first - 1] if plan.pulls else []
    heads += [studies.head(name, units) for name in mine]
    broad = first + mine.index(BEHAVIOUR) if BEHAVIOUR in mine else 0
    made = table("Every run, and the figures that matter most", heads, written, right, broad=broad)
    left = len(rows) - len(written)
    more = f"The other {left} rows, and all figures of every run, are in {where}." if left > 0 else (
        f"All figures of every run are in {where}."
    )  # fmt: skip
    return join([made, tag("p", more, class_="quiet")])


# ---- windows ------------------------------------------------------------------------------------------


def windows_page(
    name: str, found: WindowsResult, given: Asked, sources: Sources, cautions: Sequence[str], units: Units
) -> str:
    """Speed windows of a design, from its tie-on points."""
    terms = Terms()
    answer = [terms.marked(speed_bars.sentence(each, units), *BEHAVIOURS) for each in found.tie_ons]
    parts: list[Part] = [
        ("picture", "The picture", windows_figure(found, units)),
        ("table", "The windows", _windows_table(found, units)),
    ]
    back = [line for each in found.tie_ons for line in speed_bars.slowing(each, units)]
    if back:
        parts.append(("slowing", "Slowing down", listed(back)))
    parts.append(("asked", "Asked", asked(given)))
    return study_page(f"{name}: speed windows", answer, parts, sources, cautions=cautions)


def windows_figure(found: WindowsResult, units: Units) -> Html:
    """The bars, and how sharp their edges are."""
    drawn = figure_of(figures.speed_windows(figures.bars(found), units), "speeds")
    return join([drawn, tag("p", speed_bars.known(found), class_="quiet")])


def _windows_table(found: WindowsResult, units: Units) -> Html:
    unit = units.unit("speed")
    rows = [
        (
            each.tie_on, units.number("speed", window.low_m_s), units.number("speed", window.high_m_s),
            speed_bars.words(window, units), window.runs,
        )
        for each in found.tie_ons
        for window in each.windows
    ]  # fmt: skip
    heads = ("Tie-on", f"From, {unit}", f"To, {unit}", "It", "Retrieves")
    return table("What it does at which speed", heads, rows, (1, 2, 4), broad=3)
