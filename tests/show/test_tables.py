"""Tables are read back as they were, and say what their numbers are in."""

import json
import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.design.load import load
from sim.lure import build
from sim.motion import kinematics as reading
from sim.show import tables
from sim.trials import drop, retrieve
from sim.trials.budget import budget
from sim.trials.floating import rest
from sim.trials.recording import Recording
from tests.show import fakes

UNIT = re.compile(r"_(s|m|mm|g|ml|n|hz|deg|m_s|rad_s|1)$|_per_m$")
NUMBERS = st.none() | st.floats(allow_nan=False, allow_infinity=False)
LETTERS = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\r\x00"), max_size=20)


@pytest.fixture(scope="module")
def spoon():
    design = load("scenarios/tin_leaf.toml")
    return design, build(design)


@given(st.lists(st.tuples(LETTERS, NUMBERS, NUMBERS), max_size=8))
def test_a_table_is_read_back_without_loss(rows):
    table = tables.DataTable(
        {
            "part": [word for word, _, _ in rows],
            "mass_g": [number for _, number, _ in rows],
            "depth_m": [number for _, _, number in rows],
        }
    )
    assert tables.from_csv(tables.to_csv(table)) == table
    assert tables.from_json(tables.to_json(table, design="Oar")) == table


def falling(spoon):
    """The spoon let go."""
    design, lure = spoon
    return Recording("drop", drop.run(design, lure), lure)


def test_a_motion_is_read_back_without_loss(spoon):
    table = tables.trajectory(falling(spoon), 0.1)
    assert tables.from_csv(tables.to_csv(table)) == table
    assert tables.from_json(tables.to_json(table)) == table


def test_every_head_is_plain_ascii_with_a_unit_or_a_column_of_words(spoon):
    design, lure = spoon
    every = [
        tables.trajectory(falling(spoon), 0.5),
        tables.parts(budget(design)),
        tables.righting(rest(design, lure)),
        tables.runs(fakes.retrieve()),
    ]
    for table in every:
        for head in table.columns:
            assert head.isascii()
            assert head in tables.WORDS or UNIT.search(head), head


def test_a_motion_starts_at_nought_ends_at_the_end_and_keeps_its_step(spoon):
    design, lure = spoon
    run = retrieve.run(design, lure, next(iter(lure.tie_ons)), 0.5)
    table = tables.trajectory(Recording("pull", run, lure), 0.25)
    times = table.columns["time_s"]
    assert (times[0], times[-1]) == (0.0, float(run.t[-1]))
    assert np.allclose(np.diff(times[:-1]), 0.25)
    assert len(set(map(len, table.columns.values()))) == 1


def test_speeds_are_the_slopes_of_the_places(spoon):
    table = tables.trajectory(falling(spoon), 0.002)
    for axis in "xyz":
        slope = np.gradient(table.columns[f"{axis}_m"][:-1], 0.002)[5:-5]
        assert np.allclose(slope, table.columns[f"speed_{axis}_m_s"][5:-6], atol=2e-3)


def test_the_quaternion_and_the_angles_say_the_same(spoon):
    columns = tables.trajectory(falling(spoon), 0.1).columns
    y = np.zeros((len(columns["time_s"]), 13))
    for k, letter in enumerate("wxyz"):
        y[:, 3 + k] = columns[f"q_{letter}_1"]
    assert np.allclose(np.degrees(reading.pitch(reading.axes(y))), columns["pitch_deg"])


def test_no_answer_is_an_empty_cell_and_null():
    table = tables.runs([fakes.run(wobble_hz=None)])
    assert ",," in tables.to_csv(table)
    assert json.loads(tables.to_json(table))["columns"]["wobble_hz"] == [None]


def test_a_row_of_the_wrong_length_is_named():
    with pytest.raises(ValueError, match="line 3 has 1 cells, but the head line has 2"):
        tables.from_csv("time_s,depth_m\n0.0,1.0\n2.0\n")
