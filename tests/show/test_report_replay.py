"""The poses of the replay: true to the run, small, and drawn with the lure's own outline."""

import json
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from sim.design.load import load
from sim.lure import build
from sim.lure.hull import mesh_volume
from sim.motion import kinematics as reading
from sim.show import replay
from sim.show.solid import TONES, solid
from sim.trials import recording
from sim.trials.recording import recordings
from tests.show import shapes

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@pytest.fixture(scope="module")
def runner():
    """The shallow runner with its motions and their data."""
    design = load(SCENARIOS / "thimble_oar.toml")
    lure = build(design)
    motions = recordings(design, lure)
    return design, lure, motions, replay.replay([(design, lure, motions)])


# ---- tables -------------------------------------------------------------------------------------------


@settings(max_examples=60)
@given(
    arrays(float, st.tuples(st.integers(1, 30), st.integers(1, 5)), elements=st.floats(-1e4, 1e4)),
    st.sampled_from([8, 16]),
)
def test_a_packed_table_comes_back_to_within_half_a_step(values, bits):
    table = json.loads(replay.text(replay.pack(values, bits)))
    half = 0.5 * (values.max(axis=0) - values.min(axis=0)) / (2**bits - 1)
    assert np.all(np.abs(replay.unpack(table) - values) <= half * (1 + 1e-6) + 1e-7 * (1 + np.abs(values)))


def test_a_column_that_never_changes_costs_nothing():
    one = replay.pack(np.column_stack([np.arange(50.0), np.full(50, 3.25)]))
    assert len(one["data"]) == len(replay.pack(np.arange(50.0))["data"])
    assert np.all(replay.unpack(one)[:, 1] == 3.25)


def test_the_data_cannot_end_the_script_it_stands_in():
    written = replay.text({"name": "</script><script>alert(1)</script>&amp;"})
    assert not set("<>&") & set(written)
    assert json.loads(written)["name"] == "</script><script>alert(1)</script>&amp;"


# ---- poses --------------------------------------------------------------------------------------------


def test_the_poses_are_those_of_the_run(runner):
    _, _, motions, data = runner
    for motion, told in zip(motions, data["designs"][0]["motions"], strict=True):
        poses = replay.unpack(told["poses"])
        times = np.linspace(0.0, min(float(motion.run.t[-1]), replay.MOST_SECONDS), len(poses))
        y = motion.run.at(times)
        assert np.abs(poses[:, :3] - y[:, :3]).max() < 1e-3  # m
        there = y[:, 3:7] / np.linalg.norm(y[:, 3:7], axis=1, keepdims=True)
        turn = np.abs(np.sum(poses[:, 3:7] * there, axis=1)) / np.linalg.norm(poses[:, 3:7], axis=1)
        assert 2.0 * math.degrees(math.acos(min(1.0, turn.min()))) < 0.2
        assert np.abs(poses[:, 7] - reading.tensions(times, y, motion.run.flat)).max() < 1e-3  # N


def test_attitudes_never_jump_to_the_other_sign(runner):
    for told in runner[3]["designs"][0]["motions"]:
        q = replay.unpack(told["poses"])[:, 3:7]
        assert np.sum(q[1:] * q[:-1], axis=1).min() > 0.5


def test_there_are_enough_poses_for_the_fastest_wobble(runner):
    for told in runner[3]["designs"][0]["motions"]:
        if told["kind"] == "pull":
            assert told["poses"]["rows"] / told["seconds"] >= 45.0


@pytest.mark.parametrize("most", [280_000, 120_000])
def test_a_replay_stays_within_its_size(runner, most):
    design, lure, motions, _ = runner
    data = replay.replay([(design, lure, motions), (design, lure, motions)], most)
    assert len(replay.text(data)) <= most
    slow = min(m["poses"]["rows"] / m["seconds"] for d in data["designs"] for m in d["motions"])
    assert slow >= 19.0


def test_many_speeds_and_points_are_thinned_with_the_slowest_and_fastest_kept(runner):
    assert recording._thinned([1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0], 3) == [1.0, 4.0, 7.0]
    assert recording._thinned([1.0, 2.0], 3) == [1.0, 2.0]


def test_another_design_is_pulled_in_step_from_the_point_of_the_same_name(runner):
    _, _, motions, _ = runner
    other = load(SCENARIOS / "porch_light.toml")
    lure = build(other)
    theirs = recordings(other, lure, motions[:2] + motions[3:5])
    assert [m.speed for m in theirs if m.kind == "pull"] == [m.speed for m in motions[:2] + motions[3:5]]
    first = next(iter(lure.tie_ons))
    assert [m.tie_on for m in theirs if m.kind == "pull"] == [
        m.tie_on if m.tie_on in lure.tie_ons else first for m in motions[:2] + motions[3:5]
    ]


# ---- forces -------------------------------------------------------------------------------------------


def test_the_arrow_of_weight_is_the_weight_and_that_of_lift_the_water_pushed_aside(runner):
    _, lure, _motions, data = runner
    told = data["designs"][0]["motions"][1]  # a dive: wholly under once it has gone down
    arrows = {force["name"]: replay.unpack(force["newton"]) for force in told["forces"]}
    assert arrows["weight"] == pytest.approx(
        np.tile([0.0, 0.0, -lure.mass * 9.80665], (len(arrows["weight"]), 1))
    )
    under = arrows["lift of the water"][-1]
    assert under == pytest.approx([0.0, 0.0, 998.6 * lure.volume * 9.80665], rel=2e-3, abs=1e-3)


def test_the_arrow_of_the_line_has_the_tension_for_its_length(runner):
    _, _, _motions, data = runner
    told = data["designs"][0]["motions"][1]
    line = next(replay.unpack(force["newton"]) for force in told["forces"] if force["name"] == "line")
    tension = replay.unpack(told["poses"])[:: told["force_every"], 7]
    assert np.linalg.norm(line, axis=1) == pytest.approx(tension, abs=2e-3)


# ---- line ---------------------------------------------------------------------------------------------


def test_the_drawn_line_is_that_of_the_run(runner):
    _, _, motions, data = runner
    told = data["designs"][0]["motions"][1]
    rows = replay.unpack(told["line"])
    times = np.linspace(0.0, told["seconds"], told["poses"]["rows"])[:: told["line_every"]]
    run = motions[1].run
    points = reading.line_points(times, run.at(np.minimum(times, run.t[-1])), run.flat)
    assert rows[:, :3] == pytest.approx(points[:, 0], abs=1e-3)
    for k in (0, len(rows) // 2):
        drawn = rows[k].reshape(-1, 3)
        assert max(np.linalg.norm(points[k] - point, axis=1).min() for point in drawn) < 2e-3


# ---- outline ------------------------------------------------------------------------------------------


def test_a_light_surface_keeps_the_hulls_size_volume_and_points():
    hull = shapes.RUNNER.hulls[0]
    light = solid(hull, 27, 9)
    assert light.vertices.min(axis=0) == pytest.approx(hull.vertices.min(axis=0), abs=1e-12)
    assert light.vertices.max(axis=0) == pytest.approx(hull.vertices.max(axis=0), abs=1e-12)
    whole = mesh_volume(hull.vertices, hull.faces)
    assert mesh_volume(light.vertices, light.faces) == pytest.approx(whole, rel=0.06)
    own = {tuple(vertex) for vertex in hull.vertices.tolist()}
    assert all(tuple(vertex) in own for vertex in light.vertices.tolist())


def test_a_light_surface_has_a_dark_back_and_a_light_belly():
    light = solid(shapes.RUNNER.hulls[0], 27, 9)
    height = light.vertices[light.faces].mean(axis=1)[:, 2]
    assert light.tones.min() >= 0
    assert light.tones.max() <= TONES - 1
    assert np.corrcoef(height, light.tones)[0, 1] > 0.8
