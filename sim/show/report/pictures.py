"""The figures of a report as pieces of its page."""

from __future__ import annotations

from collections.abc import Iterator

from sim.motion.solve import Trajectory
from sim.show import figures
from sim.show.replay import Motion
from sim.show.report import sections
from sim.show.report.gather import Entry
from sim.show.report.study import figure_of
from sim.show.shop import lists, shop_sheet
from sim.show.units import US, Units
from sim.show.writers.markup import Html, join, listed, tag


def at_rest(entry: Entry, units: Units) -> Iterator[Html]:
    """How it sits, and what brings it back."""
    floating = entry.result.floating
    if floating.pitch_deg is None:
        return
    yield figure_of(figures.how_it_sits(floating, entry.lure, units), "sits")
    if floating.righting_heel:
        yield figure_of(figures.righting_arms(floating, units), "arms")


def let_go(entry: Entry, units: Units) -> Html:
    """The way down or up."""
    return figure_of(figures.drop_strip(_run(entry, "drop"), entry.lure, units), "drop")


def thrown(entry: Entry, units: Units) -> Html:
    """The flight."""
    return figure_of(figures.cast_path(_run(entry, "cast"), entry.lure, units), "cast")


def pulled(entry: Entry, units: Units) -> Iterator[Html]:
    """For each tie-on point, its depth and its swing at a middling speed, and the bend of the line."""
    points: dict[str, list[Motion]] = {}
    for motion in entry.motions:
        if motion.kind == "pull" and not motion.programme:
            points.setdefault(motion.tie_on, []).append(motion)
    for k, (point, runs) in enumerate(points.items()):
        middle = runs[len(runs) // 2]
        yield tag("h3", f"Tied at {point}, pulled at {units.text('speed', middle.speed)}")
        yield sections.causes(entry, middle)
        yield figure_of(figures.retrieve_depth(middle.run, entry.lure, units), f"depth{k}")
        yield figure_of(figures.wobble_trace(middle.run, entry.lure, units), f"swing{k}")
        yield figure_of(figures.line_shape(middle.run, entry.lure, units), f"line{k}")


def weights(entry: Entry, units: Units) -> Html:
    """What pulls down against what holds up."""
    return figure_of(figures.weight_budget(entry.result.budget, units), "budget")


def sheet(entry: Entry, units: Units) -> Html:
    """The shop sheet, which prints on a page of its own at full size."""
    paper = "letter" if units is US else "a4"
    page = shop_sheet(entry.design, entry.lure, entry.result.floating, paper, units)
    told = [
        join([tag("h3", head), listed(lines)])
        for head, lines in lists(entry.design, entry.lure, entry.result.floating, units)
    ]
    drawn = tag("figure", Html(figures.as_svg(page, prefix="sheet")), class_=f"sheet {paper}")
    return join([drawn, tag("div", *told, class_="lists")])


def _run(entry: Entry, kind: str) -> Trajectory:
    return next(motion.run for motion in entry.motions if motion.kind == kind)
