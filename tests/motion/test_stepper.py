"""The compiled stepper makes the steps of scipy's RK45."""

import numpy as np
import pytest
from scipy.integrate import RK45

from sim.design.load import load
from sim.lure import build
from sim.motion import stepper
from sim.motion.equations import rates_of
from sim.motion.solve import FIRST, LONGEST, RTOL
from sim.trials import drop


def test_its_tableau_is_scipys():
    assert np.array_equal(stepper.STAGE[:6, :5], RK45.A)
    assert np.array_equal(stepper.STAGE[6], RK45.B)
    assert np.array_equal(stepper.NODE[:6], RK45.C)


def test_it_takes_the_steps_of_scipys_solver_and_reads_the_same_curve_between_them():
    design = load("scenarios/thimble_oar.toml")
    run = drop.run(design, build(design))  # no line: its points count otherwise in the error
    theirs = RK45(
        rates_of(run.flat), 0.0, run.y[0], run.t[-1], LONGEST, RTOL, 0.1 * RTOL,
        first_step=FIRST,
    )  # fmt: skip
    for k in range(1, 80):
        theirs.step()
        assert theirs.t == pytest.approx(run.t[k], rel=1e-9)
        between = np.linspace(theirs.t_old, theirs.t, 5)
        assert pytest.approx(theirs.dense_output()(between), rel=1e-9, abs=1e-9) == run.at(between).T
