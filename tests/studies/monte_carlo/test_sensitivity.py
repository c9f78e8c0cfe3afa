"""First-order indices against functions whose indices are known in closed form."""

import numpy as np
import pytest

from sim.studies.ensemble import normal_deviates
from sim.studies.monte_carlo.sensitivity import effects


@pytest.fixture(scope="module")
def z():
    return normal_deviates(256, 40, 11)


def test_a_weighted_sum_gives_exactly_the_squares_of_its_weights(z):
    weights = np.zeros(40)
    weights[[2, 7, 30]] = 3.0, 2.0, 1.0
    found = effects(z, z @ weights)
    assert found.by == "regression"
    assert found.explained == pytest.approx(1.0, abs=1e-9)
    assert found.shares == pytest.approx(weights**2 / 14.0, abs=1e-9)


def test_a_square_counts_with_twice_the_square_of_its_factor(z):
    found = effects(z, 2.0 * z[:, 1] + z[:, 4] ** 2)  # variances 4 and 2
    assert found.shares[[1, 4]] == pytest.approx([4 / 6, 2 / 6], abs=1e-9)


def test_together_two_inputs_that_go_with_each_other_cause_more_than_apart(z):
    together = np.eye(40)
    together[0, 1] = together[1, 0] = 0.8
    x = z.copy()
    x[:, 1] = 0.8 * z[:, 0] + 0.6 * z[:, 1]
    found = effects(x, x[:, 0] + x[:, 1] + x[:, 2], together)  # variances 3.6 and 1
    assert found.of([0, 1]) == pytest.approx(3.6 / 4.6, abs=1e-9)
    assert found.of([2]) == pytest.approx(1.0 / 4.6, abs=1e-9)


def test_a_product_of_two_inputs_is_caused_by_neither_alone(z):
    found = effects(z, z[:, 3] * z[:, 5])
    assert found.by == "classes"
    assert found.shares[[3, 5]].max() < 0.1


def test_a_wave_that_no_line_follows_is_found_by_classes():
    z = normal_deviates(1024, 20, 3)
    found = effects(z, np.sin(3.0 * z[:, 6]))  # all of the variance
    assert found.by == "classes"
    assert found.shares[6] > 0.7
    assert np.delete(found.shares, 6).sum() < 0.1


def test_inputs_that_do_nothing_are_blamed_for_hardly_anything():
    z = normal_deviates(128, 40, 9)
    blamed = [effects(z, np.random.default_rng(k).standard_normal(128)).shares.sum() for k in range(40)]
    assert np.mean(blamed) < 0.08


def test_noise_on_top_leaves_the_indices_where_they_are():
    z = normal_deviates(512, 40, 4)
    noise = np.random.default_rng(1).standard_normal(512)
    found = effects(z, 2.0 * z[:, 0] + z[:, 1] + noise)
    assert found.shares[[0, 1]] == pytest.approx([4 / 6, 1 / 6], abs=0.04)


def test_what_does_not_vary_has_no_cause(z):
    found = effects(z, np.full(256, 3.0))
    assert found.by == "none"
    assert found.shares.sum() == 0.0
