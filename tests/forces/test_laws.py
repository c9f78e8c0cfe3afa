"""Drag laws against published curves and a reference library."""

import fluids
import pytest

from sim.forces.laws import cylinder_cd, friction, sphere_cd, streamlined_cd


@pytest.mark.parametrize("re", [100.0, 300.0, 1e3, 3e3, 1e4, 5e4, 1e5])
def test_sphere_drag_follows_the_library(re):
    # `fluids` keeps the same published fit (Clift and Gauvin 1970) and, as its default, Barati et al. 2014
    assert sphere_cd(re) == pytest.approx(fluids.drag_sphere(re, Method="Clift_Gauvin"), rel=1e-3)
    assert sphere_cd(re) == pytest.approx(fluids.drag_sphere(re), rel=0.05)


@pytest.mark.parametrize(
    ("re", "published"),
    [
        (50, 1.571),
        (100, 1.319),
        (200, 1.174),
        (500, 1.078),
        (1e3, 1.047),
        (5e3, 1.047),
        (1e4, 1.061),
        (1e5, 1.131),
    ],
)
def test_cylinder_drag_is_within_fifteen_per_cent_of_a_second_published_curve(re, published):
    # Sharpe, P. D., fit to the data of Panton, Incompressible Flow, 4th ed. (published)
    assert cylinder_cd(re) == pytest.approx(published, rel=0.15)


def test_friction_is_blasius_at_low_and_prandtl_at_high_reynolds_number():
    assert friction(1e4) == pytest.approx(1.328 / 1e4**0.5, rel=0.01)
    assert friction(1e7) == pytest.approx(0.074 / 1e7**0.2, rel=0.01)


@pytest.mark.parametrize(("fineness", "value"), [(2, 2.405), (3, 1.548), (4, 1.297), (6, 1.135)])
def test_far_past_transition_a_streamlined_body_drags_as_hoerner_says(fineness, value):
    # the formula's own values; formula from memory of Hoerner 1965, so this checks the code, not nature
    skin = friction(1e9)
    assert streamlined_cd(1e9, 1.0 / fineness, 1.0, 1.0, 1.0) / skin == pytest.approx(value, abs=6e-4)


def test_before_transition_the_pressure_on_its_tail_counts_too():
    skin = friction(2e4)
    body = streamlined_cd(2e4, 0.25, 12.4, 1.0, 1.0)
    assert body == pytest.approx(skin * 12.4 * (1.0 + 0.25**1.5) + 0.33 * 0.25, rel=2e-3)
    assert body - streamlined_cd(2e4, 0.25, 12.4, 1.0, 0.0) == pytest.approx(0.33 * 0.25, rel=2e-3)
    assert streamlined_cd(2e4, 0.25, 12.4, 0.0, 0.0) == pytest.approx(skin * 12.4, rel=1e-12)


def test_the_ends_of_a_short_cylinder_matter_on_the_plateau_and_not_in_slow_flow():
    assert cylinder_cd(1e5, 0.6) == pytest.approx(0.6 * cylinder_cd(1e5), rel=0.01)
    assert cylinder_cd(50.0, 0.6) == pytest.approx(cylinder_cd(50.0), rel=0.02)
