"""The figures of a report as pieces of its page."""

from __future__ import annotations

from collections.abc import Iterator

from matplotlib.figure import Figure

from sim.motion.solve import Trajectory
from sim.show import figures
from sim.show.replay import Motion
from sim.show.report import sections
from sim.show.report.gather import Entry
from sim.show.report.markup import Html, tag
from sim.show.shop import shop_sheet
from sim.show.units import US, Units


def picture(figure: Figure, name: str) -> Html:
    """One figure, which carries its own heading; `name` keeps its ids apart from those of others."""
    return tag("figure", Html(figures.as_svg(figure, prefix=name)))


def at_rest(entry: Entry, units: Units) -> Iterator[Html]:
    """How it sits, and what brings it back."""
    floating = entry.result.floating
    if floating.pitch_deg is None:
        return
    yield picture(figures.how_it_sits(floating, entry.lure, units), "sits")
    if floating.righting_heel:
        yield picture(figures.righting_arms(floating, units), "arms")


def let_go(entry: Entry, units: Units) -> Html:
    """The way down or up."""
    return picture(figures.drop_strip(_run(entry, "drop"), entry.lure, units), "drop")


def thrown(entry: Entry, units: Units) -> Html:
    """The flight."""
    return picture(figures.cast_path(_run(entry, "cast"), entry.lure, units), "cast")


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
        yield picture(figures.retrieve_depth(middle.run, entry.lure, units), f"depth{k}")
        yield picture(figures.wobble_trace(middle.run, entry.lure, units), f"swing{k}")
        yield picture(figures.line_shape(middle.run, entry.lure, units), f"line{k}")


def weights(entry: Entry, units: Units) -> Html:
    """What pulls down against what holds up."""
    return picture(figures.weight_budget(entry.result.budget, units), "budget")


def sheet(entry: Entry, units: Units) -> Html:
    """The shop sheet, which prints on a page of its own at full size."""
    paper = "letter" if units is US else "a4"
    page = shop_sheet(entry.design, entry.lure, entry.result.floating, paper, units)
    return tag("figure", Html(figures.as_svg(page, prefix="sheet")), class_=f"sheet {paper}")


def _run(entry: Entry, kind: str) -> Trajectory:
    return next(motion.run for motion in entry.motions if motion.kind == kind)
