"""Figures: functions from results and recordings to `matplotlib.figure.Figure`, and ways to write them.

A question that has no answer (a sinker has no waterline) gives a figure that says so. `figure.get_label()` is one
sentence that stands in for the figure where it cannot be seen.

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
