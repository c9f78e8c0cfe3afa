"""The state of a run and the motion that the forces see: layout, attitude, velocity of a point."""

from sim.compiled import compiled
from sim.forces.inputs import CURRENT, K_AIR, K_HEIGHT, K_SPIN, K_UP, K_WATER, WIND

POSITION, ATTITUDE, VELOCITY, SPIN, WAKE = 0, 3, 7, 10, 13  # first index of each part of the state
N_WAKE = 3  # numbers of each wake oscillator: q, p, and the sway averaged over a period of the wake (m/s)


@compiled
def rotation(y):
    """Body-to-world matrix of a state, as nine numbers by rows; the quaternion need not be normalised."""
    a, b, c, d = y[3], y[4], y[5], y[6]
    s = 2.0 / (a * a + b * b + c * c + d * d)
    return (
        1.0 - s * (c * c + d * d), s * (b * c - a * d), s * (b * d + a * c),
        s * (b * c + a * d), 1.0 - s * (b * b + d * d), s * (c * d - a * b),
        s * (b * d - a * c), s * (c * d + a * b), 1.0 - s * (b * b + c * c),
    )  # fmt: skip


@compiled
def see_motion(y, env, kin):
    """Fill `kin` from a state. Returns the velocity of the water in body axes (m/s)."""
    r00, r01, r02, r10, r11, r12, r20, r21, r22 = rotation(y)
    cx, cy, cz = env[CURRENT], env[CURRENT + 1], env[CURRENT + 2]
    ux = r00 * cx + r10 * cy + r20 * cz
    uy = r01 * cx + r11 * cy + r21 * cz
    uz = r02 * cx + r12 * cy + r22 * cz
    ax, ay, az = env[WIND], env[WIND + 1], env[WIND + 2]
    kin[K_WATER], kin[K_WATER + 1], kin[K_WATER + 2] = y[7] - ux, y[8] - uy, y[9] - uz
    kin[K_AIR] = y[7] - (r00 * ax + r10 * ay + r20 * az)
    kin[K_AIR + 1] = y[8] - (r01 * ax + r11 * ay + r21 * az)
    kin[K_AIR + 2] = y[9] - (r02 * ax + r12 * ay + r22 * az)
    kin[K_SPIN], kin[K_SPIN + 1], kin[K_SPIN + 2] = y[10], y[11], y[12]
    kin[K_UP], kin[K_UP + 1], kin[K_UP + 2] = r20, r21, r22
    kin[K_HEIGHT] = y[2]
    return ux, uy, uz
