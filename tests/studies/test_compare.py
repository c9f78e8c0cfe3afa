"""Several designs side by side: what is run, what differs, and the page."""

import pytest

from sim.design.load import load, read
from sim.show.layout import WIDTH, Look
from sim.show.pages.comparison import comparison
from sim.show.units import US
from sim.studies.compare import NOTICED, WORDS, Compare, Variant, unlike, variants
from sim.studies.parameters import read as parameter
from sim.studies.plan import columns
from sim.trials.results import METRICS
from tests.show.terminal import terminal
from tests.studies import fakes
from tests.studies.work import RUNNER, SCENARIOS, TEXT

DESIGN = load(RUNNER)


def test_each_variant_is_asked_the_same_from_every_point_it_has():
    door = SCENARIOS / "porch_light.toml"
    designs = [DESIGN, load(door)]
    work = Compare([TEXT, door.read_text()], designs, [Variant("a"), Variant("b", 1)], "design", [0.5, 0.9])
    assert len(work) == 2 + 2 * (len(DESIGN.tie_on) + len(designs[1].tie_on))
    only = Compare(
        [TEXT, door.read_text()], designs, [Variant("a"), Variant("b", 1)], "design", [0.5], ["nose"]
    )
    assert len(only) == 2 + 2


def test_a_real_comparison_has_a_row_for_each_and_tells_the_depths_along():
    short = read(TEXT + 'duration = "2 s"\n', "x")
    angles = variants([parameter(short, "lip.angle=25deg,75deg")])
    work = Compare(
        [TEXT + 'duration = "2 s"\n'], [short], angles, "plate.lip.angle", [0.9], ["nose"], curves=True
    )
    assert sorted(work.run(workers=1)) == [0, 1, 2, 3]
    found = work.result()
    assert [(row.variant, row.tie_on, row.speed_m_s) for row in found.pulled] == [
        ("25deg", "nose", 0.9), ("75deg", "nose", 0.9)
    ]  # fmt: skip
    flat, steep = found.pulled
    assert flat.figures["retrieve.depth_m"] > steep.figures["retrieve.depth_m"]
    assert max(depth for _, depth in flat.curve) > max(depth for _, depth in steep.curve)
    assert found.still[0].figures["budget.margin_g"] == pytest.approx(1.9, abs=0.5)
    assert "25deg" in terminal(comparison, "x", found)


def test_what_a_maker_notices_most_comes_first():
    ranked = list(fakes.comparison().differences.items())
    assert ranked[0][0] == "retrieve.behaviour"  # another word before any number
    assert ranked[1] == ("retrieve.depth_m", pytest.approx((2.1 - 0.2) / NOTICED["retrieve.depth_m"]))
    assert dict(ranked)["retrieve.wobble_hz"] == 0.0
    assert dict(ranked)["budget.margin_g"] == 0.0


def test_a_difference_between_speeds_is_none_between_designs():
    alike = fakes.comparison(depths=(0.5, 0.5, 0.5), words=("dives",) * 3)
    assert alike.differences["retrieve.depth_m"] == 0.0
    assert alike.differences["retrieve.behaviour"] == 0.0


def test_every_figure_that_is_ranked_is_one_that_is_asked_and_can_be_shown():
    asked = set(columns(("budget", "float", "drop", "cast", "retrieve")))
    assert {*NOTICED, *WORDS} <= asked
    assert all(METRICS[name].head for name in [*NOTICED, *WORDS])


def test_the_page_tells_the_differences_first_and_what_is_alike_in_one_sentence():
    page = terminal(comparison, "Thimble Oar: lip.angle", fakes.comparison())
    lines = page.splitlines()
    assert lines[2].startswith("What differs most: what it does (dives, wakes), depth (0.20 to 2.10 m)")
    assert "Alike, or nearly: verdict floats; spare lift 3.00 g" in page
    assert all(len(line) <= WIDTH for line in lines)
    heads = next(line for line in lines if "Depth" in line).split()
    assert heads[:2] == ["Speed", "Depth"]


def test_the_page_of_designs_that_are_alike_says_so():
    alike = fakes.comparison(depths=(0.5, 0.5, 0.5), words=("dives",) * 3)
    still = tuple(alike.still[0].__class__(row.variant, dict(alike.still[0].figures)) for row in alike.still)
    from sim.studies.compare import Comparison, _ranked

    page = terminal(comparison, "x", Comparison("design", still, alike.pulled, _ranked(still, alike.pulled)))
    assert "Nothing differs by as much as you would notice." in page


def test_the_page_is_told_in_the_readers_units():
    assert "6.9" in terminal(comparison, "x", fakes.comparison(), look=Look(US))  # 2.1 m in feet


def test_a_run_without_an_answer_says_why():
    found = fakes.comparison()
    row = found.pulled[0].__class__("30deg", {}, "lip", 0.5, failure="cannot be built")
    page = terminal(
        comparison, "x", found.__class__("design", found.still, (row, *found.pulled), found.differences)
    )
    assert "30deg, lip at 0.50 m/s: cannot be built" in page


def test_files_that_differ_in_more_than_the_lure_are_found_out():
    other = read(TEXT.replace('temperature = "18 C"', 'temperature = "8 C"'), "x")
    assert unlike([DESIGN, other]) == ["water.temperature"]
    faster = read(TEXT.replace('"0.5 m/s"', '"0.6 m/s"').replace('angle = "55 deg"', 'angle = "50 deg"'), "x")
    assert unlike([DESIGN, faster]) == []
