"""The quick answer how a lure sits: that of `rest`, for little work."""

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from sim.design.load import DesignError, load, read
from sim.design.paths import leaves, replaced
from sim.hydrostatics.equilibrium import FIRST_STRIDE, UPRIGHT, Floater, roll_downhill
from sim.hydrostatics.flotation import Q_SLICED, Q_TIMES
from sim.lure import BuildError, assemble, build
from sim.lure.static_lure import static_lure
from sim.trials.floating import attitude, rest, settled
from sim.trials.scene import medium
from tests.hulls import bare, block, ellipsoid, notched, solid
from tests.strategies import designs, to_toml

ROOT = Path(__file__).parents[2]
FILES = sorted([*ROOT.glob("scenarios/*.toml"), *ROOT.glob("docs/how-to/bodies/*.toml")])
FIGURES = ("pitch_deg", "roll_deg", "immersed_fraction", "draught_mm", "freeboard_mm")


def assert_alike(quick, full):
    """An attitude, or none, and a `FloatResult`."""
    for name in FIGURES:
        assert getattr(full, name) == (None if quick is None else getattr(quick, name)), name


def files():
    return pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)


@files()
def test_it_says_what_rest_says_of_every_demo(path):
    design = load(path)
    assert_alike(attitude(static_lure(design), medium(design).density), rest(design, build(design)))


@files()
@settings(max_examples=2, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(seed=st.integers(0, 2**31))
def test_it_says_what_rest_says_when_all_sizes_and_weights_are_a_little_off(path, seed):
    design = load(path)
    rng = np.random.default_rng(seed)
    off = {
        name: quantity.value * (1.0 + 0.03 * rng.standard_normal())
        for name, quantity in leaves(design).items()
        if name.split(".")[0] in ("body", "plate", "hook", "ballast") and quantity.value
    }
    try:
        other = replaced(design, off)
        lure = build(other)
    except BuildError:
        assume(False)
    assert_alike(attitude(static_lure(other), medium(other).density), rest(other, lure))


@settings(max_examples=10, suppress_health_check=list(HealthCheck))
@given(designs())
def test_it_says_what_rest_says_of_any_design(tables):
    try:
        design = read(to_toml(tables), "random.toml")
        lure = build(design)
    except (DesignError, BuildError):
        assume(False)
    assert_alike(attitude(static_lure(design), medium(design).density), rest(design, lure))


shapes = st.sampled_from(
    [ellipsoid(0.035, 0.009, 0.011, rings=10, sides=16), block(0.06, 0.02, 0.015), notched()]
)


@settings(max_examples=40)
@given(
    shapes,
    st.floats(0.05, 1.1),
    st.tuples(st.floats(-0.01, 0.01), st.floats(-0.002, 0.002), st.floats(-0.004, 0.004)),
)
def test_of_several_rests_it_names_the_one_that_rest_names(hull, share, offset):
    volume, middle = solid(hull)
    body = bare(hull, mass=share * 1000.0 * volume, centre=middle + np.array(offset))
    assert_alike(attitude(body, 1000.0), settled(body, 1000.0))


@files()
def test_neither_strips_nor_added_mass_are_made_for_it(path, monkeypatch):
    def never(*_, **__):
        raise AssertionError("not needed to float")

    for name in ("body_rows", "plate_row", "plate_added", "faces", "rigid_body"):
        monkeypatch.setattr(assemble, name, never)
    design = load(path)
    attitude(static_lure(design), medium(design).density)
    with pytest.raises(AssertionError, match="not needed to float"):
        build(design)


@files()
def test_the_surface_is_moved_few_times_and_the_whole_hull_looked_at_fewer(path):
    design = load(path)
    floater = Floater(static_lure(design), medium(design).density)
    if not floater.floats:
        return
    here = roll_downhill(floater, UPRIGHT, FIRST_STRIDE)
    turned = math.degrees(math.acos(min(1.0, float(here.up @ UPRIGHT))))
    strides = math.ceil(turned / math.degrees(FIRST_STRIDE))
    assert floater.parted[Q_SLICED] <= 16 + 5 * strides
    assert floater.parted[Q_TIMES] <= 4 + 2 * strides


@pytest.mark.parametrize("turn", [1e-9, 1e-4, 0.01, 0.5])
def test_faces_kept_from_the_last_attitude_tell_the_same_as_all_of_them(turn):
    hull = ellipsoid(0.035, 0.009, 0.011, rings=40, sides=48)
    volume, middle = solid(hull)
    body = bare(hull, mass=0.8 * 1000.0 * volume, centre=middle + np.array((0.002, 0.001, -0.003)))
    kept = Floater(body, 1000.0)
    up, pivot = UPRIGHT, None
    for k in range(12):
        up = up + turn * np.array([math.cos(k), math.sin(2.0 * k), 0.0])
        up /= np.linalg.norm(up)
        here, anew = kept.held(up, pivot), Floater(body, 1000.0).held(up, None)
        pivot = here.pivot
        assert here.height == pytest.approx(anew.height, abs=1e-13)
        assert here.slope == pytest.approx(anew.slope, abs=1e-13)
        assert here.curve == pytest.approx(anew.curve, abs=1e-12)
    if turn < 1e-3:
        assert kept.parted[Q_TIMES] <= 2  # once for a guess, once where it floats
