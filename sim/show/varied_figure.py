"""Many varied runs as marks: what came out against what was changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from matplotlib.figure import Figure

from sim.metrics import Use
from sim.show import values
from sim.show.figures import labels, style
from sim.show.study_figures import INKS, LEFT, NAME_LETTERS, axis_name, empty_sheet, title_lines
from sim.show.units import METRIC, Units
from sim.studies.parameters import SPEED
from sim.studies.plan import SPEED_COLUMN, TIE_ON, Plan
from sim.trials.request import RETRIEVE
from sim.trials.results import METRICS

MARKS = ("o", "s", "^", "D", "v", "P")
MOST_PANELS, MOST_MARKS = 4, 800  # on a page


@style.drawn
def scatter(plan: Plan, rows: Sequence[Mapping[str, Any]], title: str, units: Units = METRIC) -> Figure:
    """Every run as a mark: what came out against what was changed, a panel for each pair of them.

    rows: by heading, numbers as numbers.
    """
    changed = [p for p in plan.parameters if len(p) > 1]
    pairs = [(p, name) for name in _outcomes() for p in changed if _differs(rows, name)][:MOST_PANELS]
    if not pairs:
        return style.nothing("What came out", "No figure differs by as much as you would notice.")
    lines = title_lines(title)
    outcomes = list(dict.fromkeys(METRICS[name].heading for _, name in pairs))
    says = f"{title}: {', '.join(outcomes)} against {', '.join(dict.fromkeys(p.path for p, _ in pairs))}"
    figure = empty_sheet(0.6 + 0.17 * len(lines) + 2.0 * len(pairs), says)
    step = -(-len(rows) // MOST_MARKS)
    shown = rows[::step]
    points = list(dict.fromkeys(str(row.get(TIE_ON) or "") for row in shown))
    for axes, (parameter, name) in zip(np.atleast_1d(figure.subplots(len(pairs), 1)), pairs, strict=True):
        heading = SPEED_COLUMN if parameter.path == SPEED else parameter.heading
        steps = {value: k for k, value in enumerate(dict.fromkeys(row[heading] for row in shown))}
        is_words = any(isinstance(value, str) for value in steps)
        for k, point in enumerate(points):
            mine = [row for row in shown if str(row.get(TIE_ON) or "") == point and _has(row, name)]
            x = [steps[row[heading]] if is_words else float(row[heading]) for row in mine]
            axes.plot(
                x, [values.scaled(name, float(row[name]), units) for row in mine], MARKS[k % len(MARKS)],
                ms=4.5, mfc="none",
                mec=INKS[k % len(INKS)].colour, mew=1.2, label=f"tied at {labels.short(point)}" if point else None,
            )  # fmt: skip
        if is_words:
            axes.set_xticks(range(len(steps)), [labels.short(str(value), NAME_LETTERS) for value in steps])
            axes.margins(x=0.2)
        if METRICS[name].unit.scale == "distance":
            axes.invert_yaxis()
        axes.set_xlabel(axis_name(parameter.path, parameter.unit))
        axes.set_ylabel(f"{METRICS[name].heading} ({values.unit(name, units)})")
    if len(points) > 1:
        figure.legend(
            *figure.axes[0].get_legend_handles_labels(), loc="outside lower left", ncols=2, frameon=False
        )
    figure.suptitle("\n".join(lines), x=LEFT, ha="left", weight="bold", size=10.5)
    return figure


def _outcomes() -> list[str]:
    """Metrics worth a panel, those of a pull first."""
    mine = [metric for metric in METRICS.values() if Use.OUTCOME in metric.uses]
    return [metric.name for metric in sorted(mine, key=lambda metric: metric.trial != RETRIEVE)]


def _differs(rows: Sequence[Mapping[str, Any]], name: str) -> bool:
    """Whether a figure differs over the runs by as much as anybody would notice."""
    numbers = [float(row[name]) for row in rows if _has(row, name)]
    return bool(numbers) and max(numbers) - min(numbers) >= (METRICS[name].noticed or 0.0)


def _has(row: Mapping[str, Any], name: str) -> bool:
    return isinstance(row.get(name), int | float)
