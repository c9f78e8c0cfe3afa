"""Dormand and Prince's explicit pair 5(4), stepped inside compiled code, with its dense output of fourth order.

The tableau, the error estimate and the way the step is chosen are those of scipy's `RK45` (a test holds the
steps of both against each other); what differs is that no step goes through Python.
Sources: Dormand and Prince 1980, J. Comput. Appl. Math. 6, 19-26; dense output: Shampine 1986, Math. Comp. 46, 135-150.
"""

import math

import numpy as np

from sim.compiled import BLOCK, REAL, ROW, TABLE, WHOLE, compiled, kernel
from sim.forces.inputs import PROBLEM
from sim.motion.equations import SCRATCH, derivative

SAFETY, LEAST_FACTOR, MOST_FACTOR = 0.9, 0.2, 10.0
STAGES = 7
NODE = np.array([0.0, 1 / 5, 3 / 10, 4 / 5, 8 / 9, 1.0, 1.0])
STAGE = np.array(
    [
        [0.0, 0.0, 0.0, 0.0, 0.0, 0.0],
        [1 / 5, 0.0, 0.0, 0.0, 0.0, 0.0],
        [3 / 40, 9 / 40, 0.0, 0.0, 0.0, 0.0],
        [44 / 45, -56 / 15, 32 / 9, 0.0, 0.0, 0.0],
        [19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729, 0.0, 0.0],
        [9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656, 0.0],
        [35 / 384, 0.0, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84],
    ]
)

# --- `at`: where a run stands -----------------------------------------------------------------------------
AT_TIME, AT_STEP, AT_CALLS, AT_REFUSED = 0, 1, 2, 3  # s, s of the next step, counts
N_AT = 4


@kernel(
    PROBLEM, SCRATCH, ROW, ROW, TABLE, TABLE, WHOLE, REAL, REAL, REAL, REAL, REAL, ROW, TABLE, BLOCK, returns=WHOLE
)  # fmt: skip
def advance(p, work, at, y, k, room, lure, end, rtol, atol, longest, calls, times, states, dense):
    """Go on by at most as many steps as `times` has room for.

    Args:
        p, work: the `Problem`, and its `Scratch`.
        at: (N_AT,) where the run stands; changed.
        y: (m,) state there; changed.
        k: (7, m) room for the stages; row 0 holds the rates at `y`, filled here before the first step.
        room: (2, m) to work in.
        lure: how many numbers of the state, from the first on, are the lure's own and not its line's.
        end: time (s) to reach.
        rtol, atol: of a step's error, as `_error` tells it.
        longest: longest step (s).
        calls: work budget.
        times, states: (n,) and (n, m), filled with what each step came to.
        dense: (n, 4, m) coefficients of the powers 1 to 4 of the time since the step's start.

    Returns:
        the number of steps made; fewer than n when the end is reached, the budget spent or a state is no number.
    """
    m = y.shape[0]
    stage, each = room[0], room[1]
    t, h = at[AT_TIME], at[AT_STEP]
    if at[AT_CALLS] == 0.0:
        derivative(p, work, t, y, k[0])
        at[AT_CALLS] = 1.0
    done = 0
    refused = False
    while done < times.shape[0] and t < end and at[AT_CALLS] < calls:
        h = min(h, longest)
        last = t + h >= end
        if last:
            h = end - t
        if h <= 1e-14 * max(abs(t), 1.0):
            break
        for s in range(1, STAGES):
            _stage(s, h, y, k, stage)
            derivative(p, work, t + NODE[s] * h, stage, k[s])
        at[AT_CALLS] += STAGES - 1.0
        error = _error(h, y, stage, k, rtol, atol, lure, each)
        if error < 1.0:
            factor = MOST_FACTOR if error == 0.0 else min(MOST_FACTOR, SAFETY * error**-0.2)
            if refused:
                factor = min(factor, 1.0)
            refused = False
            _dense(h, k, dense[done])
            t = end if last else t + h
            times[done] = t
            for i in range(m):
                y[i] = stage[i]
                states[done, i] = stage[i]
                k[0, i] = k[6, i]
            done += 1
            h *= factor
        else:
            refused = True
            at[AT_REFUSED] += 1.0
            # an error that is no number: far too long a step
            h *= max(LEAST_FACTOR, SAFETY * error**-0.2) if math.isfinite(error) else LEAST_FACTOR
    at[AT_TIME], at[AT_STEP] = t, h
    return done


@compiled
def _stage(s, h, y, k, out):
    """State at which stage s is taken; that of the last is the fifth-order result.

    One loop over the state for each stage, so that it is worked on several numbers at a time.
    """
    m = y.shape[0]
    k0, k1, k2, k3, k4, k5 = k[0], k[1], k[2], k[3], k[4], k[5]
    a, b, c, d, e, f = (STAGE[s, 0], STAGE[s, 1], STAGE[s, 2], STAGE[s, 3], STAGE[s, 4], STAGE[s, 5])
    if s == 1:
        for i in range(m):
            out[i] = y[i] + h * (a * k0[i])
    elif s == 2:
        for i in range(m):
            out[i] = y[i] + h * (a * k0[i] + b * k1[i])
    elif s == 3:
        for i in range(m):
            out[i] = y[i] + h * (a * k0[i] + b * k1[i] + c * k2[i])
    elif s == 4:
        for i in range(m):
            out[i] = y[i] + h * (a * k0[i] + b * k1[i] + c * k2[i] + d * k3[i])
    elif s == 5:
        for i in range(m):
            out[i] = y[i] + h * (a * k0[i] + b * k1[i] + c * k2[i] + d * k3[i] + e * k4[i])
    else:
        for i in range(m):
            out[i] = y[i] + h * (a * k0[i] + c * k2[i] + d * k3[i] + e * k4[i] + f * k5[i])


@compiled
def _error(h, y, new, k, rtol, atol, lure, each):
    """Error of the step against the tolerance: root of the sum of squares over the state by the number of its first
    `lure` entries, so that the quiet points of a line do not water down what the lure does. `each` (m,) is room."""
    k0, k2, k3, k4, k5, k6 = k[0], k[2], k[3], k[4], k[5], k[6]
    for i in range(y.shape[0]):
        e = h * (
            -71 / 57600 * k0[i] + 71 / 16695 * k2[i] - 71 / 1920 * k3[i] + 17253 / 339200 * k4[i]
            - 22 / 525 * k5[i] + 1 / 40 * k6[i]
        )  # fmt: skip
        was, now = abs(y[i]), abs(new[i])
        e /= atol + rtol * (was if was > now else now)
        each[i] = e * e
    total = 0.0
    for i in range(y.shape[0]):
        total += each[i]
    return math.sqrt(total / lure)


@compiled
def _dense(h, k, out):
    """Coefficients of the quartic through the step, in powers of the time since its start."""
    b1, b2, b3 = 1.0 / h, 1.0 / (h * h), 1.0 / (h * h * h)
    for i in range(k.shape[1]):
        k0, k2, k3, k4, k5, k6 = k[0, i], k[2, i], k[3, i], k[4, i], k[5, i], k[6, i]
        out[0, i] = k0
        out[1, i] = b1 * (
            -8048581381 / 2820520608 * k0 + 131558114200 / 32700410799 * k2 - 1754552775 / 470086768 * k3
            + 127303824393 / 49829197408 * k4 - 282668133 / 205662961 * k5 + 40617522 / 29380423 * k6
        )  # fmt: skip
        out[2, i] = b2 * (
            8663915743 / 2820520608 * k0 - 68118460800 / 10900136933 * k2 + 14199869525 / 1410260304 * k3
            - 318862633887 / 49829197408 * k4 + 2019193451 / 616988883 * k5 - 110615467 / 29380423 * k6
        )  # fmt: skip
        out[3, i] = b3 * (
            -12715105075 / 11282082432 * k0 + 87487479700 / 32700410799 * k2 - 10690763975 / 1880347072 * k3
            + 701980252875 / 199316789632 * k4 - 1453857185 / 822651844 * k5 + 69997945 / 29380423 * k6
        )  # fmt: skip
