"""A force that does not exist: a small balloon, which pulls straight up. `test_recipes` adds it to a package.

It is written as `sim/forces/balloon.py` would be: its coefficient is not one of the package's, so nothing imports it.
"""

from sim.compiled import ROW, kernel
from sim.forces.inputs import COEFFICIENT_INDEX, K_UP

G_BALLOON = COEFFICIENT_INDEX["balloon"]

PULL = 0.005  # N


@kernel(ROW, ROW, ROW)
def balloon_force(kin, coefficients, out):
    """Pull at the origin of the lure, through which it turns nothing."""
    pull = PULL * coefficients[G_BALLOON]
    out[0] += pull * kin[K_UP]
    out[1] += pull * kin[K_UP + 1]
    out[2] += pull * kin[K_UP + 2]
