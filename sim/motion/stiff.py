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
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from sim.compiled import REAL, ROW, TABLE, WHOLE, kernel
from sim.forces.inputs import PROBLEM
from sim.motion.equations import SCRATCH, derivative, rates_of, scratch
from sim.motion.problem import unpack

Array = NDArray[np.float64]

_alone = (
    threading.Lock()
)  # LSODA solves one problem at a time, and filters of warnings are those of all threads

DIFFERENCE, SMALL = 1.5e-8, 0.01  # step of the differences, as a share of a number of the state or of this
AT_ONCE = 256  # steps that are handed on together


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
    goes_on: Callable[[Array, Array, Array], bool],
) -> int:
    """Go on from `y` at `t` to `end` (s) or until the budget of calls is spent; the curve between steps is cubic.

    Args:
        lure: how many numbers of the state are the lure's own and not its line's.
        goes_on: is given some steps at a time, as a `Trajectory` has them, and says whether more are wanted.

    Returns:
        calls made.
    """
    from scipy.integrate import LSODA

    made, m = 0, len(y)
    p = unpack(flat)
    slopes, differences = rates_of(flat), _differences.bound(p, scratch(p), np.empty((3, m)))

    def slope(at: float, state: Array) -> Array:
        nonlocal made
        made += 1
        return slopes(at, state)

    def jacobian(at: float, state: Array) -> Array:
        nonlocal made
        made += 1 + lure
        found = np.zeros((m, m))
        differences(at, np.ascontiguousarray(state), lure, found)
        return found

    times, states = [t], [y]
    inside: list[Array] = []  # the curve a third and two thirds of the way through each step

    def handed_on() -> bool:
        if not inside:
            return True
        t_, y_, at = np.array(times), np.array(states), np.array(inside)
        gained = at - y_[:-1, None]
        dense = _cubic(np.diff(t_)[:, None], gained[:, 0], gained[:, 1], y_[1:] - y_[:-1])
        del times[:-1], states[:-1], inside[:]
        return goes_on(t_[1:], y_[1:], dense)

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
            inside.append(solver.dense_output()(times[-1] + step * np.array([1.0, 2.0]) / 3.0).T)
            times.append(float(solver.t))
            states.append(solver.y.copy())
            if len(inside) == AT_ONCE and not handed_on():
                return made
        handed_on()
    return made


@kernel(PROBLEM, SCRATCH, TABLE, REAL, ROW, WHOLE, TABLE)
def _differences(p, work, room, t, y, lure, found):
    """Fill the first `lure` columns of the Jacobian (m, m)."""
    here, there, moved = room[0], room[1], room[2]
    for i in range(len(y)):
        moved[i] = y[i]
    derivative(p, work, t, y, here)
    for i in range(lure):
        moved[i] = y[i] + DIFFERENCE * max(abs(y[i]), SMALL)
        derivative(p, work, t, moved, there)
        for j in range(len(y)):
            found[j, i] = (there[j] - here[j]) / (moved[i] - y[i])
        moved[i] = y[i]


def _cubic(step: Array, third: Array, two_thirds: Array, whole: Array) -> Array:
    """Coefficients (n, 4, m) of the powers 1 to 4 of the time since a step's start, from what has been gained after a
    third of it, two thirds and the whole, each (n, m); `step` (n, 1)."""
    return np.stack(
        [
            (9.0 * third - 4.5 * two_thirds + whole) / step,
            (-22.5 * third + 18.0 * two_thirds - 4.5 * whole) / step**2,
            (13.5 * third - 13.5 * two_thirds + 4.5 * whole) / step**3,
            np.zeros_like(whole),
        ],
        axis=1,
    )
