"""The rest of a run that the explicit stepper cannot finish: parts so light, for the water that holds them, that their
motion dies out within microseconds. scipy's LSODA, which turns to implicit steps where it pays.

Its Jacobian is by differences and for the lure only: what the line's points do is never stiff (`sim.forces.chain`),
they are four fifths of the state, and Newton's iteration arrives without them.

Only for runs that would otherwise have no answer: the Jacobian keeps a symmetric lure in its plane, but a mirrored run
is a mirror image to the tolerance only, not to the last bit.
"""

from __future__ import annotations

import threading
import warnings
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.motion.equations import rates

Array = NDArray[np.float64]

_alone = (
    threading.Lock()
)  # LSODA solves one problem at a time, and filters of warnings are those of all threads


class StiffRun(NamedTuple):
    """Steps of the rest of a run, as in `Trajectory`, without its first state."""

    t: Array
    y: Array
    dense: Array
    calls: int


DIFFERENCE, SMALL = 1.5e-8, 0.01  # step of the differences, as a share of a number of the state or of this


def finished(
    flat: Array,
    t: float,
    y: Array,
    end: float,
    rtol: float,
    atol: float,
    longest: float,
    calls: float,
    lure: int,
) -> StiffRun:
    """Go on from `y` at `t` to `end` (s) or until the budget of calls is spent; the curve between steps is cubic.

    `lure` is how many numbers of the state are the lure's own and not its line's.
    """
    from scipy.integrate import LSODA

    made = 0

    def slope(at: float, state: Array) -> Array:
        nonlocal made
        made += 1
        return rates(at, state, flat)

    def jacobian(at: float, state: Array) -> Array:
        here, found = slope(at, state), np.zeros((len(state), len(state)))
        for i in range(lure):
            moved = state.copy()
            moved[i] += DIFFERENCE * max(abs(state[i]), SMALL)
            found[:, i] = (slope(at, moved) - here) / (moved[i] - state[i])
        return found

    times, states, between = [t], [y], []
    with _alone, warnings.catch_warnings(), np.errstate(all="ignore"):
        warnings.simplefilter(
            "ignore", UserWarning
        )  # what it says of itself: the trajectory shows how far it came
        solver = LSODA(slope, t, y, end, max_step=longest, rtol=rtol, atol=atol, jac=jacobian)
        while solver.status == "running" and made < calls:
            solver.step()
            if solver.status == "failed" or solver.t <= times[-1] or not np.isfinite(solver.y).all():
                break
            step = solver.t - times[-1]
            inside = solver.dense_output()(times[-1] + step * np.array([1.0, 2.0]) / 3.0).T - states[-1]
            between.append(_cubic(step, inside[0], inside[1], solver.y - states[-1]))
            times.append(float(solver.t))
            states.append(solver.y.copy())
    dense = np.array(between) if between else np.empty((0, 4, len(y)))
    return StiffRun(np.array(times[1:]), np.array(states[1:]).reshape(-1, len(y)), dense, made)


def _cubic(step: float, third: Array, two_thirds: Array, whole: Array) -> Array:
    """Coefficients (4, m) of the powers 1 to 4 of the time since a step's start, from what has been gained after a
    third of it, two thirds and the whole."""
    return np.stack(
        [
            (9.0 * third - 4.5 * two_thirds + whole) / step,
            (-22.5 * third + 18.0 * two_thirds - 4.5 * whole) / step**2,
            (13.5 * third - 13.5 * two_thirds + 4.5 * whole) / step**3,
            np.zeros_like(whole),
        ]
    )
