"""Figures: functions from results and recordings to `matplotlib.figure.Figure`, and ways to write them.

    how_it_sits(result: FloatResult, lure, units)              side and end view with the waterline
    weight_budget(result: BudgetResult, units)                 what pulls down against what holds up
    righting_arms(result: FloatResult, units)                  what brings it back when it is turned
    drop_strip(motion: Recording, units)                   attitudes at equal times; depth against time
    cast_path(motion: Recording, units)                    the flight with attitudes
    retrieve_depth(motion: Recording, units)               depth along the retrieve
    wobble_trace(motion: Recording, units)                 yaw and roll against time, and their rate
    line_shape(motion: Recording, units, at=None)          the line from lure to rod tip at one moment (s)
    speed_windows(windows, units)                              [(tie_on, [(low, high, behaviour)])], m/s;
                                                               bars(found) makes them of a WindowsResult

`lure` is a `sim.lure.lure.Lure` with hulls, `units` one of `sim.show.units` (metric if left out). A question
that has no answer (a sinker has no waterline) gives a figure that says so. `figure.get_label()` is one
sentence that stands in for the figure where it cannot be seen.

    save(figure, path)              SVG or PNG by the ending of the name
    as_svg(figure, prefix="")       "<svg ...>" with a label for screen readers and no document head; `prefix`
                                    keeps the ids of several figures on one page apart

The same figure gives the same bytes every time. Figures are made without pyplot and leave matplotlib's own
settings as they were.
"""

from sim.show.figures.falls import drop_strip
from sim.show.figures.flies import cast_path
from sim.show.figures.line import line_shape
from sim.show.figures.pulls import retrieve_depth, wobble_trace
from sim.show.figures.righting import righting_arms
from sim.show.figures.sits import how_it_sits
from sim.show.figures.style import as_svg, save
from sim.show.figures.weights import weight_budget
from sim.show.figures.windows import bars, speed_windows

__all__ = [
    "as_svg",
    "bars",
    "cast_path",
    "drop_strip",
    "how_it_sits",
    "line_shape",
    "retrieve_depth",
    "righting_arms",
    "save",
    "speed_windows",
    "weight_budget",
    "wobble_trace",
]
