"""How much of a small part is under water: the law of an elliptic section, shared by float and motion."""

import math

from sim.compiled import compiled


@compiled
def wetted(depth, half):
    """Wetted share, its growth with depth, and the downward shift of its centroid.

    For a part with its centre at `depth` below the surface (m) and vertical half extent
    `half` = sqrt(u.Q.u) (m), with u straight up and Q from `sim.elements`. With
    theta = arccos(-depth / half):

        share  = (theta - sin theta cos theta) / pi
        growth = d share / d depth = 2 sin theta / (pi half)                       (1/m)
        shift  = (2/3) sin^3 theta / (theta - sin theta cos theta)                 (no unit)

    The wetted centroid lies at r - shift (Q u) / half. Closed form for an elliptic cylinder lying level (the
    segment of a circle, stretched); share and shift follow from one potential, so no energy is made or lost.
    A part without height is under or out as a point, and its share has no slope.
    """
    if half <= 0.0 or depth >= half:
        return (1.0 if depth >= 0.0 else 0.0), 0.0, 0.0
    if depth <= -half:
        return 0.0, 0.0, 1.0
    cosine = -depth / half
    sine = math.sqrt((1.0 - cosine) * (1.0 + cosine))
    theta = math.atan2(sine, cosine)
    if theta < 1e-2:  # the difference below would lose its digits
        square = theta * theta
        segment = theta * square * (2.0 / 3.0 - square * (2.0 / 15.0 - square * 4.0 / 315.0))
    else:
        segment = theta - sine * cosine
    shift = 2.0 / 3.0 * sine * sine * sine / segment if segment > 0.0 else 1.0
    return segment / math.pi, 2.0 * sine / (math.pi * half), shift
