"""Behaviours over two numbers: the rectangle, the areas, the letters and the picture."""

from itertools import pairwise

import numpy as np
import pytest
from matplotlib.text import Text

from sim.design.load import load
from sim.lure import build
from sim.show import study_figures
from sim.show.figures import labels, style
from sim.show.figures.fills import fill_of
from sim.show.figures.style import contrast
from sim.show.pages import maps as maps_page
from sim.show.units import METRIC
from sim.studies import eyes, maps
from sim.studies.parameters import read as parameter
from sim.studies.redesign.clearance import bodies
from tests.show.terminal import terminal
from tests.studies import fakes
from tests.studies.work import RUNNER

DESIGN = load(RUNNER)
LURE = build(DESIGN)
RECTANGLE = maps.rectangle(DESIGN, LURE, "nose", 4, 3)


def two(steps=(4, 3)):
    return [
        parameter(DESIGN, "lip.angle=30deg..60deg", steps[0]),
        parameter(DESIGN, "lip.length=8mm..20mm", steps[1]),
    ]


def drawn(word, parameters=None, **changes):
    plan = fakes.plan(parameters or two(), **changes)
    return maps.drawn(plan, list(fakes.rows(plan, word))[::-1])


def test_the_default_rectangle_is_the_fore_half_of_the_lure():
    back, up = RECTANGLE
    assert (back.path, up.path) == ("tie_on.nose.at.back", "tie_on.nose.at.up")
    x = [back.cell(v) for v in back.levels()]
    lip_tip = 4.0 - 13.0 * np.cos(np.radians(55.0))  # its foremost point, by hand
    assert x[0] == pytest.approx(lip_tip, abs=0.5)
    assert x[-1] == pytest.approx(lip_tip + 0.5 * (70.0 - lip_tip), abs=0.5)
    z = [up.cell(v) for v in up.levels()]
    assert z == pytest.approx([-4.0 - 13.0 * np.sin(np.radians(55.0)), z[1], 9.5], abs=0.5)


def test_each_cell_of_the_map_is_the_run_at_its_place():
    found = drawn(lambda number: f"word {number}", speeds=(0.5, 0.9))
    assert [panel.speed for panel in found.panels] == [0.5, 0.9]
    # cases count through x, then y, then the speeds
    assert found.panels[0].behaviours == (
        ("word 1", "word 7", "word 13", "word 19"),
        ("word 3", "word 9", "word 15", "word 21"),
        ("word 5", "word 11", "word 17", "word 23"),
    )
    assert found.panels[1].behaviours[2][3] == "word 24"
    assert found.panels[1].depths[2, 3] == pytest.approx(0.24)
    assert (found.xs, found.ys) == ([30.0, 40.0, 50.0, 60.0], [8.0, 14.0, 20.0])


def test_the_deepest_place_that_is_named_is_one_where_it_swims():
    found = drawn(lambda number: "rolls over: on its side" if number > 6 else "dives")
    told = maps_page._map_answer(found, 0, METRIC)
    j, i = np.unravel_index(
        int(np.argmax([[word == "dives" for word in row] for row in found.panels[0].behaviours]
                      * found.panels[0].depths)), found.panels[0].depths.shape
    )  # fmt: skip
    assert found.panels[0].behaviours[j][i] == "dives"
    assert found.panels[0].depths[j, i] < np.nanmax(found.panels[0].depths)
    assert told.endswith(
        f"it goes deepest, {METRIC.depth(found.panels[0].depths[j, i])}, {maps_page._where(found, j, i, METRIC)}."
    )


def test_a_run_that_failed_or_is_missing_is_no_answer():
    plan = fakes.plan(two())
    rows = [row for row in fakes.rows(plan, lambda n: None if n == 1 else "dives") if row["case"] != 12]
    words = maps.drawn(plan, rows).panels[0].behaviours
    assert words[0][0] == words[2][3] == maps.NO_ANSWER
    assert sum(row.count("dives") for row in words) == 10


def test_areas_are_connected_and_the_largest_comes_first():
    words = [["a", "a", "b"], ["b", "a", "b"], ["b", "b", "a"]]
    assert [(word, len(cells)) for word, cells in maps.regions(words)] == [
        ("a", 3),
        ("b", 3),
        ("b", 2),
        ("a", 1),
    ]


def test_the_map_in_letters_has_the_nose_at_the_left_and_the_back_on_top():
    found = drawn(lambda n: "wakes" if n == 3 else "dives", RECTANGLE)  # the first place back, the highest up
    lines = terminal(maps_page.behaviours, "Thimble Oar", found).splitlines()
    picture = [line for line in lines if "|" in line]
    assert [line.split("|")[1].split() for line in picture] == [list("WDDD"), list("DDDD"), list("DDDD")]
    assert lines[0] == "Thimble Oar"
    assert lines[-1] == "D dives, W wakes."
    assert "Across: tie_on.nose.at.back, mm. Upward: tie_on.nose.at.up, mm." in " ".join(lines)


def test_every_behaviour_has_its_own_letter_and_its_own_area():
    assert len({maps_page.letter(word) for word in fakes.WORDS}) == len(fakes.WORDS)
    assert len({fill_of(word) for word in fakes.WORDS}) == len(fakes.WORDS)


def test_names_can_be_read_on_every_area():
    assert min(contrast("#1d2b33", fill_of(word).colour) for word in fakes.WORDS) >= 4.5


def inside(figure):
    """Every text of a figure that is seen lies within it; returns the texts."""
    with style.in_style():
        figure.canvas.draw()
    width, height = figure.canvas.get_width_height()
    unseen = {
        id(tick.label1)
        for axes in figure.axes
        for axis in (axes.xaxis, axes.yaxis)
        for tick in axis.get_major_ticks()
        if not min(axis.get_view_interval()) <= tick.get_loc() <= max(axis.get_view_interval())
    }
    texts = [
        text
        for text in figure.findobj(Text)
        if text.get_visible() and text.get_text().strip() and id(text) not in unseen
    ]
    for text in texts:
        box = text.get_window_extent()
        if box.width > 0:
            assert box.x0 >= -1, text.get_text()
            assert box.x1 <= width + 1, text.get_text()
            assert box.y0 >= -1, text.get_text()
            assert box.y1 <= height + 1, text.get_text()
    return [text.get_text() for text in texts]


def test_the_picture_names_its_areas_its_axes_and_the_speeds():
    big = maps.rectangle(DESIGN, LURE, "nose", 12, 8)
    found = drawn(lambda n: "dives" if n < 60 else "tracks off to a side", big, speeds=(0.5, 0.9))
    figure = study_figures.behaviour_map(found, "Thimble Oar", LURE)
    texts = inside(figure)
    assert {"dives", "tracks off to a side", "at 0.50 m/s", "nose", "lip"} <= set(texts)
    assert "Tie-on point behind the nose (mm)" in texts
    assert figure.get_label() == "Thimble Oar: tracks off to a side, dives"


def test_no_name_of_an_area_lies_over_the_lure_or_its_tie_on_points():
    for steps in ((7, 4), (12, 8), (16, 10)):
        big = maps.rectangle(DESIGN, LURE, "nose", *steps)
        cells = steps[0] * steps[1]
        found = drawn(lambda n, cells=cells: fakes.WORDS[4 * n // (cells + 1)], big)
        figure = study_figures.behaviour_map(found, "x", LURE)
        with style.in_style():
            figure.canvas.draw()
        (axes,) = figure.axes
        names = [t.get_window_extent() for t in axes.texts if t.get_weight() == "bold"]
        assert names
        for line in axes.lines:
            path = axes.transData.transform_path(line.get_path())
            for box in names:
                assert not path.intersects_bbox(box, filled=False)


def test_the_picture_over_any_two_numbers_has_their_units():
    texts = inside(study_figures.behaviour_map(drawn(lambda n: "wakes"), "x"))
    assert {"plate.lip.angle (deg)", "plate.lip.length (mm)"} <= set(texts)


def test_the_same_map_gives_the_same_picture(tmp_path):
    from sim.show.figures.style import as_svg

    made = [as_svg(study_figures.behaviour_map(drawn(lambda n: fakes.WORDS[n]), "x", LURE)) for _ in range(2)]
    assert made[0] == made[1]


def test_the_picture_of_a_comparison_names_every_curve():
    figure = study_figures.comparison(fakes.comparison(), "Thimble Oar")
    texts = inside(figure)
    assert texts.count("30deg") >= 4  # at the end of a curve in each panel
    assert {"Depth (m)", "To the rod tip (m)", "Tied at lip, 0.50\u00a0m/s", "Spare lift"} <= set(texts)


@pytest.mark.parametrize(
    ("places", "gap", "limit"),
    [((0.0, 0.0, 0.0), 0.2, 1.0), ((0.9, 1.0), 0.3, 1.0), ((0.5, 0.1, 0.45), 0.1, 1.0)],
)
def test_names_at_the_ends_of_curves_stand_apart_in_their_order(places, gap, limit):
    moved = labels.spread(sorted(places), [0.0] * len(places), 0.0, limit, gap)
    assert all(b - a >= gap - 1e-9 for a, b in pairwise(moved))
    assert max(moved) <= limit


def test_a_name_stands_in_its_area_or_in_the_key_alone():
    big = maps.rectangle(DESIGN, LURE, "nose", 18, 9)
    figure = study_figures.behaviour_map(
        drawn(lambda n: fakes.WORDS[(n // 9) % len(fakes.WORDS)], big), "x", LURE
    )
    with style.in_style():
        figure.canvas.draw()
    (axes,) = figure.axes
    boxes = [text.get_window_extent() for text in axes.texts if text.get_text()]
    assert not any(a.overlaps(b) for k, a in enumerate(boxes) for b in boxes[:k])
    keys = {text.get_text() for text in figure.legends[0].get_texts()}
    assert keys == {word.split(":")[0] for word in fakes.WORDS}


def test_an_eye_can_be_on_a_body_or_a_sheet_not_deep_inside_nor_in_open_water():
    plan = fakes.plan(RECTANGLE)
    none = maps.no_places(plan, DESIGN)
    assert 0 < len(none) < 12
    built = bodies(DESIGN)
    nose, tail = LURE.hulls[0].vertices[:, 0].max(), LURE.hulls[0].vertices[:, 0].min()
    assert eyes.can_be(np.array([nose + 0.001, 0.0, 0.0]), DESIGN, built)
    assert not eyes.can_be(np.array([nose + 0.006, 0.0, 0.0]), DESIGN, built)
    assert not eyes.can_be(np.array([0.5 * (nose + tail), 0.0, 0.0]), DESIGN, built)
    found = maps.drawn(plan, [], none)
    assert maps.NO_PLACE not in found.behaviours()
    assert sum(row.count(maps.NO_PLACE) for row in found.panels[0].behaviours) == len(none)


def test_a_flat_sheet_has_places_on_it_and_beside_it():
    sheet = load("scenarios/tin_leaf.toml")
    up = maps.rectangle(sheet, build(sheet), next(iter(sheet.tie_on)), 4, 3)[1].levels()
    assert up[-1].value - up[0].value >= 2 * eyes.REACH - 1e-9
