"""What a figure must keep to whatever it shows: texts apart and on the page, every scale with its unit."""

import re
from itertools import combinations

from matplotlib.text import Text

from sim.show.figures.style import in_style

UNIT = re.compile(r"\((mm|cm|m|in|ft|g|oz|s|m/s|ft/s|N|lbf|degrees|turns)\)$")
SLACK = 0.5  # px: the box of a text is a little larger than its ink


def texts(figure):
    """Texts that are to be seen, with their boxes in pixels."""
    with in_style():
        figure.canvas.draw()
        renderer = figure.canvas.get_renderer()
        found = [t for t in figure.findobj(Text) if t.get_visible() and t.get_text().strip()]
        ticks = {id(t) for axes in figure.axes for t in _hidden(axes)}
        return [(t, t.get_window_extent(renderer)) for t in found if id(t) not in ticks]


def _hidden(axes):
    """Labels of ticks that lie outside their axis, or of axes that are switched off: matplotlib keeps but does
    not draw them."""
    for axis in (axes.xaxis, axes.yaxis):
        low, high = sorted(axis.get_view_interval())
        slack = 1e-6 * (high - low)
        for tick in [*axis.get_major_ticks(), *axis.get_minor_ticks()]:
            if not axes.axison or not low - slack <= tick.get_loc() <= high + slack:
                yield from (tick.label1, tick.label2)


def misplaced(figure):
    """Texts whose boxes run into each other, and those that stick out of the page, as words."""
    page, found = figure.bbox, texts(figure)
    return [
        *(
            f"{a.get_text()!r} runs into {b.get_text()!r}"
            for (a, one), (b, two) in combinations(found, 2)
            if one.x0 < two.x1 - SLACK
            and two.x0 < one.x1 - SLACK
            and one.y0 < two.y1 - SLACK
            and two.y0 < one.y1 - SLACK
        ),
        *(
            f"{t.get_text()!r} is cut off"
            for t, b in found
            if b.x0 < page.x0 - SLACK
            or b.x1 > page.x1 + SLACK
            or b.y0 < page.y0 - SLACK
            or b.y1 > page.y1 + SLACK
        ),
    ]


def without_unit(figure):
    """Labels of scales that end in no unit; an axis with ticks and no label counts too."""
    found = []
    for axes in figure.axes:
        if not axes.axison:
            continue
        for axis in (axes.xaxis, axes.yaxis):
            if axis.get_ticklocs().size and not UNIT.search(axis.get_label_text()):
                found.append(axis.get_label_text() or "no label")
    return found


def faults(figure):
    """All that is wrong, as words."""
    return [*misplaced(figure), *(f"{label!r} has no unit" for label in without_unit(figure))]
