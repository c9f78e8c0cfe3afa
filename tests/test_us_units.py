"""With `--units us` nothing that is told of a lure is in metric units, but what a maker wrote so."""

import re

import pytest

from sim.design.load import load, read
from sim.lure import build
from sim.show.layout import Look
from sim.show.pages import trials as pages
from sim.show.sentences import look_again
from sim.show.units import METRIC, US
from sim.show.worded import worded
from sim.show.writers import text
from sim.trials.budget import budget
from sim.trials.floating import settled
from sim.trials.scene import medium
from tests import demos

METRIC_UNIT = re.compile(r"\d ?(mm|cm|g|mL|m/s|cm/s|kg|m)\b(?!/)")
QUOTED = re.compile(r"""(['"])\d[^'"]{0,20}\1|\([^()]*g/mL\)""")  # as the maker wrote it; a density
ODD = """
name = "Odd"
[water]
kind = "fresh"
[body.main]
shape = "ellipsoid"
length = "45 mm"
width = "33 mm"
height = "20 mm"
weight = "21 g"
cavity = "14 mL"
displaced = "28 +- 1 mL"
density = "1.2 g/cm3"
water_fill = { full = "31.4 g", empty = "21.0 g" }
[ballast.keel]
at = { back = "22 mm", up = "-10 mm" }
weight = "4 g"
[hook.tail]
at = { back = "145 mm", up = "-3 mm" }
weight = "1.4 g"
[tie_on.nose]
at = { back = "-90 mm" }
[retrieve]
speeds = ["5 m/s"]
[measured]
weight = "20 g"
displaced = "60 mL"
balance = "40 mm"
"""


def metric_in(said):
    return [found.group() for found in METRIC_UNIT.finditer(QUOTED.sub("", said))]


def told(design, units):
    weighed = budget(design)
    sits = settled(build(design), medium(design).density)
    written = [pages.budget(design.name, weighed, units), pages.floating(design.name, sits, units)]
    return "\n".join(text.write(page, Look(units)) for page in written), weighed


@pytest.mark.parametrize("name", demos.NAMES)
def test_the_weights_of_a_demo_are_told_in_the_readers_units(name):
    design = load(demos.FILES[demos.NAMES.index(name)])
    assert metric_in(told(design, METRIC)[0])
    assert metric_in(told(design, US)[0]) == []


def test_what_looks_odd_is_told_in_the_readers_units_and_in_json_in_metric_ones():
    said, weighed = told(read(ODD, "odd.toml"), US)
    assert len(weighed.warnings) >= 8
    assert metric_in(said) == []
    for one, metric in zip(look_again(weighed, US), look_again(weighed, METRIC), strict=True):
        assert metric_in(one) == []
        assert bool(metric_in(metric)) == (one != metric)
    kept = worded(weighed).model_dump(mode="json")
    assert kept["warnings"] == look_again(weighed, METRIC)
    assert {type(note) for note in kept["warnings"]} == {str}
