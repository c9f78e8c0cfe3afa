"""Masses, volumes and places: which number wins, what is taken out of what, and what is said about it."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.design.paths import replaced
from sim.lure import BuildError, build, weigh
from tests.in_words import in_words
from tests.lure.makers import OVAL, design, one, runner

LEAD, STEEL = 11340.0, 7850.0
OVAL_VOLUME = math.pi / 6.0 * 0.07 * 0.016 * 0.02


def row(weighed, name):
    (found,) = [p for p in weighed.parts if p.name == name]
    return found


def test_a_solid_body_weighs_its_density_times_its_volume() -> None:
    part = row(weigh(one(**{**OVAL, "density": "0.2 g/cm3"})), "body main")
    assert part.mass == pytest.approx(200.0 * OVAL_VOLUME, rel=1e-12)
    assert part.volume == pytest.approx(OVAL_VOLUME, rel=1e-12)
    assert part.source == "computed"
    assert row(weigh(one(**OVAL)), "body main").source == "handbook"


def test_a_weighed_body_is_weighed_and_the_density_is_only_a_note() -> None:
    part = row(weigh(one(**OVAL, weight="1.95 g")), "body main")
    assert part.mass == pytest.approx(1.95e-3, rel=1e-12)
    assert part.source == "measured"
    assert in_words(part.notes) == ["weighed 1.95 g, 1.88 g by its density"]


def test_a_dunked_volume_beats_cavity_and_wall_which_beat_the_sizes() -> None:
    hollow = {"length": "45 mm", "width": "36 mm", "height": "40 mm"}
    shell = {"weight": "22.14 g", "cavity": "15 mL", "density": "1.05 g/cm3"}
    by_sizes = weigh(one(**hollow, cavity="15 mL", density="1.05 g/cm3"))
    assert by_sizes.volume == pytest.approx(math.pi / 6.0 * 45e-3 * 36e-3 * 40e-3, rel=1e-12)
    by_wall = weigh(one(**hollow, **shell))
    assert by_wall.volume == pytest.approx(15e-6 + 22.14e-3 / 1050.0, rel=1e-12)
    dunked = weigh(one(**hollow, **shell, displaced="30 mL"))
    assert dunked.volume == pytest.approx(30e-6, rel=1e-12)


def test_a_hollow_body_displaces_its_cavity_and_its_wall() -> None:
    # common practice, no source: a 22.14 g shell is not carried by its 15 mL cavity alone
    for density in (900.0, 1050.0, 1400.0, 3000.0):
        whole = weigh(
            one(length="45 mm", width="36 mm", height="40 mm", weight="22.14 g", cavity="15 mL",
                density=f"{density} kg/m3")
        )  # fmt: skip
        assert whole.volume > 15e-6
        assert whole.volume == pytest.approx(15e-6 + 22.14e-3 / density, rel=1e-12)
        assert whole.mass == pytest.approx(22.14e-3, rel=1e-12)


def test_a_walls_weight_follows_from_its_thickness() -> None:
    ball = weigh(one(length="40 mm", width="40 mm", height="40 mm", wall="2 mm", density="1.2 g/cm3"))
    wall = 4.0 / 3.0 * math.pi * (0.02**3 - 0.018**3)
    assert ball.mass == pytest.approx(1200.0 * wall, rel=1e-3)
    # a thick shell's inertia: 2/5 m (R^5 - r^5) / (R^3 - r^3)
    about = 0.4 * ball.mass * (0.02**5 - 0.018**5) / (0.02**3 - 0.018**3)
    assert np.diag(ball.inertia) == pytest.approx([about] * 3, rel=2e-3)


def test_fill_takes_the_cavity_and_displaces_nothing_of_its_own() -> None:
    hollow = {"length": "45 mm", "width": "36 mm", "height": "40 mm", "weight": "9 g", "cavity": "15 mL"}
    # common practice, no source: 15 mL at 0.58 g/mL takes about 8.7 g
    filled = weigh(one(**hollow, fill_density="0.58 g/mL"))
    fill = row(filled, "fill main")
    assert fill.mass == pytest.approx(8.7e-3, rel=1e-9)
    assert fill.volume == 0.0
    assert filled.volume == weigh(one(**hollow)).volume
    assert row(weigh(one(**hollow, fill_weight="8.8 g")), "fill main").mass == pytest.approx(8.8e-3)


def test_a_weight_in_the_cavity_pushes_poured_fill_aside_but_not_weighed_fill() -> None:
    hollow = {"length": "45 mm", "width": "36 mm", "height": "40 mm", "weight": "9 g", "cavity": "15 mL"}
    lead = {"in": {"at": {"back": "20 mm"}, "weight": "11.34 g", "place": "cavity"}}
    poured = weigh(design(body={"main": {**hollow, "fill_density": "0.58 g/mL"}}, ballast=lead))
    assert row(poured, "fill main").mass == pytest.approx(580.0 * 14e-6, rel=1e-9)
    weighed = weigh(design(body={"main": {**hollow, "fill_weight": "8.7 g"}}, ballast=lead))
    assert row(weighed, "fill main").mass == pytest.approx(8.7e-3, rel=1e-12)


def test_drilled_ballast_takes_the_bodys_place_unless_the_body_was_weighed() -> None:
    lead = {"keel": {"at": {"back": "30 mm", "up": "-4 mm"}, "weight": "3 g"}}
    computed = weigh(design(body={"main": {**OVAL, "density": "0.2 g/cm3"}}, ballast=lead))
    assert row(computed, "body main").mass == pytest.approx(200.0 * (OVAL_VOLUME - 3e-3 / LEAD), rel=1e-12)
    assert computed.volume == pytest.approx(OVAL_VOLUME, rel=1e-12)
    weighed = weigh(design(body={"main": {**OVAL, "weight": "2 g"}}, ballast=lead))
    assert row(weighed, "body main").mass == pytest.approx(2e-3, rel=1e-12)
    assert weighed.mass == pytest.approx(5e-3, rel=1e-12)


def test_outside_ballast_and_hooks_displace_their_own_volume() -> None:
    bare = weigh(one(**OVAL)).volume
    tape = weigh(
        design(
            body={"main": OVAL},
            ballast={"tape": {"at": {"back": "30 mm"}, "weight": "1 g", "place": "outside"}},
            hook={"tail": {"at": {"back": "70 mm"}, "weight": "1.57 g"}},
        )
    )
    assert tape.volume - bare == pytest.approx(1e-3 / LEAD + 1.57e-3 / STEEL, rel=1e-9)


def test_paint_adds_its_weight_and_its_volume_over_the_skin() -> None:
    ball = {"length": "20 mm", "width": "20 mm", "height": "20 mm", "density": "0.5 g/cm3"}
    bare = weigh(one(**ball))
    coated = weigh(design(body={"main": ball}, paint={"thickness": "0.1 mm", "density": "1.2 g/cm3"}))
    film = 4.0 * math.pi * 0.01**2 * 1e-4
    assert coated.mass - bare.mass == pytest.approx(1200.0 * film, rel=1e-6)
    assert coated.volume - bare.volume == pytest.approx(film, rel=1e-6)
    # a thin shell's inertia: 2/3 m R^2
    gain = coated.inertia - bare.inertia
    assert np.diag(gain) == pytest.approx([2.0 / 3.0 * 1200.0 * film * 0.01**2] * 3, rel=1e-3)
    by_weight = weigh(design(body={"main": ball}, paint={"weight": "0.3 g"}))
    assert by_weight.mass - bare.mass == pytest.approx(0.3e-3, rel=1e-9)


def test_paint_on_a_lure_without_a_body_coats_its_plates() -> None:
    spoon = {"role": "spoon", "length": "60 mm", "width": "20 mm", "thickness": "1 mm", "material": "brass"}
    coated = design(plate={"sheet": spoon}, paint={"thickness": "0.1 mm"})
    whole = weigh(coated)
    assert row(whole, "paint sheet").mass == pytest.approx(2.0 * 60e-3 * 20e-3 * 1e-4 * 1200.0, rel=1e-9)
    assert build(coated).small[:, 9].sum() == pytest.approx(whole.volume, rel=1e-12)


def test_plates_and_wires_are_slabs_and_rods() -> None:
    whole = weigh(
        design(
            plate={"sheet": {"role": "spoon", "length": "60 mm", "width": "20 mm", "thickness": "2 mm",
                             "density": "8 g/cm3"}},
        )
    )  # fmt: skip
    mass = 8000.0 * 60e-3 * 20e-3 * 2e-3
    assert whole.mass == pytest.approx(mass, rel=1e-12)
    assert np.diag(whole.inertia) == pytest.approx(
        mass / 12.0 * np.array([0.02**2 + 0.002**2, 0.06**2 + 0.002**2, 0.06**2 + 0.02**2]), rel=1e-9
    )
    assert whole.centre == pytest.approx([-0.03, 0.0, 0.0], abs=1e-15)
    rod = weigh(design(wire={"leg": {"start": {}, "end": {"left": "40 mm"}, "diameter": "2 mm"}}))
    mass = STEEL * math.pi * 1e-6 * 0.04
    assert rod.mass == pytest.approx(mass, rel=1e-12)
    assert np.diag(rod.inertia) == pytest.approx(
        mass * np.array([0.04**2 / 12 + 1e-6 / 4, 1e-6 / 2, 0.04**2 / 12 + 1e-6 / 4]), rel=1e-9
    )


def test_a_rounded_plate_loses_its_corners() -> None:
    def lip(outline: str, length: float) -> float:
        return weigh(
            design(
                plate={"lip": {"role": "lip", "length": f"{length} mm", "width": "20 mm", "outline": outline}}
            )
        ).volume

    assert lip("round", 22) == pytest.approx((20 * 12 + math.pi * 100 / 2) * 1e-9, rel=1e-12)
    assert lip("round", 5) == pytest.approx(math.pi * 10 * 5 / 2 * 1e-9, rel=1e-12)
    assert lip("straight", 22) == pytest.approx(440e-9, rel=1e-12)


def test_a_rounded_plates_inertia_is_that_of_its_true_outline() -> None:
    whole = weigh(
        design(plate={"t": {"role": "tail", "length": "30 mm", "width": "20 mm", "thickness": "1 mm",
                            "outline": "round", "density": "1 g/cm3"}})
    )  # fmt: skip
    u = np.linspace(0.0, 0.03, 200001)
    half = np.where(u < 0.02, 0.01, 0.01 * np.sqrt(np.clip(1.0 - ((u - 0.02) / 0.01) ** 2, 0.0, 1.0)))
    line = 2.0 * half
    area = np.trapezoid(line, u)
    middle = np.trapezoid(line * u, u) / area
    assert -whole.centre[0] == pytest.approx(middle, rel=1e-6)
    along = np.trapezoid(line * (u - middle) ** 2, u) + area * 1e-6 / 12.0
    assert whole.inertia[1, 1] == pytest.approx(along, rel=1e-6)
    across = np.trapezoid(2.0 * half**3 / 3.0, u) + area * 1e-6 / 12.0
    assert whole.inertia[0, 0] == pytest.approx(across, rel=1e-6)


def test_measured_values_of_the_whole_lure_beat_the_sum_and_show_the_difference() -> None:
    parts = {"body": {"main": {**OVAL, "weight": "4 g"}},
             "hook": {"h": {"at": {"back": "30 mm", "up": "-9 mm"}, "weight": "1 g"}}}  # fmt: skip
    plain = weigh(design(**parts))
    told = weigh(design(**parts, measured={"weight": "5.3 g", "displaced": "12.4 mL", "balance": "33 mm"}))
    assert told.mass == pytest.approx(5.3e-3, rel=1e-12)
    assert told.volume == pytest.approx(12.4e-6, rel=1e-12)
    assert told.centre[0] == pytest.approx(-0.033, rel=1e-12)
    extra = row(told, "measured whole")
    assert extra.mass == pytest.approx(0.3e-3, rel=1e-9)
    assert extra.volume == pytest.approx(12.4e-6 - plain.volume, rel=1e-9)
    weighed, dunked, balances = in_words(extra.notes)
    assert weighed == "weighed 5.30 g, parts add up to 5.00 g"
    assert dunked.startswith("dunked 12.4 mL")
    assert balances == "balances 33.0 mm behind the nose, computed 34.0 mm"
    # the rows still add up to the whole
    moment = sum(p.mass * p.centre for p in told.parts)
    assert moment / told.mass == pytest.approx(told.centre, abs=1e-12)
    about = np.zeros((3, 3))
    for p in told.parts:
        gap = p.centre - told.centre
        about += p.inertia + p.mass * (gap @ gap * np.eye(3) - np.outer(gap, gap))
    assert about == pytest.approx(told.inertia, abs=1e-9 * told.inertia.max())


@settings(max_examples=40)
@given(weight=st.floats(0.5, 60.0), balance=st.floats(-20.0, 120.0))
def test_whatever_was_measured_the_inertia_stays_positive(weight: float, balance: float) -> None:
    told = {"weight": f"{weight} g", "balance": f"{balance} mm"}
    whole = weigh(runner().model_copy(update={"measured": design(measured=told).measured}))
    assert np.linalg.eigvalsh(whole.inertia).min() > 0.0
    assert whole.mass == pytest.approx(weight * 1e-3, rel=1e-12)


def test_a_measured_volume_is_carried_by_hulls_strips_and_small_parts() -> None:
    told = runner().model_copy(update={"measured": design(measured={"displaced": "14 mL"}).measured})
    lure = build(told)
    assert lure.volume == pytest.approx(14e-6, rel=1e-12)
    assert math.fsum(lure.elements.common[:, 9]) == pytest.approx(14e-6, rel=1e-12)


def test_a_symmetric_lure_has_exactly_nothing_sideways() -> None:
    whole = weigh(runner())
    assert whole.centre[1] == 0.0
    assert whole.centre_volume[1] == 0.0
    assert whole.inertia[0, 1] == whole.inertia[1, 2] == whole.inertia[1, 0] == whole.inertia[2, 1] == 0.0


def test_twins_stand_beside_each_other_as_mirror_images() -> None:
    parts = weigh(runner()).parts
    names = [p.name for p in parts]
    pairs = 0
    for k, name in enumerate(names):
        if not name.endswith(" (left)"):
            continue
        assert names[k + 1] == name.replace("(left)", "(right)")
        here, there = parts[k], parts[k + 1]
        assert here.mass == there.mass
        assert np.array_equal(here.centre * [1.0, -1.0, 1.0], there.centre)
        pairs += 1
    assert pairs == 6  # leg, its paint, fin, arm, eye, cheeks


@pytest.mark.parametrize(
    ("tables", "says"),
    [
        (
            {"body": {"main": {**OVAL, "displaced": "30 mL"}}},
            "body.main: its sizes enclose 11.7 mL but displaced gives 30.0 mL, so width and height were "
            "multiplied by 1.60; check the sizes, or whether the cavity was taken for the whole",
        ),
        (
            {"body": {"main": {**OVAL, "weight": "40 g"}}},
            "body.main.weight is heavier than its volume can explain: 40.0 g in 11.7 mL is "
            "3.41 g/cm3, against "
            "0.16 g/cm3 for what it is made of; check the weight, the sizes and the units",
        ),
        (
            {"body": {"main": OVAL}, "ballast": {"b": {"at": {"back": "90 mm"}, "weight": "1 g"}}},
            "ballast.b has its centre outside body.main; move it inside, or set place = "
            "\"outside\" so that its "
            "own volume counts",
        ),
        (
            {
                "body": {"main": OVAL},
                "ballast": {"b": {"at": {"back": "30 mm"}, "weight": "1 g", "place": "cavity"}},
            },
            "ballast.b lies in the cavity of body.main, which is solid; taken as drilled",
        ),
        (
            {"body": {"main": {**OVAL, "wall": "12 mm"}}},
            "body.main.wall = '12 mm' leaves no hollow inside; taken as solid",
        ),
        (
            {"body": {"main": {**OVAL, "fill": "foam"}}},
            "body.main has a fill but no cavity or wall; the fill was left out",
        ),
        (
            {"body": {"main": OVAL}, "fitting": {"eye": {"weight": "0.2 g", "mirrored": True}}},
            "fitting.eye is mirrored but sits on the middle line, so its twin lies in the "
            "same place and counts "
            "twice; give it a `left`, or drop `mirrored`",
        ),
        (
            {"body": {"main": OVAL}, "ballast": {"keel": {"at": {"back": "30 mm", "up": "-8 mm"}, "weight": "4 g"}}},
            "ballast.keel has no room there: as a ball it is 8.8 mm across and comes through the outside of body.main; "
            "move it inward, or check its weight",
        ),
        (
            {"body": {"main": OVAL, "plug": {"length": "20 mm", "width": "6 mm", "height": "6 mm", "material": "cork",
                                             "at": {"back": "60 mm"}}}},
            "body.plug reaches some 10 mm into body.main, and both count in full there; let it begin where the other "
            'ends, and tell what sits inside by its weight, as [ballast.plug] with body = "main" and place = "cavity"',
        ),
        (
            {"body": {"main": OVAL}, "hook": {"tail": {"at": {"back": "70 mm"}, "weight": "0.9 kg"}}},
            "hook.tail weighs 900 g, far more than any such part; check the unit",
        ),
        (
            {"body": {"main": OVAL}, "measured": {"displaced": "20 mL"}},
            "measured.displaced = '20 mL' but the sizes add up to 11.7 mL; the measured "
            "value is used: check that "
            "the cavity was not taken for the whole",
        ),
        (
            {"body": {"main": {**OVAL, "weight": "5 g"}}, "measured": {"weight": "10 g"}},
            "measured.weight = '10 g' but the parts add up to 5.00 g; the measured value is "
            "used: check whether a "
            "part is missing, or hooks were left off the scale",
        ),
        (
            {"body": {"main": {**OVAL, "weight": "5 g"}}, "measured": {"balance": "10 mm"}},
            "measured.balance = '10 mm' but the parts balance at 35.0 mm; the measured value "
            "is used: check the "
            "places of the heavy parts",
        ),
    ],
)  # fmt: skip
def test_suspicious_input_is_said_in_a_sentence(tables, says) -> None:
    assert says in in_words(weigh(design(**tables)).warnings)


def test_bodies_may_touch_and_a_weight_may_fill_its_hole() -> None:
    touching = {
        "main": OVAL,
        "tail": {**OVAL, "length": "20 mm", "width": "8 mm", "height": "8 mm", "at": {"back": "69.5 mm"}},
    }
    keel = {"at": {"back": "35 mm", "up": "-5 mm"}, "weight": "2.8 g"}
    assert weigh(design(body=touching, ballast={"keel": keel})).warnings == ()


def test_two_alike_in_one_place_are_told_once_and_a_wide_one_is_seen_from_its_side() -> None:
    ball = {"length": "10 mm", "width": "10 mm", "height": "10 mm", "material": "cork"}
    twice = weigh(design(body={"one": ball, "two": {**ball, "at": {"back": "4 mm"}}})).warnings
    assert [text[:8] for text in in_words(twice)] == ["body.one"]
    disc = {"length": "6 mm", "width": "60 mm", "height": "60 mm", "material": "cork"}
    apart = design(body={"disc": disc, "bead": {**ball, "length": "5 mm", "at": {"left": "20 mm"}}})
    (beside,) = in_words(weigh(apart).warnings)
    assert beside.startswith("body.bead reaches some")


def test_a_guessed_hook_is_not_called_measured() -> None:
    at = {"at": {"back": "70 mm"}}
    guess = {"kind": "treble", "wire": "0.9 mm", "gape": "8 mm"}
    guessed = weigh(design(body={"main": OVAL}, hook={"tail": {**at, "estimate": guess}}))
    assert row(guessed, "hook tail").source == "estimated"
    weighed = weigh(design(body={"main": OVAL}, hook={"tail": {**at, "weight": "0.7 g", "estimate": guess}}))
    assert row(weighed, "hook tail").source == "measured"


ROD = {"kind": "rod", "across": "4 mm", "length": "16 mm"}


@pytest.mark.parametrize(("lies", "axis"), [("up", 2), ("across", 1), ("along", 0), (None, 2)])
def test_a_rod_of_ballast_weighs_as_a_rod_where_it_lies(lies, axis) -> None:
    place = {"at": {"back": "35 mm", "up": "0 mm"}, "metal": ROD, **({"lies": lies} if lies else {})}
    part = row(weigh(design(body={"main": OVAL}, ballast={"keel": place})), "ballast keel")
    mass = math.pi / 4 * 0.004**2 * 0.016 * LEAD
    assert part.mass == pytest.approx(mass)
    assert part.source == "computed"
    across = mass * (0.016**2 / 12 + 0.004**2 / 16)
    expected = [across] * 3
    expected[axis] = mass * 0.004**2 / 8
    assert np.diag(part.inertia) == pytest.approx(expected, rel=1e-9)
    assert abs(part.rod.run[axis]) == pytest.approx(0.016)


def test_a_rod_that_lies_in_the_body_has_room_where_a_ball_of_its_weight_has_none() -> None:
    flat = {**OVAL, "height": "8 mm", "width": "30 mm"}
    at = {"back": "35 mm", "up": "0 mm"}
    ball = {"at": at, "weight": "6 g"}
    rod = {"at": at, "metal": {"kind": "rod", "across": "5 mm", "length": "27 mm"}, "lies": "along"}

    def told(ballast):
        return in_words(weigh(design(body={"main": flat}, ballast={"k": ballast})).warnings)

    assert any("as a ball it is" in text for text in told(ball))
    assert told(rod) == []
    assert any("the rod is 5.0 mm" in text for text in told({**rod, "lies": "up"}))


def test_a_sound_design_draws_no_warning() -> None:
    assert weigh(runner()).warnings == ()


@pytest.mark.parametrize(
    ("tables", "says"),
    [
        (
            {"body": {"main": {"length": "5 mm", "width": "5 mm", "height": "5 mm"}}},
            'body.main has no weight, no density and no material; give one, for example material = "balsa"',
        ),
        (
            {"body": {"main": {**OVAL, "material": "blasa"}}},
            "body.main.material = 'blasa' is not a known material; did you mean 'balsa'?",
        ),
        (
            {"body": {"main": {**OVAL, "cavity": "15 mL"}}},
            "body.main.cavity = '15 mL' is not smaller than the whole outside, 11.7 mL by its sizes as an oval; both "
            "cannot be true, so it cannot be told whether it floats: dunk it closed",
        ),
        (
            {"body": {"main": OVAL}, "ballast": {"b": {"at": {}, "weight": "200 g"}}},
            "the ballast drilled into body.main takes up more room than the body has, 11.7 mL",
        ),
        (
            {"body": {"main": OVAL}, "ballast": {"b": {"at": {}, "weight": "2 g", "body": "mian"}}},
            "ballast.b sits in body 'mian', which the design does not have (it has: main)",
        ),
        ({"hook": {"h": {"weight": "1 g"}}}, "the design has no body, no plate and no wire"),
        (
            {"wire": {"leg": {"start": {}, "end": {}, "diameter": "1 mm"}}},
            "wire.leg starts and ends at the same place; give two different places",
        ),
    ],
)
def test_what_cannot_be_built_is_refused_in_a_sentence(tables, says) -> None:
    with pytest.raises(BuildError) as caught:
        weigh(design(**tables))
    assert says in str(caught.value)


def test_a_lure_of_no_weight_or_no_room_is_refused() -> None:
    told = design(body={"main": OVAL}, measured={"weight": "5 g", "displaced": "12 mL"})
    with pytest.raises(BuildError, match="the lure weighs nothing; give at least one part a weight"):
        weigh(replaced(told, {"measured.weight": 0.0}))
    with pytest.raises(BuildError, match="the lure takes up no room; give at least one body its sizes"):
        weigh(replaced(told, {"measured.displaced": 0.0}))
