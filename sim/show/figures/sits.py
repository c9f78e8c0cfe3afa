"""How it sits: side and end view at rest, to scale, with the waterline."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from sim.design.materials import LEAD
from sim.hydrostatics.equilibrium import Floater
from sim.lure.lure import Lure
from sim.show import sentences
from sim.show.figures import labels
from sim.show.figures.drawing import (
    MM,
    UNDER_BALANCE,
    UNDER_LIFT,
    UNDER_TIE,
    balance_mark,
    extent,
    lift_mark,
    lure_on,
    rod_mark,
    tie_mark,
    weight_mark,
)
from sim.show.figures.style import EDGE, INK, LINE, SURFACE, WATER, WIDTH, drawn, panel, sheet
from sim.show.outline import FRONT, SIDE, View, from_front, from_side
from sim.show.units import METRIC, Units
from sim.trials.results import FloatResult

Array = NDArray[np.float64]

NAMES = 1.15  # in: from the middle of the name of one view to that of the other, at least
LEAST = 1e-6  # m: a drawing has some size
LONGEST_RULER = 0.9  # in
TALLEST = 3.2  # in, of the drawing itself
BETWEEN, APART = (
    1.42,
    0.5,
)  # in, between the two views: with the sizes above and below the surface, and without
BESIDE = 0.2  # in, left free at either side


@drawn
def how_it_sits(result: FloatResult, lure: Lure, units: Units = METRIC) -> Figure:
    """Side and end view with waterline, balance point, centre of buoyancy, tie-on points and hooks.

    The page is in millimetres with the surface at 0: what is drawn below 0 is under water.
    """
    upright = result.up_in_body is None
    up = np.array([0.0, 0.0, 1.0] if result.up_in_body is None else result.up_in_body)
    side, front = (SIDE, FRONT) if upright else (from_side(up), from_front(up))
    floats = result.origin_height_mm is not None
    height = 1e-3 * (result.origin_height_mm or 0.0)
    says = sentences.rest(result, units) + (" Drawn level." if upright else "")
    (left, low), (right, high) = extent(lure, side)
    (left2, low2), (right2, high2) = extent(lure, front)
    bottom, top = min(low, low2), max(high, high2)
    if not floats:  # nothing but water around it
        height = -(top + 0.15 * (top - bottom))
    bottom, top = min(bottom + height, 0.0), max(top + height, 0.0)
    wide, wide2 = max(right - left, LEAST), max(right2 - left2, LEAST)
    between = BETWEEN if floats else APART
    room = WIDTH - 2 * (EDGE + BESIDE) - between
    scale = min(room / (wide + wide2), TALLEST / max(top - bottom, LEAST))  # in/m
    mm = MM / scale  # page units for an inch
    slack = max((WIDTH - 2 * EDGE - (wide + wide2) * scale - between) / 2, 0.0)
    x_side = (EDGE + slack) * mm - left * MM
    x_front = (WIDTH - EDGE - slack) * mm - right2 * MM

    sizes: list[tuple[float, str, float]] = []
    if floats:
        sizes = _sizes(result, mm, units)
        half = 0.5 * LINE / scale  # room for the words of a lure that is flatter than they are tall
        bottom, top = min(bottom, sizes[0][2] / MM - half), max(top, sizes[1][2] / MM + half)

    lift = centre_of_lift(result, lure)
    named = [(lure.centre, "balance point", UNDER_BALANCE), (lift, "centre of buoyancy", UNDER_LIFT)]
    named += [(point, f"tie-on {labels.short(name)}", UNDER_TIE) for name, point in lure.tie_ons.items()]
    over, under = _sides(named, side, x_side, height)
    limits = EDGE * mm, x_side + right * MM + 0.2 * mm
    room = (limits[1] - limits[0]) / mm
    above, below = (labels.rows_for([item.text for item in items], room) for items in (over, under))
    floor = bottom * MM - (0.5 + labels.ROW * (below + 1)) * mm
    head = top * MM + (0.25 + labels.ROW * above) * mm
    body = (head - floor) / mm
    figure = sheet(body, "How it sits", says)
    axes = panel(figure, 0.0, 0.0, WIDTH, body)
    axes.set_axis_off()
    axes.set_xlim(0.0, WIDTH * mm)
    axes.set_ylim(floor, head)

    axes.fill_between([0.0, WIDTH * mm], floor, 0.0 if floats else head, color=WATER, linewidth=0, zorder=0)
    if floats:
        axes.plot([0.0, WIDTH * mm], [0.0, 0.0], color=SURFACE, linewidth=1.2, zorder=1, gid="waterline")
    for view, x in ((side, x_side), (front, x_front)):
        lure_on(axes, lure, view, (x, height * MM), water=0.0 if floats else None)
    _weights(axes, lure, side, x_side, height)
    for mark, point in ((lift_mark, lift), (balance_mark, lure.centre)):
        for view, x in ((side, x_side), (front, x_front)):
            mark(axes, *_page(view, point, x, height))
    for point in lure.tie_ons.values():
        tie_mark(axes, *_page(side, point, x_side, height))
    labels.row(axes, over, top * MM + 0.15 * mm, *limits, mm, above=True)
    labels.row(axes, under, bottom * MM - 0.15 * mm, *limits, mm, above=False)

    _reach(axes, sizes, x_side + right * MM + 0.25 * mm)
    foot = floor + 0.12 * mm
    taken = EDGE * mm + _ruler(axes, EDGE * mm, foot, mm, units)
    least = taken + 0.75 * mm
    one = max(x_side + 0.5 * (left + right) * MM, least)
    other = min(x_front + 0.5 * (left2 + right2) * MM, (WIDTH - EDGE - 0.5) * mm)
    # two views of a thin lure stand closer than their names may
    one = max(min(one, 0.5 * (one + other - NAMES * mm)), least)
    axes.text(one, foot, "from its left side", ha="center")
    axes.text(max(other, one + NAMES * mm), foot, "from the front", ha="center")
    return figure


def centre_of_lift(result: FloatResult, lure: Lure) -> Array:
    """Centre of the displaced water at rest (3,), lure axes, m; of the whole lure when it is all under."""
    if result.origin_height_mm is None or result.up_in_body is None or not result.immersed_fraction:
        return lure.centre_volume
    up = np.array(result.up_in_body)
    floater = Floater(lure, lure.mass / (lure.volume * result.immersed_fraction))
    held = floater.held(up, -1e-3 * result.origin_height_mm * up)
    return np.asarray(lure.centre - held.slope - held.energy * up)


def _page(view: View, point: Array, x: float, height: float) -> tuple[float, float]:
    right, up = view.seen(point[None])[0]
    return x + MM * right, MM * (height + up)


def _sides(
    named: list[tuple[Array, str, float]], view: View, x: float, height: float
) -> tuple[list[labels.Named], list[labels.Named]]:
    """Which names stand over the drawing and which under it: the higher half over; one place has one name."""
    places: dict[tuple[float, float], list[tuple[str, float]]] = {}
    for point, text, order in named:
        px, py = _page(view, point, x, height)
        places.setdefault((round(px, 1), round(py, 1)), []).append((text, order))
    items = sorted(
        (
            labels.Named(px, py, " and ".join(text for text, _ in same), max(order for _, order in same))
            for (px, py), same in places.items()
        ),
        key=lambda item: item.y,
    )
    half = len(items) // 2
    return items[half:], items[:half]


def _weights(axes: Axes, lure: Lure, view: View, x: float, height: float) -> None:
    for part in lure.parts:
        if part.kind == "ballast":
            if part.rod is not None:
                ends = np.array([_page(view, end, x, height) for end in (part.rod.start, part.rod.end)])
                rod_mark(axes, ends, part.rod.across, MM)
                continue
            diameter = (6.0 * part.mass / (np.pi * LEAD)) ** (1.0 / 3.0)
            weight_mark(axes, *_page(view, part.centre, x, height), diameter, MM)


def _sizes(result: FloatResult, inch: float, units: Units) -> list[tuple[float, str, float]]:
    """How far it reaches down and up from the surface: end (mm), words, and where the words stand (mm)."""
    deep, shows = result.draught_mm or 0.0, result.freeboard_mm or 0.0
    places = labels.spread([-0.55 * deep, 0.55 * shows], [LINE * inch] * 2, -math.inf, math.inf, 0.0)
    return [
        (-deep, f"{units.text('size', deep)} deep", places[0]),
        (shows, f"{units.text('size', shows)} shows", places[1]),
    ]


def _reach(axes: Axes, sizes: list[tuple[float, str, float]], x: float) -> None:
    """Arrows from the surface down and up, between the two views."""
    for end, words, place in sizes:
        axes.annotate(
            "", (x, end), (x, 0.0),
            arrowprops={"arrowstyle": "-|>", "color": INK, "linewidth": 0.9, "shrinkA": 0, "shrinkB": 0},
        )  # fmt: skip
        axes.text(x, place, f"  {words}", va="center")


def _ruler(axes: Axes, x: float, y: float, inch: float, units: Units) -> float:
    """A round length to measure by; returns the room it takes (page units)."""
    factor = units.scales["size"].factor
    longest = LONGEST_RULER * inch * factor
    power = 10.0 ** math.floor(math.log10(longest))
    number = max(step * power for step in (1, 2, 5) if step * power <= longest)
    text = f"{number:g} {units.unit('size')}"
    if units.unit("size") == "in":  # a rule in inches has halves, quarters and eighths
        number = 2.0 ** math.floor(math.log2(longest))
        text = f"{number:g} in" if number >= 1.0 else f"1/{round(1.0 / number)} in"
    axes.plot([x, x + number / factor], [y, y], color=INK, linewidth=2.2, zorder=5, solid_capstyle="butt")
    axes.text(x, y + 0.04 * inch, text, va="bottom")
    return max(number / factor, labels.width_in(text) * inch)
