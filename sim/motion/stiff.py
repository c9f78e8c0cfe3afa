"""The rest of a run that the explicit stepper cannot finish: parts so light, for the water that holds them, that their
motion dies out within microseconds. scipy's LSODA, which turns to implicit steps where it pays.

Only for runs that would otherwise have no answer: its Jacobian by differences keeps a symmetric lure in its plane, but
a mirrored run is a mirror image to the tolerance only, not to the last bit.
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


def finished(
    flat: Array, t: float, y: Array, end: float, rtol: float, atol: float, longest: float, calls: float
) -> StiffRun:
    """Go on from `y` at `t` to `end` (s) or until the budget of calls is spent; the curve between steps is cubic."""
    from scipy.integrate import LSODA

    made = 0

    def slope(at: float, state: Array) -> Array:
        nonlocal made
        made += 1
        return rates(at, state, flat)

    times, states, slopes = [t], [y], [slope(t, y)]
    with _alone, warnings.catch_warnings(), np.errstate(all="ignore"):
        warnings.simplefilter(
            "ignore", UserWarning
        )  # what it says of itself: the trajectory shows how far it came
        solver = LSODA(slope, t, y, end, max_step=longest, rtol=rtol, atol=atol)
        while solver.status == "running" and made < calls:
            solver.step()
            if solver.status == "failed" or solver.t <= times[-1] or not np.isfinite(solver.y).all():
                break
            times.append(float(solver.t))
            states.append(solver.y.copy())
            slopes.append(slope(solver.t, solver.y))
    at, found, f = np.array(times), np.array(states), np.array(slopes)
    h = np.diff(at)[:, None]
    mean = np.diff(found, axis=0) / h if len(at) > 1 else np.empty((0, len(y)))
    dense = np.zeros((len(mean), 4, len(y)))
    dense[:, 0] = f[:-1]
    dense[:, 1] = (3.0 * mean - 2.0 * f[:-1] - f[1:]) / h
    dense[:, 2] = (f[:-1] + f[1:] - 2.0 * mean) / h**2
    return StiffRun(at[1:], found[1:], dense, made)
