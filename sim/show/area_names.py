"""Names of the areas of a map, each inside its own area and clear of everything that is drawn."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.path import Path
from matplotlib.patheffects import withStroke
from matplotlib.transforms import Bbox

from sim.lure.lure import Lure
from sim.show import outline
from sim.show.figures import labels, style
from sim.show.values import headline
from sim.studies.maps import NO_PLACE, Map, Panel, regions

LETTERS = 9.5  # pt: none smaller, so that they can be read on a phone
HALO = (withStroke(linewidth=3.0, foreground=style.PAPER),)


def edges(middles: Sequence[float]) -> np.ndarray:
    """Borders of cells with these middles, evenly spaced or not."""
    at = np.asarray(middles, dtype=float)
    if len(at) == 1:
        half = 0.5 * abs(at[0]) or 0.5
        return np.array([at[0] - half, at[0] + half])
    between = 0.5 * (at[1:] + at[:-1])
    return np.concatenate([[2 * at[0] - between[0]], between, [2 * at[-1] - between[-1]]])


def place(point: np.ndarray) -> np.ndarray:
    """A place (3,), m, as the map has it: behind the nose and above the axis, mm."""
    return np.asarray(1e3 * outline.SIDE.seen(point[None])[0])


def outlines(lure: Lure) -> list[np.ndarray]:
    """Closed outlines (n, 2) of bodies and plates from the left, mm."""
    loops = [loop for hull in lure.hulls for loop in outline.silhouette(hull, outline.SIDE)]
    loops += [outline.SIDE.seen(rim) for rim in outline.plates(lure)]
    return [1e3 * np.vstack([loop, loop[:1]]) for loop in loops]


def write_names(axes: Axes, found: Map, panel: Panel, lure: Lure | None) -> None:
    """Each area's name inside it, clear of the lure's outline, its tie-on points and other names.

    An area in which there is no such place goes without; the key tells it.
    """
    x, y = edges(found.xs), edges(found.ys)
    drawn: list[Bbox] = []
    lines: list[np.ndarray] = []
    if lure is not None:
        lines = [axes.transData.transform(loop) for loop in outlines(lure)]
        drawn = [text.get_window_extent() for text in axes.texts]
        drawn += [_box(axes.transData.transform(place(point)), (9.0, 9.0)) for point in lure.tie_ons.values()]
    figure = axes.get_figure()
    inch = figure.dpi if figure else 100.0
    for kind, cells in regions(panel.behaviours):
        if kind == NO_PLACE:
            continue
        name = headline(kind)
        size = (1.12 * labels.width_in(name) * inch, 0.17 * inch)  # bold
        for middle in _spots(cells, x, y):
            at = axes.transData.transform(middle)
            box = _box(at, size)
            if not _inside(box, cells, x, y, axes):
                continue
            if any(box.overlaps(other) for other in drawn) or any(_crosses(box, line) for line in lines):
                continue
            axes.text(
                *middle,
                name,
                ha="center",
                va="center",
                size=LETTERS,
                weight="bold",
                path_effects=HALO,
                zorder=6,
            )
            drawn.append(box)
            break


def _spots(cells: Sequence[tuple[int, int]], x: np.ndarray, y: np.ndarray) -> list[tuple[float, float]]:
    """Places for an area's name, the best first: the middle of its longest row, then aside and up and down."""
    middle = float(np.mean([j for j, _ in cells]))
    spots: list[tuple[float, float, tuple[float, float]]] = []
    for j in sorted({j for j, _ in cells}):
        for first, last in _rows([i for row, i in cells if row == j]):
            long = float(x[last + 1] - x[first])
            for share in (0.5, 0.35, 0.65, 0.2, 0.8):
                for level in (0.5, 0.25, 0.75):
                    at = (float(x[first]) + share * long, float(y[j] + level * (y[j + 1] - y[j])))
                    worse = abs(j - middle) + 4.0 * abs(share - 0.5) + abs(level - 0.5)
                    spots.append((-long, worse, at))
    return [at for _, _, at in sorted(spots)]


def _rows(columns: Sequence[int]) -> list[tuple[int, int]]:
    """First and last of every unbroken run of columns, which rise."""
    runs: list[tuple[int, int]] = []
    for i in sorted(columns):
        if runs and runs[-1][1] == i - 1:
            runs[-1] = (runs[-1][0], i)
        else:
            runs.append((i, i))
    return runs


def _box(middle: np.ndarray, size: tuple[float, float]) -> Bbox:
    (x, y), (wide, tall) = middle, size
    return Bbox.from_bounds(x - 0.5 * wide, y - 0.5 * tall, wide, tall)


def _inside(box: Bbox, cells: Sequence[tuple[int, int]], x: np.ndarray, y: np.ndarray, axes: Axes) -> bool:
    """Whether the middle line of a box stays in an area, and the box on the panel."""
    room = axes.get_window_extent()
    if box.x0 < room.x0 or box.x1 > room.x1 or box.y0 < room.y0 or box.y1 > room.y1:
        return False
    across = np.linspace(box.x0, box.x1, 12)
    points = axes.transData.inverted().transform(
        np.column_stack([across, np.full(12, 0.5 * (box.y0 + box.y1))])
    )
    own = set(cells)
    at = zip(np.searchsorted(y, points[:, 1]) - 1, np.searchsorted(x, points[:, 0]) - 1, strict=True)
    return all((int(j), int(i)) in own for j, i in at)


def _crosses(box: Bbox, line: np.ndarray) -> bool:
    """Whether a line (n, 2) comes into a box."""
    return bool(Path(line).intersects_bbox(box, filled=False))
