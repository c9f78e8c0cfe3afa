"""Brine against the handbook's table, and its recipe against itself."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.bench.brine import MOLAR, brine_density, salt_for
from sim.bench.uncertainty import ReadingError
from sim.media import water_density

HANDBOOK = {  # percent of salt by weight -> kg/m3 at 20 C
    1: 1005.3, 4: 1026.8, 6: 1041.3, 8: 1055.9, 10: 1070.7, 14: 1100.9, 18: 1131.9, 20: 1147.8,
}  # fmt: skip
"""Poradnik fizykochemiczny, WNT, Warszawa 1974: sodium chloride in water; not the source of the formula."""


@pytest.mark.parametrize("percent", HANDBOOK)
def test_brine_is_as_dense_as_the_handbook_says(percent):
    share = percent / 100
    salt = share / (1 - share) * water_density(20.0)
    assert brine_density(salt, 20.0) == pytest.approx(HANDBOOK[percent], abs=0.1)


def test_a_brine_that_takes_no_more_salt_is_as_dense_as_published():
    """26 % at 20 C: 1197.2 kg/m3, Poradnik fizykochemiczny, WNT, Warszawa 1974. The table itself ends at 22.6 %."""
    salt = 0.26 / 0.74 * water_density(20.0)
    assert brine_density(salt, 20.0) == pytest.approx(1197.2, abs=0.5)


def test_a_one_molal_brine_is_the_printed_one():
    # Rogers & Pitzer 1982, J. Phys. Chem. Ref. Data 11, 15: 0.965038 cm3/g at 25 C and 1 mol/kg
    assert brine_density(MOLAR * water_density(25.0), 25.0) == pytest.approx(1000 / 0.965038, rel=1e-9)


@given(density=st.floats(1000.0, 1150.0), celsius=st.floats(5.0, 35.0))
def test_the_recipe_makes_the_bath(density, celsius):
    assert brine_density(salt_for(density, celsius), celsius) == pytest.approx(density, abs=1e-3)


@given(salt=st.floats(0.0, 280.0), more=st.floats(0.1, 10.0), celsius=st.floats(0.0, 40.0))
def test_more_salt_always_makes_it_heavier(salt, more, celsius):
    assert brine_density(salt + more, celsius) > brine_density(salt, celsius)


def test_baths_that_cannot_be_are_refused_in_words():
    with pytest.raises(ReadingError, match="more than the 355 g that dissolve"):
        brine_density(500.0, 20.0)
    with pytest.raises(ReadingError, match=r"can have 0.9982 g/cm3 to 1.199 g/cm3, not 1.500 g/cm3"):
        salt_for(1500.0, 20.0)
    with pytest.raises(ReadingError, match="let it come to room warmth"):
        brine_density(10.0, 60.0)
