"""Density and viscosity of water and air against the libraries that carry the reference formulations."""

from __future__ import annotations

from functools import cache

import gsw
from ambiance import Atmosphere
from iapws import IAPWS95

from sim.media import SALINITY_PER_PRACTICAL, air, water
from tests.checks.checks import Status, Subject, absolute, percent, relative

SUBJECT = Subject(
    "Water and air",
    "Whether a lure just floats or just sinks hangs on the second decimal of the water's density. The "
    "libraries are those of the international reference formulations, run live.",
    open=(
        "Density found by weighing in air and in water is not yet a command, so its worked examples wait.",
    ),
)
check = SUBJECT.check


@cache
def _pure(t: float) -> IAPWS95:
    return IAPWS95(T=t + 273.15, P=0.101325)


for _t in (5.0, 15.0, 20.0, 25.0):
    check(
        f"density of fresh water at {_t:g} C",
        source="iapws 1.5.5, IAPWS-95, live", status=Status.LIBRARY,
        published=(lambda t=_t: float(_pure(t).rho)), tolerance=absolute(0.01), unit="kg/m3",
    )(lambda t=_t: water(t).density)  # fmt: skip
for _t in (5.0, 20.0, 30.0):
    check(
        f"viscosity of fresh water at {_t:g} C",
        source="iapws 1.5.5, IAPWS 2008, live", status=Status.LIBRARY,
        published=(lambda t=_t: 1e3 * float(_pure(t).mu)), tolerance=percent(0.1), unit="mPa s",
    )(lambda t=_t: 1e3 * water(t).viscosity)  # fmt: skip
for _t, _s in ((5.0, 35.0), (20.0, 35.0), (25.0, 35.16504), (15.0, 10.0)):
    check(
        f"density of water with {_s:g} g/kg of salt at {_t:g} C",
        source="gsw 3.6.23, TEOS-10, live", status=Status.LIBRARY,
        published=(lambda t=_t, s=_s: float(gsw.rho(s, gsw.CT_from_t(s, t, 0.0), 0.0))),
        tolerance=absolute(0.02), unit="kg/m3",
    )(lambda t=_t, s=_s: water(t, s).density)  # fmt: skip
check(
    "density of sea water at 5 C by the older international equation",
    source="Millero & Poisson 1981, Deep-Sea Research 28A, 625-629, table 1", status=Status.PUBLISHED,
    published=1027.67547, tolerance=absolute(0.01), unit="kg/m3",
)(lambda: water(5.0, 35.0 * SALINITY_PER_PRACTICAL).density)  # fmt: skip
for _t, _mu in ((5.0, 1.6194), (20.0, 1.0765)):
    check(
        f"viscosity of sea water at {_t:g} C",
        source="Sharqawy and others 2010 (from memory)", status=Status.MEMORY, published=_mu,
        tolerance=percent(1.5), unit="mPa s",
    )(lambda t=_t: 1e3 * water(t, 35.0).viscosity)  # fmt: skip
for _height in (0.0, 500.0, 1000.0, 2000.0):
    check(
        f"density of the standard air at {_height:g} m",
        source="ambiance 1.3.1, ISO 2533, live", status=Status.LIBRARY,
        published=(lambda h=_height: float(Atmosphere(h).density[0])), tolerance=relative(1e-5), unit="kg/m3",
    )(lambda h=_height: air(height_m=h).density)  # fmt: skip
for _height in (0.0, 1000.0):
    check(
        f"viscosity of the standard air at {_height:g} m",
        source="ambiance 1.3.1, ISO 2533, live", status=Status.LIBRARY,
        published=(lambda h=_height: 1e6 * float(Atmosphere(h).dynamic_viscosity[0])),
        tolerance=relative(1e-5), unit="uPa s",
    )(lambda h=_height: 1e6 * air(height_m=h).viscosity)  # fmt: skip
check(
    "density of dry air at 20 C",
    source="CoolProp 8.0.0", status=Status.LIBRARY, published=1.20458, tolerance=percent(0.1), unit="kg/m3",
)(lambda: air(20.0).density)  # fmt: skip
