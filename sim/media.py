"""What a lure moves through: density and viscosity of fresh and salt water and of air, at the surface.

Every function is a published fit, with its range; plain floats in and out. Salinity is absolute salinity,
g of salt per kg of water. Agreement with the reference formulations is tested against the libraries that
carry them (TEOS-10, IAPWS-95, ISO 2533).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

WARMEST = 40.0  # C, end of the range of the density fits
SALTIEST = 42.0  # g/kg, the same
SEAWATER = 35.0  # g/kg, what "salt" means when no salinity is told
HEIGHTS = (-2000.0, 11000.0)  # m, the lowest layer of the standard atmosphere

SALINITY_PER_PRACTICAL = 35.16504 / 35  # g/kg; TEOS-10 manual, IOC 2010, eq. 2.4.1
KELVIN = 273.15
PRESSURE = 101325.0  # Pa, standard
GAS_CONSTANT = 287.05287  # J/(kg K), dry air, ISO 2533:1975
GRAVITY = 9.80665  # m/s2, ISO 2533:1975
LAPSE = 0.0065  # K/m, ISO 2533:1975
SEA_LEVEL_KELVIN = 288.15  # K, ISO 2533:1975
EARTH_RADIUS = 6356766.0  # m, ISO 2533:1975


@dataclass(frozen=True)
class Medium:
    """A still fluid. `density` kg/m3, `viscosity` (dynamic) Pa s."""

    density: float
    viscosity: float

    @property
    def kinematic(self) -> float:
        """Kinematic viscosity, m2/s."""
        return self.viscosity / self.density


def water(temperature_c: float, salinity_g_kg: float = 0.0) -> Medium:
    """Fresh, brackish or sea water at the surface.

    Raises:
        ValueError: frozen, warmer than `WARMEST`, saltier than `SALTIEST`, or not a number.
    """
    if not 0.0 <= salinity_g_kg <= SALTIEST:
        raise ValueError(f"salinity {salinity_g_kg:g} g/kg is outside 0 to {SALTIEST:g} g/kg")
    coldest = freezing_point(salinity_g_kg)
    if not coldest <= temperature_c <= WARMEST:
        raise ValueError(f"water at {temperature_c:g} C is outside {coldest:.1f} to {WARMEST:g} C")
    return Medium(water_density(temperature_c, salinity_g_kg), water_viscosity(temperature_c, salinity_g_kg))


def air(temperature_c: float | None = None, height_m: float = 0.0) -> Medium:
    """Dry air at a height above the sea; the standard atmosphere's temperature there if none is told.

    Ideal gas at the standard pressure of that height, and Sutherland's viscosity.

    Raises:
        ValueError: a height outside `HEIGHTS`, or a temperature at or below absolute zero.

    >>> f"{air().density:.4f} {air(height_m=1000).density:.5f} {air(20).density:.3f}"
    '1.2250 1.11166 1.204'
    """
    if not HEIGHTS[0] <= height_m <= HEIGHTS[1]:
        raise ValueError(f"height {height_m:g} m is outside {HEIGHTS[0]:g} to {HEIGHTS[1]:g} m")
    standard, pressure = _standard_atmosphere(height_m)
    kelvin = standard if temperature_c is None else temperature_c + KELVIN
    if not kelvin > 0.0:
        raise ValueError(f"air at {temperature_c} C is not warmer than absolute zero")
    return Medium(pressure / (GAS_CONSTANT * kelvin), air_viscosity(kelvin))


def water_density(temperature_c: float, salinity_g_kg: float = 0.0) -> float:
    """Density of water at 101325 Pa, kg/m3: fresh-water formula plus the salt terms of EOS-80.

    rho = 999.97495 (1 - (t - 3.983035)^2 (t + 301.797) / (522528.9 (t + 69.34881))) + A S + B S^1.5 + C S^2
    with t in C, S practical salinity, A and B polynomials in t.
    Range: freezing to 40 C, 0 to 42 g/kg; within 0.0012 kg/m3 of IAPWS-95 when fresh,
    0.012 of TEOS-10 over all.
    Source: Tanaka, Girard, Davis, Peuto & Bignell 2001, Recommended table for the density of water between
    0 C and 40 C, Metrologia 38, 301-309; Millero & Poisson 1981, International one-atmosphere equation of
    state of seawater, Deep-Sea Research 28A, 625-629. The 0.00024 between the temperature scales of 1968 and
    1990 is left out: it moves the salt terms by less than 0.0004 kg/m3.

    >>> round(water_density(20.0), 3), round(water_density(5.0, 35.16504), 3)
    (998.207, 1027.675)
    """
    t, s = temperature_c, salinity_g_kg / SALINITY_PER_PRACTICAL
    fresh = 999.97495 * (1 - (t - 3.983035) ** 2 * (t + 301.797) / (522528.9 * (t + 69.34881)))
    a = 8.24493e-1 + t * (-4.0899e-3 + t * (7.6438e-5 + t * (-8.2467e-7 + t * 5.3875e-9)))
    b = -5.72466e-3 + t * (1.0227e-4 - t * 1.6546e-6)
    return fresh + s * (a + b * math.sqrt(s) + 4.8314e-4 * s)


def water_viscosity(temperature_c: float, salinity_g_kg: float = 0.0) -> float:
    """Dynamic viscosity of water at 101325 Pa, Pa s: fresh-water formula times a factor for the salt.

    mu = 1e-6 (280.68 x^-1.9 + 511.45 x^-7.7 + 61.131 x^-19.6 + 0.45903 x^-40) (1 + A S + B S^2)
    with x = T / 300 K, S in kg/kg, A and B polynomials in t (C).
    Range: -20 to 110 C fresh (1 %); 0 to 180 C and 0 to 150 g/kg for the salt factor (1.5 %).
    Source: IAPWS 2011, Revised supplementary release on properties of liquid water at 0.1 MPa;
    Sharqawy, Lienhard & Zubair 2010, Thermophysical properties of seawater, Desalination and Water
    Treatment 16, 354-380, eq. 22.

    >>> f"{water_viscosity(20.0):.4e} {water_viscosity(20.0, 35.0):.4e}"
    '1.0016e-03 1.0764e-03'
    """
    t, s = temperature_c, salinity_g_kg / 1000
    x = (t + KELVIN) / 300
    fresh = 1e-6 * (280.68 * x**-1.9 + 511.45 * x**-7.7 + 61.131 * x**-19.6 + 0.45903 * x**-40)
    a = 1.541 + t * (1.998e-2 - t * 9.52e-5)
    b = 7.974 + t * (-7.561e-2 + t * 4.724e-4)
    return fresh * (1 + s * (a + s * b))


def freezing_point(salinity_g_kg: float) -> float:
    """Temperature at which water of this salinity freezes at the surface, C.

    t = -0.0575 S + 1.710523e-3 S^1.5 - 2.154996e-4 S^2, S practical salinity; 4 to 40, used down to 0.
    Source: Fofonoff & Millard 1983, Algorithms for computation of fundamental properties of seawater,
    UNESCO Technical Papers in Marine Science 44, p. 30 (after Millero & Leung 1976).

    >>> round(freezing_point(33 * SALINITY_PER_PRACTICAL), 3)
    -1.808
    """
    s = salinity_g_kg / SALINITY_PER_PRACTICAL
    return 0.0 - s * (0.0575 - 1.710523e-3 * math.sqrt(s) + 2.154996e-4 * s)


def air_viscosity(kelvin: float) -> float:
    """Dynamic viscosity of air, Pa s: mu = 1.458e-6 T^1.5 / (T + 110.4).

    Source: ISO 2533:1975, Standard atmosphere (Sutherland's formula); used from -60 to 50 C.

    >>> f"{air_viscosity(288.15):.5e}"
    '1.78938e-05'
    """
    return 1.458e-6 * kelvin**1.5 / (kelvin + 110.4)


def _standard_atmosphere(height: float) -> tuple[float, float]:
    """Temperature (K) and pressure (Pa) of ISO 2533 at a geometric height in its lowest layer (m)."""
    geopotential = EARTH_RADIUS * height / (EARTH_RADIUS + height)
    kelvin = SEA_LEVEL_KELVIN - LAPSE * geopotential
    return kelvin, PRESSURE * (kelvin / SEA_LEVEL_KELVIN) ** (GRAVITY / (LAPSE * GAS_CONSTANT))
