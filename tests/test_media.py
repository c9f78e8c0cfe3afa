"""Water and air, held against the libraries that carry the reference formulations."""

import math

import gsw
import pytest
from ambiance import Atmosphere
from hypothesis import given
from hypothesis import strategies as st
from iapws import IAPWS95

from sim.media import (
    HEIGHTS,
    SALINITY_PER_PRACTICAL,
    SALTIEST,
    SEAWATER,
    WARMEST,
    Medium,
    air,
    freezing_point,
    water,
    water_density,
    water_viscosity,
)


def teos10(t: float, salinity: float) -> float:
    """Density, kg/m3, by TEOS-10 at the surface."""
    return float(gsw.rho_t_exact(salinity, t, 0.0))


def millero(t: float, practical: float, density: float) -> float:
    """Viscosity of sea water, Pa s: a second published fit, 5 to 25 C, 0 to 40.

    Millero 1974, in The Sea vol. 5, Wiley, p. 3; its check value is 9.6541e-4 at 25 C and 40.
    """
    fresh = 1.002e-3 * 10 ** ((1.1709 * (20 - t) - 1.827e-3 * (t - 20) ** 2) / (t + 89.93))
    volume = density * practical
    return fresh * (
        1 + (2.5116e-6 + 1.2199e-6 * t) * math.sqrt(volume) + (1.4342e-6 + 1.8267e-8 * t) * volume
    )


@pytest.mark.parametrize("t", [0.01, 2, 4, 10, 15, 18, 20, 25, 30, 35, 40])
def test_fresh_water_agrees_with_iapws(t: float) -> None:
    reference = IAPWS95(T=t + 273.15, P=0.101325)
    got = water(t)
    assert got.density == pytest.approx(reference.rho, abs=0.0012)
    assert got.viscosity == pytest.approx(reference.mu, rel=1e-4)
    assert got.kinematic == pytest.approx(reference.nu, rel=1e-4)


@given(t=st.floats(0, 35), salinity=st.floats(0, 42))
def test_salt_water_density_agrees_with_teos_10(t: float, salinity: float) -> None:
    assert water_density(t, salinity) == pytest.approx(teos10(t, salinity), abs=0.01)


@given(share=st.floats(0, 1), salinity=st.floats(0, 42))
def test_density_holds_from_freezing_to_the_end_of_the_range(share: float, salinity: float) -> None:
    t = freezing_point(salinity) + share * (WARMEST - freezing_point(salinity))
    assert water_density(t, salinity) == pytest.approx(teos10(t, salinity), abs=0.0125)


@pytest.mark.parametrize(
    ("t", "practical", "density"),
    [(5, 35, 1027.67547), (25, 35, 1023.34306), (5, 0, 999.96675), (25, 0, 997.04796)],
)
def test_density_gives_the_check_values_of_the_equation_of_state_of_1980(
    t: float, practical: float, density: float
) -> None:
    """Millero & Poisson 1981, table 1; Fofonoff & Millard 1983. Temperatures on the scale of 1968."""
    salinity = practical * SALINITY_PER_PRACTICAL
    assert water_density(t / 1.00024, salinity) == pytest.approx(density, abs=0.003)


@pytest.mark.parametrize("t", [5, 10, 15, 20, 25])
@pytest.mark.parametrize("practical", [5, 10, 20, 30, 35, 40])
def test_salt_water_viscosity_agrees_with_a_second_published_fit(t: float, practical: float) -> None:
    salinity = practical * SALINITY_PER_PRACTICAL
    reference = millero(t, practical, teos10(t, salinity))
    assert water_viscosity(t, salinity) == pytest.approx(reference, rel=0.015)


def test_the_second_fit_gives_its_own_check_value() -> None:
    assert millero(25, 40, teos10(25, 40 * SALINITY_PER_PRACTICAL)) == pytest.approx(9.6541e-4, rel=2e-4)


@pytest.mark.parametrize("salinity", [0, 5, 12, 20, 30, 35, 42])
def test_the_freezing_point_agrees_with_teos_10(salinity: float) -> None:
    assert freezing_point(salinity) == pytest.approx(float(gsw.t_freezing(salinity, 0.0, 1.0)), abs=0.004)


@given(t=st.floats(4, 39), salinity=st.floats(0, 41), more=st.floats(1e-3, 1))
def test_warmer_water_carries_less_and_saltier_water_more(t: float, salinity: float, more: float) -> None:
    here = water(t, salinity)
    assert water(t + more, salinity).density < here.density
    assert water(t, salinity + more).density > here.density
    assert water(t + more, salinity).viscosity < here.viscosity
    assert water(t, salinity + more).viscosity > here.viscosity


@pytest.mark.parametrize("height", [-500, 0, 100, 500, 1000, 2000, 5000, 10900])
def test_air_agrees_with_the_standard_atmosphere(height: float) -> None:
    reference, got = Atmosphere(height), air(height_m=height)
    assert got.density == pytest.approx(float(reference.density[0]), rel=1e-6)
    assert got.viscosity == pytest.approx(float(reference.dynamic_viscosity[0]), rel=1e-6)
    assert got.kinematic == pytest.approx(float(reference.kinematic_viscosity[0]), rel=1e-6)


def test_warm_air_is_the_ideal_gas_at_the_pressure_of_its_height() -> None:
    reference = Atmosphere(1500.0)
    kelvin = 25.0 + 273.15
    assert air(25.0, 1500.0).density == pytest.approx(
        float(reference.pressure[0]) / (287.05287 * kelvin), rel=1e-6
    )


def test_dry_air_at_20_degrees_agrees_with_the_real_gas_within_a_thousandth() -> None:
    """1.20458 kg/m3 and 1.82057e-5 Pa s: CoolProp 8.0.0 at 101325 Pa."""
    assert air(20.0).density == pytest.approx(1.20458, rel=1e-3)
    assert air(20.0).viscosity == pytest.approx(1.82057e-5, rel=6e-3)


@pytest.mark.parametrize(
    ("t", "salinity", "words"),
    [
        (-0.5, 0.0, "water at -0.5 C is outside"),
        (-2.5, SEAWATER, "water at -2.5 C is outside -1.9 to 40 C"),
        (40.1, 0.0, "outside 0.0 to 40 C"),
        (math.nan, 0.0, "water at nan C"),
        (18.0, -1.0, "salinity -1 g/kg is outside 0 to 42 g/kg"),
        (18.0, SALTIEST + 1, "salinity 43 g/kg"),
        (18.0, math.nan, "salinity nan g/kg"),
    ],
)
def test_water_outside_the_range_of_the_fits_is_refused(t: float, salinity: float, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        water(t, salinity)


def test_air_outside_the_lowest_layer_is_refused() -> None:
    for height in (HEIGHTS[0] - 1, HEIGHTS[1] + 1, math.nan):
        with pytest.raises(ValueError, match="height"):
            air(height_m=height)
    with pytest.raises(ValueError, match="absolute zero"):
        air(-273.15)


def test_cold_sea_water_that_fresh_water_would_freeze_at_is_allowed() -> None:
    assert water(-1.5, SEAWATER).density == pytest.approx(teos10(-1.5, SEAWATER), abs=0.0125)


def test_kinematic_viscosity_is_the_quotient() -> None:
    assert Medium(1000.0, 2e-3).kinematic == 2e-6
