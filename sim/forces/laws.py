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

    Cd = 1 + 10 Re^(-2/3), for 1 < Re < 2e5; at Re = 1000 it gives 1.1.
    Source: White, F. M. 1991, Viscous Fluid Flow, 2nd ed. Published fit, from memory; it is held within 15 %
    of a second published curve by a check.
    """
    root = max(re, 1.0) ** (1.0 / 3.0)
    return 1.0 + 10.0 / (root * root)


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
