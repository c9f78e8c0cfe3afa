"""How much of a small part is under water: the law of an elliptic section, shared by float and motion, and a box's."""

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


FLOOR = 0.03  # of a box's whole height, under which none of its three parts is taken to fall (numerical)


@compiled
def wetted_box(depth, a, b, c):
    """Wetted share of a box, its growth with depth, and the moments of what is wet along its three half edges.

    The centre is at `depth` (m) and the half edges rise by a, b, c >= 0 (m) along the vertical. A point of the box
    drawn at random lies at depth + a i + b j + c k, with i, j, k even between -1 and 1, so that

        F = E max(depth + a i + b j + c k, 0) = 1/(8 a b c) sum of +-(depth +- a +- b +- c)^4 / 24 where positive
        share = dF/d depth,   growth = d share / d depth,   share times mean of i over what is wet = dF/da

    Closed form at any attitude; as share and moments come from one potential, no energy is made or lost. An edge that
    lies level makes the sums nought over nought, so each part rises by at least FLOOR of the whole.
    """
    least = FLOOR * FLOOR * (a * a + b * b + c * c)
    p, q, r = math.sqrt(a * a + least), math.sqrt(b * b + least), math.sqrt(c * c + least)
    if depth >= p + q + r or least == 0.0:
        return (1.0 if depth >= 0.0 else 0.0), 0.0, 0.0, 0.0, 0.0
    if depth <= -(p + q + r):
        return 0.0, 0.0, 0.0, 0.0, 0.0
    fourth, third, second, along_p, along_q, along_r = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    for i in (-1.0, 1.0):
        for j in (-1.0, 1.0):
            for k in (-1.0, 1.0):
                x = depth + i * p + j * q + k * r
                if x > 0.0:
                    sign = i * j * k
                    cube = sign * x * x * x / 6.0
                    fourth += 0.25 * cube * x
                    third += cube
                    second += 0.5 * sign * x * x
                    along_p += i * cube
                    along_q += j * cube
                    along_r += k * cube
    scale = 1.0 / (8.0 * p * q * r)
    potential = scale * fourth
    fp = (scale * along_p - potential / p) / p
    fq = (scale * along_q - potential / q) / q
    fr = (scale * along_r - potential / r) / r
    floor = FLOOR * FLOOR * (fp + fq + fr)
    return scale * third, scale * second, a * (fp + floor), b * (fq + floor), c * (fr + floor)
