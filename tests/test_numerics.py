"""Own functions of mathematics beside scipy's."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import elliprd
from scipy.special import gamma as theirs

from sim.numerics import carlson_rd, gamma, root


def test_the_symmetric_integral_is_scipys():
    random = np.random.default_rng(3)
    for x, y, z in 10.0 ** random.uniform(-6.0, 3.0, (300, 3)):
        assert carlson_rd(x, y, z) == pytest.approx(elliprd(x, y, z), rel=4e-15)


def test_the_gamma_function_is_scipys():
    x = np.linspace(0.05, 9.0, 400).reshape(20, 20)
    assert gamma(x) == pytest.approx(theirs(x), rel=1e-14)


@pytest.mark.parametrize(
    "function", [math.cos, lambda x: x**3 - 2.0, lambda x: math.exp(x) - 5.0, lambda x: x - 1.5]
)
@pytest.mark.parametrize("ends", [(0.0, 3.0), (3.0, 0.0)])
def test_a_root_is_scipys(function, ends):
    assert root(function, *ends, 1e-10) == pytest.approx(brentq(function, *ends, xtol=1e-13), abs=1e-10)


def test_no_change_of_sign_is_no_root():
    with pytest.raises(ValueError, match="no change of sign"):
        root(math.exp, 0.0, 1.0, 1e-6)
