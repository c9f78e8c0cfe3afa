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
def cylinder_cd(re):
    """Drag coefficient of an endless circular cylinder across the flow.

    Cd = 11 Re^-0.75 + 0.9 (1 - exp(-1000/Re)) + 1.2 (1 - exp(-(Re/4500)^0.7)), for 1 < Re < 2e5; at Re = 1e4
    it gives 1.088, and 1.2 on the plateau that the tables of finite rods are told against.
    Source: Cheng 2013, J. Hydraulic Eng. (ASCE) (formula from memory). Held within 15 % of a second published
    curve by a check. White's 1 + 10 Re^(-2/3) is the other common form; it has no plateau.
    """
    re = max(re, 1.0)
    low = 11.0 / (math.sqrt(re) * math.sqrt(math.sqrt(re)))
    return low + 0.9 * (1.0 - math.exp(-1000.0 / re)) + 1.2 * (1.0 - math.exp(-((re / 4500.0) ** 0.7)))


@compiled
def friction(re):
    """Mean friction coefficient of a smooth flat surface of length Reynolds number `re`.

    Laminar 1.328/sqrt(Re) (Blasius), turbulent 0.074 Re^-0.2 (Prandtl), blended by Re^2/(Re^2 + (5e5)^2).
    The two laws are closed form and published fit; the blend is judgement.
    """
    re = max(re, 1.0)
    laminar = 1.328 / math.sqrt(re)
    turbulent = 0.074 / re**0.2
    share = re * re / (re * re + 2.5e11)
    return laminar + share * (turbulent - laminar)


@compiled
def form_factor(slender):
    """Drag of a streamlined body of revolution over its skin friction, on its surface area.

    1 + 1.5 (d/l)^1.5 + 7 (d/l)^3 with `slender` = d/l. At d/l = 0.25 it gives 1.297.
    Source: Hoerner, S. F. 1965, Fluid-Dynamic Drag, p. 6-17 (page from memory).
    """
    return 1.0 + 1.5 * slender * math.sqrt(slender) + 7.0 * slender * slender * slender


@compiled
def lift_slope(aspect):
    """Normal-force slope of a flat plate, 1/rad: Helmbold's form 2 pi A / (2 + sqrt(1.29 A^2 + 4)).

    Within 1.1 % of the linear lifting surface for 0.25 <= A <= 4; at A = 1 it gives 1.461 (Tuck's value for the
    square is 1.460).
    """
    return 2.0 * math.pi * aspect / (2.0 + math.sqrt(1.29 * aspect * aspect + 4.0))
