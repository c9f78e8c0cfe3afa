"""Trajectories and results as tables: CSV for a spreadsheet, JSON for programs, and back without loss.

A table is columns of equal length. Heads are plain ASCII and end in their unit (`pitch_deg`); a
column of words has no unit. Numbers are written with as many figures as it takes to read the same number
back; an empty cell (null in JSON) is a question without an answer. Always SI and degrees, grams and
millimetres as the names say.
"""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Sequence
from dataclasses import dataclass

from sim.show.worded import worded
from sim.studies.record import as_given, guarded
from sim.trials.recording import Recording
from sim.trials.results import BudgetResult, FloatResult, PartRow, RetrieveResult

Cell = float | str | None

WORDS = ("part", "kind", "source", "note", "tie_on", "behaviour", "also", "ended", "turned")
"""Columns of words; all others are of numbers."""


@dataclass(frozen=True)
class DataTable:
    """Columns by their heads, all of one length."""

    columns: dict[str, list[Cell]]

    @property
    def rows(self) -> list[tuple[Cell, ...]]:
        """The same, row by row."""
        return list(zip(*self.columns.values(), strict=True))


def trajectory(motion: Recording, every: float) -> DataTable:
    """A run at equal times `every` seconds apart, and its end; see `Recording.table`."""
    return DataTable({head: [*values] for head, values in motion.table(every).items()})


def parts(result: BudgetResult) -> DataTable:
    """The budget, part by part."""
    rows = worded(result.parts)
    columns = {name: [getattr(row, name) for row in rows] for name in PartRow.model_fields}
    return DataTable({"part": columns.pop("name"), **columns})


def righting(result: FloatResult) -> DataTable:
    """Righting arms: turned which way, by how much, and the arm that brings it back."""
    rows = [("roll", point) for point in result.righting_heel]
    rows += [("pitch", point) for point in result.righting_trim]
    return DataTable(
        {
            "turned": [way for way, _ in rows],
            "angle_deg": [point.angle_deg for _, point in rows],
            "arm_mm": [point.arm_mm for _, point in rows],
        }
    )


def runs(results: Sequence[RetrieveResult]) -> DataTable:
    """Every retrieve as a row."""
    numbers = [
        name
        for name, field in RetrieveResult.model_fields.items()
        if field.annotation in (float, float | None) and name != "speed_m_s"
    ]
    return DataTable(
        {
            "tie_on": [run.tie_on for run in results],
            "speed_m_s": [run.speed_m_s for run in results],
            "behaviour": [run.behaviour.value for run in results],
            "also": ["; ".join(other.value for other in run.also) for run in results],
            **{name: [getattr(run, name) for run in results] for name in numbers},
            "ended": [run.ended.value for run in results],
        }
    )


def to_csv(table: DataTable) -> str:
    """Comma-separated values, a head line first."""
    sink = io.StringIO()
    writer = csv.writer(sink, lineterminator="\n")
    writer.writerow(table.columns)
    writer.writerows([_written(cell) for cell in row] for row in table.rows)
    return sink.getvalue()


def from_csv(text: str) -> DataTable:
    """What `to_csv` wrote.

    Raises:
        ValueError: a row of another length than the head line, or a word where a number belongs.
    """
    head, *rows = csv.reader(io.StringIO(text, newline=""))
    for number, row in enumerate(rows, start=2):
        if len(row) != len(head):
            raise ValueError(f"line {number} has {len(row)} cells, but the head line has {len(head)}")
    return DataTable(
        {
            name: [as_given(row[k]) if name in WORDS else _number(row[k]) for row in rows]
            for k, name in enumerate(head)
        }
    )


def to_json(table: DataTable, /, **about: str) -> str:
    """Columns as JSON, under "columns"; `about` stands beside them."""
    columns = {
        head: [None if isinstance(cell, float) and not math.isfinite(cell) else cell for cell in cells]
        for head, cells in table.columns.items()
    }
    return json.dumps({**about, "columns": columns}, allow_nan=False)


def from_json(text: str) -> DataTable:
    """What `to_json` wrote."""
    return DataTable(json.loads(text)["columns"])


def _written(cell: Cell) -> str:
    return "" if cell is None else guarded(cell) if isinstance(cell, str) else repr(float(cell))


def _number(text: str) -> float | None:
    return float(text) if text else None
