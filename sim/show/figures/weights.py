"""The weight budget as a balance: what pulls down on the left, what holds up on the right."""

from __future__ import annotations

from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from sim.show import sentences
from sim.show.figures import labels
from sim.show.figures.style import INK, LINE, QUIET, WIDTH, drawn, panel, sheet
from sim.show.units import METRIC, Units
from sim.trials.results import BudgetResult

TALL = 3.3  # in, of the columns
FROM_LEFT, COLUMN, BETWEEN = 1.82, 0.33, 0.2  # in
LEADER = 0.19  # in, from a column to the words beside it
MARGIN = 0.08  # in, from words to the edge of the page
DOWN_FILLS, UP_FILLS = ("#e6c3a5", "#d3a47c"), ("#c3dde8", "#97c3d6")
MOST_PARTS = 14  # in a column; what is lighter is put together
LEAST_SHARE = 0.01  # of a column: two and more parts lighter than that are put together too

Piece = tuple[str, float]  # name, grams


@drawn
def weight_budget(result: BudgetResult, units: Units = METRIC) -> Figure:
    """Two columns: the weight of every part, and the weight of the water that every part pushes aside."""
    down = pieces([(part.name, part.mass_g) for part in result.parts])
    water = result.water_density_kg_m3 / 1e3  # g/mL
    up = pieces([(part.name, part.displaced_ml * water) for part in result.parts])
    heavy, lift = result.mass_g, result.displaced_ml * water
    figure = sheet(TALL + 0.75, "What pulls down, what holds up", sentences.verdict(result, units))
    axes = panel(figure, 0.0, 0.45, WIDTH, TALL)
    inch = 1.0 / WIDTH  # page units for an inch across
    factor = units.scales["mass"].factor
    top = 1.04 * max(heavy, lift) * factor
    axes.set_xlim(0.0, 1.0)
    axes.set_ylim(0.0, top)
    axes.set_axis_off()  # every piece carries its own weight
    left = FROM_LEFT * inch
    right = left + (COLUMN + BETWEEN) * inch
    _column(axes, down, left, COLUMN * inch, factor, units, DOWN_FILLS, inch, side=-1)
    _column(axes, up, right, COLUMN * inch, factor, units, UP_FILLS, inch, side=1)
    for x, total, name in ((left, heavy, "pulls down"), (right, lift, "holds up")):
        axes.text(
            x + (COLUMN * inch if x == left else 0.0), -0.02 * top, f"{name}\n{units.text('mass', total)}",
            weight="bold", ha="right" if x == left else "left", va="top", linespacing=1.3,
        )  # fmt: skip
    for total in (heavy, lift):
        between = [left + COLUMN * inch, right]
        axes.plot(between, [total * factor] * 2, color=INK, linewidth=0.8, linestyle=(0, (3, 2)))
    return figure


def pieces(parts: Sequence[Piece], most: int = MOST_PARTS) -> list[Piece]:
    """Parts by weight, heaviest first, twins together; those beyond `most` as one, those of no weight left out."""
    both: dict[str, float] = {}
    for name, grams in parts:
        if grams > 0.0:
            both[_spoken(name)] = both.get(_spoken(name), 0.0) + grams
    found = sorted(both.items(), key=lambda piece: -piece[1])
    least = LEAST_SHARE * sum(grams for _, grams in found)
    light = sum(grams < least for _, grams in found)
    keep = min(len(found) - light if light > 1 else len(found), most if len(found) <= most else most - 1)
    rest = found[keep:]
    if not rest:
        return found
    return [*found[:keep], (f"{len(rest)} lighter", sum(grams for _, grams in rest))]


def _spoken(name: str) -> str:
    """A part's name in the figure: of a body its own name alone, of twins one name for both."""
    plain = name.removesuffix(" (left)").removesuffix(" (right)").removeprefix("body ")
    return f"{plain} x2" if name.endswith((" (left)", " (right)")) else plain


def _column(
    axes: Axes,
    parts: Sequence[Piece],
    x: float,
    width: float,
    factor: float,
    units: Units,
    fills: tuple[str, str],
    inch: float,
    side: int,
) -> None:
    """Parts on top of each other, with their names beside the column, none over another."""
    high = axes.get_ylim()[1]
    line = LINE / TALL * high
    level, middles = 0.0, []
    for k, (_, grams) in enumerate(parts):
        tall = grams * factor
        axes.add_patch(
            Rectangle((x, level), width, tall, facecolor=fills[k % 2], edgecolor=INK, linewidth=0.8)
        )
        middles.append(level + 0.5 * tall)
        level += tall
    places = labels.spread(middles, [line] * len(parts), 0.0, high, 0.0)
    edge = x if side < 0 else x + width
    for (name, grams), middle, place in zip(parts, middles, places, strict=True):
        end = edge + side * (LEADER - 0.04) * inch  # straight, so that no two of them meet
        axes.plot([edge, end], [middle, place], color=QUIET, linewidth=0.7)
        weight = units.text("mass", grams)
        room = FROM_LEFT - LEADER - MARGIN - labels.width_in(f"_{weight}")
        axes.text(
            end + side * 0.04 * inch, place, f"{labels.fitted(name, room)} {weight}",
            ha="right" if side < 0 else "left", va="center",
        )  # fmt: skip
