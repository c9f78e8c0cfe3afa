"""The solver's own housekeeping."""

import gc
import weakref

from sim.design.load import load
from sim.lure import build
from sim.motion.solve import Stop, integrate, start_state
from sim.trials.scene import still

DESIGN = load("scenarios/gravel_bell.toml")
LURE = build(DESIGN)


class _Thing:
    """Stands for whatever a stop may hold on to: a lure, a design."""


def test_a_run_can_be_watched_while_it_goes_on():
    start = start_state(LURE.elements, (0.0, 0.0, -0.1), (1.0, 0.0, 0.0, 0.0), wake=0.1)
    seen = []
    run = integrate(LURE.elements, still(DESIGN), start, 20.0, watch=seen.append)
    alone = integrate(LURE.elements, still(DESIGN), start, 20.0)
    assert seen
    for early in seen:
        assert early.t[-1] < run.t[-1]
        assert (early.y == run.y[: len(early.y)]).all()
        assert (early.at([0.5 * early.t[-1]]) == run.at([0.5 * early.t[-1]])).all()
    assert (run.t == alone.t).all()
    assert (run.y == alone.y).all()


def test_a_finished_run_leaves_nothing_behind():
    thing = _Thing()
    gone = weakref.ref(thing)
    stops = [Stop("never", lambda t, y, thing=thing: 1.0)]
    start = start_state(LURE.elements, (0.0, 0.0, -0.1), (1.0, 0.0, 0.0, 0.0))
    run = integrate(LURE.elements, still(DESIGN), start, 0.2, stops)
    assert run.ended == "time"
    assert len(run.t) > 2
    del thing, stops
    gc.collect()
    assert gone() is None
