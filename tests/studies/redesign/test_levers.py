"""What a maker may change: sizes that exist, places that hold, costs that grow."""

import re
import tomllib
from pathlib import Path

import numpy as np
import pytest

from sim.bench.hardware import DRILLS, LINES, TREBLES
from sim.design.edit import altered, edited
from sim.design.load import read
from sim.lure import build, weigh
from sim.studies.redesign import clearance as room
from sim.studies.redesign import remeasured
from sim.studies.redesign.levers import GROUPS, levers
from sim.studies.redesign.step import FOAM, Kind
from sim.studies.redesign.trial_designs import CaseError, Tried, as_filed, carried_out, whole
from sim.studies.redesign.weights import cuts
from sim.trials.margin import margin_kg

FOLDER = Path(__file__).parents[3] / "scenarios"
NAMES = sorted(file.stem for file in FOLDER.glob("*.toml"))


def text_of(name):
    return (FOLDER / f"{name}.toml").read_text()


def every(name, **changes):
    design = read(text_of(name), name)
    return design, levers(design, list(design.tie_on), False, **changes)


def ends(found):
    return [step for lever in found for step in (lever.steps[0], lever.steps[-1])]


@pytest.mark.parametrize("name", NAMES)
def test_each_step_costs_more_than_the_one_before(name):
    for lever in every(name)[1]:
        costs = [step.cost for step in lever.steps]
        assert costs == sorted(costs), lever.key
        assert costs[0] > 0.0


@pytest.mark.parametrize("name", NAMES)
def test_steps_are_sizes_that_exist(name):
    for lever in every(name)[1]:
        for path, value in (item for step in lever.steps for item in step.changes.items()):
            if path.endswith(".weight") and isinstance(value, str):
                assert 1e3 * float(value.split()[0]) % 50 == pytest.approx(0.0, abs=1e-6)
            elif path.endswith(".angle"):
                assert re.fullmatch(r"\d+ deg", value)
            elif path == "line.diameter":
                assert float(value.split()[0]) in LINES
            elif lever.group in ("lip", "scale") and isinstance(value, str):
                assert 2 * float(value.split()[0]) % 1 == 0.0


@pytest.mark.parametrize("name", NAMES)
def test_the_file_with_a_step_written_in_is_the_design_that_is_tried(name):
    text = text_of(name)
    for step in ends(every(name)[1]):
        after = edited(text, step.changes)
        assert tomllib.loads(after) == altered(tomllib.loads(text), step.changes)
        assert read(after, name) == carried_out(text, step.changes)


@pytest.mark.parametrize("name", NAMES)
def test_each_lever_at_its_end_can_be_built(name):
    for lever in every(name)[1]:
        if lever.group != "scale":
            build(carried_out(text_of(name), lever.steps[-1].changes), with_hulls=False)


def test_only_what_is_allowed_is_changed():
    for group in GROUPS:
        assert {lever.group for lever in every("porch_light", allow=[group])[1]} <= {group}


def test_what_is_to_be_kept_stays():
    found = every("porch_light", keep=["hook.belly", "plate.lip.angle", "ballast"])[1]
    paths = {path for lever in found for step in lever.steps for path in step.changes}
    assert not [p for p in paths if p.startswith(("hook.belly", "plate.lip.angle", "ballast"))]
    assert "plate.lip.width" in paths
    assert "hook.tail.weight" in paths


def test_a_lever_beside_a_kept_value_of_the_same_part_stays():
    found = every("porch_light", keep=["ballast.keel.at"])[1]
    assert any("ballast.keel.weight" in step.changes for lever in found for step in lever.steps)
    assert not any("ballast.keel" in step.changes for lever in found for step in lever.steps)


FILLED = """name = "one piece"
[body.main]
length = "70 mm"
width = "30 mm"
height = "30 mm"
weight = "14 g"
cavity = "14 mL"
material = "abs"
fill = "plug"
[mix.plug]
parts = [{ name = "resin", parts = 1, material = "epoxy" }, { name = "spheres", percent = 10, density = "0.2 g/mL" }]
[hook.belly]
at = { back = "30 mm", up = "-14 mm" }
weight = "1.3 g"
[tie_on.nose]
at = { back = "0 mm", up = "0 mm" }
"""


def of_a_text(text, **changes):
    design = read(text, "x")
    return levers(design, list(design.tie_on), False, file=as_filed(text), **changes)


def test_a_poured_fill_is_changed_as_it_is_mixed_and_poured():
    found = of_a_text(FILLED, allow=["fill"])
    kinds = {step.does.kind for lever in found for step in lever.steps}
    assert {Kind.FILLER, Kind.POUR, Kind.EMPTY} <= kinds
    foam = [step.does.to_si for lever in found for step in lever.steps if step.does.kind is Kind.FILL]
    assert max(foam) <= FOAM  # a mix has the density that its parts give it
    for lever in found:
        for step in lever.steps:
            after = carried_out(FILLED, step.changes)
            assert read(edited(FILLED, step.changes), "x") == after
            build(after, with_hulls=False)


def test_a_part_pour_lies_at_the_bottom_and_weighs_what_is_said():
    (half,) = (
        step
        for lever in of_a_text(FILLED, allow=["fill"])
        for step in lever.steps
        if step.does.kind is Kind.POUR and abs(step.does.room_m3 - 7e-6) < 1e-8
    )
    whole = weigh(carried_out(FILLED, half.changes))
    (fill,) = (part for part in whole.parts if part.kind == "fill")
    assert fill.mass == pytest.approx(half.does.to_si, abs=1e-9)
    assert fill.centre[2] < -3e-3
    assert fill.source == "measured"


def test_no_lever_touches_what_lies_below_a_kept_path():
    assert not of_a_text(FILLED, allow=["fill"], keep=["body.main"])
    assert not of_a_text(
        FILLED, allow=["fill"], keep=["body.main.fill", "body.main.fill_weight", "body.main.fill_density"]
    )
    assert not [lever for lever in of_a_text(FILLED, keep=["hook"]) if lever.group == "hooks"]
    free = levers(read(text_of("porch_light"), "x"), ["nose"], True, keep=["tie_on"])
    assert not [lever for lever in free if lever.group == "tie-on"]


def test_a_hook_is_one_of_the_sizes_that_packets_name():
    for lever in of_a_text(FILLED, allow=["hooks"]):
        for step in lever.steps:
            if step.does.kind is Kind.HANG:
                hook = carried_out(FILLED, step.changes).hook["belly"]
                assert hook.estimated()
                assert hook.estimate.number in TREBLES
                assert hook.weight.value == pytest.approx(step.does.to_si)
                assert not 0.9 < step.does.to_si / 1.3e-3 < 1 / 0.9


@pytest.mark.parametrize("name", NAMES)
def test_an_eye_is_moved_along_the_lure_and_never_out_into_the_air(name):
    design, found = every(name, allow=["tie-on"])
    built = room.bodies(design)
    for lever in found:
        for step in lever.steps:
            if step.does.kind is not Kind.MOVE_EYE or not built or design.plate:
                continue
            at = room.vector(carried_out(text_of(name), step.changes).tie_on[step.does.part].at)
            around = np.vstack([3e-3 * np.eye(3), -3e-3 * np.eye(3)])
            assert any(body.holds(at + off) for body in built for off in around)


def test_a_drilled_rod_is_written_as_a_rod():
    _, found = every("porch_light", allow=["ballast"])
    rods = [
        step for lever in found for step in lever.steps if step.does.hole and step.does.hole.way != "ball"
    ]
    rods = [step for step in rods if step.does.kind is Kind.WEIGH]
    assert rods
    for step in rods[:4]:
        weight = carried_out(text_of("porch_light"), step.changes).ballast["keel"]
        across, length = weight.rod()
        assert 1e3 * across == pytest.approx(step.does.hole.drill_mm - 0.1, abs=0.01)
        assert np.pi / 4 * across**2 * length * weight.metal_density() == pytest.approx(
            weight.weight.value, rel=0.01
        )


def test_masses_are_cut_in_tenths_of_a_gram_and_finer_beside_what_there_is():
    found = [round(1e3 * mass, 3) for mass in cuts(0.0, 3e-3, 2e-3)]
    assert found[:4] == [0.1, 0.2, 0.3, 0.4]
    assert 1.95 in found
    assert 1.25 not in found
    assert 3.0 not in found


def test_a_weight_may_be_heavy_enough_to_sink_what_floats_high():
    text = text_of("porch_light")
    design = read(text.replace("density = ", 'density = "0.2 g/cm3" # '), "light")
    margin = margin_kg(design)
    assert margin > 7e-3
    found = levers(design, ["nose"], False, ["ballast"])
    heaviest = max(step.does.to_si for lever in found for step in lever.steps if lever.key == "ballast.trim")
    assert margin < heaviest <= margin + 3.1e-3


def test_what_hangs_at_the_edge_of_a_blade_goes_along_with_it():
    design, found = every("tin_leaf")
    for lever in (one for one in found if one.key == "plate.leaf.length"):
        for step in lever.steps:
            after = read(edited(text_of("tin_leaf"), step.changes), "after")
            assert after.hook["tail"].at.back.value == pytest.approx(
                after.plate["leaf"].length.value, abs=1e-5
            )
            assert after.tie_on == design.tie_on
            assert after.fitting == design.fitting


def test_a_weighed_shell_is_not_made_larger():
    assert not [lever for lever in every("last_skittle")[1] if lever.group == "scale"]
    assert [lever for lever in every("thimble_oar")[1] if lever.group == "scale"]


def test_a_through_wire_is_scaled_and_its_pieces_are_no_weights():
    wire = '[wire.through]\nstart = { back = "0 mm" }\nend = { back = "76 mm" }\ndiameter = "1 mm"\ninside = "main"\n'
    text = text_of("porch_light") + "\n" + wire
    design = read(text, "x")
    found = levers(design, ["nose"], False, file=as_filed(text))
    assert len(design.ballast) > 2
    assert {lever.key.split(".")[1] for lever in found if lever.group == "ballast"} == {
        "keel"
    }  # no hole where the wire runs
    scale = next(lever for lever in found if lever.group == "scale")
    assert scale.steps[0].changes["wire.through.end.back"] == "77.5 mm"


# ---- room for a weight --------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["porch_light", "thimble_oar", "cellar_door", "noon_and_midnight"])
def test_a_hole_takes_its_weight_and_lies_in_the_body(name):
    design, found = every(name, allow=["ballast"])
    bodies, tried = room.bodies(design), 0
    for step in ends(found):
        for weight in carried_out(text_of(name), step.changes).ballast.values():
            hole = room.hole(bodies, weight)
            if hole is None:
                continue
            tried += 1
            drill, deep = 1e-3 * hole.drill_mm, 1e-3 * hole.deep_mm
            assert min(abs(drill - one) for one in DRILLS) < 1e-9
            across = drill - 0.1e-3
            volume = np.pi / 6 * deep**3 if hole.way == "ball" else np.pi / 4 * across**2 * deep
            assert weight.metal_density() * volume == pytest.approx(weight.weight.value, rel=1e-6)
            at = room.vector(weight.at)
            half = {
                "up": (0, 0, deep / 2),
                "across": (0, deep / 2, 0),
                "ball": (0, 0, deep / 2),
            }
            top = at + np.array(half[hole.way])
            for ahead in (-across / 2, across / 2):
                assert bodies[0].holds(top + np.array([ahead, 0.0, 0.0]))
    assert tried > 4


def test_no_drill_takes_a_weight_that_is_larger_than_the_body():
    design, _ = every("thimble_oar")
    heavy = carried_out(text_of("thimble_oar"), {"ballast.belly.weight": "90 g"}).ballast["belly"]
    assert room.hole(room.bodies(design), heavy) is None
    assert not room.has_room(room.bodies(design), heavy)


def test_a_weight_outside_the_body_has_no_room_in_it():
    text = text_of("thimble_oar")
    away = carried_out(text, {"ballast.belly.at.up": "-40 mm"}).ballast["belly"]
    assert not room.has_room(room.bodies(read(text, "x")), away)


def test_a_body_made_so_small_that_a_weight_has_no_room_is_not_tried():
    text = text_of("porch_light")
    small = {f"body.main.{size}": "9 mm" for size in ("width", "height")}
    with pytest.raises(CaseError, match="no room"):
        Tried(text, small, whole(read(text, "x")))(read(text, "x"))


# ---- what was measured of the whole -------------------------------------------------------------------


def test_what_was_measured_of_the_whole_moves_with_a_part():
    text = text_of("porch_light") + '\n[measured]\nweight = "18.0 +- 0.1 g"\nbalance = "36 mm"\n'
    design = read(text, "x")
    changes = {"hook.tail.weight": "2.7 g"}
    moved = remeasured.moved(design, carried_out(text, changes))
    assert moved["measured.weight"] == "19.00 +- 0.1 g"
    assert moved["measured.balance"] == f"{(18 * 36 + 76) / 19:.2f} mm"
    after = carried_out(text, changes | moved)
    volume = 1e-3 * 1.0 / 7850.0 * 998.2  # the gram of steel pushes water aside too
    assert margin_kg(after) - margin_kg(design) == pytest.approx(-1e-3 + volume, abs=3e-5)


def test_where_nothing_was_measured_nothing_moves():
    text = text_of("porch_light")
    assert remeasured.moved(read(text, "x"), carried_out(text, {"hook.tail.weight": "2.7 g"})) == {}
