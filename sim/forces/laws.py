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
