"""What a maker may change: sizes that exist, places that hold, costs that grow."""

import re
import tomllib
from pathlib import Path

import numpy as np
import pytest

from sim.bench.hardware import DRILLS, LINES
from sim.design.edit import altered, edited
from sim.design.load import read
from sim.lure import build
from sim.studies.redesign import clearance as room
from sim.studies.redesign import remeasured
from sim.studies.redesign.levers import GROUPS, levers
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


def test_masses_are_cut_in_tenths_of_a_gram_and_finer_beside_what_there_is():
    found = [round(1e3 * mass, 3) for mass in cuts(0.0, 3e-3, 2e-3)]
    assert found[:4] == [0.1, 0.2, 0.3, 0.4]
    assert 1.95 in found
    assert 1.25 not in found
    assert 3.0 not in found


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
