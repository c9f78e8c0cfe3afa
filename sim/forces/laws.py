"""Drag laws: coefficients against Reynolds number, each with its source and range."""

import math

from sim.compiled import compiled


@compiled
def sphere_cd(re):
    """Drag coefficient of a smooth sphere.

    Cd = 24/Re (1 + 0.152 Re^0.677) + 0.417 / (1 + 5070 Re^-0.94), for Re < 2e5; at Re = 1e4 it gives 0.410.
    Source: Clift and Gauvin 1970, as kept in the library `fluids` (name "Clift_Gauvin"). Published fit.
    Below Re = 1 the law is still right (Stokes); `re` is kept above 0.01 so that the product with speed
    stays finite.
    """
    re = max(re, 0.01)
    return 24.0 / re * (1.0 + 0.152 * re**0.677) + 0.417 / (1.0 + 5070.0 * re**-0.94)


@compiled
def cylinder_cd(re, ends=1.0):
    """Drag coefficient of a circular cylinder across the flow; `ends` is what a short one keeps, 1 if endless.

    Cd = 11 Re^-0.75 + 0.9 (1 - exp(-1000/Re)) + ends 1.2 (1 - exp(-(Re/4500)^0.7)), for 1 < Re < 2e5; at
    Re = 1e4 the endless one has 1.088, and 1.2 on the plateau that the tables of finite rods are told against.
    Source: Cheng 2013, J. Hydraulic Eng. (ASCE) (formula from memory). Held within 15 % of a second published
    curve by a check. White's 1 + 10 Re^(-2/3) is the other common form; it has no plateau. That the ends take
    only from the last term, the suction of the vortices that roll up close behind, is judgement: the tables of
    finite rods were measured on the plateau, where it is all there is.
    """
    re = max(re, 1.0)
    low = 11.0 / (math.sqrt(re) * math.sqrt(math.sqrt(re)))
    plateau = 1.2 * (1.0 - math.exp(-((re / 4500.0) ** 0.7)))
    return low + 0.9 * (1.0 - math.exp(-1000.0 / re)) + ends * plateau


@compiled
def friction(re):
    """Mean friction coefficient of a smooth flat surface of length Reynolds number `re`.

    Laminar 1.328/sqrt(Re) (Blasius), turbulent 0.074 Re^-0.2 (Prandtl), blended by Re^2/(Re^2 + (5e5)^2).
    The two laws are closed form and published fit; the blend is judgement.
    """
    re = max(re, 1.0)
    laminar = 1.328 / math.sqrt(re)
    turbulent = 0.074 / re**0.2
    return laminar + turbulent_share(re) * (turbulent - laminar)


@compiled
def turbulent_share(re):
    """How far the flow along a surface of length Reynolds number `re` is past its transition (judgement)."""
    return re * re / (re * re + 2.5e11)


@compiled
def streamlined_cd(re, slender, wetted, rounded, tail):
    """Drag coefficient along the axis, on the largest section, of a body of revolution of length Reynolds number `re`.

    Below the critical Re Cf W (1 + (d/l)^1.5) + 0.33 d/l, above it Cf W (1 + 1.5 (d/l)^1.5 + 7 (d/l)^3), run into
    each other as the skin friction Cf is. `slender` is d/l and `wetted` W the surface over the largest section;
    `rounded` (0 to 1) weighs the form factor, `tail` (0 to 1) the pressure on a tail that the laminar flow has left.
    At Re = 2e4, d/l = 0.25, W = 12.4 and rounded throughout it gives 0.214.
    Source: Hoerner 1965, Fluid-Dynamic Drag, pp. 6-16 to 6-18 (from memory); he writes 3 l/d for W.
    """
    whole = slender * math.sqrt(slender)
    share = turbulent_share(re)
    form = 1.0 + rounded * (whole + share * (0.5 * whole + 7.0 * slender * slender * slender))
    return friction(re) * wetted * form + tail * 0.33 * slender * (1.0 - share)


@compiled
def lift_slope(aspect):
    """Normal-force slope of a flat plate, 1/rad: Helmbold's form 2 pi A / (2 + sqrt(1.29 A^2 + 4)).

    Within 1.1 % of the linear lifting surface for 0.25 <= A <= 4; at A = 1 it gives 1.461 (Tuck's value for the
    square is 1.460).
    """
    return 2.0 * math.pi * aspect / (2.0 + math.sqrt(1.29 * aspect * aspect + 4.0))


@compiled
def edge_lift(aspect, centre):
    """Normal-force coefficient of the vortices over a flat plate's side edges, on the square of the sine.

    Kv = 4 Kp^2 / (pi A^2) (1 - 1.54 xa), with xa the attached centre of pressure in chords. Leading-edge suction
    analogy (Polhamus 1966, NASA TN D-3767) for the side edges (Lamar 1974, NASA TR R-428; Purvis 1981): the suction
    that linear theory puts on each side edge turns into normal force. For an elliptic load over the span the suction on
    both edges is pi rho G^2 / (4 s) per length, G the circulation gathered from the leading edge on, s half the span;
    the mean of its square along the chord is 1 where all lift sits at the leading edge (xa = 0, A to nought: Kv = pi)
    and 0.614 for a thin aerofoil's chordwise load (xa = 1/4). No such lift is counted for an unswept leading edge:
    measured plates of aspect 0.5 to 3 do not show it (Aerospace 2023, 10(7), 597, abstract).
    Standing: closed form but for the straight line in xa between its two ends. At A = 1 it gives 2.02.
    """
    kp = lift_slope(aspect)
    return 4.0 * kp * kp / (math.pi * aspect * aspect) * (1.0 - 1.54 * centre)


@compiled
def stalled_relief(aspect):
    """What a plate's open sides take off its stalled normal force: 0.41 (1 - exp(-17 / A)).

    CN = Cd90 (1 / (0.56 + 0.44 sin a) - relief) sin a with Cd90 = 1.98 of an endless plate: at 90 degrees it
    gives 1.17 for a square and 1.20 at aspect 5, as the tables have it. Source: Lindenburg 2001, ECN-RX--01-004,
    Stall coefficients (formula as kept in public code). Published fit.
    """
    return 0.41 * (1.0 - math.exp(-17.0 / aspect))
