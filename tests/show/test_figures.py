"""Figures: nothing over anything else, every scale with its unit, to scale, the same every time."""

import subprocess
import sys
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from xml.etree import ElementTree

import matplotlib
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure

from sim.design.load import DesignError, load, read
from sim.lure import BuildError, build
from sim.motion import kinematics as reading
from sim.show import figures
from sim.show.figures import fills, style
from sim.show.figures.sits import centre_of_lift
from sim.show.figures.weights import pieces
from sim.show.units import METRIC, US
from sim.trials import line_shape, retrieve
from sim.trials.budget import budget
from sim.trials.floating import rest
from sim.trials.recording import recorded
from sim.trials.results import Behaviour, Verdict
from tests import strategies
from tests.show import fakes, looks, shapes

SCENARIOS = sorted(path.stem for path in Path("scenarios").glob("*.toml"))
KINDS = ("sits", "weights", "righting", "drop", "cast", "depth", "wobble", "line")


@cache
def scenario(name):
    design = load(f"scenarios/{name}.toml")
    return design, build(design)


@cache
def motion(name, kind):
    design, lure = scenario(name)
    return recorded(design, lure, kind, next(iter(lure.tie_ons)), design.retrieve.speeds[-1].value)


def figure_of(name, kind, units=METRIC):
    design, lure = scenario(name)
    if kind == "weights":
        return figures.weight_budget(budget(design), units)
    if kind in ("sits", "righting"):
        result = rest(design, lure)
        return (
            figures.how_it_sits(result, lure, units)
            if kind == "sits"
            else figures.righting_arms(result, units)
        )
    make = {
        "drop": figures.drop_strip,
        "cast": figures.cast_path,
        "depth": figures.retrieve_depth,
        "wobble": figures.wobble_trace,
        "line": figures.line_shape,
    }[kind]
    return make(motion(name, kind if kind in ("drop", "cast") else "retrieve"), units)


WINDOWS = [
    (
        "lip_low",
        [(0.1, 0.25, "drags"), (0.25, 1.3, "wakes"), (1.3, 1.36, "rolls over"), (1.36, 1.42, "spins")],
    ),
    ("nose", [(0.1, 0.6, "runs just under"), (0.6, 0.65, "tracks off to a side"), (0.65, 2.0, "dives")]),
    ("a_name_as_long_as_a_name_may_be_40_letter", [(0.1, 2.0, Behaviour.UNKNOWN.value)]),
]


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("name", SCENARIOS)
def test_no_text_overlaps_or_is_cut_off_and_every_scale_has_its_unit(name, kind):
    assert looks.faults(figure_of(name, kind)) == []


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_holds_in_ounces_inches_and_feet(kind):
    assert looks.faults(figure_of("cellar_door", kind, US)) == []


@pytest.mark.parametrize("units", [METRIC, US], ids=["metric", "us"])
def test_bars_of_speed_windows_keep_their_texts_apart(units):
    assert looks.faults(figures.speed_windows(WINDOWS, units)) == []


@settings(max_examples=5, suppress_health_check=list(HealthCheck))
@given(strategies.designs())
def test_figures_of_any_lure_at_rest_keep_their_texts_apart(told):
    try:
        design = read(strategies.to_toml(told), "any.toml")
        lure = build(design)
    except (DesignError, BuildError):
        return
    sits = rest(design, lure)
    assert looks.faults(figures.how_it_sits(sits, lure)) == []
    assert looks.faults(figures.righting_arms(sits)) == []
    assert looks.faults(figures.weight_budget(budget(design))) == []


def test_the_checker_sees_what_is_wrong():
    figure = Figure(figsize=(3, 2))
    FigureCanvasAgg(figure)
    axes = figure.add_axes((0.25, 0.3, 0.7, 0.6))
    axes.set_xlabel("Time")
    axes.set_ylabel("Depth (m)")
    axes.text(0.5, 0.5, "one word")
    axes.text(0.52, 0.5, "another")
    axes.text(0.9, 0.9, "far too long to stay on the page")
    assert looks.faults(figure) == [
        "'one word' runs into 'another'",
        "'far too long to stay on the page' is cut off",
        "'Time' has no unit",
    ]


@pytest.mark.parametrize("kind", [*KINDS, "windows"])
def test_text_stands_out_from_what_it_stands_on(kind):
    """Contrast of at least 4.5 to 1 against the commonest colour in the box of each text."""
    if kind == "windows":
        figure = figures.speed_windows(WINDOWS)
    else:
        figure = figure_of("thimble_oar", kind)
    found = looks.texts(figure)
    page = np.asarray(figure.canvas.buffer_rgba())
    for text, box in found:
        part = page[
            page.shape[0] - int(box.y1) : page.shape[0] - int(box.y0), int(box.x0) : int(box.x1), :3
        ].reshape(-1, 3)
        colours, counts = np.unique(part, axis=0, return_counts=True)
        ground = tuple(colours[counts.argmax()] / 255)
        assert style.contrast(text.get_color(), ground) >= 4.5, (text.get_text(), ground)


def waterline(figure):
    """Row of the surface's colour at the left edge of a picture, and its rows of ink there beside it."""
    figure.set_dpi(100)
    figure.canvas.draw()
    page = np.asarray(figure.canvas.buffer_rgba())[:, :, :3].astype(int)
    near = np.abs(page[:, 1] - 255 * np.array(to_rgb(style.SURFACE))).sum(axis=1)
    darkness = np.where(near < 300, 300 - near, 0)
    return page, float((darkness * (np.arange(len(page)) + 0.5)).sum() / darkness.sum())


@pytest.mark.parametrize("height", [-6.0, -2.5, 0.0, 4.0])
def test_the_waterline_is_drawn_where_it_was_computed_within_a_pixel(height):
    """A ball-like body 40 mm tall: its top and its foot, where its outline is level, are the measure."""
    body = shapes.lure(
        [shapes.ellipsoid(60, 40, 40, steps=120)], tie_ons={"nose": (0, 0, 0)}, centre=(-30, 0, 0)
    )
    sits = fakes.floating(
        up_in_body=[0.0, 0.0, 1.0], origin_height_mm=height, freeboard_mm=20 + height, draught_mm=20 - height
    )
    page, water = waterline(figures.how_it_sits(sits, body))
    dry, wet = (255 * np.array(to_rgb(colour)) for colour in (style.DRY, style.WET))
    like = [np.abs(page - colour).sum(axis=2) < 12 for colour in (dry, wet)]
    rows = np.flatnonzero((like[0] | like[1]).any(axis=1))
    top, foot = rows[0], rows[-1] + 1
    assert water == pytest.approx(top + (foot - top) * (20 + height) / 40, abs=1.0)
    under = np.flatnonzero(like[1].sum(axis=1) > 20)
    assert under[0] == pytest.approx(water, abs=1.5)


@pytest.mark.parametrize("name", ["thimble_oar", "cellar_door", "porch_light"])
def test_the_surface_cuts_the_drawn_lure_where_the_result_says(name):
    design, lure = scenario(name)
    sits = rest(design, lure)
    figure = figures.how_it_sits(sits, lure)
    page, water = waterline(figure)
    axes = figure.axes[0]
    mm = axes.get_window_extent().height / np.ptp(axes.get_ylim())
    body = np.abs(page - 255 * np.array(to_rgb(style.DRY))).sum(axis=2) < 12
    top = np.flatnonzero(body.any(axis=1))[0] - 1  # its outline is a pixel and a half wide
    assert water - top == pytest.approx(sits.freeboard_mm * mm, abs=1.6)


def test_both_ways_have_one_scale():
    for name in ("cellar_door", "tin_leaf"):
        axes = figure_of(name, "sits").axes[0]
        box = axes.get_window_extent()
        assert np.ptp(axes.get_xlim()) / box.width == pytest.approx(np.ptp(axes.get_ylim()) / box.height)
    axes = figure_of("thimble_oar", "cast").axes[0]
    box = axes.get_window_extent()
    assert np.ptp(axes.get_xlim()) / box.width == pytest.approx(
        np.ptp(axes.get_ylim()) / box.height, rel=1e-6
    )


@pytest.mark.parametrize("name", ["thimble_oar", "cellar_door", "porch_light"])
def test_a_lure_at_rest_has_its_centre_of_buoyancy_straight_over_or_under_its_balance_point(name):
    design, lure = scenario(name)
    sits = rest(design, lure)
    apart = centre_of_lift(sits, lure) - lure.centre
    across = apart - (apart @ sits.up_in_body) * np.array(sits.up_in_body)
    assert np.linalg.norm(across) < 2e-5


def test_a_sinking_lure_gets_figures_that_say_so():
    design, lure = scenario("tin_leaf")
    assert "no place of rest" in figures.righting_arms(rest(design, lure)).get_label()
    assert "Sinks" in figures.how_it_sits(rest(design, lure), lure).get_label()


def test_what_holds_a_suspending_lure_upright_is_told_with_its_arm():
    design, lure = scenario("noon_and_midnight")
    sits = rest(design, lure)
    told = figures.righting_arms(sits).get_label()
    assert (
        f"the lift acts {sits.heel_gm_mm:.1f} mm above the balance point, and this arm alone holds it" in told
    )
    up = np.array(sits.up_in_body)
    arm = 1e3 * float((lure.centre_volume - lure.centre) @ up)  # from the weights themselves
    assert sits.heel_gm_mm == pytest.approx(arm, abs=0.02)
    floating = rest(*scenario("thimble_oar"))
    assert "alone holds it" not in figures.righting_arms(floating).get_label()


def test_a_lure_that_hangs_at_one_point_is_held_by_nothing():
    changes = {"verdict": Verdict.SUSPENDS, "heel_gm_mm": 0.001, "trim_gm_mm": 0.001}
    told = figures.righting_arms(fakes.floating(**changes)).get_label()
    assert "nothing holds it upright" in told


def test_a_lure_that_follows_without_swinging_is_said_to_do_so():
    for name in SCENARIOS:
        figure = figure_of(name, "wobble")
        still = "it does not swing" in figure.get_label()
        assert still == (not figure.axes), "an empty figure says why, and only that"
        design, lure = scenario(name)
        run = motion(name, "retrieve").run
        found = retrieve.describe(run, lure, next(iter(lure.tie_ons)), design.retrieve.speeds[-1].value)
        if still:
            assert found.wobble_hz is None
    assert "it does not swing" in figure_of("gravel_bell", "wobble").get_label()


def test_a_lure_that_turns_over_is_drawn_in_turns_and_has_no_beat():
    figure = figures.wobble_trace(turning(), METRIC)
    assert "it turns over: 6.0 turns in these 2.0 s" in figure.get_label()
    assert figure.axes[0].get_ylabel() == "From its mean (turns)"
    assert "one swing" not in " ".join(text.get_text() for text in figure.axes[0].texts)
    assert looks.faults(figure) == []


def turning():
    """A pull in which a lure turns over three times a second."""
    times = np.linspace(0.0, 4.0, 200)
    return SimpleNamespace(
        seconds=4.0, tie_on="nose", came_up_to_speed=True, line_speed=lambda: 0.5, window=lambda: times[100:],
        measured=lambda: SimpleNamespace(wobble=None, yaw_amplitude=5.0, roll_amplitude=400.0),
        swings=lambda t: (np.zeros(len(t)), 1080.0 * (t - t.mean())),
    )  # fmt: skip


def test_pictures_of_a_drop_stand_apart_and_say_that_across_is_time():
    figure = figure_of("thimble_oar", "drop")
    assert "across is time, not distance" in figure.get_label()
    axes = figure.axes[0]
    assert axes.get_xlabel() == "Seen after (s)"
    assert not [line for line in axes.lines if len(line.get_xdata()) > 10], (
        "no line that could be taken for a path"
    )
    run = motion("thimble_oar", "drop").run
    told = [float(tick.get_text()) for tick in axes.get_xticklabels()]
    assert told == pytest.approx(np.linspace(0.0, run.t[-1], len(told)), abs=0.051)


def test_a_leader_is_drawn_over_all_but_the_mark_that_it_names():
    axes = figure_of("porch_light", "sits").axes[0]
    marks = {line.get_marker(): line.get_zorder() for line in axes.lines if line.get_marker() != "None"}
    leaders = sorted(
        line.get_zorder()
        for line in axes.lines
        if line.get_color() == style.QUIET and len(line.get_xdata()) == 2
    )
    balls = max(patch.get_zorder() for patch in axes.patches)
    assert leaders[0] > balls
    assert leaders[-1] < marks["+"]
    assert leaders[-1] > marks["^"], "the balance point's leader crosses the triangle to its own disc"


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_figure_is_the_same_file(kind):
    one, two = figure_of("thimble_oar", kind), figure_of("thimble_oar", kind)
    assert figures.as_svg(one) == figures.as_svg(two)
    assert style.as_png(one, 60) == style.as_png(two, 60)


def test_an_svg_is_small_well_formed_and_says_what_it_shows():
    for kind in KINDS:
        figure = figure_of("thimble_oar", kind)
        text = figures.as_svg(figure)
        assert len(text) < 90_000
        root = ElementTree.fromstring(text)
        assert root.get("role") == "img"
        assert root.get("aria-label") == figure.get_label()
        assert "metadata" not in text
        assert "<!--" not in text


def test_a_prefix_keeps_the_ids_of_two_figures_apart():
    svg = [figures.as_svg(figure_of("thimble_oar", "sits"), prefix) for prefix in ("one", "two")]
    ids = [{e.get("id") for e in ElementTree.fromstring(text).iter() if e.get("id")} for text in svg]
    assert ids[0]
    assert not ids[0] & ids[1]
    for text, known in zip(svg, ids, strict=True):
        for element in ElementTree.fromstring(text).iter():
            target = element.get("{http://www.w3.org/1999/xlink}href", "#")
            assert target == "#" or target[1:] in known


def test_a_label_is_escaped():
    figure = style.sheet(0.2, "Title", 'Tied at <b> & "nose".')
    assert ElementTree.fromstring(figures.as_svg(figure)).get("aria-label") == 'Title. Tied at <b> & "nose".'


def test_making_figures_leaves_the_settings_of_matplotlib_alone():
    before = dict(matplotlib.rcParams)
    figures.as_svg(figure_of("tin_leaf", "weights"))
    assert dict(matplotlib.rcParams) == before


def test_the_settings_of_the_reader_change_no_figure():
    plain = figures.as_svg(figure_of("tin_leaf", "weights"))
    with matplotlib.rc_context({"font.size": 20, "axes.facecolor": "red", "text.usetex": False}):
        assert figures.as_svg(figure_of("tin_leaf", "weights")) == plain


def test_pyplot_is_not_used():
    code = "import sys, sim.show.figures; sys.exit('matplotlib.pyplot' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_save_knows_two_endings(tmp_path):
    figure = style.sheet(0.2, "Title", "Words.")
    figures.save(figure, tmp_path / "a.svg")
    figures.save(figure, tmp_path / "a.png")
    assert (tmp_path / "a.svg").read_text().startswith("<svg")
    assert (tmp_path / "a.png").read_bytes().startswith(b"\x89PNG")
    with pytest.raises(ValueError, match=r"'a.gif' does not end in .png or .svg"):
        figures.save(figure, tmp_path / "a.gif")


def test_a_name_with_dollar_signs_is_a_name():
    result = fakes.budget(parts=[fakes.part("body $x^2$", 4.0, 5.0, 1, 1)])
    svg = figures.as_svg(figures.weight_budget(result))
    assert svg.startswith("<svg")


def test_parts_add_up_however_many_are_put_together():
    many = [(f"part {k}", 0.1 * k) for k in range(40)]
    found = pieces(many, 10)
    assert len(found) == 10
    assert found[-1][0] == "30 lighter"
    assert sum(grams for _, grams in found) == pytest.approx(sum(grams for _, grams in many))


def test_the_drawn_line_runs_through_its_points_from_the_rod_tip_to_the_lure():
    design, lure = scenario("cellar_door")
    run = motion("cellar_door", "retrieve").run
    points = reading.line_points(np.array([4.0]), run.at([4.0]), run.flat)[0]
    away, deep = line_shape.shape(points, drawn=400)
    assert (away[0], deep[0]) == pytest.approx((0.0, -design.retrieve.tip.value))
    tie = run.at([4.0])[0, :3]
    assert np.linalg.norm(points[-1] - tie) < lure.length
    for point in points:
        nearest = np.hypot(away - np.hypot(*point[:2]), deep + point[2]).min()
        assert nearest < 0.05


def test_the_line_of_a_deep_runner_is_drawn_bent():
    run = motion("cellar_door", "retrieve").run
    away, deep = line_shape.shape(reading.line_points(np.array([4.0]), run.at([4.0]), run.flat)[0])
    straight = deep[0] + (deep[-1] - deep[0]) * away / away[-1]
    assert (straight - deep).max() > 0.05
    assert "; a straight line would at" in figure_of("cellar_door", "line").get_label()


def test_every_behaviour_has_its_own_area_and_none_rests_on_colour_alone():
    assert set(fills.FILLS) == set(Behaviour)
    looks_of = list(fills.FILLS.values())
    for k, one in enumerate(looks_of):
        for other in looks_of[k + 1 :]:
            assert one.hatch != other.hatch or style.contrast(one.colour, other.colour) > 1.15, (one, other)


def test_lines_differ_in_more_than_colour():
    assert len({str(ink.dashes) for ink in style.LINES}) == len(style.LINES)


def test_no_windows_say_so():
    assert "No tie-on point" in figures.speed_windows([]).get_label()


def test_windows_are_told_in_words_to_those_who_cannot_see_them():
    says = figures.speed_windows(WINDOWS).get_label()
    assert "tied at lip low: drags 0.10 to 0.25 m/s, wakes 0.25 to 1.30 m/s" in says.replace("\u00a0", " ")
