"""With `--units us` nothing that is told of a lure is in metric units, but what a maker wrote so."""

import pickle
import re

import pytest

from sim.cli import main
from sim.design.load import load, read
from sim.lure import BuildError, build
from sim.message import in_units
from sim.remark import Amount
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


IMPOSSIBLE = [
    (
        'length = "70 mm"\nwidth = "16 mm"\nheight = "20 mm"\nwall = "8 mm"\nmaterial = "abs"',
        "whole body's 0.630 in",
    ),
    (
        'length = "70 mm"\nwidth = "16 mm"\nheight = "20 mm"\nmaterial = "balsa"\n'
        '[ballast.keel]\nat = { back = "35 mm" }\nweight = "200 g"',
        "more room than the body has, 0.397 fl oz",
    ),
    (
        'length = "70 mm"\nwidth = "16 mm"\nheight = "20 mm"\nweight = "9 g"\n'
        'water_fill = { full = "9 g", empty = "17.4 g" }',
        "it weighs 0.3175 oz full of water and 0.6138 oz empty",
    ),
    (
        'length = "70 mm"\nwidth = "16 mm"\nheight = "20 mm"\nmaterial = "balsa"\n[water]\ntemperature = "45 C"',
        "104 F",
    ),
]


@pytest.mark.parametrize(("body", "says"), IMPOSSIBLE)
def test_what_cannot_be_is_told_in_the_readers_units(body, says, tmp_path, capsys):
    file = tmp_path / "odd.toml"
    file.write_text(
        f'name = "Odd"\n[body.main]\nshape = "ellipsoid"\n{body}\n[tie_on.nose]\nat = {{ back = "0 mm" }}\n'
    )
    assert main(["budget", str(file), "--units", "us"]) == 2
    error = capsys.readouterr().err
    assert says in error
    assert metric_in(error) == []
    assert main(["budget", str(file)]) == 2
    assert says not in capsys.readouterr().err


def test_an_error_keeps_its_amounts_on_its_way_from_another_process():
    full = BuildError("{key} holds {room:2}", key="body.main", room=Amount(12e-6, "volume"))
    sent = pickle.loads(pickle.dumps(full))
    assert (str(sent), in_units(sent, "us")) == ("body.main holds 12 mL", "body.main holds 0.41 fl oz")
