"""Closed forms of added mass against printed values."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.lure import added_mass as am

# Lamb 1932, Hydrodynamics, 6th ed., Art. 114-115, evaluated (exact)
SPHEROIDS = [
    (3.0, 0.12197, 0.80390, 0.46568),
    (4.0, 0.0816, 0.8598, 0.6079),
    (5.0, 0.0591, 0.8943, 0.6999),
    (10.0, 0.0207, 0.9602, 0.8835),
    (20.0, 0.0068, 0.9866, 0.9601),
]
# same source, triaxial (exact)
TRIAXIAL = [
    ((3.0, 1.0, 0.5), (0.07221, 0.43574, 1.69655), (0.42735, 1.30866, 0.26803)),
    ((4.0, 1.5, 1.0), (0.10692, 0.55121, 1.21271), (0.14857, 0.81575, 0.29692)),
    ((3.0, 1.0, 1.0 / 3.0), (0.05127, 0.29798, 2.59268), (1.02280, 2.11564, 0.18687)),
]
# DNV-RP-H103 (2011), table A-2, from memory; 1, 2 and 4 confirmed by a boundary-element solution
PLATES = [
    (1.0, 0.579), (1.25, 0.642), (1.5, 0.690), (2.0, 0.757), (2.5, 0.801), (3.0, 0.830), (4.0, 0.872),
    (5.0, 0.897), (6.25, 0.917), (8.0, 0.934), (10.0, 0.947),
]  # fmt: skip


@pytest.mark.parametrize(("ratio", "k1", "k2", "turning"), SPHEROIDS)
def test_spheroids_have_lambs_factors(ratio: float, k1: float, k2: float, turning: float) -> None:
    k, swirl = am.ellipsoid(ratio, 1.0, 1.0)
    assert k == pytest.approx([k1, k2, k2], abs=6e-5)
    assert swirl == pytest.approx([0.0, turning, turning], abs=6e-5)


@pytest.mark.parametrize(("axes", "k", "turning"), TRIAXIAL)
def test_triaxial_ellipsoids_have_the_closed_form_in_any_order(axes, k, turning) -> None:
    for order in ([0, 1, 2], [2, 0, 1], [1, 0, 2]):
        ours, swirl = am.ellipsoid(*[axes[i] for i in order])
        assert ours == pytest.approx([k[i] for i in order], abs=1e-5)
        assert swirl == pytest.approx([turning[i] for i in order], abs=1e-5)


def test_a_sphere_carries_half_its_volume_and_nothing_when_it_turns() -> None:
    k, swirl = am.ellipsoid(2.0, 2.0, 2.0)
    assert k == pytest.approx([0.5, 0.5, 0.5], rel=1e-12)
    assert swirl == pytest.approx([0.0, 0.0, 0.0], abs=1e-15)


@given(st.floats(1e-16, 1e-3))
def test_a_nearly_round_body_carries_nearly_what_a_round_one_does(dent: float) -> None:
    k, swirl = am.ellipsoid(1.0, 1.0 + dent, 1.0 - dent)
    assert np.all(np.abs(k - 0.5) < 2.0 * dent + 1e-12)
    assert np.all((swirl >= 0.0) & (swirl < 10.0 * dent**2 + 1e-12))


def test_a_flat_disc_has_lambs_limits() -> None:
    # Lamb Art. 102/108: 8/3 a^3 across, 16/45 a^5 about a diameter (exact)
    t = 1e-4
    k, swirl = am.ellipsoid(1.0, 1.0, t)
    volume = 4.0 / 3.0 * math.pi * t
    assert k[2] * volume == pytest.approx(8.0 / 3.0, rel=1e-3)
    assert swirl[0] * volume * (1.0 + t * t) / 5.0 == pytest.approx(16.0 / 45.0, rel=1e-3)


@pytest.mark.parametrize(("ratio", "factor"), PLATES)
def test_rectangular_plates_are_within_one_percent_of_the_table(ratio: float, factor: float) -> None:
    assert am.plate_factor(1.0, ratio) == pytest.approx(factor, rel=0.01)
    assert am.plate(ratio, 1.0, ratio)[0] == pytest.approx(
        am.plate_factor(1.0, ratio) * math.pi / 4.0 * ratio
    )


def test_a_plates_length_and_width_may_be_swapped() -> None:
    mass, along, across = am.plate(3.0, 2.0, 6.0)
    assert am.plate(2.0, 3.0, 6.0) == pytest.approx((mass, across, along))
    assert along > across


def test_packing_keeps_every_entry() -> None:
    matrix = np.arange(36.0).reshape(6, 6)
    matrix = matrix + matrix.T
    assert np.array_equal(am.unpacked(am.packed(matrix)), matrix)
