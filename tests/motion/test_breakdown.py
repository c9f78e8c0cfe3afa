"""Force and moment by source add up to how the body's own momentum changes."""

from pathlib import Path

import numpy as np
import pytest

from sim.design.load import load, read
from sim.forces.account import ENTRY
from sim.lure import build
from sim.motion.breakdown import breakdown
from sim.motion.equations import rates
from sim.trials import retrieve

SCENARIOS = Path(__file__).parents[2] / "scenarios"
CURRENT = '[water]\nkind = "fresh"\ntemperature = "18 C"\ncurrent = "0.2 m/s"\ncurrent_toward = "70 deg"\n'


def _momentum_rate(inertia, motion, rate):
    """Newton and Euler for the rigid body about the turning origin: p' + w x p, h' + w x h + v x p."""
    p, h = np.split(inertia @ motion, 2)
    v, w = np.split(motion, 2)
    return inertia @ rate + np.concatenate([np.cross(w, p), np.cross(w, h) + np.cross(v, p)])


@pytest.mark.parametrize(("name", "tie"), [("cellar_door", "nose"), ("tin_leaf", "hole")])
def test_the_sources_add_up_to_the_change_of_momentum(name, tie):
    text = (SCENARIOS / f"{name}.toml").read_text(encoding="utf-8")
    head, _, rest = text.partition("[water]")
    design = read(head + CURRENT + rest[rest.index("\n\n") :], f"{name}.toml")
    lure = build(design)
    run = retrieve.run(design, lure, tie, 0.6)
    times = np.linspace(0.2, 3.0, 15)
    states = run.at(times)
    parts = breakdown(times, states, run.flat)
    for t, y, rows in zip(times, states, parts, strict=True):
        changes = _momentum_rate(lure.elements.inertia, y[7:13], rates(t, y, run.flat)[7:13])
        assert rows.sum(axis=0) == pytest.approx(changes, abs=1e-9 * np.abs(rows).max())


def test_an_entering_lure_is_pushed_up_by_the_water_it_sets_in_motion():
    design = load(SCENARIOS / "porch_light.toml")
    lure = build(design)
    run = retrieve.run(design, lure, "nose", 0.5)
    state = run.y[:1].copy()
    state[0, 7:13] = [0.0, 0.0, -1.0, 0.0, 0.0, 0.0]  # falling flat
    rows = breakdown(np.zeros(1), state, run.flat)[0]
    assert rows[ENTRY, 2] > 0.0
