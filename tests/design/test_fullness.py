"""How far a body may differ from the shape that tells it, and what takes that doubt away."""

import math

import pytest

from sim.bench.found import FoundThing, posterior
from sim.design.fullness import OVAL, SECTION
from sim.design.load import read
from sim.design.priors import priors
from sim.lure.weigh import weigh
from sim.units import parse

SIZES = 'length = "70 mm"\nwidth = "16 mm"\nheight = "20 mm"\n'
HEAD = 'name = "Try"\n[body.main]\n'
TAIL = "[tie_on.nose]\n"


def design(body):
    return read(HEAD + body + TAIL, "try.toml")


def doubt(body):
    """Deviation of the fullness; None where it is not in doubt."""
    return next((p.value.sd for p in priors(design(body), model=False) if p.path.endswith("fullness")), None)


def sections(count, more=""):
    inner = "".join(
        f'{{ back = "{70 * k / (count + 1):.1f} mm", width = "16 mm", height = "20 mm"{more} }},'
        for k in range(1, count + 1)
    )
    ends = [
        '{ back = "0 mm", width = "0 mm", height = "0 mm" },',
        '{ back = "70 mm", width = "0 mm", height = "0 mm" }',
    ]
    return f'shape = "stations"\nmaterial = "cedar"\nstations = [{ends[0]}{inner}{ends[1]}]\n'


def test_three_sizes_leave_a_tenth_and_a_dunk_nothing():
    assert doubt(SIZES + 'material = "cedar"\n') == OVAL
    assert doubt(SIZES + 'material = "cedar"\ndisplaced = "12 mL"\n') is None
    assert doubt(SIZES + 'material = "cedar"\ncup = { before = "100.0 g", after = "112.0 g" }\n') is None


def test_more_sections_leave_less_and_a_told_section_least():
    few, many = doubt(sections(3)), doubt(sections(12))
    assert OVAL > few > many > SECTION
    assert doubt(sections(12, ", exponent = 2.5")) < 0.5 * many
    assert doubt(sections(12).replace('"16 mm"', '"20 mm"')) < 0.5 * many  # turned: round all along


FOUND = SIZES + 'weight = "12 g"\ncavity = "5 mL"\n'


def test_a_hollow_thing_of_three_sizes_encloses_what_the_bench_makes_of_the_same_readings():
    sizes = tuple(parse(size, "length") for size in ("70 mm", "16 mm", "20 mm"))
    left = posterior(FoundThing(parse("12 g", "mass"), parse("5 mL", "volume"), sizes))
    body = weigh(design(FOUND)).bodies[0]
    assert body.outer[0] == pytest.approx(left.quantile(left.volume, 0.5), rel=0.01)
    spread = doubt(FOUND) / design(FOUND).body["main"].fullness.value
    assert spread == pytest.approx(left.sd(left.volume) / left.mean(left.volume), rel=0.1)
    assert doubt(FOUND + 'density = "1.2 +- 0.05 g/cm3"\n') is None  # cavity and wall tell its volume


def test_what_the_maker_says_of_a_found_thing_or_a_dunk_beats_what_is_usual():
    assert design(FOUND + 'fullness = "1.3"\n').body["main"].fullness.value == 1.3
    assert design(FOUND + 'displaced = "14 mL"\n').body["main"].fullness is None
    assert design(SIZES + 'weight = "12 g"\n').body["main"].fullness is None  # an oval, and solid


def test_an_oval_that_leaves_no_wall_that_can_be_stays_an_oval_so_that_the_contradiction_is_told():
    body = design(SIZES + 'weight = "36 g"\ncavity = "9 mL"\n').body["main"]
    assert body.fullness is None  # 13 g/cm3


def test_what_the_maker_says_of_it_stands():
    assert doubt(SIZES + 'material = "cedar"\nfullness = "1.02 +- 0.01"\n') == 0.01
    assert doubt(SIZES + 'material = "cedar"\nfullness = "0.9"\n') == pytest.approx(0.9 * OVAL)


def test_a_fuller_body_encloses_so_much_more_and_stays_as_long():
    plain, fuller = (
        weigh(design(SIZES + 'material = "cedar"\n' + more)).bodies[0] for more in ("", 'fullness = "1.1"\n')
    )
    assert fuller.outer[0] / plain.outer[0] == pytest.approx(1.1, rel=1e-12)
    assert fuller.profile.length == plain.profile.length
    assert fuller.profile.at(fuller.profile.even(5)).b[2] / plain.profile.at(plain.profile.even(5)).b[
        2
    ] == pytest.approx(math.sqrt(1.1), rel=1e-9)
    assert weigh(design(SIZES + 'material = "cedar"\nfullness = "1.4"\n')).warnings == ()
