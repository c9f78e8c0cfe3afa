"""Rest of simple bodies against closed forms of hydrostatics.

Sources are beside the values. All are closed forms that follow from Archimedes' law, so the tolerances are
only those of flat faces standing in for round bodies: 0.05 degrees and 0.1 % of the draught.
"""

import math

import pytest

from sim.trials.floating import settled
from sim.trials.results import Verdict
from tests.hulls import bare, block, cylinder, ellipsoid, moved, rotation, solid

WATER = 1000.0
ROUND = ellipsoid(1.0, 1.0, 1.0, rings=90, sides=180)


def floated(hull, s, centre=None):
    """Homogeneous body of relative density s, unless the centre of gravity is told."""
    return settled(bare(hull, mass=s * WATER * solid(hull)[0], centre=centre), WATER)


# draught over diameter; segment of a circle, phi - sin phi = 2 pi s; spherical cap, h2 (3 - h) = 4 s
DRAUGHTS = [
    (0.10, 0.15648, 0.19580),
    (0.50, 0.50000, 0.50000),
    (0.60, 0.57887, 0.56707),
    (0.90, 0.84352, 0.80420),
]


@pytest.mark.parametrize(("s", "rod", "ball"), DRAUGHTS)
def test_a_round_rod_lies_level_at_the_draught_of_the_circle_segment(s, rod, ball):
    result = floated(cylinder(0.08, 0.01, 400), s)
    assert abs(result.pitch_deg) < 0.05
    assert result.roll_deg == 0.0
    assert result.draught_mm / 20.0 == pytest.approx(rod, rel=1e-3)
    assert result.freeboard_mm / 20.0 == pytest.approx(1.0 - rod, rel=1e-3)


@pytest.mark.parametrize(("s", "rod", "ball"), DRAUGHTS)
def test_a_ball_floats_at_the_draught_of_the_spherical_cap(s, rod, ball):
    hull = moved(ROUND, 0.01 * rotation([0, 0, 1], 0.0))
    assert floated(hull, s).draught_mm / 20.0 == pytest.approx(ball, rel=1e-3)


@pytest.mark.parametrize(("s", "rod", "ball"), DRAUGHTS)
def test_an_ellipsoid_floats_flat_at_the_draught_of_a_ball_stretched(s, rod, ball):
    # squeezing along the vertical maps ball and waterline to ellipsoid and waterline
    result = floated(ellipsoid(0.06, 0.015, 0.010, 90, 180), s)
    assert abs(result.pitch_deg) < 0.05
    assert abs(result.roll_deg) < 0.05
    assert result.draught_mm / 20.0 == pytest.approx(ball, rel=1e-3)


def prism_heel(s):
    """Heel (deg) of a long square prism of relative density s, between 0 and 45.

    Classical closed form (Gilbert 1991; Moore & Merzbach; citations from memory): flat for
    s < (3 - sqrt 3) / 6, then tan2 = 12 s (1 - s) - 2, then one corner under, p + q = 3/2 and p q = 2 s,
    then 45.
    """
    s = min(s, 1.0 - s)
    if s <= (3.0 - math.sqrt(3.0)) / 6.0:
        return 0.0
    if s <= 0.25:
        return math.degrees(math.atan(math.sqrt(12.0 * s * (1.0 - s) - 2.0)))
    if s < 9.0 / 32.0:
        root = math.sqrt(2.25 - 8.0 * s)
        return math.degrees(math.atan2(1.5 - root, 1.5 + root))
    return 45.0


@pytest.mark.parametrize(
    "s", [0.10, 0.205, 0.215, 0.23, 0.25, 0.26, 0.275, 0.285, 0.5, 0.7, 0.74, 0.75, 0.78, 0.80]
)
def test_a_square_prism_leans_as_its_density_asks(s):
    result = floated(block(0.2, 0.02, 0.02), s)
    assert abs(result.pitch_deg) < 0.05
    lean = abs(result.roll_deg) % 90.0
    assert min(lean, 90.0 - lean) == pytest.approx(prism_heel(s), abs=0.05)


def test_a_square_prism_at_a_quarter_leans_by_the_angle_of_tangent_one_half():
    result = floated(block(0.2, 0.02, 0.02), 0.25)
    assert result.roll_deg == pytest.approx(26.565051, abs=1e-4)


@pytest.mark.parametrize(("s", "bound"), [(0.5, 1.414214), (0.6, 1.385641), (0.4, 1.385641)])
def test_an_upright_disc_is_stable_above_the_classical_ratio_of_diameter_to_height(s, bound):
    # closed form: (R / L)2 > 2 s (1 - s)
    def standing(ratio):
        disc = moved(cylinder(0.02, 0.01 * ratio, 180), rotation([0, 1, 0], math.pi / 2))
        return floated(disc, s)

    wide, tall = standing(1.01 * bound), standing(0.99 * bound)
    assert (abs(wide.pitch_deg), abs(wide.roll_deg)) == (0.0, 0.0)
    assert wide.heel_gm_mm > 0.0
    assert max(abs(tall.pitch_deg), abs(tall.roll_deg)) > 1.0


def test_an_upright_disc_has_its_closed_form_metacentric_height():
    # I / V - BG = R2 / (4 s L) - L (1 - s) / 2
    length, radius, s = 0.02, 0.02, 0.6
    result = floated(moved(cylinder(length, radius, 400), rotation([0, 1, 0], math.pi / 2)), s)
    expected = 1e3 * (radius**2 / (4 * s * length) - length * (1 - s) / 2)
    assert result.heel_gm_mm == pytest.approx(expected, rel=1e-3)
    assert result.trim_gm_mm == pytest.approx(expected, rel=1e-3)


def test_a_half_immersed_ellipsoid_has_its_closed_form_metacentric_heights():
    # GM = 3/8 (b2 - c2) / c in heel, 3/8 (a2 - c2) / c in trim
    result = floated(ellipsoid(0.06, 0.015, 0.010, 90, 180), 0.5)
    assert result.heel_gm_mm == pytest.approx(4.6875, rel=1e-3)
    assert result.trim_gm_mm == pytest.approx(131.25, rel=1e-3)


def test_a_body_of_revolution_has_no_stiffness_in_roll_until_ballast_gives_it_its_own():
    # closed form: GM = 0 for b = c; with G lowered, GM = BG of the whole body's axis
    hull = ellipsoid(0.03, 0.01, 0.01)
    free = floated(hull, 0.7)
    assert free.heel_gm_mm == 0.0
    assert free.sentence.endswith("It turns freely about its long axis.")
    assert max(abs(point.arm_mm) for point in free.righting_heel) < 0.02
    low = floated(hull, 0.7, centre=(0.0, 0.0, -0.002))
    assert low.heel_gm_mm == pytest.approx(2.0, rel=5e-3)
    by_angle = {point.angle_deg: point.arm_mm for point in low.righting_heel}
    assert by_angle[90.0] == pytest.approx(2.0, rel=5e-3)


def test_a_box_barge_has_the_textbook_metacentric_height_and_wall_sided_arms():
    # L 60, B 10, T 3, KG 4 m: KB 1.5, BM B2 / 12 T = 2.777778, GM 0.277778 (textbook form); arms of
    # wall-sided bodies: GZ = sin (GM + BM tan2 / 2), closed form while deck and bilge stay clear
    barge = moved(block(60.0, 10.0, 6.0), by=(0.0, 0.0, 3.0))
    result = floated(barge, 0.5, centre=(0.0, 0.0, 4.0))
    assert result.draught_mm == pytest.approx(3000.0, rel=1e-6)
    assert result.heel_gm_mm == pytest.approx(277.778, abs=0.001)
    for point in result.righting_heel:
        if 0.0 < abs(point.angle_deg) <= 30.0:
            angle = math.radians(abs(point.angle_deg))
            arm = math.sin(angle) * (277.778 + 2777.778 * math.tan(angle) ** 2 / 2.0)
            assert point.arm_mm == pytest.approx(arm, rel=1e-5)


def test_wholly_under_the_righting_arm_is_that_of_a_pendulum():
    # closed form: arm = BG sin(angle)
    hull = ellipsoid(0.03, 0.01, 0.008)
    result = floated(hull, 1.0, centre=(0.0, 0.0, -0.0015))
    assert result.verdict is Verdict.SUSPENDS
    for point in result.righting_heel:
        expected = 1.5 * abs(math.sin(math.radians(point.angle_deg)))
        assert point.arm_mm == pytest.approx(expected, abs=1e-4)
