"""Small lures made by hand for tests of the equations of motion: no build, closed-form numbers only."""

import math

import numpy as np
from scipy.special import elliprd

from sim import elements as e
from sim.motion.problem import Scene
from sim.motion.solve import TIGHT, integrate, start_state

OFF_BUT_INERTIA = dict.fromkeys(
    ("buoyancy", "weight", "cross_drag", "axial_drag", "tail_relief", "cross_relief", "roll_drag"), 0.0
)


def bare(common, added, inertia, blobs=()):
    """Elements without bodies, plates and wires; a row of `common` that is too short ends in noughts."""
    none = {name: np.zeros((0, width)) for name, width in (
        ("bodies", e.N_BODY), ("strips", e.N_STRIP), ("plates", e.N_PLATE), ("wires", e.N_WIRE),
    )}  # fmt: skip
    return e.Elements(
        common=np.array([[*row, *[0.0] * (e.N_COMMON - len(row))] for row in common]),
        added=np.array(added, dtype=float).reshape(-1, e.N_ADDED),
        blobs=np.array(blobs, dtype=float).reshape(-1, e.N_BLOB),
        inertia=np.array(inertia, dtype=float),
        **none,
    )


def added_masses(a, b, c):
    """Diagonal of an ellipsoid's added-mass matrix over the density (Lamb 1932, arts. 114-115), closed form."""
    alpha = [
        2 / 3 * a * b * c * elliprd(*others)
        for others in ((b * b, c * c, a * a), (a * a, c * c, b * b), (a * a, b * b, c * c))
    ]
    volume = 4 / 3 * math.pi * a * b * c

    def turning(p, q, alpha_p, alpha_q):
        difference = p * p - q * q
        total = p * p + q * q
        return difference**2 * (alpha_q - alpha_p) / (total * (2 * difference + total * (alpha_p - alpha_q)))

    linear = [k / (2 - k) * volume for k in alpha]
    angular = [
        turning(b, c, alpha[1], alpha[2]) * volume / 5 * (b * b + c * c),
        turning(a, c, alpha[0], alpha[2]) * volume / 5 * (a * a + c * c),
        turning(a, b, alpha[0], alpha[1]) * volume / 5 * (a * a + b * b),
    ]
    return np.diag(linear + angular)


def ellipsoid(a, b, c, density):
    """One solid ellipsoid about its own centre, as a single element."""
    volume = 4 / 3 * math.pi * a * b * c
    inertia = (
        density * volume * np.diag([1, 1, 1, *(np.array([b * b + c * c, a * a + c * c, a * a + b * b]) / 5)])
    )
    row = [0, 0, 0, a * a, b * b, c * c, 0, 0, 0, volume]
    return bare([row], [added_masses(a, b, c)[np.triu_indices(6)]], inertia)


def lump(mass, drag_area):
    """A point mass with constant drag, nothing else: for projectiles."""
    inertia = mass * np.diag([1, 1, 1, 1e-6, 1e-6, 1e-6])
    return bare([np.zeros(e.N_COMMON)], [np.zeros(e.N_ADDED)], inertia, [[0, drag_area, 0.0, 0.0]])


def fly(elements, scene: Scene, duration, **start):
    """Integrate from a start given by `position`, `quaternion`, `velocity`, `spin`."""
    at = {"position": (0.0, 0.0, 0.0), "quaternion": (1.0, 0.0, 0.0, 0.0), **start}
    return integrate(elements, scene, start_state(elements, **at), duration, settings=TIGHT)
