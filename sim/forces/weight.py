"""Pull of gravity."""

from sim.compiled import compiled
from sim.forces.inputs import COEFFICIENT_INDEX, GRAVITY, K_UP

G_WEIGHT = COEFFICIENT_INDEX["weight"]


@compiled
def weight_force(inertia, kin, env, coefficients, out):
    """Weight at the centre of gravity, read from the mass matrix: m on the diagonal, m c in the coupling."""
    u0, u1, u2 = kin[K_UP], kin[K_UP + 1], kin[K_UP + 2]
    weight = -inertia[0, 0] * env[GRAVITY] * coefficients[G_WEIGHT]
    out[0] += weight * u0
    out[1] += weight * u1
    out[2] += weight * u2
    mcx, mcy, mcz = inertia[1, 5], inertia[2, 3], inertia[0, 4]
    per = -env[GRAVITY] * coefficients[G_WEIGHT]
    out[3] += per * (mcy * u2 - mcz * u1)
    out[4] += per * (mcz * u0 - mcx * u2)
    out[5] += per * (mcx * u1 - mcy * u0)
