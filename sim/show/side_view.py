"""A small side view in text: the lure as it sits, nose to the left, with the water's surface.

The outline is drawn on cells twice as high as wide. Each cell is sampled on a finer grid, and how much of
it the lure covers, and from which side, picks the character.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.lure.lure import Lure
from sim.show import outline
from sim.trials.results import FloatResult

Array = NDArray[np.float64]

TALLEST = 18  # rows for the lure itself
FINE_X, FINE_Y = 4, 8  # samples across and down a cell
ASPECT = 2.0  # height of a character cell over its width
KEY = "~ water   o tie-on   j hook   + balance point"


def side_view(lure: Lure, result: FloatResult, width: int = 60) -> str:
    """The lure at rest, seen from its left side. Empty when it sinks, since it then has no place of rest."""
    if result.up_in_body is None:
        return ""
    up = np.array(result.up_in_body)
    view = outline.from_side(up)
    height = (result.origin_height_mm or 0.0) / 1000.0

    def seen(points: Array) -> Array:
        """(n, 3) lure axes -> (n, 2): to the right and up on the page, m."""
        return view.seen(points) + np.array([0.0, height])

    polygons = [triangle for hull in lure.hulls for triangle in seen(hull.vertices)[hull.faces]]
    plates = [seen(rim) for rim in outline.plates(lure)]
    sticks = [seen(ends) for ends in outline.wires(lure)]
    everything = np.vstack([*polygons, *plates, *sticks, seen(np.zeros((1, 3)))])
    left, low = everything.min(axis=0)
    right, high = everything.max(axis=0)
    cell = max((right - left) / (width - 12), (high - low) / (TALLEST * ASPECT), 1e-6)
    if result.origin_height_mm is None:  # it hangs somewhere under water: put the surface just above it
        water = high + 1.5 * ASPECT * cell
    else:
        water = 0.0
    sheet = _Sheet(left - (width * cell - (right - left)) / 2, water, low, high, cell, width)
    for rim in plates:
        for k in range(2, len(rim)):
            sheet.fill(rim[[0, k - 1, k]])
    for triangle in polygons:
        sheet.fill(triangle)
    sheet.outline()
    for ends in [*sticks, *(rim[k - 1 : k + 1] for rim in plates for k in range(1, len(rim)))]:
        sheet.stroke(ends)
    sheet.draw()
    for part in lure.parts:
        if part.kind == "hook":
            sheet.hang(seen(part.centre[None])[0], "j")
    sheet.mark(seen(lure.centre[None])[0], "+")
    for point in lure.tie_ons.values():
        sheet.mark(seen(point[None])[0], "o")
    return sheet.text() + "\n" + KEY.center(width).rstrip()


class _Sheet:
    """Cells of characters over a finer grid of samples. The surface runs through the middle of a row."""

    def __init__(self, left: float, water: float, low: float, high: float, cell: float, width: int) -> None:
        self.left, self.cell, self.tall = left, cell, cell * ASPECT
        self.above = max(1, int(np.ceil((high - water) / self.tall + 0.5)))  # rows above the surface's row
        below = max(1, int(np.ceil((water - low) / self.tall + 0.5)))
        self.water = water
        self.rows, self.columns = self.above + 1 + below, width
        self.mask = np.zeros((self.rows * FINE_Y, self.columns * FINE_X), dtype=bool)
        self.ink = np.zeros_like(self.mask)
        self.cells = np.full((self.rows, self.columns), " ")
        self.inside = np.zeros((self.rows, self.columns), dtype=bool)

    def _place(self, points: Array) -> Array:
        """Page (m) -> column and row as floats; a whole number is a cell's left or top edge."""
        top = self.water + (self.above + 0.5) * self.tall
        return np.column_stack([(points[:, 0] - self.left) / self.cell, (top - points[:, 1]) / self.tall])

    def _cell(self, point: Array) -> tuple[int, int]:
        column, row = np.floor(self._place(point[None])[0]).astype(int)
        return min(max(row, 0), self.rows - 1), min(max(column, 0), self.columns - 1)

    def fill(self, triangle: Array) -> None:
        """Cover the samples inside a triangle."""
        at = self._place(triangle) * (FINE_X, FINE_Y)
        first = np.maximum(np.floor(at.min(axis=0)).astype(int), 0)
        last = np.ceil(at.max(axis=0)).astype(int) + 1
        x = np.arange(first[0], min(last[0], self.mask.shape[1])) + 0.5
        y = np.arange(first[1], min(last[1], self.mask.shape[0])) + 0.5
        (ax, ay), (bx, by), (cx, cy) = at
        turn = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
        if turn == 0.0:
            return
        sides = [
            ((qx - px) * (y[:, None] - py) - (qy - py) * (x[None] - px)) * np.sign(turn) >= 0.0
            for (px, py), (qx, qy) in (((ax, ay), (bx, by)), ((bx, by), (cx, cy)), ((cx, cy), (ax, ay)))
        ]
        rows, columns = slice(first[1], first[1] + len(y)), slice(first[0], first[0] + len(x))
        self.mask[rows, columns] |= sides[0] & sides[1] & sides[2]

    def outline(self) -> None:
        """Ink the rim of what is covered: covered samples with a bare one beside them."""
        bare = ~np.pad(self.mask, 1)
        beside = bare[:-2, 1:-1] | bare[2:, 1:-1] | bare[1:-1, :-2] | bare[1:-1, 2:]
        self.ink |= self.mask & beside

    def stroke(self, ends: Array) -> None:
        """Ink a thin straight piece where it is not hidden by a body."""
        start, end = self._place(ends) * (FINE_X, FINE_Y)
        share = np.linspace(0.0, 1.0, 2 * sum(self.mask.shape))[:, None]
        x, y = np.floor(start + share * (end - start)).astype(int).T
        x, y = np.clip(x, 0, self.mask.shape[1] - 1), np.clip(y, 0, self.mask.shape[0] - 1)
        self.ink[y, x] |= ~self.mask[y, x]

    def draw(self) -> None:
        """Turn the ink into characters, and note the cells that lie inside the lure."""
        shape = (self.rows, FINE_Y, self.columns, FINE_X)
        ink, mask = self.ink.reshape(shape), self.mask.reshape(shape)
        self.inside = mask.mean(axis=(1, 3)) > 0.5
        for row, column in np.argwhere(ink.any(axis=(1, 3))):
            self.cells[row, column] = _glyph(ink[row, :, column, :])

    def mark(self, point: Array, character: str) -> None:
        self.cells[self._cell(point)] = character

    def hang(self, point: Array, character: str) -> None:
        """Mark a thing that hangs: in the first cell at or under the point that is not inside the lure."""
        row, column = self._cell(point)
        while row < self.rows - 1 and (self.inside[row, column] or self.cells[row, column] != " "):
            row += 1
        self.cells[row, column] = character

    def text(self) -> str:
        """The drawing, the surface drawn wherever nothing else stands in its row."""
        surface = self.cells[self.above]
        outside = (surface == " ") & ~self.inside[self.above]
        surface[outside] = "~"
        return "\n".join("".join(row).rstrip() for row in self.cells).strip("\n")


def _glyph(ink: NDArray[np.bool_]) -> str:
    """Character for the ink in one cell: a flat piece by its height, a steep one by its lean."""
    y, x = np.nonzero(ink)
    wide, tall = (np.ptp(x) + 1) / FINE_X, (np.ptp(y) + 1) / FINE_Y
    if wide + tall < 0.6:
        return " "
    if tall > 1.6 * wide:
        return "|"
    lean = float(np.mean((x - x.mean()) * (y - y.mean())))
    if tall > 0.6 * wide and lean:
        return "\\" if lean > 0 else "/"
    return "'-_"[min(int(3 * (y.mean() + 0.5) / FINE_Y), 2)]
